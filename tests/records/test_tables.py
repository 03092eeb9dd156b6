"""Every check of every table, held by the database itself: raw rows that break one are refused."""

from typing import Any

import pytest
import sqlalchemy as sa

from app.records.base import now, public_id
from app.records.engines import ENGINE_FIGURES
from app.records.packs import CLAMP_COLUMNS, PACK_FIGURES, SPRING_FIGURES
from app.records.sources import FRICTION_FIGURES
from app.records.tables import METADATA

STAMP = {
    "version": 1,
    "created_at": now(),
    "changed_at": now(),
    "created_by": "a",
    "changed_by": "a",
}
NAME = {"name": "x", "name_key": "x", "search_text": "x"}


def sane(table: str) -> dict[str, Any]:
    """A row with only what a table insists on."""
    rows: dict[str, dict[str, Any]] = {
        "pack": {**STAMP, **NAME, "lined_faces_per_plate": 2, "provenance": {}},
        "engine": {**STAMP, **NAME, "cylinders": 1, "provenance": {}},
        "spring": {**STAMP, "position": 0, "provenance": {}},
        "facing": {**STAMP, **NAME},
        "offer": {**STAMP, **NAME},
        "friction_value": {
            "facing_id": 1,
            "position": 0,
            "lubrication": "dry",
            "kind": "static",
            "friction": 0.3,
            "provenance": {},
        },
        "load_point": {"spring_id": 1, "position": 0, "deflection_mm": 1.0, "force_n": 2.0},
        "instrument": {**STAMP, **NAME},
        "slip_test": {
            **STAMP,
            **NAME,
            "pack_id": 1,
            "lubrication": "oiled",
            "friction": "sliding",
            "excluded": False,
        },
        "slip_reading": {
            "slip_test_id": 1,
            "position": 0,
            "kind": "value",
            "low_nm": 5.0,
            "high_nm": 5.0,
            "as_read": False,
        },
        "finding": {**STAMP, **NAME, "pack_id": 1, "check_key": "damper", "outcome": "good"},
        "catalogue_revision": {"id": 1, "number": 0},
        "member": {**STAMP, "name": "Ada", "name_key": "ada", "role": "viewer"},
        "change": {
            "at": now(),
            "by": "a",
            "action": "add",
            "noun": "pack",
            "record": "x",
            "name": "x",
            "version": 1,
        },
    }
    row = dict(rows[table])
    if "public_id" in METADATA.tables[table].c:
        row["public_id"] = public_id()
    return row


