"""Forms: what was typed is read exactly, kept whatever happens, and never filled in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents.quantities import Q
from app.errors import BadInput, Problem
from app.fields import CENTRIFUGAL, ENGINE, LAUNCH, PACK, SLIP_TEST, SPRING_GROUP
from app.web.forms.reader import FormReader

OD = PACK["facing_od_mm"]
WIRE = SPRING_GROUP["wire_mm"]
SHIM = SPRING_GROUP["shim_mm"]
PATH = "clamp.springs.0.wire_mm"


def test_a_quantity_with_all_that_is_known_of_it() -> None:
    form = FormReader(
        {
            PATH: " 0.1 in ",
            f"{PATH}__doubt": "0.01 mm",
            f"{PATH}__how": "measured",
            f"{PATH}__with": "micrometer 3",
            f"{PATH}__by": "Ida",
            f"{PATH}__at": "2026-03-01",
        }
    )
    figure = form.quantity(PATH, WIRE)
    assert figure == {
        "value": 2.54,
        "typed": "0.1 in",
        "plus_minus": 0.01,
        "typed_doubt": "0.01 mm",
        "how": "measured",
        "with_what": "micrometer 3",
        "by": "Ida",
        "at": "2026-03-01",
    }
    assert not form.problems
    assert Q.model_validate(figure).model_dump(mode="json") == figure


def test_a_figure_alone_gets_no_doubt_and_no_word_about_it() -> None:
    assert FormReader({"od": "115"}).quantity("od", OD) == {"value": 115.0, "typed": "115"}


@pytest.mark.parametrize("data", [{}, {"od": ""}, {"od": "  ", "od__how": "measured"}])
def test_a_blank_figure_is_missing_and_no_default(data: dict[str, str]) -> None:
    form = FormReader(data)
    assert form.quantity("od", OD) is None
    assert form.number("od", OD) is None
    assert form.count("od") is None
    assert form.text("od") is None
    assert form.choice("od", ["a"]) is None
    assert not form.problems
    assert not form.cautions


@pytest.mark.parametrize(
    ("doubt", "half_width"),
    [
        ("0.05", 0.05),
        ("0,05", 0.05),
        ("0.05 mm", 0.05),
        ("0.001 in", 0.0254),
        ("2 %", 2.0),
        ("2%", 2.0),
        ("± 0.05", 0.05),
        ("+/-0.05", 0.05),
        ("0", 0.0),
    ],
)
def test_a_doubt_in_its_own_unit_or_in_percent(doubt: str, half_width: float) -> None:
    figure = FormReader({"od": "100", "od__doubt": doubt}).quantity("od", OD)
    assert figure is not None
    assert figure["plus_minus"] == pytest.approx(half_width, rel=1e-12)
    assert figure["typed_doubt"] == doubt


def test_a_bare_doubt_is_in_the_unit_of_its_figure() -> None:
    typed = FormReader({"od": "4 in", "od__doubt": "0.01"}).quantity("od", OD)
    chosen = FormReader({"od": "4", "od__unit": "in", "od__doubt": "0.01"}).quantity("od", OD)
    assert typed is not None
    assert chosen is not None
    assert typed["plus_minus"] == chosen["plus_minus"] == 0.254
    assert typed["typed"] == chosen["typed"] == "4 in"
    share = FormReader({"g": "12 %", "g__doubt": "1"}).quantity("g", PACK["grooved_fraction"])
    assert share == {"value": 0.12, "typed": "12 %", "plus_minus": 0.01, "typed_doubt": "1"}


def test_a_doubt_of_a_temperature_leaves_the_zero_of_the_scale_out() -> None:
    field = SLIP_TEST["temperature_c"]
    figure = FormReader({"t": "140 °F", "t__doubt": "9"}).quantity("t", field)
    assert figure is not None
    assert (figure["value"], figure["plus_minus"]) == (60.0, 5.0)


@pytest.mark.parametrize(
    ("data", "name", "words"),
    [
        ({"od": "1,234"}, "od", "Write 1234 or 1.234"),
        ({"od": "nan"}, "od", "Write a number"),
        ({"od": "9" * 10_000}, "od", "at most 32 characters"),
        ({"od": "12 N"}, "od", "Write the length in mm"),
        ({"od": "0"}, "od", "Facing outside diameter must be more than 0\u00a0mm."),
        ({"od": "-5"}, "od", "must be more than 0"),
        ({"od": "5", "od__unit": "furlong"}, "od__unit", "Choose one of these units: mm, cm"),
        ({"od": "5", "od__how": "guessed"}, "od__how", "Choose one of: measured, listed"),
        ({"od": "5", "od__doubt": "-1"}, "od__doubt", "Write the doubt as 0 or more"),
        ({"od": "5", "od__doubt": "-1 %"}, "od__doubt", "Write the doubt as 0 or more"),
        ({"od": "5", "od__doubt": "5"}, "od__doubt", "Write a doubt smaller than the figure"),
        ({"od": "5", "od__doubt": "100 %"}, "od__doubt", "Write a doubt smaller than the figure"),
        ({"od": "5", "od__doubt": "much"}, "od__doubt", "Write a number"),
        ({"od": "5", "od__doubt": "1 N"}, "od__doubt", "Write the length in mm"),
        ({"od": "5", "od__doubt": "1,000 %"}, "od__doubt", "Write 1000 or 1.000"),
        ({"od__doubt": "0.05"}, "od", "Write the facing outside diameter that this doubt"),
    ],
)
def test_a_problem_is_told_at_its_field_and_everything_typed_is_kept(
    data: dict[str, str], name: str, words: str
) -> None:
    form = FormReader(data)
    figure = form.quantity("od", OD)
    assert [problem.field for problem in form.problems] == [name]
    assert words in (form.message_for(name) or "")
    assert form.raw == data
    if not name.endswith(("__unit", "__how")):
        assert figure is None
    with pytest.raises(BadInput) as caught:
        form.refuse_problems()
    assert caught.value.problems == form.problems


def test_percent_of_a_share_or_of_nothing_is_asked_about() -> None:
    form = FormReader({"g": "0.1", "g__doubt": "2 %", "shim": "0", "shim__doubt": "5 %"})
    assert form.quantity("g", PACK["grooved_fraction"]) is None
    assert form.quantity("shim", SHIM) is None
    assert "% could mean two things" in (form.message_for("g__doubt") or "")
    assert "a share of 0 is 0" in (form.message_for("shim__doubt") or "")


def test_a_doubt_may_reach_past_zero_where_the_figure_may() -> None:
    figure = FormReader({"s": "0", "s__doubt": "0.02"}).quantity("s", SHIM)
    assert figure is not None
    assert figure["plus_minus"] == 0.02


def test_an_unusual_figure_is_kept_with_a_caution() -> None:
    form = FormReader({"od": "1150"})
    assert form.quantity("od", OD) == {"value": 1150.0, "typed": "1150"}
    assert not form.problems
    assert [caution.field for caution in form.cautions] == ["od"]
    assert "usually between" in (form.caution_for("od") or "")
    assert form.message_for("od") is None


@pytest.mark.parametrize(
    ("text", "value", "words"),
    [
        ("6", 6, None),
        (" 6 ", 6, None),
        ("6.0", None, "Write a whole number"),
        ("0", None, "Friction plates must be a whole number, 1 or more."),
        ("six", None, "Write a number"),
        ("1,000", None, "Write 1000:"),
    ],
)
def test_counts(text: str, value: int | None, words: str | None) -> None:
    form = FormReader({"n": text})
    count = form.count("n", PACK["friction_plates"])
    assert count == value
    assert isinstance(count, int) == (value is not None)
    assert (words or "") in (form.message_for("n") or "")
    assert bool(form.problems) == (words is not None)


def test_a_number_without_doubt() -> None:
    form = FormReader({"v": "-5", "r": "3.35:1", "w": "5", "w__unit": "in", "a": "90", "e": "96 %"})
    assert form.number("v", LAUNCH["load_torque_nm"]) == -5.0
    assert form.number("r", ENGINE["primary_ratio"]) == 3.35
    assert form.number("w", OD) == 127.0
    assert form.number("e", ENGINE["primary_efficiency"]) == 0.96
    assert form.number("a", CENTRIFUGAL["ramp_angle_deg"]) is None
    assert form.message_for("a") == "Angle of the ramp must be more than 0° and less than 90°."


def test_texts_flags_and_choices() -> None:
    form = FormReader(
        {"name": "  Wren ", "long": "x" * 2001, "on": "1", "kind": "coil", "bad": "x"}
    )
    assert form.text("name") == "Wren"
    assert form.text("long") is None
    assert form.message_for("long") == "Write at most 2000 characters: there are 2001."
    assert (form.flag("on"), form.flag("off")) == (True, False)
    assert form.choice("kind", ("coil", "disc")) == "coil"
    assert form.choice("bad", ("coil", "disc")) is None
    assert form.message_for("bad") == "Choose one of: coil, disc."


def test_places_of_a_repeated_part() -> None:
    form = FormReader(
        {
            "clamp.springs.10.count": "6",
            "clamp.springs.2.count": "6",
            "clamp.springs.2.wire_mm": "",
            "clamp.springs.x.count": "6",
            "clamp.springs.9999.count": "6",
            "clampXsprings.5.count": "6",
        }
    )
    assert form.places("clamp.springs") == [2, 10]
    assert form.places("clamp.points") == []


def test_what_is_not_text_is_left_alone() -> None:
    assert FormReader({"photo": object(), "name": "Wren"}).raw == {"name": "Wren"}


def test_several_problems_of_one_field_are_told_together() -> None:
    form = FormReader({})
    form.say("a", "First.")
    form.say("a", "Second.")
    assert form.message_for("a") == "First. Second."
    assert form.problems == [Problem("a", "First."), Problem("a", "Second.")]
    FormReader({}).refuse_problems()


_TYPED = st.text(max_size=40)


@given(_TYPED, _TYPED, _TYPED)
def test_whatever_is_typed_is_kept_and_read_or_refused(figure: str, doubt: str, unit: str) -> None:
    data = {"od": figure, "od__doubt": doubt, "od__unit": unit}
    form = FormReader(data)
    read = form.quantity("od", OD)
    assert form.raw == data
    if read is not None and not form.problems:
        assert Q.model_validate(read).value == read["value"]
    assert (read is not None) or bool(form.problems) or not figure.strip()


@given(st.floats(1e-3, 1e6), st.floats(0, 0.99))
def test_what_was_read_can_be_typed_again(value: float, share: float) -> None:
    data = {"od": repr(value), "od__doubt": repr(value * share)}
    first = FormReader(data).quantity("od", OD)
    assert first is not None
    again = FormReader({"od": str(first["typed"]), "od__doubt": str(first["typed_doubt"])})
    assert again.quantity("od", OD) == first


@pytest.mark.parametrize("typed", ["8", "8,0", "97.5"])
def test_a_bare_share_above_one_is_asked_about(typed: str) -> None:
    form = FormReader({"g": typed})
    assert form.quantity("g", PACK["grooved_fraction"]) is None
    told = form.message_for("g") or ""
    share = f"{float(typed.replace(',', '.')) / 100:g}"
    assert told == f"Write {typed} % or {share}: without the %, 1 is all of it."
    assert form.raw == {"g": typed}


@pytest.mark.parametrize(
    ("data", "share"),
    [
        ({"g": "8 %"}, 0.08),
        ({"g": "8", "g__unit": "%"}, 0.08),
        ({"g": "0.08", "g__unit": ""}, 0.08),
    ],
)
def test_a_share_is_taken_both_ways(data: dict[str, str], share: float) -> None:
    figure = FormReader(data).quantity("g", PACK["grooved_fraction"])
    assert figure is not None
    assert figure["value"] == pytest.approx(share, rel=1e-15)


def test_a_share_that_cannot_be_a_percentage_either_keeps_its_bounds() -> None:
    form = FormReader({"g": "800"})
    assert form.number("g", PACK["grooved_fraction"]) is None
    assert form.message_for("g") == "Grooved or gapped share must be 0 or more and less than 1."
