"""Every undo is a change of its own, and never goes over what somebody did since."""

from typing import Any

import pytest
import sqlalchemy as sa

from app.documents import Facing, Instrument, Offer
from app.errors import CannotUndo, DuplicateName, InUse, NewerChange, NotFound
from app.fields import DefaultDoubt
from app.records.bookkeeping import Change
from app.records.change_queries import ChangeSearch
from app.records.database import read_session, writing
from app.services import history, spring_sets, team_settings
from app.services.bulk import Wanted
from app.services.catalogue import engines, facings, instruments, offers, packs
from app.services.history import CATALOGUES, PER_PAGE, history_page, undo, undo_batch
from app.services.stored import Context, Stored
from tests.factories import make_engine_document, make_pack


def newest(database: sa.Engine, back: int = 0) -> Change:
    with read_session(database) as session:
        rows = session.scalars(sa.select(Change).order_by(Change.id.desc()).offset(back).limit(1))
        return rows.one()


def added(database: sa.Engine, document: Any = None) -> Stored[Any]:
    with writing(database) as session:
        return packs.add(session, document or make_pack(), by="ann")


def changed(database: sa.Engine, stored: Stored[Any], **update: Any) -> Stored[Any]:
    document = type(stored.document).model_validate(stored.document.written() | update)
    with writing(database) as session:
        return packs.change(session, stored.id, stored.version, document, by="bo")


def undone(database: sa.Engine, key: int | None) -> Any:
    with writing(database) as session:
        return undo(session, int(key or 0), by="cy")


def test_a_change_is_taken_back_by_a_change_of_its_own(database: sa.Engine) -> None:
    first = added(database)
    changed(database, first, lift_mm=2.5)
    change = newest(database)
    row = undone(database, change.id)
    with read_session(database) as session:
        now = packs.get(session, first.id)
    assert (now.document, now.version, now.changed_by) == (first.document, 3, "cy")
    assert (row["action"], row["by"], row["undoes"]) == ("change", "cy", change.id)
    assert (row["before"], row["after"]) == (change.after, change.before)
    assert newest(database).id == row["id"]


def test_an_undo_is_undone_like_any_change(database: sa.Engine) -> None:
    first = added(database)
    second = changed(database, first, lift_mm=2.5)
    row = undone(database, newest(database).id)
    undone(database, row["id"])
    with read_session(database) as session:
        assert packs.get(session, first.id).document == second.document


def test_what_was_put_aside_comes_back_and_what_was_added_goes(database: sa.Engine) -> None:
    stored = added(database)
    add = newest(database)
    with writing(database) as session:
        packs.put_aside(session, stored.id, 1, by="bo")
    aside = newest(database)
    row = undone(database, aside.id)
    assert (row["action"], row["undoes"]) == ("bring back", aside.id)
    again = undone(database, row["id"])
    assert (again["action"], again["undoes"]) == ("put aside", row["id"])
    with pytest.raises(NewerChange):
        undone(database, add.id)
    other = added(database, make_pack("Other"))
    undone(database, newest(database).id)
    with read_session(database) as session:
        assert packs.get(session, other.id, put_aside_too=True).put_aside_at is not None


def test_an_undo_over_a_newer_change_is_refused_and_names_it(database: sa.Engine) -> None:
    first = added(database)
    second = changed(database, first, lift_mm=2.5)
    older = newest(database)
    third = changed(database, second, friction_plates=7)
    with pytest.raises(NewerChange) as refused:
        undone(database, older.id)
    assert refused.value.newer == (newest(database).id,)
    with read_session(database) as session:
        assert packs.get(session, first.id) == third


