import logging
import threading
from collections.abc import Iterator

import pytest
import sqlalchemy as sa

from app.errors import StorageUnavailable
from app.records import backups
from app.services import daily_copies
from app.services.daily_copies import Watch, watching
from app.services.starting import open_engine
from app.settings import Settings
from tests.own_programs import use_own_programs


@pytest.fixture(autouse=True)
def _programs(monkeypatch: pytest.MonkeyPatch) -> None:
    use_own_programs(monkeypatch)


@pytest.fixture
def engine(settings: Settings) -> Iterator[sa.Engine]:
    made = open_engine(settings)
    yield made
    made.dispose()


def test_a_turn_makes_the_copy_that_is_due_and_knows_of_it(
    settings: Settings, engine: sa.Engine
) -> None:
    watch = Watch(settings, engine)
    assert watch.known is None
    watch.turn()
    assert watch.known is not None
    assert watch.known.good is not None
    assert watch.known.good.kind == "daily"
    watch.turn()
    assert len(list(settings.backup_dir.glob("*-daily.*"))) == 1


def test_a_copy_that_fails_does_not_end_the_watch(
    settings: Settings, engine: sa.Engine, caplog: pytest.LogCaptureFixture
) -> None:
    settings.backup_dir.write_text("a file in the way")
    watch = Watch(settings, engine)
    with caplog.at_level(logging.WARNING, "gripledger.copies"):
        watch.turn()
    assert "No copy was made" in caplog.text
    assert watch.known is not None
    assert watch.known.trouble is not None


def test_nothing_ends_the_watch(
    settings: Settings,
    engine: sa.Engine,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def break_down(*_: object) -> None:
        raise RuntimeError("nobody thought of this")

    monkeypatch.setattr(daily_copies, "back_up_daily", break_down)
    Watch(settings, engine).turn()
    assert "nobody thought of this" in caplog.text


def test_a_database_that_does_not_answer_leaves_what_was_known(
    settings: Settings, engine: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    watch = Watch(settings, engine)
    watch.look()
    before = watch.known

    def gone(*_: object) -> None:
        raise StorageUnavailable("the connection to the database was lost")

    monkeypatch.setattr(daily_copies, "safety", gone)
    assert watch.look() is None
    assert watch.known is before


def watchers() -> set[threading.Thread]:
    """Threads that watch for the day's copy; servers of other tests in this process have theirs."""
    return {thread for thread in threading.enumerate() if thread.name == "copies"}


def test_it_watches_while_the_server_runs_and_ends_with_it(
    settings: Settings, engine: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(daily_copies, "FIRST_TURN_S", 0.01)
    turned = threading.Event()
    real = Watch.turn

    def turn(self: Watch) -> None:
        real(self)
        turned.set()

    monkeypatch.setattr(Watch, "turn", turn)
    others = watchers()
    with watching(settings, engine) as watch:
        assert turned.wait(30)
        assert len(watchers() - others) == 1
    assert watch.known is not None
    assert watchers() == others
    assert [c.stage for c in backups.newest(engine, limit=5)] == ["good"]


@pytest.mark.parametrize("change", [{"daily_backup": False}, {"made_up": True}])
def test_it_makes_none_where_that_is_switched_off(
    settings: Settings, engine: sa.Engine, monkeypatch: pytest.MonkeyPatch, change: dict[str, bool]
) -> None:
    monkeypatch.setattr(daily_copies, "FIRST_TURN_S", 0.0)
    others = watchers()
    with watching(settings.model_copy(update=change), engine) as watch:
        assert not watch.on
        assert watchers() == others
    assert not settings.backup_dir.exists()
