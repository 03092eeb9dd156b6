import sqlalchemy as sa
from sqlalchemy import event

from app.records.database import read_session, writing_apart
from app.records.photo_queries import (
    add_row,
    move_row,
    owner_row,
    photo_row,
    photo_rows,
    picture_of,
)
from tests.services.test_photos import records

ROW = {"public_id": "p", "version": 1, "added_by": "a", "width": 1, "height": 1, "digest": "d",
       "small": b"small one", "picture": b"large one"}


def test_lists_of_photos_never_read_the_pictures(database: sa.Engine) -> None:
    test, _ = records(database)
    asked: list[str] = []
    event.listen(database, "before_cursor_execute", lambda *a: asked.append(a[2]))
    with writing_apart(database) as connection:
        row = owner_row(connection, "slip test", test)
        assert row is not None
        add_row(connection, "slip test", row["id"], ROW)
    asked.clear()
    with read_session(database) as session:
        connection = session.connection()
        rows = photo_rows(connection, "slip test", [test])
        found = photo_row(connection, "p")
        assert not any("picture" in text or "photo.small" in text for text in asked)
        assert picture_of(connection, "p", small=True) == b"small one"
        assert picture_of(connection, "p", small=False) == b"large one"
        assert picture_of(connection, "q", small=False) is None
    assert [r["public_id"] for r in rows[test]] == ["p"]
    assert found is not None
    assert (found["owner"], found["record"]) == ("slip test", test)
    assert photo_rows(connection, "slip test", []) == {}


def test_a_photo_is_moved_from_the_version_that_was_read(database: sa.Engine) -> None:
    _, finding = records(database)
    with writing_apart(database) as connection:
        row = owner_row(connection, "finding", finding)
        assert row is not None
        add_row(connection, "finding", row["id"], ROW)
        assert move_row(connection, "p", 1, "Ed")
        assert not move_row(connection, "p", 1, "Ed")
        assert photo_rows(connection, "finding", [finding]) == {}
        assert picture_of(connection, "p", small=True) is None
        assert move_row(connection, "p", 2, None)
        assert len(photo_rows(connection, "finding", [finding])[finding]) == 1
