"""A server that others can reach, with one member of each role, for tests of the way in."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from argon2 import PasswordHasher
from fastapi import FastAPI
from starlette.responses import Response
from starlette.testclient import TestClient

from app.records.database import writing
from app.services import passwords
from app.services.members import add_member
from app.settings import Settings

HOST = "bench.lan"
PASSWORDS = {
    "Ada": "twelve worn plates on a shelf",
    "Ed": "the shim is under the bench",
    "Vi": "a kettle of very dry tea",
}
ROLES = {"Ada": "admin", "Ed": "editor", "Vi": "viewer"}
SAME_SITE = {"Sec-Fetch-Site": "same-origin"}


def cheap_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashes that take no time, for tests of what stands around them."""
    cheap = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr(passwords, "_hasher", cheap)
    monkeypatch.setattr(passwords, "MEMORY_KIB", 8)
    monkeypatch.setattr(passwords, "PASSES", 1)
    passwords._nobodys.cache_clear()


def add_everybody(engine: sa.Engine) -> None:
    with writing(engine) as session:
        for name, role in ROLES.items():
            add_member(session, name, role, by="a test", password=PASSWORDS[name])


def shared_settings(url: str, folder: Path, **more: Any) -> Settings:
    """Settings of a server on the network; encrypted unless a test says otherwise."""
    secure = {"tls_cert": folder / "cert.pem", "tls_key": folder / "key.pem"}
    given = {"host": "192.0.2.10", "allowed_hosts": HOST, **secure, **more}
    return Settings(data_dir=folder, database_url=url, **given)


@dataclass
class Browser:
    """A browser that keeps its cookies and sends along what the page's form has."""

    client: TestClient

    def get(self, path: str, **more: Any) -> Response:
        return self.client.get(path, **more)

    def token(self) -> str:
        """The form token of the session, as every page has it."""
        text = self.client.get("/me").text
        return re.search(r'name="form_token" value="([0-9a-f]+)"', text)[1]

    def post(self, path: str, data: dict[str, str] | None = None, **more: Any) -> Response:
        """Send a form as the page would."""
        sent = {"form_token": self.token()} | (data or {})
        return self.client.post(path, data=sent, headers=SAME_SITE, **more)

    def sign_in(self, name: str, password: str | None = None, **data: str) -> Response:
        sent = {"name": name, "password": password or PASSWORDS[name], **data}
        return self.client.post("/sign-in", data=sent, headers=SAME_SITE)


@contextmanager
def running(app: FastAPI) -> Iterator[FastAPI]:
    """The application between its start and its end, for any number of browsers."""
    with TestClient(app):
        yield app


@contextmanager
def browser_of(
    app: FastAPI, scheme: str = "https", address: str = "198.51.100.7"
) -> Iterator[Browser]:
    """A browser of somebody who has not signed in; the application runs already."""
    client = TestClient(
        app, base_url=f"{scheme}://{HOST}", follow_redirects=False, client=(address, 50000)
    )
    try:
        yield Browser(client)
    finally:
        client.close()


def app_of(url: str, folder: Path, **more: Any) -> FastAPI:
    from app.main import create_app  # here: what only needs members needs no application

    return create_app(shared_settings(url, folder, **more))
