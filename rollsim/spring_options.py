"""Which of several springs suits a vehicle that works loaded and plays empty, and what it costs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim import mass
from rollsim.bar import RearBar, ShelfPart
from rollsim.equilibrium import concatenate, settle
from rollsim.mass import State
from rollsim.roll import TURN, measured_roll_gradient
from rollsim.sizing import Sizing, size
from rollsim.spring_check import AXLES, SpringCheck, Verdict, spring_checks
from rollsim.vehicle import Job, SpringOption


class HeightBy(Enum):
    """How it is known at which height an option's spring carries."""

    FREE_HEIGHT = "free height"
    LOAD = "its own load"
    AS_WEIGHED = "taken as weighed"


EMPTY = "empty, with the changes"
AS_PLANNED = "springs as in the file"


@dataclass(frozen=True, slots=True)
class OptionResult:
    """One choice of springs, looked at in every state that it is driven in.

    Parameters
    ----------
    name : str
        Of the option; `AS_PLANNED` for the springs without any.
    checks : tuple of SpringCheck
        Empty with the changes first, then the load cases.
    roll_gradients : tuple of float
        Of the same states, as the target is measured [rad/(m/s²)]; NaN where it does not stand,
        infinite where it tips before.
    sizing : Sizing or None
        The rear bar with these springs; None where none is to be sized.
    rated : tuple of float
        What one front and one rear spring may carry [N]; NaN where not given.
    part : ShelfPart or None
        Which part of the shop's shelf it is.
    height_by : tuple of HeightBy or None
        How the height of its front and rear spring is known; None for an axle that keeps its own.
    """

    name: str
    checks: tuple[SpringCheck, ...]
    roll_gradients: tuple[float, ...]
    sizing: Sizing | None
    rated: tuple[float, float] = (math.nan, math.nan)
    part: ShelfPart | None = None
    height_by: tuple[HeightBy | None, HeightBy | None] = (None, None)

    def over_rated(self, check: SpringCheck) -> tuple[str, ...]:
        """Axles whose springs carry more than they are rated for [-]."""
        loads = (check.front.spring_load, check.rear.spring_load)
        # Compared with NaN, a load that is not given is never passed.
        return tuple(
            end
            for end, load, rated in zip(AXLES, loads, self.rated, strict=True)
            if load > rated * (1.0 + mass.ROUNDING)
        )

    def stands_right(self, check: SpringCheck) -> bool:
        """Whether both axles are suited there, and no spring over its rated load [-]."""
        return _is(check, (Verdict.SUITED,)) and not self.over_rated(check)

    @property
    def suited(self) -> int:
        """States in which it stands right."""
        return sum(self.stands_right(check) for check in self.checks)

    @property
    def over_loaded(self) -> int:
        """States in which an axle is over-loaded or does not stand."""
        fine = (Verdict.SUITED, Verdict.UNDER_LOADED)
        return sum(not _is(check, fine) or bool(self.over_rated(check)) for check in self.checks)

    @property
    def lacks_bar(self) -> bool:
        """A rear bar is wanted with these springs and none is accepted."""
        if self.sizing is None or self.sizing.choice is not None:
            return False
        return not self.sizing.nothing_to_bring_back


def driven_states(job: Job) -> tuple[State, ...]:
    """The states that new springs are driven in.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes; a vehicle of so many kg has them all.

    Returns
    -------
    tuple of State
        Empty with the changes made, then every load case.
    """
    cases = mass.states(job)[2:]
    return (State(EMPTY, (), changed=True), *cases)


def with_option(job: Job, option: SpringOption) -> Job:
    """The job with an option's springs in place of those that its changes bring.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes [SI].
    option : SpringOption
        An axle that it leaves out keeps its springs.

    Returns
    -------
    Job
        The states without the changes stay as they are.
    """
    change = job.change
    springs = {
        "front_spring": option.front or change.front_spring,
        "rear_spring": option.rear or change.rear_spring,
    }
    return replace(job, change=replace(change, **springs))


