"""Spring sets of the catalogue for one cell."""

from typing import Any

import sqlalchemy as sa

from app.mechanics.inputs import State
from app.records.database import read_session, writing
from app.services.catalogue import engines, packs
from app.services.spring_choice import SpringChoice, spring_choices
from app.services.spring_sets import in_pack, move
from app.services.standing import standing
from tests.factories import make_engine_document, make_pack, spring_group

BARE = {"wire_mm": None, "total_coils": None, "ends": None}


def pack_with(name: str, rate: float, **changed: Any) -> Any:
    group = spring_group(rate_n_per_mm=rate, name=f"{name} set", **(BARE | changed))
    return make_pack(name, clamp={"kind": "coil", "springs": [group]})


def choices(engine: sa.Engine, target: float, name: str = "Weak") -> list[SpringChoice] | None:
    with read_session(engine) as session:
        now = standing(session)
        pack = next(p for p in now.packs if p.name == name)
        engine_inputs = now.engines[0].inputs
        return spring_choices(session, pack.inputs, engine_inputs, State(), target)


def fill(engine: sa.Engine) -> dict[str, str]:
    with writing(engine) as session:
        engines.add(session, make_engine_document(), by="Ann")
        return {
            name: packs.add(session, pack_with(name, rate, **more), by="Ann").id
            for name, rate, more in (
                ("Weak", 10.0, {}), ("Strong", 40.0, {}), ("Stronger", 60.0, {}),
                ("Wide", 80.0, {"outside_mm": 20.0}), ("Shelved", 50.0, {}), ("Gone", 45.0, {}),
            )
        }


def test_sets_of_other_packs_and_of_the_shelf_are_offered(database: sa.Engine) -> None:
    ids = fill(database)
    with writing(database) as session:
        (shelved,) = in_pack(session, ids["Shelved"])
        move(session, shelved.id, shelved.version, to_pack=None, by="Ann")
        gone = packs.get(session, ids["Gone"])
        packs.put_aside(session, gone.id, gone.version, by="Ann")
    with read_session(database) as session:
        now = standing(session)
        weak = next(p for p in now.packs if p.name == "Weak")
        ratio = float(now.compared([weak], now.engines, State()).ratio[0, 0])
    found = choices(database, 3.5 * ratio)
    assert found is not None
    assert [(c.name, c.pack_name, bool(c.pack_id)) for c in found] == [
        ("Strong set", "Strong", True), ("Shelved set", "", False),
        ("Stronger set", "Stronger", True),
    ]


def test_a_pack_without_known_room_is_offered_nothing(database: sa.Engine) -> None:
    fill(database)
    with writing(database) as session:
        packs.add(session, make_pack("Load", clamp={"kind": "load", "force_n": 900}), by="Ann")
    assert choices(database, 1.0, "Load") is None
