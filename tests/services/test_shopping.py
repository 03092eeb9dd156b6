import pytest
import sqlalchemy as sa

from app.documents import Offer
from app.errors import NotFound
from app.records.database import read_session, writing
from app.services.catalogue import engines, offers, packs, shortlist
from app.services.shopping import add_to_list, line_of, offers_of, shopping_list
from tests.factories import make_engine_document, make_pack


def test_a_line_knows_names_offer_and_verdict(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack("One"), by="a").id
        engine = engines.add(session, make_engine_document("E"), by="a").id
        offer = offers.add(session, Offer(name="O", pack=pack, price=5), by="a").id
        line, new = add_to_list(session, pack, engine, by="a")
        assert new
        assert line.document.offer == offer
        again, new = add_to_list(session, pack, engine, by="a")
        assert (again.id, new) == (line.id, False)
    with read_session(database) as session:
        (found,) = shopping_list(session)
        assert (found.pack, found.engine, found.offer.name) == ("One", "E", "O")
        assert found.verdict in ("holds", "tight", "slips")
        assert line_of(session, line.id) == found
        assert [key for key, _ in offers_of(session, pack)] == [offer]
        with pytest.raises(NotFound):
            line_of(session, "nothing")


def test_a_line_names_the_checks_that_its_pack_fails_on_the_engine(database: sa.Engine) -> None:
    with writing(database) as session:
        wide = packs.add(session, make_pack("Wide", envelope_diameter_mm=900), by="a").id
        small = make_engine_document("Small", envelope_diameter_mm=150)
        engine = engines.add(session, small, by="a").id
        add_to_list(session, wide, engine, by="a")
        add_to_list(session, wide, None, by="a")
    with read_session(database) as session:
        found = {line.engine: line.failed for line in shopping_list(session)}
    assert found == {"Small": ("bolts_up",), "": ()}


def test_of_several_offers_none_is_chosen_and_an_engine_put_aside_has_no_verdict(
    database: sa.Engine,
) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack("One"), by="a").id
        engine = engines.add(session, make_engine_document("E"), by="a").id
        for name in "xy":
            offers.add(session, Offer(name=name, pack=pack), by="a")
        line, _ = add_to_list(session, pack, engine, by="a")
        assert line.document.offer is None
        engines.put_aside(session, engine, 1, by="a")
    with read_session(database) as session:
        (found,) = shopping_list(session)
        assert (found.engine, found.verdict, found.ratio) == ("E", None, None)


def test_what_is_to_be_ordered_comes_before_what_was(database: sa.Engine) -> None:
    with writing(database) as session:
        ids = packs.add_many(session, [make_pack(n) for n in "ab"], by="x")
        first, _ = add_to_list(session, ids[0], None, by="x")
        add_to_list(session, ids[1], None, by="x")
        done = first.document.model_copy(update={"done": True})
        shortlist.change(session, first.id, 1, done, by="x")
        with pytest.raises(NotFound):
            add_to_list(session, "nothing", None, by="x")
    with read_session(database) as session:
        assert [line.pack for line in shopping_list(session)] == ["b", "a"]
