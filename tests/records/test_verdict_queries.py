import sqlalchemy as sa

from app.records import verdict_queries as queries
from app.records.database import catalogue_revision, read_session


def add(database: sa.Engine, title: str = "One") -> str:
    document = {"name": "A", "lift_mm": 1.5}
    return queries.add_verdict(
        database, by="Ann", kind="board", way="csv", title=title, query="wear=worn", revision=3,
        content={"cells": None}, documents={queries.digest(document): document},
    )  # fmt: skip


def test_a_verdict_is_kept_with_its_documents_once(database: sa.Engine) -> None:
    with read_session(database) as session:
        before = catalogue_revision(session)
    first, second = add(database), add(database, "Two")
    with read_session(database) as session:
        row = queries.verdict_row(session, first)
        assert (row["title"], row["query"], row["content"]) == ("One", "wear=worn", {"cells": None})
        assert queries.verdict_row(session, "nothing") is None
        assert queries.verdicts_found(session) == 2
        (newest,) = queries.verdict_rows(session, 1)
        assert newest["public_id"] == second
        assert "content" not in newest
        key = queries.digest({"lift_mm": 1.5, "name": "A"})
        assert queries.kept_documents(session, [key, "x"]) == {key: {"name": "A", "lift_mm": 1.5}}
        assert catalogue_revision(session) == before


def test_a_digest_changes_with_the_last_digit() -> None:
    assert queries.digest({"a": 1.5}) != queries.digest({"a": 1.5000000000000002})


def test_a_caller_may_choose_the_id(database: sa.Engine) -> None:
    made = queries.add_verdict(
        database, by="Ann", kind="cell", way="print", title="t", query="", revision=1,
        content={}, documents={}, key="abcdefghjk",
    )  # fmt: skip
    assert made == "abcdefghjk"
