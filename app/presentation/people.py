"""People as their pages show them: roles in words, sessions, tokens, members."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any

ROLE_WORDS: Mapping[str, str] = MappingProxyType(
    {"viewer": "Viewer", "editor": "Editor", "admin": "Administrator"}
)
ROLE_OPTIONS = (
    ("viewer", "Viewer: reads everything, changes nothing"),
    ("editor", "Editor: records and changes packs, engines, tests"),
    ("admin", "Administrator: besides that, people and settings"),
)

_BROWSERS = (
    ("Edg", "Edge"),
    ("OPR", "Opera"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("CriOS", "Chrome"),
    ("Chrome", "Chrome"),
    ("Safari", "Safari"),
)
_SYSTEMS = (
    ("Android", "Android"),
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Windows", "Windows"),
    ("Mac OS X", "Mac"),
    ("CrOS", "ChromeOS"),
    ("Linux", "Linux"),
)


def browser_words(user_agent: str) -> str:
    """What a browser calls itself, in two words; all that is kept of it.

    >>> browser_words("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0")
    'Firefox on Linux'
    """
    text = user_agent[:1000]
    browser = next((word for mark, word in _BROWSERS if mark in text), "")
    system = next((word for mark, word in _SYSTEMS if mark in text), "")
    if browser and system:
        return f"{browser} on {system}"
    return browser or system or "A browser that does not say its name"


def time_words(at: datetime | None) -> str:
    """A time to the minute, in UTC."""
    return "never" if at is None else f"{at:%Y-%m-%d %H:%M} UTC"


@dataclass(frozen=True)
class SessionLine:
    """One session in a list."""

    key: str
    browser: str
    address: str
    begun: str
    seen: str
    ends: str
    is_this: bool


@dataclass(frozen=True)
class TokenLine:
    """One token in a list."""

    key: str
    name: str
    made: str
    used: str


@dataclass(frozen=True)
class MemberLine:
    """One member in a list."""

    key: str
    name: str
    role: str
    state: str
    changed: str


def session_lines(rows: Sequence[Mapping[str, Any]], this: str) -> tuple[SessionLine, ...]:
    """Sessions as a list shows them; `this` is the one that asks."""
    return tuple(
        SessionLine(
            key=row["public_id"],
            browser=row["browser"],
            address=row["address"],
            begun=time_words(row["created_at"]),
            seen=time_words(row["last_seen_at"]),
            ends=time_words(row["ends_at"]),
            is_this=row["public_id"] == this,
        )
        for row in rows
    )


def token_lines(rows: Sequence[Mapping[str, Any]]) -> tuple[TokenLine, ...]:
    """Tokens as a list shows them."""
    return tuple(
        TokenLine(
            key=row["public_id"],
            name=row["name"],
            made=time_words(row["created_at"]),
            used=time_words(row["last_used_at"]),
        )
        for row in rows
    )


def state_words(disabled: bool, has_password: bool) -> str:
    """What a member can do just now."""
    if disabled:
        return "Disabled"
    return "Can sign in" if has_password else "Has no password yet"
