"""Our own output, pinned on 2026-11-25: no proof of anything but that it has not moved.

The last load case of each demo: roll gradient at straight ahead and secant at 0.4 g [deg/g],
tip-over threshold [g], required roll stiffness of the new rear bar [N·m/deg]. Where a figure moves
on purpose, say why in the change and pin it anew.
"""

import math

import pytest

from rollsim.roll import SECANT_AT, results
from rollsim.scenario import load
from rollsim.sizing import size
from tests.builders import ROOT

G = 9.80665


@pytest.mark.parametrize(
    ("name", "linear", "secant", "tip_over", "stiffness"),
    [
        ("arrives-loaded-and-lifted", 6.7549, 6.7661, 0.79477, 756.60),
        ("balance-gate-binds", 8.2894, 8.2212, 0.77489, 918.15),
        ("beyond-a-bar", 10.928, 10.348, 0.51383, math.inf),
        ("crew-cab-touring", 7.6069, 7.6199, 0.79544, 633.97),
        ("high-roof-van", 8.3559, 8.4056, 0.67972, None),
        ("independent-rear-with-bar", 7.5769, 7.5869, 0.86819, 835.18),
        ("low-car", 6.0351, 6.0373, 1.0886, None),
        ("wagon-roof-load", 7.2074, 7.2140, 0.81810, 663.09),
    ],
)
def test_figures_have_not_moved(name, linear, secant, tip_over, stiffness):
    scenario = load(ROOT / "scenarios" / f"{name}.toml")
    state = results(scenario.job, (SECANT_AT,))[-1]
    assert math.degrees(state.roll_gradient) * G == pytest.approx(linear, rel=1e-4)
    assert math.degrees(state.secant_roll_gradient) * G == pytest.approx(secant, rel=1e-4)
    assert state.tip_over_threshold / G == pytest.approx(tip_over, rel=1e-4)
    if stiffness is not None:
        found = size(scenario.job, scenario.rear_bar).required_roll_stiffness
        assert math.radians(found) == pytest.approx(stiffness, rel=1e-4)
