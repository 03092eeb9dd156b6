import pytest
import sqlalchemy as sa

from app.errors import BadInput, NotFound, StaleRecord
from app.records.database import read_session, writing
from app.services.catalogue import packs
from app.services.spring_sets import in_pack, move, on_shelf
from app.services.stored import Stored
from tests.factories import make_pack, spring_group


@pytest.fixture
def two_packs(database: sa.Engine) -> tuple[Stored, Stored]:  # type: ignore[type-arg]  # packs
    points = [{"deflection_mm": 1, "force_n": 20}]
    springs = [spring_group(name="outer", load_points=points), spring_group(name="inner")]
    clamp = {"kind": "coil", "springs": springs}
    with writing(database) as session:
        first = packs.add(session, make_pack("One", clamp=clamp, checked={"by": "Bo"}), by="a")
        return first, packs.add(session, make_pack("Two", clamp=None), by="a")


def test_a_set_moves_to_the_shelf_and_into_another_pack(
    database: sa.Engine,
    two_packs: tuple[Stored, Stored],  # type: ignore[type-arg]  # packs
) -> None:
    one, two = two_packs
    with writing(database) as session:
        outer, inner = in_pack(session, one.id)
        assert (outer.document.name, outer.pack_id, outer.pack_name) == ("outer", one.id, "One")
        move(session, outer.id, outer.version, to_pack=None, by="bo")
    with writing(database) as session:
        (lying,) = on_shelf(session)
        assert (lying.id, lying.pack_id) == (outer.id, None)
        assert lying.document == outer.document
        move(session, lying.id, lying.version, to_pack=two.id, by="bo")
    with read_session(database) as session:
        assert on_shelf(session) == []
        left, taken = packs.get(session, one.id), packs.get(session, two.id)
    assert left.document.clamp.springs == [inner.document]
    assert taken.document.clamp.springs == [outer.document]
    assert (left.version, taken.version) == (2, 2)
    assert left.document.checked is None
    assert left.changed_by == "bo"


def test_a_set_moves_straight_from_pack_to_pack(
    database: sa.Engine,
    two_packs: tuple[Stored, Stored],  # type: ignore[type-arg]  # packs
) -> None:
    one, two = two_packs
    with writing(database) as session:
        outer, inner = in_pack(session, one.id)
        move(session, inner.id, inner.version, to_pack=two.id, by="bo")
    with read_session(database) as session:
        assert [s.id for s in in_pack(session, one.id)] == [outer.id]
        assert [s.id for s in in_pack(session, two.id)] == [inner.id]


def test_a_set_that_moved_meanwhile_is_not_moved_again(
    database: sa.Engine,
    two_packs: tuple[Stored, Stored],  # type: ignore[type-arg]  # packs
) -> None:
    one, two = two_packs
    with writing(database) as session:
        outer, _ = in_pack(session, one.id)
        move(session, outer.id, outer.version, to_pack=None, by="bo")
    with writing(database) as session, pytest.raises(StaleRecord):
        move(session, outer.id, outer.version, to_pack=two.id, by="cy")
    with writing(database) as session, pytest.raises(NotFound):
        move(session, "nobody", 1, to_pack=None, by="cy")


def test_springs_do_not_go_into_a_pack_of_another_clamp(
    database: sa.Engine,
    two_packs: tuple[Stored, Stored],  # type: ignore[type-arg]  # packs
) -> None:
    with writing(database) as session:
        load = packs.add(session, make_pack("Three", clamp={"kind": "load"}), by="a")
        outer, _ = in_pack(session, two_packs[0].id)
        with pytest.raises(BadInput, match="coil springs"):
            move(session, outer.id, outer.version, to_pack=load.id, by="bo")
        with pytest.raises(NotFound):
            move(session, outer.id, outer.version, to_pack="nobody", by="bo")
