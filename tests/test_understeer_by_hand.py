"""Understeer from load transfer: each axle's term by hand, its sign, and a candidate's change."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim.balance import load_transfer_understeer
from rollsim.roll import results
from rollsim.scenario import load
from rollsim.sizing import size
from rollsim.sizing.choice import fitted
from tests.builders import ROOT

G = 9.80665
RATED = np.array([800.0, 900.0])


def by_hand(inner: float, outer: float, rated: float) -> float:
    """One axle's term [deg/g], C = 0.27 F − 0.08 F²/rated a degree and tyre (from memory).

    (W/C)(2 b ΔF²/C): C of both tyres at the mean load, b = 0.08 / rated a degree.
    """
    mean, transfer = (inner + outer) / 2.0, (outer - inner) / 2.0
    pair = 2.0 * (0.27 * mean - 0.08 * mean**2 / rated)
    return 2.0 * mean / pair * 2.0 * 0.08 / rated * transfer**2 / pair


def gradient(loads) -> float:
    """From (inner, outer) front and rear [deg/g]."""
    (front_in, front_out), (rear_in, rear_out) = loads
    wheels = np.array([[[front_in], [rear_in]], [[front_out], [rear_out]]])
    return float(np.degrees(load_transfer_understeer(wheels, RATED)[0]) * G)


def test_each_axle_by_hand():
    even_front, even_rear = (800.0, 800.0), (700.0, 700.0)
    assert gradient((even_front, even_rear)) == 0.0
    # W = 1600, C = 2 (216 − 64) = 304 a degree: 1600/304 × 2 × 1e-4 × 400² / 304 = 0.5540.
    assert by_hand(400.0, 1200.0, 800.0) == pytest.approx(0.5540, abs=5e-5)
    assert gradient(((400.0, 1200.0), even_rear)) == pytest.approx(0.5540, abs=5e-5)
    # W = 1400, C = 2 (189 − 43.556) = 290.89: 1400/290.89 × 2 × 8.889e-5 × 400² / 290.89 = 0.4706.
    assert by_hand(300.0, 1100.0, 900.0) == pytest.approx(0.4706, abs=5e-5)
    assert gradient((even_front, (300.0, 1100.0))) == pytest.approx(-0.4706, abs=5e-5)
    assert gradient(((400.0, 1200.0), (300.0, 1100.0))) == pytest.approx(0.5540 - 0.4706, abs=1e-4)


def test_more_transfer_at_the_rear_takes_understeer_away():
    shares = [gradient(((600.0, 1000.0), (700.0 - x, 700.0 + x))) for x in (0.0, 100.0, 200.0)]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.0 > shares[-1] - shares[0]


def test_the_change_that_a_candidate_brings():
    """From the wheel loads at 0.4 g with and without it, both from the full model."""
    scenario = load(ROOT / "scenarios" / "crew-cab-touring.toml")
    of = replace(scenario.job, target=replace(scenario.job.target, case="touring"))
    rated = [of.vehicle.front.tyre.rated_load, of.vehicle.rear.tyre.rated_load]

    def term(bar) -> float:
        point = results(of, (0.4 * G,), bar, only=("touring",))[0].curve[0]
        front_in, front_out, rear_in, rear_out = point.wheel_loads
        return by_hand(front_in, front_out, rated[0]) - by_hand(rear_in, rear_out, rated[1])

    for c in size(of, scenario.rear_bar).candidates[::9]:
        change = term(fitted(c, scenario.rear_bar)) - term(None)
        assert change < 0.0
        assert np.degrees(c.understeer_change) * G == pytest.approx(change, rel=1e-6)
