"""How much travel is left on an axle: to the bump stop or closing coils, and to full droop?"""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.roll.travel_left import travel_left
from rollsim.vehicle import Axle, Stop


@dataclass(frozen=True, slots=True)
class TravelEnds:
    """Travel left on an axle, at the side with less.

    Parameters
    ----------
    bump, rebound : float
        Measured at the stop [m]; below zero where the stop is at work or the coils are closed.
    bump_share, rebound_share : float
        Of the travel from end to end, both taken to the wheel [-]; of the travel as weighed where
        there is no other end.
    coils_close : bool
        The coils of the spring close before the bump stop works, or there is none.
    stop_rate : float
        Of the stops at work, mean of both sides [N/m].
    """

    bump: float
    rebound: float
    bump_share: float
    rebound_share: float
    coils_close: bool
    stop_rate: float


def travel_ends(axle: Axle, extension: tuple[float, float], bind_gap: float) -> TravelEnds:
    """Travel left at both ends.

    Parameters
    ----------
    axle : Axle
        With its stops.
    extension : tuple of float
        At the left and the right spring, from as weighed [m].
    bind_gap : float
        Travel of the spring from as weighed until its coils close, lift taken off [m]; NaN where
        the spring has no coils that close.

    Returns
    -------
    TravelEnds
        [m, -, N/m].

    Notes
    -----
    What comes first ends the travel: a bump stop that works after the coils have closed does not
    save them.
    """
    bump, rebound = travel_left(axle, extension)
    ratio, ratio_droop = _ratio(axle.bump_stop), _ratio(axle.rebound_limit)
    bind = [ratio * (bind_gap + here) for here in extension]
    ends = [float(np.fmin(*pair)) for pair in zip(bump, bind, strict=True)]
    low = 0 if not ends[1] < ends[0] else 1
    high = 0 if not rebound[1] < rebound[0] else 1
    gap = math.nan if axle.bump_stop is None else axle.bump_stop.gap / ratio
    droop_gap = math.nan if axle.rebound_limit is None else axle.rebound_limit.gap / ratio_droop
    return TravelEnds(
        bump=ends[low],
        rebound=rebound[high],
        bump_share=_share(
            ends[low] / ratio, rebound[low] / ratio_droop, alone=float(np.fmin(gap, bind_gap))
        ),
        rebound_share=_share(rebound[high] / ratio_droop, ends[high] / ratio, alone=droop_gap),
        coils_close=not bump[low] <= bind[low] and math.isfinite(bind_gap),
        stop_rate=_at_work(axle.bump_stop, bump) + _at_work(axle.rebound_limit, rebound),
    )


def _ratio(stop: Stop | None) -> float:
    return 1.0 if stop is None else stop.motion_ratio


def _share(left: float, beyond: float, *, alone: float) -> float:
    """Of the travel from end to end; of that as weighed, `alone`, where there is no other end."""
    whole = left + beyond if math.isfinite(beyond) else alone
    return left / whole if whole > 0.0 else math.nan


def _at_work(stop: Stop | None, left: tuple[float, float]) -> float:
    if stop is None:
        return 0.0
    return stop.rate * stop.motion_ratio**2 * sum(x < 0.0 for x in left) / 2.0
