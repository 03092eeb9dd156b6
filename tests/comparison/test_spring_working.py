"""Every line of the springs' working, with the wire diameter as one variable throughout."""

import math
from dataclasses import replace

import pytest
import statsmodels.api as sm
from scipy.stats import t as student
from uncertainties import ufloat

from app.comparison.cell import evaluate
from app.mechanics import doubt
from app.mechanics.inputs import LoadPoint, Quantity, State
from tests.comparison.oracle import agree, u
from tests.mechanics.samples import (
    GIVEN_SPRING,
    LOAD_POINTS,
    POINT_SPRING,
    WIRE_SPRING,
    coil_pack,
    q,
)


def lines_of(*groups, **changes):
    result = evaluate(coil_pack(*groups, **changes), None, State())
    return {(line.name, line.group): line for line in result.working}, result


def wire_figures(group, mean_of):
    """Rate, coils, solid length and stress per newton with d as one variable."""
    d, coils, shear = u(group.wire_mm), u(group.total_coils), u(group.shear_modulus_mpa)
    mean, active = mean_of(d), coils - 2
    index = mean / d
    wahl = (4 * index - 1) / (4 * index - 4) + 0.615 / index
    return {
        "active_coils": active,
        "spring_index": index,
        "spring_rate_from_wire_n_per_mm": shear * d**4 / (8 * mean**3 * active),
        "solid_length_mm": d * coils,
        "stress_per_newton": wahl * 8 * mean / (math.pi * d**3),
    }


@pytest.mark.parametrize(
    ("known", "size", "mean_of"),
    [
        ("outside_mm", 16.0, lambda size: lambda d: size - d),
        ("inside_mm", 11.6, lambda size: lambda d: size + d),
        ("mean_mm", 13.8, lambda size: lambda _: size),
    ],
)
def test_wire_diameter_is_one_variable_in_mean_rate_solid_length_and_stress(known, size, mean_of):
    entry = q(size, 0.05)
    group = replace(WIRE_SPRING, **{"outside_mm": None, known: entry})
    lines, result = lines_of(group)
    expected = wire_figures(group, mean_of(u(entry)))
    per_newton = expected.pop("stress_per_newton")
    for name, figure in expected.items():
        agree(lines[(name, 0)], figure)
    rate = expected["spring_rate_from_wire_n_per_mm"]
    agree(lines[("spring_rate_n_per_mm", 0)], rate)
    free, installed, shim = (
        u(group.free_length_mm), u(group.installed_length_mm), u(group.shim_mm))
    lift = u(coil_pack().lift_mm)
    pressed = free - installed + shim
    agree(lines[("clamp_n", None)], 6 * rate * pressed)
    agree(lines[("clamp_lifted_n", None)], 6 * rate * (pressed + lift))
    agree(lines[("spring_stress_installed_mpa", 0)], per_newton * rate * pressed)
    agree(lines[("spring_stress_lifted_mpa", 0)], per_newton * rate * (pressed + lift))
    room = installed - shim - lift - expected["solid_length_mm"]
    agree(lines[("clash_allowance", 0)], room / (pressed + lift))
    friction, radius = u(q(0.12, 0.012)), (u(q(100.0, 0.1)) + u(q(76.0, 0.1))) / 4
    capacity = friction * 12 * 6 * rate * pressed * radius / 1000
    agree(lines[("capacity_nm", None)], capacity)
    assert result.capacity.std == pytest.approx(capacity.std_dev, rel=1e-9)


def test_groups_of_different_kinds_add_up_with_their_own_doubts():
    lines, result = lines_of(WIRE_SPRING, POINT_SPRING, GIVEN_SPRING)
    wire = wire_figures(WIRE_SPRING, lambda d: u(WIRE_SPRING.outside_mm) - d)
    fit = sm.OLS([p.force_n for p in LOAD_POINTS],
                 sm.add_constant([p.deflection_mm for p in LOAD_POINTS])).fit()
    measured = ufloat(fit.params[1], fit.bse[1]) * ufloat(1.0, 0.02 / math.sqrt(3))
    agree(lines[("spring_rate_from_load_points_n_per_mm", 1)], measured)
    agree(lines[("spring_rate_n_per_mm", 2)], u(GIVEN_SPRING.rate_n_per_mm))
    rates = (wire["spring_rate_from_wire_n_per_mm"], measured, u(GIVEN_SPRING.rate_n_per_mm))
    total = sum(
        group.count * rate * (u(group.free_length_mm) - u(group.installed_length_mm)
                              + u(group.shim_mm))
        for group, rate in zip((WIRE_SPRING, POINT_SPRING, GIVEN_SPRING), rates, strict=True)
    )
    agree(lines[("clamp_n", None)], total)
    assert sum(share for _, share in result.shares) == pytest.approx(1.0)
    used = [lines[("spring_rate_n_per_mm", g)].substituted for g in range(3)]
    assert used == ["the rate from the wire", "the rate of the load points", "the given rate"]


