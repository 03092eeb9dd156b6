"""Quantities refuse two doubts at once and know their uncertainty; nothing is filled in."""

import math
from dataclasses import FrozenInstanceError, fields

import pytest

from app.mechanics.inputs import (
    CentrifugalClamp,
    DiscClamp,
    EngineInputs,
    LoadClamp,
    PackInputs,
    Quantity,
    SpringGroup,
)


def test_limit_is_a_rectangular_doubt():
    assert Quantity(10.0, plus_minus=0.6).standard_uncertainty == pytest.approx(0.6 / math.sqrt(3))


def test_standard_uncertainty_is_taken_as_it_is():
    assert Quantity(10.0, std=0.25).standard_uncertainty == 0.25


@pytest.mark.parametrize("exact", [Quantity(10.0), Quantity(10.0, plus_minus=0.0)])
def test_bare_number_and_zero_limit_are_exact(exact):
    assert exact.standard_uncertainty == 0.0


def test_two_doubts_are_refused_with_words_for_both():
    with pytest.raises(ValueError, match=r"plus_minus .* or std .*, not both"):
        Quantity(1.0, plus_minus=0.1, std=0.1)


def test_a_quantity_cannot_be_changed_behind_the_back_of_a_result():
    with pytest.raises(FrozenInstanceError):
        Quantity(1.0).value = 2.0


@pytest.mark.parametrize("kind", [PackInputs, EngineInputs, SpringGroup, LoadClamp,
                                  CentrifugalClamp])
def test_an_empty_record_knows_no_figure_but_the_neutral_ones(kind):
    neutral = {"grooved_fraction": 0.0, "shim_mm": 0.0, "primary_efficiency": 1.0}
    empty = kind()
    for f in fields(kind):
        value = getattr(empty, f.name)
        if isinstance(value, Quantity):
            assert value == Quantity(neutral[f.name]), f.name


def test_a_disc_spring_is_of_steel_unless_said_otherwise():
    assert (DiscClamp().modulus_mpa.value, DiscClamp().poisson.value) == (206000.0, 0.3)
