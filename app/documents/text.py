"""Text as a record keeps it: trimmed, printable, of a stated greatest length."""

import re
from datetime import date, datetime
from typing import Annotated, Any

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

LONGEST_NAME = 200
"""A name has so many characters at most."""

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


def _printable(value: Any) -> str:
    if not isinstance(value, str):
        raise PydanticCustomError("text", "Write text here, in quotes.")
    if _CONTROL.search(value):
        raise PydanticCustomError(
            "text_control", "Take out the control characters; letters, digits and signs may stay."
        )
    return value.strip()


def _within(text: str, most: int) -> str:
    if len(text) > most:
        raise PydanticCustomError(
            "text_long", "Shorten this to {most} characters or fewer.", {"most": most}
        )
    return text


def _name(value: Any) -> str:
    text = " ".join(_printable(value).split())
    if not text:
        raise PydanticCustomError("text_empty", "Write a name, so that it can be found again.")
    return _within(text, LONGEST_NAME)


def _line(value: Any) -> Any:
    """One line of text; None and blank text are both "not given"."""
    if value is None:
        return None
    return _within(" ".join(_printable(value).split()), LONGEST_NAME) or None


def _notes(value: Any) -> Any:
    if value is None:
        return None
    return _within(_printable(value), 10_000) or None


def _moment(value: Any) -> Any:
    """A date or a date with a time, in ISO 8601; kept as the text that was given."""
    if value is None or value == "":
        return None
    text = _within(_printable(value), 40)
    try:
        date.fromisoformat(text)
    except ValueError:
        try:
            datetime.fromisoformat(text)
        except ValueError:
            raise PydanticCustomError(
                "moment", "Write a date as year-month-day, like 2026-11-25."
            ) from None
    return text


def _link(value: Any) -> Any:
    """An address on the web; other schemes could run something when they are followed."""
    if value is None or value == "":
        return None
    text = _within(_printable(value), 2000)
    if not re.fullmatch(r"https?://[^\s/?#]+[^\s]*", text, re.IGNORECASE):
        raise PydanticCustomError(
            "link", "Write the whole address of the page, beginning with https:// or http://."
        )
    return text


def _currency(value: Any) -> Any:
    if value is None or value == "":
        return None
    text = _printable(value).upper()
    if not re.fullmatch(r"[A-Z]{3}", text):
        raise PydanticCustomError("currency", "Write the currency as three letters, like EUR.")
    return text


Name = Annotated[str, BeforeValidator(_name), Field(min_length=1, max_length=LONGEST_NAME)]
Line = Annotated[str | None, BeforeValidator(_line)]
Notes = Annotated[str | None, BeforeValidator(_notes)]
Moment = Annotated[str | None, BeforeValidator(_moment)]
Link = Annotated[str | None, BeforeValidator(_link)]
Currency = Annotated[str | None, BeforeValidator(_currency)]
