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
        ("arrives-loaded-and-lifted", 6.6693, 6.6799, 0.83086, 764.43),
        ("balance-gate-binds", 8.1975, 8.1292, 0.80798, 908.95),
        ("beyond-a-bar", 10.834, 10.286, 0.53633, math.inf),
        ("crew-cab-touring", 7.5406, 7.5533, 0.82929, 637.69),
        ("high-roof-van", 8.2294, 8.2770, 0.75770, None),
        ("independent-rear-with-bar", 7.4920, 7.5014, 0.91633, 824.16),
        ("low-car", 6.0017, 6.0038, 1.1213, None),
        ("wagon-roof-load", 7.1176, 7.1240, 0.85762, 657.89),
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
