"""Camber, caster, toe and track with travel against other equations for the same linkage.

Independent kinematics, not another program: points held at their distances from each other by
scipy, every arm with two bushes on its axis; no angle and no turn of a knuckle is an unknown.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq, least_squares

from rollsim.roll_centre import DoubleWishbone, Point, Strut
from rollsim.wheel_travel import (
    Corner,
    Setting,
    TieRod,
    arm_change,
    bump_steer,
    pivot_reach,
    pose,
    reading_bands,
)

# Invented: a light truck's front axle, its arms and tie rod, from behind and along.
WISHBONE = DoubleWishbone(
    Point(0.38, 0.44), Point(0.66, 0.47), Point(0.33, 0.26), Point(0.70, 0.22), half_track=0.78
)
STRUT = Strut(
    Point(0.60, 0.88), Point(0.66, 0.45), Point(0.34, 0.23), Point(0.70, 0.21), half_track=0.77
)
ROD = TieRod(Point(0.36, 0.30), Point(0.68, 0.27), inner_ahead=-0.11, outer_ahead=-0.13)
CASTER = math.radians(3.2)
SIDE_VIEW = {"upper_slope": math.radians(-4.0), "lower_slope": math.radians(2.0)}
TRUCK = Corner(WISHBONE, CASTER, **SIDE_VIEW, tie_rod=ROD)
WAGON = Corner(STRUT, CASTER, lower_slope=math.radians(2.0), tie_rod=ROD)


def bushes(pivot: Point, slope: float) -> list[np.ndarray]:
    """Two points of an arm's axis, 150 mm ahead of and behind the plane of the axle."""
    return [
        np.array([ahead, pivot.across, pivot.height + ahead * math.tan(slope)])
        for ahead in (0.15, -0.15)
    ]


