"""What else would bring the roll back, in figures: load, lift, rear springs, front bar."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim.equilibrium import Model, settle
from rollsim.mass import FittedBar, State, model, with_bar
from rollsim.roll import TURN, inner_rear_lift, straight_ahead
from rollsim.sizing.stiffness import gradients, least_gradient
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
        The least that meets the target with the rear bar fitted: taken off [kg], share of
        the lift taken out [-], times the rate [-], added [N·m/rad]; NaN where even all of it does
        not do.
    amount_any_bar : float
        The same with whatever rear bar serves best.
    remaining : float
        Roll gradient with all of it and that bar [rad/(m/s²)].
    whole : tuple of float
        All of it: mass of the item [kg]; front and rear lift [m]; times the rate [-]; [N·m/rad].
    subject : str
        Name of the load item.
    """

    kind: HelpKind
    amount: float
    amount_any_bar: float
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


def what_else_helps(job: Job, case: State, target: float, *, fitted: FittedBar) -> tuple[Help, ...]:
    """Least amount of each other measure that meets the target with a given rear bar.

    Parameters
    ----------
    job : Job
        The vehicle; that bar alone does not meet its target.
    case : State
        The case sized for.
    target : float
        Roll gradient wanted [rad/(m/s²)].
    fitted : FittedBar
        The rear bar.

    Returns
    -------
    tuple of Help
        Load and lift only where there is any.
    """

    def measured(plain: Model) -> tuple[float, float]:
        with_this = gradients(with_bar(plain, job, fitted), job.target.at)[0]
        return float(with_this), least_gradient(plain, job, job.target.at)

    found = [_load(job, case, target, measured=measured)] if case.loads else []
    change = job.change
    if max(change.suspension_lift_front, change.suspension_lift_rear) > 0.0 and case.changed:
        found.append(_lift(job, case, target, measured=measured))
    found.append(_springs(job, case, target, measured=measured))
    found.append(_front_bar(job, case, target, measured=measured))
    return tuple(found)


Measured = Callable[[Model], tuple[float, float]]  # with the bar fitted, with the best


def _load(job: Job, case: State, target: float, *, measured: Measured) -> Help:
    highest = max(case.loads, key=lambda load: load.height)

    def measure(taken_off: float) -> tuple[float, float]:
        lighter = replace(highest, mass=highest.mass - taken_off)
        rest = tuple(lighter if load is highest else load for load in case.loads)
        return measured(model(job, replace(case, loads=rest)))

    found = _amounts(measure, target, highest.mass)
    return Help(HelpKind.LOAD, *found, (highest.mass,), highest.name)


def _lift(job: Job, case: State, target: float, *, measured: Measured) -> Help:
    change, plain = job.change, model(job, case)
    whole = (change.suspension_lift_front, change.suspension_lift_rear)
    lift = np.array([[whole[0]], [whole[1]]])

    def measure(share: float) -> tuple[float, float]:
        return measured(replace(plain, lift=plain.lift - share * lift))

    return Help(HelpKind.LIFT, *_amounts(measure, target, 1.0), whole)


def _springs(job: Job, case: State, target: float, *, measured: Measured) -> Help:
    plain, most = model(job, case), STIFFEST_SPRING - 1.0
    rear = np.array([[0.0], [1.0]])

    def measure(extra: float) -> tuple[float, float]:
        factor = 1.0 + extra * rear
        return measured(
            replace(
                plain, spring_rate=plain.spring_rate * factor, hinge_step=plain.hinge_step * factor
            )
        )

    extra, extra_any, remaining = _amounts(measure, target, most)
    return Help(HelpKind.REAR_SPRINGS, 1.0 + extra, 1.0 + extra_any, remaining, (STIFFEST_SPRING,))


def _front_bar(job: Job, case: State, target: float, *, measured: Measured) -> Help:
    plain, most = model(job, case), STIFFEST_FRONT_BAR

    def measure(added: float) -> tuple[float, float]:
        return measured(_stiffer_front(plain, added))

    return Help(HelpKind.FRONT_BAR, *_amounts(measure, target, most), (most,))


def _amounts(
    measure: Callable[[float], tuple[float, float]], target: float, most: float
) -> tuple[float, float, float]:
    """Least amount with the bar fitted, with the best one, and what is left with all of it."""
    return (
        least(lambda x: measure(x)[0], target, most),
        least(lambda x: measure(x)[1], target, most),
        measure(most)[0],
    )


def _stiffer_front(plain: Model, stiffness: float) -> Model:
    added = np.array([[stiffness], [0.0]])
    return replace(plain, roll_stiffness=plain.roll_stiffness + added)


def front_bar_for_balance(
    job: Job, emptiest: State, rear: FittedBar, *, share: float, lift: float
) -> float:
    """Front roll stiffness to add so that a rear bar leaves the empty vehicle in balance.

    Parameters
    ----------
    job : Job
        The vehicle.
    emptiest : State
        Where the balance is looked at.
    rear : FittedBar
        The rear bar.
    share : float
        Least front load-transfer share [-].
    lift : float
        Least lateral acceleration of inner rear wheel lift [m/s²]; 0: no matter.

    Returns
    -------
    float
        [N·m/rad]; NaN where no front bar does.
    """
    plain = with_bar(model(job, emptiest), job, rear)

    def shortfall(stiffness: float) -> float:
        many, settled = settle(_stiffer_front(plain, stiffness), TURN)
        missing = share - float(straight_ahead(many, settled).front_share[0])
        if lift <= 0.0:
            return missing
        found = float(inner_rear_lift(many, settled)[0])
        return missing if math.isnan(found) else max(missing, 1.0 - found / lift)

    return least(shortfall, 0.0, STIFFEST_FRONT_BAR)
