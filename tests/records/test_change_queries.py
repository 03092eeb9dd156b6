import sqlalchemy as sa

from app.records import change_queries as queries
from app.records.bookkeeping import Change
from app.records.change_queries import ChangeSearch
from app.records.database import read_session, writing


def changes(database: sa.Engine) -> list[int]:
    shared = {"action": "change", "noun": "pack", "name": "P"}
    lines = [
        {"by": "ann", "record": "a", "batch": "one"},
        {"by": "bo", "record": "b", "batch": "one"},
        {"by": "ann", "record": "a", "batch": None, "undoes": 1},
        {"by": "cy", "record": "c", "batch": "two"},
    ]
    keys = []
    with writing(database) as session:
        for n, line in enumerate(lines):
            made = Change(**shared, **line, version=n + 1)
            session.add(made)
            session.flush()
            keys.append(int(made.id or 0))
    return keys


def test_changes_are_found_newest_first_and_counted(database: sa.Engine) -> None:
    keys = changes(database)
    with read_session(database) as session:
        mine = ChangeSearch(noun="pack", by="ann")
        assert queries.changes_found(session, mine) == 2
        assert [r["id"] for r in queries.changes(session, mine, 1)] == [keys[2]]
        assert [r["id"] for r in queries.changes(session, mine, 5, 1)] == [keys[0]]
        assert queries.change_row(session, keys[3])["record"] == "c"
        assert queries.change_row(session, 10**6) is None


def test_later_changes_of_a_record_and_of_an_import_are_found(database: sa.Engine) -> None:
    keys = changes(database)
    with read_session(database) as session:
        first = queries.change_row(session, keys[0])
        assert [r["id"] for r in queries.newer_changes(session, first)] == [keys[2]]
        assert [r["id"] for r in queries.newer_than_batch(session, "one")] == [keys[2]]
        assert queries.newer_than_batch(session, "two") == []
        assert [r["id"] for r in queries.changes_of_batch(session, "one")] == [keys[1], keys[0]]
        (total,) = queries.batch_totals(session, "one")
        assert (total["noun"], total["action"], total["number"]) == ("pack", "change", 2)


def test_who_took_what_back_is_known_and_who_changed_anything(database: sa.Engine) -> None:
    keys = changes(database)
    with read_session(database) as session:
        assert queries.undoing(session, [1, 2])[1]["id"] == keys[2]
        assert {"ann", "bo", "cy"} <= set(queries.people(session))
        assert "pack" in queries.kinds(session)
