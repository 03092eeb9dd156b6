"""From the form of a pack to its document and back, with nothing lost on the way."""

import pytest

from app.documents import Coil, Pack, Q
from app.web.forms.pack_form import pack_texts, read_pack
from app.web.forms.reader import FormReader
from tests.web.typed_packs import GROUP, TYPED, pack_of, refusals_of


def test_mixed_units_are_kept_as_typed_and_converted() -> None:
    pack = pack_of(TYPED)
    assert pack.facing_id_mm == Q(
        value=95.25,
        plus_minus=1.905,
        how="listed",
        typed="3 3/4 in",
        typed_doubt="2 %",
        by="Ada",
        at="2026-11-24",
        with_what="calliper 150",
    )
    assert isinstance(pack.clamp, Coil)
    group = pack.clamp.springs[0]
    assert group.free_length_mm is not None
    assert group.free_length_mm.value == 38.1
    assert group.free_length_mm.typed == "1 1/2 in"
    assert group.installed_length_mm is not None
    assert (group.installed_length_mm.value, group.installed_length_mm.typed) == (30.5, "30,5")
    assert group.rate_n_per_mm is not None
    assert group.rate_n_per_mm.value == pytest.approx(30 * 4.4482216152605 / 25.4, rel=1e-15)
    assert group.tester_limit == 0.02


def test_a_name_is_enough() -> None:
    pack = pack_of({"name": "Bare", "lined_faces_per_plate": "2"})
    assert pack == Pack(name="Bare")


def test_a_record_reopens_with_what_was_typed() -> None:
    texts = pack_texts(pack_of(TYPED))
    assert (texts["facing_id_mm"], texts["facing_id_mm__unit"]) == ("3 3/4 in", "in")
    assert texts["facing_id_mm__doubt"] == "2 %"
    assert texts[f"{GROUP}.free_length_mm"] == "1 1/2 in"
    assert texts[f"{GROUP}.installed_length_mm"] == "30,5"
    assert texts["mounting"] == "geared"


def test_a_second_look_is_left_to_the_catalogue_to_withdraw() -> None:
    stored = Pack.model_validate({"name": "Seen", "lift_mm": 2, "checked": {"by": "Ben"}})
    assert pack_of(pack_texts(stored) | {"lift_mm": "3"}, stored).checked == stored.checked


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("1,234", "Write 1234 or 1.234"),
        ("nan", "Write a number"),
        ("inf", "Write a number"),
        ("1e400", "Write a number between"),
        ("1_000", "_000"),
        ("9**9**9", "**9**9"),
        ("0x10", "x10"),
        ("١٢", "figures 0 to 9"),
        ("１２", "figures 0 to 9"),
        ("9" * 10_000, "at most 32 characters"),
        ("-5", "more than 0"),
        ("12 N", "length in mm"),
    ],
)
def test_what_is_no_length_is_refused_with_what_would_be_right(text: str, part: str) -> None:
    found = refusals_of(TYPED | {"facing_od_mm": text})
    assert list(found) == ["facing_od_mm"]
    assert part in found["facing_od_mm"]


@pytest.mark.parametrize(
    ("changed", "name", "part"),
    [
        ({"facing_od_mm": "90"}, "facing_od_mm", "the inside diameter, 3 3/4 in (95.25 mm)"),
        ({"facing_od_mm": "90"}, "facing_id_mm", "less than the outside diameter, 90 mm"),
        ({f"{GROUP}.installed_length_mm": "40"}, f"{GROUP}.free_length_mm", "Here stands 1 1/2 in"),
        ({"friction_plates": "0"}, "friction_plates", "1 or more"),
        ({"friction_plates": "2.5"}, "friction_plates", "whole number"),
        ({f"{GROUP}.rate_n_per_mm": "-3"}, f"{GROUP}.rate_n_per_mm", "more than 0"),
        ({"surfaces_reason": "odd stack"}, "surfaces_reason", "number of working faces"),
        ({"name": "  "}, "name", "Write a name"),
        ({"mounting": "sideways"}, "mounting", "Choose one of"),
        ({"stamp_at": "yesterday"}, "stamp_at", "year-month-day"),
        ({"facing_od_mm__doubt": "far"}, "facing_od_mm__doubt", "Write a number"),
        ({"facing_od_mm__how": "dreamt"}, "facing_od_mm__how", "Choose one of"),
        ({"facing_od_mm__unit": "furlong"}, "facing_od_mm__unit", "Choose one of these units"),
    ],
)
def test_what_cannot_be_is_refused_at_its_box(
    changed: dict[str, str], name: str, part: str
) -> None:
    found = refusals_of(TYPED | changed)
    assert name in found
    assert part in found[name]


def test_unusual_figures_are_kept_with_a_caution() -> None:
    form = FormReader(TYPED | {"friction.oiled.sliding": "0.9", "facing_od_mm": "900"})
    pack = read_pack(form).document
    assert pack.own_friction()["oiled", "sliding"].value == 0.9
    assert {caution.field for caution in form.cautions} >= {
        "friction.oiled.sliding",
        "facing_od_mm",
    }
