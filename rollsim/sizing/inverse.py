"""The inverse questions: how much load, lift, spring or bar goes with given limits?"""

import math
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim.equilibrium import Model, concatenate, settle
from rollsim.mass import State
from rollsim.roll import SECANT_AT, TURN, cab_roll, follow, thresholds, turns
from rollsim.roll.figures import spring_travel
from rollsim.sizing.amounts import MOST_LOAD, Amount, AmountKind, load_amount
from rollsim.sizing.search import Stretch, first_stretch
from rollsim.sizing.stiffness import gradients
from rollsim.sizing.variants import Variant
from rollsim.vehicle import Job, Load

ALIKE = 1e-9  # rad: turns that differ by less are the same
BEYOND = 1e-4  # of all that is looked at: so far past an answer is seen which limit ended it


class Kept(Enum):
    """What is kept within the limit."""

    ROLL_GRADIENT = "roll gradient at most"
    LEAN = "roll angle in the worse turn at most"
    TIP_OVER = "tip-over threshold at least"
    FIRST_LIFT = "first wheel lift, or tip-over, at least"
    FRONT_LIFT = "lift of the inner front wheel, or tip-over, at least"
    REAR_LIFT = "lift of the inner rear wheel, or tip-over, at least"

    @property
    def is_threshold(self) -> bool:
        """More of it is better."""
        return self not in (Kept.ROLL_GRADIENT, Kept.LEAN)


@dataclass(frozen=True, slots=True)
class Goal:
    """What a vehicle has to keep.

    Parameters
    ----------
    kept : Kept
        Roll gradient, roll angle or a threshold.
    limit : float
        Greatest roll gradient [rad/(m/s²)], the mean of both turns; greatest roll angle [rad],
        static lean included; or least threshold [m/s²]. A vehicle that tips before a wheel lifts
        has that lift where it tips.
    at : float or None
        Lateral acceleration of the roll angle and the secant roll gradient [m/s²]; None: the
        linear gradient. No matter for a threshold.
    is_unladen : bool
        The limit is the unladen vehicle's own figure.
    """

    kept: Kept
    limit: float
    at: float | None = SECANT_AT
    is_unladen: bool = False

    def __post_init__(self) -> None:
        if self.kept is Kept.LEAN and self.at is None:
            raise ValueError("at: missing; a roll angle needs the lateral acceleration it is for")

    def excess(self, value: float | np.ndarray) -> float | np.ndarray:
        """How far a value lies on the wrong side of the limit [its unit]."""
        return (self.limit - value) if self.kept.is_threshold else (value - self.limit)


class Seek(Enum):
    """Which end of the amounts that keep the limits is asked for."""

    MOST = "most"
    LEAST = "least"


class Outcome(Enum):
    """How an inverse question ends."""

    FOUND = "found"
    ALL = "even the most that is looked at keeps the limits"
    NOTHING_NEEDED = "the least that is looked at keeps the limits"
    NONE = "no amount keeps the limits"
    BETWEEN = "less than a certain amount does not keep the limits either"
    FULL_DROOP = "more would leave it standing at full droop"


