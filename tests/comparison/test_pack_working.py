"""Every line of a pack's working against the `uncertainties` library, value and doubt."""

import math
from dataclasses import replace

import pytest
from scipy.interpolate import PchipInterpolator
from uncertainties import umath, wrap

from app.comparison.cell import evaluate
from app.mechanics.friction_source import TESTED
from app.mechanics.inputs import PackInputs, State
from tests.comparison.oracle import agree, u
from tests.mechanics.samples import (
    DISC,
    DISC_TABLE,
    WEIGHTS,
    coil_pack,
    disc_pack,
    load_pack,
    measured_engine,
    q,
    table_pack,
    weights_pack,
)


def working(pack, state=None, engine=None):
    return {line.name: line for line in evaluate(pack, engine, state or State()).working
            if line.group is None}


def common(pack, clamp, radius="uniform_wear"):
    """Radius, area, pressures and capacity with the clamp load as it came about."""
    outer, inner, grooved = u(pack.facing_od_mm) / 2, u(pack.facing_id_mm) / 2, u(
        pack.grooved_fraction)
    mean = (outer + inner) / 2
    if radius == "uniform_pressure":
        mean = 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2)
    area = math.pi * (outer**2 - inner**2) * (1 - grooved)
    friction = u(pack.friction[("oiled", "sliding")])
    return {
        "effective_radius_mm": mean,
        "facing_area_mm2": area,
        "facing_pressure_mean_mpa": clamp / area,
        "facing_pressure_max_mpa": clamp / (2 * math.pi * inner * (outer - inner) * (1 - grooved)),
        "clamp_n": clamp,
        "capacity_nm": friction * 12 * clamp * mean / 1000,
    }


@pytest.mark.parametrize("radius", ["uniform_wear", "uniform_pressure"])
def test_measured_load(radius):
    pack = load_pack()
    force, rate = u(pack.clamp.force_n), u(pack.clamp.rate_n_per_mm)
    lines = working(pack, State(wear_mm=0.3, radius=radius))
    for name, expected in common(pack, force - 0.3 * rate, radius).items():
        agree(lines[name], expected)
    agree(lines["clamp_worn_n"], force - rate * u(pack.stack_wear_limit_mm))
    agree(lines["clamp_lifted_n"], force + rate * u(pack.lift_mm))
    assert lines["surfaces"].value == 12.0
    assert lines["surfaces"].std == 0.0


def test_worn_to_its_own_limit_the_limits_doubt_enters_the_clamp():
    pack = load_pack()
    clamp = u(pack.clamp.force_n) - u(pack.clamp.rate_n_per_mm) * u(pack.stack_wear_limit_mm)
    agree(working(pack, State(wear_mm=None))["clamp_n"], clamp)


def disc_force(deflection, c):
    """EN 16984 in its printed form."""
    ratio = c["outside_mm"] / c["inside_mm"]
    k1 = ((ratio - 1) / ratio) ** 2 / ((ratio + 1) / (ratio - 1) - 2 / umath.log(ratio)) / math.pi
    t, h = c["thickness_mm"], c["cone_height_mm"]
    front = 4 * c["modulus_mpa"] / (1 - c["poisson"] ** 2) * t**4 / (k1 * c["outside_mm"] ** 2)
    return front * deflection / t * ((h / t - deflection / t) * (h / t - deflection / (2 * t)) + 1)


def test_disc_springs_in_parallel_and_series():
    pack = disc_pack()
    c = {n: u(getattr(DISC, n)) for n in (
        "outside_mm", "inside_mm", "thickness_mm", "cone_height_mm", "installed_deflection_mm",
        "modulus_mpa", "poisson")}
    s = c["installed_deflection_mm"]
    lines = working(pack)
    for name, expected in common(pack, 2 * disc_force(s / 2, c)).items():
        agree(lines[name], expected)
    agree(lines["clamp_worn_n"], 2 * disc_force((s - u(pack.stack_wear_limit_mm)) / 2, c))
    agree(lines["clamp_lifted_n"], 2 * disc_force((s + u(pack.lift_mm)) / 2, c))


def test_measured_disc_spring():
    x, y = zip(*((p.deflection_mm, p.force_n) for p in DISC_TABLE.points), strict=True)
    curve = PchipInterpolator(x, y)
    force = wrap(lambda s: float(curve(s)), [lambda s: float(curve.derivative()(s))])
    pack = table_pack()
    s = u(DISC_TABLE.installed_deflection_mm)
    lines = working(pack, State(wear_mm=0.2))
    for name, expected in common(pack, force(s - 0.2)).items():
        agree(lines[name], expected)
    agree(lines["clamp_lifted_n"], force(s + u(pack.lift_mm)))


