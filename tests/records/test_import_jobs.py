import pytest
import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError

from app.records.tables import ImportJob, ImportRow

JOB = {"by": "Ann", "noun": "pack", "variant": "comma", "headings": ["name"], "stage": "checking"}


def test_the_rows_of_a_file_go_with_it(database: sa.Engine) -> None:
    with database.begin() as connection:
        connection.execute(sa.insert(ImportJob), [JOB])
        job = connection.execute(sa.select(ImportJob.id)).scalar_one()
        row = {"job_id": job, "number": 2, "status": "waiting", "cells": {"name": "A"}}
        connection.execute(sa.insert(ImportRow), [row])
    with pytest.raises(IntegrityError), database.begin() as connection:
        connection.execute(sa.update(ImportRow).values(status="fine"))
    with database.begin() as connection:
        connection.execute(sa.delete(ImportJob))
        rows = sa.select(sa.func.count()).select_from(ImportRow)
        assert connection.execute(rows).scalar_one() == 0
