"""Photos of slip tests and findings: added, put aside, brought back, taken out for good.

Each step is in the history; what is taken out leaves its line there, and no picture.

They are no part of what is computed: adding one leaves the catalogue's revision alone, so no board
that was worked out is thrown away.
"""

from collections.abc import Collection, Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Engine
from sqlmodel import Session

from app.errors import BadInput, NewerChange, NotFound, Problem
from app.records import photo_queries as queries
from app.records.base import Row, now, public_id
from app.records.database import writing_apart
from app.records.photo_queries import Owner
from app.services.pictures import FIELD, Picture

MOST_OF_ONE = 12
"""Photos in use of one record."""

LONGEST_CAPTION = 200
GONE = "taken out for good"
"""What the history says of the picture of a photo that is gone."""

MOST_ASIDE = 200
"""Photos that the list of those put aside shows, the last first."""


def photos_of(session: Session, owner: Owner, ids: Collection[str]) -> dict[str, list[Row]]:
    """The photos in use of these records, without the pictures, by record."""
    return queries.photo_rows(session.connection(), owner, ids)


def photos_aside(session: Session) -> Sequence[Row]:
    """The photos that were put aside, the last first, each with its record."""
    return queries.photos_aside(session.connection(), MOST_ASIDE)


def picture(session: Session, key: str, *, small: bool, aside: bool = False) -> bytes:
    """The picture of a photo in use, or of one that was put aside, as JPEG.

    Raises:
        NotFound: there is none.
    """
    found = queries.picture_of(session.connection(), key, small=small, aside=aside)
    if found is None:
        raise NotFound("photo", key)
    return found


def home(session: Session, key: str) -> Row:
    """A photo with the record that it is of, in use or put aside.

    Raises:
        NotFound: there is none.
    """
    return _photo(session.connection(), key)


def add(
    engine: Engine, owner: Owner, record: str, pictures: Sequence[Picture], caption: str | None,
    *, by: str,
) -> int:
    """Keep photos of a record, all or none; how many are new.

    A picture that the record has already is not kept twice, as where a form is sent again.

    Raises:
        NotFound: there is no such record in use.
        BadInput: the record would have too many, or the caption is too long.
    """
    if caption is not None and len(caption) > LONGEST_CAPTION:
        told = f"Say it in {LONGEST_CAPTION} characters; this has {len(caption)}."
        raise BadInput([Problem("caption", told)])
    with writing_apart(engine) as connection:
        row = queries.owner_row(connection, owner, record)
        if row is None:
            raise NotFound(owner, record)
        standing = queries.photo_rows(connection, owner, [record])[record]
        known = {photo["digest"] for photo in standing}
        new = {one.digest: one for one in pictures if one.digest not in known}
        if len(standing) + len(new) > MOST_OF_ONE:
            told = (f"A record has room for {MOST_OF_ONE} photos, and {len(standing)} are there. "
                    "Put some aside first.")
            raise BadInput([Problem(FIELD, told)])
        for one in new.values():
            key = public_id()
            queries.add_row(connection, owner, row["id"], {
                "public_id": key, "version": 1, "added_at": now(), "added_by": by,
                "caption": caption, "width": one.width, "height": one.height,
                "digest": one.digest, "small": one.small, "picture": one.full,
            })
            about = _about(owner, record, caption, one.width, one.height)
            queries.remember(connection, action="add", record=key, name=f"of {row['name']}",
                             version=1, by=by, before=None, after=about)
    return len(new)


def put_aside(engine: Engine, key: str, *, by: str) -> Row:
    """Put a photo aside; the photo as it was.

    Raises:
        NotFound: there is no such photo in use.
    """
    with writing_apart(engine) as connection:
        return move(connection, key, aside=True, by=by)


def bring_back(engine: Engine, key: str, *, by: str) -> Row:
    """Bring a photo back that was put aside; the photo as it was.

    Raises:
        NotFound: there is none that was put aside.
        BadInput: its record has as many as it may have.
    """
    with writing_apart(engine) as connection:
        return move(connection, key, aside=False, by=by)


def take_out(engine: Engine, key: str, version: int, *, by: str) -> Row:
    """Take a photo that was put aside out for good; the photo as it was.

    Raises:
        NotFound: there is none that was put aside.
        NewerChange: it was moved since it was shown.
    """
    with writing_apart(engine) as connection:
        row = _photo(connection, key)
        if row["put_aside_at"] is None:
            raise NotFound("photo", key)
        if not queries.take_out_row(connection, key, version):
            raise NewerChange(f"photo of {row['name']}")
        about = _about(row["owner"], row["record"], row["caption"], row["width"], row["height"])
        queries.remember(
            connection, action="change", record=key, name=f"of {row['name']}",
            version=version + 1, by=by, before=about | {"picture": "put aside"},
            after=about | {"picture": GONE},
        )
    return row


def move(
    connection: sa.Connection, key: str, *, aside: bool, by: str, undoes: int | None = None,
    reason: str | None = None,
) -> Row:
    """Put a photo aside or bring it back, with its line in the history.

    Raises:
        NotFound: it is not there to be moved so.
        NewerChange: somebody else moved it at the same moment.
        BadInput: its record has as many as it may have.
    """
    row = _photo(connection, key)
    if (row["put_aside_at"] is not None) == aside:
        raise NotFound("photo", key)
    if not aside:
        standing = queries.photo_rows(connection, row["owner"], [row["record"]])[row["record"]]
        if len(standing) >= MOST_OF_ONE:
            told = f"The record has {MOST_OF_ONE} photos already. Put another aside first."
            raise BadInput([Problem(FIELD, told)])
    if not queries.move_row(connection, key, row["version"], by if aside else None):
        raise NewerChange(f"photo of {row['name']}")
    about = _about(row["owner"], row["record"], row["caption"], row["width"], row["height"])
    queries.remember(
        connection, action="put aside" if aside else "bring back", record=key,
        name=f"of {row['name']}", version=row["version"] + 1, by=by, undoes=undoes, reason=reason,
        before=about, after=None if aside else about,
    )
    return row


def _photo(connection: sa.Connection, key: str) -> Row:
    row = queries.photo_row(connection, key)
    if row is None:
        raise NotFound("photo", key)
    return row


def _about(
    owner: Owner, record: str, caption: str | None, width: int, height: int
) -> dict[str, Any]:
    """What the history keeps of a photo: everything but the picture."""
    told = {"of": f"{owner} {record}", "caption": caption, "size": f"{width} × {height}"}
    return {name: value for name, value in told.items() if value is not None}
