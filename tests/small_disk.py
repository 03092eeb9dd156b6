"""A disk of a few megabytes, for what happens when it is full or may not be written."""

import ctypes
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import pytest

_NEW_MOUNTS = 0x00020000
_PRIVATE, _EVERYTHING_BELOW = 1 << 18, 1 << 14


@cache
def own_mounts() -> bool:
    """Have this process mount for itself alone; whether it may.

    Nobody else sees its disks then, and they go with it however it ends: one that is killed leaves
    no mount behind.
    """
    if sys.platform != "linux":
        return False
    library = ctypes.CDLL(None, use_errno=True)
    if library.unshare(_NEW_MOUNTS) != 0:
        return False
    return bool(library.mount(b"none", b"/", None, _PRIVATE | _EVERYTHING_BELOW, None) == 0)


@contextmanager
def small_disk(folder: Path, size: str) -> Iterator[Path]:
    """A small disk at a folder that is made for it; leaves the test out where none can be had."""
    folder.mkdir(exist_ok=True)
    if not own_mounts():
        pytest.skip("only an administrator of a Linux system can mount a small disk")
    subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)], check=True
    )
    try:
        yield folder
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)
