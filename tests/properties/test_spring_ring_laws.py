"""Which numbers of springs keep a pressure plate level, by number theory."""

import pytest

from app.mechanics.spring_checks import balanced_counts


def sums_of(primes: set[int], limit: int) -> set[int]:
    """All sums of the primes, each any number of times, up to a limit."""
    reached = {0}
    for total in range(1, limit + 1):
        if any(total - p in reached for p in primes):
            reached.add(total)
    return reached


@pytest.mark.parametrize("positions", range(1, 13))
def test_a_choice_and_its_gaps_are_both_sums_of_the_prime_factors(positions: int) -> None:
    # G. Sivek, On vanishing sums of distinct roots of unity, Integers 10 (2010): k of the n-th
    # roots of unity add to zero exactly when k and n − k are both sums of prime factors of n.
    primes = {p for p in range(2, positions + 1)
              if positions % p == 0 and all(p % d for d in range(2, p))}
    reached = sums_of(primes, positions)
    expected = tuple(k for k in range(3, positions + 1)
                     if k in reached and positions - k in reached)
    assert balanced_counts(positions) == expected
