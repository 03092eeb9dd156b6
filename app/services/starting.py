"""What happens before the server listens: the database is brought up and the tables are filled."""

from sqlalchemy.engine import Engine

from app.records.database import make_engine, read_session, writing
from app.records.migrate import BroughtUp, bring_up
from app.services.seeding import missing_facings, seed
from app.settings import Settings


def open_engine(settings: Settings) -> Engine:
    """An engine on the database that the settings name, which must be there."""
    return make_engine(
        settings.url,
        busy_timeout_ms=settings.busy_timeout_ms,
        pool_size=settings.pool_size,
        must_exist=True,
    )


def prepare(settings: Settings) -> BroughtUp:
    """Bring the database up and put in the published tables; safe to run at every start.

    Raises:
        NewerSchema, UpgradeFailed, StorageUnavailable: as `bring_up`.
    """
    done = bring_up(settings)
    engine = open_engine(settings)
    try:
        with read_session(engine) as session:
            missing = missing_facings(session)
        if missing:
            with writing(engine) as session:
                seed(session)
    finally:
        engine.dispose()
    return done