def test_a_spring_that_moved_counts_as_a_newer_change(database: sa.Engine) -> None:
    first = added(database)
    changed(database, first, lift_mm=2.5)
    older = newest(database)
    with writing(database) as session:
        (spring,) = spring_sets.in_pack(session, first.id)
        spring_sets.move(session, spring.id, spring.version, to_pack=None, by="bo")
    with pytest.raises(NewerChange):
        undone(database, older.id)
    row = undone(database, newest(database).id)
    assert (row["action"], row["after"]) == ("move", {"pack": first.id})
    with read_session(database) as session:
        assert len(packs.get(session, first.id).document.clamp.springs) == 1


def test_settings_go_back_too(database: sa.Engine) -> None:
    doubts = [DefaultDoubt("length", "measured", 0.3, None, "ours")]
    with writing(database) as session:
        team_settings.set_limits(session, {"heavy": 4.0}, version=0, by="ann")
        team_settings.set_doubt_overrides(session, doubts, version=0, by="ann")
        team_settings.set_limits(session, {"heavy": 5.0}, version=1, by="ann")
    undone(database, newest(database).id)
    with read_session(database) as session:
        assert team_settings.limits(session)["heavy"] == 4.0
    undone(database, newest(database, 2).id)
    with read_session(database) as session:
        assert team_settings.doubt_overrides(session) == {}
    assert newest(database).undoes == newest(database, 3).id


def test_a_record_that_cannot_be_as_it_was_says_why(database: sa.Engine) -> None:
    first = added(database, make_pack("One"))
    changed(database, first, name="Two")
    rename = newest(database)
    added(database, make_pack("One"))
    with pytest.raises(DuplicateName):
        undone(database, rename.id)
    with writing(database) as session:
        facings.add(session, Facing(name="own paper"), by="ann")
        packs.add(session, make_pack("Three", facing="own paper"), by="ann")
    with pytest.raises(InUse):
        undone(database, newest(database, 1).id)


def test_an_undo_restores_the_check_of_the_figures_that_were_checked(database: sa.Engine) -> None:
    first = added(database, make_pack(checked={"by": "Bea", "at": "2026-11-25"}))
    assert changed(database, first, lift_mm=2.5).document.checked is None
    undone(database, newest(database).id)
    with read_session(database) as session:
        assert packs.get(session, first.id).document.checked.by == "Bea"


def test_what_is_not_there_or_has_no_way_back_is_refused(database: sa.Engine) -> None:
    with pytest.raises(NotFound):
        undone(database, 12345)
    with writing(database) as session:
        session.add(
            Change(by="a", action="change", noun="member", record="m", name="M", version=2)
        )
    assert not history.can_undo({"noun": "member", "action": "change"})
    with pytest.raises(CannotUndo):
        undone(database, newest(database).id)


def imported(database: sa.Engine) -> str:
    """An import of its own: two packs and an engine added, a pack changed."""
    stored = added(database, make_pack("Old"))
    context = Context(batch="b1", reason="import")
    document = make_pack("Old", lift_mm=2.5)
    with writing(database) as session:
        names = [make_pack("New 1"), make_pack("New 2")]
        packs.add_many(session, names, by="ann", context=context)
        engines.add_many(session, [make_engine_document()], by="ann", context=context)
        wanted = [Wanted(stored.id, 1, stored.document, document)]
        packs.change_many(session, wanted, by="ann", context=context)
    return "b1"


def in_use(database: sa.Engine) -> list[tuple[str, float]]:
    with read_session(database) as session:
        found = packs.page(session).records
        return [(s.name, s.document.lift_mm.value) for s in found]


