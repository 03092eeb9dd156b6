import sqlalchemy as sa

from app.comparison.board_view import BoardView, Order
from app.documents import SavedComparison
from app.records.database import read_session, writing
from app.services.catalogue import engines, packs
from app.services.comparisons import frozen_view, kept_board
from tests.factories import make_engine_document, make_pack


def stocked(database: sa.Engine) -> tuple[list[str], str]:
    with writing(database) as session:
        made = [make_pack("b"), make_pack("a"), make_pack("c", mounting="crankshaft")]
        ids = packs.add_many(session, made, by="x")
        return ids, engines.add(session, make_engine_document("E"), by="x").id


def test_a_view_is_frozen_to_what_it_shows_or_kept_as_it_asks(database: sa.Engine) -> None:
    ids, engine = stocked(database)
    view = BoardView(mounting="geared", page=2, per=1, chart=("engine", engine), order=Order())
    with read_session(database) as session:
        these = frozen_view(session, view, "these")
        assert these.packs == (ids[1], ids[0])
        assert (these.engines, these.mounting, these.page) == ((engine,), None, None)
        asks = frozen_view(session, view, "filters")
        assert (asks.packs, asks.mounting, asks.per, asks.chart) == ((), "geared", 50, None)


def test_what_was_put_aside_is_left_out_and_named(database: sa.Engine) -> None:
    ids, engine = stocked(database)
    kept = SavedComparison(name="A", packs=ids, engines=[engine], order=f"-margin:{engine}")
    with writing(database) as session:
        packs.put_aside(session, ids[0], 1, by="x")
    with read_session(database) as session:
        found = kept_board(session, kept)
        assert found.lost == ("b",)
        assert {p.name for p in found.board.packs} == {"a", "c"}
    with writing(database) as session:
        engines.put_aside(session, engine, 1, by="x")
    with read_session(database) as session:
        found = kept_board(session, kept)
        assert (found.lost, found.board.packs) == (("b", "E"), ())
