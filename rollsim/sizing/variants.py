"""One vehicle with more or less of something: a load, a lift, springs, a front bar."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from rollsim.equilibrium import Model
from rollsim.mass import State, model
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
        Lift at each axle per amount [-].

    Returns
    -------
    callable
        Of the amount, counted from the height without any lift [m].
    """
    plain, change = model(job, case), job.change
    own = np.array([[change.suspension_lift_front], [change.suspension_lift_rear]])
    on_scales = own * float(change.on_when_weighed)
    whole = np.array([[front], [rear]])
    return lambda amount: replace(plain, lift=amount * whole - on_scales)


def loaded_and_lifted(job: Job, case: State, item: Load) -> Variant:
    """One item and the vehicle's own suspension lift, both by the same share.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        With that item and the changes made.
    item : Load
        One of the case's.

    Returns
    -------
    callable
        Of the share of both that is left [-].
    """
    change, vary_load = job.change, loaded(job, case, (item,))
    vary_lift = lifted(job, case, change.suspension_lift_front, rear=change.suspension_lift_rear)

    def vary(share: float) -> Model:
        return replace(vary_load(share * item.mass), lift=vary_lift(share).lift)

    return vary


def stiffer_rear_springs(job: Job, case: State) -> Variant:
    """Rear springs, every stage of them, so many times as stiff; they carry what they carried.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        Which loading.

    Returns
    -------
    callable
        Of the factor on their rate [-].
    """
    plain, rear = model(job, case), np.array([[0.0], [1.0]])

    def vary(times: float) -> Model:
        factor = 1.0 + (times - 1.0) * rear
        return replace(
            plain, spring_rate=plain.spring_rate * factor, hinge_step=plain.hinge_step * factor
        )

    return vary


def stiffer_front(plain: Model) -> Variant:
    """More front roll stiffness.

    Parameters
    ----------
    plain : Model
        Of size 1.

    Returns
    -------
    callable
        Of the stiffness added [N·m/rad].
    """

    def vary(stiffness: float) -> Model:
        added = np.array([[stiffness], [0.0]])
        return replace(plain, roll_stiffness=plain.roll_stiffness + added)

    return vary
