"""Lines of a working: once a record or once a group, and nothing where an input lacks."""

import math

import numpy as np
import pytest

from app.comparison.working_lines import Lines, entered, number, plain
from app.mechanics.inputs import State
from app.mechanics.stack import stack_packs
from app.mechanics.traced import Column, Traced
from tests.mechanics.samples import GIVEN_SPRING, coil_pack

COLUMNS = {"x": Column(np.array([[2.0, 3.0]]), np.array([[0.3, 0.6]]), np.zeros((1, 2)))}


def test_a_group_figure_makes_a_line_for_each_group_with_its_own_doubt():
    lines = Lines(COLUMNS, [])
    lines.add("x", Traced.of("x", COLUMNS["x"]), "mm", "x", lambda g: f"spring {g}", "ours", 2)
    assert [(n.group, n.value, n.substituted) for n in lines.found] == [
        (0, 2.0, "spring 0"), (1, 3.0, "spring 1")]
    assert [n.std for n in lines.found] == pytest.approx([0.3 / 3**0.5, 0.6 / 3**0.5])


def test_a_record_figure_makes_one_line_without_a_group_and_repeats_for_groups_on_demand():
    lines = Lines({}, [])
    lines.add("x", Traced(np.array([[7.0]])), "mm", "x", "as stated", "ours")
    lines.add("y", Traced(np.array([[8.0]])), "mm", "y", "as stated", "ours", 2)
    assert [(n.name, n.group, n.std) for n in lines.found] == [
        ("x", None, 0.0), ("y", 0, 0.0), ("y", 1, 0.0)]


@pytest.mark.parametrize("gap", [math.nan, math.inf])
def test_a_step_that_lacks_an_input_is_left_out(gap):
    lines = Lines({}, [])
    lines.add("x", Traced(np.array([[1.0, gap]])), "mm", "x", "", "ours", 2)
    lines.add("y", None, "mm", "y", "", "ours")
    assert [n.group for n in lines.found] == [0]


def test_numbers_have_the_digits_that_repeat_the_step():
    assert (plain(12.0), plain(1 / 3), plain(79300.0)) == ("12", "0.3333333", "79300")
    sheet = stack_packs([coil_pack(GIVEN_SPRING)], State())
    assert entered(sheet, "pack.facing_od_mm") == "100"
    assert number(Traced(np.array([[1.5, 2.5]])), 1) == "2.5"
    assert number(Traced(np.array([[1.5]])), 1) == "1.5"
