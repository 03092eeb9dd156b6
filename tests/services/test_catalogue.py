"""The catalogue on both databases: what is kept, what is refused, what the history says."""

import threading
from collections.abc import Callable
from typing import Any

import pytest
import sqlalchemy as sa

from app.documents import Disc, Engine, Facing, Load, Offer, Pack
from app.errors import BadInput, DuplicateName, InUse, NotFound, StaleRecord
from app.records.bookkeeping import Change
from app.records.database import catalogue_revision, read_session, write_session, writing
from app.records.listing import Search
from app.records.tables import METADATA
from app.services.catalogue import Catalogue, engines, facings, offers, packs
from app.services.stored import Context, Stored
from tests.factories import make_engine_document, make_pack, spring_group

NOUNS: list[tuple[Catalogue[Any], Callable[[str], Any]]] = [
    (packs, make_pack),
    (engines, make_engine_document),
    (facings, lambda name: Facing(name=name)),
    (offers, lambda name: Offer(name=name)),
]
each_noun = pytest.mark.parametrize(("nouns", "make"), NOUNS, ids=lambda x: getattr(x, "kind", ""))


def added(database: sa.Engine, document: Any, nouns: Catalogue[Any] = packs) -> Stored[Any]:
    with writing(database) as session:
        return nouns.add(session, document, by="ann")


def changed(database: sa.Engine, stored: Stored[Any], **update: Any) -> Stored[Any]:
    with writing(database) as session:
        document = type(stored.document).model_validate(stored.document.written() | update)
        return packs.change(session, stored.id, stored.version, document, by="bo")


def history(database: sa.Engine, record: str) -> list[Change]:
    with read_session(database) as session:
        query = sa.select(Change).where(sa.column("record") == record).order_by(sa.column("id"))
        return list(session.scalars(query))


@each_noun
def test_a_record_is_kept_changed_put_aside_and_brought_back(
    database: sa.Engine, nouns: Catalogue[Any], make: Callable[[str], Any]
) -> None:
    first = added(database, make("One"), nouns)
    assert (first.version, first.created_by, first.put_aside_at) == (1, "ann", None)
    with writing(database) as session:
        second = nouns.change(session, first.id, 1, make("Two"), by="bo")
    assert (second.version, second.name, second.changed_by) == (2, "Two", "bo")
    assert second.created_at == first.created_at
    with writing(database) as session:
        aside = nouns.put_aside(session, first.id, 2, by="cy")
    assert aside.put_aside_at is not None
    with read_session(database) as session:
        with pytest.raises(NotFound):
            nouns.get(session, first.id)
        assert [r.id for r in nouns.page(session, Search(put_aside=True)).records] == [first.id]
        assert nouns.get_many(session, [first.id]) == []
    with writing(database) as session:
        back = nouns.bring_back(session, first.id, by="ann")
    assert back.document == second.document
    assert back.version == 4
    assert [(c.action, c.by, c.version) for c in history(database, first.id)] == [
        ("add", "ann", 1),
        ("change", "bo", 2),
        ("put aside", "cy", 3),
        ("bring back", "ann", 4),
    ]


def test_the_usual_doubts_are_filled_in_and_marked_when_a_record_is_kept(
    database: sa.Engine,
) -> None:
    kept = added(database, make_pack()).document
    assert kept.facing_od_mm.plus_minus == 0.05
    assert kept.facing_od_mm.default_doubt
    assert kept.facing_od_mm.by == "Ann"
    assert kept.clamp.springs[0].installed_length_mm.default_doubt is False


def test_readings_without_a_tester_s_limit_get_the_usual_one(database: sa.Engine) -> None:
    points = [{"deflection_mm": 2, "force_n": 40}, {"deflection_mm": 4, "force_n": 81}]
    springs = [spring_group(load_points=points), spring_group(name="inner")]
    kept = added(database, make_pack(clamp={"kind": "coil", "springs": springs})).document
    assert [group.tester_limit for group in kept.clamp.springs] == [0.02, None]


