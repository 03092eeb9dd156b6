"""Every change that is offered keeps its promise, whatever the pack, the engine and the state."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.comparison.changes import changes
from app.comparison.run import compare
from app.comparison.wear import wear_curve, wear_reserve
from app.mechanics.inputs import (
    CentrifugalClamp,
    Clamp,
    CoilClamp,
    DiscClamp,
    DiscTableClamp,
    EngineInputs,
    LoadClamp,
    LoadPoint,
    MeasuredTorque,
    PackInputs,
    Quantity,
    SpringGroup,
    State,
)
from tests.comparison.applied import apply, ratio


def q(values: st.SearchStrategy[float], limit: float = 0.02) -> st.SearchStrategy[Quantity]:
    """A figure with a limit of a share of it."""
    return values.map(lambda v: Quantity(v, plus_minus=limit * v))


@st.composite
def spring_groups(draw: st.DrawFn) -> SpringGroup:
    free = draw(st.floats(25.0, 50.0))
    # Some groups are slack, at once or after some wear.
    pressed = draw(st.floats(-3.0, 15.0))
    known = draw(st.sampled_from(["rate", "points", "wire"]))
    group = SpringGroup(
        count=draw(st.integers(1, 10)), free_length_mm=Quantity(free, plus_minus=0.1),
        installed_length_mm=Quantity(free - pressed, plus_minus=0.1),
        shim_mm=Quantity(draw(st.floats(0.0, 2.0))),
        rate_n_per_mm=draw(q(st.floats(2.0, 40.0))) if known == "rate" else None,
        load_points=tuple(
            LoadPoint(float(s), s * draw(st.floats(9.0, 11.0))) for s in (2, 5, 9, 12)
        ) if known == "points" else (),
    )
    if known != "wire":
        return group
    wire = draw(st.floats(1.5, 3.0))
    return SpringGroup(
        group.count, group.free_length_mm, group.installed_length_mm, group.shim_mm,
        wire_mm=Quantity(wire), outside_mm=Quantity(wire * draw(st.floats(6.0, 10.0))),
        total_coils=Quantity(draw(st.floats(5.0, 9.0))), ends="closed_ground",
        shear_modulus_mpa=Quantity(79_300.0))


@st.composite
def discs(draw: st.DrawFn) -> DiscClamp:
    outside, t = draw(st.floats(70.0, 140.0)), draw(st.floats(1.2, 2.5))
    h0, series = t * draw(st.floats(0.5, 2.2)), draw(st.integers(1, 3))
    return DiscClamp(
        Quantity(outside, plus_minus=0.1), Quantity(outside * draw(st.floats(0.5, 0.75))),
        Quantity(t, plus_minus=0.01), Quantity(h0, plus_minus=0.02),
        Quantity(h0 * series * draw(st.floats(0.3, 1.3))), draw(st.integers(1, 2)), series)


@st.composite
def tables(draw: st.DrawFn) -> DiscTableClamp:
    forces = [0.0]
    for _ in range(6):
        forces.append(forces[-1] + draw(st.floats(20.0, 300.0)))
    points = tuple(LoadPoint(float(s), f) for s, f in enumerate(forces))
    return DiscTableClamp(points, Quantity(draw(st.floats(3.0, 5.8)), plus_minus=0.02))


weights = st.builds(
    CentrifugalClamp, st.integers(3, 8), q(st.floats(10.0, 40.0)), q(st.floats(30.0, 60.0)),
    q(st.floats(25.0, 60.0)), q(st.floats(0.0, 400.0)))
loads = st.builds(LoadClamp, q(st.floats(300.0, 3000.0)), q(st.floats(5.0, 120.0)))
coils = st.lists(spring_groups(), min_size=1, max_size=4).map(lambda g: CoilClamp(tuple(g)))
clamps: st.SearchStrategy[Clamp] = st.one_of(coils, coils, loads, discs(), tables(), weights)


@st.composite
def packs(draw: st.DrawFn, kind: st.SearchStrategy[Clamp] = clamps) -> PackInputs:
    outside = draw(st.floats(80.0, 150.0))
    plates, lined = draw(st.integers(1, 12)), draw(st.sampled_from([1, 2]))
    usual = plates * lined
    return PackInputs(
        friction_plates=plates, lined_faces_per_plate=lined,
        surfaces=draw(st.none() | st.integers(max(1, usual - 1), usual + 1)),
        facing_od_mm=Quantity(outside, plus_minus=0.1),
        facing_id_mm=Quantity(outside * draw(st.floats(0.6, 0.85)), plus_minus=0.1),
        mounting=draw(st.sampled_from(["crankshaft", "geared"])),
        facing=draw(st.sampled_from([None, "paper", "cork"])),
        friction={("oiled", "sliding"): draw(q(st.floats(0.05, 0.3), 0.1))},
        clamp=draw(kind), lift_mm=Quantity(draw(st.floats(0.5, 2.0))),
        stack_wear_limit_mm=Quantity(draw(st.floats(0.2, 2.0))))


@st.composite
def engines(draw: st.DrawFn) -> EngineInputs:
    teeth = draw(st.booleans())
    return EngineInputs(
        torque=MeasuredTorque(Quantity(draw(st.floats(3.0, 80.0))),
                              Quantity(draw(st.floats(3000.0, 11_000.0)))),
        primary_teeth=(draw(st.integers(15, 30)), draw(st.integers(45, 90))) if teeth else None,
        primary_ratio=None if teeth else Quantity(draw(st.floats(1.5, 4.5))),
        service_factor=Quantity(draw(st.floats(1.0, 2.0))))


states = st.builds(
    State, st.just("oiled"), st.just("sliding"), st.sampled_from([0.0, 0.0, 0.3, 0.9, None]),
    st.sampled_from(["uniform_wear", "uniform_pressure"]))


@given(packs(), engines(), states, st.floats(0.3, 3.0))
def test_an_option_applied_by_hand_gives_its_ratio(
    pack: PackInputs, engine: EngineInputs, state: State, factor: float
) -> None:
    now = ratio(pack, engine, state)
    target = factor * now if now > 0.0 else factor
    options = changes(pack, engine, state, target)
    assert bool(options) == (not math.isnan(now))
    for option in options:
        assert option.possible == (option.why_not is None)
        assert (option.by is None) == (option.result_ratio is None)
        if option.by is None:
            continue
        done = ratio(*apply(option, pack, engine, state), state)
        assert done == pytest.approx(option.result_ratio, rel=1e-9)
        if option.change != "friction_plates":
            assert done == pytest.approx(target, rel=1e-9)
        elif option.possible or factor > 1.0:
            assert done >= target * (1.0 - 1e-9)


@given(packs(), engines(), states, st.floats(1.02, 3.0))
def test_the_fewest_plates_that_reach_the_ratio_are_taken(
    pack: PackInputs, engine: EngineInputs, state: State, factor: float
) -> None:
    now = ratio(pack, engine, state)
    assume(now > 0.0)
    target = factor * now
    option = next(o for o in changes(pack, engine, state, target)
                  if o.change == "friction_plates")
    assert option.by is not None
    assert option.result_ratio is not None
    assert option.by >= 1.0
    per_plate = (option.result_ratio - now) / option.by
    assert option.result_ratio - per_plate < target * (1.0 + 1e-9)


@given(packs(), engines(), states)
def test_at_the_end_of_the_reserve_the_ratio_is_one(
    pack: PackInputs, engine: EngineInputs, state: State
) -> None:
    new = State(state.lubrication, state.friction, 0.0, state.radius)
    fresh = ratio(pack, engine, new)
    reserve = wear_reserve(pack, engine, state)
    wear = reserve.at_margin_gone
    if math.isnan(fresh) or fresh < 1.0:
        assert wear in (None, 0.0)
        return
    if isinstance(pack.clamp, CoilClamp | LoadClamp | DiscClamp | DiscTableClamp):
        # Each of these loses its load in the end; the table's first point is 0 N.
        assert wear is not None
    if wear is None:
        return
    worn = State(state.lubrication, state.friction, wear, state.radius)
    assert ratio(pack, engine, worn) == pytest.approx(1.0, rel=1e-9)
    # Until then there is margin.
    half = State(state.lubrication, state.friction, 0.5 * wear, state.radius)
    assert ratio(pack, engine, half) >= 1.0 - 1e-9


@given(packs(st.one_of(coils, loads, discs(), weights)), engines(), states)
def test_the_band_over_wear_is_that_of_the_board(
    pack: PackInputs, engine: EngineInputs, state: State
) -> None:
    curve = wear_curve(pack, state, 1.0, points=3, engine=engine)
    for i, wear in enumerate(curve.wear):
        at = State(state.lubrication, state.friction, float(wear), state.radius)
        board = compare([pack], [engine], at)
        # The engine has no doubt in its torque, so the board's band is the capacity's.
        required = float(board.required[0, 0])
        exact = {"rel": 1e-9, "abs": 1e-12, "nan_ok": True}
        assert curve.capacity[i] == pytest.approx(float(board.capacity[0, 0]), **exact)
        assert curve.low[i] == pytest.approx(float(board.low[0, 0]) * required, **exact)
        assert curve.high[i] == pytest.approx(float(board.high[0, 0]) * required, **exact)
