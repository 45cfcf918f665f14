"""What each load and each change adds, switched on one after the other from unladen on."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, concatenate, settle
from rollsim.mass import UNLADEN, State
from rollsim.roll.figures import TURN, cab_roll, turn_and_table
from rollsim.roll.following import follow
from rollsim.roll.points import CurvePoint, curve_points
from rollsim.roll.states import SECANT_AT
from rollsim.vehicle import Change, Job, Place


class Part(Enum):
    """What is switched on."""

    ROOF_LOADS = "roof loads"
    OTHER_LOADS = "other loads"
    SUSPENSION_LIFT = "suspension lift"
    BODY_LIFT = "body lift"
    TYRES = "tyres"
    WHEEL_OFFSET = "wheel offset"
    SPRINGS = "springs"
    FRONT_BAR = "front bar"


ORDER = (
    Part.ROOF_LOADS,
    Part.OTHER_LOADS,
    Part.SUSPENSION_LIFT,
    Part.BODY_LIFT,
    Part.TYRES,
    Part.WHEEL_OFFSET,
    Part.SPRINGS,
    Part.FRONT_BAR,
)
"""Unless another is asked for: what an owner puts on before what a workshop alters."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing switched on.

    Parameters
    ----------
    part : Part
        What kind.
    items : tuple of str
        Names of the load items; empty for a change.
    """

    part: Part
    items: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Stage:
    """The vehicle once a step is done. NaN marks what has no value.

    Parameters
    ----------
    step : Step or None
        What was switched on last; None: unladen.
    secant_roll_gradient : float
        At 0.4 g [rad/(m/s²)]; NaN where it tips before.
    roll_angles : tuple of float
        At each lateral acceleration asked for, static lean included [rad]; NaN where it has tipped.
    tip_over_threshold, inner_front_lift, inner_rear_lift : float
        The worse of left and right turn [m/s²]; a lift is NaN where the vehicle tips first.
    points : tuple of CurvePoint
        The equilibria at those lateral accelerations, in rising order; without those past tip-over.
    """

    step: Step | None
    secant_roll_gradient: float
    roll_angles: tuple[float, ...]
    tip_over_threshold: float
    inner_front_lift: float
    inner_rear_lift: float
    points: tuple[CurvePoint, ...] = ()


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one step adds to the stage before it.

    Parameters
    ----------
    step : Step
        What was switched on.
    secant_roll_gradient : float
        [rad/(m/s²)].
    roll_angles : tuple of float
        [rad].
    tip_over_threshold : float
        [m/s²].
    """

    step: Step
    secant_roll_gradient: float
    roll_angles: tuple[float, ...]
    tip_over_threshold: float


def stages(
    job: Job,
    case: str,
    lateral: tuple[float, ...] = (),
    *,
    order: Sequence[Part] = ORDER,
    each_item: bool = False,
    mirrored: bool = False,
) -> tuple[Stage, ...]:
    """From unladen to a load case, one thing at a time, in one batch.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    case : str
        Name of the state to end in.
    lateral : tuple of float
        Lateral accelerations to lean at [m/s²], not negative.
    order : sequence of Part
        In which they are switched on, each once; what it leaves out follows in the usual order.
    each_item : bool
        Every load item a step of its own, in the order of the file.
    mirrored : bool
        The figures are those of a right turn.

    Returns
    -------
    tuple of Stage
        Unladen first, the case last; what the vehicle has none of is left out.

    Raises
    ------
    ValueError
        If the vehicle has no state of that name.

    Notes
    -----
    What a step adds depends on what is on already, so the order belongs to every figure.
    """
    job = mass.mirrored(job) if mirrored else job
    final = next((state for state in mass.states(job) if state.name == case), None)
    if final is None:
        names = ", ".join(state.name for state in mass.states(job))
        raise ValueError(f"case: found {case!r}; allowed {names}")
    whole_order = tuple(dict.fromkeys((*order, *ORDER)))
    steps = _steps(job, final, whole_order, each_item=each_item)
    made = [_made(job, steps[:count]) for count in range(len(steps) + 1)]
    models = [_switched(job, final, steps[:count], made=made[count]) for count in range(len(made))]
    raised = np.array([change.tyre_radius for change in made])
    return _measured(concatenate(models), (None, *steps), lateral, raised=raised)


