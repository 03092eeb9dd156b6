"""Kill the program while it saves, again and again, and look for every save it had acknowledged.

    python -m tests.crash.kill_writers --times 200 --way service --journal delete
    python -m tests.crash.kill_writers --times 200 --way http --journal wal
    python -m tests.crash.kill_writers --times 50 --way backup      (or migration, restore)
    python -m tests.crash.kill_writers --way hasty                  (has to find faults)

A child writes and says so after each acknowledged save; it is killed at a random moment, the
database is opened again, and three things must hold: SQLite's integrity check is ok, no row points
at none, every acknowledged save is there. Killing shows that a crash of the program loses nothing.
It does not show what a power cut does, since the system still writes what it was given: for that
the settings have SQLite wait for the disk at each commit, and SQLite's own tests stand behind them.
"""

import argparse
import os
import random
import signal
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from app.records import database
from app.records.copies import connection_faults, open_existing
from app.services.starting import prepare
from app.settings import Settings
from tests.crash.victims import VICTIMS, Victim, ready

WAIT_S = 60.0


@dataclass
class Tally:
    """What a run of kills came to."""

    kills: int = 0
    acknowledged: int = 0
    journals: int = 0
    """Kills that left a journal with something in it."""
    found: Counter[str] = field(default_factory=Counter)
    """What was in place after a kill, so that one sees where the kills struck."""
    faults: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        found = "".join(f", {n} {what}" for what, n in sorted(self.found.items()))
        return (
            f"{self.kills} kills, {self.acknowledged} acknowledged saves, "
            f"{self.journals} left a journal{found}; faults: {len(self.faults)}"
        )


def take_journal(mode: str) -> None:
    """Have this process and its children keep one kind of journal, whatever SQLite is linked.

    With write-ahead logging on an older SQLite two connections that checkpoint at one time could
    do harm; that is why the program does not choose it there. Here it is asked for.
    """
    database.WAL_IS_SOUND = (3, 0, 0) if mode == "wal" else (99, 0, 0)


def kill_again_and_again(
    way: str, folder: Path, times: int, seed: int, say: Callable[[str], None] = lambda _: None
) -> Tally:
    """Kill a victim so many times on one database, looking at it after each."""
    settings = Settings(data_dir=folder)
    prepare(settings)
    chance = random.Random(seed)  # noqa: S311  # moments, no secrets
    tally = Tally()
    victim = VICTIMS[way](settings)
    for n in range(times):
        kill_once(victim, settings, chance, tally)
        if tally.faults:
            break
        if (n + 1) % 20 == 0:
            say(str(tally))
    return tally


def kill_once(victim: Victim, settings: Settings, chance: random.Random, tally: Tally) -> None:
    """Start a victim, kill it at a random moment, and look at the database."""
    victim.before(chance)
    listening, speaking = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(listening)
        _be(victim, speaking)
    os.close(speaking)
    try:
        heard = ready(listening, WAIT_S)
        time.sleep(chance.uniform(0.0, victim.longest_s))
        victim.meanwhile()
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    tally.kills += 1
    if not heard:
        tally.faults.append("the child ended before it began")
    with os.fdopen(listening, "rb") as pipe:
        acknowledged = victim.acknowledged(pipe.read())
    tally.acknowledged += len(acknowledged)
    file = Path(str(settings.url.database))
    tally.journals += any(_has_content(file, ending) for ending in ("-journal", "-wal"))
    tally.faults += look(file)
    tally.found.update(victim.found())
    tally.faults += victim.faults(acknowledged)


def _be(victim: Victim, speaking: int) -> None:
    """The child's whole life; it never returns."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        victim.live(lambda text: os.write(speaking, f"{text}\n".encode()) and None)
    except BaseException as error:
        os.write(2, f"the child failed: {error!r}\n".encode())
    finally:
        os._exit(0)


def _has_content(file: Path, ending: str) -> bool:
    side = file.with_name(file.name + ending)
    return side.exists() and side.stat().st_size > 0


def look(file: Path) -> list[str]:
    """What is wrong with a database after a kill."""
    try:
        with closing(open_existing(file)) as connection:
            return connection_faults(connection)
    except sqlite3.Error as error:
        return [str(error)]


def main() -> None:
    """Run from the command line."""
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--times", type=int, default=200)
    asked.add_argument("--way", choices=sorted(VICTIMS), default="service")
    asked.add_argument("--journal", choices=("delete", "wal"), default="delete")
    asked.add_argument("--seed", type=int, default=int.from_bytes(os.urandom(4), "big"))
    asked.add_argument("--folder", type=Path, help="where to keep the database; else thrown away")
    given = asked.parse_args()
    take_journal(given.journal)
    print(f"{given.way}, journal {given.journal}, seed {given.seed}", flush=True)  # noqa: T201  # a command's answer
    with tempfile.TemporaryDirectory(prefix="gripledger-crash-") as temporary:
        tally = kill_again_and_again(
            given.way,
            given.folder or Path(temporary),
            given.times,
            given.seed,
            say=lambda text: print(text, flush=True),  # noqa: T201  # a command's answer
        )
    print(tally, *tally.faults, sep="\n", flush=True)  # noqa: T201  # a command's answer
    sys.exit(1 if tally.faults else 0)


if __name__ == "__main__":
    main()
