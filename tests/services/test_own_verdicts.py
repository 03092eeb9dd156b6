import pytest
import sqlalchemy as sa

from app.comparison.board_view import BoardView
from app.records.database import read_session, writing
from app.services.catalogue import engines, packs
from app.services.own_verdicts import inputs_unsaved, own_verdicts, verdicts_with
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


@pytest.mark.parametrize("noun", ["pack", "engine"])
def test_what_saving_would_say_is_what_it_says_once_saved(shop: sa.Engine, noun: str) -> None:
    catalogue = packs if noun == "pack" else engines
    with read_session(shop) as session:
        now = standing(session)
        key = (now.packs if noun == "pack" else now.engines)[5].public_id
        before, stored = own_verdicts(session, noun, key), catalogue.get(session, key)
    friction = {"oiled": {"sliding": 0.3}}
    change = {"friction": friction} if noun == "pack" else {"service_factor": 0.3}
    raw = stored.document.model_dump(exclude_none=True) | change
    changed = type(stored.document).model_validate(raw)
    with writing(shop) as session:
        catalogue.change(session, key, stored.version, changed, by="Ann")
        told = verdicts_with(inputs_unsaved(session, noun, key), now)
    with read_session(shop) as session:
        assert told == own_verdicts(session, noun, key) != before
