"""Classes and claims in words."""

import pytest

from app.comparison.class_board import ClaimMade
from app.comparison.classes import Held
from app.presentation.class_words import (
    CLAIM_RULE,
    claim_says,
    claimed_classes,
    claimed_text,
    held_or_not_known,
    held_words,
)
from tests.presentation.test_classes_page import board, entry


@pytest.mark.parametrize(("whole", "half", "words"), [
    (None, None, "not even the lighter half of the smallest class"),
    (None, 80.0, "the lighter half up to 80\u00a0cm³"),
    (125.0, 150.0, "the whole band up to 125\u00a0cm³, the lighter half up to 150\u00a0cm³"),
    (650.0, 650.0, "the whole band up to 650\u00a0cm³"),
])
def test_what_is_held_in_words(whole: float | None, half: float | None, words: str) -> None:
    assert held_words(Held(whole, half)) == words


@pytest.mark.parametrize(("low", "high", "words"), [
    (50.0, 125.0, "50–125\u00a0cc"), (None, 125.0, "up to 125\u00a0cc"),
    (125.0, None, "from 125\u00a0cc"), (125.0, 125.0, "125\u00a0cc"), (None, None, ""),
])
def test_what_is_claimed_in_words(low: float | None, high: float | None, words: str) -> None:
    assert claimed_text(low, high) == words


@pytest.mark.parametrize(("low", "high", "words"), [
    (200.0, 350.0, "200 to 400\u00a0cm³"), (None, 150.0, "150\u00a0cm³"),
    (300.0, None, "300 to 400\u00a0cm³"), (350.0, 500.0, "400\u00a0cm³ and beyond the largest"),
    (450.0, None, "beyond the largest class"), (None, None, ""),
])
def test_the_classes_that_a_claim_counts_as(
    low: float | None, high: float | None, words: str
) -> None:
    assert claimed_classes(low, high, (150.0, 200.0, 300.0, 400.0)) == words


def test_a_claim_is_told_with_what_it_counts_as_and_what_is_held() -> None:
    claims = [ClaimMade("strong", "Big", "", 50, 640),
              ClaimMade("strong", "Silent", "", None, None)]
    found = board(entry("Strong", 1500.0), claims=claims)
    (pack,) = found.packs
    big, silent = (claim_says(c, pack, found) for c in pack.claims)
    assert big.startswith("Partly by displacement class: the claim counts as 50 to 650\u00a0cm³; ")
    assert held_words(pack.held) in big
    assert silent == ""


def test_what_cannot_be_told_says_why() -> None:
    found = board(entry("Loose", 900.0, None), claims=[ClaimMade("loose", "Any", "", 50, 340)])
    (pack,) = found.packs
    assert held_or_not_known(pack) == "not known"
    says = claim_says(pack.claims[0], pack, found)
    assert says == "Can’t tell by displacement class: its mounting is not recorded."


def test_the_rule_names_all_three_judgements() -> None:
    assert all(word in CLAIM_RULE for word in ("Supported:", "Not supported:", "Partly:"))
