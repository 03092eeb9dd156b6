"""The rows of the board, every cell as ready text, made in one pass."""

from dataclasses import dataclass

from app.comparison.board import Board
from app.comparison.board_view import BoardView, Order, wear_text
from app.comparison.failed_checks import FailedCheck
from app.comparison.inputs_list import InputLine
from app.mechanics.friction_source import TESTED
from app.mechanics.inputs import MOUNTINGS, CentrifugalClamp, Mounting, State
from app.presentation.columns import missing_words
from app.presentation.facts import CellFacts
from app.presentation.input_words import anchor, input_label
from app.presentation.numbers import NOT_KNOWN, probability_text
from app.presentation.torques import (
    fast_ratio,
    ratio_span,
    state_words,
    torque_number,
    torque_span,
    torque_text,
)

MOUNTING_WORDS: dict[Mounting | None, str] = {
    "crankshaft": "on the crankshaft",
    "geared": "geared",
    None: "mounting not known",
}

FAILED_WORDS: dict[FailedCheck, str] = {
    "bolts_up": "won’t bolt up",
    "can_release": "won’t release",
    "facing_pressure": "pressure too high",
    "spring_stress": "springs overstressed",
    "launch_heat": "launch too hot",
}


@dataclass(frozen=True, slots=True)
class CellText:
    """One cell: verdict, ratio and interval as text, where its working is, what is beside it.

    `assumed` is the address of the first assumed value, "" where there is none; `tested` that of
    the fit, where the friction rests on the team's own slip tests.
    """

    verdict: str
    address: str
    title: str
    ratio: str = ""
    span: str = ""
    chance: str = ""
    required: str = ""
    missing: str = ""
    heavy: bool = False
    assumed: str = ""
    assumed_words: str = ""
    tested: str = ""
    failed: str = ""
    checks: str = ""
    state: str = ""


@dataclass(frozen=True, slots=True)
class PackRow:
    """One pack: its name and address, what it carries, its cells."""

    name: str
    address: str
    mounting: str
    available: str
    available_span: str
    cells: tuple[CellText, ...]
    checked: str = ""
    id: str = ""


@dataclass(frozen=True, slots=True)
class Head:
    """A heading that sorts: the address of the other order, and how it stands sorted."""

    text: str
    href: str
    sorted: str
    key: str


@dataclass(frozen=True, slots=True)
class RequiredRow:
    """What every shown engine asks at one mounting."""

    mounting: str
    texts: tuple[str, ...]


def cell_text(cell: CellFacts, view: BoardView, query: str) -> CellText:
    """One cell as ready text; `query` is the view's, made once for all cells."""
    where, asked = f"{cell.pack.name} on {cell.engine.name}", view
    if cell.state is not None:
        view = view.in_state(cell.state)
        query = view.cell_query
        where += f", {state_words(view)}"
    address = f"/cell/{cell.pack.public_id}/{cell.engine.public_id}{query}"
    if cell.ratio is None or cell.available is None or cell.required is None:
        lack = missing_words(cell.missing)
        return CellText("unknown", address, f"{where}: not known; missing: {lack}", missing=lack)
    title = (
        f"{where}: {torque_text(cell.available.value, view.unit)} available, "
        f"{torque_text(cell.required.value, view.unit)} required"
    )
    lines, state = cell.rests_on, "" if cell.state is None else short_state(cell.state, asked)
    return CellText(
        cell.verdict,
        address,
        title,
        ratio=fast_ratio(cell.ratio.value),
        span=ratio_span(cell.ratio),
        chance=probability_text(cell.p_slip),
        required=torque_number(cell.required.value, view.unit),
        heavy=cell.heavy,
        assumed=f"{address}#{anchor(lines[0].path)}" if lines else "",
        assumed_words=_unsure_words(lines) if lines else "",
        failed=failed_words(cell.failed) if cell.verdict in ("holds", "tight") else "",
        checks=f"{address}#checks",
        state=state,
        tested=fit_address(cell.pack.public_id, view) if cell.friction.source == TESTED else "",
    )


