"""The vehicle in several states, in each as it is and with each of many bars: one batch."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, Solution, concatenate, settle
from rollsim.mass import FittedBar, State, with_bar, with_parts, without_parts
from rollsim.roll import TURN, follow_turns, turns
from rollsim.vehicle import Job

AS_IT_IS, BEFORE_ORDERING = 0, 1  # rows of a `Turned`; the bars follow
BARS = slice(2, None)


@dataclass(frozen=True, slots=True)
class Turned:
    """A turn of M vehicles of one state; a right turn is the left one of a mirror image.

    Parameters
    ----------
    model, rest : Model and Solution
        Settled [m/s²; rad, m].
    points : dict of float to Solution
        By lateral acceleration [m/s²]; not converged where it tips before.
    tipping : (9, M) array
        Where it tips [m/s²; rad, m], NaN where it was not looked for or not resolved.
    """

    model: Model
    rest: Solution
    points: dict[float, Solution]
    tipping: np.ndarray

    def take(self, rows: slice) -> "Turned":
        """Some of them, in SI as before [m/s²; rad, m]."""
        points = {at: point.take(rows) for at, point in self.points.items()}
        return Turned(self.model.take(rows), self.rest.take(rows), points, self.tipping[:, rows])


@dataclass(frozen=True, slots=True, eq=False)  # arrays are not alike or unlike as a whole
class WithBars:
    """One state of a vehicle.

    Parameters
    ----------
    state : State
        Which loading.
    fitted : FittedBar
        Its N bars [N·m/rad].
    bare : tuple of Model and Solution
        Without any rear bar, at rest [m/s²; rad, m].
    turns : tuple of Turned
        One, or both where a load of any state or a track bar parts them: as it is, as it was before
        anything was ordered, then with each bar.
    """

    state: State
    fitted: FittedBar
    bare: tuple[Model, Solution]
    turns: tuple[Turned, ...]


def with_bars(
    job: Job, asked: Sequence[tuple[State, FittedBar]], lateral: Sequence[float]
) -> list[WithBars]:
    """Follow the vehicle with its bars to some accelerations, each state with bars of its own.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    asked : sequence of (State, FittedBar)
        At least one; numbers of the bars are arrays.
    lateral : sequence of float
        Lateral accelerations, not negative [m/s²].

    Returns
    -------
    list of WithBars
        One of each state, in SI [m/s²; rad, m].
    """
    groups = [_every(job, state, fitted) for state, fitted in asked]
    many, settled = settle_bars(groups)
    ends = np.cumsum([group.size for group in groups])
    turning = np.delete(np.arange(many.size), ends - 1)  # the last one of each has no bar
    moving, rest = many.take(turning), settled.take(turning)
    at = tuple(sorted(set(lateral)))
    both = [
        Turned(*side, *path)
        for side, path in zip(turns(moving, rest), follow_turns(moving, rest, at), strict=True)
    ]
    found, first = [], 0
    for n, (one, end) in enumerate(zip(asked, ends, strict=True)):
        bare = slice(end - 1, end)
        own = slice(first, first := end - 1 - n)
        turned = tuple(turn.take(own) for turn in both)
        found.append(WithBars(*one, (many.take(bare), settled.take(bare)), turned))
    return found


def _every(job: Job, state: State, fitted: FittedBar) -> Model:
    """As it is, before ordering, with each bar, and without a rear bar."""
    now = mass.models([(job, state), (without_parts(job), state)])
    parts = mass.model(with_parts(job), state)
    bare = with_bar(parts, job, FittedBar(0.0))
    return concatenate([now, with_bar(parts, job, fitted), bare])


def settle_bars(groups: Sequence[Model]) -> tuple[Model, Solution]:
    """Settle vehicles with many bars, from where each settles with the lightest and the heaviest.

    Parameters
    ----------
    groups : sequence of Model
        Each one vehicle in one state, with bars.

    Returns
    -------
    tuple of Model and Solution
        All of them end to end, as `settle` gives them [m/s²; rad, m].

    Notes
    -----
    Where it stands depends on the bar's mass nearly as a straight line; that is where to start.
    """
    masses = [group.total_mass for group in groups]
    least = concatenate(
        [
            group.take(np.array([np.argmin(own), np.argmax(own)]))
            for group, own in zip(groups, masses, strict=True)
        ]
    )
    model, settled = settle(least, TURN)
    pitched = model.rear_share - least.rear_share
    shares, starts = [], []
    for n, (group, own) in enumerate(zip(groups, masses, strict=True)):
        low, high = 2 * n, 2 * n + 1
        span = np.ptp(own)
        part = (own - own.min()) / (span if span > 0.0 else 1.0)
        shares.append(group.rear_share + pitched[low] + part * (pitched[high] - pitched[low]))
        x = settled.x[:, low, None], settled.x[:, high, None]
        starts.append(x[0] + part * (x[1] - x[0]))
    many = replace(concatenate(list(groups)), rear_share=np.concatenate(shares))
    return settle(many, TURN, start=np.concatenate(starts, axis=1))
