"""One vehicle with more or less of something: a load, a lift, springs, a front bar."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from rollsim.equilibrium import Model
from rollsim.mass import State, axles, model
from rollsim.vehicle import Job, Load

Variant = Callable[[float], Model]
"""The vehicle with a given amount; of size 1, pitch not yet settled."""


def loaded(job: Job, case: State, group: tuple[Load, ...]) -> Variant:
    """Some items with another mass in all, each keeping its share of it.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        The case they are in; items that it has not are added.
    group : tuple of Load
        At least one; where they have no mass, each gets the same.

    Returns
    -------
    callable
        Of their mass in all [kg].
    """
    whole = sum(load.mass for load in group)
    shares = [load.mass / whole if whole > 0.0 else 1.0 / len(group) for load in group]
    rest = tuple(load for load in case.loads if not any(load is item for item in group))

    def vary(mass: float) -> Model:
        items = (replace(x, mass=mass * part) for x, part in zip(group, shares, strict=True))
        return model(job, replace(case, loads=(*rest, *items)))

    return vary


def lifted(job: Job, case: State, front: float, *, rear: float) -> Variant:
    """Another suspension lift in place of the vehicle's own.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        With its changes made.
    front, rear : float
        Lift at each axle per amount [-]; 0: that axle keeps its own.

    Returns
    -------
    callable
        Of the amount, counted from the height without any lift [m].
    """
    plain, change = model(job, case), job.change
    own = np.array([[change.suspension_lift_front], [change.suspension_lift_rear]])
    on_scales = own * float(change.on_when_weighed)
    whole = np.array([[front], [rear]])
    kept = np.where(whole == 0.0, own, 0.0)
    return lambda amount: replace(plain, lift=amount * whole + kept - on_scales)


def with_spring_rate(job: Job, case: State, axle: int) -> Variant:
    """Springs of one axle of another rate, every stage alike; they carry what they carried.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        Which loading.
    axle : int
        0 front, 1 rear [-].

    Returns
    -------
    callable
        Of the rate of one side before any second stage [N/m], at the wheel on independent
        suspension.
    """
    plain, chosen = model(job, case), np.array([[0.0], [1.0]]) == axle
    own = float(plain.spring_rate[axle, 0])

    def vary(rate: float) -> Model:
        times = np.where(chosen, rate / own, 1.0)
        return replace(
            plain, spring_rate=plain.spring_rate * times, hinge_step=plain.hinge_step * times
        )

    return vary


def with_front_bar(job: Job, case: State) -> Variant:
    """Another front bar in place of the vehicle's own.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        Which loading.

    Returns
    -------
    callable
        Of its roll stiffness alone [N·m/rad].
    """
    plain, own = model(job, case), axles(job, case)[0].bar_roll_stiffness
    front = np.array([[1.0], [0.0]])
    return lambda bar: replace(plain, roll_stiffness=plain.roll_stiffness + (bar - own) * front)
