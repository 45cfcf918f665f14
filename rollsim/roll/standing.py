"""Where do the states of a vehicle settle, and which of them tip before a lateral acceleration?"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.mass import State
from rollsim.roll.figures import TURN, spring_travel, turns
from rollsim.roll.following import follow
from rollsim.vehicle import Job


@dataclass(frozen=True, slots=True)
class AtRest:
    """Where a state settles.

    Parameters
    ----------
    state : State
        Which loading.
    stands : bool
        It has a settled position and keeps it.
    topples : bool
        It has one, and topples out of it.
    ride_heights : tuple of float
        Of the body over the front and the rear axle, hub to arch, from as weighed, up positive
        [m]; NaN where it does not stand.
    """

    state: State
    stands: bool
    topples: bool
    ride_heights: tuple[float, float]


def at_rest(job: Job, states: Sequence[State] | None = None) -> tuple[AtRest, ...]:
    """Where states settle.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    states : sequence of State or None
        Which to look at; None: all of the job.

    Returns
    -------
    tuple of AtRest
        Heights [m].
    """
    chosen = mass.states(job) if states is None else tuple(states)
    model, settled = settle(mass.models([(job, state) for state in chosen]), TURN)
    heights = np.where(settled.converged, spring_travel(model, settled.x).mean(axis=0), np.nan)
    return tuple(
        AtRest(
            state,
            stands=bool(settled.converged[n]),
            topples=bool(np.isfinite(settled.x[1, n]) and not settled.converged[n]),
            ride_heights=(float(heights[0, n]), float(heights[1, n])),
        )
        for n, state in enumerate(chosen)
    )


def unsettled(job: Job, found: Sequence[AtRest] | None = None) -> tuple[tuple[str, bool], ...]:
    """States that do not stand: what no result can be shown for.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    found : sequence of AtRest or None
        From `at_rest`, where it is at hand.

    Returns
    -------
    tuple of (str, bool)
        Name of each such state, and whether it has a position but topples out of it.
    """
    rests = at_rest(job) if found is None else found
    return tuple((one.state.name, one.topples) for one in rests if not one.stands)


def tipping_before(job: Job, lateral: float) -> tuple[str, ...]:
    """States that tip before a lateral acceleration is reached.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    lateral : float
        [m/s²].

    Returns
    -------
    tuple of str
        Their names.
    """
    chosen = mass.states(job)
    model, settled = settle(mass.models([(job, state) for state in chosen]), TURN)
    standing = [follow(m, s, (lateral,))[0].converged for m, s in turns(model, settled)]
    return tuple(
        state.name for state, ok in zip(chosen, np.all(standing, axis=0), strict=True) if not ok
    )
