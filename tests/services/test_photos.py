"""Photos of records, on both databases."""

from pathlib import Path

import pytest
import sqlalchemy as sa

from app.errors import BadInput, CannotUndo, NewerChange, NotFound
from app.records.change_queries import ChangeSearch, changes
from app.records.database import catalogue_revision, read_session, writing
from app.services import history, photos
from app.services.catalogue import findings, packs, slip_tests
from app.services.pictures import read_picture
from tests.factories import make_pack, make_slip_test
from tests.services.picture_samples import drawn
from tests.services.test_bench_nouns import make_finding


def one(shade: int = 0) -> object:
    return read_picture(drawn(colour=(shade, 0, 0)))


def records(database: sa.Engine) -> tuple[str, str]:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        test = slip_tests.add(session, make_slip_test(pack.id), by="a")
        return test.id, findings.add(session, make_finding(pack.id), by="a").id


def shown(database: sa.Engine, owner: photos.Owner, key: str) -> list[str]:
    with read_session(database) as session:
        return [row["public_id"] for row in photos.photos_of(session, owner, [key]).get(key, ())]


def test_a_photo_is_kept_apart_from_its_record_and_moves_no_board(database: sa.Engine) -> None:
    test, finding = records(database)
    with read_session(database) as session:
        before = catalogue_revision(session), slip_tests.get(session, test).version
    assert photos.add(database, "slip test", test, [one(), one(9)], "the stub", by="Ada") == 2
    assert photos.add(database, "finding", finding, [one()], None, by="Ada") == 1
    with read_session(database) as session:
        assert (catalogue_revision(session), slip_tests.get(session, test).version) == before
        rows = photos.photos_of(session, "slip test", [test])[test]
        assert [(r["caption"], r["added_by"], r["width"]) for r in rows] == [
            ("the stub", "Ada", 60)] * 2
        assert "picture" not in rows[0]
        data = photos.picture(session, rows[0]["public_id"], small=False)
        assert data == one().full  # type: ignore[attr-defined]  # a picture
        home = photos.home(session, photos.photos_of(session, "finding", [finding])[finding][0][
            "public_id"])
        assert (home["owner"], home["record"]) == ("finding", finding)


def test_the_same_photo_is_not_kept_twice(database: sa.Engine) -> None:
    test, finding = records(database)
    photos.add(database, "slip test", test, [one()], None, by="a")
    assert photos.add(database, "slip test", test, [one(), one()], "again", by="a") == 0
    assert photos.add(database, "finding", finding, [one()], None, by="a") == 1
    assert len(shown(database, "slip test", test)) == 1


def test_a_photo_is_put_aside_and_comes_back_with_its_history(database: sa.Engine) -> None:
    test, _ = records(database)
    photos.add(database, "slip test", test, [one()], None, by="Ada")
    (key,) = shown(database, "slip test", test)
    photos.put_aside(database, key, by="Ed")
    assert shown(database, "slip test", test) == []
    with read_session(database) as session, pytest.raises(NotFound):
        photos.picture(session, key, small=True)
    with pytest.raises(NotFound):
        photos.put_aside(database, key, by="Ed")
    photos.bring_back(database, key, by="Ada")
    with pytest.raises(NotFound):
        photos.bring_back(database, key, by="Ada")
    assert shown(database, "slip test", test) == [key]
    with read_session(database) as session:
        rows = changes(session, ChangeSearch(noun="photo", record=key), 10)
        name = slip_tests.get(session, test).name
    assert [(r["action"], r["by"], r["version"], r["name"]) for r in rows] == [
        ("bring back", "Ada", 3, f"of {name}"), ("put aside", "Ed", 2, f"of {name}"),
        ("add", "Ada", 1, f"of {name}")]
    assert rows[-1]["after"] == {"of": f"slip test {test}", "size": "60 × 40"}


