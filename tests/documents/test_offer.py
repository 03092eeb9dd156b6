from typing import Any

import pytest
from pydantic import ValidationError

from app.documents import Offer


def test_an_offer_of_which_only_the_title_is_known_can_be_kept() -> None:
    assert Offer(name="Pack for all engines").written() == {"name": "Pack for all engines"}


@pytest.mark.parametrize(
    "raw",
    [
        {"price": -1},
        {"currency": "EURO"},
        {"link": "javascript:alert(1)"},
        {"claimed_cc_low": 0},
        {"claimed_cc_low": 300, "claimed_cc_high": 200},
        {"date": "soon"},
    ],
)
def test_what_can_not_be_is_refused(raw: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        Offer.model_validate({"name": "x", **raw})
