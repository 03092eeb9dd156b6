"""Every input with its doubt, how it is known, and where it comes from."""

from app.comparison.cell import CellResult, evaluate
from app.comparison.rests_on import moving_inputs
from app.documents import Engine, Pack
from app.mechanics.friction_source import with_friction
from app.mechanics.inputs import State
from app.presentation.cell_inputs import (
    InputRow,
    engine_counts,
    figure_at,
    input_rows,
    pack_counts,
    share_rows,
)
from tests.factories import make_engine_document, make_pack, spring_group


def worked(pack: Pack, engine: Engine) -> tuple[CellResult, frozenset[str]]:
    inputs, motor = pack.to_inputs(), engine.to_inputs()
    known = with_friction(inputs, "oiled", "sliding")
    return evaluate(inputs, motor, State()), moving_inputs(known, motor, State())


def rows_of(pack: Pack) -> dict[str, InputRow]:
    result, moving = worked(pack, make_engine_document())
    rows = input_rows(result, "pack", pack, moving, ("p1", "e1"))
    return {row.anchor: row for row in rows}


def test_a_figure_says_its_doubt_and_who_measured_it_with_what() -> None:
    row = rows_of(
        make_pack(
            facing_od_mm={
                "value": 110.0,
                "plus_minus": 0.05,
                "how": "measured",
                "by": "Ann",
                "at": "2026-11-20",
                "with_what": "calliper",
                "typed": "11 cm",
                "typed_doubt": "0.05",
            }
        )
    )["input-pack-facing-od-mm"]
    assert row.value == "110 ± 0.05\u00a0mm"
    assert (row.doubt, row.how) == ("limit", "Measured")
    assert row.origin == "calliper, by Ann, 2026-11-20"
    assert row.typed == "11 cm ± 0.05"
    assert row.edit == "/packs/p1/edit#f-facing-od-mm"


def test_a_standard_uncertainty_and_a_usual_doubt_are_told_apart_from_a_typed_limit() -> None:
    rows = rows_of(
        make_pack(
            facing_id_mm={
                "value": 86.0,
                "plus_minus": 0.05,
                "how": "measured",
                "default_doubt": True,
            }
        )
    )
    assert rows["input-pack-facing-id-mm"].doubt == "limit, the usual one of its kind"
    assert rows["input-pack-clamp-springs-0-rate-n-per-mm"].doubt == "standard uncertainty"


def test_a_coefficient_from_the_table_names_its_source() -> None:
    row = rows_of(make_pack(friction=None, facing="paper"))["input-pack-friction-oiled-sliding"]
    assert "Juvinall" in row.origin
    assert row.how == "Listed"
    assert row.cautions


def test_what_the_ratio_depends_on_is_told_from_the_rest() -> None:
    rows = rows_of(make_pack(lift_mm={"value": 1.2, "how": "assumed"}))
    assert rows["input-pack-facing-od-mm"].moves
    assert not rows["input-pack-lift-mm"].moves
    assert rows["input-pack-lift-mm"].unsure


def test_a_figure_is_found_in_its_record() -> None:
    pack = make_pack()
    assert figure_at(pack, "pack.clamp.springs.0.wire_mm") is not None
    assert figure_at(pack, "pack.clamp.springs.3.wire_mm") is None
    assert figure_at(pack, "pack.friction.dry.static") is None
    assert figure_at(pack, "pack.name") is None


def test_counts_are_told() -> None:
    springs = [spring_group(count=6), spring_group(count=3)]
    pack = make_pack(clamp={"kind": "coil", "springs": springs}, mounting="crankshaft")
    counts = dict(pack_counts(pack.to_inputs()))
    assert counts["Friction plates"] == "4"
    assert counts["Mounting"] == "on the crankshaft"
    assert (counts["Springs in group 1"], counts["Springs in group 2"]) == ("6", "3")
    engine = dict(engine_counts(make_engine_document().to_inputs()))
    assert engine["Primary gear teeth, driving and driven"] == "19 and 64"


def test_shares_come_largest_first_and_sum_to_the_whole() -> None:
    rows = share_rows(worked(make_pack(), make_engine_document())[0])
    widths = [row.width for row in rows if row.address]
    assert widths == sorted(widths, reverse=True)
    assert abs(sum(row.width for row in rows) - 100) < 0.1
    assert all(row.address.startswith("#input-") or not row.address for row in rows)
