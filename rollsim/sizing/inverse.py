"""The inverse questions: how much roof load, spring rate or lift goes with a given limit?"""

import math
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim.equilibrium import Model, concatenate, settle
from rollsim.mass import State, model
from rollsim.roll import SECANT_AT, TURN, follow, thresholds, turns
from rollsim.roll.figures import spring_travel
from rollsim.sizing.search import POINTS, Stretch, first_stretch
from rollsim.sizing.stiffness import gradients
from rollsim.sizing.variants import Variant, lifted, loaded, stiffer_rear_springs
from rollsim.vehicle import Job, Load

MOST_LOAD = 500.0  # kg, project default: more than any roof or rack is made for
MOST_LIFT = 0.2  # m, project default
STIFFEST_SPRING = 4.0  # times the present rate
ALIKE = 1e-9  # rad: turns that differ by less are the same


class Kept(Enum):
    """What is kept within the limit."""

    ROLL_GRADIENT = "roll gradient at most"
    LEAN = "roll angle in the worse turn at most"
    TIP_OVER = "tip-over threshold at least"


@dataclass(frozen=True, slots=True)
class Goal:
    """What a vehicle has to keep.

    Parameters
    ----------
    kept : Kept
        Roll gradient, roll angle or tip-over threshold.
    limit : float
        Greatest roll gradient [rad/(m/s²)], the mean of both turns; greatest roll angle [rad],
        static lean included; or least threshold [m/s²].
    at : float or None
        Lateral acceleration of the roll angle and the secant roll gradient [m/s²]; None: the
        linear gradient. No matter for the threshold.
    """

    kept: Kept
    limit: float
    at: float | None = SECANT_AT

    def __post_init__(self) -> None:
        if self.kept is Kept.LEAN and self.at is None:
            raise ValueError("at: missing; a roll angle needs the lateral acceleration it is for")


class Outcome(Enum):
    """How an inverse question ends."""

    FOUND = "found"
    ALL = "even the most that is looked at keeps the limit"
    NOTHING_NEEDED = "the limit is kept with none of it"
    NONE = "no amount keeps the limit"
    BETWEEN = "less than a certain amount does not keep the limit either"
    FULL_DROOP = "more would leave it standing at full droop"


@dataclass(frozen=True, slots=True)
class Inverse:
    """Answer to an inverse question. NaN marks what has no value.

    Parameters
    ----------
    outcome : Outcome
        Which of the others hold.
    amount : float
        The greatest, or least needed, amount: [kg], [m], times the rate [-] or [N/m].
    begins, ends : float
        First run of amounts that keep the limit [unit of the amount].
    most : float
        The most that is looked at [unit of the amount].
    with_none, with_most : float
        What is kept within the limit, with none of it (springs: as they are) and with the most
        [rad/(m/s²)], [rad] or [m/s²].
    again : bool
        Some greater amount than `ends` keeps the limit again.
    unresolved : bool
        Some amount could not be computed and counts as not keeping it.
    out_of_droop : bool
        A lift: at `ends` no droop is left at rest; the limit was not what ended it.
    held_by_droop : bool
        A lift: at `ends` an inner spring is at full droop in the bend of the goal, which holds the
        body; the lean that is kept there says little of the lift.
    """

    outcome: Outcome
    amount: float
    begins: float
    ends: float
    most: float
    with_none: float
    with_most: float
    again: bool
    unresolved: bool
    out_of_droop: bool = False
    held_by_droop: bool = False


@dataclass(frozen=True, slots=True)
class WorseTurn:
    """Roll in the worse of left and right turn.

    Parameters
    ----------
    roll_angles : (N,) array
        Outward, static lean included [rad]; infinite where the vehicle tips before.
    right : (N,) array of bool
        It is the right turn.
    """

    roll_angles: np.ndarray
    right: np.ndarray


def worse_turn(plain: Model, lateral: float) -> WorseTurn:
    """Roll angle in that one of a left and a right turn in which it is greater.

    Parameters
    ----------
    plain : Model
        N vehicles, pitch not yet settled.
    lateral : float
        Lateral acceleration [m/s²].

    Returns
    -------
    WorseTurn
        [rad]. Both turns are alike where nothing is off centre; the left one then stands for both.
    """
    leans = []
    for many, settled in turns(*settle(plain, TURN)):
        point = follow(many, settled, (lateral,))[0]
        leans.append(np.where(point.converged, point.x[1], np.inf))
    left, right = leans[0], leans[-1]
    worse = right > left + ALIKE
    return WorseTurn(np.where(worse, right, left), worse)


def greatest_load(
    job: Job, case: State, group: tuple[Load, ...], *, goal: Goal, most: float = MOST_LOAD
) -> Inverse:
    """Greatest mass of some load items that keeps a limit.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        The case that they belong to.
    group : tuple of Load
        At least one; they keep their shares of the mass and their places. Items that the case has
        not are added to it.
    goal : Goal
        The limit.
    most : float
        Greatest mass to look at [kg].

    Returns
    -------
    Inverse
        Amount in [kg]; what the ratings allow is another question.

    Notes
    -----
    The first run of masses from none on that keep the limit, on the full model: a load that is low
    down, or one that brings a second stage to work, may lessen the lean before it adds to it.
    """
    grid = np.linspace(0.0, most, POINTS)
    return _greatest(loaded(job, case, group), grid, goal)


