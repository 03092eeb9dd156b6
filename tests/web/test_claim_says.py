"""What the classes say of an offer, for pages that show it."""

import pytest
import sqlalchemy as sa

from app.comparison.board import PackEntry
from app.comparison.board_view import BoardView
from app.documents import Offer
from app.presentation.class_words import claim_says
from app.records.database import make_engine, read_session, writing
from app.services.catalogue import offers, packs
from app.services.classing import ClassView, classes
from app.services.standing import standing
from app.web.claim_says import classes_say
from tests.factories import make_pack


@pytest.fixture
def engine(sqlite_url: str):
    engine = make_engine(sqlite_url)
    yield engine
    engine.dispose()


def kept(engine: sa.Engine, **claim: object) -> tuple[str, str]:
    """A pack and an offer of it with a claim, by their ids."""
    with writing(engine) as session:
        pack = packs.add(session, make_pack("Tern four"), by="Ann").id
        made = Offer.model_validate({"name": "Set", "pack": pack, **claim})
        return pack, offers.add(session, made, by="Ann").id


def test_an_offer_is_told_as_on_the_page_of_classes(engine: sa.Engine) -> None:
    pack, offer = kept(engine, claimed_cc_low=50, claimed_cc_high=650)
    with read_session(engine) as session:
        says = classes_say(session, standing(session).pack_by_id[pack], offer)
        board = classes(session, ClassView(BoardView()))
    (there,) = board.packs
    assert says == claim_says(there.claims[0], there, board)
    assert "by displacement class: the claim counts as 50 to 650" in says


def test_without_a_claim_or_a_pack_nothing_is_said(engine: sa.Engine) -> None:
    pack, offer = kept(engine)
    with read_session(engine) as session:
        entry: PackEntry = standing(session).pack_by_id[pack]
        assert classes_say(session, entry, offer) == ""
        assert classes_say(session, None, offer) == ""