def test_a_form_sent_twice_makes_one_record(database: sa.Engine) -> None:
    with writing(database) as session:
        one = packs.add(session, make_pack(), by="ann", submission_token="form")  # noqa: S106  # no secret
    with writing(database) as session:
        again = packs.add(session, make_pack("Other"), by="ann", submission_token="form")  # noqa: S106
    assert again == one
    with read_session(database) as session:
        assert packs.page(session).total == 1


def test_two_presses_at_one_moment_make_one_record(database: sa.Engine) -> None:
    start = threading.Barrier(2)
    ids: list[str] = []

    def press() -> None:
        start.wait()
        with writing(database) as session:
            made = packs.add(session, make_pack(), by="ann", submission_token="form")  # noqa: S106
        ids.append(made.id)

    threads = [threading.Thread(target=press) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(ids) == 2
    assert len(set(ids)) == 1


@each_noun
def test_a_name_in_use_is_refused_however_it_is_written(
    database: sa.Engine, nouns: Catalogue[Any], make: Callable[[str], Any]
) -> None:
    one = added(database, make("Tern 4"), nouns)
    two = added(database, make("Other"), nouns)
    with writing(database) as session, pytest.raises(DuplicateName, match="another name"):
        nouns.add(session, make("TERN  4"), by="ann")
    with writing(database) as session, pytest.raises(DuplicateName):
        nouns.change(session, two.id, two.version, make("tern 4"), by="ann")
    with writing(database) as session:
        nouns.put_aside(session, one.id, one.version, by="ann")
        nouns.add(session, make("Tern 4"), by="ann")
    with writing(database) as session, pytest.raises(DuplicateName):
        nouns.bring_back(session, one.id, by="ann")


def test_a_second_save_over_a_newer_version_is_refused_with_the_newer_one(
    database: sa.Engine,
) -> None:
    first = added(database, make_pack())
    changed(database, first, notes="bo was here")
    with writing(database) as session, pytest.raises(StaleRecord) as caught:
        packs.change(session, first.id, first.version, make_pack(notes="late"), by="ann")
    assert caught.value.sent_version == 1
    assert caught.value.current["version"] == 2
    assert caught.value.current["changed_by"] == "bo"
    assert caught.value.current["document"]["notes"] == "bo was here"  # type: ignore[index]  # a document
    with writing(database) as session, pytest.raises(StaleRecord):
        packs.put_aside(session, first.id, first.version, by="ann")


def test_a_save_is_refused_though_the_session_read_the_record_afresh(
    database: sa.Engine,
) -> None:
    """Each request reads the row anew, so the version column alone would let both saves win."""
    first = added(database, make_pack())
    changed(database, first, notes="bo")
    with writing(database) as session:
        assert packs.get(session, first.id).version == 2
        with pytest.raises(StaleRecord):
            packs.change(session, first.id, 1, make_pack(notes="ann"), by="ann")


def test_of_many_who_save_at_once_exactly_one_wins(database: sa.Engine) -> None:
    first = added(database, make_pack())
    start = threading.Barrier(4)
    outcomes: list[str] = []

    def save(who: str) -> None:
        start.wait()
        try:
            with writing(database) as session:
                packs.change(session, first.id, 1, make_pack(notes=who), by=who)
        except StaleRecord:
            outcomes.append("refused")
        else:
            outcomes.append(who)

    threads = [threading.Thread(target=save, args=(f"w{i}",)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    winners = [who for who in outcomes if who != "refused"]
    assert len(outcomes) == 4
    assert len(winners) == 1
    with read_session(database) as session:
        stored = packs.get(session, first.id)
    assert (stored.version, stored.document.notes) == (2, winners[0])


def test_a_change_that_changes_nothing_writes_nothing(database: sa.Engine) -> None:
    first = added(database, make_pack())
    with writing(database) as session:
        same = packs.change(session, first.id, 1, make_pack(), by="bo")
    assert same == first
    assert len(history(database, first.id)) == 1


def test_editing_a_figure_withdraws_the_check_and_editing_notes_does_not(
    database: sa.Engine,
) -> None:
    first = added(database, make_pack(checked={"by": "Bo", "at": "2026-11-25"}))
    noted = changed(database, first, notes="as new")
    assert noted.document.checked is not None
    edited = changed(database, noted, friction_plates=5)
    assert edited.document.checked is None
    again = changed(database, edited, friction_plates=6, checked={"by": "Cy"})
    assert again.document.checked.by == "Cy"


def test_another_kind_of_clamp_leaves_nothing_of_the_first_behind(database: sa.Engine) -> None:
    first = added(database, make_pack())
    disc = changed(database, first, clamp={"kind": "disc", "outside_mm": 80, "inside_mm": 40})
    assert isinstance(disc.document.clamp, Disc)
    load = changed(database, disc, clamp={"kind": "load", "force_n": 900})
    assert load.document.clamp == Load(kind="load", force_n=900)  # type: ignore[arg-type]  # a bare number
    with database.connect() as connection:
        row = connection.execute(sa.select(METADATA.tables["pack"])).mappings().one()
        assert row["disc_outside_mm"] is None
        spring = connection.execute(sa.select(METADATA.tables["spring"])).mappings().one()
    assert spring["pack_id"] is None
    assert spring["put_aside_at"] is not None


def test_springs_and_readings_are_added_changed_and_taken_off_in_place(
    database: sa.Engine,
) -> None:
    def coil(*groups: dict[str, Any]) -> dict[str, Any]:
        return {"kind": "coil", "springs": list(groups)}

    points = [{"deflection_mm": d, "force_n": 20 * d} for d in (1, 2, 3)]
    first = added(database, make_pack(clamp=coil(spring_group(load_points=points))))
    more = changed(
        database,
        first,
        clamp=coil(spring_group(load_points=points[:1], count=4), spring_group(name="inner")),
    )
    assert [group.count for group in more.document.clamp.springs] == [4, 6]
    assert len(more.document.clamp.springs[0].load_points) == 1
    fewer = changed(database, more, clamp=coil(spring_group(name="only")))
    assert [group.name for group in fewer.document.clamp.springs] == ["only"]
    with read_session(database) as session:
        assert packs.get(session, first.id) == fewer
    with database.connect() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM load_point").scalar_one() == 0


def test_the_history_holds_the_record_before_and_after(database: sa.Engine) -> None:
    first = added(database, make_pack())
    with writing(database) as session:
        context = Context(reason="measured again", request_id="r1", batch="b1")
        document = make_pack(friction_plates=5)
        second = packs.change(session, first.id, 1, document, by="bo", context=context)
    _, change = history(database, first.id)
    assert change.before == first.document.written()
    assert change.after == second.document.written()
    assert (change.reason, change.request_id, change.batch) == ("measured again", "r1", "b1")
    assert change.at.tzinfo is not None


def test_a_refused_change_leaves_no_trace(database: sa.Engine) -> None:
    first = added(database, make_pack())
    with read_session(database) as session:
        before = catalogue_revision(session)
    with write_session(database) as session:
        with pytest.raises(BadInput) as caught:
            packs.change(session, first.id, 1, make_pack(facing="moon dust"), by="bo")
        session.rollback()
    assert caught.value.problems[0].field == "facing"
    assert "paper" in caught.value.problems[0].message
    with read_session(database) as session:
        assert catalogue_revision(session) == before
        assert packs.get(session, first.id) == first


def test_a_facing_is_found_however_its_name_is_written(database: sa.Engine) -> None:
    kept = added(database, make_pack(facing="Cast-Iron or hard_steel"))
    assert kept.document.facing == "cast iron or hard steel"


def test_a_facing_that_packs_name_stays(database: sa.Engine) -> None:
    pack = added(database, make_pack(facing="paper"))
    with writing(database) as session:
        (paper,) = facings.page(session, Search(text="paper")).records
        with pytest.raises(InUse, match="Tern 4"):
            facings.put_aside(session, paper.id, paper.version, by="ann")
        packs.put_aside(session, pack.id, pack.version, by="ann")
        facings.put_aside(session, paper.id, paper.version, by="ann")
        back = packs.bring_back(session, pack.id, by="ann")
        kept = packs.change(
            session, back.id, back.version, make_pack(facing="paper", notes="n"), by="a"
        )
    assert kept.document.facing == "paper"


def test_an_offer_keeps_the_id_of_its_pack(database: sa.Engine) -> None:
    pack = added(database, make_pack())
    offer = added(database, Offer(name="Cheap", pack=pack.id), offers)
    assert offer.document.pack == pack.id
    with writing(database) as session, pytest.raises(BadInput) as caught:
        offers.add(session, Offer(name="Dear", pack="nobody"), by="ann")
    assert caught.value.problems[0].field == "pack"


def test_a_copy_gets_a_free_name_and_nobody_s_check(database: sa.Engine) -> None:
    first = added(database, make_pack(checked={"by": "Bo"}))
    with writing(database) as session:
        one = packs.add(session, packs.copy(session, first.id), by="ann")
        two = packs.copy(session, first.id)
    assert (one.name, two.name) == ("Tern 4 (copy)", "Tern 4 (copy 2)")
    assert one.document.checked is None
    assert one.document.clamp == first.document.clamp


def test_a_copy_of_a_long_name_still_fits(database: sa.Engine) -> None:
    first = added(database, make_pack("x" * 200))
    with writing(database) as session:
        copied = packs.add(session, packs.copy(session, first.id), by="ann")
    assert copied.name == "x" * 193 + " (copy)"


def test_pages_by_cursor_and_by_number_hold_the_same_records(database: sa.Engine) -> None:
    with writing(database) as session:
        for i in range(7):
            packs.add(
                session,
                make_pack(f"Pack {i}", mounting="crankshaft" if i % 2 else "geared"),
                by="a",
            )
    with read_session(database) as session:
        first = packs.after_cursor(session, limit=4)
        rest = packs.after_cursor(session, cursor=first.next_cursor, limit=4)
        assert rest.next_cursor is None
        names = [r.name for r in first.records + rest.records]
        assert names == [f"Pack {i}" for i in range(7)]
        page = packs.page(session, page=99, size=3)
        assert (page.page, page.pages, page.total) == (3, 3, 7)
        assert [r.name for r in page.records] == ["Pack 6"]
        crank = packs.page(session, Search(text="pack", filters={"mounting": "crankshaft"}))
        assert crank.total == 3
        ids = [r.id for r in reversed(page.records + first.records)]
        assert [r.id for r in packs.get_many(session, ids)] == ids


def test_a_page_takes_as_many_queries_for_fifty_records_as_for_two(database: sa.Engine) -> None:
    def queries(size: int) -> int:
        seen: list[str] = []

        def note(*args: Any) -> None:
            if not args[2].startswith(("BEGIN", "COMMIT", "ROLLBACK")):
                seen.append(args[2])

        sa.event.listen(database, "before_cursor_execute", note)
        with read_session(database) as session:
            found = packs.page(session, size=size)
        sa.event.remove(database, "before_cursor_execute", note)
        assert len(found.records) == size
        return len(seen)

    with writing(database) as session:
        for i in range(50):
            packs.add(session, make_pack(f"Pack {i}", facing="paper"), by="a")
    assert queries(2) == queries(50) <= 6


def test_what_is_not_there_is_told(database: sa.Engine) -> None:
    with writing(database) as session:
        with pytest.raises(NotFound):
            packs.get(session, "nobody")
        with pytest.raises(NotFound):
            packs.change(session, "nobody", 1, make_pack(), by="a")
        with pytest.raises(NotFound):
            engines.bring_back(session, "nobody", by="a")


def test_documents_of_only_a_name_are_kept(database: sa.Engine) -> None:
    assert added(database, Pack(name="x")).document == Pack(name="x")
    assert added(database, Engine(name="x"), engines).document == Engine(name="x")
