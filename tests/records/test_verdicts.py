import pytest
import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError

from app.records.tables import Verdict, VerdictInput


@pytest.mark.parametrize("statement", ["UPDATE {} SET {} = 'x'", "DELETE FROM {}"])
@pytest.mark.parametrize(("table", "column"), [("verdict", "title"), ("verdict_input", "digest")])
def test_what_was_shown_can_neither_be_altered_nor_taken_out(
    database: sa.Engine, table: str, column: str, statement: str
) -> None:
    made = {
        "by": "Ann", "kind": "board", "way": "csv", "title": "Board", "query": "",
        "revision": 1, "content": {"state": {}},
    }  # fmt: skip
    with database.begin() as connection:
        connection.execute(sa.insert(Verdict), [made])
        connection.execute(sa.insert(VerdictInput), [{"digest": "d", "document": {"name": "A"}}])
    with pytest.raises(DBAPIError, match="only added to"), database.begin() as connection:
        connection.execute(sa.text(statement.format(table, column)))
    with database.connect() as connection:
        assert connection.execute(sa.select(Verdict.title)).scalar_one() == "Board"
        assert connection.execute(sa.select(VerdictInput.digest)).scalar_one() == "d"
