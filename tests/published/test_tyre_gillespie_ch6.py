"""T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, ch. 6 (from memory).

A tyre at 800 lb makes 760 lb of lateral force at 5°; a pair at 400 and 1200 lb makes a mean of
680 lb. The two constants of the relation were set from these two values, so that both tests hold a
slip of a figure and prove nothing of the relation. Its range, 0.3 to 1.5 times the rated load, is
this project's own.
"""

import numpy as np
import pytest

from rollsim.balance import (
    beyond_tyre_relation,
    cornering_stiffness,
    load_transfer_understeer,
)

RATED = 800.0


def test_lateral_force_at_equal_loads():
    assert np.radians(5.0) * cornering_stiffness(800.0, RATED) == pytest.approx(760.0, abs=0.5)


def test_mean_lateral_force_of_a_loaded_pair():
    pair = cornering_stiffness(np.array([400.0, 1200.0]), RATED)
    assert np.radians(5.0) * pair.mean() == pytest.approx(680.0, abs=0.5)


def test_understeer_by_hand():
    # K = (W/C)(2 b ΔF²/C) with W = 1600, C = 2 × 152 a degree, b = 1e-4, ΔF = 400 at the front:
    # 5.2632 × 32 / 304 = 0.5540 deg/g, worked out by hand.
    loads = np.array([[[400.0], [800.0]], [[1200.0], [800.0]]])
    gradient = load_transfer_understeer(loads, np.array([RATED, RATED]))
    assert np.degrees(gradient[0]) * 9.80665 == pytest.approx(0.5540, abs=5e-5)


def test_outside_the_range_the_figure_stands_with_a_mark():
    rated = np.array([RATED, RATED])
    inside = np.array([[[240.0], [800.0]], [[1200.0], [800.0]]])
    outside = np.array([[[200.0], [800.0]], [[1400.0], [800.0]]])
    assert not beyond_tyre_relation(inside, rated)[0]
    assert beyond_tyre_relation(outside, rated)[0]
    assert load_transfer_understeer(outside, rated)[0] > load_transfer_understeer(inside, rated)[0]
