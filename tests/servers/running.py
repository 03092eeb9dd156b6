"""The real command, running, for tests that need more than one server."""

import os
import re
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager

from app.settings import PROJECT_ROOT, Settings
from tests.own_programs import path_with_programs


@contextmanager
def running(settings: Settings, *words: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """The address of a server started by the command, and its process."""
    environment = {**os.environ, **settings.environment(), "PATH": path_with_programs()}
    process = subprocess.Popen(
        [sys.executable, "-m", "app", "serve", "--port", "0", *words],
        cwd=PROJECT_ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        bufsize=1,
    )
    assert process.stdout is not None
    try:
        found = (re.search(r"http://\S+/", line) for line in process.stdout)
        address = next((match.group() for match in found if match), "")
        assert address, "the command ended without an address"
        wait_until_ready(address)
        yield address, process
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(20)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
            raise
        finally:
            process.stdout.close()


def wait_until_ready(address: str, patience_s: float = 30.0) -> None:
    """Return once the server says that it is ready."""
    until = time.monotonic() + patience_s
    while True:
        try:
            with urllib.request.urlopen(f"{address}healthz", timeout=5) as answer:  # noqa: S310  # our own
                if answer.status == 200:
                    return
        except (urllib.error.URLError, OSError):
            if time.monotonic() > until:
                raise
        time.sleep(0.05)
