"""Leaf and shackle against a parabola measured point by point and a four-bar closed by scipy."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import least_squares

from rollsim.wheel_travel.leaf import LeafSeat, leaf_length, leaf_pose

# Invented: a truck's rear spring, its shackle measured at 25 degrees.
TRUCK = LeafSeat(
    0.52, 0.50, 0.41, 0.62, 0.68, shackle_length=0.11, shackle_angle=math.radians(25.0)
)


@pytest.mark.parametrize("arch", [0.0, 0.02, 0.14, -0.05])
def test_length_of_a_parabola(arch):
    """By its integral: the slope is 8 c x/l² from the middle."""
    ends = 1.3
    length, _ = quad(lambda x: math.hypot(1.0, 8.0 * arch * x / ends**2), -ends / 2.0, ends / 2.0)
    assert leaf_length(ends, arch) == pytest.approx(length, rel=1e-10)


def moved(leaf: LeafSeat, rise: float, *, points: int = 401) -> dict[str, float]:
    """The same leaf as many short pieces on a parabola, and the shackle as a length."""
    share = np.linspace(0.0, 1.0, points)

    def pieces(eyes, arch):
        """Length along the leaf, its ends at the eyes: without an eye offset."""
        return np.hypot(np.diff(share * eyes), np.diff(4.0 * arch * share * (1.0 - share))).sum()

    along = leaf.fixed_to_axle + leaf.axle_to_shackle
    start = np.array([along, leaf.shackle_eye])
    hanger = start + leaf.shackle_length * np.array(
        [-math.sin(leaf.shackle_angle), math.cos(leaf.shackle_angle)]
    )
    fixed = np.array([0.0, leaf.fixed_eye])
    chord = start - fixed
    eyes = np.hypot(*chord)
    seat = np.array([leaf.fixed_to_axle, leaf.seat]) - fixed
    at = seat @ chord / eyes**2
    square = float(np.cross(np.append(seat, 0.0), np.append(chord, 0.0))[2]) / eyes
    whole = pieces(eyes, square / (4.0 * at * (1.0 - at)))

    def gaps(x):
        eye, arch = x[:2], x[2]
        chord = eye - fixed
        eyes = np.hypot(*chord)
        down = np.array([chord[1], -chord[0]]) / eyes
        seat = fixed + at * chord + 4.0 * arch * at * (1.0 - at) * down
        return [
            np.hypot(*(eye - hanger)) - leaf.shackle_length,
            pieces(eyes, arch) - whole,
            seat[1] - (leaf.seat - rise),
        ]

    found = least_squares(gaps, [*start, 0.1], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert np.abs(found.fun).max() < 1e-9
    x, height, arch = found.x
    return {"angle": math.atan2(x - hanger[0], hanger[1] - height), "arch": arch}


@pytest.mark.parametrize("rise", [0.06, -0.05, -0.11])
def test_arch_and_shackle_against_pieces(rise):
    found, by_pieces = leaf_pose(TRUCK, rise), moved(TRUCK, rise)
    assert found.arch == pytest.approx(by_pieces["arch"], abs=2e-6)
    assert found.shackle_angle == pytest.approx(by_pieces["angle"], abs=2e-5)


@pytest.mark.parametrize("offset", [0.0, 0.028, -0.028])
def test_as_it_stands_nothing_has_moved_and_the_four_bar_closes(offset):
    leaf = LeafSeat(0.52, 0.50, 0.41, 0.62, 0.68, 0.11, math.radians(25.0), eye_offset=offset)
    still = leaf_pose(leaf, 0.0)
    assert still.shackle_angle == pytest.approx(math.radians(25.0), abs=1e-9)
    assert still.axle_shift == 0.0
    assert still.shackle_eye == pytest.approx((1.30, 0.50), abs=1e-9)
    assert still.seat[1] == pytest.approx(0.41, abs=1e-9)
    lower = leaf_pose(leaf, -0.07)
    assert math.dist(lower.shackle_eye, leaf.hanger) == pytest.approx(0.11, abs=1e-9)
    assert math.dist(lower.shackle_eye, (0.0, 0.52)) == pytest.approx(lower.eye_distance, abs=1e-9)
    assert lower.seat[1] == pytest.approx(0.48, abs=1e-9)
    # Loaded it flattens, the eyes part and the shackle swings out; the axle goes back with it.
    assert lower.arch < still.arch
    assert lower.shackle_angle > still.shackle_angle
    assert lower.axle_shift > 0.0


def test_an_upturned_eye_adds_its_offset_to_the_drop():
    """By hand, flat leaf: eyes 28 mm over it, so a seat 28 mm under their line has no arch."""
    flat = LeafSeat(0.50, 0.50, 0.472, 0.6, 0.6, 0.1, 0.5, eye_offset=0.028)
    assert leaf_pose(flat, 0.0).arch == pytest.approx(0.0, abs=1e-12)


def test_what_a_shackle_does_not_reach_is_said():
    with pytest.raises(ValueError, match="the shackle does not reach so far"):
        leaf_pose(TRUCK, 0.6)
