"""From a view to its board: load, compare, order, filter, page; and one cell with its records.

What is worked out lives no longer than the catalogue stands still: everything kept is kept under
the catalogue's revision, which is read from the database each time, so that many processes agree.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from sqlmodel import Session

from app.comparison.board import Board, Cells, Charted, EngineEntry, PackEntry
from app.comparison.board_view import BoardView, Order
from app.comparison.run import Comparison
from app.comparison.verdict import VERDICTS
from app.comparison.worst import cells_in, worst_comparison
from app.errors import BadInput, Problem
from app.records.base import folded
from app.services.standing import Standing, standing

E = TypeVar("E", PackEntry, EngineEntry)
ENGINES_SHOWN = 12
"""A page shows so many engines unless they were asked for by name."""
FILTERED_AT_ONCE = 500_000
"""Cells of which a filter holds the figures at a time, however large the catalogue is."""
MOST_CHARTED = 50
"""A chart draws so many rows at most."""


@dataclass(frozen=True, slots=True)
class Found:
    """What a view asks for, before anything of it is shown: packs in their order, and engines."""

    packs: tuple[PackEntry, ...]
    engines: tuple[EngineEntry, ...]
    order: Order
    engines_found: int


def board(session: Session, view: BoardView) -> Board:
    """The page of the board that a view asks for.

    Only its own cells are worked out. A page beyond the last gives the last.

    Raises:
        BadInput: the view names a pack or an engine that is not in use.
    """
    now = standing(session)
    found = find(now, view, ENGINES_SHOWN)
    pages = max(1, -(-len(found.packs) // view.per))
    first = (min(view.page or 1, pages) - 1) * view.per
    return _board(now, view, found, first, found.packs[first : first + view.per])


def whole_board(session: Session, view: BoardView) -> Board:
    """Everything that a view asks for, on one page and with all engines, without its cells.

    The cells are worked out a block of packs at a time by whoever writes them down
    (`cells_of`), so that a large board needs no more room than a small one. A view that names
    a page keeps to it.
    """
    now = standing(session)
    found = find(now, view, None)
    if view.page is None:
        return _board(now, view, found, 0, found.packs, cells=False)
    first = (view.page - 1) * view.per
    return _board(now, view, found, first, found.packs[first : first + view.per], cells=False)


def cells_of(board: Board, first: int, last: int) -> Cells:
    """The cells of a block of a board's packs, from `first` up to `last`."""
    packs = [p.inputs for p in board.packs[first:last]]
    return cells_in(packs, [e.inputs for e in board.engines], board.view.states)


def charted(session: Session, board: Board) -> Charted | None:
    """What the view's chart draws; a page with one engine draws that engine unless told otherwise.

    Raises:
        BadInput: the view names a pack or an engine that is not in use.
    """
    now = standing(session)
    chart = board.view.chart
    if chart is None and len(board.engines) == 1:
        chart = "engine", board.engines[0].public_id
    if chart is None:
        return None
    kind, key = chart
    packs, engines = board.packs[:MOST_CHARTED], board.engines[:MOST_CHARTED]
    if kind == "engine":
        engines = _chosen(now.engine_by_id, (key,), "engine", "chart")
    else:
        packs = _chosen(now.pack_by_id, (key,), "pack", "chart")
    if not packs or not engines:
        return None
    return Charted(kind, packs, engines, _cells(now, packs, engines, board.view))


def find(now: Standing, view: BoardView, engines_shown: int | None) -> Found:
    """Packs that a view keeps, in its order, and the engines that it compares them with.

    Args:
        now: the catalogue as it stands.
        view: what is asked for.
        engines_shown: how many engines at most where none are named; None: all.

    Raises:
        BadInput: the view names a pack or an engine that is not in use.
    """
    asked = (view.but(unit="nm", chart=None, per=1, page=None, heavy_above=None), engines_shown)
    kept = now.found.get(asked)
    if isinstance(kept, Found):
        return kept
    engines = _chosen(now.engine_by_id, view.engines, "engine", "engine") or now.engines
    named = len(view.engines) or len(engines)
    if engines_shown is not None and not view.engines:
        engines = engines[:engines_shown]
    order = view.order or _usual_order(engines)
    packs = _ordered(now, _kept(now, view, engines), engines, order, view)
    found = Found(packs, engines, order, named)
    now.found.put(asked, found)
    return found


