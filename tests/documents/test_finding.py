from typing import Any

import pytest
from pydantic import ValidationError

from app.documents import Finding

FOUND: dict[str, Any] = {"pack": "abc", "check": "damper", "outcome": "good"}


def test_a_finding_needs_a_pack_a_question_and_an_answer() -> None:
    assert Finding.model_validate(FOUND).written() == FOUND
    for name in FOUND:
        with pytest.raises(ValidationError):
            Finding.model_validate({k: v for k, v in FOUND.items() if k != name})


@pytest.mark.parametrize("raw", [{"check": "colour"}, {"outcome": "fine"}, {"pack": " "}])
def test_what_can_not_be_is_refused(raw: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        Finding.model_validate(FOUND | raw)
