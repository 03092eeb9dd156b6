"""Each caution appears where its reason is given, names its figure, and nowhere else."""

from dataclasses import replace

import pytest

from app.mechanics.coil_spring import rate_from_load_points
from app.mechanics.friction_source import OWN
from app.mechanics.inputs import (
    CurveTorque,
    DiscTableClamp,
    EngineInputs,
    LoadPoint,
    PackInputs,
    Quantity,
    State,
)
from app.mechanics.sides import pack_figures, pack_side
from app.mechanics.stack import stack_packs
from app.mechanics.validity import (
    doubt_cautions,
    engine_cautions,
    figure_cautions,
    pack_cautions,
    rate_cautions,
)
from tests.mechanics.samples import (
    DISC_TABLE,
    POINT_SPRING,
    WIRE_SPRING,
    coil_pack,
    curve_engine,
    load_pack,
    measured_engine,
    power_engine,
    q,
    table_pack,
)

OILED_KEY = ("oiled", "sliding")


def places(cautions):
    return {c.code: c.where for c in cautions}


def test_ordinary_records_call_for_no_remark():
    assert pack_cautions(coil_pack(), State()) == []
    assert pack_cautions(PackInputs(), None) == []
    assert engine_cautions(measured_engine(), "geared") == []


@pytest.mark.parametrize(
    ("changes", "code", "where"),
    [
        ({"plain_plates": 9}, "plain_plates_unusual", "pack.plain_plates"),
        ({"surfaces": 10}, "surfaces_overridden", "pack.surfaces"),
        ({"lined_faces_per_plate": 3}, "lined_faces_unusual", "pack.lined_faces_per_plate"),
        ({"facing_id_mm": q(96.0)}, "facing_width_unusual", "pack.facing_id_mm"),
        ({"facing_id_mm": q(30.0)}, "facing_width_unusual", "pack.facing_id_mm"),
        ({"friction": {OILED_KEY: q(0.7)}}, "friction_unusual", "pack.friction.oiled.sliding"),
        ({"friction_source": {OILED_KEY: "a book"}}, "friction_from_table",
         "pack.friction.oiled.sliding"),
    ],
)
def test_what_is_unusual_in_a_pack_is_said_once(changes, code, where):
    assert places(pack_cautions(load_pack(**changes), State())) == {code: where}


@pytest.mark.parametrize(
    "changes",
    [{"plain_plates": 5}, {"plain_plates": 6}, {"plain_plates": 7},
     {"surfaces": 10, "surfaces_reason": "one plate is bare"}, {"surfaces": 12},
     {"friction_source": {OILED_KEY: OWN}}],
)
def test_what_is_usual_or_explained_passes(changes):
    assert pack_cautions(load_pack(**changes), State()) == []


def test_fewer_than_three_springs_tilt_the_plate():
    two = coil_pack(replace(WIRE_SPRING, count=1), replace(WIRE_SPRING, count=1))
    assert places(pack_cautions(two, None)) == {"few_springs": "pack.clamp.springs.0.count"}
    assert pack_cautions(coil_pack(replace(WIRE_SPRING, count=3)), None) == []


def test_a_wire_that_is_in_no_table_is_named():
    cheese = replace(WIRE_SPRING, wire_material="cheese", shear_modulus_mpa=None)
    found = pack_cautions(coil_pack(WIRE_SPRING, cheese), None)
    assert places(found) == {
        "wire_material_not_in_table": "pack.clamp.springs.1.wire_material"}
    assert "cheese" in found[0].text
    for known in (replace(cheese, shear_modulus_mpa=q(79300.0)), replace(cheese, wire_mm=None),
                  replace(cheese, wire_material="music wire")):
        assert pack_cautions(coil_pack(known), None) == []


@pytest.mark.parametrize(
    ("points", "code"),
    [(((4.0, 40.0),), "load_points_no_doubt"),
     (((4.0, 40.0), (4.0, 41.0)), "load_points_unfit"),
     (((0.0, 40.0),), "load_points_unfit")],
)
def test_load_points_say_what_they_cannot_tell(points, code):
    group = replace(POINT_SPRING, load_points=tuple(LoadPoint(*p) for p in points))
    where = "pack.clamp.springs.0.load_points"
    assert places(pack_cautions(coil_pack(group), None)) == {code: where}
    given = replace(group, rate_n_per_mm=q(10.0))
    assert pack_cautions(coil_pack(given), None) == []


def test_a_fitted_rate_says_when_it_falls_lacks_doubt_or_misses_zero():
    x = [2.0, 4.0, 6.0, 8.0]
    good = rate_from_load_points(x, [20.1, 39.8, 60.2, 79.9])
    assert rate_cautions(good) == []
    offset = rate_from_load_points(x, [50.1, 69.8, 90.2, 109.9])
    assert places(rate_cautions(offset)) == {"load_points_intercept": "load_points"}
    assert "30.0 N" in rate_cautions(offset)[0].text
    falling = rate_from_load_points([2.0, 4.0], [40.0, 20.0])
    assert [c.code for c in rate_cautions(falling, "here")] == [
        "rate_not_positive", "load_points_no_doubt"]


def figures_of(pack, state=None):
    chosen = state or State()
    sheet = stack_packs([pack], chosen)
    side = pack_side(sheet, chosen)
    return figure_cautions(pack, side, pack_figures(sheet, side))


def test_sound_figures_call_for_no_remark_and_unknown_ones_neither():
    assert figures_of(coil_pack()) == []
    assert figures_of(PackInputs()) == []


