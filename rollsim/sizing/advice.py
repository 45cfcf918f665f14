"""What else would bring the roll back, in figures: load, lift, rear springs, front bar."""

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np

from rollsim.equilibrium import concatenate, settle
from rollsim.mass import FittedBar, State, model, with_bar
from rollsim.roll import TURN, inner_rear_lift, straight_ahead
from rollsim.sizing.search import POINTS, first_stretch
from rollsim.sizing.stiffness import gradients, least_gradients
from rollsim.sizing.variants import (
    Variant,
    lifted,
    loaded,
    loaded_and_lifted,
    stiffer_front,
    stiffer_rear_springs,
)
from rollsim.vehicle import Job

STIFFEST_SPRING = 4.0  # times the present rate
STIFFEST_FRONT_BAR = 3e5  # N·m/rad


class HelpKind(Enum):
    """What else than a rear bar brings the roll back."""

    LOAD = "load"
    LIFT = "lift"
    LOAD_AND_LIFT = "load and lift"
    REAR_SPRINGS = "rear springs"
    FRONT_BAR = "front bar"


@dataclass(frozen=True, slots=True)
class Help:
    """Something else that would bring the roll back.

    Parameters
    ----------
    kind : HelpKind
        Load, lift, both, rear springs or front bar.
    amount : float
        The least that meets the target with the rear bar fitted: taken off [kg], share of
        the lift, or of load and lift, taken out [-], times the rate [-], added [N·m/rad]; NaN
        where even all of it does not do.
    amount_any_bar : float
        The same with whatever rear bar serves best.
    remaining : float
        Roll gradient with all of it and that bar [rad/(m/s²)].
    whole : tuple of float
        All of it: mass of the item [kg]; front and rear lift [m]; the three of them; times the
        rate [-]; [N·m/rad].
    subject : str
        Name of the load item.
    """

    kind: HelpKind
    amount: float
    amount_any_bar: float
    remaining: float
    whole: tuple[float, ...]
    subject: str = ""


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
        Load and lift only where there is any; both together where neither does alone.
    """
    found = _with_less_on_it(job, case, target, fitted=fitted)
    springs = stiffer_rear_springs(job, case)
    extra, extra_any, remaining = _amounts(
        job, lambda x: springs(1.0 + x), target, most=STIFFEST_SPRING - 1.0, fitted=fitted
    )
    amounts = (1.0 + extra, 1.0 + extra_any, remaining)
    found.append(Help(HelpKind.REAR_SPRINGS, *amounts, (STIFFEST_SPRING,)))
    vary = stiffer_front(model(job, case))
    amounts = _amounts(job, vary, target, most=STIFFEST_FRONT_BAR, fitted=fitted)
    found.append(Help(HelpKind.FRONT_BAR, *amounts, (STIFFEST_FRONT_BAR,)))
    return tuple(found)


def _with_less_on_it(job: Job, case: State, target: float, *, fitted: FittedBar) -> list[Help]:
    """The highest load item, the lift, and where neither does alone both of them."""
    change, found = job.change, []
    lift = (change.suspension_lift_front, change.suspension_lift_rear)
    highest = max(case.loads, key=lambda load: load.height, default=None)
    if highest is not None:
        vary = _taken_off(loaded(job, case, (highest,)), highest.mass)
        amounts = _amounts(job, vary, target, most=highest.mass, fitted=fitted)
        found.append(Help(HelpKind.LOAD, *amounts, (highest.mass,), highest.name))
    if max(lift) > 0.0 and case.changed:
        vary = _taken_off(lifted(job, case, lift[0], rear=lift[1]), 1.0)
        amounts = _amounts(job, vary, target, most=1.0, fitted=fitted)
        found.append(Help(HelpKind.LIFT, *amounts, lift))
    if len(found) == 2 and all(math.isnan(help_.amount) for help_ in found):
        vary = _taken_off(loaded_and_lifted(job, case, highest), 1.0)
        amounts = _amounts(job, vary, target, most=1.0, fitted=fitted)
        whole = (highest.mass, *lift)
        found.append(Help(HelpKind.LOAD_AND_LIFT, *amounts, whole, highest.name))
    return found


def _taken_off(vary: Variant, whole: float) -> Variant:
    """Of what is taken away instead of what is left."""
    return lambda amount: vary(whole - amount)


def _amounts(
    job: Job, vary: Variant, target: float, *, most: float, fitted: FittedBar
) -> tuple[float, float, float]:
    """Least amount with the bar fitted, with the best one, and what is left with all of it."""
    at = job.target.at

    def with_this(amounts: np.ndarray) -> np.ndarray:
        return gradients(concatenate([with_bar(vary(x), job, fitted) for x in amounts]), at)

    def with_any(amounts: np.ndarray) -> np.ndarray:
        return least_gradients([vary(x) for x in amounts], job, at)

    this = first_stretch(with_this, target, _closer_at_first(most))
    best = first_stretch(with_any, target, _closer_at_first(most))
    return this.begin, best.begin, this.at_most


def _closer_at_first(most: float) -> np.ndarray:
    """Amounts to scan: where there is little stiffness, little more does much."""
    return most * np.linspace(0.0, 1.0, POINTS) ** 2


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
    vary = stiffer_front(with_bar(model(job, emptiest), job, rear))

    def shortfall(stiffness: np.ndarray) -> np.ndarray:
        many, settled = settle(concatenate([vary(x) for x in stiffness]), TURN)
        missing = share - straight_ahead(many, settled).front_share
        if lift <= 0.0:
            return missing
        early = 1.0 - inner_rear_lift(many, settled) / lift
        return np.where(np.isnan(early), missing, np.maximum(missing, early))

    return first_stretch(shortfall, 0.0, _closer_at_first(STIFFEST_FRONT_BAR)).begin
