"""An inverse question about one load case, and what the vehicle weighs with its answer."""

import math
from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.mass import RatingCheck, State
from rollsim.roll import TURN
from rollsim.sizing.amounts import Amount, AmountKind, Subject, amount_of
from rollsim.sizing.inverse import Goal, Inverse, Kept, Seek, measured, solve
from rollsim.vehicle import Job


@dataclass(frozen=True, slots=True)
class Weighs:
    """What the case puts on every rating that is given, under a name to be shown [kg]."""

    name: str
    ratings: tuple[RatingCheck, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """A question and its answer.

    Parameters
    ----------
    case : str
        Name of the load case.
    subject : Subject
        What was asked for.
    seek : Seek
        Most or least.
    goals : tuple of Goal
        The limits [rad/(m/s²)], [rad] or [m/s²].
    amount : Amount
        What varies, and what the file has.
    answer : Inverse
        In the unit of the amount.
    now, then : Weighs or None
        As the file has it, and with the answer; None where there is no amount.
    """

    case: str
    subject: Subject
    seek: Seek
    goals: tuple[Goal, ...]
    amount: Amount
    answer: Inverse
    now: Weighs
    then: Weighs | None


def ask(job: Job, case: State, subject: Subject, *, seek: Seek, goals: tuple[Goal, ...]) -> Asked:
    """Answer an inverse question.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        A load case; for a load one that has the items.
    subject : Subject
        What is asked for.
    seek : Seek
        Most or least.
    goals : tuple of Goal
        At least one limit [rad/(m/s²)], [rad] or [m/s²].

    Returns
    -------
    Asked
        With the answer in [kg], [m], [N/m] or [N·m/rad].
    """
    amount = amount_of(job, case, subject)
    answer = solve(amount, seek, goals)
    found = [
        None if math.isnan(value) else _weighs(job, case, subject, amount=amount, value=value)
        for value in (amount.now, answer.amount)
    ]
    return Asked(case.name, subject, seek, goals, amount, answer, now=found[0], then=found[1])


def unladen_value(job: Job, goal: Goal) -> float:
    """What a goal limits, of the unladen vehicle [rad/(m/s²)], [rad] or [m/s²]."""
    unladen = mass.model(job, mass.states(job)[0])
    return float(measured(lambda _: unladen, np.zeros(1), goal)[0])


def target_goal(job: Job, case: State) -> Goal:
    """What a rear bar is sized for, as a limit on the roll gradient of a case [rad/(m/s²)]."""
    target = job.target
    goal = Goal(Kept.ROLL_GRADIENT, math.inf, at=target.at)
    if target.roll_gradient is not None:
        return replace(goal, limit=target.roll_gradient)
    if target.less_than_now is None:
        return replace(goal, limit=unladen_value(job, goal), is_unladen=True)
    now = measured(lambda _: mass.model(job, case), np.zeros(1), goal)
    return replace(goal, limit=float(now[0]) * (1.0 - target.less_than_now))


def _weighs(job: Job, case: State, subject: Subject, *, amount: Amount, value: float) -> Weighs:
    settled, _ = settle(amount.vary(value), TURN)
    loads = case.loads
    if amount.kind is AmountKind.LOAD:
        group = [load for load in loads if load.name in subject.items]
        even = value / len(group)
        loads = tuple(
            load
            if load not in group
            else replace(load, mass=load.mass * value / amount.now if amount.now else even)
            for load in loads
        )
    axles = tuple(float(kilograms) for kilograms in settled.axle_mass[:, 0])
    return Weighs(case.name, mass.rating_checks(job, replace(case, loads=loads), axles))
