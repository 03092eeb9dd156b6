from typing import Any

import pytest
import sqlalchemy as sa

from app.documents.pack import STATES
from app.mechanics.friction_source import with_friction
from app.mechanics.tables import friction_rows
from app.records.database import read_session, writing
from app.records.listing import Search
from app.services.board_inputs import board_inputs, engines_of, packs_of
from app.services.catalogue import engines, packs
from tests.factories import make_engine_document, make_pack
from tests.records.test_engine_rows import TORQUES
from tests.records.test_pack_rows import CLAMPS


@pytest.fixture
def filled(database: sa.Engine) -> sa.Engine:
    with writing(database) as session:
        for i, clamp in enumerate(CLAMPS):
            packs.add(session, make_pack(f"Pack {i}", clamp=clamp), by="a")
        for i, torque in enumerate(TORQUES):
            engines.add(session, make_engine_document(f"Engine {i}", torque=torque), by="a")
    return database


def test_what_is_read_by_columns_is_what_the_documents_say(filled: sa.Engine) -> None:
    with read_session(filled) as session:
        board = board_inputs(session)
        assert len(board.packs) == len(CLAMPS)
        assert len(board.engines) == len(TORQUES)
        for pack in board.packs:
            stored = packs.get(session, pack.id)
            assert pack.inputs == stored.document.to_inputs()
            assert (pack.name, pack.version) == (stored.name, stored.version)
        for engine in board.engines:
            assert engine.inputs == engines.get(session, engine.id).document.to_inputs()


def test_the_facing_s_friction_is_that_of_the_published_table(database: sa.Engine) -> None:
    with writing(database) as session:
        packs.add(session, make_pack(facing="sintered", friction=None), by="a")
    with read_session(database) as session:
        (pack,) = packs_of(session)
        (stored,) = packs.page(session).records
    by_table = stored.document.to_inputs()
    for state, friction in pack.inputs.friction.items():
        expected = with_friction(by_table, *state)
        assert friction == expected.friction[state]
        assert pack.inputs.friction_source[state] == expected.friction_source[state]
    assert set(pack.inputs.friction) == {
        state for state in STATES if state in with_friction(by_table, *state).friction
    }
    assert pack.inputs.pressure_limit_mpa == min(
        row.p_max_low_mpa or 1e9 for row in friction_rows() if row.facing == "sintered"
    )


def test_records_are_chosen_by_ids_in_order_or_by_a_search(filled: sa.Engine) -> None:
    with writing(filled) as session:
        all_packs = packs.page(session).records
        packs.put_aside(session, all_packs[0].id, all_packs[0].version, by="a")
    wanted = [all_packs[2].id, "nobody", all_packs[0].id, all_packs[1].id]
    with read_session(filled) as session:
        assert [p.id for p in packs_of(session, wanted)] == [all_packs[2].id, all_packs[1].id]
        assert [e.name for e in engines_of(session, Search(text="engine 3"))] == ["Engine 3"]
        coil = board_inputs(session, packs=Search(filters={"clamp_kind": "coil"}), engines=[])
    assert [p.name for p in coil.packs] == ["Pack 1", "Pack 2"]
    assert coil.engines == ()


def test_the_number_of_queries_does_not_grow_with_the_catalogue(filled: sa.Engine) -> None:
    def queries() -> int:
        seen: list[str] = []

        def note(*args: Any) -> None:
            if args[2].startswith("SELECT"):
                seen.append(args[2])

        sa.event.listen(filled, "before_cursor_execute", note)
        with read_session(filled) as session:
            board_inputs(session)
        sa.event.remove(filled, "before_cursor_execute", note)
        return len(seen)

    before = queries()
    with writing(filled) as session:
        for i in range(40):
            packs.add(session, make_pack(f"More {i}"), by="a")
    assert queries() == before <= 8
