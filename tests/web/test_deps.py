from collections.abc import Iterator

import pytest
import sqlalchemy as sa
from fastapi import APIRouter, FastAPI, Request
from starlette.responses import StreamingResponse
from starlette.testclient import TestClient

from app.errors import DuplicateName
from app.records.bookkeeping import CatalogueRevision
from app.records.database import catalogue_revision, raise_revision
from app.web.deps import ReadSessionDep, WriteSessionDep

HEADERS = {"Origin": "http://localhost:8000"}


def writing() -> APIRouter:
    router = APIRouter()

    @router.post("/test/write")
    def write(request: Request, session: WriteSessionDep) -> StreamingResponse:
        raise_revision(session)
        engine = request.app.state.engine

        def when_sent() -> Iterator[str]:
            # Runs while the answer goes out: what is read here is what the next page would read.
            with engine.connect() as other:
                yield str(
                    other.execute(
                        sa.select(sa.column("number")).select_from(
                            sa.table(CatalogueRevision.__tablename__)
                        )
                    ).scalar_one()
                )

        return StreamingResponse(when_sent())

    @router.post("/test/refuse")
    def refuse(session: WriteSessionDep) -> None:
        raise_revision(session)
        raise DuplicateName("pack", "Six")

    @router.get("/test/read")
    def read(session: ReadSessionDep) -> int:
        return catalogue_revision(session)

    return router


@pytest.fixture
def writer(app: FastAPI) -> Iterator[TestClient]:
    app.include_router(writing())
    with TestClient(app, base_url="http://localhost:8000") as client:
        yield client


def test_a_change_is_committed_before_its_answer_goes_out(writer: TestClient) -> None:
    before = writer.get("/test/read").json()
    assert writer.post("/test/write", headers=HEADERS).text == str(before + 1)


def test_a_handler_that_raises_changes_nothing(writer: TestClient) -> None:
    before = writer.get("/test/read").json()
    assert writer.post("/test/refuse", headers=HEADERS).status_code == 409
    assert writer.get("/test/read").json() == before
