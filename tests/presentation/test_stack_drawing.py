"""The pack drawn to scale from its own measures."""

from dataclasses import replace

import pytest

from app.mechanics.inputs import CoilClamp, PackInputs, Quantity, SpringGroup
from app.presentation.stack_drawing import draw_stack

PACK = PackInputs(
    name="a", friction_plates=3, plain_plates=3, facing_od_mm=Quantity(120.0),
    facing_id_mm=Quantity(90.0), friction_plate_mm=Quantity(3.0), plain_plate_mm=Quantity(1.5),
    clamp=CoilClamp((SpringGroup(
        count=5, free_length_mm=Quantity(36.0), installed_length_mm=Quantity(30.0),
        wire_mm=Quantity(2.0), outside_mm=Quantity(15.0), total_coils=Quantity(7.0)),)),
)


def widths(drawing, role):
    return [float(b.width) for b in drawing.boxes if b.role == role]


def test_parts_keep_their_proportions():
    drawing = draw_stack(PACK)
    plain, facing = widths(drawing, "plain"), widths(drawing, "facing")
    assert len(plain) == 3
    assert len(facing) == 6
    # A facing is a third of a friction plate: 1.0 mm against a plain plate of 1.5 mm.
    assert facing[0] / plain[0] == pytest.approx(1.0 / 1.5, rel=0.02)
    heights = {b.role: float(b.height) for b in drawing.boxes}
    assert heights["facing"] / plain[0] == pytest.approx(15.0 / 1.5, rel=0.02)


@pytest.mark.parametrize(("plain", "expected"), [(2, 2), (3, 3), (4, 4), (None, 2)])
def test_plain_plates_are_drawn_as_counted(plain, expected):
    assert len(widths(draw_stack(replace(PACK, plain_plates=plain)), "plain")) == expected


def test_what_is_not_recorded_is_dashed_and_named():
    bare = replace(PACK, friction_plate_mm=None, plain_plate_mm=None)
    drawing = draw_stack(bare)
    assert not any(b.known for b in drawing.boxes)
    assert "thickness of the friction plates" in drawing.not_recorded
    assert not any(m.label.text.startswith("stack") for m in drawing.measures)
    assert any(m.label.text.startswith("stack") for m in draw_stack(PACK).measures)


def test_the_stack_height_on_the_drawing_is_that_of_the_plates():
    (stack,) = (m for m in draw_stack(PACK).measures if m.label.text.startswith("stack"))
    assert "13.5" in stack.label.text


def test_everything_lies_inside_the_drawing():
    drawing = draw_stack(PACK)
    for box in drawing.boxes:
        assert float(box.x) >= 0
        assert float(box.x) + float(box.width) <= float(drawing.width)
        assert float(box.y) >= 0
        assert float(box.y) + float(box.height) <= float(drawing.height)


def test_without_diameters_or_plates_there_is_no_drawing():
    assert draw_stack(replace(PACK, facing_od_mm=None)) is None
    assert draw_stack(replace(PACK, friction_plates=None)) is None
    assert draw_stack(replace(PACK, friction_plates=10_000)) is None
