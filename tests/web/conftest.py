"""An application with a few routes that misbehave on purpose, and a client for it."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import APIRouter, FastAPI, Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.testclient import TestClient

from app import errors as facts
from app.main import create_app
from app.settings import Settings

LIMIT = 4096
"""Body limit of the application under test, in bytes."""


FACTS = {
    "missing": facts.NotFound("pack", "p1"),
    "stale": facts.StaleRecord("pack", "p1", 2, {"version": 3}),
    "twice": facts.DuplicateName("pack", "Six"),
    "used": facts.InUse("spring", "s1", ["Six"]),
    "wrong": facts.BadInput([facts.Problem("facing_od_mm", "Write a number, such as 142.")]),
    "full": facts.StorageUnavailable("the disk is full"),
    "outside": facts.OutsideValidity("The table ends at 400 °C."),
}


def misbehaving() -> APIRouter:
    router = APIRouter()

    @router.get("/test/fact/{name}")
    @router.get("/api/test/fact/{name}")
    def tell(name: str) -> Response:
        raise FACTS[name]

    @router.get("/test/fail")
    @router.get("/api/test/fail")
    def fail() -> Response:
        raise RuntimeError("secret detail\nforged line")

    @router.get("/test/late")
    def late() -> Response:
        def parts() -> Iterator[bytes]:
            yield b"begun"
            raise RuntimeError("after the first byte")

        return StreamingResponse(parts())

    @router.post("/test/echo")
    @router.post("/api/test/echo")
    @router.delete("/api/test/echo")
    async def echo(request: Request) -> Response:
        return PlainTextResponse(str(len(await request.body())))

    return router


@pytest.fixture
def app(sqlite_template: Path, tmp_path: Path) -> FastAPI:
    shutil.copy(sqlite_template, tmp_path / "gripledger.db")
    settings = Settings(data_dir=tmp_path, database_url="", body_limit_bytes=LIMIT)
    application = create_app(settings)
    application.include_router(misbehaving())
    return application


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app, base_url="http://localhost:8000", follow_redirects=False) as found:
        yield found