def contributions(found: Sequence[Stage]) -> tuple[Contribution, ...]:
    """What each step adds.

    Parameters
    ----------
    found : sequence of Stage
        From `stages`; its differences add up to the whole.

    Returns
    -------
    tuple of Contribution
        One for each stage but the first, in [rad], [rad/(m/s²)] and [m/s²].
    """
    return tuple(
        Contribution(
            now.step,
            now.secant_roll_gradient - before.secant_roll_gradient,
            tuple(b - a for a, b in zip(before.roll_angles, now.roll_angles, strict=True)),
            now.tip_over_threshold - before.tip_over_threshold,
        )
        for before, now in pairwise(found)
    )


def _steps(job: Job, final: State, order: tuple[Part, ...], *, each_item: bool) -> tuple[Step, ...]:
    """What there is to switch on."""
    found = []
    for part in order:
        if part in (Part.ROOF_LOADS, Part.OTHER_LOADS):
            names = tuple(
                load.name
                for load in final.loads
                if (load.place is Place.ROOF) == (part is Part.ROOF_LOADS)
            )
            if each_item:
                found += [Step(part, (name,)) for name in dict.fromkeys(names)]
            elif names:
                found.append(Step(part, names))
        elif final.changed and _alters(job.change, part):
            found.append(Step(part))
    return tuple(found)


def _alters(change: Change, part: Part) -> bool:
    match part:
        case Part.SUSPENSION_LIFT:
            return bool(change.suspension_lift_front or change.suspension_lift_rear)
        case Part.BODY_LIFT:
            return bool(change.body_lift * change.body_lift_mass)
        case Part.TYRES:
            return bool(change.tyre_radius)
        case Part.WHEEL_OFFSET:
            return bool(change.wheel_offset_front or change.wheel_offset_rear)
        case Part.FRONT_BAR:
            return change.front_bar_roll_stiffness is not None
    return change.front_spring is not None or change.rear_spring is not None


def _made(job: Job, steps: Sequence[Step]) -> Change:
    """The changes that these steps alone bring.

    What was on when weighed and is not switched on is undone: taken −1 times.
    """
    change, parts = job.change, {step.part for step in steps}
    undone = float(change.on_when_weighed)
    lift, body, tyres, out = (
        (part in parts) - undone
        for part in (Part.SUSPENSION_LIFT, Part.BODY_LIFT, Part.TYRES, Part.WHEEL_OFFSET)
    )
    springs = Part.SPRINGS in parts
    return Change(
        suspension_lift_front=lift * change.suspension_lift_front,
        suspension_lift_rear=lift * change.suspension_lift_rear,
        tyre_radius=tyres * change.tyre_radius,
        body_lift=body * change.body_lift,
        body_lift_mass=change.body_lift_mass,
        wheel_offset_front=out * change.wheel_offset_front,
        wheel_offset_rear=out * change.wheel_offset_rear,
        front_spring=change.front_spring if springs else None,
        rear_spring=change.rear_spring if springs else None,
        front_bar_roll_stiffness=(
            change.front_bar_roll_stiffness if Part.FRONT_BAR in parts else None
        ),
    )


def _switched(job: Job, final: State, steps: Sequence[Step], *, made: Change) -> Model:
    """The vehicle with the loads of these steps and these changes alone."""
    on = {(step.part, name) for step in steps for name in step.items}
    loads = tuple(
        load
        for load in final.loads
        if (Part.ROOF_LOADS if load.place is Place.ROOF else Part.OTHER_LOADS, load.name) in on
    )
    return mass.model(replace(job, change=made), State(UNLADEN, loads, changed=True))


def _measured(
    many: Model,
    steps: Sequence[Step | None],
    lateral: tuple[float, ...],
    *,
    raised: np.ndarray,
) -> tuple[Stage, ...]:
    model, settled = settle(many, TURN)
    turn, _, tipping = turn_and_table(model, settled)
    wanted = tuple(sorted({0.0, SECANT_AT, *lateral}))
    followed = follow(model, settled, wanted, tipping=tipping)
    roll = {
        a: np.where(point.converged & (a <= turn.tip_over), cab_roll(model, point.x), np.nan)
        for a, point in zip(wanted, followed, strict=True)
    }
    secant = (roll[SECANT_AT] - cab_roll(model, settled.x)) / SECANT_AT
    points = curve_points(
        model,
        dict(zip(wanted, followed, strict=True)),
        tuple(sorted(set(lateral))),
        limit=turn.tip_over,
        raised=raised,
    )
    return tuple(
        Stage(
            step,
            float(secant[n]),
            tuple(float(roll[a][n]) for a in lateral),
            tip_over_threshold=float(turn.tip_over[n]),
            inner_front_lift=float(turn.inner_front_lift[n]),
            inner_rear_lift=float(turn.inner_rear_lift[n]),
            points=points[n],
        )
        for n, step in enumerate(steps)
    )
