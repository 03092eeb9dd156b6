"""The made-up slip tests: the same each time, by the program's own law, marked as invented."""

import pytest

from app.comparison.slip_load import slip_load, with_springs
from app.comparison.slip_runs import BenchRun, fit_pack, run_load
from app.mechanics.inputs import PackInputs, State
from app.services.demo_tests import INSTRUMENTS, INVENTED, RUNS, MadeUpRun, made_up_tests
from tests.shop import shop_documents

STATE = State("oiled", "sliding")


@pytest.fixture(scope="module")
def inputs() -> dict[str, PackInputs]:
    return {pack.name: pack.to_inputs() for pack in shop_documents()[0]}


def test_a_seed_gives_the_same_readings_each_time(inputs: dict[str, PackInputs]) -> None:
    one, two, other = (list(made_up_tests(inputs, seed=seed)) for seed in (1, 1, 2))
    assert one == two
    assert one != other


def test_every_run_is_marked_as_invented(inputs: dict[str, PackInputs]) -> None:
    assert {gauge.notes for gauge in INSTRUMENTS} == {INVENTED}
    for _, test in made_up_tests(inputs):
        assert test.notes == INVENTED
        assert test.by == "Tern Hollow bench"


def test_the_readings_follow_the_law_within_their_scatter(inputs: dict[str, PackInputs]) -> None:
    for run, test in made_up_tests(inputs):
        load = slip_load(with_springs(inputs[run.pack], run.springs), STATE)
        law = run.share * run.mu * (load.surfaces or 0) * (load.clamp_n or 0.0) \
            * (load.effective_radius_mm or 0.0) / 1000.0
        for reading in test.readings:
            # Five times the scatter of run and reading together, and the rounding.
            off = 0.0 if reading.torque_nm is None else reading.torque_nm / law - 1.0
            assert abs(off) < 5 * 0.025 + 0.01


def test_one_run_ended_at_the_gauge_s_limit(inputs: dict[str, PackInputs]) -> None:
    bounds = [(run, test) for run, test in made_up_tests(inputs)
              if any(r.at_least_nm for r in test.readings)]
    ((run, test),) = bounds
    assert run.pack == "Bulrush 6"
    assert test.readings[0].at_least_nm == 60.0


def test_the_two_spring_runs_of_one_pack_depart_from_proportional(
    inputs: dict[str, PackInputs],
) -> None:
    runs = [(run, test) for run, test in made_up_tests(inputs) if run.pack == "Reed 8"]
    loads = [
        run_load(inputs["Reed 8"], STATE, BenchRun(
            str(n), tuple(r.to_reading() for r in test.readings), test.springs_fitted,
            excluded_reason=test.excluded_reason))
        for n, (_, test) in enumerate(runs)
    ]
    two = {load.run.key for load in loads if load.springs == 2}
    assert len(two) == 2
    fit = fit_pack(loads, (), "auto")
    assert fit.fit is not None
    assert fit.fit.p_proportional is not None
    assert fit.fit.p_proportional > 0.05
    taken = fit_pack(loads, two, "auto")
    assert taken.fit is not None
    assert taken.fit.p_proportional is not None
    assert taken.fit.p_proportional < 0.001


def test_a_pack_without_a_clamp_load_is_refused() -> None:
    run = MadeUpRun("Bare", 0.1, 3, INSTRUMENTS[0].name, "2026-10-01")
    with pytest.raises(ValueError, match="no clamp load"):
        list(made_up_tests({"Bare": PackInputs()}, [run]))
    assert len({run.pack for run in RUNS}) == 3
