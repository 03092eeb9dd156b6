"""From the log to the board: runs of a pack fitted, and the fitted μ taken into the pack."""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from sqlmodel import Session

from app.comparison.slip_runs import BenchRun, PackFit, RunLoad, fit_pack, run_load
from app.documents import Pack, Q, SlipTest, read
from app.documents.pack import FITTED, STATES
from app.errors import BadInput, NotFound, Problem
from app.mechanics.inputs import FrictionKind, Lubrication, PackInputs, State
from app.mechanics.slip_laws import Estimate, LawName
from app.records.base import Row
from app.records.database import WriteSession
from app.records.slip_test_queries import change_rows, instruments_by_public_id, runs_of_pack
from app.records.source_queries import pack_key
from app.services.board_inputs import packs_of
from app.services.catalogue import packs, slip_tests
from app.services.stored import Context, Stored

Law = LawName | Literal["auto"]
StateKey = tuple[Lubrication, FrictionKind]


@dataclass(frozen=True)
class FittedPack:
    """A pack's runs in one state with their fit.

    Attributes:
        pack: the record.
        inputs: the same as the mechanics take it, its facing's friction filled in.
        state: lubrication, kind of friction, radius model.
        runs: the records, in the order of the loads.
        fit: loads and fits.
    """

    pack: Stored[Pack]
    inputs: PackInputs
    state: State
    runs: tuple[Stored[SlipTest], ...]
    fit: PackFit


def bench_run(test: Stored[SlipTest], instrument: Row | None) -> BenchRun:
    """A run as the comparison takes it."""
    document = test.document
    return BenchRun(
        key=test.id,
        readings=tuple(reading.to_reading() for reading in document.readings),
        springs_fitted=document.springs_fitted,
        speed_rpm=document.speed_rpm,
        wear_mm=document.wear_mm or 0.0,
        excluded_reason=document.excluded_reason if document.excluded else None,
        relative_accuracy=None if instrument is None else instrument["relative_accuracy"],
        resolution_nm=None if instrument is None else instrument["resolution_nm"],
        instrument="" if instrument is None else instrument["name"],
    )


def loads_of(
    session: Session, inputs: PackInputs, tests: Sequence[Stored[SlipTest]]
) -> list[RunLoad]:
    """The load of each run of one pack, each in its own state."""
    ids = {test.document.instrument for test in tests if test.document.instrument}
    instruments = instruments_by_public_id(session, ids)
    return [
        run_load(
            inputs,
            State(test.document.lubrication, test.document.friction),
            bench_run(test, instruments.get(test.document.instrument or "")),
        )
        for test in tests
    ]


def inputs_of(session: Session, pack: str) -> PackInputs | None:
    """A pack as the mechanics take it; None where it was put aside."""
    found = packs_of(session, [pack])
    return found[0].inputs if found else None


def runs_of(session: Session, pack: str) -> list[Stored[SlipTest]]:
    """The runs in use of one pack, by day."""
    key = pack_key(session, pack)
    if key is None:
        raise NotFound("pack", pack)
    return slip_tests.get_many(session, [row["public_id"] for row in runs_of_pack(session, key)])


def states_tested(tests: Sequence[Stored[SlipTest]]) -> dict[StateKey, int]:
    """How many runs there are in each state, in the order of the states."""
    counted = Counter((t.document.lubrication, t.document.friction) for t in tests)
    return {state: counted[state] for state in STATES if counted[state]}


def fit_of_pack(
    session: Session, pack: str, state: StateKey, law: Law, taken_in: Collection[str]
) -> FittedPack:
    """Fit the friction of one pack in one state to its logged runs.

    Raises:
        NotFound: there is no such pack in use.
        BadInput: a run that is to be taken in is none of these runs.
    """
    stored = packs.get(session, pack)
    inputs = packs_of(session, [pack])[0].inputs
    tests = [
        t
        for t in runs_of(session, pack)
        if (t.document.lubrication, t.document.friction) == state
    ]
    lost = set(taken_in) - {t.id for t in tests}
    if lost:
        told = f"There is no run {min(lost)} of this pack in this state. Leave it out."
        raise BadInput([Problem("take", told)])
    fit = fit_pack(loads_of(session, inputs, tests), taken_in, law)
    return FittedPack(stored, inputs, State(*state), tuple(tests), fit)


