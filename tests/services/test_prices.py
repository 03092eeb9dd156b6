"""The lowest price of each pack."""

from sqlalchemy import Engine

from app.comparison.board_view import BoardView, Order
from app.documents import Offer
from app.records.database import read_session, writing
from app.services.catalogue import offers, packs
from app.services.comparing import board
from app.services.prices import lowest_prices
from tests.factories import make_pack


def add(database: Engine, prices: dict[str, list[tuple[float, str]]]) -> dict[str, str]:
    """Packs by name with offers at these prices; their ids by name."""
    ids = {}
    with writing(database) as session:
        for name, asked in prices.items():
            ids[name] = packs.add(session, make_pack(name), by="Ann").id
            for n, (price, currency) in enumerate(asked):
                offer = Offer(name=f"{name} {n}", pack=ids[name], price=price, currency=currency)
                offers.add(session, offer, by="Ann")
    return ids


def test_the_lowest_in_the_commonest_currency_is_told(database: Engine) -> None:
    ids = add(
        database,
        {
            "Cheap": [(30.0, "EUR"), (20.0, "EUR"), (5.0, "GBP")],
            "Pound": [(9.0, "GBP")],
            "Dear": [(90.0, "EUR")],
            "Bare": [],
        },
    )
    with read_session(database) as session:
        found = lowest_prices(session)
    assert {key: (p.price, p.currency) for key, p in found.items()} == {
        ids["Cheap"]: (20.0, "EUR"),
        ids["Dear"]: (90.0, "EUR"),
        ids["Pound"]: (9.0, "GBP"),
    }
    assert next(iter(found.values())).name == "Cheap 1"


def test_the_commonest_currency_need_not_be_the_first_of_the_alphabet(database: Engine) -> None:
    ids = add(database, {"One": [(9.0, "EUR"), (30.0, "GBP"), (20.0, "GBP")]})
    with read_session(database) as session:
        found = lowest_prices(session)[ids["One"]]
    assert (found.price, found.currency) == (20.0, "GBP")


def test_packs_in_order_of_price_have_other_currencies_and_none_last(database: Engine) -> None:
    add(
        database,
        {
            "A dear": [(90.0, "EUR")], "B cheap": [(20.0, "EUR")], "C pound": [(1.0, "GBP")],
            "D bare": [],
        },
    )
    with read_session(database) as session:
        rising = board(session, BoardView(order=Order("price")))
        falling = board(session, BoardView(order=Order("price", None, True)))
        assert rising.prices[rising.packs[0].public_id].price == 20.0
    assert [p.name for p in rising.packs] == ["B cheap", "A dear", "C pound", "D bare"]
    assert [p.name for p in falling.packs] == ["A dear", "B cheap", "C pound", "D bare"]


def test_offers_put_aside_do_not_count(database: Engine) -> None:
    ids = add(database, {"One": [(10.0, "EUR"), (20.0, "EUR")]})
    with writing(database) as session:
        cheap = lowest_prices(session)[ids["One"]]
        offers.put_aside(session, cheap.offer, 1, by="Ann")
    with read_session(database) as session:
        assert lowest_prices(session)[ids["One"]].price == 20.0
