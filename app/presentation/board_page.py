"""The page of the board: one frozen value with every text that the template writes."""

from dataclasses import dataclass

from app.comparison.board import Board, Charted
from app.comparison.board_view import BoardView
from app.mechanics.inputs import CentrifugalClamp
from app.presentation.board_cells import (
    MOUNTING_WORDS,
    Head,
    PackRow,
    RequiredRow,
    capacity_head,
    engine_heads,
    leading_back,
    name_head,
    pack_rows,
    required_rows,
)
from app.presentation.board_chart import ChartView, torque_chart
from app.presentation.board_failed import VERDICT_WORDS, stands_first
from app.presentation.board_filters import FilterForm, form_of_view
from app.presentation.board_list import BoardList, board_list
from app.presentation.facts import CellFacts, board_facts, facts_of
from app.presentation.numbers import NBSP, number_text
from app.presentation.torques import UNIT_LABEL, state_words


@dataclass(frozen=True)
class Pager:
    """Pages of the board, as the shared pager shows them."""

    summary: str
    previous: str
    next: str
    pages: tuple[tuple[str, str, bool], ...]


@dataclass(frozen=True)
class Empty:
    """What is said where there is nothing to show, with the steps that change it."""

    heading: str
    text: str
    steps: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class BoardPage:
    """The board.

    Attributes:
        title: of the browser's window, with the page's number.
        state: the state of the comparison in words.
        form: the filters.
        kept: names and values that the form sends along unseen.
        found: "24 packs found", read out when it changes.
        shown: which engines are shown, where not all are.
        revision: of the catalogue, for the printed sheet.
        units: (label, address, is current).
        heading: of the page.
        list: the packs of one engine, or the engines of one pack, as a list.
        speed: at what speed clamps by weights are judged, where one is shown.
        used: the filters in use in words, for the printed sheet.
        engine_links: (name, address, how many hold) of engines, each to its packs by margin.
        side_kept: names and values that a choice of packs for side by side sends along.
        chart_engines: (value, name, is drawn) of the engines that can be drawn; `chart_packs` of
            the packs.
        chart_kept: names and values that the choice of a chart sends along.
    """

    title: str
    state: str
    form: FilterForm
    kept: tuple[tuple[str, str], ...] = ()
    found: str = ""
    shown: str = ""
    revision: int = 0
    units: tuple[tuple[str, str, bool], ...] = ()
    unit: str = ""
    pack_head: Head | None = None
    capacity_head: Head | None = None
    heads: tuple[Head, ...] = ()
    required: tuple[RequiredRow, ...] = ()
    rows: tuple[PackRow, ...] = ()
    one_engine: str = ""
    one_engine_id: str = ""
    all_engines_address: str = ""
    pager: Pager | None = None
    csv_address: str = ""
    csv_words: str = ""
    csv_all_address: str = ""
    heavy_above: str = ""
    chart: ChartView | None = None
    engine_links: tuple[tuple[str, str, str], ...] = ()
    chart_engines: tuple[tuple[str, str, bool], ...] = ()
    chart_packs: tuple[tuple[str, str, bool], ...] = ()
    chart_kept: tuple[tuple[str, str], ...] = ()
    empty: Empty | None = None
    canonical: str = "/"
    heading: str = "Which pack holds which engine"
    list: BoardList | None = None
    speed: str = ""
    used: str = ""
    side_kept: tuple[tuple[str, str], ...] = ()


