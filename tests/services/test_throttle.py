"""Failed tries make the next ones wait; the clock is handed in, none is read."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from app.records.database import make_engine
from app.records.members import FailedTries
from app.services.throttle import (
    FORGOTTEN,
    account_key,
    address_key,
    take_back,
    take_turn,
    wait_s,
)

START = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)


def after(seconds: float) -> datetime:
    return START + timedelta(seconds=seconds)


def fail(engine: sa.Engine, times: int, *keys: str) -> datetime:
    """Fail as often, each time as soon as that may be; gives the time of the last."""
    at = START
    for done in range(times):
        at += timedelta(seconds=wait_s(done))
        assert take_turn(engine, keys, at) == 0
    return at


def test_five_failures_are_free_and_then_each_doubles_the_wait() -> None:
    assert [wait_s(n) for n in range(5)] == [0] * 5
    assert [wait_s(n) for n in range(5, 14)] == [1, 2, 4, 8, 16, 32, 64, 128, 256]


def test_the_wait_ends_at_a_quarter_of_an_hour_and_is_never_for_good() -> None:
    assert {wait_s(n) for n in (15, 16, 100, 10**6)} == {900}


@pytest.mark.parametrize("failures", [5, 6, 9, 16])
def test_the_next_try_is_let_in_when_the_wait_is_over_and_no_sooner(
    database: sa.Engine, failures: int
) -> None:
    last = fail(database, failures, "k")
    wait = wait_s(failures)
    assert take_turn(database, ["k"], last) == wait
    assert take_turn(database, ["k"], last + timedelta(seconds=wait - 0.5)) == 1
    assert take_turn(database, ["k"], last + timedelta(seconds=wait)) == 0


def test_a_try_that_has_to_wait_does_not_make_the_wait_longer(database: sa.Engine) -> None:
    last = fail(database, 6, "k")
    assert [take_turn(database, ["k"], last) for _ in range(50)] == [2] * 50
    assert take_turn(database, ["k"], last + timedelta(seconds=2)) == 0


def test_account_and_address_count_apart_and_the_longer_wait_holds(database: sa.Engine) -> None:
    last = fail(database, 7, "account a", "address 1")
    assert take_turn(database, ["account a", "address 2"], last) == 4
    assert take_turn(database, ["account b", "address 1"], last) == 4
    assert take_turn(database, ["account b", "address 2"], last) == 0


def test_a_restart_forgets_nothing(database: sa.Engine, database_url: str) -> None:
    last = fail(database, 8, "k")
    database.dispose()
    again = make_engine(database_url)
    try:
        assert take_turn(again, ["k"], last) == 8
    finally:
        again.dispose()


def test_a_right_password_clears_the_account_and_only_itself_from_the_address(
    database: sa.Engine,
) -> None:
    last = fail(database, 7, "account a", "address 1") + timedelta(seconds=4)
    assert take_turn(database, ["account a", "address 1"], last) == 0
    take_back(database, "account a", "address 1")
    assert take_turn(database, ["account a"], last) == 0
    assert take_turn(database, ["address 1"], last) == 4


def test_right_passwords_save_up_no_free_tries(database: sa.Engine) -> None:
    take_turn(database, ["address 1"], START)
    for _ in range(3):
        take_back(database, None, "address 1")
    last = fail(database, 5, "address 1")
    assert take_turn(database, ["address 1"], last) == 1


def test_many_tries_at_once_get_no_more_than_one_by_one(database: sa.Engine) -> None:
    fail(database, 4, "k")
    with ThreadPoolExecutor(6) as pool:
        waits = list(pool.map(lambda _: take_turn(database, ["k"], START), range(6)))
    assert sorted(waits) == [0, 1, 1, 1, 1, 1]


def test_a_try_waits_for_the_one_before_it_and_then_counts_on_from_there(
    postgresql_url: str,
) -> None:
    engine = make_engine(postgresql_url)
    fail(engine, 4, "k")
    with ThreadPoolExecutor(1) as pool, engine.begin() as first:
        # Looked at and not counted yet: an insert does not wait for that, only the lock does.
        first.execute(sa.text("SELECT * FROM failed_tries FOR UPDATE"))
        second = pool.submit(take_turn, engine, ["k"], START)
        # The second stands at the lock before the first counts and lets go.
        with engine.connect() as watching:
            standing = sa.text("SELECT count(*) FROM pg_locks WHERE NOT granted")
            while not second.done() and not watching.execute(standing).scalar_one():
                watching.rollback()
        first.execute(sa.text("UPDATE failed_tries SET count = 5"))
        first.commit()
        assert second.result(20) == 1
    engine.dispose()


def test_a_count_is_dropped_after_a_day_without_failures(database: sa.Engine) -> None:
    last = fail(database, 16, "k", "other")
    later = last + FORGOTTEN + timedelta(seconds=1)
    assert take_turn(database, ["k"], later) == 0
    with database.connect() as connection:
        rows = connection.execute(sa.select(FailedTries.__table__)).mappings().all()
    assert [(row["key"], row["count"]) for row in rows] == [("k", 1)]


def test_a_clock_that_was_set_back_locks_nobody_out(database: sa.Engine) -> None:
    last = fail(database, 6, "k")
    assert take_turn(database, ["k"], last - timedelta(days=300)) <= 900


def test_an_account_is_its_name_in_whatever_case_and_is_kept_as_a_digest() -> None:
    assert account_key("Ada  Lovelace") == account_key(" ada lovelace ")
    assert account_key("Ada") != account_key("Ed")
    assert "ada" not in account_key("Ada").removeprefix("account ")
    assert len(account_key("x" * 10_000 + "\ud800")) < 100


@pytest.mark.parametrize(
    ("one", "other", "together"),
    [
        ("192.0.2.7", "192.0.2.8", False),
        ("2001:db8:0:1::7", "2001:db8:0:1:ffff::8", True),
        ("2001:db8:0:1::7", "2001:db8:0:2::7", False),
        ("::ffff:192.0.2.7", "192.0.2.7", True),
        ("fe80::1%eth0", "fe80::2", True),
        ("testclient", "testclient", True),
    ],
)
def test_one_connection_s_addresses_count_together(one: str, other: str, together: bool) -> None:
    assert (address_key(one) == address_key(other)) is together
