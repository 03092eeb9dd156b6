"""A client of an application with an empty catalogue of its own."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app.main import create_app
from app.services.starting import prepare
from app.settings import Settings


@pytest.fixture(scope="session")
def empty_catalogue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    settings = Settings(data_dir=tmp_path_factory.mktemp("catalogue"), database_url="")
    prepare(settings)
    return settings.data_dir / "gripledger.db"


@pytest.fixture
def client(empty_catalogue: Path, tmp_path: Path) -> Iterator[TestClient]:
    shutil.copy(empty_catalogue, tmp_path / "gripledger.db")
    settings = Settings(data_dir=tmp_path, database_url="")
    with TestClient(create_app(settings), base_url="http://127.0.0.1:8000") as found:
        yield found
