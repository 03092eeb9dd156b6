"""Programs to be killed: each begins, says what it was acknowledged, and goes on until it is."""

import json
import os
import random
import select
import shutil
import socket
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path

import sqlalchemy as sa
import uvicorn
from alembic import command

from app.main import create_app
from app.records.copies import PART, checked, row_counts
from app.records.database import read_session, writing
from app.records.migrate import bring_up, migration_config, newest_revision
from app.records.packs import Pack
from app.records.put_back import put_back
from app.services.catalogue import packs
from app.services.safekeeping import back_up, unfinished
from app.services.starting import open_engine
from app.settings import Settings
from tests.factories import make_pack

Say = Callable[[str], None]
BEGUN = "begun"
OLDER = "a47c2e8b9d10"


def ready(pipe: int, patience_s: float) -> bool:
    """Whether a child said that it began."""
    readable, _, _ = select.select([pipe], [], [], patience_s)
    return bool(readable) and os.read(pipe, len(BEGUN) + 1) == f"{BEGUN}\n".encode()


class Victim:
    """Something to kill.

    Attributes:
        longest_s: the latest moment of the kill after it began [s].
    """

    longest_s = 0.15

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.file = Path(str(settings.url.database))
        self.seen: set[str] = set()

    def before(self, chance: random.Random) -> None:
        """Make ready in the parent, before each child."""
        self.mark = f"{chance.getrandbits(64):x}"

    def live(self, say: Say) -> None:
        """The child's work, until it is killed."""
        say(BEGUN)

    def meanwhile(self) -> None:
        """What the parent does just before the kill."""

    def acknowledged(self, heard: bytes) -> list[str]:
        """What the child said was saved; a line cut short was said by nobody."""
        return heard.decode().split("\n")[:-1]

    def found(self) -> list[str]:
        """What was in place after the kill, for the tally."""
        return []

    def faults(self, acknowledged: list[str]) -> list[str]:
        """What is wrong after the kill, besides a database that is not sound."""
        self.seen.update(acknowledged)
        engine = open_engine(self.settings)
        with read_session(engine) as session:
            there = set(session.connection().execute(sa.select(_PACK.c.public_id)).scalars())
        engine.dispose()
        return [f"the acknowledged pack {key} is gone" for key in sorted(self.seen - there)]


_PACK: sa.Table = Pack.__table__  # type: ignore[attr-defined]  # a table


class ServiceWriter(Victim):
    """Saves packs by the catalogue's service, one after the other."""

    def live(self, say: Say) -> None:
        engine = open_engine(self.settings)
        say(BEGUN)
        n = 0
        while True:
            n += 1
            with writing(engine) as session:
                key = packs.add(session, make_pack(f"{self.mark} {n}"), by="a").id
            say(key)


class HastyWriter(Victim):
    """Says that it saved before it did: a run with it has to find faults."""

    def live(self, say: Say) -> None:
        engine = open_engine(self.settings)
        say(BEGUN)
        for n in range(1_000_000):
            with writing(engine) as session:
                say(packs.add(session, make_pack(f"{self.mark} {n}"), by="a").id)
                time.sleep(0.02)


class HttpWriter(Victim):
    """A server that is asked by two clients to save packs; the parent hears its answers."""

    longest_s = 0.02

    def before(self, chance: random.Random) -> None:
        super().before(chance)
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.address = f"http://127.0.0.1:{self.listener.getsockname()[1]}"
        self.answers: list[str] = []
        self.stopped = False
        self.clients = [threading.Thread(target=self._ask, args=(i,)) for i in range(2)]
        self.started = False

    def live(self, say: Say) -> None:
        app = create_app(self.settings)
        server = uvicorn.Server(uvicorn.Config(app, log_level="critical"))

        def say_begun() -> None:
            while not server.started:
                time.sleep(0.005)
            say(BEGUN)

        threading.Thread(target=say_begun, daemon=True).start()
        server.run(sockets=[self.listener])

    def meanwhile(self) -> None:
        """Let the clients ask; the kill comes while their requests are under way.

        It comes after some answers and not after some time: a busy machine answers late.
        """
        for client in self.clients:
            client.start()
        self.started = True
        wanted, until = random.randrange(6), time.monotonic() + 10.0  # noqa: S311  # no secret
        while len(self.answers) < wanted and time.monotonic() < until:
            time.sleep(0.002)
        time.sleep(random.uniform(0.0, 0.05))  # noqa: S311  # a moment, no secret

    def _ask(self, client: int) -> None:
        n = 0
        while not self.stopped:
            n += 1
            document = make_pack(f"{self.mark} {client} {n}").written()
            request = urllib.request.Request(  # noqa: S310  # our own server
                f"{self.address}/api/v1/packs",
                json.dumps(document).encode(),
                {"Content-Type": "application/json"},
            )
            try:
                with urllib.request.urlopen(request, timeout=5) as answer:  # noqa: S310  # our own
                    self.answers.append(str(json.load(answer)["id"]))
            except (urllib.error.URLError, OSError, ValueError):
                return  # killed: nobody was told that this one was saved

    def acknowledged(self, heard: bytes) -> list[str]:
        self.stopped = True
        self.listener.close()
        if self.started:
            for client in self.clients:
                client.join()
        return super().acknowledged(heard) + self.answers


