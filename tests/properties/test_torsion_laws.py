"""Torsion of bars against a finite element solution of another library."""

import math

import pytest
from sectionproperties.analysis import Section as Solved
from sectionproperties.pre import Geometry
from shapely import Polygon

from app.mechanics.torsion import Section, plastic_torque, yield_torque


def polygon(sides: int, across_flats: float) -> Polygon:
    """A regular polygon by its width across flats."""
    reach = across_flats / 2.0 / math.cos(math.pi / sides)
    turn = math.pi / sides
    return Polygon([
        (reach * math.cos(turn + 2.0 * math.pi * i / sides),
         reach * math.sin(turn + 2.0 * math.pi * i / sides)) for i in range(sides)])


# Corners are sharp and stress is greatest in the middle of a side, where the mesh is coarse: the
# solution lies within a few parts in a thousand; a polygon of 200 sides is its circle.
@pytest.mark.parametrize(
    ("section", "sides", "within"),
    [("square", 4, 3e-3), ("hexagon", 6, 5e-3), ("round", 200, 3e-3)],
)
def test_yield_torque(section: Section, sides: int, within: float) -> None:
    across = 10.0
    geometry = Geometry(polygon(sides, across)).create_mesh(mesh_sizes=[0.1])
    solved = Solved(geometry)
    solved.calculate_geometric_properties()
    solved.calculate_warping_properties()
    stress = solved.calculate_stress(mzz=1.0).get_stress()[0]["sig_zxy"].max()
    # T = W τ_y: one newton-millimetre gives 1/W.
    factor = yield_torque(section, across, 1000.0 * math.sqrt(3.0))
    assert factor == pytest.approx(1.0 / stress, rel=within)


@pytest.mark.parametrize(("section", "sides"), [("square", 4), ("hexagon", 6), ("round", 400)])
def test_plastic_torque_is_twice_the_sand_heap(section: Section, sides: int) -> None:
    # The heap's volume, slice by slice: polygons similar to the whole, shrunk towards the middle.
    area = polygon(sides, 10.0).area
    slices = 2000
    height = 5.0  # slope 1, half the width across flats
    volume = sum(
        area * ((i + 0.5) / slices) ** 2 * height / slices for i in range(slices))
    assert plastic_torque(section, 10.0, 1000.0 * math.sqrt(3.0)) == pytest.approx(
        2.0 * volume, rel=1e-4)
