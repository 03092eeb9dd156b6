"""The running server's watch over the copies: it makes the day's, and knows how safe the data are.

It looks once a minute. Whether a copy is due stands in the database, so any number of servers may
watch: one of them makes it. A server that is off at the time makes it when it is on again.
"""

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.engine import Engine

from app.errors import AppError
from app.records.base import now
from app.services.safekeeping import back_up_daily, day_of
from app.services.safety import Safety, safety
from app.settings import Settings

log = logging.getLogger("gripledger.copies")

FIRST_TURN_S = 5.0
EVERY_S = 60.0


class Watch:
    """Looks after the copies while a server runs."""

    def __init__(self, settings: Settings, engine: Engine) -> None:
        self.settings = settings
        self.engine = engine
        self._known: Safety | None = None
        self._stop = threading.Event()

    @property
    def on(self) -> bool:
        """Whether daily copies are made here."""
        return self.settings.daily_backup and not self.settings.made_up

    @property
    def known(self) -> Safety | None:
        """How safe the data were at the last look, None before it."""
        return self._known

    def look(self) -> Safety | None:
        """See how safe the data are; None where the database does not answer."""
        try:
            self._known = safety(self.engine)
        except AppError as fact:
            log.warning("%s", fact.message)
            return None
        return self._known

    def turn(self) -> None:
        """Make the day's copy if it is due, and look how safe the data are."""
        try:
            self.make_if_due()
            self.look()
        except Exception:
            log.exception("the watch over the copies failed at a turn; it goes on")

    def make_if_due(self) -> None:
        """Make the day's copy if it is due."""
        try:
            back_up_daily(self.settings, self.engine, day_of(now(), self.settings.backup_at))
        except AppError as fact:
            # The reason stands in the database too, and on the page About; it is tried again.
            log.warning("%s", fact.message)

    def run(self) -> None:
        """Take turns until stopped."""
        wait = FIRST_TURN_S
        while not self._stop.wait(wait):
            wait = EVERY_S
            self.turn()

    def stop(self) -> None:
        """End after the turn that is under way."""
        self._stop.set()


@contextmanager
def watching(settings: Settings, engine: Engine) -> Iterator[Watch]:
    """A watch over the copies, for as long as a server runs; it only looks where it is off."""
    watch = Watch(settings, engine)
    if not watch.on:
        yield watch
        return
    thread = threading.Thread(target=watch.run, name="copies", daemon=True)
    thread.start()
    try:
        yield watch
    finally:
        watch.stop()
        thread.join(timeout=5)
