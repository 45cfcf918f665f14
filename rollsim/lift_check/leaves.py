"""How a leaf pack stands in every state: arch, shackle, and the signs of its load."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from rollsim import mass
from rollsim.spring_check import AXLES, AxleCheck, SpringCheck, Verdict
from rollsim.vehicle import Job
from rollsim.wheel_travel.leaf import MEASURED_BAND, TAPED_BAND, LeafPose, LeafSeat, leaf_pose

UPRIGHT = math.radians(10.0)  # close to square to the frame: common practice, no source
SWUNG_OUT = math.radians(60.0)  # little left before shackle and leaf are one line: the same
STOP_CLOSE = 0.020  # m to the bump stop: the same
NO_ARCH = 0.005  # m: what a tape tells from flat


class LeafSign(Enum):
    """What a mechanic reads off a pack: common practice, no source."""

    LITTLE = "too little load"
    RIGHT = "about right"
    MUCH = "too much load"
    CLOSE = "too close to tell"


SAME = {
    LeafSign.LITTLE: Verdict.UNDER_LOADED,
    LeafSign.RIGHT: Verdict.SUITED,
    LeafSign.MUCH: Verdict.OVER_LOADED,
}
"""The verdict of the spring check that a sign agrees with."""


@dataclass(frozen=True, slots=True)
class LeafStand:
    """A leaf pack in one state; NaN marks what has no value.

    Parameters
    ----------
    spring_rise : float
        Of the frame over the spring's seat, from as weighed: without what a lift adds under it [m].
    arch : float
        Of the main leaf over its ends, reversed negative [m].
    shackle_angle : float
        From square to the frame, swung out positive [rad].
    angle_band : float
        Half the band of that angle [rad].
    eye_distance : float
        [m].
    axle_shift : float
        Of the axle away from the fixed eye, from as weighed [m].
    pose : LeafPose or None
        Places, for its picture [m]; None where it does not reach or another spring is on.
    other_spring : bool
        A spring that replaces it is on in that state.
    sign : LeafSign or None
        None where it does not stand.
    gaps : bool or None
        Gaps were seen between its leaves at mid-length as it stands there, or none; None where
        nobody looked.
    check : AxleCheck
        What the spring check says.
    """

    spring_rise: float
    arch: float
    shackle_angle: float
    angle_band: float
    eye_distance: float
    axle_shift: float
    pose: LeafPose | None
    other_spring: bool
    sign: LeafSign | None
    gaps: bool | None
    check: AxleCheck

    @property
    def agrees(self) -> bool | None:
        """Whether the spring check says the same [-]; None where one of them says nothing."""
        if self.sign not in SAME or self.check.verdict is None:
            return None
        return SAME[self.sign] is self.check.verdict


def leaf_stands(
    job: Job, checks: Sequence[SpringCheck], number: int
) -> tuple[tuple[str, LeafStand], ...]:
    """How the leaf packs of an axle stand in every state.

    Parameters
    ----------
    job : Job
        Vehicle and changes, the axle with its leaves.
    checks : sequence of SpringCheck
        The states [m].
    number : int
        0 front, 1 rear [-].

    Returns
    -------
    tuple of (str, LeafStand)
        By state [m, rad].

    Notes
    -----
    A lift under or over the pack leaves its arch to its load, so the frame's rise over the axle
    counts without it. Too much load: no arch is left, or it is reversed. Too little: the shackle is
    close to square to the frame, within what its angle is known by, or gaps were seen there. Too
    much as well: the shackle swung out to its end, or the bump stop close.
    """
    leaf = (job.vehicle.front, job.vehicle.rear)[number].leaves
    found = []
    for check in checks:
        axle: AxleCheck = getattr(check, AXLES[number])
        state = mass.named(job, check.name)
        lift = float(mass.model(job, state).lift[number, 0])
        new = (job.change.front_spring, job.change.rear_spring)[number] is not None
        other = new and state.changed != job.change.on_when_weighed
        rise = axle.ride_height_change - lift
        pose = None if other or not math.isfinite(rise) else _pose(leaf, rise)
        gaps = leaf.gaps if abs(rise) <= NO_ARCH else None
        found.append((check.name, _stand(leaf, pose, rise, axle, other=other, gaps=gaps)))
    return tuple(found)


def _pose(leaf: LeafSeat, rise: float) -> LeafPose | None:
    try:
        return leaf_pose(leaf, rise)
    except ValueError:
        return None


def _stand(
    leaf: LeafSeat,
    pose: LeafPose | None,
    rise: float,
    check: AxleCheck,
    *,
    other: bool,
    gaps: bool | None,
) -> LeafStand:
    band = MEASURED_BAND if leaf.angle_is_measured else TAPED_BAND
    if pose is None:
        nothing = (math.nan,) * 5
        return LeafStand(rise, *nothing, None, other, None, None, check)
    return LeafStand(
        spring_rise=rise,
        arch=pose.arch,
        shackle_angle=pose.shackle_angle,
        angle_band=band,
        eye_distance=pose.eye_distance,
        axle_shift=pose.axle_shift,
        pose=pose,
        other_spring=other,
        sign=_sign(pose, check.bump_travel_left, band, gaps=gaps),
        gaps=gaps,
        check=check,
    )


def _sign(pose: LeafPose, to_stop: float, band: float, *, gaps: bool | None) -> LeafSign:
    # Compared with NaN, a stop that is not given is never close.
    angle = pose.shackle_angle
    if pose.arch <= NO_ARCH or angle >= SWUNG_OUT + band or to_stop <= STOP_CLOSE:
        return LeafSign.MUCH
    if angle <= UPRIGHT - band or (gaps and angle < UPRIGHT + band):
        return LeafSign.LITTLE
    if UPRIGHT + band <= angle <= SWUNG_OUT - band:
        return LeafSign.RIGHT
    return LeafSign.CLOSE
