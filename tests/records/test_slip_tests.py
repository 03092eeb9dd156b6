"""Runs and findings hold on to their pack; readings go with their run."""

import pytest
import sqlalchemy as sa

from app.records.database import writing
from app.records.tables import METADATA
from app.services.catalogue import packs, slip_tests
from tests.factories import make_pack, make_slip_test


def test_a_pack_with_runs_can_not_be_taken_out_and_readings_go_with_their_run(
    database: sa.Engine,
) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        test = slip_tests.add(session, make_slip_test(pack.id), by="a")
    t, readings = METADATA.tables["slip_test"], METADATA.tables["slip_reading"]
    with database.connect() as connection, pytest.raises(sa.exc.IntegrityError):
        connection.execute(sa.delete(METADATA.tables["pack"]))
    with database.begin() as connection:
        count = sa.select(sa.func.count()).select_from(readings)
        assert connection.execute(count).scalar_one() == 2
        connection.execute(sa.delete(t).where(t.c.public_id == test.id))
        assert connection.execute(count).scalar_one() == 0
