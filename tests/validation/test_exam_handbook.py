"""Constants for spring wire of the reference handbook of the US engineering examination."""

import pytest

from app.mechanics.spring_wire import wire_material


def test_strength_of_music_wire() -> None:
    # Published answer: A228, d 7.25 mm, 1492 MPa (four digits).
    strength = wire_material("A228", "handbook").tensile_strength_mpa(7.25)
    assert strength == pytest.approx(1492.0, rel=5e-4)
    assert strength == pytest.approx(1491.53045436, rel=1e-9)


def test_strength_of_oil_tempered_wire() -> None:
    # Published answer: A229, d 10 mm, 1032 MPa (four digits).
    strength = wire_material("A229", "handbook").tensile_strength_mpa(10.0)
    assert strength == pytest.approx(1032.0, rel=5e-4)
    assert strength == pytest.approx(1032.347418302, rel=1e-9)


@pytest.mark.parametrize(
    ("grade", "low", "high"),
    [("A228", 1.08, 1.095), ("A229", 1.154, 1.16), ("A227", 1.186, 1.196)],
)
def test_how_far_the_two_sets_of_constants_differ(grade: str, low: float, high: float) -> None:
    # Shigley, Table 10-4, against this set, wire of 1.5 to 3 mm; both cannot be right.
    for wire in (1.5, 3.0):
        ratio = wire_material(grade, "textbook").tensile_strength_mpa(wire) / wire_material(
            grade, "handbook"
        ).tensile_strength_mpa(wire)
        assert low <= ratio <= high
