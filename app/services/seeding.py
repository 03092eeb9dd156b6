"""What a catalogue is filled with: the published table of facings, and the made-up shop."""

import json
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any, TypeVar

from sqlmodel import Session

from app.documents import Document, Engine, Facing, FrictionValue, Offer, Pack, read
from app.mechanics.tables import FrictionRow, friction_rows
from app.records.database import WriteSession
from app.records.listing import names_ever_used
from app.records.sources import Facing as FacingRow
from app.services.board_inputs import packs_of
from app.services.catalogue import engines, facings, instruments, offers, packs, slip_tests
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


D = TypeVar("D", bound=Document)
DEMO_FOLDER = PROJECT_ROOT / "seed_data" / "demo"
DEMO_BY = "Tern Hollow (made up)"


def load_demo(session: WriteSession, folder: Path = DEMO_FOLDER) -> Loaded:
    """Add the made-up shop's packs, engines, offers and slip tests, with the published facings.

    Slip tests are made up for the packs that are there. The files write documents as the JSON
    interface has them; an offer names its pack by name.

    Raises:
        BadInput: a file holds what can't be taken, or an offer names no pack of the shop.
        DuplicateName: a record of that name is in use already.
    """
    seed(session)
    ids = {pack.name: packs.add(session, pack, by=DEMO_BY).id for pack in _documents(folder, Pack)}
    made = [engines.add(session, engine, by=DEMO_BY) for engine in _documents(folder, Engine)]
    asked = _documents(folder, Offer)
    for offer in asked:
        pack = None if offer.pack is None else ids.get(offer.pack, offer.pack)
        offers.add(session, offer.model_copy(update={"pack": pack}), by=DEMO_BY)
    return Loaded(len(ids), len(made), len(asked), _load_tests(session, ids))


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


def _documents(folder: Path, model: type[D]) -> list[D]:
    """The documents of one kind, from the file that its plural names."""
    file = folder / f"{model.__name__.lower()}s.json"
    written: list[Any] = json.loads(file.read_text(encoding="utf-8"))
    return [read(model, one).document for one in written]
