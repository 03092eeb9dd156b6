"""From the log to the pack's own friction and back, on both databases."""

from datetime import date

import pytest
import sqlalchemy as sa

from app.documents import Instrument
from app.errors import BadInput, NotFound, StaleRecord
from app.mechanics.friction_source import OWN, TESTED
from app.records.bookkeeping import Change
from app.records.database import WriteSession, catalogue_revision, writing
from app.services.board_inputs import packs_of
from app.services.catalogue import instruments, packs, slip_tests
from app.services.slip_fitting import (
    fit_of_pack,
    fitted_mu,
    inputs_of,
    loads_of,
    put_friction_back,
    runs_of,
    states_tested,
    take_friction,
    taken_at,
)
from tests.factories import make_pack, make_slip_test

STATE = ("oiled", "sliding")
TODAY = date(2026, 11, 25)


def filled(session: WriteSession, **more: object) -> str:
    pack = packs.add(session, make_pack(), by="a")
    for springs, torques in ((6, (31.0, 32.0)), (4, (21.0, 21.2)), (3, (15.4, 15.9))):
        readings = [{"torque_nm": t} for t in torques]
        test = make_slip_test(pack.id, springs_fitted=springs, readings=readings, **more)
        slip_tests.add(session, test, by="a")
    return pack.id


def take(session: WriteSession, pack: str) -> int:
    mu = fitted_mu(fit_of_pack(session, pack, STATE, "auto", ()))
    assert mu is not None
    version = packs.get(session, pack).version
    taken = take_friction(session, pack, STATE, (), version=version, shown_mu=mu.value, by="b",
                          today=TODAY)
    q = taken.document.own_friction()[STATE]
    assert (q.value, q.std) == (mu.value, mu.std)
    return taken.version


def test_taking_the_fit_is_one_change_with_its_reason(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = filled(session)
        before = catalogue_revision(session)
    with writing(database) as session:
        old = packs.get(session, pack).document
        version = take(session, pack)
        q = packs.get(session, pack).document.own_friction()[STATE]
        assert (q.how, q.by, q.at) == ("measured", "b", "2026-11-25")
        assert q.with_what == "fitted to 3 slip tests on 2026-11-25"
        assert catalogue_revision(session) > before
        changes = session.scalars(sa.select(Change).where(Change.record == pack)).all()
        assert [c.reason for c in changes] == [None, f"μ {q.with_what}"]
        assert packs_of(session, [pack])[0].inputs.friction_source[STATE] == TESTED
        assert packs.get(session, pack).document.to_inputs().friction_source[STATE] == TESTED
        assert taken_at(session, packs.get(session, pack), STATE)
        assert not taken_at(session, packs.get(session, pack), ("dry", "static"))
        back = put_friction_back(session, pack, STATE, version, by="c")
        assert back.document == old
        assert packs_of(session, [pack])[0].inputs.friction_source[STATE] == OWN
        assert not taken_at(session, back, STATE)


def test_taking_back_goes_over_no_newer_change(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = filled(session)
        version = take(session, pack)
        newer = packs.get(session, pack).document.model_copy(update={"notes": "newer"})
        packs.change(session, pack, version, newer, by="c")
        with pytest.raises(StaleRecord):
            put_friction_back(session, pack, STATE, version, by="c")
        for wrong in (1, version + 1, 99):
            with pytest.raises(NotFound):
                put_friction_back(session, pack, STATE, wrong, by="c")


def test_a_second_fit_is_taken_back_to_the_first(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = filled(session)
        take(session, pack)
        first = packs.get(session, pack).document.own_friction()[STATE]
        slip_tests.add(session, make_slip_test(pack, readings=[{"torque_nm": 40.0}]), by="a")
        version = take(session, pack)
        back = put_friction_back(session, pack, STATE, version, by="c")
        assert back.document.own_friction()[STATE] == first


def test_what_was_shown_must_be_what_is_taken(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = filled(session)
        with pytest.raises(BadInput, match="changed since"):
            take_friction(session, pack, STATE, (), version=1, shown_mu=0.5, by="b", today=TODAY)
        with pytest.raises(BadInput, match="no μ with a doubt"):
            take_friction(session, pack, ("dry", "static"), (), version=1, shown_mu=0.5, by="b",
                          today=TODAY)
        with pytest.raises(BadInput, match="There is no run nothing"):
            fit_of_pack(session, pack, STATE, "auto", ["nothing"])


def test_runs_put_aside_and_those_of_other_states_are_not_fitted(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = filled(session)
        dry = slip_tests.add(session, make_slip_test(pack, lubrication="dry"), by="a")
        assert states_tested(runs_of(session, pack)) == {("dry", "sliding"): 1, STATE: 3}
        slip_tests.put_aside(session, dry.id, 1, by="a")
        first = runs_of(session, pack)[0]
        slip_tests.put_aside(session, first.id, 1, by="a")
        assert len(fit_of_pack(session, pack, STATE, "auto", ()).runs) == 2
        assert states_tested(runs_of(session, pack)) == {STATE: 2}
        with pytest.raises(NotFound):
            runs_of(session, "nothing")


def test_an_instrument_s_limits_go_with_its_runs(database: sa.Engine) -> None:
    with writing(database) as session:
        gauge = instruments.add(
            session, Instrument(name="G", relative_accuracy=0.04, resolution_nm=0.5), by="a"
        )
        pack = filled(session, instrument=gauge.id, wear_mm=0.2, excluded=True,
                      excluded_reason="why")
        inputs = inputs_of(session, pack)
        assert inputs is not None
        run = loads_of(session, inputs, runs_of(session, pack))[0].run
        assert (run.relative_accuracy, run.resolution_nm) == (0.04, 0.5)
        assert (run.wear_mm, run.excluded_reason) == (0.2, "why")
        packs.put_aside(session, pack, 1, by="a")
        assert inputs_of(session, pack) is None
