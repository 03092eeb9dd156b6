from datetime import date

import pytest

from app.presentation.cautions import CAUTIONS, Caution


@pytest.mark.parametrize("caution", CAUTIONS.values(), ids=lambda caution: caution.key)
def test_a_caution_is_short_and_says_where_it_comes_from(caution: Caution) -> None:
    assert caution.text.count(".") + caution.text.count(":") <= 4
    assert len(caution.text) < 240
    assert caution.where
    assert caution.source.endswith(".")
    assert date.fromisoformat(caution.checked).year >= 2026
    assert "http" not in caution.source


def test_the_hazards_of_the_work_are_all_there() -> None:
    steps = " ".join(caution.where for caution in CAUTIONS.values())
    for step in ("apart", "springs", "Slip test", "Lathe", "engine"):
        assert step in steps


def test_a_caution_that_a_form_folds_still_says_hazard_and_remedy_in_one_line() -> None:
    lines = [caution.line for caution in CAUTIONS.values() if caution.line]
    assert len(lines) == 4
    for line in lines:
        assert len(line) <= 52  # a line on a phone
        assert ": " in line
