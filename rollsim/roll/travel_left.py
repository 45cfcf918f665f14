"""How much travel is left at the stops of an axle?"""

import math

from rollsim import mass
from rollsim.roll.states import StateResult
from rollsim.vehicle import Axle, Job, Stop


def travel_left(
    axle: Axle, extension: tuple[float, float]
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Travel left at bump stops and rebound limits.

    Parameters
    ----------
    axle : Axle
        With its stops.
    extension : tuple of float
        At the left and the right spring, from as weighed [m].

    Returns
    -------
    tuple of (float, float)
        Left and right bump stop, left and right rebound limit, measured at the stop [m]; below
        zero where the stop is at work, NaN where it is not given.

    Notes
    -----
    Gaps are counted from as weighed (docs/method.md §1, §3). The stop's travel is the mean of both
    springs ± half their difference × its base / spring base, times its motion ratio.

    Examples
    --------
    >>> from rollsim.springs import LinearSpring
    >>> from rollsim.vehicle import Suspension, Tyre
    >>> sizes = (1.55, 1.0, 190.0, 0.37, 0.47, 0.5)
    >>> stop = Stop(gap=0.08, rate=2e5, base=0.5)
    >>> springs = (LinearSpring(3.6e4), Tyre(2.5e5))
    >>> axle = Axle(Suspension.SOLID_AXLE, *sizes, *springs, bump_stop=stop)
    >>> [round(gap, 3) for gap in travel_left(axle, (0.04, -0.04))[0]]
    [0.1, 0.06]
    """
    return _left(axle, axle.bump_stop, extension, 1.0), _left(
        axle, axle.rebound_limit, extension, -1.0
    )


def _left(
    axle: Axle, stop: Stop | None, extension: tuple[float, float], sense: float
) -> tuple[float, float]:
    if stop is None:
        return math.nan, math.nan
    left, right = extension
    middle, half = (left + right) / 2.0, (left - right) / 2.0 * stop.base / axle.spring_base
    found = (stop.gap + sense * stop.motion_ratio * (middle + side * half) for side in (1.0, -1.0))
    one, other = found
    return one, other


def at_full_droop(job: Job, result: StateResult, lateral: float) -> bool:
    """Whether a wheel hangs in its rebound limit in a bend.

    Parameters
    ----------
    job : Job
        Vehicle with its stops.
    result : StateResult
        Of a state.
    lateral : float
        Lateral acceleration of a point of its curve [m/s²].

    Returns
    -------
    bool
        False where the curve has no such point.
    """
    points = [p for p in result.curve if abs(p.lateral_acceleration - lateral) < 1e-6]
    axles = mass.axles(job, mass.named(job, result.name))
    return any(
        min(travel_left(axle, point.spring_travel[2 * n : 2 * n + 2])[1]) < 0.0
        for point in points
        for n, axle in enumerate(axles)
        if axle.rebound_limit is not None
    )
