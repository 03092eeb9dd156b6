import logging
import sys
from typing import Any

import pytest

from app.web.log_lines import OneLine


def record(message: str, trace: Any = None) -> logging.LogRecord:
    return logging.LogRecord("gripledger.web", logging.WARNING, "f.py", 1, message, (), trace)


@pytest.mark.parametrize("mark", ["\n", "\r", "\r\n", "\x00", "\x1b[2J", "\x85", "\u2028"])
def test_what_was_sent_cannot_begin_a_line(mark: str) -> None:
    text = OneLine().format(record(f"GET /a{mark}2026-11-25T00:00:00Z INFO forged 200"))
    assert len(text.splitlines()) == 1
    assert text.isprintable()


def test_a_trace_is_kept_apart_from_the_lines() -> None:
    try:
        raise ValueError("first\n2026-11-25T00:00:00Z INFO forged")
    except ValueError:
        text = OneLine().format(record("failure", sys.exc_info()))
    first, *rest = text.split("\n")
    assert first.endswith("WARNING gripledger.web failure")
    assert rest
    assert all(line.startswith("    | ") for line in rest)


def test_times_are_utc() -> None:
    line = record("x")
    line.created = 0.0
    assert OneLine().format(line).startswith("1970-01-01T00:00:00Z ")
