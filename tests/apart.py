"""Running a coroutine where no event loop is at work yet.

A browser test leaves its own loop marked as running in the thread of the tests, and which tests
share a process is left to the runner.
"""

from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import anyio


def run_apart(function: Callable[..., Awaitable[Any]], *given: Any) -> Any:
    """The result of an async function, run in a thread of its own."""
    with ThreadPoolExecutor(1) as threads:
        return threads.submit(anyio.run, function, *given).result()
