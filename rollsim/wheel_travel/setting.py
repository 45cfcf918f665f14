"""What adjusters take of a camber, and which arm takes the rest."""

import math
from dataclasses import dataclass, replace

from rollsim.roll_centre import DoubleWishbone
from rollsim.wheel_travel.corner import AS_BUILT, Corner, Setting
from rollsim.wheel_travel.motion import pose

_CLOSE = 1e-7  # rad
_TRIAL = 0.001  # m
_ROUNDS = 12
LONGEST = 0.1  # m: no arm is ordered longer or shorter by more


@dataclass(frozen=True, slots=True)
class ArmChange:
    """An arm of another length.

    Parameters
    ----------
    upper : bool
        The upper arm, else the lower one.
    longer : float
        At the ball joint, shorter negative [m].
    outward : float
        Way of the contact patch that it brings [m].
    roll_centre_rise : float
        Of the roll centre [m].
    toe : float
        What it does to the wheel's toe until that is set anew, front in positive [rad]; NaN without
        a tie rod.
    scrub_radius : float
        What it adds to the scrub radius [m].
    """

    upper: bool
    longer: float
    outward: float
    roll_centre_rise: float
    toe: float
    scrub_radius: float


def pivot_reach(corner: Corner, rise: float, way: float, *, upper: bool) -> float:
    """Camber that moving a pivot takes, to either side.

    Parameters
    ----------
    corner : Corner
        As measured [m].
    rise : float
        Of the body [m].
    way : float
        Of the pivot, in or out from where it stands [m].
    upper : bool
        The upper arm's, or a strut's top mount; else the lower arm's.

    Returns
    -------
    float
        Half of what lies between both ends [rad].
    """
    name = "upper_pivot" if upper else "lower_pivot"
    straight = replace(corner, tie_rod=None)  # its toe is set anew afterwards
    ends = (pose(straight, rise, Setting(**{name: side * way})).camber for side in (1.0, -1.0))
    out, inward = ends
    return 0.5 * abs(out - inward)


def arm_change(corner: Corner, rise: float, camber: float) -> ArmChange | None:
    """The arm that takes a camber: the upper one, or the lower one under a strut.

    Parameters
    ----------
    corner : Corner
        As measured [m].
    rise : float
        Of the body [m].
    camber : float
        Wanted change of what the wheel has there, top out positive [rad].

    Returns
    -------
    ArmChange or None
        None where no arm within 100 mm does it [m].

    Notes
    -----
    A camber is read with the wheel straight ahead, so the arm is for a toe that is set anew.

    Examples
    --------
    >>> import math
    >>> from rollsim.roll_centre import Point
    >>> ends = [Point(*end) for end in ((0.38, 0.45), (0.66, 0.45), (0.38, 0.22), (0.66, 0.22))]
    >>> found = arm_change(Corner(DoubleWishbone(*ends, half_track=0.78)), 0.0, math.radians(-1.0))
    >>> found.upper, round(found.longer * 1e3, 1)
    (True, -4.0)
    """
    upper = isinstance(corner.linkage, DoubleWishbone)
    name = "upper_arm" if upper else "lower_arm"
    straight = replace(corner, tie_rod=None)
    try:
        plain = pose(straight, rise)
        aim, longer, step = plain.camber + camber, 0.0, _TRIAL
        there = plain
        for _ in range(_ROUNDS):
            gap = aim - there.camber
            if abs(gap) < _CLOSE:
                break
            more = pose(straight, rise, replace(AS_BUILT, **{name: longer + step}))
            longer += gap * step / (more.camber - there.camber)
            if not abs(longer) < LONGEST:
                return None
            there = pose(straight, rise, replace(AS_BUILT, **{name: longer}))
        else:
            return None
    except (ValueError, ZeroDivisionError):
        return None
    return ArmChange(
        upper=upper,
        longer=longer,
        outward=there.outward - plain.outward,
        roll_centre_rise=there.roll_centre_height - plain.roll_centre_height,
        toe=_toe(corner, rise, replace(AS_BUILT, **{name: longer})),
        scrub_radius=there.scrub_radius - plain.scrub_radius,
    )


def _toe(corner: Corner, rise: float, setting: Setting) -> float:
    """What a setting does to the toe while the tie rod stays as long as it is [rad]."""
    try:
        return pose(corner, rise, setting).toe - pose(corner, rise).toe
    except ValueError:
        return math.nan
