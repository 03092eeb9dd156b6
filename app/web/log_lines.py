"""Log lines that nobody can forge: what came from outside cannot begin a line of its own."""

import logging
import time
from types import TracebackType

_Trace = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]

_VISIBLE = {code: f"\\x{code:02x}" for code in (*range(32), *range(127, 160))}
_VISIBLE |= {0x2028: "\\u2028", 0x2029: "\\u2029"}
del _VISIBLE[9]


class OneLine(logging.Formatter):
    """UTC time, level, name, message; control characters made visible, a trace indented."""

    converter = staticmethod(time.gmtime)

    def __init__(self) -> None:
        super().__init__("%(asctime)sZ %(levelname)s %(name)s %(message)s", "%Y-%m-%dT%H:%M:%S")

    def formatMessage(self, record: logging.LogRecord) -> str:  # noqa: N802 - the base's name
        """The record's own line, with nothing in it that could end it."""
        return super().formatMessage(record).translate(_VISIBLE)

    def formatException(self, ei: _Trace) -> str:  # noqa: N802 - the base's name
        """The trace, each line marked as one."""
        text = super().formatException(ei)
        return "\n".join("    | " + line.translate(_VISIBLE) for line in text.split("\n"))


def start(level: int = logging.INFO) -> None:
    """Send the program's and the server's lines to standard error in this form."""
    handler = logging.StreamHandler()
    handler.setFormatter(OneLine())
    for name in ("gripledger", "uvicorn"):
        logger = logging.getLogger(name)
        logger.handlers = [handler]
        logger.setLevel(level)
        logger.propagate = False
