"""A client over a catalogue of the test's own, and the shortest way to save records by form."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from app.main import create_app
from app.records import database
from app.records.listing import Search
from app.services.catalogue import (
    Catalogue,
    engines,
    findings,
    instruments,
    offers,
    packs,
    slip_tests,
)
from app.services.stored import Stored
from app.settings import Settings
from tests.web.routes.boxes import boxes

PACK = {
    "name": "Six springs",
    "mounting": "geared",
    "stamp_by": "Ada",
    "stamp_at": "2026-11-24",
    "stamp_how": "measured",
    "friction_plates": "6",
    "plain_plates": "5",
    "facing_od_mm": "115",
    "facing_id_mm": "3 3/4 in",
    "facing_id_mm__doubt": "2 %",
    "friction.oiled.sliding": "0,12",
    "friction.oiled.sliding__doubt": "0.01",
    "clamp.kind": "coil",
    "clamp.springs.0.count": "6",
    "clamp.springs.0.free_length_mm": "1 1/2 in",
    "clamp.springs.0.installed_length_mm": "30,5",
    "clamp.springs.0.rate_n_per_mm": "100 lbf/in",
}
ENGINE = {
    "name": "Single 250",
    "strokes": "4",
    "displacement_cc": "0.25 L",
    "torque.kind": "measured",
    "torque.measured.torque_nm": "10 lb-ft",
    "torque.measured.torque_nm__doubt": "4 %",
    "torque.measured.speed_rpm": "7500",
    "driving_teeth": "20",
    "driven_teeth": "60",
    "service_factor": "1.5",
    "stamp_how": "measured",
}
CURVE = ENGINE | {
    "torque.kind": "curve",
    "torque.curve.points": "3000 8,5\n6000, 12.5\n8000\t10",
    "torque.curve.at": "crank",
    "torque.curve.relative_doubt": "3 %",
}
CATALOGUES: dict[str, Catalogue] = {
    "packs": packs,
    "engines": engines,
    "offers": offers,
    "slip_tests": slip_tests,
    "instruments": instruments,
    "findings": findings,
}


@dataclass
class Shop:
    """The application as somebody without script meets it."""

    client: TestClient

    def get(self, path: str, status: int = 200) -> str:
        answer = self.client.get(path)
        assert answer.status_code == status
        return answer.text

    def form(self, path: str) -> dict[str, str]:
        return boxes(self.get(path), path)

    def send(self, path: str, typed: dict[str, str], **changed: str) -> Response:
        return self.client.post(path, data={**typed, **changed})

    def save(self, path: str, typed: dict[str, str]) -> str:
        """Fill in the form at an address and save it; the address that it leads to."""
        answer = self.send(path, self.form(path) | typed)
        assert answer.status_code == 303, answer.text[:3000]
        return answer.headers["location"]

    def stored(self, noun: str, *, put_aside: bool = False) -> list[Stored]:
        with database.read_session(self.client.app.state.engine) as session:
            return list(CATALOGUES[noun].page(session, Search(put_aside=put_aside)).records)


@contextmanager
def open_shop(template: Path, folder: Path) -> Iterator[Shop]:
    """The application over a copy of an empty catalogue."""
    shutil.copy(template, folder / "gripledger.db")
    with shop_of(Settings(data_dir=folder, database_url="")) as found:
        yield found


@contextmanager
def shop_of(settings: Settings) -> Iterator[Shop]:
    """The application over the database that the settings name."""
    application = create_app(settings)
    address = "http://localhost:8000"
    client = TestClient(
        application, base_url=address, follow_redirects=False, headers={"Origin": address}
    )
    with client:
        yield Shop(client)


@pytest.fixture
def shop(sqlite_template: Path, tmp_path: Path) -> Iterator[Shop]:
    with open_shop(sqlite_template, tmp_path) as found:
        yield found
