"""Two figures that cannot both be right: both boxes are told what would be."""

import pytest

from app.documents import Q
from app.fields import PACK
from app.web.forms.pairs import Box, box, larger_first
from app.web.forms.reader import FormReader

FIELD = PACK["facing_od_mm"]


@pytest.mark.parametrize(
    ("figure", "told"),
    [
        (None, ""),
        (95.25, "95.25 mm"),
        ({"value": 95.25, "typed": "3 3/4 in"}, "3 3/4 in (95.25 mm)"),
        ({"value": 95.0, "typed": "95,0"}, "95 mm"),
        ({"value": 95.0, "typed": "95 mm"}, "95 mm"),
        ({"value": 95.0, "typed": "9.5 cm"}, "9.5 cm (95 mm)"),
        (Q(value=95.0, how="listed"), "95 mm"),
        (Q(value=25.4, typed="1 in"), "1 in (25.4 mm)"),
    ],
)
def test_a_figure_is_told_as_it_was_typed(figure: object, told: str) -> None:
    assert box("d", "bore", figure, FIELD).told == told


def boxes(larger: float | None, smaller: float | None) -> tuple[FormReader, Box, Box]:
    big, small = box("big", "outside", larger, FIELD), box("small", "wire", smaller, FIELD)
    return FormReader({}), big, small


@pytest.mark.parametrize(
    ("larger", "smaller", "twice", "or_equal", "fits"),
    [
        (3.0, 2.0, False, False, True),
        (2.0, 2.0, False, False, False),
        (2.0, 2.0, False, True, True),
        (1.0, 2.0, False, True, False),
        (5.0, 2.0, True, False, True),
        (4.0, 2.0, True, False, False),
        (None, 2.0, False, False, True),
        (1.0, None, False, False, True),
    ],
)
def test_both_boxes_are_marked_or_neither(
    larger: float | None, smaller: float | None, twice: bool, or_equal: bool, fits: bool
) -> None:
    form, big, small = boxes(larger, smaller)
    larger_first(form, big, small, twice=twice, or_equal=or_equal)
    assert [problem.field for problem in form.problems] == ([] if fits else ["big", "small"])
    for own, other in ((big, small), (small, big)):
        assert fits or f"the {other.words}, {other.told}" in (form.message_for(own.name) or "")
        assert fits or f"Here stands {own.told}." in (form.message_for(own.name) or "")


def test_a_box_with_a_problem_keeps_that_one_alone() -> None:
    form, big, small = boxes(1.0, 2.0)
    form.say("big", "Write a number.")
    larger_first(form, big, small)
    assert form.message_for("big") == "Write a number."
    assert form.message_for("small") is not None
