"""Saved comparisons: the list, and one of them as a sheet that says all that it rests on."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.comparison.board import Board
from app.comparison.board_view import BoardView
from app.comparison.model import MODEL_VERSION
from app.comparison.verdict import RULE
from app.documents.keeping import SavedComparison
from app.presentation.board_page import BoardPage, board_page
from app.presentation.numbers import number_text
from app.presentation.torques import state_words


@dataclass(frozen=True)
class ComparisonRow:
    """One comparison of the list."""

    name: str
    href: str
    what: str
    state: str
    saved: str


@dataclass(frozen=True)
class RecordLine:
    """A pack or an engine of the sheet: its version, and who looked its figures over."""

    name: str
    href: str
    version: int
    checked: str


@dataclass(frozen=True)
class ComparisonSheet:
    """One comparison.

    Attributes:
        facts: what it rests on, as (name, text).
        lost: what was put aside since it was saved.
        board: its table.
        board_href: the same view on the board.
        shown: what is left out of a large one.
    """

    id: str
    name: str
    version: int
    notes: str
    changed: str
    facts: tuple[tuple[str, str], ...]
    lost: tuple[str, ...]
    board: BoardPage | None
    board_href: str
    shown: str
    packs: tuple[RecordLine, ...]
    engines: tuple[RecordLine, ...]

    @property
    def path(self) -> str:
        """Its address, to be shared."""
        return f"/comparisons/{self.id}"


def what_words(packs: int, engines: int) -> str:
    """What is compared.

    >>> what_words(3, 1), what_words(0, 0)
    ('3 packs × 1 engine', 'packs by filter × all engines')
    """
    left = f"{packs} pack{'' if packs == 1 else 's'}" if packs else "packs by filter"
    right = f"{engines} engine{'' if engines == 1 else 's'}" if engines else "all engines"
    return f"{left} × {right}"


def limits_words(heavy_above: float) -> str:
    """The limits in words."""
    return f"called heavy above a ratio of {number_text(heavy_above)} without the service factor"


def sheet_facts(
    view: BoardView, heavy_above: float, revision: int, version: str, now: str
) -> tuple[tuple[str, str], ...]:
    """What a printed board rests on."""
    return (
        ("State", state_words(view)),
        ("Limits", limits_words(heavy_above)),
        ("Rule", RULE),
        ("Worked out", now),
        ("Data", f"catalogue revision {revision}"),
        ("Program", f"Gripledger {version}, model {MODEL_VERSION}"),
    )


def comparison_sheet(
    public_id: str,
    version: int,
    document: SavedComparison,
    board: Board,
    changed: str,
    facts: tuple[tuple[str, str], ...],
    lost: Sequence[str],
) -> ComparisonSheet:
    """The sheet of one comparison.

    Args:
        public_id: of the comparison.
        version: of its record.
        document: the comparison.
        board: its packs and engines with their cells.
        changed: who saved it last, and when.
        facts: what it rests on.
        lost: names of what was put aside since.
    """
    left_out = board.found - len(board.packs)
    shown = f"The first {len(board.packs)} of {board.found} packs are shown." if left_out else ""
    return ComparisonSheet(
        id=public_id,
        name=document.name,
        version=version,
        notes=document.notes or "",
        changed=changed,
        facts=facts,
        lost=tuple(lost),
        board=board_page(board, None) if board.packs and board.engines else None,
        board_href=board.view.address(),
        shown=shown,
        packs=tuple(
            RecordLine(p.name, f"/packs/{p.public_id}", p.version, p.checked) for p in board.packs
        ),
        engines=tuple(
            RecordLine(e.name, f"/engines/{e.public_id}", e.version, e.checked)
            for e in board.engines
        ),
    )


def comparison_row(
    public_id: str, document: SavedComparison, view: BoardView, saved: str
) -> ComparisonRow:
    """One line of the list."""
    return ComparisonRow(
        name=document.name,
        href=f"/comparisons/{public_id}",
        what=what_words(len(document.packs), len(document.engines)),
        state=state_words(view),
        saved=saved,
    )
