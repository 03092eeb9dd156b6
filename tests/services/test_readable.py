import pytest
import sqlalchemy as sa

from app.errors import NotFound
from app.records.database import read_session, writing
from app.records.listing import Search
from app.services.catalogue import packs
from tests.factories import make_pack


def test_records_are_read_by_id_by_cursor_and_by_page(database: sa.Engine) -> None:
    with writing(database) as session:
        ids = packs.add_many(session, [make_pack(name) for name in "cab"], by="ann")
    with read_session(database) as session:
        assert packs.get(session, ids[0]).name == "c"
        assert [s.name for s in packs.get_many(session, [ids[2], "nothing", ids[0]])] == ["b", "c"]
        first = packs.after_cursor(session, limit=2)
        assert [s.name for s in first.records] == ["a", "b"]
        rest = packs.after_cursor(session, cursor=first.next_cursor)
        assert ([s.name for s in rest.records], rest.next_cursor) == (["c"], None)
        page = packs.page(session, Search(order="-name"), page=9, size=2)
        assert ([s.name for s in page.records], page.page, page.pages) == (["a"], 2, 2)
        with pytest.raises(NotFound):
            packs.get(session, "nothing")
