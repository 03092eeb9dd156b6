"""The sections that a pack's page has beside its figures."""

from app.comparison.class_board import PackInClasses, class_board
from app.mechanics.class_table import displacement_classes
from app.mechanics.inputs import State
from app.mechanics.tables import bmep_band
from app.presentation.pack_extras import PackExtras, pack_extras
from tests.shop import shop


def classed(name: str) -> PackInClasses:
    entry = next(p for p in shop()[0] if p.name == name)
    board = class_board([entry], (), State(), displacement_classes(), bmep_band("four_stroke"), 4)
    return board.packs[0]


def extras(name: str) -> PackExtras:
    found = classed(name)
    return pack_extras(found.entry.inputs, State(), found)


def test_a_coil_pack_has_a_drawing_a_wear_curve_and_its_checks() -> None:
    found = extras("Bulrush 6")
    assert found.drawing is not None
    assert found.wear is not None
    assert found.disc is None
    assert {"Can release", "Facing pressure"} <= {row.name for row in found.checks}
    # No engine is named, so nothing is said of bolting up.
    assert "Bolts up" not in {row.name for row in found.checks}
    assert found.held.startswith("By displacement class it surely holds ")
    assert found.held.endswith(" of four-stroke engines.")


def test_the_wear_curve_reaches_past_the_facings_limit() -> None:
    limit = classed("Bulrush 6").entry.inputs.stack_wear_limit_mm.value
    drawn = {t["name"]: t for t in extras("Bulrush 6").wear.spec["traces"]}
    assert drawn["Available"]["x"][-1] == 1.25 * limit
    assert drawn["Facings' limit"]["x"] == [limit, limit]


def test_a_disc_spring_has_its_own_curve() -> None:
    assert extras("Reed 9 disc").disc is not None
    assert extras("Osier 7 diaphragm").disc is not None


def test_what_cannot_be_told_is_said() -> None:
    found = extras("Sallow box of parts")
    assert found.wear is None
    assert found.held.startswith("Not known: ")
