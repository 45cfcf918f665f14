"""What do bars do in the case sized for, and to the balance of the emptiest state?"""

from dataclasses import dataclass, fields, replace

import numpy as np

from rollsim.balance import beyond_tyre_relation, load_transfer_understeer
from rollsim.mass import FittedBar, State
from rollsim.roll import SECANT_AT, TURN, cab_roll, inner_rear_lift, straight_ahead
from rollsim.sizing.strength import BarMoments, moments_of
from rollsim.sizing.with_bars import (
    AS_IT_IS,
    BARS,
    BEFORE_ORDERING,
    Turned,
    WithBars,
    with_bars,
)
from rollsim.vehicle import Job


@dataclass(frozen=True, slots=True)
class Laden:
    """The case sized for with each bar, (N,) arrays.

    Parameters
    ----------
    gradient : (N,) array
        As the target measures it [rad/(m/s²)].
    understeer_change : (N,) array
        From load transfer at 0.4 g [rad/(m/s²)].
    beyond : (N,) array of bool
        Of the range that this is good for.
    moments : tuple of BarMoments
        Of the rear bars, and of the front ones where they are asked for [N·m].
    """

    gradient: np.ndarray
    understeer_change: np.ndarray
    beyond: np.ndarray
    moments: tuple[BarMoments, ...]

    def take(self, rows: np.ndarray) -> "Laden":
        """With some of the bars.

        Parameters
        ----------
        rows : (M,) array of int
            Their places [-].

        Returns
        -------
        Laden
            Of M.
        """
        own = (x[rows] for x in (self.gradient, self.understeer_change, self.beyond))
        return Laden(*own, tuple(one.take(rows) for one in self.moments))


@dataclass(frozen=True, slots=True)
class Empty:
    """The emptiest state with each bar, (N,) arrays.

    Parameters
    ----------
    share, share_drop : (N,) array
        Front share of load transfer, lash taken up, and how far it falls [-].
    inner_rear_lift : (N,) array
        [m/s²].
    understeer_change : (N,) array
        From load transfer at 0.4 g [rad/(m/s²)].
    beyond : (N,) array of bool
        Of the range that this is good for.
    """

    share: np.ndarray
    share_drop: np.ndarray
    inner_rear_lift: np.ndarray
    understeer_change: np.ndarray
    beyond: np.ndarray

    def take(self, rows: np.ndarray) -> "Empty":
        """With some of the bars.

        Parameters
        ----------
        rows : (M,) array of int
            Their places [-].

        Returns
        -------
        Empty
            Of M.
        """
        return Empty(*(getattr(self, one.name)[rows] for one in fields(self)))


def accelerations(job: Job) -> tuple[float, ...]:
    """Where a bar is looked at: 0.4 g, the stress case, and where the target is measured [m/s²]."""
    at = job.target.at
    return (SECANT_AT, job.limits.stress_acceleration, *([] if at is None else [at]))


def laden_with(job: Job, case: State, fitted: FittedBar, front: FittedBar | None = None) -> Laden:
    """The case sized for with each bar.

    Parameters
    ----------
    job : Job
        Vehicle, limits and where the target is measured.
    case : State
        The case sized for.
    fitted : FittedBar
        N rear bars, each with the front bar that comes with it.
    front : FittedBar or None
        Those front bars as their own axle takes them, where their moments are wanted too.

    Returns
    -------
    Laden
        In SI [rad/(m/s²), N·m].
    """
    (there,) = with_bars(job, [(case, fitted)], accelerations(job))
    return laden_of(job, there, front)


def laden_of(job: Job, there: WithBars, front: FittedBar | None = None) -> Laden:
    """As `laden_with`, of a state that was followed.

    Parameters
    ----------
    job : Job
        Vehicle, limits and where the target is measured.
    there : WithBars
        The case sized for, to its `accelerations`.
    front : FittedBar or None
        As there.

    Returns
    -------
    Laden
        In SI [rad/(m/s²), N·m].
    """
    at = job.target.at
    gradients = [_gradient(turn.take(BARS), at) for turn in there.turns]
    changes = [_understeer_change(job, turn, AS_IT_IS) for turn in there.turns]
    understeer, beyond = zip(*changes, strict=True)
    return Laden(
        gradient=np.mean(gradients, axis=0),
        understeer_change=np.min(understeer, axis=0),
        beyond=np.any(beyond, axis=0),
        moments=tuple(moments_of(job, there, front)),
    )


def _gradient(turn: Turned, at: float | None) -> np.ndarray:
    """Roll gradient as the target measures it; infinite where it tips before."""
    if at is None:
        return straight_ahead(turn.model, turn.rest).roll_gradient
    point = turn.points[at]
    lean = cab_roll(turn.model, point.x) - cab_roll(turn.model, turn.rest.x)
    return np.where(point.converged, lean / at, np.inf)


def _understeer_change(job: Job, turn: Turned, now: int) -> tuple[np.ndarray, np.ndarray]:
    """What each bar changes of the row `now`, and whether that is a guess."""
    rated = [axle.tyre.rated_load for axle in (job.vehicle.front, job.vehicle.rear)]
    if None in rated:
        count = turn.model.size - BARS.start
        return np.full(count, np.nan), np.zeros(count, dtype=bool)
    loads = TURN.balance(turn.model, turn.points[SECANT_AT].x).wheel_loads
    understeer = load_transfer_understeer(loads, np.array(rated))
    beyond = beyond_tyre_relation(loads, np.array(rated))
    return understeer[BARS] - understeer[now], beyond[BARS] | beyond[now]


def empty_with(job: Job, emptiest: State, fitted: FittedBar) -> Empty:
    """The emptiest state with each bar.

    Parameters
    ----------
    job : Job
        Vehicle and changes.
    emptiest : State
        The state that the balance gate looks at.
    fitted : FittedBar
        N rear bars, each with the front bar that comes with it.

    Returns
    -------
    Empty
        In SI [-, m/s²].
    """
    (there,) = with_bars(job, [(emptiest, fitted)], (SECANT_AT,))
    return empty_of(job, there)


def empty_of(job: Job, there: WithBars) -> Empty:
    """As `empty_with`, of a state that was followed.

    Parameters
    ----------
    job : Job
        Vehicle and changes.
    there : WithBars
        The state that the balance gate looks at, to 0.4 g [m/s²].

    Returns
    -------
    Empty
        In SI [-, m/s²].

    Notes
    -----
    The share falls from what it is with the bars that were on before anything was ordered: a new
    front bar counts for the rear one that comes with it.
    """
    left = there.turns[0]
    # A bar with lash does nothing at straight ahead; the gate judges what it does once it works.
    engaged = left.model
    if engaged.constants.lash:
        engaged = replace(engaged, bar_lash=np.zeros_like(engaged.bar_lash))
    share = straight_ahead(engaged, left.rest).front_share
    changes = [_understeer_change(job, turn, BEFORE_ORDERING) for turn in there.turns]
    understeer, beyond = (np.stack(kind) for kind in zip(*changes, strict=True))
    bars = left.take(BARS)
    return Empty(
        share=share[BARS],
        share_drop=share[BEFORE_ORDERING] - share[BARS],
        inner_rear_lift=inner_rear_lift(bars.model, bars.rest, bars.points[SECANT_AT]),
        understeer_change=understeer.min(axis=0),
        beyond=beyond.any(axis=0),
    )
