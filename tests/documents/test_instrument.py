from typing import Any

import pytest
from pydantic import ValidationError

from app.documents import Instrument


def test_an_instrument_of_which_only_the_name_is_known_can_be_kept() -> None:
    assert Instrument(name="Beam wrench").written() == {"name": "Beam wrench"}


@pytest.mark.parametrize(
    "raw",
    [
        {"range_low_nm": -1},
        {"range_high_nm": 0},
        {"range_low_nm": 60, "range_high_nm": 60},
        {"relative_accuracy": 1},
        {"relative_accuracy": 4},
        {"resolution_nm": -0.5},
    ],
)
def test_what_can_not_be_is_refused(raw: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        Instrument.model_validate({"name": "x", **raw})