@dataclass(frozen=True, slots=True)
class Inverse:
    """Answer to an inverse question. NaN marks what has no value.

    Parameters
    ----------
    outcome : Outcome
        Which of the others hold.
    amount : float
        The greatest, or least, amount that keeps the limits [unit of its kind].
    begins, ends : float
        First run of amounts that keep the limits [unit of the amount].
    least, most : float
        The least and the most that is looked at [unit of the amount].
    with_least, with_most, with_now, with_answer : tuple of float
        What each limit is set to, by that amount, in the order of the limits [rad/(m/s²)], [rad] or
        [m/s²].
    decides : tuple of bool
        Which of the limits a little more (or less) would break.
    again : bool
        Some greater amount than `ends` keeps the limits again.
    unresolved : bool
        Some amount could not be computed and counts as not keeping them.
    out_of_droop : bool
        A lift: at `ends` no droop is left at rest; the limits were not what ended it.
    held_by_droop : bool
        A lift: at the answer an inner spring is at full droop in the bend of the lean, which holds
        the body; the lean that is kept there says little of the lift.
    """

    outcome: Outcome
    amount: float
    begins: float
    ends: float
    least: float
    most: float
    with_least: tuple[float, ...]
    with_most: tuple[float, ...]
    with_now: tuple[float, ...]
    with_answer: tuple[float, ...]
    decides: tuple[bool, ...]
    again: bool
    unresolved: bool
    out_of_droop: bool = False
    held_by_droop: bool = False

    @property
    def is_decided(self) -> bool:
        """The amount comes of the limits, not of how far is looked."""
        if self.outcome is Outcome.BETWEEN:
            return self.ends < self.most or self.out_of_droop
        return self.outcome in (Outcome.FOUND, Outcome.FULL_DROOP)


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
        leans.append(np.where(point.converged, cab_roll(many, point.x), np.inf))
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
    """
    return solve(load_amount(job, case, group, most=most), Seek.MOST, (goal,))


def solve(of: Amount, seek: Seek, goals: tuple[Goal, ...]) -> Inverse:
    """Greatest or least amount of something that keeps all limits.

    Parameters
    ----------
    of : Amount
        What varies.
    seek : Seek
        Most or least.
    goals : tuple of Goal
        At least one limit [rad/(m/s²)], [rad] or [m/s²].

    Returns
    -------
    Inverse
        Amount in the unit of its kind.

    Notes
    -----
    The first run of amounts, from the least on, that keep the limits, on the full model: a load
    that is low down, or one that brings a second stage to work, may lessen the lean before it adds
    to it. A lift takes rebound travel. One that leaves none at rest is not looked at: there the
    vehicle stands on its rebound limits, which hide the lean that the lift brings. Before that the
    inner springs may reach theirs in the bend; `held_by_droop` says so.
    """
    grid, standing = of.grid, math.inf
    if of.kind is AmountKind.LIFT:
        droop = first_stretch(lambda x: _past_droop(of.vary, x), 0.0, grid)
        standing = droop.end if droop.begin == grid[0] else float(grid[0])
        grid = np.linspace(grid[0], standing, grid.size)
    found = first_stretch(lambda x: _excess(of.vary, x, goals), 0.0, grid)
    outcome, amount = _outcome(found, grid, seek)
    answer = _told(of, grid, goals, found=found, amount=amount, outcome=outcome, seek=seek)
    if of.kind is not AmountKind.LIFT or outcome is Outcome.NONE:
        return answer
    out = standing < of.grid[-1] and found.end == standing
    turned = (g.at for g in goals if g.at is not None and not g.kept.is_threshold)
    held = any(_at_full_droop(of.vary(amount), at) for at in turned)
    ended = Outcome.FULL_DROOP if out and outcome is Outcome.ALL else outcome
    return replace(answer, outcome=ended, out_of_droop=out, held_by_droop=held)


def _outcome(found: Stretch, grid: np.ndarray, seek: Seek) -> tuple[Outcome, float]:
    """How it ends, and the amount."""
    if math.isnan(found.begin):
        return Outcome.NONE, math.nan
    if seek is Seek.LEAST:
        needless = found.begin == grid[0]
        return (Outcome.NOTHING_NEEDED if needless else Outcome.FOUND), found.begin
    if found.begin > grid[0]:
        return Outcome.BETWEEN, found.end
    return (Outcome.ALL if found.end == grid[-1] else Outcome.FOUND), found.end


def _told(
    of: Amount,
    grid: np.ndarray,
    goals: tuple[Goal, ...],
    *,
    found: Stretch,
    amount: float,
    outcome: Outcome,
    seek: Seek,
) -> Inverse:
    """The answer with what each limit is set to at the amounts that are told."""
    least, most = float(grid[0]), float(grid[-1])
    answered = not math.isnan(amount)
    step = BEYOND * (most - least) * (1.0 if seek is Seek.MOST else -1.0)
    shown = amount if answered else least
    past = min(max(shown + step, least), most)
    places = np.array([least, most, of.now, shown, past])
    values = [measured(of.vary, places, goal) for goal in goals]
    columns = list(zip(*(value.tolist() for value in values), strict=True))
    none = (math.nan,) * len(goals)
    return Inverse(
        outcome,
        amount,
        found.begin,
        ends=found.end,
        least=least,
        most=most,
        with_least=columns[0],
        with_most=columns[1],
        with_now=columns[2],
        with_answer=columns[3] if answered else none,
        decides=tuple(
            answered and not goal.excess(value[4]) <= 0.0
            for goal, value in zip(goals, values, strict=True)
        ),
        again=found.again,
        unresolved=found.unresolved,
    )


def measured(vary: Variant, amounts: np.ndarray, goal: Goal) -> np.ndarray:
    """What a goal limits, with each of some amounts.

    Parameters
    ----------
    vary : callable
        The vehicle with a given amount.
    amounts : (N,) array
        [their own unit].
    goal : Goal
        Its limit does not matter.

    Returns
    -------
    (N,) array
        [rad/(m/s²)], [rad] or [m/s²]; infinite where it tips before, NaN where unresolved.
    """
    return _measured(concatenate([vary(float(x)) for x in amounts]), goal)


def _measured(many: Model, goal: Goal) -> np.ndarray:
    if goal.kept is Kept.ROLL_GRADIENT:
        return gradients(many, goal.at)
    if goal.kept is Kept.LEAN:
        return worse_turn(many, goal.at).roll_angles
    found = thresholds(*settle(many, TURN), TURN)
    lifts = {
        Kept.TIP_OVER: (),
        Kept.FRONT_LIFT: (found.inner_front_lift,),
        Kept.REAR_LIFT: (found.inner_rear_lift,),
        Kept.FIRST_LIFT: (found.inner_front_lift, found.inner_rear_lift),
    }[goal.kept]
    first = found.tip_over
    for lift in lifts:
        first = np.where(lift < first, lift, first)
    return first


def _excess(vary: Variant, amounts: np.ndarray, goals: tuple[Goal, ...]) -> np.ndarray:
    """All amounts in one batch: the most that any limit is broken by."""
    many = concatenate([vary(float(x)) for x in amounts])
    return np.max([goal.excess(_measured(many, goal)) for goal in goals], axis=0)


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
