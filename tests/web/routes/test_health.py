import sqlite3

from fastapi import FastAPI
from starlette.testclient import TestClient


def test_ready_when_the_database_is_at_its_revision(client: TestClient) -> None:
    answer = client.get("/healthz")
    assert answer.status_code == 200
    assert answer.json() == {"ready": True}
    assert client.head("/healthz").status_code == 200


def test_not_ready_before_the_database_is_brought_up(app: FastAPI) -> None:
    folder = app.state.settings.data_dir
    with sqlite3.connect(folder / "gripledger.db") as database:
        database.execute("DELETE FROM alembic_version")
    with TestClient(app, base_url="http://localhost") as client:
        answer = client.get("/healthz")
    assert answer.status_code == 503
    assert "migrate" in answer.json()["reason"]


def test_not_ready_when_the_database_cannot_be_read(app: FastAPI) -> None:
    (app.state.settings.data_dir / "gripledger.db").write_bytes(b"no database" * 1000)
    with TestClient(app, base_url="http://localhost") as client:
        answer = client.get("/healthz")
    assert answer.status_code == 503
    assert answer.json()["ready"] is False