BROKEN: list[tuple[str, str, dict[str, Any]]] = [
    ("pack", "name_length", {"name": ""}),
    ("pack", "friction_plates", {"friction_plates": 0}),
    ("pack", "lined_faces", {"lined_faces_per_plate": 3}),
    ("pack", "plain_plates", {"plain_plates": -1}),
    ("pack", "surfaces", {"surfaces": 0}),
    ("pack", "reason", {"surfaces_reason": "why"}),
    ("pack", "facing_order", {"facing_od_mm": 50.0, "facing_id_mm": 50.0}),
    ("pack", "mounting", {"mounting": "loose"}),
    ("pack", "spline_count", {"spline_count": 0}),
    ("pack", "gear_teeth", {"gear_teeth": 0}),
    ("pack", "clamp_kind", {"clamp_kind": "glue"}),
    ("pack", "disc_order", {"disc_outside_mm": 30.0, "disc_inside_mm": 30.0}),
    ("pack", "disc_in_parallel", {"disc_in_parallel": 0}),
    ("pack", "disc_in_series", {"disc_in_series": 0}),
    ("pack", "weights", {"centrifugal_weights": 0}),
    ("spring", "count", {"count": 0}),
    ("spring", "position", {"position": -1}),
    ("spring", "positions", {"positions": 0}),
    ("spring", "tester_limit", {"tester_limit": 1.0}),
    ("spring", "ends", {"ends": "bent"}),
    ("spring", "outside_wire", {"wire_mm": 2.0, "outside_mm": 4.0}),
    ("spring", "mean_wire", {"wire_mm": 2.0, "mean_mm": 2.0}),
    ("spring", "inside_outside", {"inside_mm": 9.0, "outside_mm": 9.0}),
    ("spring", "inside_mean", {"inside_mm": 9.0, "mean_mm": 9.0}),
    ("spring", "mean_outside", {"mean_mm": 9.0, "outside_mm": 9.0}),
    ("load_point", "position", {"position": -1}),
    ("load_point", "deflection_mm", {"deflection_mm": -1.0}),
    ("load_point", "force_n", {"force_n": 2e9}),
    ("engine", "name_length", {"name": "x" * 201}),
    ("engine", "cylinders", {"cylinders": 0}),
    ("engine", "strokes", {"strokes": 3}),
    ("engine", "torque_kind", {"torque_kind": "guess"}),
    ("engine", "curve_at", {"curve_at": "gearbox"}),
    ("engine", "curve", {"curve_relative_doubt": 1.0}),
    ("engine", "driving_teeth", {"driving_teeth": 0, "driven_teeth": 5}),
    ("engine", "driven_teeth", {"driving_teeth": 5, "driven_teeth": 0}),
    ("engine", "teeth_pair", {"driving_teeth": 20}),
    ("engine", "teeth_ratio", {"driving_teeth": 20, "driven_teeth": 60, "primary_ratio": 3.02}),
    ("engine", "spline_count", {"spline_count": 0}),
    ("facing", "name_length", {"name": ""}),
    ("friction_value", "one_owner", {"facing_id": None}),
    ("friction_value", "one_owner", {"pack_id": 1}),
    ("friction_value", "friction_known", {"friction": None}),
    ("friction_value", "lubrication", {"lubrication": "wet"}),
    ("friction_value", "kind", {"kind": "rolling"}),
    ("friction_value", "low", {"low": 0.31}),
    ("friction_value", "high", {"high": 0.29}),
    ("friction_value", "p_low", {"p_max_low_mpa": 0.0}),
    ("friction_value", "p_high", {"p_max_high_mpa": 0.0}),
    ("friction_value", "p_order", {"p_max_low_mpa": 2.0, "p_max_high_mpa": 1.0}),
    ("friction_value", "power", {"power_w_mm2": 0.0}),
    ("friction_value", "position", {"position": -1}),
    ("offer", "name_length", {"name": ""}),
    ("offer", "cc_low", {"claimed_cc_low": 0.0}),
    ("offer", "cc_high", {"claimed_cc_high": 0.0}),
    ("offer", "cc_order", {"claimed_cc_low": 300.0, "claimed_cc_high": 200.0}),
    ("offer", "price", {"price": -1.0}),
    ("offer", "currency", {"currency": "EURO"}),
    ("offer", "link", {"link": "javascript:alert(1)"}),
    ("member", "role", {"role": "owner"}),
    ("instrument", "name_length", {"name": ""}),
    ("instrument", "range_low", {"range_low_nm": -1.0}),
    ("instrument", "range_high", {"range_high_nm": 0.0}),
    ("instrument", "range_order", {"range_low_nm": 60.0, "range_high_nm": 60.0}),
    ("instrument", "accuracy", {"relative_accuracy": 1.0}),
    ("instrument", "resolution", {"resolution_nm": -1.0}),
    ("slip_test", "name_length", {"name": ""}),
    ("slip_test", "lubrication", {"lubrication": "wet"}),
    ("slip_test", "friction", {"friction": "rolling"}),
    ("slip_test", "springs_fitted", {"springs_fitted": 0}),
    ("slip_test", "direction", {"direction": "up"}),
    ("slip_test", "speed", {"speed_rpm": -1.0}),
    ("slip_test", "temperature", {"temperature_c": -274.0}),
    ("slip_test", "runs", {"runs_since_assembly": -1}),
    ("slip_test", "wear", {"wear_mm": -0.1}),
    ("slip_test", "heat", {"heat": "warm"}),
    ("slip_test", "facings", {"facings": "old"}),
    ("slip_test", "reason", {"excluded": True}),
    ("slip_reading", "position", {"position": -1}),
    ("slip_reading", "kind", {"kind": "guess"}),
    ("slip_reading", "low", {"low_nm": 0.0, "kind": "span"}),
    ("slip_reading", "high", {"high_nm": 2e9, "kind": "span"}),
    ("slip_reading", "order", {"low_nm": 6.0, "kind": "span"}),
    ("slip_reading", "ends", {"high_nm": None, "kind": "span"}),
    ("slip_reading", "ends", {"kind": "at_most"}),
    ("slip_reading", "value", {"high_nm": 6.0}),
    ("finding", "name_length", {"name": ""}),
    ("finding", "outcome", {"outcome": "fine"}),
    ("finding", "check_key", {"check_key": ""}),
    ("catalogue_revision", "one_row", {"id": 2}),
    ("change", "action", {"action": "erase"}),
]
FIGURES = {
    "pack": {**PACK_FIGURES, **CLAMP_COLUMNS},
    "spring": SPRING_FIGURES,
    "engine": ENGINE_FIGURES,
    "friction_value": FRICTION_FIGURES,
}
for _table, _columns in FIGURES.items():
    for _x, _about in _columns.items():
        _good = 0.5 if _about.at_most is not None or _about.below == 1 else 60.0
        _low = 0.0 if _about.above == 0 else -1e-9
        _high = _about.below or (_about.at_most or 1e9) * 1.000001
        BROKEN += [
            (_table, f"{_x}_range", {_x: _low}),
            (_table, f"{_x}_range", {_x: _high}),
            (_table, f"{_x}_doubt", {_x: _good, f"{_x}_plus_minus": 0.1, f"{_x}_std": 0.1}),
            (_table, f"{_x}_doubt", {_x: _good, f"{_x}_plus_minus": -0.1}),
            (_table, f"{_x}_doubt", {_x: _good, f"{_x}_std": -0.1}),
            (_table, f"{_x}_doubt", {_x: _good, f"{_x}_how": "guessed"}),
        ]
        if _table != "friction_value":  # its friction is always there
            BROKEN.append((_table, f"{_x}_doubt", {f"{_x}_how": "measured"}))
        if _about.above == 0:
            BROKEN.append((_table, f"{_x}_doubt", {_x: _good, f"{_x}_plus_minus": _good}))


