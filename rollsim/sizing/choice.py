"""The ranked bars, the choice, and what to do where there is none."""

import math
from dataclasses import dataclass

from rollsim import mass
from rollsim.bar import Mount, RearBar
from rollsim.equilibrium import concatenate, settle
from rollsim.mass import FittedBar, State
from rollsim.roll import (
    TURN,
    UNRESOLVED,
    StateResult,
    inner_rear_lift,
    measured_roll_gradient,
    results,
    straight_ahead,
)
from rollsim.sizing.advice import Help, front_bar_for_balance, what_else_helps
from rollsim.sizing.candidates import Candidate, ObjectionKind, assess
from rollsim.sizing.stiffness import closed_form, required, without_rear_bar
from rollsim.vehicle import Job


@dataclass(frozen=True, slots=True)
class Gate:
    """The balance gate where it binds: the bar that the target needs fails it.

    Parameters
    ----------
    largest_passing : Candidate or None
        The stiffest bar that passes the gate and the safety factor.
    share_drop, inner_rear_lift : float
        With the bar that the target needs, in the emptiest state: fall of the front share [-] and
        wheel lift [m/s²].
    lifts_early : bool
        That wheel lift is below the limit.
    front_bar_stiffness, front_bar_to_pass : float
        Front roll stiffness to add, with the required rear bar, to restore the front share in
        the emptiest state, and to pass the whole gate [N·m/rad]; NaN where none does.
    """

    largest_passing: Candidate | None
    share_drop: float
    inner_rear_lift: float
    lifts_early: bool
    front_bar_stiffness: float
    front_bar_to_pass: float


@dataclass(frozen=True, slots=True)
class Sizing:
    """The answer to: which rear bar?

    Parameters
    ----------
    case : str
        The state sized for.
    emptiest : str
        The state that the balance gate looks at.
    at : float or None
        Lateral acceleration of the secant target [m/s²]; None: linear.
    target : float
        Roll gradient wanted [rad/(m/s²)].
    target_is_unladen : bool
        It is the unladen state's own.
    present : float
        Roll gradient of the case as it is, measured as the target [rad/(m/s²)].
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
    candidates : tuple of Candidate
        Ranked, accepted ones first.
    choice : Candidate or None
        The first of them, if accepted and a bar is needed at all.
    states : tuple of StateResult
        Every state with the chosen bar; empty where there is none.
    gate : Gate or None
        Where the balance gate binds.
    help_bar : Candidate or None
        The stiffest bar that passes balance gate and safety factor, else the stiffest at hand;
        None where a bar is accepted or none is needed.
    helps : tuple of Help
        What else would meet the target with that bar.
    tyres_rated : bool
        Both axles' tyres have a rated load, which understeer needs.
    """

    case: str
    emptiest: str
    at: float | None
    target: float
    target_is_unladen: bool
    present: float
    linear_target: float
    linear_present: float
    front_weight_share: float
    required_roll_stiffness: float
    closed_form_roll_stiffness: float
    bare: float
    limit: float
    replaces: str
    candidates: tuple[Candidate, ...]
    choice: Candidate | None
    states: tuple[StateResult, ...]
    gate: Gate | None
    help_bar: Candidate | None
    helps: tuple[Help, ...]
    tyres_rated: bool

    @property
    def reachable(self) -> bool:
        """Some rear bar stiffness meets the target."""
        return bool(self.limit <= self.target)


@dataclass(frozen=True, slots=True)
class _Aim:
    """What is sized for, before any candidate is looked at."""

    states: tuple[State, ...]
    case: State
    emptiest: State
    target: float
    present: float
    linear_target: float
    linear_present: float
    share_before: float  # front load-transfer share of the emptiest state as it is
    weight_share: float  # front weight share there


