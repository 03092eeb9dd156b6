"""Where the project's files lie, for the tests that read them."""

import subprocess
from pathlib import Path

import app

ROOT = Path(app.__file__).resolve().parent.parent
FOLDERS = ("app", "tests", "migrations", "seed_data", "static", "templates")
TOP_FILES = ("README.md", "DEVELOPERS.md", "pyproject.toml", "constraints.txt")


def project_files(*endings: str) -> list[Path]:
    """Files of the project with one of the endings (all of them without any), no caches."""
    inside = (p for folder in FOLDERS for p in (ROOT / folder).rglob("*"))
    found = [p for p in [*inside, *(ROOT / name for name in TOP_FILES)]
             if p.is_file() and "__pycache__" not in p.parts]
    return sorted(p for p in found if not endings or p.suffix in endings)


def run(*command: str, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """A command's result, with its output as text."""
    return subprocess.run(command, cwd=cwd, capture_output=True, text=True, check=False)