def test_each_group_has_its_own_lines_and_a_group_without_wire_has_none_of_the_wires():
    lines, _ = lines_of(GIVEN_SPRING, WIRE_SPRING)
    assert ("spring_index", 1) in lines
    assert not [key for key in lines if key[1] == 0 and key[0] != "spring_rate_n_per_mm"]


EXACT_WIRE = {n: Quantity(getattr(WIRE_SPRING, n).value) for n in (
    "wire_mm", "outside_mm", "total_coils", "shear_modulus_mpa")}


def both_ways(**changes):
    return replace(WIRE_SPRING, load_points=LOAD_POINTS, tester_limit=0.02, **changes)


def en(group):
    lines, result = lines_of(group)
    line = lines.get(("rate_agreement_en", 0))
    codes = {c.code for c in result.cautions}
    return (None if line is None else line.value), codes, lines


def wire_half_width(lines):
    """Half of the 95 % interval of the wire's rate, whose doubt is nearly normal."""
    return doubt.Z95 * lines[("spring_rate_from_wire_n_per_mm", 0)].std


def test_agreement_of_measured_and_computed_rate():
    value, codes, lines = en(both_ways())
    fit = sm.OLS([p.force_n for p in LOAD_POINTS],
                 sm.add_constant([p.deflection_mm for p in LOAD_POINTS])).fit()
    scatter = student.ppf(0.975, 2) * fit.bse[1]
    # 95 % of a rectangular scale error lie within 95 % of its limit.
    measured = math.hypot(scatter, 0.95 * 0.02 * fit.params[1])
    computed = lines[("spring_rate_from_wire_n_per_mm", 0)].value
    expected = abs(fit.params[1] - computed) / math.hypot(measured, wire_half_width(lines))
    assert value == pytest.approx(expected, rel=0.03)
    assert value > 1.0
    assert "rates_disagree" in codes


def test_rates_that_agree_are_not_remarked():
    wire = 79300.0 * 2.2**4 / (8.0 * 13.8**3 * 6.0)
    points = tuple(LoadPoint(x, wire * x + e) for x, e in
                   ((4.0, 0.3), (8.0, -0.4), (12.0, -0.2), (16.0, 0.3)))
    value, codes, _ = en(replace(both_ways(), load_points=points))
    assert value < 0.3
    assert "rates_disagree" not in codes


@pytest.mark.parametrize(("share", "told"), [(1.19, "by 19 %"), (1.004, ""), (0.99, "by 1 %")])
def test_rates_without_any_doubt_have_no_score_and_are_told_where_they_differ(share, told):
    bare = {n: Quantity(getattr(WIRE_SPRING, n).value) for n in (
        "wire_mm", "outside_mm", "total_coils", "shear_modulus_mpa")}
    computed = 79300.0 * 2.2**4 / (8.0 * 13.8**3 * 6.0)
    given = replace(WIRE_SPRING, **bare, rate_n_per_mm=Quantity(computed / share))
    lines, result = lines_of(given)
    assert ("rate_agreement_en", 0) not in lines
    found = [c.text for c in result.cautions if c.code == "rates_disagree"]
    assert len(found) == bool(told)
    assert all(told in text and "neither is given a doubt" in text for text in found)


def test_a_given_rate_is_held_against_the_wire_and_the_points_against_the_wire_first():
    given, _, lines = en(replace(WIRE_SPRING, rate_n_per_mm=Quantity(20.0, std=0.5)))
    assert "given against wire" in lines[("rate_agreement_en", 0)].substituted
    assert given > 1.0
    _, _, lines = en(both_ways(rate_n_per_mm=Quantity(20.0, std=0.5)))
    assert "load points against wire" in lines[("rate_agreement_en", 0)].substituted


def test_agreement_is_per_group():
    lines, _ = lines_of(GIVEN_SPRING, both_ways())
    alone, _, _ = en(both_ways())
    assert lines[("rate_agreement_en", 1)].value == pytest.approx(alone)
    assert ("rate_agreement_en", 0) not in lines


def test_one_way_only_or_two_exact_ways_make_no_score():
    assert en(WIRE_SPRING)[0] is None
    assert en(replace(WIRE_SPRING, rate_n_per_mm=Quantity(20.0), **EXACT_WIRE))[0] is None


def test_two_points_leave_the_testers_limit_as_the_only_doubt():
    value, _, lines = en(replace(both_ways(), load_points=LOAD_POINTS[:2], **EXACT_WIRE))
    rate = lines[("spring_rate_from_load_points_n_per_mm", 0)].value
    computed = lines[("spring_rate_from_wire_n_per_mm", 0)].value
    assert value == pytest.approx(abs(rate - computed) / (0.95 * 0.02 * rate))
