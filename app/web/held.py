"""What a page shows at an address, held ready while the catalogue stands still."""

from collections.abc import Callable
from typing import TypeVar

from sqlmodel import Session
from starlette.requests import Request

from app.services.standing import standing

V = TypeVar("V")


def held(request: Request, session: Session, make: Callable[[], V]) -> V:
    """What was made for this path and query at this revision of the catalogue, or made now.

    Only for what depends on nothing else: not on who asks, nor on the time, nor on what is kept
    without raising the revision (backups, imported files, kept verdicts, members' sessions).

    Args:
        request: its path and query are the address.
        session: the reading one.
        make: makes what the page shows.
    """
    pages = standing(session).pages
    address = (request.url.path, request.url.query)
    found: V | None = pages.get(address)
    if found is None:
        found = make()
        pages.put(address, found)
    return found
