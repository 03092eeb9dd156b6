from app.records.database import read_session
from app.records.migrate import is_current
from app.services.catalogue import facings
from app.services.starting import open_engine, prepare
from app.settings import Settings


def test_a_ready_database_is_left_as_it_is(settings: Settings) -> None:
    engine = open_engine(settings)
    with read_session(engine) as session:
        before = facings.page(session, size=100)
    done = prepare(settings)
    assert done.before == done.after
    assert done.backup is None
    with read_session(engine) as session:
        assert facings.page(session, size=100) == before
    assert is_current(engine)
    engine.dispose()
