import pytest

from app.documents import Pack, Q
from app.fields import PACK
from app.presentation.data_sheet import TAKEN, cautions_in, origin_text, part, value_text

LIFT = PACK["lift_mm"]


@pytest.mark.parametrize(
    ("q", "text"),
    [
        (Q(value=3.175, typed="0.125 in"), "0.125 in (3.175 mm)"),
        (Q(value=38.1, plus_minus=0.05, typed="1 1/2 in"), "1 1/2 in (38.1 ± 0.05 mm)"),
        (Q(value=12.5, typed="12,5"), "12.5 mm"),
        (Q(value=12.5, typed="12,5 mm"), "12.5 mm"),
        (Q(value=2.0, std=0.0123), "2 mm, standard uncertainty 0.012 mm"),
        (Q(value=2.0, typed="about two"), "2 mm"),
    ],
)
def test_a_value_is_shown_as_typed_and_converted(q: Q, text: str) -> None:
    assert value_text(q, LIFT).replace("\u00a0", " ") == text


@pytest.mark.parametrize(
    ("q", "text"),
    [
        (Q(value=1), "how known: not said"),
        (Q(value=1, how="measured"), "Measured · by whom: not said"),
        (Q(value=1, how="listed"), "Listed"),
        (
            Q(value=1, how="measured", by="Ada", at="2026-11-24", with_what="calliper"),
            "Measured · Ada · 2026-11-24 · calliper",
        ),
        (
            Q(value=1, how="listed", plus_minus=0.1, default_doubt=True, with_what="page 4"),
            "Listed, usual doubt · page 4",
        ),
    ],
)
def test_where_a_figure_comes_from_is_said_or_left_open(q: Q, text: str) -> None:
    assert origin_text(q) == text


def test_what_is_not_known_is_named_and_what_nobody_stated_is_marked() -> None:
    pack = Pack.model_validate({"name": "x", "lift_mm": 900, "friction_plates": 6})
    names = ("friction_plates", "lift_mm", "lever_ratio", "grooved_fraction")
    sheet = part("Release", pack, PACK, names)
    assert [line.text.replace("\u00a0", " ") for line in sheet.lines] == ["6", "900 mm", "0"]
    assert sheet.lines[2].origin == TAKEN
    assert sheet.unknown == "Lever ratio of the release"
    assert [label for label, _ in cautions_in([sheet])] == ["Release travel of the pressure plate"]
