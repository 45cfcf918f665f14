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
        ("arrives-loaded-and-lifted", 6.7549, 6.7661, 0.79477, 769.01),
        ("balance-gate-binds", 8.2876, 8.2197, 0.77514, 917.56),
        ("beyond-a-bar", 10.981, 10.408, 0.51104, math.inf),
        ("crew-cab-touring", 7.6283, 7.6417, 0.79075, 641.41),
        ("high-roof-van", 8.3541, 8.4038, 0.6799, None),
        ("independent-rear-with-bar", 7.5707, 7.5808, 0.86887, 830.63),
        ("low-car", 6.0336, 6.0358, 1.0892, None),
        ("wagon-roof-load", 7.2056, 7.2123, 0.81839, 662.39),
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
