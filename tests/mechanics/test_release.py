"""Lift per face and hand force."""

import numpy as np
import pytest

from app.mechanics.release import (
    HAND_FORCE_COMFORT_N,
    LIFT_PER_FACE_LEAST_MM,
    hand_force,
    lift_per_face,
)


def test_lift_spreads_over_the_faces() -> None:
    assert lift_per_face(1.2, 12.0) == pytest.approx(0.1)
    assert lift_per_face(np.array([1.2, 0.6]), 6.0) == pytest.approx([0.2, 0.1])


def test_work_at_both_ends_of_the_linkage_is_the_same_but_for_its_loss() -> None:
    # 1 mm at the plate takes 20 mm at the lever; a quarter of the hand's work is lost.
    force = hand_force(1200.0, 20.0, 0.75)
    assert force * 20.0 * 0.75 == pytest.approx(1200.0 * 1.0)
    assert force == pytest.approx(80.0)


def test_the_limits_are_those_of_common_practice() -> None:
    # Common practice, no source.
    assert LIFT_PER_FACE_LEAST_MM == 0.1
    assert HAND_FORCE_COMFORT_N == 80.0