def greatest_lift(
    job: Job,
    case: State,
    *,
    goal: Goal,
    most: float = MOST_LIFT,
    shape: tuple[float, float] = (1.0, 1.0),
) -> Inverse:
    """Greatest suspension lift that keeps a limit.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        With its changes made; this lift takes the place of its own.
    goal : Goal
        The limit.
    most : float
        Greatest lift to look at [m].
    shape : tuple of float
        Front and rear lift per amount [-].

    Returns
    -------
    Inverse
        Amount in [m], counted from the height without any lift.

    Notes
    -----
    A lift takes rebound travel. One that leaves none at rest is not looked at: there the vehicle
    stands on its rebound limits, which hide the lean that the lift brings. Before that the inner
    springs may reach theirs in the bend; `held_by_droop` says so.
    """
    vary = lifted(job, case, shape[0], rear=shape[1])
    droop = first_stretch(lambda x: _past_droop(vary, x), 0.0, np.linspace(0.0, most, POINTS))
    standing = droop.end if droop.begin == 0.0 else 0.0
    found = _greatest(vary, np.linspace(0.0, standing, POINTS), goal)
    if found.outcome is Outcome.NONE:
        return found
    out = standing < most and found.ends == standing
    held = goal.at is not None and goal.kept is not Kept.TIP_OVER
    held = held and _at_full_droop(vary(found.ends), goal.at)
    ended = Outcome.FULL_DROOP if out and found.outcome is Outcome.ALL else found.outcome
    return replace(found, outcome=ended, out_of_droop=out, held_by_droop=held)


def needed_spring_factor(
    job: Job, case: State, *, goal: Goal, most: float = STIFFEST_SPRING
) -> Inverse:
    """Least factor on the rate of the rear springs that keeps a limit.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        Which loading.
    goal : Goal
        The limit.
    most : float
        Greatest factor to look at [-], above 1.

    Returns
    -------
    Inverse
        Amount in times the present rate [-], every stage alike; 1 where the present ones do. The
        springs carry at as-weighed height what they carried.
    """
    grid = 1.0 + (most - 1.0) * np.linspace(0.0, 1.0, POINTS) ** 2
    found = _stretch(stiffer_rear_springs(job, case), grid, goal)
    outcome = Outcome.FOUND
    if math.isnan(found.begin):
        outcome = Outcome.NONE
    elif found.begin == grid[0]:
        outcome = Outcome.NOTHING_NEEDED
    return _answer(outcome, found.begin, found, most=most, goal=goal)


def needed_rear_spring_rate(
    job: Job, case: State, *, goal: Goal, most: float = STIFFEST_SPRING
) -> Inverse:
    """Least rate of the rear springs, before any second stage, that keeps a limit.

    Parameters
    ----------
    job : Job
        The vehicle.
    case : State
        Which loading.
    goal : Goal
        The limit.
    most : float
        Greatest factor on the present rate to look at [-], above 1.

    Returns
    -------
    Inverse
        Amount in [N/m] on one side, at the wheel on independent suspension; a second stage grows in
        the same proportion.
    """
    found = needed_spring_factor(job, case, goal=goal, most=most)
    rate = float(model(job, case).spring_rate[1, 0])
    return replace(
        found,
        amount=found.amount * rate,
        begins=found.begins * rate,
        ends=found.ends * rate,
        most=most * rate,
    )


def _greatest(vary: Variant, grid: np.ndarray, goal: Goal) -> Inverse:
    found, most = _stretch(vary, grid, goal), float(grid[-1])
    outcome = Outcome.FOUND
    if math.isnan(found.begin):
        outcome = Outcome.NONE
    elif found.begin > grid[0]:
        outcome = Outcome.BETWEEN
    elif found.end == most:
        outcome = Outcome.ALL
    return _answer(outcome, found.end, found, most=most, goal=goal)


def _stretch(vary: Variant, grid: np.ndarray, goal: Goal) -> Stretch:
    """Scan all amounts of the grid in one batch, then close the ends."""
    sign = -1.0 if goal.kept is Kept.TIP_OVER else 1.0

    def measure(amounts: np.ndarray) -> np.ndarray:
        many = concatenate([vary(float(x)) for x in amounts])
        if goal.kept is Kept.ROLL_GRADIENT:
            return gradients(many, goal.at)
        if goal.kept is Kept.LEAN:
            return worse_turn(many, goal.at).roll_angles
        settled_model, settled = settle(many, TURN)
        return sign * thresholds(settled_model, settled, TURN).tip_over

    return first_stretch(measure, sign * goal.limit, grid)


def _past_droop(vary: Variant, amounts: np.ndarray) -> np.ndarray:
    """Travel past the rebound limit at rest [m]; −inf where no axle has one."""
    many, settled = settle(concatenate([vary(float(x)) for x in amounts]), TURN)
    return _beyond_gap(many, settled.x)


def _at_full_droop(plain: Model, lateral: float) -> bool:
    """Some spring is past its rebound limit in a left or a right turn [m/s²]."""
    return any(
        bool((_beyond_gap(one, follow(one, rest, (lateral,))[0].x) > 0.0).any())
        for one, rest in turns(*settle(plain, TURN))
    )


def _beyond_gap(many: Model, x: np.ndarray) -> np.ndarray:
    """Travel past the rebound limit of the spring that is furthest out, (N,) [m]."""
    past = spring_travel(many, x) * many.stop_ratio[1] - many.stop_gap[1]
    return np.where(many.stop_rate[1] > 0.0, past, -np.inf).max(axis=(0, 1))


def _answer(outcome: Outcome, amount: float, found: Stretch, *, most: float, goal: Goal) -> Inverse:
    sign = -1.0 if goal.kept is Kept.TIP_OVER else 1.0
    return Inverse(
        outcome,
        amount,
        found.begin,
        ends=found.end,
        most=most,
        with_none=sign * found.at_least,
        with_most=sign * found.at_most,
        again=found.again,
        unresolved=found.unresolved,
    )
