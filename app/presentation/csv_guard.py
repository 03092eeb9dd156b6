"""What writing and reading a CSV share: its variants, its byte order mark, its guarded text."""

import re
from typing import Literal

Variant = Literal["comma", "semicolon"]
"""``semicolon`` has decimal commas, for spreadsheets of places that write 12,5."""

BOM = "\ufeff"

_FORMULA = re.compile(r"'*[=+\-@\t\r\n]")


def guarded(text: str) -> str:
    """Put one apostrophe before text that a spreadsheet would take for a formula.

    Text that already has apostrophes before such a sign gets one more, so that reading, which
    takes one off, gives back what was there.

    >>> guarded("=1+1"), guarded("'=1"), guarded("O'Hara")
    ("'=1+1", "''=1", "O'Hara")
    """
    return f"'{text}" if _FORMULA.match(text) else text


def unguarded(text: str) -> str:
    """Take off the apostrophe that ``guarded`` put on, and no other."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text) else text
