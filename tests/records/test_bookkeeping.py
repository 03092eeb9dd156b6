import pytest
import sqlalchemy as sa
from sqlalchemy.orm.exc import StaleDataError

from app.records.bookkeeping import Change, Setting
from app.records.database import write_session, writing


def test_history_can_be_added_to_and_read_but_not_rewritten(database: sa.Engine) -> None:
    with writing(database) as session:
        session.add(Change(by="a", action="add", noun="pack", record="x", name="x", version=1))
    for statement in ("UPDATE change SET noun = 'y'", "DELETE FROM change"):
        with database.connect() as connection, pytest.raises(sa.exc.DBAPIError, match="only added"):
            connection.exec_driver_sql(statement)
    with database.connect() as connection:
        nouns = connection.exec_driver_sql("SELECT noun FROM change").scalars().all()
    assert "pack" in nouns
    assert "y" not in nouns


def test_a_version_covers_the_race_that_reading_first_leaves(database: sa.Engine) -> None:
    with writing(database) as session:
        session.add(Setting(key="k", value=1, changed_by="a"))
    with write_session(database) as late:
        setting = late.get(Setting, "k")
        assert setting is not None
        late.commit()  # ends its turn, keeps what it read
        with writing(database) as early:
            other = early.get(Setting, "k")
            assert other is not None
            other.value = 2
        setting.value = 3
        with pytest.raises(StaleDataError):
            late.flush()
