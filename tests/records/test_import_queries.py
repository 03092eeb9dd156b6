from datetime import timedelta

import sqlalchemy as sa

from app.records import import_queries as queries
from app.records.base import now
from app.records.database import catalogue_revision, read_session
from app.records.packs import Pack

CELLS = [{"name": "A"}, {"name": "B"}]


def job(database: sa.Engine) -> tuple[str, int]:
    made = queries.add_job(
        database, by="Ann", noun="pack", variant="comma", headings=["name"], rows=CELLS
    )
    with read_session(database) as session:
        return made, queries.job_row(session, made)["id"]


def test_rows_are_numbered_as_a_spreadsheet_does(database: sa.Engine) -> None:
    made, key = job(database)
    with read_session(database) as session:
        assert [r["number"] for r in queries.job_rows(session, key)] == [2, 3]
        assert queries.status_counts(session, key) == {"waiting": 2}
        assert queries.recent_jobs(session)[0]["public_id"] == made
        assert queries.job_rows(session, key, limit=1, offset=1)[0]["cells"] == CELLS[1]


def test_findings_are_kept_and_rows_thrown_out(database: sa.Engine) -> None:
    _, key = job(database)
    found = {
        "number": 3, "status": "new", "record": None, "version": None,
        "document": {"name": "B"}, "problems": None,
    }  # fmt: skip
    with queries.beside_the_catalogue(database) as connection:
        queries.keep_findings(connection, key, [found])
        queries.keep_findings(connection, key, [])
        queries.set_job(connection, key, done=1, stage="checked")
    with read_session(database) as session:
        (row,) = queries.job_rows(session, key, ("new",))
        assert row["document"] == {"name": "B"}
    with queries.beside_the_catalogue(database) as connection:
        queries.drop_rows(connection, key, ("new",))
        assert queries.status_counts(connection, key) == {"waiting": 1}


def test_a_stage_is_taken_once_unless_it_fell_silent(database: sa.Engine) -> None:
    made, _ = job(database)
    past, ahead = now() - timedelta(minutes=1), now() + timedelta(minutes=1)
    assert not queries.take_job(database, made, ("checked",), "saving", past)
    assert queries.take_job(database, made, ("checked",), "saving", ahead)
    assert not queries.take_job(database, "nothing", ("checked",), "saving", ahead)


def test_imports_leave_the_catalogue_s_revision_as_it_is(database: sa.Engine) -> None:
    with read_session(database) as session:
        before = catalogue_revision(session)
    job(database)
    with read_session(database) as session:
        assert catalogue_revision(session) == before
        assert queries.records_named(session, Pack.__table__, ["nothing"]) == {}
