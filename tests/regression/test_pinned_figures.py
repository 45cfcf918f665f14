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
        ("arrives-loaded-and-lifted", 6.6693, 6.6700, 0.84533, 751.75),
        ("balance-gate-binds", 8.1992, 8.1238, 0.82290, 910.66),
        ("beyond-a-bar", 10.782, 10.547, 0.54299, math.inf),
        ("crew-cab-touring", 7.5201, 7.5204, 0.84686, 629.82),
        ("high-roof-van", 8.2304, 8.2558, 0.75915, None),
        ("independent-rear-with-bar", 7.4979, 7.4937, 0.94117, 828.04),
        ("low-car", 6.0032, 6.0014, 1.1403, None),
        ("wagon-roof-load", 7.1193, 7.1200, 0.87198, 659.09),
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
