"""Passwords: what may be one, how it is kept, how it is checked.

Argon2id with 64 MiB, two passes, one lane: above three times the least memory that is advised
(19 MiB with two passes), about a tenth of a second on a small machine. One lane, since at most two
are worked out at once: that bounds the memory to 128 MiB whatever is thrown at the sign-in page.
A stored hash names its own settings, and is made anew at the next sign-in after they rise.
"""

import base64
import secrets
import threading
import unicodedata
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from app.records.base import folded

MEMORY_KIB = 64 * 1024
PASSES = 2
LANES = 1
AT_ONCE = 2

SHORTEST = 8
ADVISED = 15
LONGEST = 1000

_hasher = PasswordHasher(time_cost=PASSES, memory_cost=MEMORY_KIB, parallelism=LANES)
_turn = threading.BoundedSemaphore(AT_ONCE)


@cache
def common_passwords() -> frozenset[str]:
    """The passwords that are tried first: 30 000 by how often they were found in the open."""
    from zxcvbn.frequency_lists import FREQUENCY_LISTS  # here: most starts need no list

    return frozenset(FREQUENCY_LISTS["passwords"])


def password_problem(password: str, name: str) -> str | None:
    """Why this may not be the password of a member of this name, or None.

    Length is all that is asked for. Spaces and every sign count; nothing is cut off.
    """
    if len(password) < SHORTEST:
        return f"Write at least {SHORTEST} characters; {ADVISED} or more are better, such as words."
    if len(password) > LONGEST:
        return f"Write at most {LONGEST} characters."
    plain = folded(password)
    if plain in common_passwords() or password in common_passwords():
        return "Choose another: this one is among those that are tried first."
    bare = plain.replace(" ", "").strip("0123456789!?.-_")
    if len(set(plain)) < 4 or bare in ("gripledger", folded(name).replace(" ", "")):
        return "Choose another: this one is easily guessed."
    return None


def make_hash(password: str) -> str:
    """The hash that is kept of a password."""
    with _turn:
        return _hasher.hash(_one_form(password))


def matches(kept: str | None, password: str) -> bool:
    """Whether a password is the one that was hashed; it takes as long where there is none."""
    with _turn:
        try:
            _hasher.verify(_nobodys() if kept is None else kept, _one_form(password))
        except (VerificationError, InvalidHashError):
            return False
    return kept is not None


def is_outdated(kept: str) -> bool:
    """Whether a hash was made by other settings than today's."""
    return _hasher.check_needs_rehash(kept)


def _one_form(password: str) -> str:
    """An accent may come as one sign or as two, by keyboard; both are the same password.

    Half a surrogate pair, which no keyboard sends, becomes a sign that can be hashed.
    """
    text = unicodedata.normalize("NFC", password[: LONGEST + 1])
    return text.encode("utf-8", "replace").decode("utf-8")


@cache
def _nobodys() -> str:
    """A hash of no password, by today's settings, made without working one out."""

    def noise(size: int) -> str:
        return base64.b64encode(secrets.token_bytes(size)).rstrip(b"=").decode()

    settings = f"m={MEMORY_KIB},t={PASSES},p={LANES}"
    return f"$argon2id$v=19${settings}${noise(_hasher.salt_len)}${noise(_hasher.hash_len)}"