def spring_options(job: Job, rear_bar: RearBar | None = None) -> tuple[OptionResult, ...]:
    """Every option beside the springs as planned.

    Parameters
    ----------
    job : Job
        With its options.
    rear_bar : RearBar or None
        Sized anew with each, where given; its target is that of the job [rad/(m/s²)].

    Returns
    -------
    tuple of OptionResult
        The springs as planned first; empty where the job has no option.

    Notes
    -----
    The lean of all options in all states is solved in one batch. The target "unladen" stays that
    of the vehicle before its changes, whatever the springs.
    """
    if not job.spring_options:
        return ()
    jobs = [(AS_PLANNED, job), *((one.name, with_option(job, one)) for one in job.spring_options)]
    parts = [None, *(one.part for one in job.spring_options)]
    heights = [(None, None), *map(_heights, job.spring_options)]
    states = driven_states(job)
    gradients = _gradients([one for _, one in jobs], states)
    return tuple(
        OptionResult(
            name,
            spring_checks(one, states=states),
            tuple(float(value) for value in row),
            None if rear_bar is None else size(one, rear_bar),
            rated,
            part,
            height_by,
        )
        for (name, one), row, rated, part, height_by in zip(
            jobs, gradients, _rated(job), parts, heights, strict=True
        )
    )


def _heights(option: SpringOption) -> tuple[HeightBy | None, HeightBy | None]:
    """How the height of each of its springs is known."""
    found = []
    for spring in (option.front, option.rear):
        stated = getattr(spring, "stated_load", None)
        if spring is None:
            found.append(None)
        elif stated is None:
            found.append(HeightBy.AS_WEIGHED)
        else:
            found.append(HeightBy.FREE_HEIGHT if stated.is_free_height else HeightBy.LOAD)
    return found[0], found[1]


def _rated(job: Job) -> list[tuple[float, float]]:
    """What one front and one rear spring may carry, of the springs as planned and each option."""
    given = [(one.front_rated_load, one.rear_rated_load) for one in job.spring_options]
    return [
        tuple(math.nan if load is None else load for load in both)
        for both in ((None, None), *given)
    ]


def right_in(found: Sequence[OptionResult]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Which springs stand right in each state.

    Parameters
    ----------
    found : sequence of OptionResult
        From `spring_options`, their rated loads in [N].

    Returns
    -------
    tuple of (str, tuple of str)
        Names of the options by state, in the order of the states.
    """
    states = found[0].checks if found else ()
    return tuple(
        (check.name, tuple(one.name for one in found if one.stands_right(one.checks[n])))
        for n, check in enumerate(states)
    )


def not_rated(found: Sequence[OptionResult]) -> tuple[str, ...]:
    """Which springs have no rated load on an axle where others have one.

    Parameters
    ----------
    found : sequence of OptionResult
        From `spring_options`, their rated loads in [N].

    Returns
    -------
    tuple of str
        Names; what nobody rated is not said to be missing.
    """
    rated = [n for n in range(len(AXLES)) if any(math.isfinite(one.rated[n]) for one in found)]
    return tuple(one.name for one in found if any(math.isnan(one.rated[n]) for n in rated))


def best_option(found: Sequence[OptionResult]) -> OptionResult | None:
    """Which is suited in most states.

    Parameters
    ----------
    found : sequence of OptionResult
        From `spring_options`.

    Returns
    -------
    OptionResult or None
        Among equals the one over-loaded in fewest states, then one with which a bar is accepted or
        none is needed, then the springs as planned, which cost nothing, then the one whose
        greatest roll gradient [rad/(m/s²)] is least; None where there is none to choose from.
    """

    def rank(result: OptionResult) -> tuple[int, int, bool, bool, float]:
        known = [np.inf if np.isnan(g) else g for g in result.roll_gradients]
        bought = result.name != AS_PLANNED
        return -result.suited, result.over_loaded, result.lacks_bar, bought, max(known)

    return min(found, key=rank, default=None)


def _is(check: SpringCheck, verdicts: Sequence[Verdict]) -> bool:
    return check.front.verdict in verdicts and check.rear.verdict in verdicts


def _gradients(jobs: Sequence[Job], states: Sequence[State]) -> np.ndarray:
    """Roll gradient of every job (rows) in every state (columns) [rad/(m/s²)]."""
    models = [mass.model(job, state) for job in jobs for state in states]
    model, settled = settle(concatenate(models), TURN)
    found = measured_roll_gradient(model, settled, jobs[0].target.at)
    return np.where(settled.converged, found, np.nan).reshape(len(jobs), len(states))
