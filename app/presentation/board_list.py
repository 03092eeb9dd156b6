"""The board of one engine, or of one pack, as a list: what holds it, how far, for how much."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.comparison.board import Board, PackPrice, work_out_cells
from app.comparison.board_view import BoardView, Order
from app.comparison.hand_force import hand_forces
from app.comparison.verdict import VERDICTS
from app.mechanics.inputs import PackInputs
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
from app.presentation.torques import fast_ratio


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


@dataclass(frozen=True, slots=True)
class Best:
    """The cheapest pack that holds: its id, its name and where its cell is."""

    id: str
    name: str
    address: str


@dataclass(frozen=True)
class BoardList:
    """The list.

    Attributes:
        of: name of the one engine or pack; `heading` says what is listed.
        kind: "engine" where packs are listed for one, "pack" where engines are.
        before, best, after: the sentence on how many hold; `best` is the cheapest of them in it.
        heads: headings that sort: name, available, ratio, price; none for a list of engines.
        orders: (label, address, is current), the same choice where headings have no room.
    """

    kind: str
    of: str
    heading: str
    before: str
    rows: tuple[ListRow, ...]
    heads: tuple[Head, ...] = ()
    orders: tuple[tuple[str, str, bool], ...] = ()
    best: Best | None = None
    after: str = ""

    @property
    def says(self) -> str:
        """The whole sentence."""
        return f"{self.before}{'' if self.best is None else self.best.name}{self.after}"


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
    before, best, after = _cheapest(board, facts, rows)
    price_head = head_of("Lowest price", "price", Order("price"), board, falling_first=False)
    return BoardList(
        kind="engine",
        of=engine.name,
        heading=f"Packs for {engine.name}",
        before=f"{_counted(facts, 'pack')} {before}",
        best=best,
        after=after,
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


def _cheapest(
    board: Board, facts: Sequence[CellFacts], rows: Sequence[PackRow]
) -> tuple[str, Best | None, str]:
    """The cheapest of the shown packs that hold the engine and pass every check."""
    holding = [c for c in facts if c.verdict == "holds" and not stands_first("holds", c.failed)]
    if not holding:
        return "None of them holds it and passes every check.", None, ""
    common = next((p.currency for p in board.prices.values()), "")
    priced = [
        (board.prices[c.pack.public_id], c.pack)
        for c in holding
        if c.pack.public_id in board.prices
    ]
    same = [(p, pack) for p, pack in priced if p.currency == common] or priced
    if not same:
        return "There is no offer with a price for those that hold it.", None, ""
    price, pack = min(same, key=lambda pair: (pair[0].price, pair[1].name))
    seller = f", from {price.seller}" if price.seller else ""
    address = next(row.cells[0].address for row in rows if row.id == pack.public_id)
    return (
        "The cheapest that holds it is ",
        Best(pack.public_id, pack.name, address),
        f": {price_text(price)}{seller}.{_worn(board, pack.inputs)}",
    )


def _worn(board: Board, pack: PackInputs) -> str:
    """What becomes of a pack that holds when it is worn to its limit; "" where it still holds."""
    view = board.view
    if view.worst or view.wear_mm is None:
        return ""
    worn = replace(view.state, wear_mm=None)
    figures = work_out_cells([pack], [board.engines[0].inputs], worn).figures
    code, ratio = int(figures.verdict[0, 0]), float(figures.ratio[0, 0])
    verdict = VERDICTS[code]
    if verdict not in ("tight", "slips"):
        return ""
    return f" Worn to its limit: {verdict}, {fast_ratio(ratio)}."


def _orders(view: BoardView, now: Order, engine: str) -> tuple[tuple[str, str, bool], ...]:
    choices: tuple[tuple[str, Order], ...] = (
        ("largest margin", Order("margin", engine, True)),
        ("lowest price", Order("price")),
        ("name", Order("name")),
    )
    return tuple(
        (label, view.but(order=order).address(), order == now) for label, order in choices
    )

