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


def serving(folder: Path) -> TestClient:
    settings = Settings(data_dir=folder, database_url="")
    return TestClient(create_app(settings), base_url="http://127.0.0.1:8000")


@pytest.fixture
def client(empty_catalogue: Path, tmp_path: Path) -> Iterator[TestClient]:
    """A client with an empty catalogue of the test's own."""
    shutil.copy(empty_catalogue, tmp_path / "gripledger.db")
    with serving(tmp_path) as found:
        yield found


@pytest.fixture
def postgresql_client(postgresql_url: str, tmp_path: Path) -> Iterator[TestClient]:
    """A client whose empty catalogue is a PostgreSQL database."""
    settings = Settings(data_dir=tmp_path, database_url=postgresql_url)
    with TestClient(create_app(settings), base_url="http://127.0.0.1:8000") as found:
        yield found


@pytest.fixture(scope="module")
def reader(empty_catalogue: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A client of an empty catalogue for tests that store nothing."""
    folder = tmp_path_factory.mktemp("reader")
    shutil.copy(empty_catalogue, folder / "gripledger.db")
    with serving(folder) as found:
        yield found