def size(job: Job, rear_bar: RearBar) -> Sizing:
    """Size a rear bar: required stiffness, every candidate, the choice and what stands with it.

    Parameters
    ----------
    job : Job
        Vehicle, loads, target and limits.
    rear_bar : RearBar
        Shape and stock.

    Returns
    -------
    Sizing
        In SI; the choice is None where no candidate is accepted.

    Notes
    -----
    Sized for one case and shown in every state. A rear bar on the vehicle is replaced.
    """
    aim, vehicle = _aim(job), job.vehicle
    lash = rear_bar.installation.lash
    ranked = assess(job, rear_bar, aim.case, emptiest=aim.emptiest, target=aim.target)
    lash_angle = min(c.lash_angle for c in ranked) if lash else 0.0
    need = required(job, aim.case, aim.target, at=job.target.at, lash_angle=lash_angle)
    linear = closed_form(without_rear_bar(job, aim.case), _linear_goal(job, aim))
    choice = ranked[0] if ranked[0].accepted and need.stiffness > 0.0 else None
    gate = None if choice else _gate(job, aim, ranked, stiffness=need.stiffness)
    help_bar = None if choice or need.stiffness == 0.0 else _most_that_passes(ranked)
    helps = ()
    if help_bar is not None:
        bar = fitted(help_bar, rear_bar)
        helps = what_else_helps(job, aim.case, aim.target, fitted=bar)
    return Sizing(
        case=aim.case.name,
        emptiest=aim.emptiest.name,
        at=job.target.at,
        target=aim.target,
        target_is_unladen=job.target.roll_gradient is None,
        present=aim.present,
        linear_target=aim.linear_target,
        linear_present=aim.linear_present,
        front_weight_share=aim.weight_share,
        bare=need.bare,
        required_roll_stiffness=need.stiffness,
        closed_form_roll_stiffness=linear,
        limit=need.limit,
        replaces=vehicle.rear.bar_description,
        candidates=ranked,
        choice=choice,
        states=() if choice is None else results(job, bar=fitted(choice, rear_bar)),
        gate=gate,
        help_bar=help_bar,
        helps=helps,
        tyres_rated=None not in (vehicle.front.tyre.rated_load, vehicle.rear.tyre.rated_load),
    )


def fitted(candidate: Candidate, rear_bar: RearBar) -> FittedBar:
    """The candidate as the vehicle model takes it."""
    return FittedBar(
        candidate.roll_stiffness,
        candidate.mass,
        candidate.lash_angle,
        on_axle=rear_bar.mount is Mount.AXLE,
    )


def _aim(job: Job) -> _Aim:
    states = mass.states(job)
    plain = concatenate([mass.model(job, state) for state in states])
    settled_model, settled = settle(plain, TURN)
    ahead = straight_ahead(settled_model, settled)
    measured = measured_roll_gradient(settled_model, settled, job.target.at)
    linear = ahead.roll_gradient
    if job.target.case is None:
        number = max(range(2, len(states)), key=lambda n: measured[n])
    else:
        number = [state.name for state in states].index(job.target.case, 2)
    lightest = min(range(len(states)), key=lambda n: plain.total_mass[n])
    axle = settled_model.axle_mass[:, lightest]
    wanted = job.target.roll_gradient
    return _Aim(
        states=states,
        case=states[number],
        emptiest=states[lightest],
        target=float(measured[0]) if wanted is None else wanted,
        present=float(measured[number]),
        linear_target=float(linear[0]),
        linear_present=float(linear[number]),
        share_before=float(ahead.front_share[lightest]),
        weight_share=float(axle[0] / axle.sum()),
    )


def _linear_goal(job: Job, aim: _Aim) -> float:
    """The target on the linear model: the unladen one's own, or the value asked for."""
    return aim.linear_target if job.target.roll_gradient is None else aim.target


def _gate(job: Job, aim: _Aim, ranked: tuple[Candidate, ...], *, stiffness: float) -> Gate | None:
    """The balance gate at the required stiffness; None where that bar would pass it."""
    if not 0.0 < stiffness < math.inf:
        return None
    needed = FittedBar(stiffness)
    plain = mass.with_bar(mass.model(job, aim.emptiest), job, needed)
    many, settled = settle(plain, TURN)
    drop = aim.share_before - float(straight_ahead(many, settled).front_share[0])
    lift = float(inner_rear_lift(many, settled)[0])
    lift = math.nan if lift == UNRESOLVED else lift
    early = lift < job.limits.inner_rear_lift
    if drop <= job.limits.front_share_drop and not early:
        return None
    passing = [c for c in ranked if _passes(c)]
    largest = max(passing, key=lambda c: c.roll_stiffness, default=None)
    before, limits = aim.share_before, job.limits
    restore = front_bar_for_balance(job, aim.emptiest, needed, share=before, lift=0.0)
    pass_gate = front_bar_for_balance(
        job,
        aim.emptiest,
        needed,
        share=before - limits.front_share_drop,
        lift=limits.inner_rear_lift,
    )
    return Gate(largest, drop, lift, early, restore, pass_gate)


def _most_that_passes(ranked: tuple[Candidate, ...]) -> Candidate:
    passing = [c for c in ranked if _passes(c)]
    return max(passing or ranked, key=lambda c: c.roll_stiffness)


def _passes(c: Candidate) -> bool:
    """Balance gate and safety factor, whatever the lean."""
    lean = (ObjectionKind.LEAN, ObjectionKind.TIPS)
    return all(objection.kind in lean for objection in c.objections)
