"""What an inverse question may ask for: how the vehicle varies with it, and how far to look."""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from rollsim.equilibrium import concatenate
from rollsim.mass import State, axles, model
from rollsim.sizing.search import POINTS
from rollsim.sizing.stiffness import gradients
from rollsim.sizing.variants import Variant, lifted, loaded, with_front_bar, with_spring_rate
from rollsim.vehicle import Job, Load

# How far is looked: project defaults, no source.
MOST_LOAD = 500.0  # kg: more than any roof or rack is made for
MOST_LIFT = 0.2  # m
SPRINGS = (0.5, 4.0)  # times the present rate
STIFFER_BAR = 4.0  # times the front bar that is on, and at least
LEAST_STIFFEST_BAR = np.degrees(1000.0)  # N·m/rad


class AmountKind(Enum):
    """What is asked for."""

    LOAD = "load"
    LIFT = "lift"
    SPRING_RATE = "spring rate"
    FRONT_BAR = "front bar"


@dataclass(frozen=True, slots=True)
class Subject:
    """What a question is about.

    Parameters
    ----------
    kind : AmountKind
        What.
    items : tuple of str
        Names of the load items, for a load.
    shape : tuple of float
        Front and rear lift per amount [-], for a lift; 0: that axle keeps its own.
    axle : int
        0 front, 1 rear [-], for springs.
    """

    kind: AmountKind
    items: tuple[str, ...] = ()
    shape: tuple[float, float] = (1.0, 1.0)
    axle: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class Amount:
    """Something that a vehicle may have more or less of.

    Parameters
    ----------
    kind : AmountKind
        What; decides the unit: [kg], [m], [N/m] on one side (at the wheel on independent
        suspension), [N·m/rad].
    now : float
        What the vehicle has [unit of the kind]; of two lifts the greater.
    vary : callable
        The vehicle with a given amount.
    grid : (N,) array
        Rising amounts to scan, from the least to the most that is looked at [unit of the kind].
    """

    kind: AmountKind
    now: float
    vary: Variant
    grid: np.ndarray


def load_amount(
    job: Job, case: State, group: tuple[Load, ...], *, most: float = MOST_LOAD
) -> Amount:
    """Mass of some load items, which keep their shares of it and their places.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        The case that they belong to.
    group : tuple of Load
        At least one. Items that the case has not are added to it.
    most : float
        Greatest mass to look at [kg].

    Returns
    -------
    Amount
        [kg]
    """
    now = sum(load.mass for load in group)
    return Amount(AmountKind.LOAD, now, loaded(job, case, group), np.linspace(0.0, most, POINTS))


def lift_shape(job: Job) -> tuple[float, float]:
    """Front and rear lift per amount [-]: in the proportion that the vehicle has, else alike."""
    own = (job.change.suspension_lift_front, job.change.suspension_lift_rear)
    greater = max(own)
    return (own[0] / greater, own[1] / greater) if min(own) > 0.0 else (1.0, 1.0)


def lift_amount(
    job: Job, case: State, shape: tuple[float, float], *, most: float = MOST_LIFT
) -> Amount:
    """Suspension lift, in place of the vehicle's own.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        With its changes made.
    shape : tuple of float
        Front and rear lift per amount [-]; 0: that axle keeps its own.
    most : float
        Greatest lift to look at [m].

    Returns
    -------
    Amount
        [m], counted from the height without any lift.
    """
    change = job.change
    own = zip((change.suspension_lift_front, change.suspension_lift_rear), shape, strict=True)
    now = max(lift for lift, share in own if share)
    vary = lifted(job, case, shape[0], rear=shape[1])
    return Amount(AmountKind.LIFT, now, vary, np.linspace(0.0, most, POINTS))


def spring_amount(
    job: Job, case: State, axle: int, *, range_of: tuple[float, float] = SPRINGS
) -> Amount:
    """Rate of the springs of one axle, before any second stage, which grows with it.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        Which loading.
    axle : int
        0 front, 1 rear [-].
    range_of : tuple of float
        Least and greatest rate to look at, as a share of the present one [-].

    Returns
    -------
    Amount
        [N/m] on one side. The springs carry at as-weighed height what they carried.
    """
    now = float(model(job, case).spring_rate[axle, 0])
    grid = now * np.geomspace(*range_of, POINTS)
    return Amount(AmountKind.SPRING_RATE, now, with_spring_rate(job, case, axle), grid)


def front_bar_amount(job: Job, case: State) -> Amount:
    """Roll stiffness of the front bar alone, in place of the one that is on [N·m/rad]."""
    now = axles(job, case)[0].bar_roll_stiffness
    most = max(STIFFER_BAR * now, LEAST_STIFFEST_BAR)
    grid = most * np.linspace(0.0, 1.0, POINTS) ** 2
    return Amount(AmountKind.FRONT_BAR, now, with_front_bar(job, case), grid)


def leaning_most(job: Job, cases: tuple[State, ...]) -> State:
    """Which of some load cases a question is about where none is named.

    Parameters
    ----------
    job : Job
        With its target.
    cases : tuple of State
        At least one.

    Returns
    -------
    State
        The one that the target names, else the one that rolls most, as a rear bar is sized.
    """
    named = [case for case in cases if case.name == job.target.case]
    if named:
        return named[0]
    many = concatenate([model(job, case) for case in cases])
    return cases[int(np.argmax(gradients(many, job.target.at)))]


def amount_of(job: Job, case: State, subject: Subject) -> Amount:
    """What a question is about, for one load case.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        A load case that has the items.
    subject : Subject
        What is asked for.

    Returns
    -------
    Amount
        [kg], [m], [N/m] or [N·m/rad].
    """
    match subject.kind:
        case AmountKind.LOAD:
            group = tuple(load for load in case.loads if load.name in subject.items)
            return load_amount(job, case, group)
        case AmountKind.LIFT:
            return lift_amount(job, case, subject.shape)
        case AmountKind.SPRING_RATE:
            return spring_amount(job, case, subject.axle)
        case AmountKind.FRONT_BAR:
            return front_bar_amount(job, case)
