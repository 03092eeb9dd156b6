"""Many at once leave what one by one would have left."""

from typing import Any

import pytest
import sqlalchemy as sa

from app.documents import Facing, Offer
from app.errors import BadInput, DuplicateName, NotFound, StaleRecord
from app.records.bookkeeping import Change
from app.records.database import catalogue_revision, read_session, writing
from app.records.listing import Search
from app.services import spring_sets
from app.services.bulk import BLOCK, Moved, Wanted, blocks
from app.services.catalogue import Catalogue, engines, facings, offers, packs
from app.services.stored import Context, Stored
from tests.factories import make_engine_document, make_pack, spring_group

POINTS = [{"deflection_mm": 2, "force_n": 40.5}, {"deflection_mm": 4, "force_n": 81.25}]
CLAMP = {"kind": "coil", "springs": [spring_group(load_points=POINTS), spring_group(name="in")]}


def wanted(stored: Stored[Any], **update: Any) -> Wanted[Any]:
    document = type(stored.document).model_validate(stored.document.written() | update)
    return Wanted(stored.id, stored.version, stored.document, document)


def history(database: sa.Engine) -> list[Change]:
    with read_session(database) as session:
        return list(session.scalars(sa.select(Change).order_by(Change.id)))


@pytest.mark.parametrize(
    ("nouns", "make"),
    [
        (packs, lambda name: make_pack(name, clamp=CLAMP, facing="own paper")),
        (packs, lambda name: make_pack(name, clamp=None, friction=None)),
        (engines, make_engine_document),
        (offers, lambda name: Offer(name=name, price=12.5, currency="EUR")),
        (facings, lambda name: Facing(name=name)),
    ],
)
def test_many_records_are_kept_as_one_by_one(
    database: sa.Engine, nouns: Catalogue[Any], make: Any
) -> None:
    with writing(database) as session:
        facings.add(session, Facing(name="own paper"), by="ann")
        one = nouns.add(session, make("One"), by="ann")
        ids = nouns.add_many(
            session, [make("Two"), make("Three")], by="ann", context=Context(batch="b")
        )
    with read_session(database) as session:
        two, three = nouns.get_many(session, ids)
    assert (two.name, three.name) == ("Two", "Three")
    assert (two.version, two.created_by, two.put_aside_at) == (1, "ann", None)
    same = {"name": "One"}
    assert two.document.model_copy(update=same) == one.document.model_copy(update=same)
    first, second, third = history(database)[-3:]
    assert second.after == {**first.after, "name": "Two"}
    assert [(c.action, c.noun, c.record, c.version, c.batch) for c in (second, third)] == [
        ("add", nouns.noun.kind, ids[0], 1, "b"),
        ("add", nouns.noun.kind, ids[1], 1, "b"),
    ]


def test_springs_of_many_packs_can_be_moved_like_any(database: sa.Engine) -> None:
    with writing(database) as session:
        (key,) = packs.add_many(session, [make_pack(clamp=CLAMP)], by="ann")
    with writing(database) as session:
        first, second = spring_sets.in_pack(session, key)
        assert first.document.load_points[1].force_n == 81.25
        assert second.document.name == "in"
        spring_sets.move(session, second.id, 1, to_pack=None, by="bo")
    with read_session(database) as session:
        assert len(packs.get(session, key).document.clamp.springs) == 1


@pytest.mark.parametrize("count", [3, BLOCK + 3])
def test_many_are_changed_and_their_check_is_withdrawn(database: sa.Engine, count: int) -> None:
    made = [
        make_pack(f"Pack {i}", clamp=CLAMP, checked={"by": "Bea", "at": "2026-11-25"})
        for i in range(count)
    ]
    with writing(database) as session:
        ids = packs.add_many(session, made, by="ann")
        before = packs.get_many(session, ids)
    less = {"kind": "coil", "springs": [spring_group(count=5)]}
    dry = {"dry": {"static": 0.3}}
    with writing(database) as session:
        packs.change_many(
            session, [wanted(s, clamp=less, friction=dry) for s in before[1:]], by="bo"
        )
    with read_session(database) as session:
        after = packs.get_many(session, ids)
    assert after[0] == before[0]
    for stored in after[1:]:
        assert (stored.version, stored.changed_by, stored.document.checked) == (2, "bo", None)
        assert [group.count for group in stored.document.clamp.springs] == [5]
        assert stored.document.friction.oiled is None
        assert stored.document.friction.dry.static.value == 0.3
    last = history(database)[-1]
    assert (last.action, last.version, last.record) == ("change", 2, ids[-1])
    assert last.before == before[-1].document.written()
    assert last.after == after[-1].document.written()


