"""The catalogue as it stands at one revision, held ready for comparing until it changes."""

import threading
import weakref
from collections import OrderedDict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sqlalchemy.pool import Pool
from sqlmodel import Session

from app.comparison.board import EngineEntry, PackEntry, PackPrice, UnreadPack
from app.comparison.run import Comparison, Side, Sides, compare_sides, sides_of
from app.mechanics.inputs import MOUNTINGS, EngineInputs, Mounting, State
from app.mechanics.stack import stack_engines
from app.records.base import folded
from app.records.database import catalogue_revision
from app.records.pack_columns import PackColumns, pack_columns
from app.services.board_inputs import checked_words, engines_of
from app.services.prices import lowest_prices
from app.services.team_settings import limits


class Recent:
    """What was worked out lately, so many things of it; the least used goes first."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._held: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable) -> Any:
        """What is held under a key, or None."""
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
            return self._held.get(key)

    def put(self, key: Hashable, value: object) -> None:
        """Hold a value under a key."""
        with self._lock:
            self._held[key] = value
            self._held.move_to_end(key)
            while len(self._held) > self._most:
                self._held.popitem(last=False)


@dataclass(frozen=True, eq=False)
class Standing:
    """Every pack and engine in use, in order of names, at one revision of the catalogue.

    Attributes:
        columns: the packs as arrays; their order is that of `packs`.
        key_of: folded name of each pack, by its id, for searching and ordering.
        heavy_above: the team's limit.
        prices: the lowest price by pack, those of the commonest currency first and rising.
        found: orders of packs that were asked for lately; `blocks` the same of blocks of cells,
            `worked` of single cells with their working, `pages` of what pages show.
    """

    revision: int
    columns: PackColumns
    packs: tuple[PackEntry, ...]
    engines: tuple[EngineEntry, ...]
    pack_by_id: dict[str, PackEntry]
    engine_by_id: dict[str, EngineEntry]
    key_of: dict[str, str]
    heavy_above: float
    prices: dict[str, PackPrice] = field(default_factory=dict)
    found: Recent = field(default_factory=lambda: Recent(64))
    blocks: Recent = field(default_factory=lambda: Recent(64))
    worked: Recent = field(default_factory=lambda: Recent(256))
    pages: Recent = field(default_factory=lambda: Recent(64))
    _sides: Recent = field(default_factory=lambda: Recent(4))

    def compared(
        self, packs: Sequence[PackEntry], engines: Sequence[EngineEntry], state: State
    ) -> Comparison:
        """Some packs against some engines, each side of the catalogue worked out once for a state.

        Most of the work on a large catalogue is in its sides, so an order or a filter over all
        packs is quick from the second time on.
        """
        sides = self._worked_out(state)
        rows = self._rows(packs)
        columns = np.array([self.column_of[e.public_id] for e in engines], dtype=np.intp)
        return compare_sides(sides, state, rows, columns)

    def carried(self, packs: Sequence[PackEntry], state: State) -> Side:
        """What some packs carry in a state; a clamp that depends on speed carries nothing here."""
        return self._worked_out(state).packs.rows(self._rows(packs))

    def _worked_out(self, state: State) -> Sides:
        sides: Sides | None = self._sides.get(state)
        if sides is None:
            # Packs carry what they carry without an engine too; nobody asks for the unknown one.
            sheet = stack_engines([e.inputs for e in self.engines] or [EngineInputs()])
            sides = sides_of(self.columns.for_state(state), sheet, state)
            self._sides.put(state, sides)
        return sides

    def _rows(self, packs: Sequence[PackEntry]) -> NDArray[np.intp]:
        return np.array([self.row_of[p.public_id] for p in packs], dtype=np.intp)

    @cached_property
    def mountings(self) -> dict[str, Mounting | None]:
        """Mounting of each pack, by its id."""
        places = (*MOUNTINGS, None)  # −1, the last, is a mounting that is not known
        found = self.columns.sheet.mounting.tolist()
        return {p.public_id: places[n] for p, n in zip(self.packs, found, strict=True)}

    @cached_property
    def place_of(self) -> dict[str, int]:
        """Place of each pack in the order of folded names, by its id; a database may order else."""
        keys = sorted((self.key_of[pack.public_id], pack.public_id) for pack in self.packs)
        return {key: i for i, (_, key) in enumerate(keys)}

    @cached_property
    def row_of(self) -> dict[str, int]:
        """Place of each pack, by its id."""
        return {pack.public_id: i for i, pack in enumerate(self.packs)}

    @cached_property
    def column_of(self) -> dict[str, int]:
        """Place of each engine, by its id."""
        return {engine.public_id: i for i, engine in enumerate(self.engines)}


_HELD: "weakref.WeakKeyDictionary[Pool, Standing]" = weakref.WeakKeyDictionary()
"""By the pool of connections, of which there is one for each database that is open."""


def standing(session: Session) -> Standing:
    """The catalogue as it stands: read anew where its revision is not the one held."""
    revision = catalogue_revision(session)
    pool = session.get_bind().engine.pool
    held = _HELD.get(pool)
    if held is None or held.revision != revision:
        held = _read(session, revision)
        _HELD[pool] = held
    return held


def _read(session: Session, revision: int) -> Standing:
    columns = pack_columns(session)
    packs = [
        UnreadPack(key, version, name, checked_words(*checked), partial(columns.inputs, place))
        for place, (key, version, name, checked) in enumerate(
            zip(columns.public_ids, columns.versions, columns.names, columns.checked, strict=True)
        )
    ]
    of_engines = engines_of(session)
    engines = [EngineEntry(e.id, e.version, e.name, e.inputs, e.checked) for e in of_engines]
    keys = dict(zip(columns.public_ids, columns.keys, strict=True))
    keys |= {e.public_id: folded(e.name) for e in engines}
    engines.sort(key=lambda entry: (keys[entry.public_id], entry.public_id))
    return Standing(
        revision=revision,
        columns=columns,
        packs=tuple(packs),
        engines=tuple(engines),
        pack_by_id={entry.public_id: entry for entry in packs},
        engine_by_id={entry.public_id: entry for entry in engines},
        key_of=keys,
        heavy_above=limits(session)["heavy"],
        prices=lowest_prices(session),
    )