def constraint_of(error: sa.exc.IntegrityError) -> str:
    diagnosis = getattr(error.orig, "diag", None)
    if diagnosis is not None:
        return str(diagnosis.constraint_name)
    return str(error.orig).rpartition(": ")[2]


def test_each_row_that_breaks_a_check_is_refused_by_that_check(database: sa.Engine) -> None:
    wrong = []
    with database.connect() as connection:
        for table, check, changed in BROKEN:
            statement = sa.insert(METADATA.tables[table])
            try:
                with connection.begin_nested():
                    connection.execute(statement, [sane(table) | changed])
            except sa.exc.IntegrityError as error:
                if constraint_of(error) != f"ck_{table}_{check}":
                    wrong.append((table, check, changed, constraint_of(error)))
            else:
                wrong.append((table, check, changed, "taken"))
    assert not wrong


def test_every_check_has_a_row_that_breaks_it() -> None:
    declared = {
        (table.name, str(check.name).removeprefix(f"ck_{table.name}_"))
        for table in METADATA.tables.values()
        for check in table.constraints
        if isinstance(check, sa.CheckConstraint)
    }
    ours = {(table, check) for table, check in declared if table in {t for t, _, _ in BROKEN}}
    assert ours == {(table, check) for table, check, _ in BROKEN}


@pytest.mark.parametrize("table", ["pack", "engine", "spring", "facing", "offer", "instrument"]
)
def test_a_row_with_only_a_name_is_taken(database: sa.Engine, table: str) -> None:
    with database.begin() as connection:
        connection.execute(sa.insert(METADATA.tables[table]), [sane(table)])


def test_infinity_and_not_a_number_are_never_stored(database: sa.Engine) -> None:
    pack = METADATA.tables["pack"]
    with database.connect() as connection:
        for value in (float("inf"), float("nan")):
            try:
                with connection.begin_nested():
                    connection.execute(sa.insert(pack), [sane("pack") | {"lift_mm": value}])
            except sa.exc.IntegrityError:
                continue
            stored = connection.execute(sa.select(pack.c.lift_mm)).scalars().all()
            assert stored == [None], "SQLite keeps what is not a number as not known"


def test_rows_that_point_at_none_are_refused(database: sa.Engine) -> None:
    point = sane("load_point") | {"spring_id": 999}
    with database.connect() as connection, pytest.raises(sa.exc.IntegrityError):
        connection.execute(sa.insert(METADATA.tables["load_point"]), [point])