def board_page(board: Board, charted: Charted | None) -> BoardPage:
    """The page of a board, with its chart where one is drawn."""
    view = board.view
    form = form_of_view(view, board.all_engines, board.heavy_above)
    words = state_words(view)
    if not board.all_packs or not board.all_engines:
        return BoardPage("Board", words, form, empty=_first_steps(board))
    facts = board_facts(board)
    rows = pack_rows(board, facts)
    as_list = board_list(board, facts, rows)
    pager = _pager(board)
    number = f", page {board.first // view.per + 1}" if pager.previous or pager.next else ""
    one = board.engines[0].name if len(board.engines) == 1 else ""
    exactly = (
        view.but(engines=tuple(e.public_id for e in board.engines), page=None)
        if board.engines_found > len(board.engines)
        else view.but(page=None)
    )
    return BoardPage(
        title=(as_list.heading if as_list else f"Packs for {one}" if one else "Board") + number,
        state=words,
        form=form,
        kept=_kept(view),
        found=f"{_count(board.found, 'pack')} found",
        shown=_shown(board),
        revision=board.revision,
        units=tuple(
            (label, view.but(unit=unit).address(), unit == view.unit)
            for unit, label in UNIT_LABEL.items()
        ),
        unit=UNIT_LABEL[view.unit],
        pack_head=name_head(board),
        capacity_head=capacity_head(board),
        heads=engine_heads(board),
        required=required_rows(board, facts),
        rows=rows,
        one_engine=one,
        one_engine_id=board.engines[0].public_id if one else "",
        all_engines_address=view.but(packs=(), engines=(), order=None, chart=None).address(),
        pager=pager,
        csv_address=exactly.address("/board.csv"),
        csv_words=f"{_count(board.found, 'pack')} × {_count(len(board.engines), 'engine')}",
        csv_all_address=view.but(page=None).address("/board.csv")
        if board.engines_found > len(board.engines)
        else "",
        heavy_above=number_text(board.heavy_above),
        chart=_chart(board, charted, words),
        engine_links=_engine_links(board, facts),
        chart_engines=tuple(
            (f"engine:{e.public_id}", e.name, view.chart == ("engine", e.public_id))
            for e in board.engines
        ),
        chart_packs=tuple(
            (f"pack:{p.public_id}", p.name, view.chart == ("pack", p.public_id))
            for p in board.packs
        ),
        chart_kept=tuple(pair for pair in view.pairs() if pair[0] != "chart"),
        empty=_nothing_found(board) if not board.found else None,
        canonical=view.address(),
        heading=as_list.heading if as_list else BoardPage.heading,
        list=as_list,
        speed=_speed(board),
        used=_used(view),
        side_kept=_side_kept(view),
    )


def refused_page(form: FilterForm) -> BoardPage:
    """The page of a view that could not be read: its form as sent, with what would be right."""
    return BoardPage("Board", "", form)


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" + ("" if number == 1 else "s")


def _shown(board: Board) -> str:
    shown, found = len(board.engines), board.engines_found
    if shown < found:
        return (
            f"The first {shown} of {found} engines are shown, by name. Choose engines in "
            "the settings above, or take all of them as CSV."
        )
    if 1 < found < len(board.all_engines):
        return f"{shown} of {_count(len(board.all_engines), 'engine')} shown, as chosen."
    return ""


def _kept(view: BoardView) -> tuple[tuple[str, str], ...]:
    """What the form has no box for; without it a search would lose the order."""
    return tuple(
        (name, value)
        for name, value in view.pairs()
        if name in ("order", "unit", "per", "pack", "chart")
    )


