from pathlib import Path

import pytest
from click.testing import CliRunner

from app.cli import main
from app.records.database import read_session, writing
from app.services.catalogue import engines, packs
from app.services.starting import open_engine, prepare
from app.settings import Settings
from tests.factories import make_engine_document, make_pack


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GRIPLEDGER_DATA_DIR", str(tmp_path / "data"))
    prepare(Settings())
    engine = open_engine(Settings())
    with writing(engine) as session:
        packs.add_many(session, [make_pack("One"), make_pack("Two")], by="Ann")
        engines.add(session, make_engine_document(), by="Ann")
    engine.dispose()
    return tmp_path


def run(*words: str, code: int = 0) -> str:
    result = CliRunner().invoke(main, list(words))
    assert result.exit_code == code, result.output
    return result.output


def in_use() -> dict[str, int | None]:
    engine = open_engine(Settings())
    with read_session(engine) as session:
        found = {s.name: s.document.friction_plates for s in packs.page(session).records}
    engine.dispose()
    return found


def test_what_is_exported_is_imported_with_nothing_to_change(folder: Path) -> None:
    for kind in ("packs", "engines"):
        file = folder / f"{kind}.csv"
        run("export", kind, str(file))
        assert file.read_bytes().startswith(b"\xef\xbb\xbf")
        assert "nothing to change" in run("import", str(file))
    assert "is there already" in run("export", "packs", str(folder / "packs.csv"), code=1)
    run("export", "packs", str(folder / "packs.csv"), "--semicolon", "--force")
    assert "nothing to change" in run("import", str(folder / "packs.csv"))


def test_a_file_is_imported_whole_or_its_good_rows_or_not_at_all(folder: Path) -> None:
    file = folder / "new.csv"
    file.write_text("id,version,name,friction_plates\n,,Three,6\n,,Four,many\n")
    told = run("import", str(file), code=1)
    assert "1 cannot be read, 1 new" in told
    assert "row 3, friction_plates: many. Write a whole number" in told
    assert set(in_use()) == {"One", "Two"}
    assert "  imported\n" not in run("import", "--dry-run", "--good-rows-only", str(file))
    assert set(in_use()) == {"One", "Two"}
    assert "  imported\n" in run("import", "--good-rows-only", str(file))
    assert in_use() == {"One": 4, "Two": 4, "Three": 6}


def test_a_file_that_is_no_table_of_records_is_told(folder: Path) -> None:
    file = folder / "bad.csv"
    file.write_text("id,version,name,facing_od_in\n,,Three,6\n")
    assert "do not say what the file holds" in run("import", str(file), code=1)
    assert "facing_od_mm, in mm" in run("import", "--kind", "packs", str(file), code=1)
    file.write_text("")
    assert "The file is empty" in run("import", str(file), code=1)
    assert "does not exist" in run("import", str(folder / "none.csv"), code=2)
