"""How hard does one side of an axle push at any height, spring and stops together?"""

from dataclasses import dataclass

import numpy as np

from rollsim import mass
from rollsim.mass import State
from rollsim.vehicle import Axle, Job, Stop

BEYOND = 0.015  # m past a stop, or past where it stands
OPEN = 0.080  # m to a side where no stop is given
POINTS = 121


@dataclass(frozen=True, slots=True)
class ForceTravel:
    """Force of one side of an axle against how far the body has come down on it.

    Parameters
    ----------
    down : tuple of float
        Body over axle, from as weighed, down positive [m].
    force, rate : tuple of float
        Spring and stops there [N], and how they grow up to there [N/m]; at the wheel on independent
        suspension, at the spring on a solid axle.
    """

    down: tuple[float, ...]
    force: tuple[float, ...]
    rate: tuple[float, ...]


def force_travel(job: Job, state: State, number: int, *, here: float = 0.0) -> ForceTravel:
    """Force and rate of one side of an axle from full droop to bump stop, and a little beyond.

    Parameters
    ----------
    job : Job
        Vehicle and changes.
    state : State
        Its springs and lift.
    number : int
        0 front, 1 rear.
    here : float
        Ride height that has to be in the curve, from as weighed, up positive [m].

    Returns
    -------
    ForceTravel
        [m, N, N/m].

    Notes
    -----
    Both sides alike: force = F(lift + down) + stops beyond their gaps, each rate × ratio² at the
    wheel (docs/method.md §3). No friction: with it there is one line for loading and one for
    unloading.

    Examples
    --------
    >>> from pathlib import Path
    >>> from rollsim import scenario
    >>> job = scenario.load(Path("scenarios/wagon-roof-load.toml")).job
    >>> found = force_travel(job, mass.states(job)[0], 0)
    >>> found.down[0] < 0.0 < found.down[-1], len(found.down) == len(found.force)
    (True, True)
    """
    axle = mass.axles(job, state)[number]
    curve = mass.springs(job, state)[number].curve(mass.sprung_load(job)[number])
    lift = float(mass.model(job, state).lift[number, 0])
    down = _range(axle, here, [start - lift for start in curve.starts])
    force, rate = curve.force(lift + down), curve.tangent_rate(lift + down)
    for stop, sense in ((axle.bump_stop, 1.0), (axle.rebound_limit, -1.0)):
        if stop is not None:
            beyond = sense * down - _gap(stop)
            own = stop.rate * stop.motion_ratio**2
            force = force + sense * own * np.maximum(beyond, 0.0)
            rate = rate + own * ((beyond > 0.0) if sense > 0.0 else (beyond >= 0.0))
    return ForceTravel(*(tuple(float(x) for x in values) for values in (down, force, rate)))


def _gap(stop: Stop) -> float:
    return stop.gap / stop.motion_ratio


def _range(axle: Axle, here: float, starts: list[float]) -> np.ndarray:
    """Evenly spaced, with every kink and `here` among them."""
    kinks = [-here, *starts]
    low, high = -OPEN, OPEN
    if axle.rebound_limit is not None:
        kinks.append(-_gap(axle.rebound_limit))
        low = kinks[-1] - BEYOND
    if axle.bump_stop is not None:
        kinks.append(_gap(axle.bump_stop))
        high = kinks[-1] + BEYOND
    low, high = min(low, -here - BEYOND), max(high, -here + BEYOND)
    inside = [kink for kink in kinks if low < kink < high]
    return np.unique([*np.linspace(low, high, POINTS), *inside])
