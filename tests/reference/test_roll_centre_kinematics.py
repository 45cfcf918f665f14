"""Roll centre against the linkage moved: the contact patch leaves the ground square to it.

Independent kinematics, not another program: rigid links closed by scipy while the wheel is moved.
As the patch moves, the line from it to the roll centre is square to its path, so the height is half
the track times the patch's way outward per way up: no instant centre and no line is drawn.
"""

import numpy as np
import pytest
from scipy.optimize import least_squares

from rollsim.roll_centre.geometry import height_at, travel_ratio
from rollsim.roll_centre.linkages import DoubleWishbone, PanhardRod, Point, Strut

STEP = 1e-4  # m of wheel travel

WISHBONES = {
    "usual": ((0.38, 0.42), (0.66, 0.45), (0.33, 0.24), (0.70, 0.21), 0.78),
    "parallel": ((0.38, 0.45), (0.66, 0.45), (0.34, 0.22), (0.70, 0.22), 0.78),
    "steep, lifted": ((0.40, 0.53), (0.66, 0.44), (0.34, 0.33), (0.70, 0.20), 0.80),
}
STRUTS = {
    "usual": ((0.60, 0.88), (0.66, 0.45), (0.34, 0.23), (0.70, 0.21), 0.77),
    "upright": ((0.64, 0.90), (0.65, 0.46), (0.33, 0.27), (0.71, 0.20), 0.79),
}


def linkage(kind, points):
    *ends, half_track = points
    return kind(*(Point(*end) for end in ends), half_track)


def patch(points, travel: float, *, strut: bool, rise: float = 0.0) -> np.ndarray:
    """Where the contact patch is with the wheel up by `travel` on a body raised by `rise`."""
    first, second, pivot, joint, half_track = points
    body = np.array([0.0, rise])
    upper_body, lower_body = np.array(first) + body, np.array(pivot) + body
    knuckle = {
        "upper": np.array(second),
        "lower": np.array(joint),
        "patch": np.array([half_track, 0]),
    }
    straight = np.array(first) - np.array(second)  # of the strut, as it stood

    def moved(x, name):
        turn = np.array([[np.cos(x[2]), -np.sin(x[2])], [np.sin(x[2]), np.cos(x[2])]])
        return x[:2] + turn @ knuckle[name], turn

    def gaps(x):
        lower, turn = moved(x, "lower")
        upper, _ = moved(x, "upper")
        arm = np.hypot(*(lower - lower_body)) - np.hypot(*(np.array(joint) - np.array(pivot)))
        if strut:  # its top stays on the line that the tube carries with it
            line, to_top = turn @ straight, upper_body - upper
            other = (line[0] * to_top[1] - line[1] * to_top[0]) / np.hypot(*line)
        else:
            reach = np.hypot(*(np.array(second) - np.array(first)))
            other = np.hypot(*(upper - upper_body)) - reach
        return [arm, other, moved(x, "patch")[0][1] - travel]

    found = least_squares(gaps, [0.0, rise, 0.0], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert np.abs(found.fun).max() < 1e-10
    return moved(found.x, "patch")[0]


def height(points, *, strut: bool, rise: float = 0.0) -> float:
    up, down, here = (
        patch(points, travel, strut=strut, rise=rise) for travel in (STEP, -STEP, 0.0)
    )
    outward = (up[0] - down[0]) / (2.0 * STEP)
    return outward * here[0]


CASES = [(DoubleWishbone, name, WISHBONES[name]) for name in WISHBONES]
CASES += [(Strut, name, STRUTS[name]) for name in STRUTS]


@pytest.mark.parametrize(("kind", "name", "points"), CASES)
@pytest.mark.parametrize("rise", [0.0, 0.03, -0.04])
def test_height(kind, name, points, rise):
    by_moving = height(points, strut=kind is Strut, rise=rise)
    # 0.02 mm: central differences over 0.2 mm of wheel travel.
    assert height_at(linkage(kind, points), rise) == pytest.approx(by_moving, abs=2e-5)


@pytest.mark.parametrize(("kind", "name", "points"), CASES)
def test_travel_ratio(kind, name, points):
    strut = kind is Strut
    high, low = (height(points, strut=strut, rise=rise) for rise in (0.010, -0.010))
    found = travel_ratio(linkage(kind, points))
    assert found == pytest.approx((high - low) / 0.020, abs=2e-3)


def test_a_panhard_rod_moved():
    """The body stays where the rod holds it: the point that stays put is where it crosses."""
    axle, body = np.array([-0.48, 0.41]), np.array([0.46, 0.47])
    found = height_at(PanhardRod(Point(*axle), Point(*body)))

    def rod_change(height: float) -> float:
        """How much longer the rod would get, the body rolled a little about that height."""
        angle, centre = 1e-5, np.array([0.0, height])
        turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        rolled = centre + turn @ (body - centre)
        return (np.hypot(*(rolled - axle)) - np.hypot(*(body - axle))) / angle

    assert rod_change(found) == pytest.approx(0.0, abs=1e-5)
    assert abs(rod_change(found + 0.01)) > 1e-3
