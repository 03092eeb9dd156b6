"""What the displacement classes say of an offer, for pages that show the offer."""

from sqlmodel import Session

from app.comparison.board import PackEntry
from app.comparison.board_view import BoardView
from app.presentation.class_words import claim_says
from app.services.classing import ClassView, classes


def classes_say(session: Session, pack: PackEntry | None, offer: str) -> str:
    """The judgement of an offer's claim, as on the page of classes; "" where there is none.

    Args:
        session: to read with.
        pack: that is on offer, None where it is not in use.
        offer: the offer's id.
    """
    if pack is None:
        return ""
    board = classes(session, ClassView(BoardView(packs=(pack.public_id,))))
    (held,) = board.packs
    return next((claim_says(c, held, board) for c in held.claims if c.made.offer_id == offer), "")
