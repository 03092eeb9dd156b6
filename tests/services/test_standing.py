"""What was worked out lately is held, so many of it, and no longer than the catalogue stands."""

import sqlalchemy as sa

from app.records.database import make_engine, read_session, writing
from app.services.catalogue import packs
from app.services.standing import Recent, standing
from tests.factories import make_pack


def test_the_least_used_goes_first() -> None:
    held = Recent(2)
    held.put("a", 1)
    held.put("b", 2)
    assert held.get("a") == 1
    held.put("c", 3)
    assert (held.get("a"), held.get("b"), held.get("c")) == (1, None, 3)


def test_a_save_lets_go_of_everything(sqlite_url: str) -> None:
    engine: sa.Engine = make_engine(sqlite_url)
    with read_session(engine) as session:
        first = standing(session)
    first.found.put("key", "worked out")
    with writing(engine) as session:
        packs.add(session, make_pack(), by="Ann")
    with read_session(engine) as session:
        second = standing(session)
    assert second.revision != first.revision
    assert second.found.get("key") is None
    assert [p.name for p in second.packs] == ["Tern 4"]
    engine.dispose()
