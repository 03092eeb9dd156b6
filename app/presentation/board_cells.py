"""The rows of the board, every cell as ready text, made in one pass."""

from dataclasses import dataclass, replace

from app.comparison.board import Board, crank_speeds
from app.comparison.board_view import BoardView, Order, wear_text
from app.comparison.inputs_list import InputLine
from app.mechanics.friction_source import TESTED
from app.mechanics.inputs import MOUNTINGS, CentrifugalClamp, Mounting, State
from app.presentation.board_failed import FAILED_WORDS as FAILED_WORDS
from app.presentation.board_failed import chip_of, misfit_words, stands_first, torque_words
from app.presentation.board_failed import failed_words as failed_words
from app.presentation.board_gauge import gauge
from app.presentation.columns import missing_words
from app.presentation.facts import CellFacts
from app.presentation.input_words import anchor, input_label
from app.presentation.numbers import NBSP, NOT_KNOWN, number_text, probability_text
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

SHORT_MOUNTING: dict[Mounting | None, str] = {
    "crankshaft": "on the crank",
    "geared": "geared",
    None: "mounting not known",
}


@dataclass(frozen=True, slots=True)
class CellText:
    """One cell: what stands first, ratio and interval as text, where its working is, its marks.

    Attributes:
        verdict: of the torque.
        chip: key of what stands first, a verdict or "stopped"; `word` is its word.
        title: the whole cell in a sentence, for who can't see the table.
        gauge: the interval as a stroke, see `board_gauge`; "" beside a failed check.
        why: what does not fit, where a pack that won't bolt up stands first.
        torque: what the torque says, where a failed check stands before it.
        failed: the failed checks that the chip does not tell; `checks` leads to all of them.
        assumed: address of the first assumed value, "" where there is none.
        tested: address of the fit, where the friction rests on the team's own slip tests.
        speed: crank speed at which a clamp by weights is judged.
    """

    verdict: str
    address: str
    title: str
    chip: str = ""
    word: str = ""
    ratio: str = ""
    span: str = ""
    gauge: str = ""
    torque: str = ""
    why: str = ""
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
    speed: str = ""

    @property
    def marked(self) -> bool:
        """Whether anything stands below the figures."""
        return bool(self.failed or self.tested or self.assumed or self.heavy or self.speed)


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