def fitted_mu(fitted: FittedPack) -> Estimate | None:
    """The μ [1] that the comparison may use, with its doubt; None where the doubt isn't known."""
    mu = None if fitted.fit.fit is None else fitted.fit.fit.mu_for_comparison
    return mu if mu is not None and mu.std is not None else None


def take_friction(
    session: WriteSession,
    pack: str,
    state: StateKey,
    taken_in: Collection[str],
    *,
    version: int,
    shown_mu: float,
    by: str,
    today: date,
) -> Stored[Pack]:
    """Put the fitted μ into the pack's own friction, measured, with where it comes from.

    Args:
        session: to write with.
        pack: id of the pack.
        state: lubrication and kind of friction.
        taken_in: runs taken although they are left out by default.
        version: of the pack as it was shown.
        shown_mu: the figure that was shown beside the button.
        by: whose press it is.
        today: the day of the fit.

    Raises:
        BadInput: there is no μ with a doubt, or it is another by now than the one shown.
        NotFound, StaleRecord: as the catalogue's `change`.
    """
    fitted = fit_of_pack(session, pack, state, "auto", taken_in)
    mu = fitted_mu(fitted)
    if mu is None or mu.std is None:
        raise BadInput([Problem("", "These runs give no μ with a doubt yet: log more readings.")])
    if mu.value != shown_mu:
        told = "The runs were changed since this page was shown. Look at the new fit first."
        raise BadInput([Problem("", told)])
    count = sum(fitted.fit.taken)
    what = f"{FITTED}{count} slip test{'' if count == 1 else 's'} on {today.isoformat()}"
    figure = Q(
        value=mu.value, std=mu.std, how="measured", by=by, at=today.isoformat(), with_what=what
    )
    document = _with_own_friction(fitted.pack.document, state, figure)
    context = Context(reason=f"μ {what}")
    return packs.change(session, pack, version, document, by=by, context=context)


def taken_at(session: Session, stored: Stored[Pack], state: StateKey) -> bool:
    """Whether the pack's newest change took a fitted μ of this state, so that it can go back."""
    return _before_taking(session, stored.id, stored.version, state) is not None


def put_friction_back(
    session: WriteSession, pack: str, state: StateKey, version: int, *, by: str
) -> Stored[Pack]:
    """Put back the friction that the pack had before a fitted μ was taken.

    Args:
        session: to write with.
        pack: id of the pack.
        state: lubrication and kind of friction.
        version: that taking it made; the pack must stand at it still.
        by: whose press it is.

    Raises:
        NotFound: that version did not take a μ.
        StaleRecord: the pack was changed since.
    """
    standing = packs.get(session, pack)
    before = _before_taking(session, pack, version, state)
    if before is None:
        raise NotFound("fitted friction of", pack)
    old = before.own_friction().get(state)
    document = _with_own_friction(standing.document, state, old)
    context = Context(reason="fitted μ taken back")
    return packs.change(session, pack, version, document, by=by, context=context)


def _before_taking(
    session: Session, pack: str, version: int, state: StateKey
) -> Pack | None:
    for row in change_rows(session, "pack", pack, version):
        if row["action"] != "change" or not str(row["reason"] or "").startswith(f"μ {FITTED}"):
            continue
        before = read(Pack, row["before"]).document
        after = read(Pack, row["after"]).document
        if before.own_friction().get(state) != after.own_friction().get(state):
            return before
    return None


def _with_own_friction(pack: Pack, state: StateKey, figure: Q | None) -> Pack:
    lubrication, kind = state
    written: dict[str, Any] = pack.written()
    friction: dict[str, Any] = written.setdefault("friction", {})
    pair: dict[str, Any] = friction.setdefault(lubrication, {})
    if figure is None:
        pair.pop(kind, None)
    else:
        pair[kind] = figure.model_dump(mode="json")
    friction = {key: value for key, value in friction.items() if value}
    written["friction"] = friction or None
    return read(Pack, written).document
