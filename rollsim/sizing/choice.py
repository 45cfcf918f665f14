"""The ranked bars, the choice in one sentence, and what to do where there is none."""

import math
from dataclasses import dataclass

from rollsim import mass
from rollsim.bar import Mount, RearBar
from rollsim.cautions import BAR_CAUTIONS
from rollsim.equilibrium import concatenate, settle
from rollsim.mass import FittedBar, State
from rollsim.roll import TURN, StateResult, inner_rear_lift, results, straight_ahead
from rollsim.sizing.advice import Help, front_bar_for_share, what_else_helps
from rollsim.sizing.candidates import Candidate, assess
from rollsim.sizing.stiffness import (
    closed_form,
    required,
    settled_gradients,
    without_rear_bar,
)
from rollsim.vehicle import STANDARD_GRAVITY, Job

LINEAR_DIFFERS = 0.05  # share by which linear and secant may differ without a word
PER_DEGREE = math.radians(1.0)  # N·m/rad to N·m/deg
DEGREES_PER_G = math.degrees(STANDARD_GRAVITY)  # rad/(m/s²) to deg/g


@dataclass(frozen=True, slots=True)
class Gate:
    """The balance gate where it binds: the bar that the target needs fails it.

    Parameters
    ----------
    largest_passing : Candidate or None
        The stiffest bar that passes the gate and the safety factor.
    front_bar_stiffness, front_bar_to_pass : float
        Front roll stiffness to add, with the required rear bar, to restore the front share in
        the emptiest state, and to bring its fall within the gate [N·m/rad]; NaN where none does.
    text : str
        One sentence.
    """

    largest_passing: Candidate | None
    front_bar_stiffness: float
    front_bar_to_pass: float
    text: str


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
    present : float
        Roll gradient of the case as it is, measured as the target [rad/(m/s²)].
    linear_target, linear_present : float
        The unladen and the present roll gradient at straight ahead [rad/(m/s²)].
    required_roll_stiffness : float
        Of the new bar alone [N·m/rad]; infinite where no bar reaches the target.
    closed_form_roll_stiffness : float
        The same from the linear model [N·m/rad].
    limit : float
        Roll gradient with a rigid rear bar [rad/(m/s²)].
    replaces : str
        The rear bar that goes, empty where there is none.
    candidates : tuple of Candidate
        Ranked, accepted ones first.
    choice : Candidate or None
        The first of them, if accepted.
    states : tuple of StateResult
        Every state with the chosen bar; empty where there is none.
    sentence : str
        The choice, or why there is none.
    gate : Gate or None
        Where the balance gate binds.
    helps : tuple of Help
        What else would help, where no bar reaches the target or none is accepted.
    cautions : tuple of str
        What stands with every bar, and with this one.
    """

    case: str
    emptiest: str
    at: float | None
    target: float
    present: float
    linear_target: float
    linear_present: float
    required_roll_stiffness: float
    closed_form_roll_stiffness: float
    limit: float
    replaces: str
    candidates: tuple[Candidate, ...]
    choice: Candidate | None
    states: tuple[StateResult, ...]
    sentence: str
    gate: Gate | None
    helps: tuple[Help, ...]
    cautions: tuple[str, ...]

    @property
    def reachable(self) -> bool:
        """An infinitely stiff rear bar meets the target."""
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
    aim = _aim(job)
    lash = rear_bar.installation.lash
    found = assess(job, rear_bar, aim.case, emptiest=aim.emptiest, target=aim.target)
    lash_angle = min(c.lash_angle for c in found) if lash else 0.0
    stiffness, limit = required(job, aim.case, aim.target, at=job.target.at, lash_angle=lash_angle)
    linear = closed_form(without_rear_bar(job, aim.case), _linear_goal(job, aim))
    ranked = tuple(sorted(found, key=lambda c: _rank(c, aim.target)))
    choice = ranked[0] if ranked[0].accepted else None
    gate = None if choice else _gate(job, aim, ranked, stiffness=stiffness)
    helps = () if limit <= aim.target else what_else_helps(job, aim.case, aim.target)
    return Sizing(
        case=aim.case.name,
        emptiest=aim.emptiest.name,
        at=job.target.at,
        target=aim.target,
        present=aim.present,
        linear_target=aim.linear_target,
        linear_present=aim.linear_present,
        required_roll_stiffness=stiffness,
        closed_form_roll_stiffness=linear,
        limit=limit,
        replaces=job.vehicle.rear.bar_description,
        candidates=ranked,
        choice=choice,
        states=() if choice is None else results(job, bar=fitted(choice, rear_bar)),
        sentence=_sentence(aim, choice, gate, stiffness=stiffness, limit=limit),
        gate=gate,
        helps=helps,
        cautions=_cautions(job, aim, choice),
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
    measured = settled_gradients(settled_model, settled, job.target.at)
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


def _rank(c: Candidate, target: float) -> tuple:
    """Accepted first, then nearest to the target in whole per cent, then the lighter bar."""
    miss = abs(c.roll_gradient / target - 1.0)
    near = round(100.0 * miss) if math.isfinite(miss) else math.inf
    return not c.accepted, near, len(c.reasons), c.mass, -c.safety_factor


def _gate(job: Job, aim: _Aim, ranked: tuple[Candidate, ...], *, stiffness: float) -> Gate | None:
    """The balance gate at the required stiffness; None where that bar would pass it."""
    if not 0.0 < stiffness < math.inf:
        return None
    needed = FittedBar(stiffness)
    plain = mass.with_bar(mass.model(job, aim.emptiest), job, needed)
    many, settled = settle(plain, TURN)
    drop = aim.share_before - float(straight_ahead(many, settled).front_share[0])
    lift = float(inner_rear_lift(many, settled)[0])
    early = lift < job.limits.inner_rear_lift
    if drop <= job.limits.front_share_drop and not early:
        return None
    passing = [c for c in ranked if _passes(c, job)]
    largest = max(passing, key=lambda c: c.roll_stiffness, default=None)
    restore, pass_gate = (
        front_bar_for_share(job, aim.emptiest, needed, share=aim.share_before - allowed)
        for allowed in (0.0, job.limits.front_share_drop)
    )
    why = f"takes {drop:.2f} off the front share of weight transfer"
    if early:
        why += f" and lifts the inner rear wheel at {lift / STANDARD_GRAVITY:.2f} g"
    text = f"Balance gate: the rear bar that the target needs {why} when the vehicle is empty."
    if largest is not None:
        text += (
            f" The largest bar that passes is {_named(largest)}: lean per g "
            f"{largest.roll_gradient * DEGREES_PER_G:.2f} deg/g."
        )
    if math.isfinite(restore):
        text += (
            f" A front bar stiffer by {restore * PER_DEGREE:.0f} N·m/deg would restore the share, "
            f"one by {pass_gate * PER_DEGREE:.0f} N·m/deg would bring its fall within the gate; "
            "size again with it."
        )
    return Gate(largest, restore, pass_gate, text)


def _passes(c: Candidate, job: Job) -> bool:
    limits = job.limits
    return (
        c.front_share_drop <= limits.front_share_drop
        and not c.inner_rear_lift < limits.inner_rear_lift
        and c.safety_factor >= limits.safety_factor
    )


def _named(c: Candidate) -> str:
    return f"{c.section.label} of {c.steel.name} in the {c.lever * 1e3:.0f} mm hole"


def _sentence(
    aim: _Aim, choice: Candidate | None, gate: Gate | None, *, stiffness: float, limit: float
) -> str:
    target, present = aim.target * DEGREES_PER_G, aim.present * DEGREES_PER_G
    goal = f"the target of {target:.2f} deg/g"
    case = f'"{mass.spoken(aim.case.name)}"'
    now = f"{case} leans {present:.2f} deg/g"
    if not math.isfinite(present):
        now = f"{case} tips before its lean can be measured"
    if choice is not None:
        return (
            f"Fit {_named(choice)}: {now} as it is and "
            f"{choice.roll_gradient * DEGREES_PER_G:.2f} deg/g with the bar, for {goal}; "
            f"safety factor {choice.safety_factor:.2f}."
        )
    if stiffness == math.inf:
        return (
            f"No rear bar can reach {goal}: {now}, and "
            f"{limit * DEGREES_PER_G:.2f} deg/g even with a rigid one."
        )
    if stiffness == 0.0:
        return f"No rear bar is needed: {now} without one, for {goal}."
    if gate is not None:
        return f"No bar is accepted for {goal}: the balance gate binds; {now}."
    return (
        f"None of the bars at hand is accepted for {goal}, which needs "
        f"{stiffness * PER_DEGREE:.0f} N·m/deg; {now}. Try other sections, holes or steel."
    )


def _cautions(job: Job, aim: _Aim, choice: Candidate | None) -> tuple[str, ...]:
    found = list(BAR_CAUTIONS)
    for name, secant, linear in (
        ("unladen", aim.target, aim.linear_target),
        (mass.spoken(aim.case.name), aim.present, aim.linear_present),
    ):
        own = name != "unladen" or job.target.roll_gradient is None
        if job.target.at is not None and own and abs(linear / secant - 1.0) > LINEAR_DIFFERS:
            found.append(
                f"{name}: lean per g is {linear * DEGREES_PER_G:.2f} deg/g at straight ahead and "
                f"{secant * DEGREES_PER_G:.2f} deg/g as the target measures it: a second stage, a "
                "stop or a lifting wheel changes the rate on the way."
            )
    if choice is None:
        return tuple(found)
    if choice.front_load_transfer_share < aim.weight_share:
        found.append(
            f"With this bar the front takes {choice.front_load_transfer_share:.0%} of the weight "
            f"transfer and carries {aim.weight_share:.0%} of the weight "
            f"({mass.spoken(aim.emptiest.name)}): the rear gives up grip first "
            "(common practice: keep the front share above)."
        )
    fatigue = choice.steel.fatigue_allowable
    if fatigue is None:
        found.append("Fatigue not calculated: no fatigue strength is known for this steel.")
    elif choice.normal_stress > fatigue:
        found.append(
            f"The stress amplitude at 0.4 g, {choice.normal_stress / 1e6:.0f} MPa, is above the "
            f"fatigue allowable of {fatigue / 1e6:.0f} MPa."
        )
    if math.isnan(choice.twist_stress):
        found.append(
            "Stress at full axle twist is not calculated: the rear bump stop or rebound limit is "
            "not given."
        )
    return tuple(found)