def cell_text(cell: CellFacts, view: BoardView, query: str, speed: str = "") -> CellText:
    """One cell as ready text; `query` is the view's, made once for all cells."""
    where, asked = f"{cell.pack.name} on {cell.engine.name}", view
    if cell.state is not None:
        view = view.in_state(cell.state)
        query = view.cell_query
        where += f", {state_words(view)}"
    address = f"/cell/{cell.pack.public_id}/{cell.engine.public_id}{query}"
    failed = cell.failed
    chip, first = chip_of(cell.verdict, failed), stands_first(cell.verdict, failed)
    others = failed_words(failed[1:]) if first else ""
    misfit = first and failed[0] == "bolts_up"
    why = misfit_words(cell.pack.inputs, cell.engine.inputs) if misfit else ""
    because = f" ({why})" if why else ""
    told = f"{where}: {chip.word.lower()}{because}{', ' + others if others else ''}"
    if cell.ratio is None or cell.available is None or cell.required is None:
        lack = missing_words(cell.missing)
        more = f"; {torque_words(cell.verdict, '', '')}" if first else ""
        return CellText(
            cell.verdict,
            address,
            f"{told}{more}; missing: {lack}",
            chip.key,
            chip.word,
            why=why,
            missing=lack,
            failed=others,
            checks=f"{address}#checks",
        )
    ratio, span = fast_ratio(cell.ratio.value), ratio_span(cell.ratio)
    torque = torque_words(cell.verdict, ratio, span) if first else ""
    lines = cell.rests_on
    return CellText(
        cell.verdict,
        address,
        f"{told}{f'; {torque}' if first else f' {ratio} ({span})'}, "
        f"{torque_text(cell.available.value, view.unit)} available, "
        f"{torque_text(cell.required.value, view.unit)} required",
        chip.key,
        chip.word,
        ratio=ratio,
        span=span,
        gauge="" if first else gauge(cell.ratio),
        torque=torque,
        why=why,
        chance=probability_text(cell.p_slip),
        required=torque_number(cell.required.value, view.unit),
        heavy=cell.heavy,
        assumed=f"{address}#{anchor(lines[0].path)}" if lines else "",
        assumed_words=_unsure_words(lines) if lines else "",
        tested=fit_address(cell.pack.public_id, view) if cell.friction.source == TESTED else "",
        failed=others,
        checks=f"{address}#checks",
        state="" if cell.state is None else short_state(cell.state, asked),
        speed=speed,
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


def _unsure_words(lines: tuple[InputLine, ...]) -> str:
    names = "; ".join(f"{input_label(line.path)} ({line.quantity.how})" for line in lines)
    return f"Rests on {names}"


def leading_back(view: BoardView) -> BoardView:
    """The view whose cells lead back to it: with its own query, where the state is not all of it.

    >>> leading_back(BoardView(q="six", wear_mm=None)).cell_query
    '?wear=worn&from=wear%3Dworn%26q%3Dsix'
    >>> leading_back(BoardView(wear_mm=None)).cell_query
    '?wear=worn'
    """
    pairs = view.pairs()
    whole = len(pairs) == len(view.state_pairs())
    return view if whole else replace(view, came_from=view.address()[2:])


def pack_rows(board: Board, facts: list[list[CellFacts]]) -> tuple[PackRow, ...]:
    """Every shown pack as a row."""
    view = leading_back(board.view)
    query = view.cell_query
    speeds = speed_words(board)
    silent = ("",) * len(board.engines)
    rows = []
    for pack, cells in zip(board.packs, facts, strict=True):
        figure = cells[0].available if cells else None
        weights = isinstance(pack.inputs.clamp, CentrifugalClamp)
        by_speed = weights and len(cells) > 1
        by_state = len({cell.state for cell in cells}) > 1
        known = figure is not None and not by_speed and not by_state
        told = speeds if weights else silent
        rows.append(
            PackRow(
                name=pack.name,
                address=f"/packs/{pack.public_id}",
                mounting=SHORT_MOUNTING[pack.inputs.mounting],
                available=torque_number(figure.value, view.unit)
                if figure is not None and known
                else ("by speed" if by_speed else "by state" if by_state else NOT_KNOWN),
                available_span=torque_span(figure, view.unit)
                if figure is not None and known
                else "",
                cells=tuple(
                    cell_text(cell, view, query, speed)
                    for cell, speed in zip(cells, told, strict=True)
                ),
                checked=pack.checked,
                id=pack.public_id,
            )
        )
    return tuple(rows)


def speed_words(board: Board) -> tuple[str, ...]:
    """The crank speed at which each engine's packs by weights are judged, "" where not known."""
    if not any(isinstance(p.inputs.clamp, CentrifugalClamp) for p in board.packs):
        return ("",) * len(board.engines)
    speeds = crank_speeds([e.inputs for e in board.engines], board.view.state)
    return tuple(
        "" if speed is None else f"at {number_text(speed, digits=4)}{NBSP}r/min"
        for speed in speeds
    )


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
    return head_of("Pack", "pack", Order("name"), board, falling_first=False)


def capacity_head(board: Board) -> Head:
    """The heading of the torque that each pack carries."""
    return head_of("Available", "available", Order("capacity"), board, falling_first=True)


def engine_heads(board: Board) -> tuple[Head, ...]:
    """The heading of each engine, which sorts by the margin over it."""
    return tuple(
        head_of(e.name, e.public_id, Order("margin", e.public_id), board, falling_first=True)
        for e in board.engines
    )


def head_of(text: str, key: str, order: Order, board: Board, falling_first: bool) -> Head:
    """A heading that sorts by `order`, and turned round where the board stands so already."""
    now = board.order
    mine = (now.by, now.engine) == (order.by, order.engine)
    falling = not now.falling if mine else falling_first
    stands = ("descending" if now.falling else "ascending") if mine else ""
    asked = Order(order.by, order.engine, falling)
    return Head(text, board.view.but(order=asked).address(), stands, key)
