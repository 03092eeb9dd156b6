"""Several server processes over one database, with many clients who read and save at one time.

Nothing that was acknowledged may be lost, a clash of two saves is answered as one, and no server
fails. Who was refused for a clash reads the record again and saves over what stands, as a person
would.
"""

import json
import random
import threading
import urllib.error
import urllib.request
from collections import Counter
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

import sqlalchemy as sa

from app.records.bookkeeping import Change
from app.records.copies import faults
from app.records.database import make_engine, read_session, writing
from app.services.catalogue import engines, packs
from app.settings import Settings
from tests.factories import make_engine_document, make_pack
from tests.servers.running import running
from tests.web.routes.boxes import boxes

CLIENTS = 50
REQUESTS = 6
_CHANGE: sa.Table = Change.__table__  # type: ignore[attr-defined]  # a table


@dataclass
class Answer:
    status: int
    etag: str
    text: str

    @property
    def json(self) -> Any:
        return json.loads(self.text)


@dataclass
class Client:
    """Somebody who reads the board, records packs, and changes one that all the others change."""

    number: int
    addresses: tuple[str, ...]
    shared: str
    statuses: Counter[tuple[str, int]] = field(default_factory=Counter)
    recorded: list[str] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def ask(
        self,
        what: str,
        method: str,
        path: str,
        body: bytes | None = None,
        **headers: str,
    ) -> Answer:
        address = self.chance.choice(self.addresses)
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        request = urllib.request.Request(  # noqa: S310  # our own servers
            address + path, body, sent | {"Origin": address.rstrip("/")}, method=method
        )
        try:
            with _OPENER.open(request, timeout=60) as got:
                answer = Answer(got.status, got.headers.get("ETag", ""), got.read().decode())
        except urllib.error.HTTPError as error:
            with error:
                answer = Answer(error.code, "", error.read().decode())
        self.statuses[what, answer.status] += 1
        return answer

    def live(self) -> None:
        self.chance = random.Random(self.number)  # noqa: S311  # choices, no secrets
        try:
            for n in range(REQUESTS):
                self.chance.choice((self.read, self.record, self.change, self.change_by_form))(n)
        except Exception as error:
            self.errors.append(f"client {self.number}: {error!r}")

    def read(self, _n: int) -> None:
        self.ask("page", "GET", self.chance.choice(("", "packs", f"packs/{self.shared}")))
        self.ask("board", "GET", "api/v1/board")

    def record(self, n: int) -> None:
        name = f"Pack {n} of client {self.number}"
        body = json.dumps(make_pack(name).written()).encode()
        answer = self.ask("record", "POST", "api/v1/packs", body, Content_Type="application/json")
        if answer.status == 201:
            self.recorded.append(answer.json["id"])

    def change(self, n: int) -> None:
        path, words = f"api/v1/packs/{self.shared}", f"client {self.number}, {n}"
        stands = self.ask("read", "GET", path)
        body = json.dumps({"notes": words}).encode()
        answer = self.ask(
            "change", "PATCH", path, body,
            Content_Type="application/merge-patch+json", If_Match=stands.etag,
        )  # fmt: skip
        if answer.status == 200:
            self.changed.append(words)

    def change_by_form(self, n: int) -> None:
        path, words = f"packs/{self.shared}/edit", f"form of client {self.number}, {n}"
        form = boxes(self.ask("form", "GET", path).text, f"/{path}") | {"notes": words}
        answer = self.ask(
            "form saved", "POST", path, urlencode(form).encode(),
            Content_Type="application/x-www-form-urlencoded",
        )  # fmt: skip
        if answer.status == 303:
            self.changed.append(words)
        if answer.status == 409:
            assert words in answer.text, "what was typed is not in the answer"


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_: object, **__: object) -> None:
        return None


_OPENER = urllib.request.build_opener(_NoRedirect)

MAY_BE = {
    "page": {200},
    "board": {200},
    "read": {200},
    "form": {200},
    "record": {201},
    "change": {200, 412},
    "form saved": {303, 409},
}


def test_many_clients_of_two_servers_lose_nothing(settings: Settings) -> None:
    engine = make_engine(settings.url)
    with writing(engine) as session:
        shared = packs.add(session, make_pack("Everybody's"), by="a")
        for n in range(5):
            packs.add(session, make_pack(f"Tern {n}"), by="a")
            engines.add(session, make_engine_document(f"Single {n}"), by="a")
    # This is about losing nothing, not about how fast a machine is that does much else besides.
    patient = settings.model_copy(update={"busy_timeout_ms": 30_000})
    with running(patient) as (one, _), running(patient) as (other, _):
        clients = [Client(n, (one, other), shared.id) for n in range(CLIENTS)]
        threads = [threading.Thread(target=client.live) for client in clients]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert [error for client in clients for error in client.errors] == []
    statuses: Counter[tuple[str, int]] = sum((c.statuses for c in clients), Counter())
    assert {k: n for k, n in statuses.items() if k[1] not in MAY_BE[k[0]]} == {}
    changed = [words for client in clients for words in client.changed]
    recorded = {key for client in clients for key in client.recorded}
    assert len(recorded) > CLIENTS // 2
    assert len(changed) > 5
    with read_session(engine) as session:
        rows = session.connection().execute(sa.select(_CHANGE)).mappings().all()
        stands = packs.get(session, shared.id)
        assert {packs.get(session, key).id for key in recorded} == recorded
    history = [r["after"]["notes"] for r in rows if r["noun"] == "pack" and r["version"] > 1]
    assert sorted(history) == sorted(changed), "a save was lost, or nobody was told of it"
    assert stands.version == 1 + len(changed)
    assert stands.document.notes in changed
    engine.dispose()
    if settings.url.get_backend_name() == "sqlite":
        assert faults(settings.data_dir / "gripledger.db") == []

