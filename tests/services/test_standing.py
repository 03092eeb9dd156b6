"""What was worked out lately is held, so many of it, and no longer than the catalogue stands."""

import numpy as np
import sqlalchemy as sa

from app.comparison.run import Comparison, compare, work_out_sides
from app.mechanics.inputs import EngineInputs, State
from app.records.database import make_engine, read_session, writing
from app.services.catalogue import packs
from app.services.seeding import load_demo
from app.services.standing import Recent, standing
from tests.factories import make_pack


def test_the_least_used_goes_first() -> None:
    held = Recent(2)
    held.put("a", 1)
    held.put("b", 2)
    assert held.get("a") == 1
    held.put("c", 3)
    assert (held.get("a"), held.get("b"), held.get("c")) == (1, None, 3)


def test_a_save_lets_go_of_everything(sqlite_url: str) -> None:
    engine: sa.Engine = make_engine(sqlite_url)
    with read_session(engine) as session:
        first = standing(session)
    first.found.put("key", "worked out")
    with writing(engine) as session:
        packs.add(session, make_pack(), by="Ann")
    with read_session(engine) as session:
        second = standing(session)
    assert second.revision != first.revision
    assert second.found.get("key") is None
    assert [p.name for p in second.packs] == ["Tern 4"]
    engine.dispose()


def test_some_of_the_catalogue_is_compared_with_the_same_bits(sqlite_url: str) -> None:
    engine: sa.Engine = make_engine(sqlite_url)
    with writing(engine) as session:
        load_demo(session)
    with read_session(engine) as session:
        now = standing(session)
    packs_of, engines_of = now.packs[::-2], (now.engines[4], now.engines[1])
    state = State(wear_mm=None, speed_rpm=6000.0)
    for _ in range(2):
        found = now.compared(packs_of, engines_of, state)
        alone = compare([p.inputs for p in packs_of], [e.inputs for e in engines_of], state)
        for name in Comparison.__dataclass_fields__:
            np.testing.assert_array_equal(getattr(found, name), getattr(alone, name))
    engine.dispose()


def test_a_pack_s_inputs_are_made_when_asked_for(sqlite_url: str) -> None:
    engine: sa.Engine = make_engine(sqlite_url)
    with writing(engine) as session:
        stored = packs.add(session, make_pack(), by="Ann")
    with read_session(engine) as session:
        (pack,) = standing(session).packs
    assert "inputs" not in vars(pack)
    assert pack.inputs == stored.document.to_inputs()
    assert pack.inputs is pack.inputs
    engine.dispose()


def test_what_packs_carry_needs_no_engine(sqlite_url: str) -> None:
    engine: sa.Engine = make_engine(sqlite_url)
    with writing(engine) as session:
        packs.add(session, make_pack(), by="Ann")
    with read_session(engine) as session:
        now = standing(session)
    carried = now.carried(now.packs, State())
    alone = work_out_sides([now.packs[0].inputs], [EngineInputs()], State()).packs
    np.testing.assert_array_equal(carried.value, alone.value)
    np.testing.assert_array_equal(carried.cumulants, alone.cumulants)
    engine.dispose()
