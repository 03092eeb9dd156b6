"""A page asks the database as often for a large catalogue as for a small one."""

from collections.abc import Iterator
from threading import current_thread
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import event
from starlette.testclient import TestClient

from app.records.database import writing
from app.services.catalogue import engines, packs
from tests.factories import make_engine_document, make_pack

PAGES = (
    "/", "/?order=-capacity&verdict=holds", "/packs", "/engines", "/classes", "/packs/{pack}",
    "/engines/{engine}", "/cell/{pack}/{engine}", "/board.csv", "/packs?q=more", "/packs/new",
    "/packs/put-aside", "/packs/{pack}/edit", "/packs/{pack}/history", "/packs/{pack}/teardown",
    "/engines/new", "/engines/{engine}/edit", "/engines/{engine}/history", "/classes/edit",
    "/cell/{pack}/{engine}/launch", "/tests", "/tests/new", "/tests/fit/{pack}", "/tests/plan",
    "/comparisons", "/comparisons/new", "/shortlist", "/verdicts", "/instruments", "/history",
    "/import", "/export/packs.csv", "/settings", "/about", "/api/v1/packs", "/api/v1/board",
)
MOST = 10
"""When everything is held ready; the page of a pack asks for its offers, tests and findings."""
MOST_OF = {"/tests/fit/{pack}": 25}
"""A fit reads its runs with their readings and instruments, and the pack for each of its parts."""


@pytest.fixture
def shop(app: FastAPI) -> Iterator[tuple[TestClient, str, str]]:
    with TestClient(app, base_url="http://localhost:8000", follow_redirects=False) as client:
        with writing(app.state.engine) as session:
            pack = packs.add(session, make_pack(), by="Ann")
            engine = engines.add(session, make_engine_document(), by="Ann")
        yield client, pack.id, engine.id


@pytest.mark.parametrize("page", PAGES)
def test_queries_do_not_grow_with_the_catalogue(
    shop: tuple[TestClient, str, str], app: FastAPI, page: str
) -> None:
    client, pack, engine = shop
    address = page.format(pack=pack, engine=engine)
    asked: list[str] = []

    @event.listens_for(app.state.engine, "before_cursor_execute")
    def note(_c: Any, _k: Any, statement: str, *_more: Any) -> None:
        # The keeper of daily copies asks from a thread of its own, whenever it likes.
        of_page = "AnyIO worker" in current_thread().name
        if of_page and not statement.startswith("BEGIN"):
            asked.append(statement)

    def counted() -> int:
        asked.clear()
        assert client.get(address).status_code == 200
        return len(asked)

    def after_saving(more: int, start: int) -> tuple[int, int]:
        """Queries right after a save, and when everything is held ready."""
        with writing(app.state.engine) as session:
            for number in range(start, start + more):
                packs.add(session, make_pack(f"More {number}"), by="Ann")
                engines.add(session, make_engine_document(f"More {number}"), by="Ann")
        first = counted()
        counted()
        return first, counted()

    counted()  # the first one connects
    few, many = after_saving(2, 0), after_saving(30, 2)
    assert many == few
    assert 1 <= few[1] <= MOST_OF.get(page, MOST), asked