def test_many_are_put_aside_and_brought_back(database: sa.Engine) -> None:
    with writing(database) as session:
        ids = engines.add_many(session, [make_engine_document(n) for n in "abc"], by="ann")
        stored = engines.get_many(session, ids[:2])
    with writing(database) as session:
        away = [Moved(s.id, s.version, s.name, s.document.written()) for s in stored]
        engines.move_many(session, away, aside=True, by="bo")
    with read_session(database) as session:
        assert [s.name for s in engines.page(session).records] == ["c"]
        gone = engines.page(session, Search(put_aside=True)).records
        assert [(s.name, s.version, s.changed_by) for s in gone] == [("a", 2, "bo"), ("b", 2, "bo")]
    with writing(database) as session:
        back = [Moved(s.id, s.version, s.name, s.document.written()) for s in gone]
        engines.move_many(session, back, aside=False, by="cy")
    with read_session(database) as session:
        assert engines.page(session).total == 3
    assert [(c.action, c.version) for c in history(database)[-4:]] == [
        ("put aside", 2), ("put aside", 2), ("bring back", 3), ("bring back", 3),
    ]  # fmt: skip


def test_two_of_one_name_are_refused_and_nothing_is_kept(database: sa.Engine) -> None:
    with writing(database) as session:
        packs.add(session, make_pack("One"), by="ann")
    for names in (["Two", "two"], ["Three", " ONE"]):
        with pytest.raises(DuplicateName), writing(database) as session:
            packs.add_many(session, [make_pack(n) for n in names], by="ann")
    with read_session(database) as session:
        assert [s.name for s in packs.page(session).records] == ["One"]


def test_a_record_that_somebody_saved_since_stops_them_all(database: sa.Engine) -> None:
    with writing(database) as session:
        ids = packs.add_many(session, [make_pack("a"), make_pack("b")], by="ann")
        one, two = packs.get_many(session, ids)
        packs.change(session, two.id, 1, make_pack("b", friction_plates=7), by="bo")
    with pytest.raises(StaleRecord), writing(database) as session:
        packs.change_many(session, [wanted(one, lift_mm=2), wanted(two, lift_mm=2)], by="ann")
    with pytest.raises(NotFound), writing(database) as session:
        packs.move_many(session, [Moved(one.id, 1, "a", {})], aside=False, by="ann")
    with read_session(database) as session:
        assert [s.version for s in packs.get_many(session, ids)] == [1, 2]


def test_what_is_not_there_is_named_with_its_place(database: sa.Engine) -> None:
    with pytest.raises(BadInput) as refused, writing(database) as session:
        packs.add_many(session, [make_pack("a"), make_pack("b", facing="cheese")], by="ann")
    assert refused.value.problems[0].field == "1.facing"
    with pytest.raises(BadInput) as refused, writing(database) as session:
        offers.add_many(session, [Offer(name="x", pack="nothing")], by="ann")
    assert refused.value.problems[0].field == "0.pack"


def test_a_pack_keeps_a_facing_that_was_put_aside(database: sa.Engine) -> None:
    with writing(database) as session:
        paper = facings.add(session, Facing(name="own paper"), by="ann")
        stored = packs.add(session, make_pack(facing="own paper"), by="ann")
        packs.put_aside(session, stored.id, 1, by="ann")
        facings.put_aside(session, paper.id, 1, by="ann")
        stored = packs.bring_back(session, stored.id, by="ann")
        packs.change_many(session, [wanted(stored, lift_mm=2)], by="ann")
        assert packs.get(session, stored.id).document.facing == "own paper"


def test_they_count_as_one_change_of_the_catalogue(database: sa.Engine) -> None:
    with read_session(database) as session:
        before = catalogue_revision(session)
    with writing(database) as session:
        packs.add_many(session, [make_pack("a"), make_pack("b")], by="ann")
    with read_session(database) as session:
        assert catalogue_revision(session) == before + 1


def test_blocks_hold_every_item_once() -> None:
    assert [list(b) for b in blocks([1, 2, 3, 4, 5], 2)] == [[1, 2], [3, 4], [5]]
