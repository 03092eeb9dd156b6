from typing import Any

import pytest
from pydantic import ValidationError

from app.documents import Facing, FrictionValue

ROW = {"lubrication": "oiled", "kind": "sliding", "nominal": 0.12}


def test_a_row_may_have_one_figure_or_a_band() -> None:
    assert FrictionValue.model_validate(ROW).low is None
    assert FrictionValue.model_validate(ROW | {"low": 0.12, "high": 0.14}).high == 0.14


@pytest.mark.parametrize(
    "changed",
    [
        {"low": 0.13},
        {"high": 0.11},
        {"nominal": 0},
        {"p_max_low_mpa": 2, "p_max_high_mpa": 1},
        {"power_w_mm2": 0},
        {"kind": "rolling"},
    ],
)
def test_a_row_that_contradicts_itself_is_refused(changed: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        FrictionValue.model_validate(ROW | changed)


def test_a_facing_may_have_no_rows_yet() -> None:
    assert Facing(name="paper").values == []
