"""Clamp load lost along the splines, against a plate-by-plate balance of forces."""

import math

import numpy as np
import pytest

from app.mechanics.spline_loss import effective_faces, effective_faces_of
from app.mechanics.traced import Traced


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


def column(*values: float) -> Traced:
    return Traced(np.array(values)[:, None])


def test_many_packs_at_once_lose_what_each_loses_alone() -> None:
    faces = [1.0, 2.0, 7.0, 14.0, math.nan]
    friction, radius = column(0.12, 0.1, 0.3, 0.12, 0.1), column(50.0, 40.0, 60.0, 50.0, 50.0)
    outer, inner = column(65.0, 55.0, 80.0, 65.0, 65.0), column(38.0, 20.0, 30.0, 38.0, 38.0)
    found = effective_faces_of(
        np.array(faces)[:, None], friction, 0.1, radius, outer, inner).value[:, 0]
    for i, z in enumerate(faces[:4]):
        parts = (x.value[i, 0] for x in (friction, radius, outer, inner))
        mu, r, out, hub = map(float, parts)
        assert found[i] == pytest.approx(effective_faces(int(z), mu, 0.1, r, out, hub), rel=1e-14)
    assert math.isnan(found[4])


def test_unknown_splines_leave_the_faces_unknown_even_where_nothing_is_lost() -> None:
    one = np.array([[1.0]])
    known, unknown = column(50.0), column(math.nan)
    assert math.isnan(effective_faces_of(one, column(0.1), 0.1, known, unknown, known).value[0, 0])


def test_splines_that_pass_nothing_on_leave_the_first_face() -> None:
    stuck = effective_faces_of(
        np.array([[8.0]]), column(0.6), 1.0, column(60.0), column(30.0), column(15.0))
    assert stuck.value[0, 0] == 1.0
