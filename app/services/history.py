"""Who changed what, and taking changes back: one, or all of an import. Each undo is a change."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from app.documents import Document
from app.errors import CannotUndo, NewerChange, NotFound, StaleRecord
from app.records import change_queries as queries
from app.records import listing
from app.records.base import Row, public_id
from app.records.change_queries import ChangeSearch
from app.records.database import WriteSession, raise_revision
from app.services import catalogue as kept
from app.services import photos, spring_sets, team_settings
from app.services.bulk import Moved, Wanted
from app.services.catalogue import Catalogue
from app.services.stored import Context

PER_PAGE = 50

CATALOGUES: dict[str, Catalogue[Any]] = {
    catalogue.noun.kind: catalogue
    for catalogue in vars(kept).values()
    if isinstance(catalogue, Catalogue)
}
"""Every catalogue by the kind of its records."""


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """One page of changes, the newest first; `undone` has who took a change back, by its key."""

    changes: Sequence[Row]
    undone: dict[int, Row]
    page: int
    pages: int
    total: int


def names_of(
    session: Session, ids: Mapping[str, Collection[str]]
) -> dict[tuple[str, str], tuple[str, bool]]:
    """Name of each record, and whether it is put aside, by kind and id; one query for a kind."""
    return {
        (kind, key): found
        for kind, wanted in ids.items()
        if wanted
        for key, found in listing.names_by_public_id(
            session, CATALOGUES[kind].noun.table, wanted
        ).items()
    }


def history_page(session: Session, search: ChangeSearch, page: int) -> HistoryPage:
    """One page of what a search finds; a number beyond the last gives the last."""
    total = queries.changes_found(session, search)
    pages = max(1, -(-total // PER_PAGE))
    page = max(1, min(page, pages))
    rows = queries.changes(session, search, PER_PAGE, (page - 1) * PER_PAGE)
    return HistoryPage(rows, queries.undoing(session, [r["id"] for r in rows]), page, pages, total)


def change_of(session: Session, key: int) -> Row:
    """One change.

    Raises:
        NotFound: there is none with this key.
    """
    row = queries.change_row(session, key)
    if row is None:
        raise NotFound("change", key)
    return row


def can_undo(change: Row) -> bool:
    """Whether changes of this kind have a way back."""
    if change["noun"] == "setting":
        return str(change["action"]) == "set"
    if change["noun"] == "spring set":
        return str(change["action"]) == "move"
    if change["noun"] == "photo":
        # Its one change is to be taken out for good.
        return str(change["action"]) != "change"
    return change["noun"] in CATALOGUES


def undo(session: WriteSession, key: int, *, by: str) -> Row:
    """Take one change back; the new change that does it.

    What was added is put aside, what was put aside comes back, and a changed document becomes what
    it was before.

    Raises:
        NotFound: there is no such change.
        CannotUndo: it is of a kind without a way back.
        NewerChange: the record was changed since.
        DuplicateName, BadInput, InUse: the record can't be as it was before.
    """
    raise_revision(session)
    change = change_of(session, key)
    if not can_undo(change):
        raise CannotUndo("A change of this kind can't be taken back here.")
    newer = [row["id"] for row in queries.newer_changes(session, change)]
    if newer:
        raise NewerChange(change["name"], newer)
    context = Context(reason=f"undo of {change['action']}", undoes=key)
    try:
        _take_back(session, change, by, context)
    except StaleRecord as fact:
        raise NewerChange(change["name"]) from fact
    made = queries.undoing(session, [key]).get(key)
    return change if made is None else change_of(session, made["id"])


def _take_back(session: WriteSession, change: Row, by: str, context: Context) -> None:
    record, version, before = change["record"], change["version"], change["before"]
    if change["noun"] == "setting":
        value = type(change["after"]["value"])() if before is None else before["value"]
        team_settings.put_back(session, record, value, version=version, by=by, context=context)
        return
    if change["noun"] == "spring set":
        spring_sets.move(session, record, version, to_pack=before["pack"], by=by, context=context)
        return
    if change["noun"] == "photo":
        aside = change["action"] != "put aside"
        photos.move(session.connection(), record, aside=aside, by=by, undoes=context.undoes,
                    reason=context.reason)
        return
    catalogue = CATALOGUES[change["noun"]]
    if change["action"] == "put aside":
        catalogue.bring_back(session, record, by=by, context=context)
    elif change["action"] == "change":
        document = catalogue.noun.model.model_validate(before)
        catalogue.change(session, record, version, document, by=by, context=context)
    else:
        catalogue.put_aside(session, record, version, by=by, context=context)


def undo_batch(session: WriteSession, batch: str, *, by: str) -> str:
    """Take an import back as a whole; the batch of the changes that do it.

    Raises:
        NotFound: there is no such import.
        CannotUndo: it is taken back already, or is of a kind without a way back.
        NewerChange: one of its records was changed since.
    """
    raise_revision(session)
    rows = queries.changes_of_batch(session, batch)
    if not rows:
        raise NotFound("import", batch)
    newer = queries.newer_than_batch(session, batch)
    if newer:
        raise NewerChange(newer[0]["name"], [row["id"] for row in newer])
    by_kind: dict[str, list[Row]] = {}
    for row in rows:
        by_kind.setdefault(row["noun"], []).append(row)
    lost = set(by_kind) - set(CATALOGUES)
    if lost:
        raise CannotUndo(f"An import of {', '.join(sorted(lost))} can't be taken back here.")
    context = Context(reason="undo of an import", batch=public_id())
    try:
        # Offers go before their packs come back or go: the later kinds were written later.
        for kind, own in by_kind.items():
            _take_back_many(session, CATALOGUES[kind], own, by, context)
    except (StaleRecord, NotFound) as fact:
        raise NewerChange(rows[0]["name"]) from fact
    return str(context.batch)


def _take_back_many(
    session: WriteSession, catalogue: Catalogue[Any], rows: Sequence[Row], by: str, context: Context
) -> None:
    model: type[Document] = catalogue.noun.model
    changed = [
        Wanted(
            row["record"],
            row["version"],
            model.model_validate(row["after"]),
            model.model_validate(row["before"]),
            row["id"],
        )
        for row in rows
        if row["action"] == "change"
    ]
    if changed:
        catalogue.change_many(session, changed, by=by, context=context)
    for actions, aside in ((("add", "bring back"), True), (("put aside",), False)):
        moved = [
            Moved(
                row["record"],
                row["version"],
                row["name"],
                row["after"] if aside else row["before"],
                row["id"],
            )
            for row in rows
            if row["action"] in actions
        ]
        if moved:
            catalogue.move_many(session, moved, aside=aside, by=by, context=context)


def batch_of(session: Session, batch: str) -> Sequence[Row]:
    """What an import did, counted by kind and action.

    Raises:
        NotFound: there is no such import.
    """
    totals = queries.batch_totals(session, batch)
    if not totals:
        raise NotFound("import", batch)
    return totals
