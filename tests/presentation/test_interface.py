import math

import pytest

from app.comparison.cell import Reading, evaluate
from app.mechanics.coil_spring import rate_from_load_points
from app.mechanics.inputs import State
from app.mechanics.validity import Caution
from app.presentation.interface import caution, evaluation, finite, fitted_rate, reading
from tests.mechanics.samples import coil_pack


@pytest.mark.parametrize("figure", [math.nan, math.inf, -math.inf, None])
def test_a_figure_that_no_json_number_writes_is_none(figure: float | None) -> None:
    assert finite(figure) is None
    assert finite(0.0) == 0.0


def test_a_reading_keeps_its_value_when_its_doubt_is_not_to_be_known() -> None:
    assert reading(None) is None
    assert reading(Reading(math.inf, 1.0, 0.0, 2.0)) is None
    assert reading(Reading(1.5, math.nan, 0.5, math.inf)) == {
        "value": 1.5,
        "std": None,
        "low": 0.5,
        "high": None,
    }


def test_a_caution_names_its_figure_where_it_has_one() -> None:
    assert caution(Caution("a", "b")) == {"code": "a", "text": "b"}
    assert caution(Caution("a", "b", "pack.lift_mm"))["where"] == "pack.lift_mm"


def test_figures_that_are_not_known_are_left_out() -> None:
    answer = evaluation(evaluate(coil_pack(), None, None))
    assert "capacity_nm" not in answer
    assert answer["missing"] == ["state"]
    assert answer["verdict"] == "unknown"


def test_figures_are_not_rounded() -> None:
    result = evaluate(coil_pack(), None, State())
    assert result.capacity is not None
    written = evaluation(result)["capacity_nm"]
    assert written["value"] == result.capacity.value
    assert written["high"] == result.capacity.high


def test_a_rate_through_the_origin_has_no_intercept() -> None:
    assert "intercept_n" not in fitted_rate(rate_from_load_points([2, 4], [20, 41], True))
    assert "intercept_n" in fitted_rate(rate_from_load_points([2, 4, 6], [20, 41, 60]))
