"""A front bar alone, or front and rear together: what reaches the target and keeps the share."""

from collections.abc import Iterable, Iterator, Sequence
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
from rollsim.vehicle import Job, Suspension

SAME = 1e-9  # of share or lean: what is on the limit itself is within it


class NoPair(Enum):
    """Why there is no pair."""

    NOT_ASKED = "not asked for"
    NOTHING_TO_BRING_BACK = "nothing to bring back"
    NO_STIFFER_REAR = "no rear bar stiffer than the one that is on"
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
    """What is ordered to reach the target with no smaller front share than now.

    Parameters
    ----------
    front : Candidate
    rear : Candidate or None
        Lean, share, wheel lift and understeer of each are those of both together; stiffness,
        stress and mass its own. None where the front bar alone does it: then the rear axle keeps
        what it has, and a new bar there would be bought for nothing.
    share_now : float
        Front share of load transfer in the emptiest state as it is [-].
    front_alone : Alone
    rear_alone : Alone or None
        The other axle keeping the bar that it has.
    """

    front: Candidate
    rear: Candidate | None
    share_now: float
    front_alone: Alone
    rear_alone: Alone | None

    @property
    def front_is_enough(self) -> bool:
        """No rear bar comes with the front one."""
        return self.rear is None

    @property
    def roll_gradient(self) -> float:
        """Of the case sized for with what is ordered [rad/(m/s²)]."""
        return self.front.roll_gradient

    @property
    def front_load_transfer_share(self) -> float:
        """In the emptiest state with what is ordered [-]."""
        return self.front.front_load_transfer_share


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
class _Orders:
    """N orders with what is known of them before every state is looked at.

    Without a rear axle they are front bars alone, and `fitted` is the rear bar that stays.
    """

    front: _Axle
    rear: _Axle | None
    fitted: FittedBar
    laden: Laden
    empty: Empty

    @property
    def axles(self) -> tuple[_Axle, ...]:
        """The rear one first, as moments are."""
        return (self.front,) if self.rear is None else (self.rear, self.front)

    def take(self, rows: np.ndarray) -> "_Orders":
        """Some of them."""
        names = ("roll_stiffness", "mass", "lash_angle", "front")
        fits = replace(self.fitted, **{name: getattr(self.fitted, name)[rows] for name in names})
        rear = None if self.rear is None else self.rear.take(rows)
        known = (one.take(rows) for one in (self.laden, self.empty))
        return _Orders(self.front.take(rows), rear, fits, *known)


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
    """A front bar alone where one does it; else every one with every rear candidate.

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
        What is to be ordered, or what no pair gets past.

    Notes
    -----
    Accepted as a single bar is, but for the front share, which may not fall at all. Ranked by
    distance from the target in whole per cent, then by the change of the front share in hundredths,
    then the softer two together. Stress in every state is worked out rank by rank, 48 orders at
    once, of those alone that may last. In a pair the rear bar is stiffer than the one that is on.
    """
    if wanted.nothing_to_bring_back(job.limits):
        return NoPair.NOTHING_TO_BRING_BACK
    states = states_of_strength(job, case)
    front = _front_axle(job, front_bar)
    alone, pairs = _orders(job, rear_bar, front, case, emptiest)
    for (one,) in _front_bars_that_do(job, alone, states, wanted):
        does = Alone(one.roll_gradient, one.front_load_transfer_share)
        return Pair(one, None, _share_now(one), does, None)
    if pairs is None:
        return NoPair.NO_STIFFER_REAR
    _, against = _at_least(job, pairs, states, wanted)
    for rear, one in _accepted(job, pairs, states, against=against, wanted=wanted):
        return _told(job, one, rear, rear_bar, case=case, emptiest=emptiest)
    return _stopped_by(zip(*against, strict=True))


def _front_axle(job: Job, front_bar: RearBar) -> _Axle:
    """Every front section."""
    track = job.vehicle.front.track
    independent = job.vehicle.front.suspension is Suspension.INDEPENDENT
    own = candidates(front_bar, independent=independent, track=track)
    hung = FittedBar(
        own.roll_stiffness, own.mass, own.lash_angle, track=track if independent else None
    )
    return _Axle(FRONT, front_bar, own, hung)


def _orders(
    job: Job, rear_bar: RearBar, front: _Axle, case: State, emptiest: State
) -> tuple[_Orders, _Orders | None]:
    """Every front section alone, and with every rear candidate stiffer than the bar that is on.

    In one batch: alone is with the rear bar that stays, whose mass was weighed. No pairs without a
    stiffer rear bar.
    """
    bars, fitted = rear_bars(job, rear_bar, case)
    stays = mass.axles(job, case)[REAR].bar_roll_stiffness
    stiffer = np.flatnonzero(bars.roll_stiffness > stays)
    count = front.bars.mass.size
    whole = count * (1 + stiffer.size)
    at_rear, in_front = np.divmod(np.arange(whole), count)
    fronts = front.take(in_front)
    fits = replace(
        fitted,
        roll_stiffness=np.append(stays, bars.roll_stiffness[stiffer])[at_rear],
        mass=np.append(0.0, bars.mass[stiffer])[at_rear],
        lash_angle=np.append(0.0, bars.lash_angle[stiffer])[at_rear],
        front=fronts.bars.roll_stiffness,
    )
    laden = laden_with(job, case, fits, fronts.fitted)
    found = _Orders(fronts, None, fits, laden, empty_with(job, emptiest, fits))
    alone, paired = found.take(np.arange(count)), np.arange(count, whole)
    if not paired.size:
        return alone, None
    rear = _Axle(REAR, rear_bar, bars, fitted).take(stiffer[at_rear[paired] - 1])
    return alone, replace(found.take(paired), rear=rear)