def test_weights_on_ramps_with_the_engines_speed():
    pack, engine = weights_pack(), measured_engine()
    c = {n: u(getattr(WEIGHTS, n)) for n in (
        "weight_mass_g", "radius_mm", "ramp_angle_deg", "return_force_n")}
    omega = u(engine.torque.speed_rpm) * 22 / 69 * math.pi / 30
    ramp = umath.tan(c["ramp_angle_deg"] * math.pi / 180)

    def force(wear):
        out = c["radius_mm"] + wear / ramp
        return 6e-6 * c["weight_mass_g"] * out * omega**2 / ramp - c["return_force_n"]

    lines = working(pack, State(wear_mm=0.4), engine)
    for name, expected in common(pack, force(0.4)).items():
        agree(lines[name], expected)
    agree(lines["clamp_worn_n"], force(u(pack.stack_wear_limit_mm)))
    assert "clamp_lifted_n" not in lines


def test_a_step_that_lacks_an_input_is_left_out():
    lines = working(replace(load_pack(), lift_mm=None, stack_wear_limit_mm=None))
    assert {"clamp_n", "capacity_nm"} <= set(lines)
    assert not {"clamp_lifted_n", "clamp_worn_n"} & set(lines)
    assert working(PackInputs()) == {}


def test_without_a_state_no_capacity_is_made_up():
    result = evaluate(load_pack(), None, None)
    assert "clamp_n" in {line.name for line in result.working}
    assert "capacity_nm" not in {line.name for line in result.working}


def test_stated_faces_show_their_reason():
    told = working(load_pack(surfaces=11, surfaces_reason="one plate is bare"))["surfaces"]
    assert "one plate is bare" in told.substituted
    assert "no reason given" in working(load_pack(surfaces=11))["surfaces"].substituted


@pytest.mark.parametrize("pack", [coil_pack(), load_pack(), disc_pack(), table_pack()])
def test_every_line_says_its_formula_its_numbers_and_its_source(pack):
    for line in evaluate(pack, measured_engine(), State(wear_mm=0.3)).working:
        assert line.formula, line.name
        assert line.substituted, line.name
        assert line.source, line.name
        assert "nan" not in line.substituted, line


def test_faces_that_count_after_the_splines_by_plate_and_with_their_doubt():
    pack = load_pack(spline_major_mm=q(24.0, 0.1), basket_spline_mm=q(118.0, 0.2))
    lines = working(pack, State(spline_friction=0.1))
    mu, radius = u(pack.friction[("oiled", "sliding")]), (
        u(pack.facing_od_mm) + u(pack.facing_id_mm)) / 4
    outer, inner = u(pack.basket_spline_mm), u(pack.spline_major_mm)
    load = total = 1.0
    for face in range(1, 12):
        arm = (outer if face % 2 else inner) / 2
        kappa = mu * 0.1 * radius / arm
        load = load * (1 - kappa) / (1 + kappa)
        total = total + load
    agree(lines["effective_faces"], total)
    agree(lines["capacity_nm"], mu * total * u(pack.clamp.force_n) * radius / 1000)
    assert "effective_faces" not in working(pack)
    assert "upper bound" in lines["effective_faces"].source


def test_the_loss_is_said_to_be_the_most_and_to_be_in_a_tested_figure_already():
    lossy = State(spline_friction=0.1)
    known = load_pack(spline_major_mm=q(24.0), basket_spline_mm=q(118.0))
    codes = {c.code for c in evaluate(known, None, lossy).cautions}
    assert "spline_loss_most" in codes
    tested = replace(known, friction_source={("oiled", "sliding"): TESTED})
    answer = evaluate(tested, None, lossy)
    assert "spline_loss_tested" in {c.code for c in answer.cautions}
    assert "effective_faces" not in {line.name for line in answer.working}
    assert not {c.code for c in evaluate(known, None, State()).cautions} & {
        "spline_loss_most", "spline_loss_tested"}


def test_a_tested_figure_says_which_radius_it_goes_with():
    flat = State(radius="uniform_pressure")
    pack = load_pack()
    tested = replace(pack, friction_source={("oiled", "sliding"): TESTED})
    (told,) = [c for c in evaluate(tested, None, flat).cautions if c.code == "tested_radius"]
    by_wear, by_pressure = (working(tested, state)["capacity_nm"].value
                            for state in (State(), flat))
    share = float(told.text.split(" % above what was tested")[0].rpartition(" ")[2])
    assert share == pytest.approx(100.0 * (by_pressure / by_wear - 1.0), rel=0.05)
    assert told.where == "pack.friction.oiled.sliding"
    for other, state in ((tested, State()), (pack, flat)):
        assert "tested_radius" not in {c.code for c in evaluate(other, None, state).cautions}
    bare = replace(tested, facing_od_mm=None)
    assert "tested_radius" not in {c.code for c in evaluate(bare, None, flat).cautions}
