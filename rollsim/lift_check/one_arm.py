"""One arm for every state that the vehicle is driven in once it is lifted."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rollsim.lift_check.stand import SIDES, AngleVerdict, WheelStand, beyond


@dataclass(frozen=True, slots=True)
class OneArm:
    """The arms of an axle that are set once; NaN marks a side that needs none.

    Parameters
    ----------
    states : tuple of str
        What they serve.
    left_longer, right_longer : float
        At the ball joint [m].
    upper : bool
        Those arms are upper ones.
    caster_too : bool
        In one of these states the caster is beyond its adjusters.
    within : float
        How far from what is wanted a camber is then at most, of both wheels in all states [rad].
    """

    states: tuple[str, ...]
    left_longer: float
    right_longer: float
    upper: bool
    caster_too: bool
    within: float


def one_arm(states: Sequence[tuple[str, WheelStand]]) -> OneArm | None:
    """Which arm length serves all states best: half way between their wishes.

    Parameters
    ----------
    states : sequence of (str, WheelStand)
        Those with the changes made [rad, m].

    Returns
    -------
    OneArm or None
        None for a single state, or where no state calls for an arm.

    Notes
    -----
    Arm and adjusters are set once, so each wheel is put right for the middle of what its states
    lack; the length goes with what the adjusters leave of that.
    """
    stands = [stand for _, stand in states]
    if len(stands) < 2 or any(stand.verdict is None for stand in stands):
        return None
    if not any(stand.verdict is AngleVerdict.PARTS for stand in stands):
        return None
    longer, spreads = [], []
    for side in SIDES:
        offs = [getattr(stand, f"{side}_camber_off") for stand in stands]
        middle = 0.5 * (min(offs) + max(offs))
        spreads.append(0.5 * (max(offs) - min(offs)))
        missing = beyond(middle, min(stand.adjusters for stand in stands))
        arms = [
            (getattr(stand, f"{side}_camber_missing"), getattr(stand, f"{side}_arm_longer"))
            for stand in stands
        ]
        known = [one for one in arms if math.isfinite(one[1])]
        if missing and not known:
            return None
        # The length goes with the angle, as of the arm that takes most.
        angle, length = max(known, key=lambda one: abs(one[0]), default=(math.nan, math.nan))
        longer.append(missing / angle * length if missing else math.nan)
    upper = any(stand.arm_is_upper for stand in stands)
    caster_too = any(stand.caster_verdict is AngleVerdict.PARTS for stand in stands)
    return OneArm(tuple(name for name, _ in states), *longer, upper, caster_too, max(spreads))
