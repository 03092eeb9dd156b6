"""Every select and write on photos; the pictures themselves are read by one of them only."""

from collections import defaultdict
from collections.abc import Collection
from typing import Any, Literal

import sqlalchemy as sa

from app.records.base import Row, now, table_of
from app.records.bookkeeping import Change
from app.records.listing import columns
from app.records.photos import Photo
from app.records.slip_tests import Finding, SlipTest

Owner = Literal["slip test", "finding"]
"""What a photo is of, by the kind of the record."""

_PHOTO: sa.Table = table_of(Photo)
_CHANGE: sa.Table = table_of(Change)
_OWNER_KEY = {"slip test": _PHOTO.c.slip_test_id, "finding": _PHOTO.c.finding_id}
_RECORDS = {"slip test": columns(SlipTest), "finding": columns(Finding)}
_LIGHT = [c for c in _PHOTO.c if c.name not in ("small", "picture")]


def owner_row(connection: sa.Connection, owner: Owner, public_id: str) -> Row | None:
    """Key and name of a record in use that photos can be of."""
    table = _RECORDS[owner]
    query = sa.select(table.c.id, table.c.name, table.c.public_id)
    query = query.where(table.c.public_id == public_id, table.c.put_aside_at.is_(None))
    return connection.execute(query).mappings().first()


def photo_rows(
    connection: sa.Connection, owner: Owner, public_ids: Collection[str]
) -> dict[str, list[Row]]:
    """The photos in use of these records, by record, in the order in which they came."""
    found: dict[str, list[Row]] = defaultdict(list)
    if public_ids:
        records, key = _RECORDS[owner], _OWNER_KEY[owner]
        query = sa.select(*_LIGHT, records.c.public_id.label("record"))
        query = query.join(records, key == records.c.id).where(
            records.c.public_id.in_(list(public_ids)), _PHOTO.c.put_aside_at.is_(None)
        )
        for row in connection.execute(query.order_by(_PHOTO.c.id)).mappings():
            found[row["record"]].append(row)
    return found


def photo_row(connection: sa.Connection, public_id: str) -> Row | None:
    """A photo without its pictures, with the kind, id and name of its record."""
    query = _with_its_record().where(_PHOTO.c.public_id == public_id)
    return connection.execute(query).mappings().first()


def _with_its_record() -> sa.Select[Any]:
    test, finding = _RECORDS["slip test"], _RECORDS["finding"]
    return (
        sa.select(
            *_LIGHT,
            sa.case((_PHOTO.c.finding_id.is_(None), "slip test"), else_="finding").label("owner"),
            sa.func.coalesce(test.c.public_id, finding.c.public_id).label("record"),
            sa.func.coalesce(test.c.name, finding.c.name).label("name"),
        )
        .outerjoin(test, _PHOTO.c.slip_test_id == test.c.id)
        .outerjoin(finding, _PHOTO.c.finding_id == finding.c.id)
    )


def photos_aside(connection: sa.Connection, most: int) -> list[Row]:
    """Photos that were put aside, the last first, without their pictures."""
    query = _with_its_record().where(_PHOTO.c.put_aside_at.is_not(None))
    query = query.order_by(_PHOTO.c.put_aside_at.desc(), _PHOTO.c.id.desc()).limit(most)
    return list(connection.execute(query).mappings())


def picture_of(
    connection: sa.Connection, public_id: str, *, small: bool, aside: bool = False
) -> bytes | None:
    """The picture of a photo in use, or of one that was put aside, large or small."""
    column = _PHOTO.c.small if small else _PHOTO.c.picture
    at = _PHOTO.c.put_aside_at
    query = sa.select(column).where(
        _PHOTO.c.public_id == public_id, at.is_not(None) if aside else at.is_(None)
    )
    found = connection.execute(query).scalar()
    return None if found is None else bytes(found)


def add_row(connection: sa.Connection, owner: Owner, key: int, values: dict[str, Any]) -> None:
    """Write a new photo."""
    own = {_OWNER_KEY[owner].name: key}
    connection.execute(sa.insert(_PHOTO), [{**values, **own}])


def move_row(connection: sa.Connection, public_id: str, version: int, by: str | None) -> bool:
    """Put a photo aside by somebody, or with None bring it back; False where it was moved since."""
    moved = connection.execute(
        sa.update(_PHOTO)
        .where(_PHOTO.c.public_id == public_id, _PHOTO.c.version == version)
        .values(
            version=version + 1, put_aside_at=None if by is None else now(), put_aside_by=by
        )
    )
    return moved.rowcount == 1


def take_out_row(connection: sa.Connection, public_id: str, version: int) -> bool:
    """Take a photo out with its pictures; False where it was moved since."""
    if connection.dialect.name == "sqlite":
        # The place of the picture in the file is written over, not only given up.
        connection.exec_driver_sql("PRAGMA secure_delete = ON")
    gone = connection.execute(
        sa.delete(_PHOTO).where(_PHOTO.c.public_id == public_id, _PHOTO.c.version == version)
    )
    return gone.rowcount == 1


def remember(connection: sa.Connection, **change: Any) -> None:
    """Write what was done with a photo into the history."""
    connection.execute(sa.insert(_CHANGE), [{"noun": "photo", "at": now(), **change}])