def _pager(board: Board) -> Pager:
    view, per = board.view, board.view.per
    pages = max(1, -(-board.found // per))
    page = board.first // per + 1
    last = board.first + len(board.packs)
    summary = f"Packs {board.first + 1}–{last} of {board.found}" if board.found else "No packs"
    if view.page is not None and view.page > pages:
        summary += f"; there is no page {view.page}, so this is the last"

    def at(number: int) -> str:
        return view.but(page=number).address()

    near = sorted({1, pages, *range(max(1, page - 2), min(pages, page + 2) + 1)})
    links: list[tuple[str, str, bool]] = []
    for before, number in zip([0, *near], near, strict=False):
        if number - before > 1:
            links.append(("…", "", False))
        links.append((str(number), at(number), number == page))
    return Pager(
        summary,
        at(page - 1) if page > 1 else "",
        at(page + 1) if page < pages else "",
        tuple(links),
    )


def _engine_links(
    board: Board, facts: list[list[CellFacts]]
) -> tuple[tuple[str, str, str], ...]:
    """Each shown engine's own view: its packs, the largest margin first, and how many hold it."""
    if len(board.engines) < 2:
        return ()
    whole = len(board.packs) == board.found
    return tuple(
        (
            engine.name,
            board.view.but(engines=(engine.public_id,), order=None, chart=None).address(),
            _holding(facts, j) if whole else "",
        )
        for j, engine in enumerate(board.engines)
    )


def _holding(facts: list[list[CellFacts]], j: int) -> str:
    """How many packs hold an engine and pass the checks."""
    cells = [row[j] for row in facts]
    count = sum(c.verdict == "holds" and not stands_first("holds", c.failed) for c in cells)
    return f"{count} of {len(cells)} {'holds' if count == 1 else 'hold'}" if count else "none holds"


def _speed(board: Board) -> str:
    """At what speed clamps by weights are judged, where one is shown."""
    if not any(isinstance(p.inputs.clamp, CentrifugalClamp) for p in board.packs):
        return ""
    if board.view.speed_rpm is not None:
        return (
            "Packs that clamp by weights are judged at a crank speed of "
            f"{number_text(board.view.speed_rpm)}{NBSP}r/min, as chosen."
        )
    return (
        "Packs that clamp by weights are judged at the crank speed of each engine’s stated "
        "torque, which stands in the cell. Another speed can be set under More settings."
    )


def _used(view: BoardView) -> str:
    """The filters in use, in words."""
    parts = []
    if view.q:
        parts.append(f"name contains “{view.q}”")
    if view.mounting:
        parts.append(MOUNTING_WORDS[view.mounting])
    if view.verdicts:
        parts.append("torque " + " or ".join(VERDICT_WORDS[key].lower() for key in view.verdicts))
    if view.packs:
        parts.append(f"{_count(len(view.packs), 'pack')} chosen")
    if view.engines:
        parts.append(f"{_count(len(view.engines), 'engine')} chosen")
    return "; ".join(parts)


def _side_kept(view: BoardView) -> tuple[tuple[str, str], ...]:
    """State and engines for the page that sets packs side by side, and the way back."""
    pairs = [pair for pair in view.pairs() if pair[0] == "engine"]
    return (*leading_back(view).state_pairs(), *pairs)


def _chart(board: Board, charted: Charted | None, words: str) -> ChartView | None:
    if charted is None:
        return None
    rows = facts_of(charted.packs, charted.engines, charted.cells, board.heavy_above)
    flat = [cell for row in rows for cell in row]
    return torque_chart(charted.kind, flat, board.view, words) if flat else None


def _first_steps(board: Board) -> Empty:
    here, rest = [], []
    if not board.all_packs:
        rest.append(("Measure a pack and enter it", "/packs/new"))
    else:
        here.append(f"{_count(board.all_packs, 'pack')} entered")
    if not board.all_engines:
        rest.append(("Enter an engine with its torque and its primary gear", "/engines/new"))
    else:
        here.append(f"{_count(len(board.all_engines), 'engine')} entered")
    rest.append(
        (
            "Come back here and read the board: which pack holds which engine, and how sure "
            "that is",
            "",
        )
    )
    return Empty(
        "Nothing to compare yet" if not here else f"Nothing to compare yet: {', '.join(here)}",
        "The board sets every pack against every engine. It needs at least one of each. To look "
        "around first, run the command gripledger demo: it opens a made-up shop with packs and "
        "engines of its own, apart from your records.",
        tuple(rest),
    )


def _nothing_found(board: Board) -> Empty:
    return Empty(
        "No pack passes these settings",
        f"The catalogue has {_count(board.all_packs, 'pack')}. Take a filter off, or search for "
        "part of a name.",
        (("Show all packs", BoardView().address()),),
    )
