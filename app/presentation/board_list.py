"""The board of one engine, or of one pack, as a list: what holds it, how far, for how much."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.comparison.board import Board, PackPrice
from app.comparison.board_view import BoardView, Order
from app.comparison.hand_force import hand_forces
from app.presentation.board_cells import (
    CellText,
    Head,
    PackRow,
    capacity_head,
    engine_heads,
    head_of,
    name_head,
)
from app.presentation.board_failed import counted, stands_first
from app.presentation.facts import CellFacts
from app.presentation.numbers import NBSP, number_text, with_unit


@dataclass(frozen=True, slots=True)
class ListRow:
    """One line: the pack or engine, its cell, and what stands beside it; "" where it has none."""

    id: str
    name: str
    address: str
    below: str
    checked: str
    cell: CellText
    available: str
    available_span: str
    hand: str = ""
    price: str = ""
    seller: str = ""
    offer: str = ""


@dataclass(frozen=True)
class BoardList:
    """The list.

    Attributes:
        of: name of the one engine or pack; `heading` says what is listed.
        kind: "engine" where packs are listed for one, "pack" where engines are.
        says: how many hold, and the cheapest of them.
        heads: headings that sort: name, available, ratio, price; none for a list of engines.
        orders: (label, address, is current), the same choice where headings have no room.
    """

    kind: str
    of: str
    heading: str
    says: str
    rows: tuple[ListRow, ...]
    heads: tuple[Head, ...] = ()
    orders: tuple[tuple[str, str, bool], ...] = ()


def board_list(
    board: Board, facts: list[list[CellFacts]], rows: Sequence[PackRow]
) -> BoardList | None:
    """The list of a board with one engine or one pack; None for a board with many of both."""
    if len(board.engines) == 1 and board.packs:
        return _of_engine(board, [row[0] for row in facts], rows)
    if len(board.view.packs) == 1 and len(board.packs) == 1 and board.engines:
        return _of_pack(board, facts[0], rows[0])
    return None


def price_text(price: PackPrice) -> str:
    """A price with its currency.

    >>> price_text(PackPrice(39.9, "EUR", "", "o1", "A pack"))
    '39.90\\xa0EUR'
    """
    return f"{number_text(price.price, decimals=2)}{NBSP}{price.currency}".strip()


def _of_engine(board: Board, facts: list[CellFacts], rows: Sequence[PackRow]) -> BoardList:
    engine = board.engines[0]
    forces = hand_forces([p.inputs for p in board.packs], board.view.state)
    lines = []
    for row, force in zip(rows, forces, strict=True):
        price = board.prices.get(row.id)
        lines.append(
            ListRow(
                row.id,
                row.name,
                row.address,
                row.mounting,
                row.checked,
                row.cells[0],
                row.available,
                row.available_span,
                "" if force is None else with_unit(number_text(force, decimals=0), "N"),
                "" if price is None else price_text(price),
                "" if price is None else price.seller,
                "" if price is None else f"/offers/{price.offer}",
            )
        )
    margin = engine_heads(board)[0]
    price_head = head_of("Lowest price", "price", Order("price"), board, falling_first=False)
    return BoardList(
        kind="engine",
        of=engine.name,
        heading=f"Packs for {engine.name}",
        says=f"{_counted(facts, 'pack')} {_cheapest(board, facts)}",
        rows=tuple(lines),
        heads=(name_head(board), margin, capacity_head(board), price_head),
        orders=_orders(board.view, board.order, engine.public_id),
    )


def _of_pack(board: Board, facts: list[CellFacts], row: PackRow) -> BoardList:
    pack = board.packs[0]
    lines = tuple(
        ListRow(
            engine.public_id,
            engine.name,
            f"/engines/{engine.public_id}",
            "",
            engine.checked,
            cell,
            row.available,
            row.available_span,
        )
        for engine, cell in zip(board.engines, row.cells, strict=True)
    )
    return BoardList(
        "pack", pack.name, f"Engines for {pack.name}", _counted(facts, "engine"), lines
    )


def _counted(facts: Sequence[CellFacts], thing: str) -> str:
    things = f"{len(facts)} {thing}" + ("" if len(facts) == 1 else "s")
    return f"{things} shown: {counted((c.verdict, c.failed) for c in facts)}."


def _cheapest(board: Board, facts: Sequence[CellFacts]) -> str:
    """The cheapest of the shown packs that hold the engine and pass every check."""
    holding = [c for c in facts if c.verdict == "holds" and not stands_first("holds", c.failed)]
    if not holding:
        return "None of them holds it and passes every check."
    common = next((p.currency for p in board.prices.values()), "")
    priced = [
        (board.prices[c.pack.public_id], c.pack.name)
        for c in holding
        if c.pack.public_id in board.prices
    ]
    same = [(p, name) for p, name in priced if p.currency == common] or priced
    if not same:
        return "There is no offer with a price for those that hold it."
    price, name = min(same, key=lambda pair: (pair[0].price, pair[1]))
    seller = f", from {price.seller}" if price.seller else ""
    return f"The cheapest that holds it is {name}: {price_text(price)}{seller}."


def _orders(view: BoardView, now: Order, engine: str) -> tuple[tuple[str, str, bool], ...]:
    choices: tuple[tuple[str, Order], ...] = (
        ("largest margin", Order("margin", engine, True)),
        ("lowest price", Order("price")),
        ("name", Order("name")),
    )
    return tuple(
        (label, view.but(order=order).address(), order == now) for label, order in choices
    )

