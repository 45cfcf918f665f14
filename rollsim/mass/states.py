"""Which loadings of the vehicle are there, and what does a state hold?"""

from dataclasses import dataclass, replace

from rollsim.vehicle import Change, Job, Load

UNLADEN, AS_WEIGHED, AS_USED = "unladen", "as_weighed", "as_used"
DRIVEN_EMPTY = "driven_empty"


@dataclass(frozen=True, slots=True)
class State:
    """One loading of the vehicle.

    Parameters
    ----------
    name : str
        "unladen", "as_weighed", "driven_empty", or the name of a load case.
    loads : tuple of Load
        The items on the vehicle.
    changed : bool
        The changes (lift, tyres, springs) are made.
    """

    name: str
    loads: tuple[Load, ...]
    changed: bool


def spoken(name: str) -> str:
    """A state's name as it is said: a load case keeps the user's words."""
    words = {AS_WEIGHED: "as weighed", AS_USED: "as used", DRIVEN_EMPTY: "driven empty"}
    return words.get(name, name)


def case_names(job: Job) -> tuple[str, ...]:
    """The load cases in the order of the file; "as_used" where the file names none."""
    names = dict.fromkeys(case for load in job.loads for case in load.cases or ())
    return tuple(names) or (AS_USED,)


def named(job: Job, name: str) -> State:
    """The state of that name; StopIteration where the job has none."""
    found = states_with_bar(job) if name == DRIVEN_EMPTY else states(job)
    return next(state for state in found if state.name == name)


def states(job: Job) -> tuple[State, ...]:
    """Unladen, as weighed and every load case, in that order.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.

    Returns
    -------
    tuple of State
        Items that are only there when parked are in none of them.
    """
    driving = [load for load in job.loads if not load.parked_only]
    weighed = tuple(load for load in driving if load.on_when_weighed)
    found = [
        State(UNLADEN, (), changed=False),
        State(AS_WEIGHED, weighed, changed=job.change.on_when_weighed),
    ]
    for case in case_names(job):
        on_board = tuple(load for load in driving if load.cases is None or case in load.cases)
        found.append(State(case, on_board, changed=True))
    return tuple(found)


def driven_empty(job: Job) -> State:
    """The vehicle without any load, its changes made: what is driven home after unloading.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.

    Returns
    -------
    State
        One of `states` where that is empty and changed alike (the unladen one, where no change
        but a new front bar or limit straps is made, which come with a rear bar in every state).
    """
    unladen, weighed, *cases = states(job)
    stock = not _stands_otherwise(job.change)
    empty = (one for one in (unladen, *cases, weighed) if not one.loads and (one.changed or stock))
    return next(empty, State(DRIVEN_EMPTY, (), changed=True))


def states_with_bar(job: Job) -> tuple[State, ...]:
    """Every state that a bar is looked at in: those of `states`, then the vehicle driven empty.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.

    Returns
    -------
    tuple of State
        The last one is missing where it is one of the others.
    """
    found, empty = states(job), driven_empty(job)
    return found if empty in found else (*found, empty)


def names_with_bar(job: Job) -> tuple[str, ...]:
    """Names of the states in `states_with_bar`."""
    return tuple(state.name for state in states_with_bar(job))


def _stands_otherwise(change: Change) -> bool:
    """Whether the empty vehicle is another one with its changes, a new front bar or strap apart."""
    return replace(before_ordering(change), on_when_weighed=False) != Change()


def before_ordering(change: Change) -> Change:
    """The change without what is ordered with a rear bar: new front bar and limit straps.

    Parameters
    ----------
    change : Change
        As the file has it.

    Returns
    -------
    Change
        Bars and straps as they were [N·m/rad, m].
    """
    return replace(without_new_front(change), rear_rebound_limit=None)


def without_new_front(change: Change) -> Change:
    """The change without a new front bar.

    Parameters
    ----------
    change : Change
        As the file has it.

    Returns
    -------
    Change
        That bar as it was [N·m/rad].
    """
    return replace(change, front_bar_roll_stiffness=None, front_bar_description="")
