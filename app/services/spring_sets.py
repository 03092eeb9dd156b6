"""Spring sets that move from pack to pack, or lie on the shelf."""

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from app.documents import SpringGroup
from app.errors import BadInput, NotFound, Problem, StaleRecord
from app.records.base import now
from app.records.bookkeeping import Change
from app.records.database import WriteSession, raise_revision
from app.records.pack_queries import pack_object, spring_object, spring_points, spring_rows
from app.records.pack_rows import spring_document
from app.services.stored import NO_CONTEXT, Context


@dataclass(frozen=True, slots=True)
class SpringSet:
    """A set with its id and version, and the pack that it is in, None for the shelf."""

    id: str
    version: int
    document: SpringGroup
    pack_id: str | None
    pack_name: str | None


def on_shelf(session: Session) -> list[SpringSet]:
    """Sets in use that are in no pack."""
    return _sets(session, spring_rows(session, None))


def in_pack(session: Session, pack_id: str) -> list[SpringSet]:
    """Sets of one pack, in their order."""
    return _sets(session, spring_rows(session, pack_id))


def _sets(session: Session, rows: Any) -> list[SpringSet]:
    points = spring_points(session, [row["id"] for row in rows])
    return [
        SpringSet(
            id=row["public_id"],
            version=row["version"],
            document=spring_document(row, points.get(row["id"], ())),
            pack_id=row["pack_public_id"],
            pack_name=row["pack_name"],
        )
        for row in rows
    ]


def move(
    session: WriteSession,
    spring_id: str,
    version: int,
    *,
    to_pack: str | None,
    by: str,
    context: Context = NO_CONTEXT,
) -> None:
    """Move a set to another pack's end, or to the shelf; both packs count as changed.

    Raises:
        NotFound: the set or the pack is not there.
        StaleRecord: somebody changed the set since `version`.
        BadInput: the pack is not clamped by coil springs.
    """
    raise_revision(session)
    spring: Any = spring_object(session, spring_id)
    if spring is None or spring.put_aside_at is not None:
        raise NotFound("spring set", spring_id)
    if spring.version != version:
        raise StaleRecord("spring set", spring_id, version, {"version": spring.version})
    source: Any = None if spring.pack is None else pack_object(session, spring.pack.public_id)
    target: Any = None
    if to_pack is not None:
        target = pack_object(session, to_pack)
        if target is None or target.put_aside_at is not None:
            raise NotFound("pack", to_pack)
        if target.clamp_kind not in (None, "coil"):
            told = "Choose a pack that is clamped by coil springs."
            raise BadInput([Problem("to_pack", told)])
        target.clamp_kind = "coil"
    before = {"pack": None if source is None else source.public_id}
    if source is not None:
        source.springs.remove(spring)
    if target is not None:
        spring.position = len(target.springs)
        target.springs.append(spring)
    for row in {id(r): r for r in (source, target, spring) if r is not None}.values():
        row.changed_at, row.changed_by = now(), by
    for pack in (source, target):
        if pack is not None:
            pack.checked_by = pack.checked_at = None
    session.flush()
    for row in (source, target):
        if row is not None:
            for i, fitted in enumerate(row.springs):
                fitted.position = i
    session.add(
        Change(
            by=by,
            action="move",
            noun="spring set",
            record=spring_id,
            name=spring.name or "",
            version=spring.version,
            before=before,
            after={"pack": to_pack},
            reason=context.reason,
            undoes=context.undoes,
        )
    )
    session.flush()
