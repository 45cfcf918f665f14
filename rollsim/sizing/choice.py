"""The ranked bars, the choice, and what to do where there is none."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rollsim import mass
from rollsim.bar import RearBar
from rollsim.equilibrium import settle
from rollsim.mass import State
from rollsim.roll import (
    TURN,
    StateResult,
    measured_roll_gradient,
    results,
    straight_ahead,
)
from rollsim.sizing.acceptance import (
    Obstacle,
    Wanted,
    balance_objections,
    best,
    in_the_way,
    stiffest_keeping_share,
)
from rollsim.sizing.articulation import FRONT, REAR, comes_off, stop_to_stop
from rollsim.sizing.candidates import assess, fitted, hang
from rollsim.sizing.figures import empty_with
from rollsim.sizing.new_front import NewFront, new_front, without_new_front
from rollsim.sizing.pair import NoPair, Pair, best_pair
from rollsim.sizing.records import Candidate, ComesOff, Objection
from rollsim.sizing.stiffness import closed_form, required
from rollsim.sizing.strength import like
from rollsim.vehicle import Job


@dataclass(frozen=True, slots=True)
class Sizing:
    """The answer to: which rear bar?

    Parameters
    ----------
    case : str
        The state sized for.
    emptiest : str
        The state that the balance gate looks at.
    driven_empty : str
        The vehicle without loads, its changes on: the emptiest one that is driven with the bar.
    against_driven_empty : tuple of Objection
        Limits of balance that the choice does not keep there, though it does in the emptiest state.
    at : float or None
        Lateral acceleration of the secant target [m/s²]; None: linear.
    target : float
        Roll gradient wanted [rad/(m/s²)].
    target_is_unladen : bool
        It is the unladen state's own.
    less_than_now : float or None
        The target is so much less than the case has as it is, as a share of that [-].
    present : float
        Roll gradient of the case as it is, measured as the target [rad/(m/s²)].
    nothing_to_bring_back : bool
        The case as it is lies within what is allowed above the target: no bar is accepted.
    linear_target, linear_present : float
        The unladen and the present roll gradient at straight ahead [rad/(m/s²)].
    front_weight_share : float
        Of the emptiest state [-].
    required_roll_stiffness : float
        Of the new bar alone [N·m/rad]; infinite where no bar reaches the target.
    closed_form_roll_stiffness : float
        The same from the linear model [N·m/rad].
    bare : float
        Roll gradient of the case without any rear bar [rad/(m/s²)].
    limit : float
        Least roll gradient that any rear bar gives [rad/(m/s²)].
    replaces : str
        The rear bar that goes, empty where there is none.
    front_off, rear_off : ComesOff
        What the bars that are on do in the case sized for; None in front where no pair was asked.
    candidates : tuple of Candidate
        Ranked, accepted ones first.
    choice : Candidate or None
        The first of them, if accepted.
    states : tuple of StateResult
        Every state with the chosen bar; empty where there is none.
    in_the_way : tuple of Obstacle
        What keeps every bar from being accepted; empty where one is, or where there is nothing to
        bring back.
    best : Candidate or None
        The least lean among the bars that last, keep the balance and lean visibly less than now.
    stiffest_keeping_share : Candidate or None
        The stiffest of those that leave the front its share of the weight in the emptiest state.
    disconnected_off_road : bool
        The links come off before the vehicle leaves the road: strength holds with them on there.
    road_twist : float
        Axle twist that they then have to last [rad].
    stops_given : bool
        The rear has bump stop and rebound limit; else the twist at which the lower wheel lifts
        counts, which bounds it.
    tyres_rated : bool
        Both axles' tyres have a rated load, which understeer needs.
    pair : Pair or NoPair
        Front and rear bar together, or why there is none.
    new_front : NewFront or None
        The front bar that the changes put in, which is ordered as well.
    """

    case: str
    emptiest: str
    driven_empty: str
    against_driven_empty: tuple[Objection, ...]
    at: float | None
    target: float
    target_is_unladen: bool
    less_than_now: float | None
    present: float
    nothing_to_bring_back: bool
    linear_target: float
    linear_present: float
    front_weight_share: float
    required_roll_stiffness: float
    closed_form_roll_stiffness: float
    bare: float
    limit: float
    replaces: str
    front_off: ComesOff | None
    rear_off: ComesOff
    candidates: tuple[Candidate, ...]
    choice: Candidate | None
    states: tuple[StateResult, ...]
    in_the_way: tuple[Obstacle, ...]
    best: Candidate | None
    stiffest_keeping_share: Candidate | None
    disconnected_off_road: bool
    road_twist: float
    stops_given: bool
    tyres_rated: bool
    pair: Pair | NoPair
    new_front: NewFront | None = None

    @property
    def reachable(self) -> bool:
        """Some rear bar stiffness meets the target."""
        return bool(self.limit <= self.target)

    def gap_closed(self, bar: Candidate) -> float:
        """Share of the way from now to the target that a bar goes [-]; NaN where there is none."""
        return self.wanted.gap_closed(bar.roll_gradient)

    @property
    def wanted(self) -> Wanted:
        """Target and present roll gradient [rad/(m/s²)]."""
        return Wanted(self.target, self.present, self.less_than_now is not None)

    @property
    def takes_front_below_its_weight(self) -> bool:
        """The choice leaves the front less of the load transfer than it has of the weight."""
        choice = self.choice
        return choice is not None and choice.front_load_transfer_share < self.front_weight_share

    @property
    def balance_is_in_the_way(self) -> bool:
        """No rear bar alone does it without taking the front share too low."""
        return Obstacle.BALANCE in self.in_the_way or self.takes_front_below_its_weight


@dataclass(frozen=True, slots=True)
class Decision:
    """What a sizing comes to.

    Parameters
    ----------
    choice : Candidate or None
        The first in rank, if accepted.
    best : Candidate or None
        As `Sizing` has it.
    present : float
        Roll gradient of the case as it is [rad/(m/s²)].
    nothing_to_bring_back : bool
        As `Sizing` has it.
    target : float
        Roll gradient wanted [rad/(m/s²)].
    candidates : tuple of Candidate
        Ranked, accepted ones first.
    """

    choice: Candidate | None
    best: Candidate | None
    present: float
    nothing_to_bring_back: bool
    target: float
    candidates: tuple[Candidate, ...]

    @property
    def in_the_way(self) -> tuple[Obstacle, ...]:
        """As `Sizing` has it."""
        stopped = self.choice is None and not self.nothing_to_bring_back
        return in_the_way(self.candidates) if stopped else ()


@dataclass(frozen=True, slots=True)
class _Aim:
    """What is sized for, before any candidate is looked at."""

    states: tuple[State, ...]
    case: State
    emptiest: State
    wanted: Wanted
    linear_target: float
    linear_present: float
    weight_share: float  # front weight share of the emptiest state


def size(job: Job, rear_bar: RearBar, front_bar: RearBar | None = None) -> Sizing:
    """Size a rear bar: required stiffness, every candidate, the choice and what stands with it.

    Parameters
    ----------
    job : Job
        Vehicle, loads, target and limits.
    rear_bar : RearBar
        Shape and stock.
    front_bar : RearBar or None
        Those of a front bar, where a pair is asked for.

    Returns
    -------
    Sizing
        In SI; the choice is None where no candidate is accepted.

    Notes
    -----
    Sized for one case and shown in every state. A rear bar on the vehicle is replaced.
    """
    (aim,), vehicle = _aims(job, [job.target.case]), job.vehicle
    lash = rear_bar.installation.lash
    hung = hang(job, rear_bar, aim.case, aim.emptiest)
    ranked = assess(job, aim.case, hung, aim.wanted)
    bare = like(hung.there, aim.case).bare
    lash_angle = min(c.lash_angle for c in ranked) if lash else 0.0
    need = required(
        job, aim.case, aim.wanted.target, at=job.target.at, lash_angle=lash_angle, bare=bare
    )
    linear = closed_form(*bare, _linear_goal(job, aim))
    found = _decided(job, aim, ranked)
    choice = found.choice
    return Sizing(
        case=aim.case.name,
        emptiest=aim.emptiest.name,
        driven_empty=mass.driven_empty(job).name,
        against_driven_empty=_against_driven_empty(job, rear_bar, choice, aim),
        at=job.target.at,
        target=aim.wanted.target,
        target_is_unladen=job.target.is_unladen,
        less_than_now=job.target.less_than_now,
        present=aim.wanted.present,
        nothing_to_bring_back=found.nothing_to_bring_back,
        linear_target=aim.linear_target,
        linear_present=aim.linear_present,
        front_weight_share=aim.weight_share,
        bare=need.bare,
        required_roll_stiffness=need.stiffness,
        closed_form_roll_stiffness=linear,
        limit=need.limit,
        replaces=vehicle.rear.bar_description,
        front_off=(
            None if front_bar is None else comes_off(without_new_front(job), aim.case, FRONT)
        ),
        rear_off=comes_off(job, aim.case, REAR),
        candidates=ranked,
        choice=choice,
        states=() if choice is None else results(job, bar=fitted(choice, rear_bar)),
        in_the_way=found.in_the_way,
        best=found.best,
        stiffest_keeping_share=stiffest_keeping_share(ranked, aim.weight_share),
        disconnected_off_road=rear_bar.disconnected_off_road,
        road_twist=job.limits.road_twist,
        stops_given=not math.isnan(stop_to_stop(mass.axles(job, aim.case)[1])),
        tyres_rated=None not in (vehicle.front.tyre.rated_load, vehicle.rear.tyre.rated_load),
        pair=_pair(job, rear_bar, front_bar, aim),
        new_front=new_front(job, aim.case),
    )


def decide(job: Job, rear_bar: RearBar) -> Decision:
    """What a sizing comes to, without all that stands beside it.

    Parameters
    ----------
    job : Job
        Vehicle, loads, target and limits.
    rear_bar : RearBar
        Shape and stock.

    Returns
    -------
    Decision
        As `size` gives it [rad/(m/s²)].
    """
    (found,) = decide_each(job, rear_bar, [job.target.case])
    return found


def decide_each(job: Job, rear_bar: RearBar, cases: Sequence[str | None]) -> tuple[Decision, ...]:
    """What a sizing comes to for each of some load cases.

    What they share is worked out once; with many bars each case is followed anew.

    Parameters
    ----------
    job : Job
        Vehicle, loads, target and limits; its target's own case is not looked at.
    rear_bar : RearBar
        Shape and stock.
    cases : sequence of str or None
        At least one; None: the one that leans most.

    Returns
    -------
    tuple of Decision
        Each as `decide` gives it [rad/(m/s²)].
    """
    found, hung = [], None
    for aim in _aims(job, cases):
        if hung is None or not hung.for_every_case:
            hung = hang(job, rear_bar, aim.case, aim.emptiest)
        found.append(_decided(job, aim, assess(job, aim.case, hung, aim.wanted)))
    return tuple(found)


def _against_driven_empty(
    job: Job, rear_bar: RearBar, choice: Candidate | None, aim: _Aim
) -> tuple[Objection, ...]:
    state = mass.driven_empty(job)
    if choice is None or state == aim.emptiest:
        return ()
    empty = empty_with(job, state, fitted(choice, rear_bar))
    (found,) = balance_objections(empty.inner_rear_lift, empty.share_drop, job.limits)
    return found


def _pair(job: Job, rear_bar: RearBar, front_bar: RearBar | None, aim: _Aim) -> Pair | NoPair:
    if front_bar is None:
        return NoPair.NOT_ASKED
    return best_pair(job, rear_bar, front_bar, aim.case, emptiest=aim.emptiest, wanted=aim.wanted)


def _decided(job: Job, aim: _Aim, ranked: tuple[Candidate, ...]) -> Decision:
    return Decision(
        choice=ranked[0] if ranked[0].accepted else None,
        best=best(ranked),
        present=aim.wanted.present,
        nothing_to_bring_back=aim.wanted.nothing_to_bring_back(job.limits),
        target=aim.wanted.target,
        candidates=ranked,
    )


def _aims(job: Job, names: Sequence[str | None]) -> list[_Aim]:
    """One for each case named; None: the one that leans most."""
    states, cases = mass.states_with_bar(job), mass.case_names(job)
    plain = mass.models([(job, state) for state in states])
    settled_model, settled = settle(plain, TURN)
    linear = straight_ahead(settled_model, settled).roll_gradient
    measured = measured_roll_gradient(settled_model, settled, job.target.at)
    lightest = min(range(2 + len(cases)), key=lambda n: plain.total_mass[n])
    axle = settled_model.axle_mass[:, lightest]

    def aim(name: str | None) -> _Aim:
        if name is None:
            number = max(range(2, 2 + len(cases)), key=lambda n: measured[n])
        else:
            number = 2 + cases.index(name)
        present = float(measured[number])
        return _Aim(
            states=states,
            case=states[number],
            emptiest=states[lightest],
            wanted=Wanted(
                _target(job, unladen=float(measured[0]), present=present),
                present,
                job.target.less_than_now is not None,
            ),
            linear_target=float(linear[0]),
            linear_present=float(linear[number]),
            weight_share=float(axle[0] / axle.sum()),
        )

    return [aim(name) for name in names]


def _target(job: Job, *, unladen: float, present: float) -> float:
    """Roll gradient wanted: a figure, less than now, or the unladen one's own [rad/(m/s²)]."""
    if job.target.roll_gradient is not None:
        return job.target.roll_gradient
    less = job.target.less_than_now
    return unladen if less is None else present * (1.0 - less)


def _linear_goal(job: Job, aim: _Aim) -> float:
    """The target on the linear model: the unladen one's own, or the value asked for."""
    if job.target.less_than_now is not None:
        return aim.linear_present * (1.0 - job.target.less_than_now)
    return aim.linear_target if job.target.is_unladen else aim.wanted.target
