"""Which loadings of the vehicle are there, and what does a state hold?"""

from dataclasses import dataclass

from rollsim.vehicle import Job, Load

UNLADEN, AS_WEIGHED, AS_USED = "unladen", "as_weighed", "as_used"


@dataclass(frozen=True, slots=True)
class State:
    """One loading of the vehicle.

    Parameters
    ----------
    name : str
        "unladen", "as_weighed", or the name of a load case.
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
    return {AS_WEIGHED: "as weighed", AS_USED: "as used"}.get(name, name)


def case_names(job: Job) -> tuple[str, ...]:
    """The load cases in the order of the file; "as_used" where the file names none."""
    names = dict.fromkeys(case for load in job.loads for case in load.cases or ())
    return tuple(names) or (AS_USED,)


def named(job: Job, name: str) -> State:
    """The state of that name; StopIteration where the job has none."""
    return next(state for state in states(job) if state.name == name)


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