def _front_bars_that_do(
    job: Job, alone: _Orders, states: Sequence[State], wanted: Wanted
) -> Iterator[tuple[Candidate, ...]]:
    """Those accepted alone, by rank; where none leans little enough nothing more is looked at."""
    if np.any(alone.laden.gradient <= wanted.target * (1.0 + job.limits.gradient_tolerance + SAME)):
        _, against = _at_least(job, alone, states, wanted)
        yield from _accepted(job, alone, states, against=against, wanted=wanted)


def _at_least(
    job: Job, orders: _Orders, states: Sequence[State], wanted: Wanted
) -> tuple[list[tuple[Candidate, ...]], list[list[tuple[Objection, ...]]]]:
    """As `_judged`, by the stress in the case sized for: no other state has less to say."""
    least = [[one] * len(states) for one in orders.laden.moments]
    return _judged(job, orders, states, least, wanted=wanted)


def _accepted(
    job: Job,
    orders: _Orders,
    states: Sequence[State],
    *,
    against: Sequence[Sequence[tuple[Objection, ...]]],
    wanted: Wanted,
) -> Iterator[tuple[Candidate, ...]]:
    """The bars of each order that is accepted, by rank."""
    ranked = _ranking(orders, wanted.target)
    may_last = [n for n in ranked if not any(own[n] for own in against)]
    for first in range(0, len(may_last), FEW):
        some = orders.take(np.array(may_last[first : first + FEW]))
        found = worked_out(job, states, some.fitted, some.front.fitted)
        moments = [list(one) for one in zip(*found, strict=True)]
        bars, _ = _judged(job, some, states, moments, wanted=wanted)
        for order in zip(*bars, strict=True):
            if all(bar.accepted for bar in order):
                yield order


def _judged(
    job: Job,
    orders: _Orders,
    states: Sequence[State],
    moments: Sequence[Sequence[BarMoments]],
    *,
    wanted: Wanted,
) -> tuple[list[tuple[Candidate, ...]], list[list[tuple[Objection, ...]]]]:
    """The bars of each axle as candidates, and what stands against each, rear ones first.

    `moments` are of the rear bars, then of the front ones, in every state.
    """
    limits = replace(job.limits, front_share_drop=SAME)
    found, against = [], []
    for axle in orders.axles:
        stress = stresses(
            job,
            axle.hung,
            axle.bars,
            fitted=axle.fitted,
            states=states,
            moments=moments[0 if axle.end == REAR else 1],
            twists=full_twists(job, states, axle.fitted, end=axle.end),
            end=axle.end,
        )
        columns = _columns(job, orders, axle, stress, case=states[0])
        why = objections(columns, limits, wanted)
        against.append(why)
        found.append(as_candidates(columns, why))
    return found, against


def _columns(job: Job, orders: _Orders, axle: _Axle, stress: Strength, *, case: State) -> dict:
    track = mass.axles(job, case)[axle.end].track
    return bar_columns(axle.bars, orders.laden, orders.empty, stress=stress) | axle_columns(
        axle.hung, axle.bars, axle.fitted, twist=stress.full_twist, track=track
    )


def _ranking(orders: _Orders, target: float) -> list[int]:
    miss = np.abs(orders.laden.gradient / target - 1.0)
    near = np.where(np.isfinite(miss), np.round(100.0 * miss), np.inf)
    moved = np.round(100.0 * np.abs(orders.empty.share_drop))
    stiffness = sum(axle.bars.roll_stiffness for axle in orders.axles)
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
        share_now=_share_now(rear),
        front_alone=_as_it_is(new, case, emptiest),
        rear_alone=Alone(float(laden.gradient[0]), float(empty.share[0])),
    )


def _share_now(bar: Candidate) -> float:
    return bar.front_load_transfer_share + bar.front_share_drop


def _as_it_is(job: Job, case: State, emptiest: State) -> Alone:
    """Lean and share of a job as it is, a new front bar on in every state."""
    job = with_parts(job)
    laden = settle(mass.model(job, case), TURN)
    empty = settle(mass.model(job, emptiest), TURN)
    return Alone(
        float(measured_roll_gradient(*laden, job.target.at)[0]),
        float(straight_ahead(*empty).front_share[0]),
    )
