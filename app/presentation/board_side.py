"""Packs side by side: their verdicts and their figures, packs across, what is told of them down."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from app.comparison.board import Board
from app.comparison.board_view import BoardView
from app.comparison.hand_force import hand_forces
from app.documents import Pack
from app.presentation.board_cells import MOUNTING_WORDS, CellText, PackRow, pack_rows
from app.presentation.board_list import price_text
from app.presentation.facts import board_facts
from app.presentation.numbers import NOT_KNOWN, number_text, with_unit
from app.presentation.pack_sheet import pack_sheet
from app.presentation.torques import UNIT_LABEL, state_words

LEAST, MOST = 2, 5
NOT_STATED = "not stated"


@dataclass(frozen=True, slots=True)
class SideRow:
    """One thing that is told of each pack; `cells` where it is the verdict on an engine."""

    label: str
    texts: tuple[str, ...] = ()
    cells: tuple[CellText, ...] = ()

    @property
    def differs(self) -> bool:
        """Whether the packs differ in it."""
        verdicts = {(c.word, c.ratio, c.span) for c in self.cells}
        return len(verdicts) > 1 or len(set(self.texts)) > 1


@dataclass(frozen=True)
class SidePart:
    """Rows under one heading."""

    heading: str
    rows: tuple[SideRow, ...]


@dataclass(frozen=True)
class SidePage:
    """The page.

    Attributes:
        told: what is in the way, where there are too few packs, or what was left out.
        packs: (name, address) of each.
        switch: address of the same page with all rows, or with the differences alone.
        asks: the query of the board of just these packs, for its file, saving and printing.
        alike: how many rows are the same for all packs.
    """

    state: str
    back: str
    told: str = ""
    packs: tuple[tuple[str, str], ...] = ()
    parts: tuple[SidePart, ...] = ()
    only: bool = False
    switch: str = ""
    alike: int = 0
    heavy_above: str = ""
    asks: str = ""


def too_few(view: BoardView) -> SidePage:
    """The page where fewer than two packs were chosen."""
    return SidePage(
        state_words(view),
        _back(view),
        "Tick two to five packs on the board, then press “Side by side”.",
    )


def side_page(
    board: Board, documents: Mapping[str, Pack], chosen: int, only: bool, switch: str
) -> SidePage:
    """The page of some packs.

    Args:
        board: the packs with the engines that they are compared for.
        documents: the packs as they are written down, by id.
        chosen: how many packs were asked for.
        only: whether rows that are the same for all packs are left out.
        switch: address of the same page the other way.
    """
    facts = board_facts(board)
    rows = pack_rows(board, facts)
    parts = (
        SidePart("Verdicts", _verdicts(board, rows)),
        SidePart("In brief", _brief(board, rows)),
        *_sheets([documents[p.public_id] for p in board.packs]),
    )
    alike = sum(not row.differs for part in parts for row in part.rows)
    if only:
        kept = [replace(p, rows=tuple(row for row in p.rows if row.differs)) for p in parts]
        parts = tuple(part for part in kept if part.rows)
    told = f"The first {MOST} of {chosen} packs are shown." if chosen > MOST else ""
    return SidePage(
        state=state_words(board.view),
        back=_back(board.view),
        told=told,
        packs=tuple((row.name, row.address) for row in rows),
        parts=parts,
        only=only,
        switch=switch,
        alike=alike,
        heavy_above=number_text(board.heavy_above),
        asks=board.view.address().partition("?")[2],
    )


def _back(view: BoardView) -> str:
    """The board as it was left, or as it usually is."""
    return f"/?{view.came_from}" if view.came_from else "/"


def _verdicts(board: Board, rows: Sequence[PackRow]) -> tuple[SideRow, ...]:
    return tuple(
        SideRow(engine.name, cells=tuple(row.cells[j] for row in rows))
        for j, engine in enumerate(board.engines)
    )


def _brief(board: Board, rows: Sequence[PackRow]) -> tuple[SideRow, ...]:
    forces = hand_forces([p.inputs for p in board.packs], board.view.state)
    prices = [board.prices.get(p.public_id) for p in board.packs]
    return (
        SideRow(
            f"Available torque, {UNIT_LABEL[board.view.unit]}",
            tuple(
                f"{row.available} ({row.available_span})" if row.available_span else row.available
                for row in rows
            ),
        ),
        SideRow("Mounting", tuple(MOUNTING_WORDS[p.inputs.mounting] for p in board.packs)),
        SideRow(
            "Hand at the lever",
            tuple(
                NOT_KNOWN if f is None else with_unit(number_text(f, decimals=0), "N")
                for f in forces
            ),
        ),
        SideRow(
            "Lowest price",
            tuple(
                "no offer"
                if p is None
                else f"{price_text(p)}{f', {p.seller}' if p.seller else ''}"
                for p in prices
            ),
        ),
        SideRow("Figures checked by", tuple(row.checked or "nobody yet" for row in rows)),
    )


def _sheets(packs: Sequence[Pack]) -> tuple[SidePart, ...]:
    """The packs' sheets, line by line; the mounting is told above."""
    told: dict[str, dict[str, dict[int, str]]] = {}
    for n, pack in enumerate(packs):
        for part in pack_sheet(pack):
            lines = told.setdefault(part.heading.partition(":")[0], {})
            for line in part.lines:
                lines.setdefault(line.label, {})[n] = line.text
    return tuple(
        SidePart(heading, tuple(_rows(lines.items(), len(packs))))
        for heading, lines in told.items()
        if lines
    )


def _rows(lines: Iterable[tuple[str, Mapping[int, str]]], count: int) -> Iterable[SideRow]:
    for label, texts in lines:
        if label != "Mounting":
            yield SideRow(label, tuple(texts.get(n, NOT_STATED) for n in range(count)))
