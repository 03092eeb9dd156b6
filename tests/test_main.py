import gc
from pathlib import Path

import anyio.to_thread
from fastapi import FastAPI, Request
from starlette.testclient import TestClient

from app.main import COLLECTED_AT, THREADS, create_app
from app.settings import Settings


def make(folder: Path) -> FastAPI:
    return create_app(Settings(data_dir=folder, database_url=""))


def test_two_applications_share_nothing(tmp_path: Path) -> None:
    one, other = make(tmp_path / "one"), make(tmp_path / "other")
    assert one.state.renderer is not other.state.renderer
    assert one.state.settings.data_dir != other.state.settings.data_dir


def test_few_handlers_run_at_once_and_the_heap_is_calm_while_it_runs(tmp_path: Path) -> None:
    app = make(tmp_path)

    @app.get("/threads")
    async def threads(request: Request) -> float:
        return anyio.to_thread.current_default_thread_limiter().total_tokens

    usual = gc.get_threshold()
    assert gc.get_freeze_count() == 0
    with TestClient(app, base_url="http://localhost") as client:
        assert client.get("/threads").json() == THREADS
        assert gc.get_freeze_count() > 0
        assert gc.get_threshold() == COLLECTED_AT
    assert gc.get_freeze_count() == 0
    assert gc.get_threshold() == usual


def test_pages_are_not_part_of_the_interface_s_description(tmp_path: Path) -> None:
    with TestClient(make(tmp_path), base_url="http://localhost") as client:
        paths = client.get("/api/v1/openapi.json").json()["paths"]
    assert "/api/v1/evaluate" in paths
    assert all(path.startswith("/api/v1/") for path in paths)
