"""A front bar that stands among the changes: what is ordered with it, and what it makes worse."""

from dataclasses import dataclass, replace

from rollsim import mass
from rollsim.mass import State, with_parts
from rollsim.roll import StateResult, results
from rollsim.sizing.articulation import FRONT, comes_off
from rollsim.sizing.records import ComesOff
from rollsim.vehicle import Job


@dataclass(frozen=True, slots=True)
class NewFront:
    """The front bar of the changes, which is not on yet and is part of the order.

    Parameters
    ----------
    words : str
        What it is, metric.
    roll_stiffness : float
        At the track as weighed [N·m/rad].
    replaces : str
        The bar that goes, empty where there is none.
    before, after : tuple of StateResult
        Every state without it and with it, the rear axle keeping what it has.
    does, off : ComesOff
        What it does in the case sized for, and what the bar does that it replaces.
    """

    words: str
    roll_stiffness: float
    replaces: str
    before: tuple[StateResult, ...]
    after: tuple[StateResult, ...]
    does: ComesOff
    off: ComesOff


def without_new_front(job: Job) -> Job:
    """The job with the front bar that is on, whatever its changes put in its place.

    Parameters
    ----------
    job : Job
        Vehicle and changes.

    Returns
    -------
    Job
        Bars in [N·m/rad].
    """
    return replace(job, change=mass.without_new_front(job.change))


def new_front(job: Job, case: State) -> NewFront | None:
    """The front bar that the changes put in.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    case : State
        The case sized for.

    Returns
    -------
    NewFront or None
        In SI [N·m/rad]; None where there is none.

    Notes
    -----
    It is ordered even where the other changes were on when weighed: a front bar that is on stands
    with its axle.
    """
    change = job.change
    if not change.front_bar_roll_stiffness:
        return None
    old, names = without_new_front(job), mass.names_with_bar(job)
    return NewFront(
        words=change.front_bar_description,
        roll_stiffness=change.front_bar_roll_stiffness,
        replaces=job.vehicle.front.bar_description,
        before=results(old, only=names),
        after=results(with_parts(job), only=names),
        does=comes_off(job, case, FRONT),
        off=comes_off(old, case, FRONT),
    )
