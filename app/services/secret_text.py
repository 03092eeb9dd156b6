"""Secrets that are handed out once and kept as a digest: session ids, codes, tokens.

Each is random enough (above 120 bits) that a quick digest can't be turned back.
"""

import hashlib
import hmac
import re
import secrets

TOKEN_START = "gripledger_"  # noqa: S105  # the same in every token
"""What a script's token begins with, so that it is known for one where it should not be."""

_SIGNS = "23456789abcdefghjkmnpqrstuvwxyz"
_GROUPS, _GROUP = 5, 5


def new_session_id() -> str:
    """256 random bits for a cookie."""
    return secrets.token_urlsafe(32)


def new_token() -> str:
    """256 random bits for a script, with a beginning that says what it is."""
    return TOKEN_START + secrets.token_urlsafe(32)


def new_code() -> str:
    """A code to type from a screen or a slip of paper: five groups of five signs, 123 bits."""
    signs = ("".join(secrets.choice(_SIGNS) for _ in range(_GROUP)) for _ in range(_GROUPS))
    return "-".join(signs)


def plain_code(typed: str) -> str:
    """A code as it was made, from one that was typed with other spaces, dashes or capitals.

    >>> plain_code(" ABCDE fghjk")
    'abcde-fghjk'
    """
    signs = re.sub(r"[\s-]", "", typed[:200].casefold())
    return "-".join(signs[i : i + _GROUP] for i in range(0, len(signs), _GROUP))


def digest(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()


def form_token(session_id: str) -> str:
    """The token of every form in a session: bound to its id, which it does not give away."""
    return hmac.new(session_id.encode(), b"form", hashlib.sha256).hexdigest()


def same(one: str, other: str) -> bool:
    """Whether two secrets are one, in a time that does not tell where they differ."""
    return hmac.compare_digest(one.encode("utf-8", "replace"), other.encode("utf-8", "replace"))
