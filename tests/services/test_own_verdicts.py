import pytest
import sqlalchemy as sa

from app.comparison.board_view import BoardView
from app.records.database import read_session, writing
from app.services.catalogue import packs
from app.services.own_verdicts import own_verdicts
from app.services.seeding import load_demo
from app.services.standing import standing


@pytest.fixture
def shop(database: sa.Engine) -> sa.Engine:
    with writing(database) as session:
        load_demo(session)
    return database


def test_a_row_and_a_column_agree_with_the_board(shop: sa.Engine) -> None:
    with read_session(shop) as session:
        now = standing(session)
        whole = now.compared(now.packs, now.engines, BoardView().states[0]).verdict
        for i, pack in enumerate(now.packs):
            row = own_verdicts(session, "pack", pack.public_id)
            assert list(row) == [engine.public_id for engine in now.engines]
            for j, engine in enumerate(now.engines):
                column = own_verdicts(session, "engine", engine.public_id)
                name, verdict = row[engine.public_id]
                assert (name, column[pack.public_id].other) == (engine.name, pack.name)
                assert verdict == column[pack.public_id].verdict
                assert verdict == ("unknown", "holds", "tight", "slips")[whole[i, j]]


def test_other_kinds_and_records_put_aside_have_none(shop: sa.Engine) -> None:
    with writing(shop) as session:
        pack = packs.page(session).records[0]
        packs.put_aside(session, pack.id, pack.version, by="Ann")
    with read_session(shop) as session:
        assert own_verdicts(session, "pack", pack.id) == {}
        assert own_verdicts(session, "offer", pack.id) == {}
