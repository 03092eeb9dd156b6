"""Spring wire: names, the two strength sets, the steps of the shear modulus."""

import doctest

import numpy as np
import pytest

from app.errors import BadInput
from app.mechanics import spring_wire
from app.mechanics.traced import Column, Traced


def test_docstring_examples() -> None:
    result = doctest.testmod(spring_wire)
    assert result.attempted == 2
    assert result.failed == 0


def test_every_row_has_a_source() -> None:
    assert all(row.source for row in spring_wire.wire_materials())
    assert all(row.source for row in spring_wire.wire_moduli())


@pytest.mark.parametrize("name", ["A228", "ASTM A228", "astm a228", "Music wire", "music-wire"])
def test_wire_by_grade_or_trade_name(name: str) -> None:
    wire = spring_wire.wire_material(name)
    assert wire.grade == "ASTM A228"
    assert wire.strength_set == "handbook"
    assert spring_wire.wire_material(name, "textbook").a_mpa == 2211.0


def test_each_grade_has_both_sets_and_one_choice() -> None:
    grades = {row.grade for row in spring_wire.wire_materials()}
    for grade in grades:
        rows = [row for row in spring_wire.wire_materials() if row.grade == grade]
        assert sorted(row.strength_set for row in rows) == ["handbook", "textbook"]
        assert [row.chosen for row in rows].count("yes") == 1
        assert any(row.grade == grade for row in spring_wire.wire_moduli())


@pytest.mark.parametrize("grade", ["A227", "A228", "A229", "A232", "A401"])
@pytest.mark.parametrize("wire_mm", [1.5, 2.0, 2.5, 3.0])
def test_the_chosen_strength_is_the_lower_one(grade: str, wire_mm: float) -> None:
    chosen = spring_wire.wire_material(grade).tensile_strength_mpa(wire_mm)
    textbook = spring_wire.wire_material(grade, "textbook").tensile_strength_mpa(wire_mm)
    # Chrome-silicon is the exception: the two sets are within 1.2 % of one another.
    assert chosen < textbook * (1.012 if grade == "A401" else 1.0)


def test_strength_takes_floats_arrays_and_traced_values_alike() -> None:
    wire = spring_wire.wire_material("A228")
    sizes = np.array([1.5, 2.0, 3.0])
    column = Column(sizes, np.full(3, 0.02), np.zeros(3))
    traced = wire.tensile_strength_mpa(Traced.of("wire_mm", column))
    expected = [wire.tensile_strength_mpa(float(d)) for d in sizes]
    np.testing.assert_allclose(wire.tensile_strength_mpa(sizes), expected, rtol=1e-15)
    np.testing.assert_allclose(traced.value, expected, rtol=1e-15)
    # d S_ut/dd = -m S_ut/d.
    np.testing.assert_allclose(
        traced.partials["wire_mm"], -wire.m * np.array(expected) / sizes, rtol=1e-12
    )


@pytest.mark.parametrize(
    ("wire_mm", "modulus"),
    [
        # Shigley, 9th edition, Table 10-5: edges 0.032, 0.063 and 0.125 in.
        (0.8128, 82700.0),
        (0.82, 81700.0),
        (1.6002, 81700.0),
        (1.61, 81000.0),
        (3.175, 81000.0),
        (3.2, 80000.0),
    ],
)
def test_music_wire_modulus_steps_with_size(wire_mm: float, modulus: float) -> None:
    assert spring_wire.wire_material("A228").shear_modulus_mpa(wire_mm) == modulus


def test_modulus_of_many_sizes_at_once_keeps_shape_and_unknowns() -> None:
    wire = spring_wire.wire_material("A227")
    got = wire.shear_modulus_mpa(np.array([[0.5, 1.0], [2.0, np.nan]]))
    np.testing.assert_array_equal(got, [[80700.0, 80000.0], [79300.0, np.nan]])
    one = spring_wire.wire_material("A229").shear_modulus_mpa(np.array([0.5, 5.0]))
    np.testing.assert_array_equal(one, [77200.0, 77200.0])


def test_modulus_refuses_a_wire_of_no_thickness() -> None:
    with pytest.raises(BadInput) as caught:
        spring_wire.wire_material("A228").shear_modulus_mpa(0.0)
    assert caught.value.problems[0].message == "Write a wire diameter above 0 mm."


def test_wire_outside_the_constants_range_is_told_apart() -> None:
    wire = spring_wire.wire_material("A228")
    assert wire.covers(2.0)
    assert not wire.covers(7.25)


def test_unknown_wire_lists_those_there_are() -> None:
    with pytest.raises(BadInput) as caught:
        spring_wire.wire_material("barbed")
    text = caught.value.problems[0].message
    assert "barbed" in text
    assert "music wire" in text
    assert text.count("ASTM A401") == 1