def _board(
    now: Standing,
    view: BoardView,
    found: Found,
    first: int,
    packs: tuple[PackEntry, ...],
    cells: bool = True,
) -> Board:
    return Board(
        view=view,
        order=found.order,
        heavy_above=view.heavy_above if view.heavy_above is not None else now.heavy_above,
        revision=now.revision,
        packs=packs,
        engines=found.engines,
        cells=_cells(now, packs if cells else (), found.engines, view),
        found=len(found.packs),
        all_packs=len(now.packs),
        all_engines=now.engines,
        first=first,
        engines_found=found.engines_found,
        prices={p.public_id: now.prices[p.public_id] for p in packs if p.public_id in now.prices},
    )


def _cells(
    now: Standing, packs: tuple[PackEntry, ...], engines: tuple[EngineEntry, ...], view: BoardView
) -> Cells:
    """The cells of a block, worked out once while the catalogue stands still."""
    key = (view.states, tuple(p.public_id for p in packs), tuple(e.public_id for e in engines))
    kept = now.blocks.get(key)
    if isinstance(kept, Cells):
        return kept
    cells = cells_in([p.inputs for p in packs], [e.inputs for e in engines], view.states)
    now.blocks.put(key, cells)
    return cells


def _chosen(known: dict[str, E], ids: Sequence[str], noun: str, parameter: str) -> tuple[E, ...]:
    lost = [key for key in ids if key not in known]
    if lost:
        raise BadInput(
            [
                Problem(
                    parameter,
                    f"There is no {noun} {key}. It may have been put aside: leave it "
                    "out of the view.",
                )
                for key in lost
            ]
        )
    return tuple(known[key] for key in ids)


def _usual_order(engines: Sequence[EngineEntry]) -> Order:
    """By margin, largest first, where there is one engine to be margin over; else by name."""
    if len(engines) == 1:
        return Order("margin", engines[0].public_id, True)
    return Order()


def _kept(now: Standing, view: BoardView, engines: Sequence[EngineEntry]) -> tuple[PackEntry, ...]:
    packs = _chosen(now.pack_by_id, view.packs, "pack", "pack") or now.packs
    words = folded(view.q).split()
    if view.mounting is not None:
        packs = tuple(p for p in packs if now.mountings[p.public_id] == view.mounting)
    if words:
        packs = tuple(p for p in packs if all(word in now.key_of[p.public_id] for word in words))
    if not view.verdicts or not packs:
        return packs
    if not engines:
        return ()
    codes = [VERDICTS.index(verdict) for verdict in view.verdicts]
    kept: list[PackEntry] = []
    step = max(1, FILTERED_AT_ONCE // len(engines))
    for first in range(0, len(packs), step):
        some = packs[first : first + step]
        wanted = np.isin(_compared(now, some, engines, view).verdict, codes).any(axis=1)
        kept += [some[i] for i in np.flatnonzero(wanted)]
    return tuple(kept)


def _compared(
    now: Standing, packs: Sequence[PackEntry], engines: Sequence[EngineEntry], view: BoardView
) -> Comparison:
    """Packs against engines in the view's state, or in the worst of its states."""
    parts = [now.compared(packs, engines, state) for state in view.states]
    return parts[0] if len(parts) == 1 else worst_comparison(parts)


def _ordered(
    now: Standing,
    packs: tuple[PackEntry, ...],
    engines: Sequence[EngineEntry],
    order: Order,
    view: BoardView,
) -> tuple[PackEntry, ...]:
    """Packs in order; equal ones by name, those whose figure is not known last either way."""
    by_name = sorted(packs, key=lambda p: now.place_of[p.public_id])
    if order.by == "name":
        return tuple(by_name[::-1] if order.falling else by_name)
    if order.by == "price":
        return _by_price(now, by_name, order.falling)
    over = tuple(engines)[:1]
    if order.engine is not None:
        over = _chosen(now.engine_by_id, (order.engine,), "engine", "order")
    if not over or not packs:
        return tuple(by_name)
    figures = _compared(now, by_name, over, view)
    values = (figures.capacity if order.by == "capacity" else figures.ratio)[:, 0]
    keys = -values if order.falling else values
    # NaN sorts last by itself, and a stable sort keeps equal ones in the order of names.
    return tuple(by_name[i] for i in np.argsort(keys, kind="stable"))


def _by_price(
    now: Standing, by_name: Sequence[PackEntry], falling: bool
) -> tuple[PackEntry, ...]:
    """Packs by their lowest price; other currencies than the commonest, then no price, are last."""
    common = next((price.currency for price in now.prices.values()), "")

    def place(pack: PackEntry) -> tuple[int, str, float]:
        price = now.prices.get(pack.public_id)
        if price is None:
            return 2, "", 0.0
        figure = -price.price if falling else price.price
        return int(price.currency != common), price.currency, figure

    return tuple(sorted(by_name, key=place))
