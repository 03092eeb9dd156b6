"""What a catalogue is filled with: the published table of facings, and the made-up shop."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any, TypeVar

from sqlmodel import Session

from app.documents import Document, Engine, Facing, FrictionValue, Offer, Pack, read
from app.documents.keeping import SavedComparison, ShortlistLine
from app.mechanics.tables import FrictionRow, friction_rows
from app.records.database import WriteSession
from app.records.listing import names_ever_used
from app.records.sources import Facing as FacingRow
from app.services.board_inputs import packs_of
from app.services.catalogue import (
    comparisons,
    engines,
    facings,
    instruments,
    offers,
    packs,
    shortlist,
    slip_tests,
)
from app.services.demo_tests import INSTRUMENTS, RUNS, made_up_tests
from app.services.stored import Context
from app.settings import PROJECT_ROOT

SEEDED_BY = "the program"
"""Who put the published table in, for the history: nobody did by hand."""

_SEEDED = Context(reason="seeded from the published table")


def published_facings() -> list[Facing]:
    """The facings of the published table as documents, each row with its source."""
    rows = sorted(friction_rows(), key=lambda row: row.facing)
    return [
        Facing(name=readable(name), values=[_value(row) for row in group])
        for name, group in groupby(rows, key=lambda row: row.facing)
    ]


def readable(name: str) -> str:
    """A table's key as a person writes it.

    >>> readable("cast_iron_or_hard_steel")
    'cast iron or hard steel'
    """
    return name.replace("_", " ")


def _value(row: FrictionRow) -> FrictionValue:
    return FrictionValue(
        lubrication=row.lubrication,
        kind=row.kind,
        low=row.low,
        nominal=row.nominal,
        high=row.high,
        p_max_low_mpa=row.p_max_low_mpa,
        p_max_high_mpa=row.p_max_high_mpa,
        power_w_mm2=row.power_w_mm2,
        source=row.source or None,
        note=row.note or None,
    )


def missing_facings(session: Session) -> list[Facing]:
    """Published facings whose names were never used here; those put aside stay aside."""
    used = names_ever_used(session, FacingRow)
    return [facing for facing in published_facings() if facing.name not in used]


def seed(session: WriteSession) -> int:
    """Add the published facings that are missing; how many were added. Safe to run again."""
    missing = missing_facings(session)
    for facing in missing:
        facings.add(session, facing, by=SEEDED_BY, context=_SEEDED)
    return len(missing)


@dataclass(frozen=True, slots=True)
class Loaded:
    """How many records of each kind were added."""

    packs: int
    engines: int
    offers: int
    slip_tests: int
    comparisons: int = 0
    shortlist: int = 0


D = TypeVar("D", bound=Document)
DEMO_FOLDER = PROJECT_ROOT / "seed_data" / "demo"
DEMO_BY = "Tern Hollow (made up)"


def load_demo(session: WriteSession, folder: Path = DEMO_FOLDER) -> Loaded:
    """Add the made-up shop: its records, a saved comparison, a shortlist, the published facings.

    Slip tests are made up for the packs that are there. The files write documents as the JSON
    interface has them; whatever points at a record names it by name.

    Raises:
        BadInput: a file holds what can't be taken, or names no record of the shop.
        DuplicateName: a record of that name is in use already.
    """
    seed(session)
    ids = {pack.name: packs.add(session, pack, by=DEMO_BY).id for pack in _documents(folder, Pack)}
    motors = {e.name: engines.add(session, e, by=DEMO_BY).id for e in _documents(folder, Engine)}
    asked = {
        offer.name: offers.add(session, _pointed(offer, pack=ids), by=DEMO_BY).id
        for offer in _documents(folder, Offer)
    }
    boards = _documents(folder, SavedComparison, "comparisons")
    for board in boards:
        comparisons.add(session, _pointed(board, packs=ids, engines=motors), by=DEMO_BY)
    lines = _documents(folder, ShortlistLine, "shortlist")
    for line in lines:
        kept = _pointed(line, pack=ids, engine=motors, offer=asked)
        shortlist.add(session, kept, by=DEMO_BY)
    tests = _load_tests(session, ids)
    return Loaded(len(ids), len(motors), len(asked), tests, len(boards), len(lines))


def _pointed(document: D, **ids: Mapping[str, str]) -> D:
    """A document whose names of other records are their ids; a name of none stays and is refused.

    Args:
        document: as the file has it.
        ids: for each field that points at records, their ids by name.
    """
    changed: dict[str, object] = {}
    for field, known in ids.items():
        value = getattr(document, field)
        if isinstance(value, list):
            changed[field] = [known.get(name, name) for name in value]
        elif value is not None:
            changed[field] = known.get(value, value)
    return document.model_copy(update=changed)


def _load_tests(session: WriteSession, ids: dict[str, str]) -> int:
    """Add the made-up slip tests of the packs that are there; how many were added."""
    runs = [run for run in RUNS if run.pack in ids]
    if not runs:
        return 0
    gauges = {g.name: instruments.add(session, g, by=DEMO_BY).id for g in INSTRUMENTS}
    inputs = {pack.name: pack.inputs for pack in packs_of(session)}
    for run, test in made_up_tests(inputs, runs):
        known = {"pack": ids[run.pack], "instrument": gauges[run.instrument]}
        slip_tests.add(session, test.model_copy(update=known), by=DEMO_BY)
    return len(runs)


def _documents(folder: Path, model: type[D], plural: str = "") -> list[D]:
    """The documents of one kind, from the file that its plural names; none where there is none."""
    file = folder / f"{plural or model.__name__.lower() + 's'}.json"
    if plural and not file.exists():
        return []
    written: list[Any] = json.loads(file.read_text(encoding="utf-8"))
    return [read(model, one).document for one in written]
