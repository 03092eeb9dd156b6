import datetime as dt

import pytest
import sqlalchemy as sa

from app.records.base import PUBLIC_ID_LENGTH, UtcDateTime, folded, public_id


def test_ids_are_short_and_hold_no_sign_that_is_misread() -> None:
    ids = {public_id() for _ in range(2000)}
    assert len(ids) == 2000
    assert {len(i) for i in ids} == {PUBLIC_ID_LENGTH}
    assert not set("".join(ids)) & set("01ilo")


@pytest.mark.parametrize(
    ("one", "other"),
    [("Tern 4", "  TERN   4"), ("Straße", "STRASSE"), ("Ｔｅｒｎ", "tern"), ("é", "e\u0301")],
)
def test_names_that_read_alike_fold_alike(one: str, other: str) -> None:
    assert folded(one) == folded(other)


def test_times_come_back_in_utc_whatever_zone_they_went_in_with(database: sa.Engine) -> None:
    table = sa.Table("moment", sa.MetaData(), sa.Column("at", UtcDateTime))
    zone = dt.timezone(dt.timedelta(hours=5, minutes=30))
    moment = dt.datetime(2026, 11, 25, 1, 15, 0, 123456, tzinfo=zone)
    with database.begin() as connection:
        table.create(connection)
        connection.execute(table.insert(), [{"at": moment}, {"at": None}])
        found = connection.execute(sa.select(table.c.at).where(table.c.at == moment)).scalar_one()
    assert found == moment
    assert found.utcoffset() == dt.timedelta(0)


def test_a_time_without_a_zone_is_refused(database: sa.Engine) -> None:
    table = sa.Table("moment", sa.MetaData(), sa.Column("at", UtcDateTime))
    naive = dt.datetime(2026, 11, 25)  # the very thing that is refused
    with database.begin() as connection:
        table.create(connection)
        with pytest.raises(sa.exc.StatementError, match="zone"):
            connection.execute(table.insert(), [{"at": naive}])
        connection.rollback()
