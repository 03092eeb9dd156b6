"""The page of the board: one frozen value with every text that the template writes."""

from dataclasses import dataclass

from app.comparison.board import Board, Charted
from app.comparison.board_view import BoardView
from app.presentation.board_cells import (
    Head,
    PackRow,
    RequiredRow,
    capacity_head,
    engine_heads,
    name_head,
    pack_rows,
    required_rows,
)
from app.presentation.board_chart import ChartView, torque_chart
from app.presentation.board_filters import FilterForm, form_of_view
from app.presentation.facts import board_facts, facts_of
from app.presentation.numbers import number_text
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
        engine_links: (name, address) of engines, each to its packs by margin.
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
    engine_links: tuple[tuple[str, str], ...] = ()
    chart_engines: tuple[tuple[str, str, bool], ...] = ()
    chart_packs: tuple[tuple[str, str, bool], ...] = ()
    chart_kept: tuple[tuple[str, str], ...] = ()
    empty: Empty | None = None
    canonical: str = "/"


def board_page(board: Board, charted: Charted | None) -> BoardPage:
    """The page of a board, with its chart where one is drawn."""
    view = board.view
    form = form_of_view(view, board.all_engines, board.heavy_above)
    words = state_words(view)
    if not board.all_packs or not board.all_engines:
        return BoardPage("Board", words, form, empty=_first_steps(board))
    facts = board_facts(board)
    pager = _pager(board)
    number = f", page {board.first // view.per + 1}" if pager.previous or pager.next else ""
    one = board.engines[0].name if len(board.engines) == 1 else ""
    exactly = (
        view.but(engines=tuple(e.public_id for e in board.engines), page=None)
        if board.engines_found > len(board.engines)
        else view.but(page=None)
    )
    return BoardPage(
        title=(f"Packs for {one}" if one else "Board") + number,
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
        rows=pack_rows(board, facts),
        one_engine=one,
        one_engine_id=board.engines[0].public_id if one else "",
        all_engines_address=view.but(engines=(), order=None, chart=None).address(),
        pager=pager,
        csv_address=exactly.address("/board.csv"),
        csv_words=f"{_count(board.found, 'pack')} × {_count(len(board.engines), 'engine')}",
        csv_all_address=view.but(page=None).address("/board.csv")
        if board.engines_found > len(board.engines)
        else "",
        heavy_above=number_text(board.heavy_above),
        chart=_chart(board, charted, words),
        engine_links=_engine_links(board),
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


def _engine_links(board: Board) -> tuple[tuple[str, str], ...]:
    """Each shown engine's own view: its packs, the largest margin first."""
    if len(board.engines) < 2:
        return ()
    return tuple(
        (e.name, board.view.but(engines=(e.public_id,), order=None, chart=None).address())
        for e in board.engines
    )


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