def test_the_history_takes_a_photo_back_and_not_over_a_newer_step(database: sa.Engine) -> None:
    test, _ = records(database)
    photos.add(database, "slip test", test, [one()], None, by="Ada")
    (key,) = shown(database, "slip test", test)
    photos.put_aside(database, key, by="Ed")
    with read_session(database) as session:
        aside, added = changes(session, ChangeSearch(noun="photo", record=key), 10)
    with writing(database) as session, pytest.raises(NewerChange):
        history.undo(session, added["id"], by="Ed")
    with writing(database) as session:
        history.undo(session, aside["id"], by="Ed")
    assert shown(database, "slip test", test) == [key]
    with writing(database) as session, pytest.raises((NewerChange, CannotUndo)):
        history.undo(session, aside["id"], by="Ed")


def test_a_record_that_is_not_in_use_takes_none(database: sa.Engine) -> None:
    test, _ = records(database)
    with writing(database) as session:
        slip_tests.put_aside(session, test, 1, by="a")
    for key in (test, "nothing"):
        with pytest.raises(NotFound):
            photos.add(database, "slip test", key, [one()], None, by="a")


def test_a_record_has_room_for_so_many(database: sa.Engine) -> None:
    test, _ = records(database)
    most = photos.MOST_OF_ONE
    photos.add(database, "slip test", test, [one(10 * i) for i in range(most)], None, by="a")
    with pytest.raises(BadInput, match="Put some aside first"):
        photos.add(database, "slip test", test, [one(250)], None, by="a")
    gone = shown(database, "slip test", test)[0]
    photos.put_aside(database, gone, by="a")
    photos.add(database, "slip test", test, [one(250)], None, by="a")
    with pytest.raises(BadInput, match="Put another aside first"):
        photos.bring_back(database, gone, by="a")
    with pytest.raises(BadInput, match="200 characters"):
        photos.add(database, "slip test", test, [one(255)], "x" * 201, by="a")


def test_a_photo_is_taken_out_for_good_and_its_history_holds_no_picture(
    database: sa.Engine,
) -> None:
    test, _ = records(database)
    photos.add(database, "slip test", test, [one(), one(9)], "a person", by="Ada")
    key, other = shown(database, "slip test", test)
    with pytest.raises(NotFound):
        photos.take_out(database, key, 1, by="Ann")
    photos.put_aside(database, key, by="Ed")
    with pytest.raises(NewerChange):
        photos.take_out(database, key, 1, by="Ann")
    with read_session(database) as session:
        assert [row["public_id"] for row in photos.photos_aside(session)] == [key]
        assert photos.picture(session, key, small=False, aside=True)
        with pytest.raises(NotFound):
            photos.picture(session, other, small=True, aside=True)
    photos.take_out(database, key, 2, by="Ann")
    with database.connect() as connection:
        left = connection.execute(sa.text("SELECT public_id FROM photo")).scalars().all()
    assert left == [other]
    with read_session(database) as session:
        assert photos.photos_aside(session) == []
        gone, aside, _ = changes(session, ChangeSearch(noun="photo", record=key), 10)
        name = slip_tests.get(session, test).name
    assert (gone["by"], gone["name"], gone["version"]) == ("Ann", f"of {name}", 3)
    about = {"of": f"slip test {test}", "caption": "a person", "size": "60 × 40"}
    assert gone["before"] == about | {"picture": "put aside"}
    assert gone["after"] == about | {"picture": photos.GONE}
    assert not history.can_undo(gone)
    with pytest.raises(NotFound):
        photos.bring_back(database, key, by="Ed")
    with writing(database) as session, pytest.raises(NewerChange):
        history.undo(session, aside["id"], by="Ed")
    assert photos.add(database, "slip test", test, [one()], None, by="Ada") == 1


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
def test_sqlite_writes_over_the_place_of_a_picture_that_was_taken_out(
    database: sa.Engine,
) -> None:
    test, _ = records(database)
    photos.add(database, "slip test", test, [one()], None, by="Ada")
    (key,) = shown(database, "slip test", test)
    with read_session(database) as session:
        data = photos.picture(session, key, small=False)
    photos.put_aside(database, key, by="Ed")
    with database.connect() as connection:
        connection.execute(sa.text("PRAGMA wal_checkpoint(TRUNCATE)"))
    file = Path(str(database.url.database))
    assert data[100:200] in file.read_bytes()
    photos.take_out(database, key, 2, by="Ann")
    with database.connect() as connection:
        connection.execute(sa.text("PRAGMA wal_checkpoint(TRUNCATE)"))
    assert data[100:200] not in file.read_bytes()