def by_distances(corner: Corner, rise: float, *, lower_arm: float = 0.0) -> dict[str, float]:
    """Changes of camber, caster and toe [rad] and the patch's way [m], by lengths alone."""
    side, rod = corner.linkage, corner.tie_rod
    tall = -math.tan(corner.caster)
    strut = isinstance(side, Strut)
    upper = side.top if strut else side.upper_joint
    base = side.lower_joint.height
    ahead = tall * (upper.height - base)
    start = {
        "lower": np.array([0.0, side.lower_joint.across, base]),
        "upper": np.array([ahead, upper.across, upper.height]),
        "rod": np.array([rod.outer_ahead, rod.outer.across, rod.outer.height]),
        "hub": np.array([0.0, side.half_track - 0.1, 0.38]),
        "face": np.array([0.0, side.half_track, 0.38]),
        "patch": np.array([0.0, side.half_track, 0.0]),
    }
    if strut:  # its line is marked on the knuckle by the tube and a point further up
        tube = np.array([tall * (side.tube.height - base), side.tube.across, side.tube.height])
        start["tube"], start["upper"] = tube, tube + 0.4 * (start["upper"] - tube)
        top = np.array([ahead, side.top.across, side.top.height])
    names = list(start)
    arm = np.array(
        [0.0, *np.subtract(*((p.across, p.height) for p in (side.lower_joint, side.lower_pivot)))]
    )
    built = start | {"lower": start["lower"] + lower_arm * arm / np.linalg.norm(arm)}
    fixed = {("lower", n): b for n, b in enumerate(bushes(side.lower_pivot, corner.lower_slope))}
    fixed["rod", 0] = np.array([rod.inner_ahead, rod.inner.across, rod.inner.height])
    if not strut:
        ends = bushes(side.upper_pivot, corner.upper_slope)
        fixed |= {("upper", n): bush for n, bush in enumerate(ends)}
    lift = np.array([0.0, 0.0, rise])

    def gaps(x):
        now = dict(zip(names, x.reshape(-1, 3), strict=True))
        found = [
            np.linalg.norm(now[a] - now[b]) - np.linalg.norm(start[a] - start[b])
            for n, a in enumerate(names)
            for b in names[:n]
        ]
        found += [
            np.linalg.norm(now[name] - bush - lift) - np.linalg.norm(built[name] - bush)
            for (name, _), bush in fixed.items()
        ]
        found.append(now["patch"][2])
        if strut:
            found += list(np.cross(now["upper"] - now["tube"], top + lift - now["tube"]))
        return found

    guess = np.concatenate([start[name] for name in names])
    solved = least_squares(gaps, guess, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert np.abs(solved.fun).max() < 1e-9
    now = dict(zip(names, solved.x.reshape(-1, 3), strict=True))
    spindle = (now["face"] - now["hub"]) / 0.1
    king = (top + lift if strut else now["upper"]) - now["lower"]
    return {
        "camber": -math.asin(spindle[2]),
        "caster": math.atan2(-king[0], king[2]) - corner.caster,
        "toe": math.atan2(spindle[0], spindle[1]),
        "outward": now["patch"][1] - side.half_track,
    }


@pytest.mark.parametrize("corner", [TRUCK, WAGON], ids=["two wishbones", "strut"])
@pytest.mark.parametrize("rise", [0.045, -0.06])
def test_lengths_alone_give_the_same(corner, rise):
    found = pose(corner, rise)
    for name, value in by_distances(corner, rise).items():
        assert getattr(found, name) == pytest.approx(value, abs=2e-8), name
    ways = [by_distances(corner, rise + step)["toe"] for step in (-0.005, 0.005)]
    assert bump_steer(corner, rise) == pytest.approx(ways[0] - ways[1], abs=5e-8)


def test_signs_by_hand():
    """An upper arm alone that comes in by x over the joints' distance d: the top leans in x/d.

    The lower arm is half a kilometre long and both joints stand over the patch, so that the lower
    one only goes up and down.
    """
    far, short = 500.0, 0.30
    side = DoubleWishbone(
        Point(0.40, 0.47), Point(0.70, 0.47), Point(0.70 - far, 0.22), Point(0.70, 0.22), 0.70
    )
    found = pose(Corner(side), 0.05)
    down = 0.05  # of both joints against the body
    came_in = short - math.sqrt(short**2 - down**2)
    assert found.camber == pytest.approx(-came_in / 0.25, rel=3e-3)
    assert math.isnan(found.caster)
    assert math.isnan(found.toe)


def test_equal_parallel_arms_keep_the_camber():
    """Closed form: the patch goes with the arms, L (cos of their slope, less 1)."""
    side = DoubleWishbone(
        Point(0.36, 0.45), Point(0.66, 0.45), Point(0.40, 0.22), Point(0.70, 0.22), 0.78
    )
    rod = TieRod(Point(0.38, 0.30), Point(0.68, 0.30), -0.12, -0.12)  # as long, and parallel
    found = pose(Corner(side, tie_rod=rod), 0.06)
    assert found.camber == pytest.approx(0.0, abs=1e-9)
    assert found.toe == pytest.approx(0.0, abs=1e-9)
    assert found.outward == pytest.approx(0.3 * (math.sqrt(1.0 - 0.2**2) - 1.0), abs=1e-9)


def test_an_axis_rising_to_the_front_takes_the_joint_ahead_as_it_drops():
    """By hand: a joint moves square to its axis, so it goes ahead by its drop times the slope."""
    slope, down = math.radians(5.0), 0.04
    side = DoubleWishbone(
        Point(0.36, 0.45), Point(0.66, 0.45), Point(0.40, 0.20), Point(0.70, 0.20), 0.78
    )
    found = pose(Corner(side, upper_slope=0.0, lower_slope=slope), down)
    # The lower joint 3.5 mm ahead of where it was, 250 mm under the upper one.
    assert math.tan(found.caster) == pytest.approx(down * math.tan(slope) / 0.25, rel=2e-3)


@pytest.mark.parametrize("corner", [TRUCK, WAGON], ids=["upper arm", "lower arm under a strut"])
def test_the_arm_to_order_brings_the_camber(corner):
    """By another search: the length is bisected on the linkage itself."""
    wanted = math.radians(-0.6)
    found = arm_change(corner, 0.045, wanted)
    name = "upper_arm" if found.upper else "lower_arm"
    straight = replace(corner, tie_rod=None)  # as with its toe set anew
    plain = pose(straight, 0.045)

    def gap(longer):
        return pose(straight, 0.045, Setting(**{name: longer})).camber - plain.camber - wanted

    assert found.longer == pytest.approx(brentq(gap, -0.03, 0.03, xtol=1e-8), abs=1e-6)
    # A shorter upper arm, or a longer lower one, leans the top in and puts the tyre further out.
    assert (found.longer < 0.0) == found.upper
    assert found.outward > 0.0


def test_what_an_arm_does_to_toe_and_scrub():
    """Toe by lengths alone; scrub by the line through the moved points of the axis."""
    found = arm_change(WAGON, 0.02, math.radians(-0.6))
    plain, longer = (by_distances(WAGON, 0.02, lower_arm=x) for x in (0.0, found.longer))
    assert found.toe == pytest.approx(longer["toe"] - plain["toe"], abs=2e-7)
    assert abs(found.toe) > math.radians(1.0)  # what has to be set anew under a strut
    scrubs = []
    for x in (0.0, found.longer):
        side = pose(replace(WAGON, tie_rod=None), 0.02, Setting(lower_arm=x)).linkage
        ends = [(p.height, p.across) for p in (side.lower_joint, side.top)]
        on_ground = np.polyval(np.polyfit(*zip(*ends, strict=True), 1), 0.0)
        scrubs.append(side.half_track - on_ground)
    assert found.scrub_radius == pytest.approx(scrubs[1] - scrubs[0], abs=1e-9)


def test_a_pivot_moved_is_an_arm_of_another_length():
    """Level arm: its pivot out by 3 mm puts the joint as far out as an arm 3 mm longer."""
    level = DoubleWishbone(
        Point(0.38, 0.47), Point(0.66, 0.47), Point(0.33, 0.22), Point(0.70, 0.22), 0.78
    )
    corner = Corner(level)
    longer = [pose(corner, 0.0, Setting(upper_arm=x)).camber for x in (0.003, -0.003)]
    assert pivot_reach(corner, 0.0, 0.003, upper=True) == pytest.approx(
        0.5 * (longer[0] - longer[1]), rel=1e-4
    )


def test_how_well_an_angle_is_known():
    """Nothing at the height of the readings, and twice as much for twice the tape's error."""
    rods = [replace(ROD, reading_error=error) for error in (0.002, 0.004)]
    corners = [
        replace(TRUCK, tie_rod=rod, slope_errors=(error, error))
        for rod, error in zip(rods, (0.01, 0.02), strict=True)
    ]
    assert reading_bands(corners[0], 0.0).toe == pytest.approx(0.0, abs=1e-7)
    once, twice = (
        reading_bands(corner, 0.045, error)
        for corner, error in zip(corners, (0.002, 0.004), strict=True)
    )
    for word in ("camber", "caster", "toe", "bump_steer"):
        assert 0.0 < getattr(once, word) < math.radians(0.6)
        assert getattr(twice, word) == pytest.approx(2.0 * getattr(once, word), rel=1e-2)
    back = reading_bands(corners[0], 0.045, 0.002, since={"camber": 0.045, "caster": 0.0, "toe": 0})
    assert (back.camber, back.caster) == (0.0, once.caster)


def test_the_band_of_toe_and_caster_by_hand():
    """Equal parallel arms and a rod as long: only what is misread moves toe and caster.

    A joint of the rod read 5 mm off in height slants it by e/L, so that over a rise r its end goes
    e r/L across, on a steering arm a: e r/(L a), of both joints √2 times that. A joint read off
    across makes the rod so much longer, r² e/(2 L² a). An axis off by σ takes its joint r σ along,
    of two arms d apart: √2 r σ/d.
    """
    side = DoubleWishbone(
        Point(0.40, 0.45), Point(0.70, 0.45), Point(0.40, 0.22), Point(0.70, 0.22), 0.78
    )
    rise, error, length, lever = 0.045, 0.005, 0.30, 0.12
    rod = TieRod(Point(0.40, 0.30), Point(0.70, 0.30), -lever, -lever, reading_error=error)
    slopes = {"upper_slope": 0.0, "lower_slope": 0.0, "slope_errors": (0.02, 0.02)}
    found = reading_bands(Corner(side, tie_rod=rod, **slopes), rise, 0.0)
    slant, longer = error * rise / (length * lever), error * rise**2 / (2.0 * length**2 * lever)
    assert found.toe == pytest.approx(math.hypot(slant, slant, longer, longer), rel=2e-2)
    assert found.caster == pytest.approx(math.sqrt(2.0) * rise * 0.02 / 0.23, rel=2e-2)
    steer = math.sqrt(2.0) * error * 0.010 / (length * lever)
    level = reading_bands(Corner(side, tie_rod=rod, **slopes), 0.0, 0.0)
    assert level.bump_steer == pytest.approx(steer, rel=2e-2)


def test_what_does_not_reach_is_said():
    with pytest.raises(ValueError, match="does not reach so far; check its points"):
        pose(TRUCK, 0.9)
    assert arm_change(TRUCK, 0.9, 0.01) is None
