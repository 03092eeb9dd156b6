"""Pages that are held ready: the same as if they were not, and never older than the catalogue."""

import gzip
import re

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.records.database import make_engine, writing
from app.services.catalogue import engines, packs
from app.web.render import Renderer
from tests.factories import make_engine_document, make_pack

PAGES = ("/", "/packs", "/engines", "/cell/{pack}/{engine}", "/cell/{pack}/{engine}?target=no")


@pytest.fixture
def client(app: FastAPI) -> TestClient:
    return TestClient(app, base_url="http://localhost:8000", follow_redirects=False)


def record(app: FastAPI) -> dict[str, str]:
    with writing(app.state.engine) as session:
        pack = packs.add(session, make_pack("First pack"), by="Ann")
        engine = engines.add(session, make_engine_document("First engine"), by="Ann")
    return {"pack": pack.id, "engine": engine.id}


def without_time(text: str) -> str:
    return re.sub(r"\d{4}-\d\d-\d\d \d\d:\d\d UTC", "then", text)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_held_ready_is_the_page(client: TestClient, app: FastAPI, page: str) -> None:
    with client:
        address = page.format(**record(app))
        first = client.get(address)
        again = client.get(address)
        # Without what is held, as a server that has just started answers.
        app.state.renderer.pages = type(app.state.renderer.pages)(Renderer.PAGES_KEPT)
        anew = client.get(address)
    assert first.status_code == again.status_code == anew.status_code
    assert without_time(first.text) == without_time(again.text) == without_time(anew.text)


@pytest.mark.parametrize("listed", ["/packs", "/engines"])
def test_each_query_has_a_page_of_its_own(client: TestClient, app: FastAPI, listed: str) -> None:
    with client:
        record(app)
        assert "First" in client.get(f"{listed}?q=first").text
        assert "First" not in client.get(f"{listed}?q=second").text
        assert "First" in client.get(f"{listed}?q=first").text


@pytest.mark.parametrize("page", PAGES[:4])
def test_what_another_process_saves_is_seen_at_once(
    client: TestClient, app: FastAPI, page: str
) -> None:
    with client:
        keys = record(app)
        address = page.format(**keys)
        before = [client.get(address).text for _ in range(2)]
        other = make_engine(app.state.settings.url)  # as another process has its own
        with writing(other) as session:
            stored = packs.get(session, keys["pack"])
            renamed = stored.document.model_copy(update={"name": "Renamed pack"})
            packs.change(session, keys["pack"], stored.version, renamed, by="Ben")
            held = engines.get(session, keys["engine"])
            called = held.document.model_copy(update={"name": "Renamed engine"})
            engines.change(session, keys["engine"], held.version, called, by="Ben")
        other.dispose()
        after = client.get(address).text
    assert all("Renamed" not in text for text in before)
    assert "Renamed" in after
    assert "First" not in after


def test_a_page_is_sent_compressed_to_those_alone_who_can_read_it(
    client: TestClient, app: FastAPI
) -> None:
    with client:
        record(app)
        plain = client.get("/", headers={"Accept-Encoding": "identity"})
        with client.stream("GET", "/", headers={"Accept-Encoding": "gzip"}) as packed:
            body = b"".join(packed.iter_raw())
    assert "content-encoding" not in plain.headers
    assert packed.headers["content-encoding"] == "gzip"
    assert packed.headers["vary"] == "Accept-Encoding"
    assert len(body) < len(plain.content) / 3
    assert without_time(gzip.decompress(body).decode()) == without_time(plain.text)


def test_a_notice_is_shown_once_and_not_held(client: TestClient, app: FastAPI) -> None:
    with client:
        keys = record(app)
        client.get("/packs")
        client.get("/packs")
        answer = client.post(
            f"/packs/{keys['pack']}/put-aside",
            data={"version": "1"},
            headers={"Origin": "http://localhost:8000"},
        )
        assert answer.status_code == 303
        told = client.get("/packs").text
        untold = client.get("/packs").text
    assert "was put aside" in told
    assert "was put aside" not in untold
