"""Packs read as columns are to the bit what their documents say, however many there are."""

from dataclasses import fields
from typing import Any

import numpy as np
import pytest
import sqlalchemy as sa

from app.documents.pack import FITTED
from app.mechanics.friction_source import TESTED, with_friction
from app.mechanics.inputs import State
from app.mechanics.stack import PackSheet, stack_packs
from app.records.database import read_session, writing
from app.records.pack_columns import PackColumns, pack_columns
from app.services.catalogue import packs
from tests.benchmarks.catalogue import pack_documents
from tests.factories import make_pack, spring_group
from tests.records.test_pack_rows import CLAMPS

STATES = [State(), State("dry", "static"), State("oiled", "static"), State(spline_friction=0.1)]


def of_every_kind() -> list[Any]:
    """Every clamp, random records, springs that nobody entered, and what stands in for μ."""
    points = [{"deflection_mm": 4.0 + i, "force_n": 40.5 + 11.0 * i + i % 3} for i in range(9)]
    groups = [
        spring_group(rate_n_per_mm=None, load_points=points[:n], tester_limit=0.02)
        for n in (1, 2, 3, 9)
    ]
    wires = [
        spring_group(rate_n_per_mm=None, wire_material=name, shim_mm=0.3)
        for name in ("music wire", "A228")
    ]
    fitted = {"value": 0.1, "std": 0.01, "with_what": f"{FITTED}4 slip tests"}
    return [
        *(make_pack(f"Kind {i}", clamp=clamp) for i, clamp in enumerate(CLAMPS)),
        make_pack("By readings", clamp={"kind": "coil", "springs": groups}),
        make_pack("By wire", clamp={"kind": "coil", "springs": wires}),
        make_pack("Springs not entered", clamp={"kind": "coil", "springs": []}),
        make_pack("Splined", spline_major_mm={"value": 24.0, "std": 0.1}, basket_spline_mm=118.0),
        make_pack("No clamp", clamp=None, mounting=None, friction_plates=None),
        make_pack("By its facing", facing="sintered", friction=None, surfaces=9,
                  surfaces_reason="counted"),
        make_pack("Nothing rubs", friction=None),
        make_pack("Tested", friction={"oiled": {"sliding": fitted}},
                  checked={"by": "Ann", "at": "2026-11-20"}),
        *pack_documents(60),
    ]


@pytest.fixture
def filled(database: sa.Engine) -> sa.Engine:
    with writing(database) as session:
        aside = packs.add(session, make_pack("Away"), by="a")
        packs.put_aside(session, aside.id, aside.version, by="a")
        for document in of_every_kind():
            packs.add(session, document, by="a")
    return database


def read(engine: sa.Engine) -> tuple[PackColumns, dict[str, Any]]:
    with read_session(engine) as session:
        found = pack_columns(session)
        return found, {key: packs.get(session, key) for key in found.public_ids}


def test_arrays_and_inputs_are_those_of_the_documents(filled: sa.Engine) -> None:
    found, stored = read(filled)
    assert len(found.public_ids) == len(of_every_kind())
    assert list(found.keys) == sorted(found.keys)
    made = [found.inputs(place) for place in range(len(found.names))]
    for place, key in enumerate(found.public_ids):
        record = stored[key]
        assert (found.names[place], found.versions[place]) == (record.name, record.version)
        by_facing = record.document.facing is not None
        if not by_facing:
            assert made[place] == record.document.to_inputs(), record.name
    for state in STATES:
        known = [with_friction(pack, state.lubrication, state.friction) for pack in made]
        same_sheet(found.for_state(state), stack_packs(known, state))


def same_sheet(found: PackSheet, expected: PackSheet) -> None:
    assert set(found.columns) == set(expected.columns)
    for name, column in expected.columns.items():
        for part in ("value", "limit", "std"):
            np.testing.assert_array_equal(
                getattr(found.columns[name], part), getattr(column, part), f"{name} {part}")
    for f in fields(PackSheet):
        if f.name != "columns":
            assert_same(getattr(found, f.name), getattr(expected, f.name), f.name)


def assert_same(found: Any, expected: Any, name: str) -> None:
    if isinstance(expected, np.ndarray):
        np.testing.assert_array_equal(found, expected, name)
    else:
        assert found == expected, name


def test_who_checked_and_who_tested_come_along(filled: sa.Engine) -> None:
    found, _ = read(filled)
    place = list(found.names).index("Tested")
    assert found.checked[place] == ("Ann", "2026-11-20")
    assert found.inputs(place).friction_source["oiled", "sliding"] == TESTED


def test_a_catalogue_without_packs_has_no_columns(database: sa.Engine) -> None:
    found, _ = read(database)
    assert len(found.public_ids) == 0
    assert found.for_state(State()).records == 0


def test_the_number_of_queries_does_not_grow_with_the_catalogue(filled: sa.Engine) -> None:
    def queries() -> int:
        seen: list[str] = []

        def note(*args: Any) -> None:
            if args[2].startswith("SELECT"):
                seen.append(args[2])

        sa.event.listen(filled, "before_cursor_execute", note)
        with read_session(filled) as session:
            pack_columns(session)
        sa.event.remove(filled, "before_cursor_execute", note)
        return len(seen)

    before = queries()
    with writing(filled) as session:
        for i in range(40):
            packs.add(session, make_pack(f"More {i}"), by="a")
    assert queries() == before <= 6