def fit_address(pack: str, view: BoardView) -> str:
    """The page on which a pack's friction is fitted to its slip tests, in a view's state.

    >>> fit_address("abc", BoardView())
    '/tests/fit/abc?lubrication=oiled&friction=sliding'
    """
    return f"/tests/fit/{pack}?lubrication={view.lubrication}&friction={view.friction}"


def short_state(state: State, view: BoardView) -> str:
    """What of a worst state was varied.

    >>> short_state(State("dry", "static", None), BoardView(worst=("lubrication", "wear")))
    'dry, worn'
    """
    parts = {"lubrication": state.lubrication, "friction": state.friction,
             "wear": wear_text(state.wear_mm)}
    return ", ".join(parts[name] for name in view.worst)


def failed_words(failed: tuple[FailedCheck, ...]) -> str:
    """What a pack fails on an engine, in few words.

    >>> failed_words(("bolts_up", "can_release"))
    'won’t bolt up, won’t release'
    """
    return ", ".join(FAILED_WORDS[name] for name in failed)


def _unsure_words(lines: tuple[InputLine, ...]) -> str:
    names = "; ".join(f"{input_label(line.path)} ({line.quantity.how})" for line in lines)
    return f"Rests on {names}"


def pack_rows(board: Board, facts: list[list[CellFacts]]) -> tuple[PackRow, ...]:
    """Every shown pack as a row."""
    view, query = board.view, board.view.cell_query
    rows = []
    for pack, cells in zip(board.packs, facts, strict=True):
        figure = cells[0].available if cells else None
        by_speed = isinstance(pack.inputs.clamp, CentrifugalClamp) and len(cells) > 1
        by_state = len({cell.state for cell in cells}) > 1
        known = figure is not None and not by_speed and not by_state
        rows.append(
            PackRow(
                name=pack.name,
                address=f"/packs/{pack.public_id}",
                mounting=MOUNTING_WORDS[pack.inputs.mounting],
                available=torque_number(figure.value, view.unit)
                if figure is not None and known
                else ("by speed" if by_speed else "by state" if by_state else NOT_KNOWN),
                available_span=torque_span(figure, view.unit)
                if figure is not None and known
                else "",
                cells=tuple(cell_text(cell, view, query) for cell in cells),
                checked=pack.checked,
                id=pack.public_id,
            )
        )
    return tuple(rows)


def required_rows(board: Board, facts: list[list[CellFacts]]) -> tuple[RequiredRow, ...]:
    """What the shown engines ask, for each mounting that a shown pack has."""
    rows = []
    for mounting in MOUNTINGS:
        row = next((r for r in facts if r and r[0].pack.inputs.mounting == mounting), None)
        if row is not None:
            rows.append(
                RequiredRow(
                    MOUNTING_WORDS[mounting],
                    tuple(
                        NOT_KNOWN
                        if c.required is None
                        else torque_number(c.required.value, board.view.unit)
                        for c in row
                    ),
                )
            )
    return tuple(rows)


def name_head(board: Board) -> Head:
    """The heading of the packs' names."""
    return _head("Pack", "pack", Order("name"), board, falling_first=False)


def capacity_head(board: Board) -> Head:
    """The heading of the torque that each pack carries."""
    return _head("Available", "available", Order("capacity"), board, falling_first=True)


def engine_heads(board: Board) -> tuple[Head, ...]:
    """The heading of each engine, which sorts by the margin over it."""
    return tuple(
        _head(e.name, e.public_id, Order("margin", e.public_id), board, falling_first=True)
        for e in board.engines
    )


def _head(text: str, key: str, order: Order, board: Board, falling_first: bool) -> Head:
    now = board.order
    mine = (now.by, now.engine) == (order.by, order.engine)
    falling = not now.falling if mine else falling_first
    stands = ("descending" if now.falling else "ascending") if mine else ""
    asked = Order(order.by, order.engine, falling)
    return Head(text, board.view.but(order=asked).address(), stands, key)
