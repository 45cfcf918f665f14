"""Front and rear bar together: the pair that reaches the target with no smaller front share."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim import mass
from rollsim.bar import CandidateBars, RearBar, candidates
from rollsim.equilibrium import settle
from rollsim.mass import FittedBar, State, with_parts
from rollsim.roll import TURN, measured_roll_gradient, straight_ahead
from rollsim.sizing.acceptance import Wanted, objections
from rollsim.sizing.articulation import FRONT, REAR, full_twists
from rollsim.sizing.candidates import (
    as_candidates,
    axle_columns,
    bar_columns,
    fitted,
    rear_bars,
)
from rollsim.sizing.figures import Empty, Laden, empty_with, laden_with
from rollsim.sizing.records import Candidate, Objection, ObjectionKind
from rollsim.sizing.strength import (
    FEW,
    BarMoments,
    Strength,
    states_of_strength,
    stresses,
    worked_out,
)
from rollsim.vehicle import Job, Limits, Suspension

SAME_SHARE = 1e-9  # of the front share: a pair that keeps it exactly has no smaller one


class NoPair(Enum):
    """Why there is no pair."""

    NOT_ASKED = "not asked for"
    NOTHING_TO_BRING_BACK = "nothing to bring back"
    LEAN = "lean"
    SHARE = "front share"
    WHEEL_LIFT = "wheel lift"
    FRONT_STRENGTH = "strength of the front bar"
    REAR_STRENGTH = "strength of the rear bar"
    STRENGTH = "strength of one or the other"


_STOPS = (
    (NoPair.LEAN, {ObjectionKind.TIPS, ObjectionKind.LEAN, ObjectionKind.GAIN}),
    (NoPair.SHARE, {ObjectionKind.FRONT_SHARE}),
    (NoPair.WHEEL_LIFT, {ObjectionKind.WHEEL_LIFT, ObjectionKind.UNRESOLVED}),
)


@dataclass(frozen=True, slots=True)
class Alone:
    """What one bar of a pair does without the other.

    Parameters
    ----------
    roll_gradient : float
        Of the case sized for, as the target measures it [rad/(m/s²)].
    front_load_transfer_share : float
        In the emptiest state, lash taken up [-].
    """

    roll_gradient: float
    front_load_transfer_share: float


@dataclass(frozen=True, slots=True)
class Pair:
    """A front and a rear bar that reach the target with no smaller front share than now.

    Parameters
    ----------
    front, rear : Candidate
        Lean, share, wheel lift and understeer of each are those of both together; stiffness,
        stress and mass its own.
    share_now : float
        Front share of load transfer in the emptiest state as it is [-].
    front_alone, rear_alone : Alone
        The other axle keeping the bar that it has.
    """

    front: Candidate
    rear: Candidate
    share_now: float
    front_alone: Alone
    rear_alone: Alone

    @property
    def roll_gradient(self) -> float:
        """Of the case sized for with both [rad/(m/s²)]."""
        return self.rear.roll_gradient

    @property
    def front_load_transfer_share(self) -> float:
        """In the emptiest state with both [-]."""
        return self.rear.front_load_transfer_share


@dataclass(frozen=True, slots=True)
class _Axle:
    """The N bars of one axle, and how they are hung."""

    end: int
    hung: RearBar
    bars: CandidateBars
    fitted: FittedBar

    def take(self, rows: np.ndarray) -> "_Axle":
        """Some of them."""
        bars, one = self.bars.take(rows), self.fitted
        some = {"roll_stiffness": bars.roll_stiffness, "mass": bars.mass}
        return replace(self, bars=bars, fitted=replace(one, **some, lash_angle=bars.lash_angle))


@dataclass(frozen=True, slots=True)
class _Pairs:
    """N pairs with what is known of them before every state is looked at."""

    front: _Axle
    rear: _Axle
    laden: Laden
    empty: Empty

    @property
    def axles(self) -> tuple[_Axle, _Axle]:
        """The rear one first, as moments are."""
        return self.rear, self.front

    @property
    def fitted(self) -> FittedBar:
        """As the vehicle takes them."""
        return replace(self.rear.fitted, front=self.front.bars.roll_stiffness)

    def take(self, rows: np.ndarray) -> "_Pairs":
        """Some of them."""
        return _Pairs(*(one.take(rows) for one in (self.front, self.rear, self.laden, self.empty)))


def with_new_front(job: Job, front: Candidate) -> Job:
    """The job with the front bar of a pair among its changes [N·m/rad]."""
    change = replace(
        job.change,
        front_bar_roll_stiffness=front.roll_stiffness,
        front_bar_description=f"{front.section.label} bar",
    )
    return replace(job, change=change)


def best_pair(
    job: Job,
    rear_bar: RearBar,
    front_bar: RearBar,
    case: State,
    *,
    emptiest: State,
    wanted: Wanted,
) -> Pair | NoPair:
    """Every front section with every rear candidate, in one batch, and the first that is accepted.

    Parameters
    ----------
    job : Job
        Vehicle, limits and where the target is measured.
    rear_bar, front_bar : RearBar
        Shape and stock of each.
    case : State
        The case sized for.
    emptiest : State
        The state that the balance gate looks at.
    wanted : Wanted
        Target and present roll gradient [rad/(m/s²)].

    Returns
    -------
    Pair or NoPair
        The pair, or what no pair gets past.

    Notes
    -----
    Accepted as a single bar is, but for the front share, which may not fall at all. Ranked by
    distance from the target in whole per cent, then by the change of the front share in hundredths,
    then the softer two together. Stress in every state is worked out rank by rank, 48 pairs at
    once, of those alone that may last.
    """
    if wanted.nothing_to_bring_back(job.limits):
        return NoPair.NOTHING_TO_BRING_BACK
    pairs = _all_pairs(job, rear_bar, front_bar, case, emptiest)
    limits = replace(job.limits, front_share_drop=SAME_SHARE)
    states = states_of_strength(job, case)
    least = [[one] * len(states) for one in pairs.laden.moments]
    _, against = _judged(job, pairs, states, least, limits=limits, wanted=wanted)
    ranked = _ranking(pairs, wanted.target)
    may_last = [n for n in ranked if not any(against[end][n] for end in (0, 1))]
    for first in range(0, len(may_last), FEW):
        some = pairs.take(np.array(may_last[first : first + FEW]))
        found = _moments(job, some, states)
        bars, _ = _judged(job, some, states, found, limits=limits, wanted=wanted)
        for rear, front in zip(*bars, strict=True):
            if rear.accepted and front.accepted:
                return _told(job, front, rear, rear_bar, case=case, emptiest=emptiest)
    return _stopped_by(zip(*against, strict=True))


def _all_pairs(
    job: Job, rear_bar: RearBar, front_bar: RearBar, case: State, emptiest: State
) -> _Pairs:
    """Every front section with every rear candidate."""
    track = job.vehicle.front.track
    independent = job.vehicle.front.suspension is Suspension.INDEPENDENT
    own = candidates(front_bar, independent=independent, track=track)
    bars, fitted = rear_bars(job, rear_bar, case)
    numbers = np.divmod(np.arange(own.mass.size * bars.mass.size), bars.mass.size)
    hung = FittedBar(own.roll_stiffness, own.mass, track=track if independent else None)
    front = _Axle(FRONT, front_bar, own, hung).take(numbers[0])
    rear = _Axle(REAR, rear_bar, bars, fitted).take(numbers[1])
    both = replace(rear.fitted, front=front.bars.roll_stiffness)
    return _Pairs(
        front,
        rear,
        laden_with(job, case, both, front.fitted),
        empty_with(job, emptiest, both),
    )


def _moments(job: Job, pairs: _Pairs, states: Sequence[State]) -> list[list[BarMoments]]:
    """Of the rear bars, then of the front ones, in every state."""
    found = worked_out(job, states, pairs.fitted, pairs.front.fitted)
    return [list(one) for one in zip(*found, strict=True)]


def _judged(
    job: Job,
    pairs: _Pairs,
    states: Sequence[State],
    moments: Sequence[Sequence[BarMoments]],
    *,
    limits: Limits,
    wanted: Wanted,
) -> tuple[list[tuple[Candidate, ...]], list[list[tuple[Objection, ...]]]]:
    """The bars of each axle as candidates, and what stands against each, rear ones first."""
    found, against = [], []
    for axle, own in zip(pairs.axles, moments, strict=True):
        stress = stresses(
            job,
            axle.hung,
            axle.bars,
            fitted=axle.fitted,
            states=states,
            moments=own,
            twists=full_twists(job, states, axle.fitted, end=axle.end),
            end=axle.end,
        )
        columns = _columns(job, pairs, axle, stress, case=states[0])
        why = objections(columns, limits, wanted)
        against.append(why)
        found.append(as_candidates(columns, why))
    return found, against


def _columns(job: Job, pairs: _Pairs, axle: _Axle, stress: Strength, *, case: State) -> dict:
    track = mass.axles(job, case)[axle.end].track
    return bar_columns(axle.bars, pairs.laden, pairs.empty, stress=stress) | axle_columns(
        axle.hung, axle.bars, axle.fitted, twist=stress.full_twist, track=track
    )


def _ranking(pairs: _Pairs, target: float) -> list[int]:
    miss = np.abs(pairs.laden.gradient / target - 1.0)
    near = np.where(np.isfinite(miss), np.round(100.0 * miss), np.inf)
    moved = np.round(100.0 * np.abs(pairs.empty.share_drop))
    stiffness = sum(axle.bars.roll_stiffness for axle in pairs.axles)
    return np.lexsort((stiffness, moved, near)).tolist()


def _stopped_by(against: Iterable[tuple[Sequence[Objection], ...]]) -> NoPair:
    """What no pair gets past, in the order in which it is looked at; rear bars first in each."""
    left = [tuple({objection.kind for objection in why} for why in pair) for pair in against]
    for stop, kinds in _STOPS:
        left = [(rear, front) for rear, front in left if not (rear | front) & kinds]
        if not left:
            return stop
    weak = [[ObjectionKind.STRENGTH in kinds for kinds in pair] for pair in left]
    if all(front for _, front in weak):
        return NoPair.FRONT_STRENGTH
    return NoPair.REAR_STRENGTH if all(rear for rear, _ in weak) else NoPair.STRENGTH


def _told(
    job: Job, front: Candidate, rear: Candidate, rear_bar: RearBar, *, case: State, emptiest: State
) -> Pair:
    """The pair, and what each of its bars does alone."""
    new = with_new_front(job, front)
    fits = fitted(rear, rear_bar)
    laden, empty = laden_with(job, case, fits), empty_with(job, emptiest, fits)
    return Pair(
        front,
        rear,
        share_now=rear.front_load_transfer_share + rear.front_share_drop,
        front_alone=_as_it_is(new, case, emptiest),
        rear_alone=Alone(float(laden.gradient[0]), float(empty.share[0])),
    )


def _as_it_is(job: Job, case: State, emptiest: State) -> Alone:
    """Lean and share of a job as it is, a new front bar on in every state."""
    job = with_parts(job)
    laden = settle(mass.model(job, case), TURN)
    empty = settle(mass.model(job, emptiest), TURN)
    return Alone(
        float(measured_roll_gradient(*laden, job.target.at)[0]),
        float(straight_ahead(*empty).front_share[0]),
    )
