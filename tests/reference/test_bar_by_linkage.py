"""A bar on independent suspension, its wheels set further out, against a linkage that is moved.

One cross-section: two arms on each side that turn about the body, an upright between them, the
wheel on the upright, the bar's link on the lower arm. The body is rolled over flat ground, the
joints are found by halving, and the bar's roll stiffness is read off the energy that it then holds.
"""

import math
import re

import pytest

from rollsim import mass, scenario
from tests.builders import ROOT

RATE = 28e3  # N/m, of the bar, per link end
TRACK, OFFSET = 1.56, 0.04  # m
ROLL = 1e-4  # rad
TEXT = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text(encoding="utf-8")


class Side:
    """A swing arm of an effective length [m] about the body; infinite: parallel, level arms."""

    arm, share = 0.40, 0.6  # of the lower arm: length [m], where the link sits on it [-]

    def __init__(self, swing: float, out: float):
        self.swing, self.half_track = swing, 0.5 * TRACK + out

    def wheel_and_link(self, angle: float) -> tuple[float, float, float]:
        """Contact patch (outward, up) and link end (up), in the body, the arm turned up [rad]."""
        original = 0.5 * TRACK
        if math.isinf(self.swing):  # the upright goes round without turning, on both arms
            moved = self.arm * (math.cos(angle) - 1.0)
            rise = self.arm * math.sin(angle)
            return self.half_track + moved, rise, self.share * rise
        # All of the upright turns about a pivot on the ground line, inboard of the original wheel.
        lever = self.swing + self.half_track - original
        patch = original - self.swing + lever * math.cos(angle)
        return patch, lever * math.sin(angle), self.share * self.swing * math.sin(angle)

    def link_in_a_roll(self, roll: float) -> float:
        """Height of the link in the body where the patch stands on the ground, the body rolled."""

        def gap(angle: float) -> float:
            across, up, _ = self.wheel_and_link(angle)
            return across * math.sin(roll) + up * math.cos(roll)

        low, high = -0.1, 0.1
        for _ in range(200):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if gap(middle) < 0.0 else (low, middle)
        return self.wheel_and_link(0.5 * (low + high))[2]


def stiffness_of_linkage(swing: float, out: float) -> float:
    """Roll stiffness [N·m/rad] from the energy 2 × k u²/2 of two ends, each moved u oppositely."""
    side = Side(swing, out)
    apart = side.link_in_a_roll(ROLL) - side.link_in_a_roll(-ROLL)
    return 2.0 * RATE * (0.5 * apart) ** 2 / ROLL**2


def stiffness_of_model(bar: str, *, state: int) -> float:
    lines = f'[change]\nwheel_offset_front = "{OFFSET * 1e3:g} mm"\n'
    text = TEXT.replace("[change]\n", lines)
    text, count = re.subn(r"(?m)^bar = \{ link_end_rate.*$", bar, text, count=1)
    assert count == text.count(lines) == 1
    job = scenario.loads(text, "x.toml").job
    assert job.vehicle.front.track == TRACK
    front, _ = mass.axles(job, mass.states(job)[state])
    return front.bar_roll_stiffness


BY_LINK = 'bar = { link_end_rate = "28 N/mm", installation_ratio = 0.6 }'
BY_ROLL = f'bar = {{ roll_stiffness = "{math.radians(RATE * 0.6**2 * TRACK**2 / 2.0)} N*m/deg" }}'


@pytest.mark.parametrize("bar", [BY_LINK, BY_ROLL])
@pytest.mark.parametrize(("state", "out"), [(0, 0.0), (-1, OFFSET)])
def test_on_parallel_arms_the_bar_goes_with_the_square_of_the_track(bar, state, out):
    wanted = stiffness_of_linkage(math.inf, out)
    assert stiffness_of_model(bar, state=state) == pytest.approx(wanted, rel=1e-6)


@pytest.mark.parametrize("swing", [0.78, 1.5, 2.5, 4.0])
def test_what_arms_that_meet_take_back(swing):
    """What docs/method.md says is left out: (1 + out / swing)⁻², of the bar as of the springs."""
    found = stiffness_of_linkage(swing, OFFSET) / stiffness_of_linkage(math.inf, OFFSET)
    assert found == pytest.approx((1.0 + OFFSET / swing) ** -2, rel=1e-6)
    if swing == 0.5 * TRACK:  # pivoted in the middle of the vehicle: nothing is gained at all
        same = stiffness_of_linkage(swing, 0.0)
        assert stiffness_of_linkage(swing, OFFSET) == pytest.approx(same, rel=1e-6)
