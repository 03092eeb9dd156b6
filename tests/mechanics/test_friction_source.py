"""A pack's own friction always wins; the table stands in with its band and its source."""

import pytest

from app.mechanics.friction_source import table_friction, with_friction
from app.mechanics.tables import friction_rows
from tests.mechanics.samples import load_pack, q


def banded_row():
    return next(r for r in friction_rows() if r.plus_minus is not None and r.kind == "both")


def test_a_row_with_a_band_is_read_as_its_limits_about_the_middle():
    row = banded_row()
    found, source = table_friction(row.facing, row.lubrication, "sliding")
    assert found.value - found.plus_minus == pytest.approx(row.low)
    assert found.value + found.plus_minus == pytest.approx(row.high)
    assert found.how == "listed"
    assert source == row.source


def test_a_row_with_one_figure_gets_the_usual_doubt_of_a_listed_coefficient():
    for row in friction_rows():
        first = table_friction(row.facing, row.lubrication, "sliding")
        if row.plus_minus is None and first is not None and first[0].value == row.nominal:
            assert first[0].plus_minus == pytest.approx(0.15 * row.nominal)
            return
    pytest.fail("the table has no row with a single figure")


def test_a_facing_or_a_state_that_the_table_lacks_gives_nothing():
    assert table_friction("cheese", "dry", "static") is None
    row = banded_row()
    lacking = [(r.facing, lub, kind) for r in friction_rows()
               for lub in ("dry", "oiled") for kind in ("static", "sliding")
               if not any(o.facing == r.facing and o.lubrication == lub
                          and o.kind in (kind, "both") for o in friction_rows())]
    assert lacking
    assert table_friction(*lacking[0]) is None
    assert table_friction(row.facing.upper(), row.lubrication, "static") is not None


def test_the_packs_own_figure_wins_over_the_table():
    pack = load_pack(facing=banded_row().facing)
    assert with_friction(pack, "oiled", "sliding") is pack


def test_the_table_fills_one_state_only_and_says_whose_figure_it_is():
    row = banded_row()
    pack = load_pack(facing=row.facing, friction={("oiled", "static"): q(0.1)})
    lubrication = row.lubrication
    filled = with_friction(pack, lubrication, "sliding")
    key = (lubrication, "sliding")
    assert set(filled.friction) == {("oiled", "static"), key}
    assert filled.friction_source == {key: row.source}
    assert pack.friction_source == {}


@pytest.mark.parametrize("facing", [None, "cheese"])
def test_nothing_is_added_without_a_known_facing(facing):
    pack = load_pack(facing=facing, friction={})
    assert with_friction(pack, "oiled", "sliding") is pack
