"""Imports point one way, towards a pure centre; a broken contract fails here."""

import shutil
import sys
import tomllib
from pathlib import Path

import pytest

from tests.architecture.tree import ROOT, run

LINTER = shutil.which("lint-imports", path=str(Path(sys.executable).parent))


def check(folder: Path) -> tuple[int, str]:
    assert LINTER is not None, "import-linter is not installed beside this interpreter"
    done = run(LINTER, "--no-cache", "--no-logo", cwd=folder)
    return done.returncode, done.stdout + done.stderr


def test_every_contract_is_kept():
    code, report = check(ROOT)
    assert code == 0, report
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    assert len(contracts) >= 3
    assert f"{len(contracts)} kept, 0 broken" in report


@pytest.mark.parametrize(
    ("path", "line", "contract"),
    [
        ("app/mechanics/clamp.py", "import app.records.base", "data flows one way"),
        ("app/comparison/run.py", "import app.records.base", "data flows one way"),
        ("app/records/base.py", "import app.comparison.run", "data flows one way"),
        ("app/presentation/numbers.py", "import app.web.etag", "data flows one way"),
        ("app/mechanics/traced.py", "import fastapi", "the centre is pure"),
        ("app/units.py", "import pydantic", "the centre is pure"),
        ("app/presentation/numbers.py", "import jinja2",
         "presentation knows no web and no database"),
    ],
)
def test_an_import_against_the_current_is_found(tmp_path, path, line, contract):
    shutil.copytree(ROOT / "app", tmp_path / "app",
                    ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    file = tmp_path / path
    file.write_text(file.read_text(encoding="utf-8") + f"\n{line}\n", encoding="utf-8")
    code, report = check(tmp_path)
    assert code == 1, report
    assert f"{contract} BROKEN" in report
