"""From the form of a pack to its document and back, with nothing lost on the way."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents import Coil, Disc, DiscTable, Load, Pack, Q
from app.errors import BadInput
from app.web import spring_form
from app.web.forms import FormReader
from app.web.pack_form import pack_texts, read_pack

GROUP = "clamp.springs.0"
TYPED = {
    "name": "Six-spring pack",
    "mounting": "geared",
    "stamp_by": "Ada",
    "stamp_at": "2026-11-24",
    "stamp_with": "calliper 150",
    "stamp_how": "measured",
    "friction_plates": "6",
    "lined_faces_per_plate": "2",
    "plain_plates": "5",
    "facing_od_mm": "115",
    "facing_od_mm__doubt": "0.05",
    "facing_id_mm": "3 3/4 in",
    "facing_id_mm__doubt": "2 %",
    "facing_id_mm__how": "listed",
    "clamp.kind": "coil",
    f"{GROUP}.count": "6",
    f"{GROUP}.free_length_mm": "1 1/2",
    f"{GROUP}.free_length_mm__unit": "in",
    f"{GROUP}.installed_length_mm": "30,5",
    f"{GROUP}.rate_n_per_mm": "30 lbf/in",
    f"{GROUP}.tester_limit": "2 %",
}


def pack_of(typed: dict[str, str], stored: Pack | None = None) -> Pack:
    return read_pack(FormReader(typed), stored).document


def refusals_of(typed: dict[str, str]) -> dict[str, str]:
    form = FormReader(typed)
    with pytest.raises(BadInput) as refused:
        read_pack(form)
    assert refused.value.problems == form.problems
    return {problem.field: problem.message for problem in form.problems}


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


def test_the_stamp_of_the_form_goes_to_every_figure_that_says_nothing_itself() -> None:
    pack = pack_of(TYPED)
    assert pack.facing_od_mm is not None
    assert (pack.facing_od_mm.how, pack.facing_od_mm.by) == ("measured", "Ada")
    assert pack.facing_id_mm is not None
    assert pack.facing_id_mm.how == "listed"


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


def test_untouched_figures_keep_who_took_them_and_changed_ones_get_the_new_stamp() -> None:
    stored = pack_of(TYPED)
    texts = pack_texts(stored) | {
        "facing_od_mm": "116",
        "stamp_by": "Ben",
        "stamp_at": "2026-11-25",
        "stamp_with": "",
    }
    pack = pack_of(texts, stored)
    assert pack.facing_id_mm == stored.facing_id_mm
    assert pack.facing_od_mm is not None
    assert (pack.facing_od_mm.value, pack.facing_od_mm.by) == (116.0, "Ben")
    assert pack.facing_od_mm.with_what is None
    assert pack.clamp == stored.clamp


def test_a_changed_doubt_is_a_changed_figure() -> None:
    stored = pack_of(TYPED)
    texts = pack_texts(stored) | {"facing_od_mm__doubt": "0.1", "stamp_by": "Ben"}
    pack = pack_of(texts, stored)
    assert pack.facing_od_mm is not None
    assert (pack.facing_od_mm.plus_minus, pack.facing_od_mm.by) == (0.1, "Ben")


def test_a_figure_with_a_standard_uncertainty_keeps_it_while_it_is_untouched() -> None:
    stored = Pack(name="Fitted", lift_mm=Q(value=1.23456789012, std=0.01, how="measured"))
    texts = pack_texts(stored)
    assert texts["lift_mm"] == "1.23456789012"
    assert pack_of(texts, stored) == stored


def test_the_usual_doubt_reopens_blank_and_stays_while_the_figure_does() -> None:
    usual = Q(value=2.0, plus_minus=0.05, how="measured", default_doubt=True)
    stored = Pack(name="Usual", lift_mm=usual)
    texts = pack_texts(stored)
    assert "lift_mm__doubt" not in texts
    assert pack_of(texts, stored).lift_mm == usual


def test_a_bare_doubt_beside_a_figure_in_inches_is_written_with_its_unit() -> None:
    stored = Pack(name="From a file", lift_mm=Q(value=25.4, plus_minus=0.1, typed="1 in"))
    texts = pack_texts(stored) | {"lift_mm__how": "listed"}
    lift = pack_of(texts, stored).lift_mm
    assert lift is not None
    assert lift.plus_minus == pytest.approx(0.1, rel=1e-15)


def test_groups_keep_their_figures_when_one_before_them_is_taken_out() -> None:
    typed = TYPED | {
        "clamp.springs.1.count": "6",
        "clamp.springs.1.free_length_mm": "40",
    }
    stored = pack_of(typed)
    form = FormReader(pack_texts(stored) | {"stamp_by": "Ben"})
    spring_form.remove_group(form, 0)
    pack = read_pack(form, stored).document
    assert isinstance(pack.clamp, Coil)
    assert isinstance(stored.clamp, Coil)
    assert pack.clamp.springs == [stored.clamp.springs[1]]


def test_refusals_stand_at_the_boxes_of_a_group_that_was_counted_anew() -> None:
    typed = {"name": "Gap", "clamp.kind": "coil", "clamp.springs.0.tester_limit": "2 %"}
    typed |= {"clamp.springs.3.wire_mm": "5", "clamp.springs.3.outside_mm": "9"}
    assert list(refusals_of(typed)) == ["clamp.springs.3.outside_mm"]


def test_a_second_group_takes_over_the_tester_and_starts_blank() -> None:
    form = FormReader(TYPED)
    n = spring_form.add_group(form)
    assert form.raw[f"clamp.springs.{n}.tester_limit"] == "2 %"
    pack = read_pack(form).document
    assert isinstance(pack.clamp, Coil)
    assert len(pack.clamp.springs) == 1


def test_readings_take_one_unit_for_a_column() -> None:
    head = f"{GROUP}.load_points"
    typed = TYPED | {
        f"{head}.deflection_mm__unit": "in",
        f"{head}.force_n__unit": "lbf",
        f"{head}.0.deflection_mm": "0.5",
        f"{head}.0.force_n": "10",
        f"{head}.1.deflection_mm": "25.4 mm",
        f"{head}.1.force_n": "20",
    }
    pack = pack_of(typed)
    assert isinstance(pack.clamp, Coil)
    points = pack.clamp.springs[0].load_points or []
    assert [point.deflection_mm for point in points] == [12.7, 25.4]
    assert points[0].force_n == pytest.approx(44.482216152605, rel=1e-15)


def test_half_a_reading_is_asked_for() -> None:
    name = f"{GROUP}.load_points.0"
    found = refusals_of(TYPED | {f"{name}.deflection_mm": "5"})
    assert found == {f"{name}.force_n": "Write the force at this deflection too, or clear the row."}


def test_each_kind_of_clamp_is_read_from_its_own_boxes() -> None:
    load = pack_of({"name": "L", "clamp.kind": "load", "clamp.load.force_n": "1,2 kN"})
    assert isinstance(load.clamp, Load)
    assert load.clamp.force_n is not None
    assert load.clamp.force_n.value == 1200.0
    disc = pack_of(
        {
            "name": "D",
            "clamp.kind": "disc",
            "clamp.disc.outside_mm": "90",
            "clamp.disc.in_series": "2",
        }
    )
    assert isinstance(disc.clamp, Disc)
    assert (disc.clamp.in_series, disc.clamp.modulus_mpa.value) == (2, 206000.0)
    assert "clamp.disc.modulus_mpa" not in pack_texts(disc)
    table = pack_of(
        {
            "name": "T",
            "clamp.kind": "disc_table",
            "clamp.disc_table.points.0.deflection_mm": "1",
            "clamp.disc_table.points.0.force_n": "900",
        }
    )
    assert isinstance(table.clamp, DiscTable)
    assert [p.force_n for p in table.clamp.points] == [900.0]
    assert pack_of(pack_texts(table), table) == table


def test_figures_of_a_clamp_that_was_not_chosen_are_asked_about() -> None:
    found = refusals_of({"name": "?", "clamp.load.force_n": "900"})
    assert found == {"clamp.kind": "Choose what presses the plates together."}


def test_refusals_of_a_clamp_stand_at_its_boxes() -> None:
    typed = {"name": "D", "clamp.kind": "disc", "clamp.disc.outside_mm": "40"}
    assert list(refusals_of(typed | {"clamp.disc.inside_mm": "60"})) == ["clamp.disc.outside_mm"]


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
        ({"facing_od_mm": "90"}, "facing_od_mm", "larger than the inside"),
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


@given(value=st.floats(1e-6, 1e8), doubt=st.one_of(st.none(), st.floats(0, 0.9)))
def test_any_stored_figure_comes_back_to_the_last_bit(value: float, doubt: float | None) -> None:
    half_width = None if doubt is None else doubt * value
    stored = Pack(name="x", lift_mm=Q(value=value, plus_minus=half_width))
    again = pack_of(pack_texts(stored) | {"name": "y"})
    assert again.lift_mm is not None
    assert (again.lift_mm.value, again.lift_mm.plus_minus) == (value, half_width)
