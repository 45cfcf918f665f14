"""A track bar's side, against a body that hangs on a rod of fixed length.

Other equations for the same mechanics: no roll centre and no travel ratio, but the two ends of the
rod kept apart by its length, the energy of weight, springs and tyres and the work of side force
written out, and its slopes by differences. Left of the centreline and up are positive.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq, root

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.roll import TURN, follow, results
from rollsim.roll.figures import turns
from rollsim.roll_centre import PanhardRod, Point, roll_centre
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Job, Suspension, TrackBar, Tyre, Vehicle

G = 9.80665
SPRUNG, UNSPRUNG, CG = 800.0, 180.0, 0.85  # kg, kg, m above ground: of one of two axles alike
TRACK, BASE, RATE, TYRE, OWN = 1.55, 1.05, 36e3, 250e3, 0.38


def on_a_rod(bar: TrackBar, a: float) -> float:
    """Lean to the right [rad] in a left turn (a > 0) or a right one, one axle in its plane."""
    start = np.array([bar.body_left - bar.axle_left, bar.body_height - bar.axle_height])
    length = np.hypot(*start)
    # Spring seats at the height at which the rod crosses the centreline, as the program has them.
    seat = bar.axle_height - bar.axle_left * start[1] / start[0]

    def moved(s: float, theta: float, aside: float, at: tuple[float, float]) -> np.ndarray:
        """A point of the body in the axle's frame."""
        y, z = at[0], at[1] - seat
        return np.array(
            [
                aside + y * np.cos(theta) - z * np.sin(theta),
                seat + s + y * np.sin(theta) + z * np.cos(theta),
            ]
        )

    def aside(s: float, theta: float) -> float:
        def gap(shift: float) -> float:
            end = moved(s, theta, shift, (bar.body_left, bar.body_height))
            return np.hypot(*(end - (bar.axle_left, bar.axle_height))) - length

        return brentq(gap, -0.2, 0.2, xtol=1e-14)

    def energy(q: np.ndarray) -> float:
        s, theta, p, z = q
        shift = aside(s, theta)
        tilt = np.array([[np.cos(p), -np.sin(p)], [np.sin(p), np.cos(p)]])
        body = tilt @ moved(s, theta, shift, (0.0, CG)) + (0.0, z)
        own = tilt @ np.array([0.0, OWN]) + (0.0, z)
        total = SPRUNG * (G * body[1] + a * body[0]) + UNSPRUNG * (G * own[1] + a * own[0])
        for side in (0.5, -0.5):
            way = moved(s, theta, shift, (side * BASE, seat))[1] - seat
            total += -0.5 * SPRUNG * G * way + 0.5 * RATE * way**2
            down = z + side * TRACK * np.sin(p)
            total += -0.5 * (SPRUNG + UNSPRUNG) * G * down + 0.5 * TYRE * down**2
        return total

    def slope(q: np.ndarray) -> np.ndarray:
        h = 1e-5
        steps = np.eye(4) * h
        # Side force acts at the ground: the axle's rise lifts what it turns about.
        found = np.array([energy(q + x) - energy(q - x) for x in steps]) / (2.0 * h)
        found[2] -= (SPRUNG + UNSPRUNG) * a * q[3]
        return found / 1e4

    found = root(slope, np.zeros(4), tol=1e-9)
    assert np.abs(found.fun).max() < 1e-7
    return float(found.x[1] + found.x[2])


def vehicle(bar: TrackBar) -> Job:
    ends = Point(bar.axle_left, bar.axle_height), Point(bar.body_left, bar.body_height)
    held = roll_centre(PanhardRod(*ends))
    axle = Axle(
        Suspension.SOLID_AXLE,
        *(TRACK, BASE, UNSPRUNG, OWN, held.height, held.travel_ratio),
        LinearSpring(RATE),
        Tyre(TYRE),
        track_bar=bar,
    )
    whole = SPRUNG + UNSPRUNG
    cg = (SPRUNG * CG + UNSPRUNG * OWN) / whole
    return Job(Vehicle("invented", None, 3.0, whole, whole, cg, None, axle, axle))


BARS = {
    "level": TrackBar(0.50, 0.42, -0.50, 0.42),
    "raised": TrackBar(0.50, 0.36, -0.48, 0.50),
    "raised, on the other side": TrackBar(-0.50, 0.36, 0.48, 0.50),
    "short": TrackBar(0.30, 0.40, -0.35, 0.46),
}


@pytest.mark.parametrize("name", BARS)
def test_lean_of_both_turns(name):
    job = vehicle(BARS[name])
    model, settled = settle(mass.model(job, mass.named(job, "as_weighed")), TURN)
    found = []
    for (one, rest), sign in zip(turns(model, settled), (1.0, -1.0), strict=True):
        (point,) = follow(one, rest, (0.4 * G,))
        lean = on_a_rod(BARS[name], sign * 0.4 * G) * sign
        # The program goes to second order in travel and lean: 0.2 % of the lean at 0.4 g.
        assert point.x[1, 0] == pytest.approx(lean, rel=2e-3)
        found.append((point.x[1, 0], lean))
    (left, left_rod), (right, right_rod) = found
    assert abs(left_rod / right_rod - 1.0) > 0.04
    assert left / right == pytest.approx(left_rod / right_rod, abs=3e-3)


def test_left_and_right_change_places_with_the_bar():
    one, other = (results(vehicle(BARS[name]))[-1] for name in list(BARS)[1:3])
    assert one.secant_roll_gradient == pytest.approx(other.right_secant_roll_gradient, rel=1e-9)
    assert one.tip_over_threshold == pytest.approx(other.tip_over_threshold, rel=1e-6)
    mirrored = results(vehicle(BARS["raised"]), mirrored=True)[-1]
    assert mirrored.secant_roll_gradient == pytest.approx(one.right_secant_roll_gradient, rel=1e-9)
    bare = replace(vehicle(BARS["raised"]).vehicle.rear, track_bar=None)
    plain = Job(replace(vehicle(BARS["raised"]).vehicle, front=bare, rear=bare))
    (state,) = (results(plain)[-1],)
    assert state.secant_roll_gradient == state.right_secant_roll_gradient
