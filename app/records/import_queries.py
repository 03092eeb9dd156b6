"""Every query on imports. Their writes are no change of the catalogue and raise no revision."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine
from sqlmodel import Session

from app.records.base import Row, now, public_id, table_of
from app.records.import_jobs import ImportJob, ImportRow

_JOB: sa.Table = table_of(ImportJob)
_ROW: sa.Table = table_of(ImportRow)

KEPT_FOR = timedelta(days=7)
"""Rows of files are kept so long, for the preview and for the file of problems."""

_BLOCK = 500


@contextmanager
def beside_the_catalogue(engine: Engine) -> Iterator[Connection]:
    """A short write of its own that leaves the catalogue's revision as it is."""
    with engine.execution_options(write=True).begin() as connection:
        yield connection


def add_job(
    engine: Engine,
    *,
    by: str,
    noun: str,
    variant: str,
    headings: Sequence[str],
    rows: Sequence[Mapping[str, str]],
) -> str:
    """Keep a file's rows, to be looked through; the id of the job. Old files are thrown out."""
    job: dict[str, Any] = {
        "public_id": public_id(),
        "at": now(),
        "by": by,
        "noun": noun,
        "variant": variant,
        "headings": list(headings),
        "stage": "checking",
        "done": 0,
        "total": len(rows),
        "beat": now(),
    }
    with beside_the_catalogue(engine) as connection:
        old = now() - KEPT_FOR
        gone = sa.select(_JOB.c.id).where(_JOB.c.at < old)
        connection.execute(sa.delete(_ROW).where(_ROW.c.job_id.in_(gone)))
        connection.execute(sa.delete(_JOB).where(_JOB.c.at < old, _JOB.c.stage != "saved"))
        connection.execute(sa.insert(_JOB), [job])
        key = connection.execute(
            sa.select(_JOB.c.id).where(_JOB.c.public_id == job["public_id"])
        ).scalar_one()
        new = [
            {"job_id": key, "number": n, "status": "waiting", "cells": dict(cells)}
            for n, cells in enumerate(rows, start=2)
        ]
        for start in range(0, len(new), _BLOCK):
            connection.execute(sa.insert(_ROW), new[start : start + _BLOCK])
    return str(job["public_id"])


def job_row(session: Session | Connection, job: str) -> Row | None:
    """A job by its public id."""
    connection = session if isinstance(session, Connection) else session.connection()
    query = sa.select(_JOB).where(_JOB.c.public_id == job)
    return connection.execute(query).mappings().first()


def recent_jobs(session: Session, limit: int = 10) -> Sequence[Row]:
    """The newest jobs."""
    query = sa.select(_JOB).order_by(_JOB.c.id.desc()).limit(limit)
    return session.connection().execute(query).mappings().all()


def set_job(connection: Connection, key: int, **values: Any) -> None:
    """Note how far a job is."""
    query = sa.update(_JOB).where(_JOB.c.id == key).values(**values, beat=now())
    connection.execute(query)


def take_job(
    engine: Engine, job: str, stages: Sequence[str], stage: str, silent_since: datetime
) -> bool:
    """Begin a stage, unless somebody else did; whether it is ours.

    A job that is in the wanted stage already is taken over where it was silent for long.
    """
    stuck = sa.and_(_JOB.c.stage.in_(("checking", "saving")), _JOB.c.beat < silent_since)
    query = (
        sa.update(_JOB)
        .where(_JOB.c.public_id == job, sa.or_(_JOB.c.stage.in_(list(stages)), stuck))
        .values(stage=stage, done=0, beat=now(), message=None)
    )
    with beside_the_catalogue(engine) as connection:
        return connection.execute(query).rowcount == 1


def job_rows(
    session: Session | Connection,
    key: int,
    statuses: Sequence[str] = (),
    limit: int | None = None,
    offset: int = 0,
    *,
    cells: bool = True,
) -> Sequence[Row]:
    """Rows of a file in their order, of all or of some statuses; with their cells or without."""
    connection = session if isinstance(session, Connection) else session.connection()
    wanted = [column for column in _ROW.c if cells or column is not _ROW.c.cells]
    query = sa.select(*wanted).where(_ROW.c.job_id == key).order_by(_ROW.c.number)
    if statuses:
        query = query.where(_ROW.c.status.in_(list(statuses)))
    return connection.execute(query.limit(limit).offset(offset)).mappings().all()


def status_counts(session: Session | Connection, key: int) -> dict[str, int]:
    """How many rows there are of each status."""
    connection = session if isinstance(session, Connection) else session.connection()
    query = sa.select(_ROW.c.status, sa.func.count()).where(_ROW.c.job_id == key)
    return {row[0]: int(row[1]) for row in connection.execute(query.group_by(_ROW.c.status))}


def keep_findings(connection: Connection, key: int, found: Sequence[Mapping[str, Any]]) -> None:
    """Write what was found of some rows."""
    query = (
        sa.update(_ROW)
        .where(_ROW.c.job_id == key, _ROW.c.number == sa.bindparam("row_number"))
        .values(
            status=sa.bindparam("row_status"),
            record=sa.bindparam("row_record"),
            version=sa.bindparam("row_version"),
            document=sa.bindparam("row_document"),
            problems=sa.bindparam("row_problems"),
        )
    )
    if found:
        connection.execute(query, [{f"row_{k}": v for k, v in one.items()} for one in found])


def drop_rows(connection: Connection, key: int, statuses: Sequence[str]) -> None:
    """Throw rows out that are of no use any more."""
    query = sa.delete(_ROW).where(_ROW.c.job_id == key, _ROW.c.status.in_(list(statuses)))
    connection.execute(query)


def records_named(
    session: Session, table: sa.Table, keys: Sequence[str]
) -> dict[str, tuple[str, int]]:
    """Records in use by folded name: public id and version."""
    found: dict[str, tuple[str, int]] = {}
    for start in range(0, len(keys), 5000):
        block = list(keys[start : start + 5000])
        query = sa.select(table.c.name_key, table.c.public_id, table.c.version).where(
            table.c.name_key.in_(block), table.c.put_aside_at.is_(None)
        )
        for row in session.connection().execute(query):
            found[row.name_key] = (row.public_id, row.version)
    return found
