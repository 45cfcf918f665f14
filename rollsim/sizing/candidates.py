"""What does each bar at hand do: roll, balance when empty, stress, and what it costs off road?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from rollsim import mass
from rollsim.balance import beyond_tyre_relation, load_transfer_understeer
from rollsim.bar import CandidateBars, Mount, RearBar, candidates
from rollsim.equilibrium import Model, Solution, concatenate
from rollsim.mass import FittedBar, State, model, with_bar, with_parts, without_parts
from rollsim.roll import (
    SECANT_AT,
    TURN,
    UNRESOLVED,
    cab_roll,
    follow,
    follow_turns,
    inner_rear_lift,
    straight_ahead,
    turns,
)
from rollsim.sizing.acceptance import Wanted, objections, ranking
from rollsim.sizing.articulation import FRONT, Twist, articulation_lost
from rollsim.sizing.records import Candidate, Objection
from rollsim.sizing.stiffness import settle_bars
from rollsim.sizing.strength import (
    BarMoments,
    Strength,
    bar_moments,
    states_of_strength,
    strength,
)
from rollsim.vehicle import Job, Suspension


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


@dataclass(frozen=True, slots=True)
class Hung:
    """Every section in every hole on the vehicle, before any case is looked at.

    Parameters
    ----------
    rear_bar : RearBar
        Shape and stock.
    bars : CandidateBars
        N of them.
    fitted : FittedBar
        The same as the vehicle takes them [N·m/rad].
    empty : Empty
        The emptiest state with each of them.
    """

    rear_bar: RearBar
    bars: CandidateBars
    fitted: FittedBar
    empty: Empty


def hung(job: Job, rear_bar: RearBar, case: State, emptiest: State) -> Hung:
    """Hang every section in every hole, in one batch.

    Parameters
    ----------
    job : Job
        Vehicle and changes.
    rear_bar : RearBar
        Shape and stock.
    case : State
        A load case: all of them have the track that the bars are worked out at.
    emptiest : State
        The state that the balance gate looks at.

    Returns
    -------
    Hung
        In SI [N·m/rad].
    """
    bars, fitted = rear_bars(job, rear_bar, case)
    return Hung(rear_bar, bars, fitted, empty_with(job, emptiest, fitted))


def assess(job: Job, case: State, hung: Hung, wanted: Wanted) -> tuple[Candidate, ...]:
    """Every bar in a case sized for, in one batch.

    Parameters
    ----------
    job : Job
        Vehicle, limits and where the target is measured.
    case : State
        The case sized for.
    hung : Hung
        The bars.
    wanted : Wanted
        Target and present roll gradient [rad/(m/s²)].

    Returns
    -------
    tuple of Candidate
        Ranked, accepted ones first.
    """
    rear_bar, bars, fitted = hung.rear_bar, hung.bars, hung.fitted
    laden = laden_with(job, case, fitted)
    stress = strength(
        job,
        rear_bar,
        bars,
        fitted=fitted,
        states=states_of_strength(job, case),
        moments=laden.moments[0],
    )
    columns = bar_columns(bars, laden, hung.empty, stress=stress) | axle_columns(
        rear_bar, bars, fitted, twist=stress.full_twist, track=mass.axles(job, case)[1].track
    )
    against = objections(columns, job.limits, wanted)
    order = ranking(columns, against, wanted.target)
    found = as_candidates(columns, against)
    return tuple(found[n] for n in order)


def rear_bars(job: Job, rear_bar: RearBar, case: State) -> tuple[CandidateBars, FittedBar]:
    """Every section in every hole, and the same as the vehicle takes them [N·m/rad].

    Parameters
    ----------
    job : Job
        The vehicle.
    rear_bar : RearBar
        Shape and stock.
    case : State
        The case sized for, whose track the bars are worked out at.

    Returns
    -------
    tuple of CandidateBars and FittedBar
        In SI [N·m/rad, kg, rad].
    """
    axle = mass.axles(job, case)[1]
    independent = axle.suspension is Suspension.INDEPENDENT
    bars = candidates(rear_bar, independent=independent, track=axle.track)
    fitted = FittedBar(
        bars.roll_stiffness,
        bars.mass,
        bars.lash_angle,
        on_axle=rear_bar.mount is Mount.AXLE,
        track=axle.track if independent else None,
    )
    return bars, fitted


def fitted(candidate: Candidate, rear_bar: RearBar) -> FittedBar:
    """The candidate as the vehicle model takes it [N·m/rad, kg, rad].

    Parameters
    ----------
    candidate : Candidate
        A rear one.
    rear_bar : RearBar
        How it is hung.

    Returns
    -------
    FittedBar
        In SI [N·m/rad].
    """
    return FittedBar(
        candidate.roll_stiffness,
        candidate.mass,
        candidate.lash_angle,
        on_axle=rear_bar.mount is Mount.AXLE,
        track=candidate.track,
    )


def bar_columns(bars: CandidateBars, laden: Laden, empty: Empty, *, stress: Strength) -> dict:
    """Lists of N figures by the names of `Candidate`'s fields, SI such as [Pa], but for the axle's.

    Parameters
    ----------
    bars : CandidateBars
        N of them.
    laden, empty : Laden and Empty
        With each of them.
    stress : Strength
        Of each [Pa].

    Returns
    -------
    dict
        A wheel lift that was not resolved is `UNRESOLVED`.
    """
    return {
        "section": bars.section,
        "steel": bars.steel,
        "hole": bars.hole.tolist(),
        "lever": bars.lever.tolist(),
        "link_end_rate": bars.link_end_rate.tolist(),
        "roll_stiffness": bars.roll_stiffness.tolist(),
        "lash_angle": bars.lash_angle.tolist(),
        "roll_gradient": laden.gradient.tolist(),
        "front_load_transfer_share": empty.share.tolist(),
        "front_share_drop": empty.share_drop.tolist(),
        "inner_rear_lift": empty.inner_rear_lift.tolist(),
        "understeer_change": laden.understeer_change.tolist(),
        "understeer_change_emptiest": empty.understeer_change.tolist(),
        "tyres_beyond_relation": (laden.beyond | empty.beyond).tolist(),
        "cornering_stress": stress.cornering.tolist(),
        "twist_stress": stress.twist.tolist(),
        "normal_stress": stress.normal.tolist(),
        "peak_stress": stress.peak.tolist(),
        "allowable_stress": bars.allowable_stress.tolist(),
        "governing_state": stress.state,
        "governing_case": stress.case,
        "mass": bars.mass.tolist(),
        "part": bars.part,
    }


def axle_columns(
    hung: RearBar, bars: CandidateBars, fitted: FittedBar, *, twist: Twist, track: float
) -> dict:
    """The other lists of N figures: what the bars do to one wheel and to flex [N/m, m].

    Parameters
    ----------
    hung : RearBar
        How the bars are hung.
    bars : CandidateBars
        N of them.
    fitted : FittedBar
        The same as their axle takes them.
    twist : Twist
        Of their axle in the case sized for [rad].
    track : float
        Of their axle there [m].

    Returns
    -------
    dict
        By the names of `Candidate`'s fields.
    """
    there = fitted.at(track).roll_stiffness
    return {
        "track": [fitted.track] * len(bars.section),
        "one_wheel_rate_increase": (there / track**2).tolist(),
        "articulation_lost": articulation_lost(hung, twist, track).tolist(),
    }


def as_candidates(columns: dict, against: Sequence[tuple[Objection, ...]]) -> tuple[Candidate, ...]:
    """Records of the N columns; a wheel lift that was not resolved becomes NaN."""
    lifts = [math.nan if x == UNRESOLVED else x for x in columns["inner_rear_lift"]]
    columns = columns | {"inner_rear_lift": lifts, "objections": against}
    return tuple(
        Candidate(**dict(zip(columns, row, strict=True)))
        for row in zip(*columns.values(), strict=True)
    )


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
    many, settled = _as_it_is_and_with(job, case, fitted)
    at, limit = job.target.at, job.limits.stress_acceleration
    wanted = tuple(sorted({SECANT_AT, limit, *([] if at is None else [at])}))
    sides = turns(many, settled)
    found = follow_turns(many, settled, wanted)
    gradients, changes, bars = [], [], np.arange(1, many.size)
    for (one, rest), (points, _) in zip(sides, found, strict=True):
        gradients.append(_gradient(one, rest, None if at is None else points[at], at))
        changes.append(_understeer_change(job, one, points[SECANT_AT]))
    understeer, beyond = zip(*changes, strict=True)
    with_bars = [({a: p.take(bars) for a, p in ps.items()}, tips[:, 1:]) for ps, tips in found]
    moments = [bar_moments(job, case, with_bars, fitted)]
    if front is not None:
        moments.append(bar_moments(job, case, with_bars, front, FRONT))
    return Laden(
        gradient=np.mean(gradients, axis=0)[1:],
        understeer_change=np.min(understeer, axis=0),
        beyond=np.any(beyond, axis=0),
        moments=tuple(moments),
    )


def _gradient(
    many: Model, settled: Solution, point: Solution | None, at: float | None
) -> np.ndarray:
    """Roll gradient as the target measures it; infinite where it tips before."""
    if point is None or at is None:
        return straight_ahead(many, settled).roll_gradient
    lean = cab_roll(many, point.x) - cab_roll(many, settled.x)
    return np.where(point.converged, lean / at, np.inf)


def _as_it_is_and_with(job: Job, state: State, fitted: FittedBar) -> tuple[Model, Solution]:
    """The state as it is, then with each bar: one settled batch of 1 + N."""
    return _settled_with(model(job, state), job, state, fitted)


def _settled_with(now: Model, job: Job, state: State, fitted: FittedBar) -> tuple[Model, Solution]:
    parts = model(with_parts(job), state)
    return settle_bars(concatenate([now, with_bar(parts, job, fitted)]))


def _understeer_change(job: Job, many: Model, point: Solution) -> tuple[np.ndarray, np.ndarray]:
    """What each bar changes, the first member having none, and whether that is a guess."""
    rated = [axle.tyre.rated_load for axle in (job.vehicle.front, job.vehicle.rear)]
    if None in rated:
        return np.full(many.size - 1, np.nan), np.zeros(many.size - 1, dtype=bool)
    loads = TURN.balance(many, point.x).wheel_loads
    understeer = load_transfer_understeer(loads, np.array(rated))
    beyond = beyond_tyre_relation(loads, np.array(rated))
    return understeer[1:] - understeer[0], beyond[1:] | beyond[0]


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

    Notes
    -----
    The share falls from what it is with the bars that were on before anything was ordered: a new
    front bar counts for the rear one that comes with it.
    """
    now = model(without_parts(job), emptiest)
    many, settled = _settled_with(now, job, emptiest, fitted)
    # A bar with lash does nothing at straight ahead; the gate judges what it does once it works.
    engaged = many
    if many.constants.lash:
        engaged = replace(many, bar_lash=np.zeros_like(many.bar_lash))
    share = straight_ahead(engaged, settled).front_share
    points = [(m, follow(m, s, (SECANT_AT,))[0]) for m, s in turns(many, settled)]
    changes = [_understeer_change(job, m, point) for m, point in points]
    understeer, beyond = (np.stack(kind) for kind in zip(*changes, strict=True))
    with_bars = slice(1, None)
    ahead = points[0][1]
    lift = inner_rear_lift(many.take(with_bars), settled.take(with_bars), ahead.take(with_bars))
    return Empty(
        share=share[1:],
        share_drop=share[0] - share[1:],
        inner_rear_lift=lift,
        understeer_change=understeer.min(axis=0),
        beyond=beyond.any(axis=0),
    )
