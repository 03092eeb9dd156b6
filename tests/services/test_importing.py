from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.errors import BadInput, DuplicateName, NotFound, NotImported
from app.records.base import now
from app.records.bookkeeping import Change
from app.records.database import catalogue_revision, read_session, writing
from app.records.import_jobs import ImportJob, ImportRow
from app.services import importing
from app.services.catalogue import packs
from app.services.importing import ALL, GOOD, begin_check, begin_save, check, job_of, kind_of, save
from tests.factories import make_pack

HEADINGS = ["id", "version", "name", "friction_plates"]


def rows(*lines: tuple[str, str, str, str]) -> list[dict[str, str]]:
    return [dict(zip(HEADINGS, line, strict=True)) for line in lines]


def taken(database: sa.Engine, *lines: tuple[str, str, str, str]) -> str:
    shared = {"kind": "pack", "variant": "comma", "by": "Ann"}
    job = importing.take_in(database, HEADINGS, rows(*lines), **shared)
    check(database, job)
    return job


def counts(database: sa.Engine, job: str) -> dict[str, int]:
    with read_session(database) as session:
        return dict(job_of(session, job).counts)


def names(database: sa.Engine) -> list[str]:
    with read_session(database) as session:
        return [s.name for s in packs.page(session).records]


def test_a_file_goes_from_taken_in_to_looked_through_to_kept(database: sa.Engine) -> None:
    with read_session(database) as session:
        before = catalogue_revision(session)
    job = taken(database, ("", "", "A", "4"), ("", "", "B", "x"), ("", "", "C", "5"))
    assert counts(database, job) == {"new": 2, "bad": 1}
    with read_session(database) as session:
        assert catalogue_revision(session) == before
        assert job_of(session, job).stage == "checked"
        (bad,) = importing.bad_rows(session, job_of(session, job), 5)
        assert bad[:3] == (3, "friction_plates", "x")
    with pytest.raises(NotImported, match="1 row cannot be read"):
        save(database, job, ALL, by="Bo")
    assert names(database) == []
    batch = save(database, job, GOOD, by="Bo")
    assert names(database) == ["A", "C"]
    with read_session(database) as session:
        assert catalogue_revision(session) == before + 1
        changes = session.scalars(sa.select(Change).where(Change.batch == batch)).all()
        assert {(c.by, c.action, c.reason) for c in changes} == {("Bo", "add", "import of packs")}
        found = job_of(session, job)
        assert (found.stage, found.row["batch"], found.row["done"]) == ("saved", batch, 2)
    assert counts(database, job) == {"bad": 1}


def test_one_stage_is_begun_once(database: sa.Engine) -> None:
    job = taken(database, ("", "", "A", "4"))
    assert begin_save(database, job)
    assert not begin_save(database, job)
    assert not begin_check(database, job)
    with database.begin() as connection:
        connection.execute(sa.update(ImportJob).values(beat=now() - timedelta(minutes=5)))
    with read_session(database) as session:
        assert job_of(session, job).stuck
    assert begin_check(database, job)


def test_a_change_meanwhile_stops_the_whole_file(database: sa.Engine) -> None:
    job = taken(database, ("", "", "A", "4"), ("", "", "B", "5"))
    with writing(database) as session:
        packs.add(session, make_pack("b"), by="Cy")
    with pytest.raises(DuplicateName):
        save(database, job, ALL, by="Bo")
    assert names(database) == ["b"]
    with read_session(database) as session:
        assert job_of(session, job).stage == "failed"
    assert begin_check(database, job)
    check(database, job)
    assert counts(database, job) == {"new": 1, "bad": 1}


def test_a_file_that_changes_nothing_is_not_kept(database: sa.Engine) -> None:
    with writing(database) as session:
        stored = packs.add(session, make_pack("A"), by="Ann")
    job = taken(database, (stored.id, "1", "A", "4"))
    assert counts(database, job) == {"unchanged": 1}
    with pytest.raises(NotImported, match="nothing to change"):
        save(database, job, ALL, by="Bo")


def test_the_kind_is_told_from_the_headings(database: sa.Engine) -> None:
    first = ["id", "version", "name"]
    assert kind_of([*first, "friction_plates"]) == "pack"
    assert kind_of([*first, "torque.kind", "spline_count"]) == "engine"
    assert kind_of([*first, "price"]) == "offer"
    for unclear in (first, [*first, "spline_count"], ["a", "b", "c", "d"]):
        with pytest.raises(BadInput):
            kind_of(unclear)


def test_an_id_that_stands_twice_stops_the_file(database: sa.Engine) -> None:
    with pytest.raises(BadInput, match="row 2 and in row 3"):
        taken(database, ("a", "1", "A", "4"), ("a", "1", "B", "4"))
    with read_session(database) as session, pytest.raises(NotFound):
        job_of(session, "nothing")


def test_old_files_are_thrown_out_when_another_comes(database: sa.Engine) -> None:
    old = taken(database, ("", "", "A", "4"))
    kept = taken(database, ("", "", "B", "4"), ("", "", "C", "x"))
    save(database, kept, GOOD, by="Bo")
    with database.begin() as connection:
        connection.execute(sa.update(ImportJob).values(at=now() - timedelta(days=8)))
    taken(database, ("", "", "D", "4"))
    with read_session(database) as session:
        with pytest.raises(NotFound):
            job_of(session, old)
        assert job_of(session, kept).stage == "saved"
        assert job_of(session, kept).counts == {}
        assert session.scalar(sa.select(sa.func.count()).select_from(ImportRow)) == 1
