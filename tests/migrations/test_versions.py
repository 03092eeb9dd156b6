"""The migrations on both databases: up, down, nothing missing, nothing lost on the way."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.operations import Operations
from alembic.runtime.environment import EnvironmentContext
from alembic.script import ScriptDirectory

from app.documents import Facing, Offer
from app.records.database import make_engine, writing
from app.records.migrate import is_current, migration_config, newest_revision
from app.records.tables import METADATA
from app.services.catalogue import engines, facings, offers, packs
from app.settings import PROJECT_ROOT
from tests.factories import make_engine_document, make_pack, spring_group

SCRIPTS = ScriptDirectory(str(PROJECT_ROOT / "migrations"))
REVISIONS = [script.revision for script in reversed(list(SCRIPTS.walk_revisions()))]
both = pytest.mark.parametrize("empty_url", ["sqlite", "postgresql"], indirect=True)


@pytest.fixture
def empty(empty_url: str) -> Iterator[sa.Engine]:
    made = make_engine(empty_url)
    yield made
    made.dispose()


def tables(engine: sa.Engine) -> set[str]:
    return set(sa.inspect(engine).get_table_names()) - {"alembic_version"}


def upgrade(engine: sa.Engine, revision: str) -> None:
    command.upgrade(migration_config(engine.url), revision)


def downgrade(engine: sa.Engine, revision: str) -> None:
    command.downgrade(migration_config(engine.url), revision)


def rows(engine: sa.Engine) -> dict[str, int]:
    with engine.connect() as connection:
        return {
            name: connection.execute(
                sa.select(sa.func.count()).select_from(sa.table(name))
            ).scalar_one()
            for name in tables(engine)
        }


@both
def test_up_makes_every_table_and_down_takes_every_one_away(empty: sa.Engine) -> None:
    upgrade(empty, "head")
    assert tables(empty) == set(METADATA.tables)
    assert is_current(empty)
    command.check(migration_config(empty.url))
    downgrade(empty, "base")
    assert tables(empty) == set()
    assert not is_current(empty)
    upgrade(empty, "head")
    assert is_current(empty)


@both
def test_a_table_that_is_not_migrated_is_noticed(empty: sa.Engine) -> None:
    """The check above must be able to fail."""
    upgrade(empty, REVISIONS[-2])
    with pytest.raises(command.util.CommandError):
        command.check(migration_config(empty.url))


def checks(engine: sa.Engine) -> dict[str, dict[str, str]]:
    """Every check by table and name, without the spaces and brackets each database adds."""
    inspector = sa.inspect(engine)
    return {
        table: {
            str(check["name"]): re.sub(r"[\s()\"]", "", check["sqltext"])
            for check in inspector.get_check_constraints(table)
        }
        for table in METADATA.tables
    }


@both
def test_the_checks_of_the_migrations_are_those_of_the_tables(empty: sa.Engine) -> None:
    """Autogenerate does not look at checks, so they are compared here, name and text."""
    METADATA.create_all(empty)
    declared = checks(empty)
    METADATA.drop_all(empty)
    upgrade(empty, "head")
    assert checks(empty) == declared


def index_text(index: Any) -> str:
    options = {name: str(value) for name, value in index.pop("dialect_options", {}).items()}
    return f"{index} {options}"


@both
def test_indexes_and_keys_are_those_of_the_tables(empty: sa.Engine) -> None:
    def found() -> Any:
        inspector = sa.inspect(empty)
        return {
            table: (
                sorted(map(index_text, inspector.get_indexes(table))),
                sorted(map(str, inspector.get_foreign_keys(table))),
                sorted(map(str, inspector.get_unique_constraints(table))),
                str(inspector.get_pk_constraint(table)),
            )
            for table in METADATA.tables
        }

    METADATA.create_all(empty)
    declared = found()
    METADATA.drop_all(empty)
    upgrade(empty, "head")
    assert found() == declared


@both
@pytest.mark.parametrize("revision", REVISIONS[:-1])
def test_a_filled_older_database_keeps_every_row_on_its_way_up(
    empty: sa.Engine, revision: str
) -> None:
    upgrade(empty, "head")
    with writing(empty) as session:
        facings.add(session, Facing(name="paper"), by="a")
        points = [{"deflection_mm": 1, "force_n": 20}, {"deflection_mm": 2, "force_n": 41}]
        clamp = {"kind": "coil", "springs": [spring_group(load_points=points), spring_group()]}
        pack = packs.add(session, make_pack(clamp=clamp, facing="paper"), by="a")
        engines.add(session, make_engine_document(), by="a")
        offers.add(session, Offer(name="Cheap", pack=pack.id), by="a")
    downgrade(empty, revision)
    before = rows(empty)
    assert before["load_point"] == 2
    upgrade(empty, "head")
    after = rows(empty)
    assert {name: after[name] for name in before} == before
    if empty.dialect.name == "sqlite":
        with empty.connect() as connection:
            assert connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall() == []
    with writing(empty) as session:
        stored = packs.get(session, pack.id)
        assert stored.document == pack.document


def test_a_batch_on_a_parent_table_loses_no_child(sqlite_url: str) -> None:
    """With SQLite's foreign keys on, dropping the old table takes the children along unseen."""
    engine = make_engine(sqlite_url)
    with writing(engine) as session:
        points = [{"deflection_mm": 1, "force_n": 20}]
        clamp = {"kind": "coil", "springs": [spring_group(load_points=points)]}
        packs.add(session, make_pack(clamp=clamp), by="a")
    before = rows(engine)
    config = migration_config(engine.url)

    def widen(_revision: Any, context: Any) -> list[Any]:
        with Operations(context).batch_alter_table("spring", recreate="always") as batch:
            batch.add_column(sa.Column("colour", sa.Text()))
        return []  # no migration besides

    with EnvironmentContext(config, SCRIPTS, fn=widen):
        SCRIPTS.run_env()
    assert rows(engine) == before
    assert "colour" in {c["name"] for c in sa.inspect(engine).get_columns("spring")}
    engine.dispose()


def test_history_refuses_to_be_rewritten_after_a_way_down_and_up(sqlite_url: str) -> None:
    engine = make_engine(sqlite_url)
    downgrade(engine, REVISIONS[0])
    upgrade(engine, "head")
    with engine.connect() as connection:
        triggers = connection.exec_driver_sql(
            "SELECT name FROM sqlite_master WHERE type = 'trigger' ORDER BY name"
        ).scalars()
        kept = ("change", "verdict", "verdict_input")
        ends = ("is_not_altered", "is_not_taken_out")
        assert list(triggers) == sorted(f"{table}_{end}" for table in kept for end in ends)
    engine.dispose()


def test_every_migration_is_named_by_its_day_its_revision_and_what_it_does() -> None:
    for script in SCRIPTS.walk_revisions():
        name = Path(script.path).name
        assert re.fullmatch(rf"\d{{4}}_\d\d_\d\d_{script.revision}_[a-z_]+\.py", name)
    assert newest_revision() == REVISIONS[-1]


def test_a_migration_imports_nothing_of_the_program() -> None:
    """It is history: later changes of the tables must leave it as it was."""
    for script in SCRIPTS.walk_revisions():
        assert not re.search(r"^\s*(from|import) app\b", Path(script.path).read_text(), re.M)
