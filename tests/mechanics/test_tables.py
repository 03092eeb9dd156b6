"""The published tables: what the loaders read, pick and refuse."""

import pytest

from app.errors import BadInput
from app.mechanics import tables
from app.mechanics.spring_wire import wire_material


def test_every_table_has_rows_and_each_row_a_source() -> None:
    for rows in (
        tables.friction_rows(),
        tables.bmep_bands(),
        tables.suggested_service_factors(),
        tables.drive_squares(),
        tables.steels(),
    ):
        assert rows
        assert all(row.source for row in rows)


# --- friction


def test_paper_in_oil_slides_at_the_juvinall_marshek_band() -> None:
    # Juvinall & Marshek, Fundamentals of Machine Component Design, Table 18.2: paper 0.10-0.14.
    row = tables.friction_for("paper", "oiled", "sliding")
    assert row is not None
    assert (row.low, row.nominal, row.high) == (0.10, 0.12, 0.14)
    assert row.plus_minus == pytest.approx(0.02)
    assert "18.2" in row.source


def test_a_sliding_value_is_not_used_for_static_friction() -> None:
    # Neale, The Tribology Handbook, Table 7.4, prints 0.11 without telling static from sliding.
    static = tables.friction_for("paper", "oiled", "static")
    assert static is not None
    assert (static.nominal, static.kind) == (0.11, "both")
    assert static.plus_minus is None
    # Graphitic facings have a dynamic value only.
    assert tables.friction_for("graphitic", "oiled", "static") is None


def test_sintered_static_and_sliding_come_from_their_own_rows() -> None:
    # Neale, The Tribology Handbook, Table 7.4: sintered in oil 0.10 static, 0.05 sliding.
    static = tables.friction_for("sintered", "oiled", "static")
    assert static is not None
    assert static.nominal == 0.10


def test_facing_name_is_read_without_regard_to_case_and_hyphens() -> None:
    plain = tables.friction_for("cast_iron_or_hard_steel", "dry", "static")
    assert plain is not None
    assert tables.friction_for(" Cast-iron or hard steel ", "dry", "static") is plain


def test_facing_without_a_value_for_that_state_gives_none() -> None:
    assert tables.friction_for("paper", "dry", "static") is None


def test_unknown_facing_lists_those_there_are() -> None:
    with pytest.raises(BadInput) as caught:
        tables.friction_for("velvet", "dry", "static")
    text = caught.value.problems[0].message
    assert "velvet" in text
    assert "cork" in text
    assert text.count("paper") == 1


def test_friction_bands_hold_their_nominal_and_pressures_are_in_order() -> None:
    for row in tables.friction_rows():
        assert (row.low is None) == (row.high is None)
        if row.low is not None and row.high is not None:
            assert 0.0 < row.low < row.nominal < row.high < 1.0
            assert row.nominal == pytest.approx((row.low + row.high) / 2.0)
        if row.p_max_low_mpa is not None and row.p_max_high_mpa is not None:
            assert 0.0 < row.p_max_low_mpa < row.p_max_high_mpa < 5.0


# --- engines, tools, steels


def test_spring_wire_is_reached_from_here_too() -> None:
    assert tables.wire_material is wire_material


def test_bmep_band_of_a_kind_and_of_an_unknown_one() -> None:
    band = tables.bmep_band("four-stroke naturally aspirated")
    assert (band.low_kpa, band.high_kpa, band.strokes) == (850.0, 1050.0, 4)
    with pytest.raises(BadInput) as caught:
        tables.bmep_band("steam")
    assert "two_stroke_race" in caught.value.problems[0].message


@pytest.mark.parametrize("strokes", [2, 4])
def test_general_bmep_band_spans_its_own_kinds(strokes: int) -> None:
    general = tables.bmep_band("two_stroke" if strokes == 2 else "four_stroke")
    kinds = [
        band
        for band in tables.bmep_bands()
        if band.strokes == strokes and band.ignition == "spark" and "turbo" not in band.kind
    ]
    assert general.low_kpa == min(band.low_kpa for band in kinds)
    assert general.high_kpa == max(band.high_kpa for band in kinds)
    assert all(band.low_kpa < band.high_kpa for band in tables.bmep_bands())


def test_suggested_factor_falls_with_cylinders_and_is_marked_as_practice() -> None:
    factors = [tables.suggested_service_factor(4, n) for n in (1, 2, 3, 4, 6)]
    assert [f.factor for f in factors if f] == [1.5, 1.4, 1.25, 1.25, 1.25]
    assert all(f.source == "common practice, no source" for f in factors if f)
    two_stroke = tables.suggested_service_factor(2, 1)
    assert two_stroke is not None
    assert two_stroke.factor == 1.4
    assert tables.suggested_service_factor(3, 1) is None


def test_tools_and_steels_are_marked_as_from_memory() -> None:
    assert [s.size_mm for s in tables.drive_squares()] == [6.3, 10.0, 12.5, 20.0, 25.0]
    for square in tables.drive_squares():
        assert square.evidence == "memory"
        assert square.note.startswith("from memory")
    for steel in tables.steels():
        assert steel.evidence == "memory"
        assert steel.note.startswith("from memory")
        assert steel.yield_low_mpa <= steel.yield_high_mpa < steel.tensile_high_mpa
