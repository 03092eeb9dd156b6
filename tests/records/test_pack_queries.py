import pytest
import sqlalchemy as sa

from app.records import listing, pack_queries
from app.records.database import read_session, writing
from app.records.listing import Search
from app.records.pack_queries import facing_names, pack_object, pack_parts, with_facing_friction
from app.records.packs import Pack
from app.services.catalogue import packs
from tests.factories import make_pack, spring_group


def test_long_lists_are_read_in_blocks(
    database: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A database takes so many values in one statement; the answer must not depend on it."""
    points = [{"deflection_mm": d, "force_n": 20 * d} for d in (1, 2)]
    clamp = {"kind": "coil", "springs": [spring_group(load_points=points), spring_group(name="b")]}
    with writing(database) as session:
        for i in range(5):
            packs.add(session, make_pack(f"Pack {i}", clamp=clamp, facing="paper"), by="a")
    with read_session(database) as session:
        rows = listing.all_rows(session, Pack, Search())
        whole = with_facing_friction(session, pack_parts(session, rows))
        monkeypatch.setattr(pack_queries, "MOST_IN_A_LIST", 2)
        assert with_facing_friction(session, pack_parts(session, rows)) == whole
    assert [len(part.springs) for part in whole] == [2] * 5
    assert all(part.facing == "paper" and part.facing_friction for part in whole)


def test_nothing_is_asked_for_nothing(database: sa.Engine) -> None:
    with read_session(database) as session:
        assert pack_parts(session, []) == []
        assert facing_names(session, []) == {}
        assert pack_object(session, "nobody") is None


def test_what_is_not_loaded_is_not_fetched_unseen(database: sa.Engine) -> None:
    """A relationship that is not asked for by name is an error, not a query for each row."""
    with writing(database) as session:
        stored = packs.add(session, make_pack(), by="a")
    with read_session(database) as session:
        pack = session.scalars(sa.select(Pack).where(Pack.public_id == stored.id)).one()  # type: ignore[arg-type]  # a column
        with pytest.raises(sa.exc.InvalidRequestError):
            _ = pack.springs
