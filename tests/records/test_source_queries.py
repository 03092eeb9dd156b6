import sqlalchemy as sa

from app.documents import Offer
from app.records.database import read_session, writing
from app.records.source_queries import (
    active_facings,
    every_offer_row,
    offer_rows_of_packs,
    pack_key,
    pack_keys,
    pack_public_ids,
    packs_with_facing,
)
from app.services.catalogue import offers, packs
from tests.factories import make_pack


def test_the_cheapest_offer_of_a_pack_comes_first_and_one_without_a_price_last(
    database: sa.Engine,
) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        for name, price in (("dear", 90), ("unknown", None), ("cheap", 40), ("gone", 10)):
            offer = Offer.model_validate({"name": name, "pack": pack.id, "price": price})
            stored = offers.add(session, offer, by="a")
        offers.put_aside(session, stored.id, stored.version, by="a")
        offers.add(session, Offer(name="of no pack"), by="a")
    with read_session(database) as session:
        rows = offer_rows_of_packs(session, [pack.id])
    assert [row["name"] for row in rows] == ["cheap", "dear", "unknown"]
    assert {row["pack_public_id"] for row in rows} == {pack.id}


def test_packs_are_found_by_their_facing_and_by_their_ids(database: sa.Engine) -> None:
    with writing(database) as session:
        stored = packs.add(session, make_pack(facing="paper"), by="a")
    with read_session(database) as session:
        paper = next(row for row in active_facings(session) if row["name"] == "paper")
        assert packs_with_facing(session, paper["id"]) == ["Tern 4"]
        key = pack_key(session, stored.id)
        assert key is not None
        assert pack_public_ids(session, [key]) == {key: stored.id}
        assert pack_key(session, "nobody") is None
        assert pack_public_ids(session, []) == {}


def test_keys_of_many_packs_and_offers_with_their_packs(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        offers.add(session, Offer(name="dear", pack=pack.id, price=9), by="a")
        offers.add(session, Offer(name="cheap", price=1), by="a")
        gone = offers.add(session, Offer(name="gone"), by="a")
        offers.put_aside(session, gone.id, 1, by="a")
        assert set(pack_keys(session, [pack.id, "nothing"])) == {pack.id}
        rows = every_offer_row(session)
        assert [(r["name"], r["pack_public_id"]) for r in rows] == [
            ("cheap", None), ("dear", pack.id),
        ]  # fmt: skip
