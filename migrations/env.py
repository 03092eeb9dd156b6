"""How the migrations are run: on a connection of their own, in one transaction.

SQLite's foreign keys stay off here: a batch operation makes a table anew and drops the old one,
which would take the rows that point at it along. `app.records.migrate` has them checked after.
"""

import sqlite3

import sqlalchemy as sa
from alembic import context
from sqlalchemy import event

from app.records.tables import METADATA
from app.settings import Settings

UPGRADE_LOCK = 4_704_831_226_019_117_001
"""Key of the lock that lets one process at a time change the schema (PostgreSQL)."""


def engine_for_migrations() -> sa.Engine:
    url = context.config.attributes.get("url") or Settings().url
    if url.get_backend_name() != "sqlite":
        return sa.create_engine(url, poolclass=sa.NullPool)
    engine = sa.create_engine(url, poolclass=sa.NullPool, connect_args={"timeout": 60})

    @event.listens_for(engine, "connect")
    def _on_connect(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None
        connection.execute("PRAGMA foreign_keys=OFF")

    @event.listens_for(engine, "begin")
    def _on_begin(connection: sa.Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")

    return engine


def run() -> None:
    # `watch`, where given, looks at the database inside the transaction, before and after: what it
    # raises undoes everything.
    watch = context.config.attributes.get("watch")
    with engine_for_migrations().connect() as connection:
        context.configure(
            connection=connection,
            target_metadata=METADATA,
            render_as_batch=True,
            compare_type=True,
            transactional_ddl=True,
        )
        with context.begin_transaction():
            if connection.dialect.name == "postgresql":
                connection.execute(sa.select(sa.func.pg_advisory_xact_lock(UPGRADE_LOCK)))
            if watch is not None:
                watch.before(connection)
            context.run_migrations()
            if watch is not None:
                watch.after(connection)


if context.is_offline_mode():
    raise SystemExit("Migrations need the database: run them with a connection.")
run()
