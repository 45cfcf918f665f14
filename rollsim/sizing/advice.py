"""What else would bring the roll back, in figures: load, lift, rear springs, front bar."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim.equilibrium import Model, settle
from rollsim.mass import FittedBar, State, model, with_bar
from rollsim.roll import TURN, straight_ahead
from rollsim.sizing.stiffness import RIGID, gradients
from rollsim.vehicle import Job

STIFFEST_SPRING = 4.0  # times the present rate
STIFFEST_FRONT_BAR = 3e5  # N·m/rad


class HelpKind(Enum):
    """What else than a rear bar brings the roll back."""

    LOAD = "load"
    LIFT = "lift"
    REAR_SPRINGS = "rear springs"
    FRONT_BAR = "front bar"


@dataclass(frozen=True, slots=True)
class Help:
    """Something else that would bring the roll back.

    Parameters
    ----------
    kind : HelpKind
        Load, lift, rear springs or front bar.
    amount : float
        The least that brings the target within the reach of a rear bar: taken off [kg], share of
        the lift taken out [-], times the rate [-], added [N·m/rad]; NaN where even all of it does
        not do.
    remaining : float
        Roll gradient with all of it and a rigid rear bar [rad/(m/s²)].
    whole : tuple of float
        All of it: mass of the item [kg]; front and rear lift [m]; times the rate [-]; [N·m/rad].
    subject : str
        Name of the load item.
    """

    kind: HelpKind
    amount: float
    remaining: float
    whole: tuple[float, ...]
    subject: str = ""


def least(measure: Callable[[float], float], limit: float, most: float) -> float:
    """Least amount that brings a falling measure down to a limit.

    Parameters
    ----------
    measure : callable
        Of an amount from 0 to `most`; may be infinite.
    limit : float
        In the measure's unit.
    most : float
        Largest amount allowed, in its own unit.

    Returns
    -------
    float
        [unit of the amount]: 0 where none is needed, NaN where even `most` does not do.
    """
    from scipy.optimize import bisect, brentq  # slow to import, and only sizing needs it

    if measure(0.0) <= limit:
        return 0.0
    if not measure(most) <= limit:
        return math.nan
    if math.isfinite(measure(0.0)):
        return float(brentq(lambda x: measure(x) - limit, 0.0, most, rtol=1e-6))
    return float(bisect(lambda x: 1.0 if measure(x) > limit else -1.0, 0.0, most, rtol=1e-4))


def what_else_helps(job: Job, case: State, target: float) -> tuple[Help, ...]:
    """Least amount of each other measure that makes the target reachable with a rigid rear bar.

    Parameters
    ----------
    job : Job
        The vehicle; no rear bar alone reaches its target.
    case : State
        The case sized for.
    target : float
        Roll gradient wanted [rad/(m/s²)].

    Returns
    -------
    tuple of Help
        Load and lift only where there is any.
    """
    found = [_load(job, case, target)] if case.loads else []
    change = job.change
    if max(change.suspension_lift_front, change.suspension_lift_rear) > 0.0 and case.changed:
        found.append(_lift(job, case, target))
    found.append(_springs(job, case, target))
    found.append(_front_bar(job, case, target))
    return tuple(found)


def _with_rigid_bar(plain: Model, job: Job) -> float:
    rigid = with_bar(plain, job, FittedBar(RIGID))
    return float(gradients(rigid, job.target.at)[0])


def _load(job: Job, case: State, target: float) -> Help:
    highest = max(case.loads, key=lambda load: load.height)

    def measure(taken_off: float) -> float:
        lighter = replace(highest, mass=highest.mass - taken_off)
        rest = tuple(lighter if load is highest else load for load in case.loads)
        return _with_rigid_bar(model(job, replace(case, loads=rest)), job)

    return Help(
        HelpKind.LOAD,
        least(measure, target, highest.mass),
        measure(highest.mass),
        (highest.mass,),
        highest.name,
    )


def _lift(job: Job, case: State, target: float) -> Help:
    change, plain = job.change, model(job, case)
    lift = np.array([[change.suspension_lift_front], [change.suspension_lift_rear]])

    def measure(share: float) -> float:
        return _with_rigid_bar(replace(plain, lift=plain.lift - share * lift), job)

    whole = (change.suspension_lift_front, change.suspension_lift_rear)
    return Help(HelpKind.LIFT, least(measure, target, 1.0), measure(1.0), whole)


def _springs(job: Job, case: State, target: float) -> Help:
    plain = model(job, case)
    rear = np.array([[0.0], [1.0]])

    def measure(extra: float) -> float:
        factor = 1.0 + extra * rear
        stiffer = replace(
            plain, spring_rate=plain.spring_rate * factor, hinge_step=plain.hinge_step * factor
        )
        return _with_rigid_bar(stiffer, job)

    most = STIFFEST_SPRING - 1.0
    return Help(
        HelpKind.REAR_SPRINGS,
        1.0 + least(measure, target, most),
        measure(most),
        (STIFFEST_SPRING,),
    )


def _front_bar(job: Job, case: State, target: float) -> Help:
    plain, most = model(job, case), STIFFEST_FRONT_BAR

    def measure(added: float) -> float:
        return _with_rigid_bar(_stiffer_front(plain, added), job)

    return Help(HelpKind.FRONT_BAR, least(measure, target, most), measure(most), (most,))


def _stiffer_front(plain: Model, stiffness: float) -> Model:
    added = np.array([[stiffness], [0.0]])
    return replace(plain, roll_stiffness=plain.roll_stiffness + added)


def front_bar_for_share(job: Job, emptiest: State, rear: FittedBar, *, share: float) -> float:
    """Front roll stiffness to add so that the front load-transfer share comes back.

    Parameters
    ----------
    job : Job
        The vehicle.
    emptiest : State
        Where the share is looked at.
    rear : FittedBar
        The rear bar that takes it away.
    share : float
        Front load-transfer share wanted [-].

    Returns
    -------
    float
        [N·m/rad]; NaN where no front bar does.
    """
    plain = with_bar(model(job, emptiest), job, rear)

    def rear_share(stiffness: float) -> float:
        many, settled = settle(_stiffer_front(plain, stiffness), TURN)
        return 1.0 - float(straight_ahead(many, settled).front_share[0])

    return least(rear_share, 1.0 - share, STIFFEST_FRONT_BAR)
