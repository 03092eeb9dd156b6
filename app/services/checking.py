"""A second person's look at a record's figures: noted, taken back, and found in the history."""

from typing import TypeVar

from sqlmodel import Session

from app.documents import Checked, Engine, Pack
from app.errors import BadInput, Problem
from app.records.base import Row, folded
from app.records.change_queries import ChangeSearch, changes
from app.records.database import WriteSession, raise_revision
from app.services.catalogue import Catalogue
from app.services.checked import NOT_FIGURES
from app.services.stored import Context, Stored

C = TypeVar("C", Pack, Engine)

_LOOKED_THROUGH = 200
"""Changes of a record, the newest first, among which its last check is sought."""


def withdrawal_of(session: Session, noun: str, record: str) -> Row | None:
    """The change that withdrew a record's last check, None where none was withdrawn since."""
    for row in changes(session, ChangeSearch(noun=noun, record=record), _LOOKED_THROUGH):
        before, after = row["before"] or {}, row["after"] or {}
        if after.get("checked"):
            return None
        if before.get("checked") and row["action"] == "change":
            return row
    return None


def last_figures_by(session: Session, noun: str, record: str) -> str:
    """Whose figures a record has: who changed them last, "" where nobody's name is known."""
    for row in changes(session, ChangeSearch(noun=noun, record=record), _LOOKED_THROUGH):
        before, after = dict(row["before"] or {}), dict(row["after"] or {})
        for name in NOT_FIGURES:
            before.pop(name, None)
            after.pop(name, None)
        if row["action"] in ("add", "change") and before != after:
            return str(row["by"])
    return ""


def check(
    session: WriteSession,
    catalogue: Catalogue[C],
    public_id: str,
    version: int,
    mark: Checked | None,
    *,
    by: str,
) -> Stored[C]:
    """Note that somebody looked a record's figures over, or (None) take that back.

    Raises:
        NotFound, StaleRecord: as `Catalogue.change`.
        BadInput: it was the same person who entered the figures last.
    """
    raise_revision(session)
    standing = catalogue.get(session, public_id)
    if mark is not None:
        own = last_figures_by(session, catalogue.noun.kind, public_id)
        if folded(mark.by) == folded(own):
            told = f"{own} entered these figures. Write the name of a second person."
            raise BadInput([Problem("checked_by", told)])
    document = standing.document.model_copy(update={"checked": mark})
    reason = "figures checked" if mark is not None else "check taken back"
    return catalogue.change(
        session, public_id, version, document, by=by, context=Context(reason=reason)
    )
