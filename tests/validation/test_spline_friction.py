"""Clamp load lost along splined plates.

That the loss matters is published (The Consequences of Spline Friction in Multiple Disk …, ASME
Journal of Lubrication Technology 90 (1968), 65); its equations were not at hand, so these figures
are our own derivation, recomputed apart from the program.
"""

import math

import pytest

from app.mechanics.spline_loss import effective_faces

PACK = (50.0, 65.0, 38.0)  # effective radius, outer and inner spline radius [mm]


@pytest.mark.parametrize(
    ("spline_friction", "last_over_first", "mean"),
    [(0.0, 1.0, 1.0), (0.05, 0.8527, 0.9246), (0.10, 0.7271, 0.8570), (0.15, 0.6199, 0.7963),
     (0.20, 0.5286, 0.7418)],
)
def test_fourteen_faces(spline_friction: float, last_over_first: float, mean: float) -> None:
    fourteen, thirteen = (
        effective_faces(n, 0.12, spline_friction, *PACK) for n in (14, 13))
    assert fourteen / 14.0 == pytest.approx(mean, abs=5e-5)  # four digits
    assert fourteen - thirteen == pytest.approx(last_over_first, abs=6e-5)  # four digits


def test_in_full_precision() -> None:
    fourteen, thirteen = (effective_faces(n, 0.12, 0.10, *PACK) for n in (14, 13))
    assert fourteen / 14.0 == pytest.approx(0.8570013232679, rel=1e-9)
    assert fourteen - thirteen == pytest.approx(0.7270762875807, rel=1e-9)


def test_small_losses_go_exponentially() -> None:
    # κ 0.00923 past the outer and 0.01579 past the inner plates: exp(−2 Σκ) of seven and six.
    outer, inner = 0.12 * 0.10 * 50.0 / 65.0, 0.12 * 0.10 * 50.0 / 38.0
    assert outer == pytest.approx(0.009230769, rel=1e-6)
    assert inner == pytest.approx(0.015789474, rel=1e-6)
    by_exponent = math.exp(-2.0 * (7 * outer + 6 * inner))
    assert by_exponent == pytest.approx(0.7270904, rel=1e-6)
    last = effective_faces(14, 0.12, 0.10, *PACK) - effective_faces(13, 0.12, 0.10, *PACK)
    assert last == pytest.approx(by_exponent, rel=5e-5)  # terms of third order in κ