def test_an_import_is_taken_back_as_a_whole_and_can_be_made_again(database: sa.Engine) -> None:
    batch = imported(database)
    assert in_use(database) == [("New 1", 1.2), ("New 2", 1.2), ("Old", 2.5)]
    with writing(database) as session:
        back = undo_batch(session, batch, by="cy")
    assert in_use(database) == [("Old", 1.2)]
    with read_session(database) as session:
        rows = history_page(session, ChangeSearch(batch=back), 1).changes
        assert {(r["action"], r["by"], r["undoes"] is not None) for r in rows} == {
            ("put aside", "cy", True), ("change", "cy", True),
        }  # fmt: skip
        done = history.batch_of(session, batch)
        assert sorted((r["noun"], r["action"], r["number"]) for r in done) == [
            ("engine", "add", 1), ("pack", "add", 2), ("pack", "change", 1),
        ]  # fmt: skip
        assert engines.page(session).total == 0
    with pytest.raises(NewerChange), writing(database) as session:
        undo_batch(session, batch, by="cy")
    with writing(database) as session:
        again = undo_batch(session, back, by="cy")
    assert in_use(database) == [("New 1", 1.2), ("New 2", 1.2), ("Old", 2.5)]
    with writing(database) as session:
        undo_batch(session, again, by="cy")
    assert in_use(database) == [("Old", 1.2)]


def test_an_import_one_of_whose_records_was_changed_since_stays_whole(database: sa.Engine) -> None:
    batch = imported(database)
    with writing(database) as session:
        (one,) = (s for s in packs.page(session).records if s.name == "New 2")
        packs.change(session, one.id, 1, make_pack("New 2", lift_mm=3), by="bo")
    with pytest.raises(NewerChange) as refused, writing(database) as session:
        undo_batch(session, batch, by="cy")
    assert refused.value.newer == (newest(database).id,)
    assert in_use(database) == [("New 1", 1.2), ("New 2", 3.0), ("Old", 2.5)]
    with pytest.raises(NotFound), writing(database) as session:
        undo_batch(session, "nothing", by="cy")


def test_kinds_that_are_not_written_in_bulk_go_back_as_well(database: sa.Engine) -> None:
    with writing(database) as session:
        made = [Instrument(name="gauge 1"), Instrument(name="gauge 2")]
        context = Context(batch="b2")
        ids = instruments.add_many(session, made, by="ann", context=context)
        before = instruments.get(session, ids[0])
        instruments.add(session, Instrument(name="gauge 3"), by="ann")
    with writing(database) as session:
        undo_batch(session, "b2", by="cy")
        assert [s.name for s in instruments.page(session).records] == ["gauge 3"]
    assert newest(database).undoes is not None
    assert before.version == 1


def test_the_history_is_found_by_kind_person_record_and_day(database: sa.Engine) -> None:
    first = added(database)
    changed(database, first, lift_mm=2.5)
    with writing(database) as session:
        offers.add(session, Offer(name="x"), by="di")
    with read_session(database) as session:
        every = history_page(session, ChangeSearch(), 1)
        assert [r["noun"] for r in every.changes[:3]] == ["offer", "pack", "pack"]
        at = every.changes[1]["at"]
        for search, count in (
            (ChangeSearch(noun="offer"), 1),
            (ChangeSearch(noun="pack", record=first.id), 2),
            (ChangeSearch(by="bo"), 1),
            (ChangeSearch(noun="pack", before=at), 1),
            (ChangeSearch(noun="pack", since=at), 1),
            (ChangeSearch(noun="engine"), 0),
        ):
            assert history_page(session, search, 1).total == count


def test_pages_of_the_history_hold_each_change_once(database: sa.Engine) -> None:
    count = PER_PAGE + 7
    with writing(database) as session:
        packs.add_many(session, [make_pack(f"P{i}") for i in range(count)], by="ann")
    with read_session(database) as session:
        search = ChangeSearch(noun="pack")
        pages = [history_page(session, search, n) for n in (1, 2, 99)]
    assert [len(p.changes) for p in pages] == [PER_PAGE, 7, 7]
    assert (pages[0].pages, pages[2].page) == (2, 2)
    keys = [r["id"] for p in pages[:2] for r in p.changes]
    assert keys == sorted(set(keys), reverse=True)


def test_every_kind_of_the_catalogue_has_a_way_back() -> None:
    assert {"pack", "engine", "offer", "facing", "slip test"} <= set(CATALOGUES)
