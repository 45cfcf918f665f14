"""How the wheels of an axle stand at every ride height, on the tyres and the track of a state."""

import math
from dataclasses import dataclass, replace

from rollsim import mass
from rollsim.lift_check.stand import ANGLES
from rollsim.mass import raised
from rollsim.roll_centre import DoubleWishbone, Point
from rollsim.vehicle import Job
from rollsim.wheel_travel import Corner, pose

REACH = 0.080  # m: of a curve to a side where no stop is given
POINTS = 33


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """A wheel at one ride height.

    Parameters
    ----------
    ride_height_change : float
        From as weighed, up positive [m].
    camber, caster, toe : float
        Mean of both wheels where they were read, else the change from as weighed, by the linkage
        alone [rad].
    track_change : float
        From as weighed [m].
    roll_centre_height, scrub_radius : float
        [m].
    """

    ride_height_change: float
    camber: float
    caster: float
    toe: float
    track_change: float
    roll_centre_height: float
    scrub_radius: float


def camber_curve(job: Job, number: int, state: str, *, here: float = 0.0) -> tuple[CurvePoint, ...]:
    """Camber, caster, toe, track and roll centre of an axle against ride height.

    Parameters
    ----------
    job : Job
        Vehicle and changes.
    number : int
        0 front, 1 rear [-].
    state : str
        Whose stops, tyres and track count.
    here : float
        Ride height that has to be within the curve, from as weighed [m].

    Returns
    -------
    tuple of CurvePoint
        From bump stop to full droop, as far as the linkage reaches [m, rad]; empty without a
        linkage.
    """
    axle = mass.axles(job, mass.named(job, state))[number]
    corner = corner_in_state(job, number, state)
    if corner is None:
        return ()
    low, high = (
        REACH if stop is None else stop.gap / stop.motion_ratio
        for stop in (axle.bump_stop, axle.rebound_limit)
    )
    low, high = min(-low, here), max(high, here)
    reading = axle.alignment.reading
    means = (mean(getattr(reading, word)) for word in ANGLES)
    camber, caster, toe = (0.0 if math.isnan(one) else one for one in means)
    found = []
    for n in range(POINTS):
        rise = low + (high - low) * n / (POINTS - 1)
        try:
            there = pose(corner, rise)
        except ValueError:
            continue
        found.append(
            CurvePoint(
                rise,
                camber + there.camber,
                caster + there.caster,
                toe + there.toe,
                track_change=2.0 * there.outward,
                roll_centre_height=there.roll_centre_height,
                scrub_radius=there.scrub_radius,
            )
        )
    return tuple(found)


def corner_in_state(job: Job, number: int, name: str) -> Corner | None:
    """A corner on the tyres and the track of a state.

    Parameters
    ----------
    job : Job
        Vehicle and changes.
    number : int
        0 front, 1 rear [-].
    name : str
        Of the state.

    Returns
    -------
    Corner or None
        As measured [m, rad]; None where no linkage is taped.
    """
    state = mass.named(job, name)
    axle, up = mass.axles(job, state)[number], raised(job, state)
    own = None if axle.alignment is None else axle.alignment.corner
    if own is None:
        return None
    side, rod = own.linkage, own.tie_rod
    if isinstance(side, DoubleWishbone):
        names = ("upper_pivot", "upper_joint", "lower_pivot", "lower_joint")
    else:
        names = ("top", "tube", "lower_pivot", "lower_joint")
    points = {word: _up(getattr(side, word), up) for word in names}
    if rod is not None:
        rod = replace(rod, inner=_up(rod.inner, up), outer=_up(rod.outer, up))
    return replace(own, linkage=replace(side, half_track=0.5 * axle.track, **points), tie_rod=rod)


def _up(point: Point, rise: float) -> Point:
    return replace(point, height=point.height + rise)


def mean(pair: tuple[float, float] | None) -> float:
    """Of the left and the right wheel.

    Parameters
    ----------
    pair : tuple of float or None
        Of both [rad].

    Returns
    -------
    float
        [rad]; NaN where it was not read.
    """
    return math.nan if pair is None else 0.5 * (pair[0] + pair[1])
