"""Clamp load lost along the splines, against a plate-by-plate balance of forces."""

import math

import numpy as np
import pytest

from app.mechanics.spline_loss import effective_faces


def balance(
    faces: int, friction: float, spline: float, radius: float, outer: float, inner: float
) -> float:
    """Σ F_j/F_1 by each plate's own equilibrium: F_j − F_{j+1} = μ_s (T_j + T_{j+1})/r_s.

    With T = μ R F that is linear in F_{j+1}; it is solved here as a system of equations.
    """
    matrix, right = np.eye(faces), np.zeros(faces)
    right[0] = 1.0
    for j in range(1, faces):
        arm = outer if j % 2 else inner
        share = spline * friction * radius / arm
        # F_j (1 + share) − F_{j−1} (1 − share) = 0
        matrix[j, j], matrix[j, j - 1] = 1.0 + share, share - 1.0
    return float(np.linalg.solve(matrix, right).sum())


@pytest.mark.parametrize("faces", [1, 2, 7, 14])
@pytest.mark.parametrize("spline", [0.0, 0.08, 0.2])
def test_every_plate_is_in_balance(faces: int, spline: float) -> None:
    case = (0.14, spline, 52.0, 63.0, 31.0)
    assert effective_faces(faces, *case) == pytest.approx(balance(faces, *case), rel=1e-12)


def test_without_friction_in_the_splines_nothing_is_lost() -> None:
    assert effective_faces(14, 0.12, 0.0, 50.0, 65.0, 38.0) == 14.0


def test_a_single_face_loses_nothing() -> None:
    assert effective_faces(1, 0.12, 0.2, 50.0, 65.0, 38.0) == 1.0


def test_the_first_plate_passed_is_an_outer_one() -> None:
    # A huge outer radius makes the outer plates free of loss, and two faces pass only that one.
    assert effective_faces(2, 0.12, 0.2, 50.0, 1e12, 38.0) == pytest.approx(2.0)
    assert effective_faces(2, 0.12, 0.2, 50.0, 65.0, 1e12) < 2.0


def test_many_coefficients_at_once() -> None:
    found = effective_faces(14, 0.12, np.array([0.0, 0.1]), 50.0, 65.0, 38.0)
    assert found[0] == 14.0
    assert math.isclose(found[1], effective_faces(14, 0.12, 0.1, 50.0, 65.0, 38.0))