def test_a_deflection_beyond_the_measured_points_is_said_since_no_figure_can_be():
    beyond = table_pack(clamp=replace(DISC_TABLE, installed_deflection_mm=q(4.5)))
    found = figures_of(beyond)
    assert places(found) == {"outside_load_table": "pack.clamp.points"}
    assert "4.50 mm" in found[0].text
    assert figures_of(beyond, State(wear_mm=0.6)) == []
    assert figures_of(beyond, State(wear_mm=5.0)) != []
    for unknown in (DiscTableClamp(), replace(DISC_TABLE, points=())):
        assert figures_of(table_pack(clamp=unknown)) == []


def test_slack_springs_press_with_nothing_and_are_not_called_solid():
    slack = coil_pack(replace(WIRE_SPRING, installed_length_mm=q(43.0)))
    assert places(figures_of(slack)) == {"no_clamp": "pack.clamp"}


@pytest.mark.parametrize(
    ("lift", "code"), [(1.2, None), (6.95, None), (7.0, "clash_allowance_low"),
                       (9.8, "clash_allowance_low"), (9.95, "coil_bind"), (12.0, "coil_bind")])
def test_room_before_the_coils_touch(lift, code):
    """27.5 mm installed, 17.6 mm solid: 9.9 mm of lift; 15 % are left at 6.98 mm."""
    found = places(figures_of(coil_pack(lift_mm=q(lift))))
    assert found == ({} if code is None else {code: "pack.clamp.springs.0"})


@pytest.mark.parametrize(
    ("mean", "unusual"), [(8.79, True), (8.81, False), (26.39, False), (26.41, True)])
def test_spring_index_from_four_to_twelve_is_usual(mean, unusual):
    group = replace(WIRE_SPRING, outside_mm=None, mean_mm=q(mean))
    found = places(figures_of(coil_pack(group)))
    assert found == ({"spring_index_unusual": "pack.clamp.springs.0.wire_mm"} if unusual else {})


def test_facing_pressure_is_held_against_the_stated_limit():
    # 900 N on 2985.8 mm² is 0.3014 MPa.
    high = figures_of(load_pack(pressure_limit_mpa=0.3, pressure_limit_source="a book"))
    assert places(high) == {"facing_pressure_high": "pack.facing"}
    assert "a book" in high[0].text
    assert figures_of(load_pack(pressure_limit_mpa=0.31)) == []


@pytest.mark.parametrize(
    ("engine", "mounting", "code", "where"),
    [
        (measured_engine(service_factor=None), "geared", "no_service_factor",
         "engine.service_factor"),
        (power_engine(service_factor=q(1.0)), "geared", "torque_at_power_peak",
         "engine.torque.power_kw"),
        (measured_engine(), "crankshaft", "primary_gear_not_used", "engine.primary_ratio"),
        (measured_engine(displacement_cc=q(130.0), bore_mm=q(54.0), stroke_mm=q(54.0)), "geared",
         "displacement_disagrees", "engine.displacement_cc"),
        (curve_engine(service_factor=q(1.0),
                      torque=CurveTorque(((3000.0, 20.0), (4000.0, 22.0)))), "geared",
         "torque_peak_at_edge", "engine.torque.points"),
    ],
)
def test_what_is_doubtful_in_an_engine_is_said_once(engine, mounting, code, where):
    assert places(engine_cautions(engine, mounting)) == {code: where}


def test_what_is_sound_in_an_engine_passes():
    bored = measured_engine(displacement_cc=q(124.0), bore_mm=q(54.0), stroke_mm=q(54.0))
    assert engine_cautions(bored, "geared") == []
    assert engine_cautions(curve_engine(service_factor=q(1.0)), "geared") == []
    one_point = CurveTorque(((3000.0, 20.0),))
    assert engine_cautions(EngineInputs(torque=one_point, service_factor=q(1.0)), None) == []


def test_one_dominant_limit_warns_and_a_dominant_standard_uncertainty_does_not():
    limit, normal = {"a": Quantity(1.0, plus_minus=0.1)}, {"a": Quantity(1.0, std=0.1)}
    assert places(doubt_cautions([("a", 0.81)], limit, 0.1)) == {"one_limit_dominates": "a"}
    assert doubt_cautions([("a", 0.79)], limit, 0.1) == []
    assert doubt_cautions([("a", 0.95)], normal, 0.1) == []
    assert doubt_cautions([("b", 0.95)], limit, 0.1) == []


def test_a_wide_standard_uncertainty_is_said_to_be_read_as_log_normal():
    wide = {"a": Quantity(-1.0, std=0.21), "b": Quantity(1.0, std=0.19)}
    assert places(doubt_cautions([], wide, 0.1)) == {"read_as_log_normal": "a"}


def test_a_ratio_that_is_hardly_known_is_said_to_be():
    assert [c.code for c in doubt_cautions([], {}, 0.36)] == ["doubt_very_large"]
    assert doubt_cautions([], {}, 0.34) == []


def test_a_length_whose_doubt_grows_in_the_compression_is_named():
    path = "pack.clamp.springs.0.free_length_mm"
    rough = {path: Quantity(40.0, plus_minus=4.0), "b": Quantity(1.0, plus_minus=0.1)}
    # Half of a variance of 0.2² is a limit of 0.2 √1.5 = 0.245.
    found = doubt_cautions([(path, 0.5), ("b", 0.5)], rough, 0.2)
    assert places(found) == {"length_doubt_amplified": path}
    assert "24 %" in found[0].text
    assert doubt_cautions([(path, 0.5)], rough, 0.12) == []
    assert doubt_cautions([(path, 0.5)], {path: Quantity(40.0, std=2.0)}, 0.2) == []


def test_worn_to_nothing_is_said():
    assert places(figures_of(load_pack(), State(wear_mm=20.0))) == {"no_clamp": "pack.clamp"}
