"""Revisions as the migrations say them, the same that the library reads."""

from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.script import ScriptDirectory
from sqlalchemy.engine import make_url

from app.records import revisions
from app.records.database import make_engine
from app.records.revisions import current_revision, known_revisions
from app.settings import PROJECT_ROOT


def test_the_chain_is_the_librarys() -> None:
    scripts = ScriptDirectory(str(PROJECT_ROOT / "migrations"))
    assert list(known_revisions()) == [s.revision for s in scripts.walk_revisions()][::-1]
    assert known_revisions()[-1] == scripts.get_current_head()


def test_an_empty_folder_has_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(revisions, "PROJECT_ROOT", tmp_path)
    assert known_revisions() == ()


def test_a_database_says_its_own(database: sa.Engine) -> None:
    with database.connect() as connection:
        assert current_revision(connection) == known_revisions()[-1]


@pytest.mark.parametrize("empty_url", ["sqlite", "postgresql"], indirect=True)
def test_an_empty_database_has_none(empty_url: str) -> None:
    engine = make_engine(make_url(empty_url))
    with engine.connect() as connection:
        assert current_revision(connection) is None
    engine.dispose()
