"""Saved comparisons as boards: what of them is still in use, worked out as the catalogue stands."""

from dataclasses import dataclass, replace

from sqlmodel import Session

from app.comparison.board import Board
from app.comparison.board_view import MOST_PER, BoardView
from app.documents.keeping import MOST_ENGINES, MOST_PACKS, SavedComparison
from app.records.keeping_rows import TARGETS, names_of
from app.services import comparing
from app.services.keeping_nouns import view_of
from app.services.standing import standing


@dataclass(frozen=True)
class KeptBoard:
    """A saved comparison worked out; `lost` names what was put aside since."""

    board: Board
    lost: tuple[str, ...]


def kept_board(session: Session, document: SavedComparison) -> KeptBoard:
    """The board of a saved comparison, without what is no longer in use."""
    now = standing(session)
    view = view_of(document)
    packs = tuple(key for key in view.packs if key in now.pack_by_id)
    engines = tuple(key for key in view.engines if key in now.engine_by_id)
    gone = {
        "pack": [key for key in view.packs if key not in now.pack_by_id],
        "engine": [key for key in view.engines if key not in now.engine_by_id],
    }
    lost: list[str] = []
    for kind, ids in gone.items():
        names = names_of(session, TARGETS[kind], ids)
        lost += [names.get(key, key) for key in ids]
    order = view.order
    if order is not None and order.engine is not None and order.engine not in now.engine_by_id:
        order = None
    shown = view.but(packs=packs, engines=engines, order=order, chart=None)
    shown = shown.but(per=MOST_PER, page=None)
    emptied = (bool(view.packs) and not packs) or (bool(view.engines) and not engines)
    board = comparing.board(session, shown)
    return KeptBoard(replace(board, packs=(), found=0) if emptied else board, tuple(lost))


def frozen_view(session: Session, view: BoardView, which: str) -> BoardView:
    """A view to be kept: just the packs and engines it shows now, or (filters) as it asks.

    Raises:
        BadInput: the view names a record that is not in use.
    """
    plain = view.but(page=None, chart=None, per=BoardView().per)
    if which != "these":
        return plain
    found = comparing.whole_board(session, plain)
    packs = tuple(p.public_id for p in found.packs[:MOST_PACKS])
    engines = tuple(e.public_id for e in found.engines[:MOST_ENGINES])
    return plain.but(packs=packs, engines=engines, q="", verdicts=(), mounting=None)