class Upgraded(Victim):
    """Brings an older database up; it must be the older or the newer one, with every row."""

    longest_s = 0.15

    def before(self, chance: random.Random) -> None:
        super().before(chance)
        if not self.seen:
            engine = open_engine(self.settings)
            with writing(engine) as session:
                self.seen = {
                    packs.add(session, make_pack(f"Tern {i}"), by="a").id for i in range(50)
                }
            engine.dispose()
        command.downgrade(migration_config(self.settings.url), OLDER)
        shutil.rmtree(self.settings.backup_dir, ignore_errors=True)
        self.rows = dict(row_counts(self.file))

    def live(self, say: Say) -> None:
        say(BEGUN)
        bring_up(self.settings)

    def found(self) -> list[str]:
        revision = checked(self.file).revision
        return ["still older" if revision == OLDER else "brought up"]

    def faults(self, acknowledged: list[str]) -> list[str]:
        wrong = super().faults(acknowledged)
        done = bring_up(self.settings)
        if done.after != newest_revision():
            wrong.append(f"it could not be brought up after: {done}")
        after = row_counts(self.file)
        lost = [name for name, rows in self.rows.items() if after[name] != rows]
        left = [path.name for path in unfinished(self.settings) if done.backup is not None]
        return wrong + [f"{name} lost rows" for name in lost] + [f"{name} is left" for name in left]


class BackedUp(Victim):
    """Makes copies; each file that has a copy's name must be sound."""

    longest_s = 0.3

    def before(self, chance: random.Random) -> None:
        super().before(chance)
        if not self.seen:
            engine = open_engine(self.settings)
            with writing(engine) as session:
                documents = [make_pack(f"Tern {i}") for i in range(1500)]
                self.seen = set(packs.add_many(session, documents, by="a"))
            engine.dispose()
        shutil.rmtree(self.settings.backup_dir, ignore_errors=True)

    def live(self, say: Say) -> None:
        engine = open_engine(self.settings)
        say(BEGUN)
        while True:
            say(str(back_up(self.settings, engine, by="a").file))

    def acknowledged(self, heard: bytes) -> list[str]:
        self.made = super().acknowledged(heard)
        return []

    def found(self) -> list[str]:
        half = ["with a copy half made"] if unfinished(self.settings) else []
        return half + ["copies made"] * len(self.made)

    def faults(self, acknowledged: list[str]) -> list[str]:
        wrong = super().faults(acknowledged)
        copies = set(self.settings.backup_dir.glob("*.db"))
        wrong += [f"{name} is gone" for name in self.made if Path(name) not in copies]
        for copy in copies:
            if row_counts(copy)["pack"] != len(self.seen):
                wrong.append(f"{copy.name} is not whole")
        if self.settings.backup_dir.exists():
            engine = open_engine(self.settings)
            back_up(self.settings, engine, by="a")
            engine.dispose()
        wrong += [f"{path.name} is left" for path in unfinished(self.settings)]
        return wrong


class PutBack(Victim):
    """Puts a copy back; one of the two databases must be in place, and the other beside it."""

    longest_s = 0.06

    def before(self, chance: random.Random) -> None:
        super().before(chance)
        for left in self.file.parent.glob("gripledger-replaced-*"):
            left.unlink()
        engine = open_engine(self.settings)
        if not self.seen:
            with writing(engine) as session:
                first = [make_pack(f"Tern {i}") for i in range(500)]
                self.seen = set(packs.add_many(session, first, by="a"))
            self.copy = back_up(self.settings, engine, by="a").file
            with writing(engine) as session:
                more = [make_pack(f"Later {i}") for i in range(500)]
                packs.add_many(session, more, by="a")
            self.whole = self.file.parent / "whole.db"
            back_up(self.settings, engine, by="a", file=self.whole)
        engine.dispose()
        put_back(self.settings.url, self.whole)
        for left in self.file.parent.glob("gripledger-replaced-*"):
            left.unlink()

    def live(self, say: Say) -> None:
        say(BEGUN)
        put_back(self.settings.url, self.copy)

    def found(self) -> list[str]:
        return ["put back" if row_counts(self.file)["pack"] == 500 else "as it was"]

    def faults(self, acknowledged: list[str]) -> list[str]:
        wrong = super().faults(acknowledged)
        found = row_counts(self.file)["pack"]
        kept = [row_counts(p)["pack"] for p in self.file.parent.glob("gripledger-replaced-*.db")]
        if found not in (500, 1000):
            wrong.append(f"neither database is in place: {found} packs")
        if found == 500 and kept != [1000]:
            wrong.append(f"the replaced database is not kept: {kept}")
        put_back(self.settings.url, self.copy)
        wrong += [
            f"{path.name} is left"
            for path in self.file.parent.iterdir()
            if "putting-back" in path.name or path.name.endswith(PART)
        ]
        return wrong


VICTIMS: dict[str, type[Victim]] = {
    "service": ServiceWriter,
    "hasty": HastyWriter,
    "http": HttpWriter,
    "migration": Upgraded,
    "backup": BackedUp,
    "restore": PutBack,
}
