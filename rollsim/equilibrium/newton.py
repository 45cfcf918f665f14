"""Guarded Newton on the balance, batched: at given fields, along a path, or at wheel lift.

A point x (9, N) is the path parameter (lateral acceleration or table angle) above the eight
freedoms. Members that have converged take a last step with the Jacobian before, which is as good
as another round and needs no look, and leave the batch; the others go on with backtracking and a
bounded step.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from rollsim.equilibrium.balance import Balance
from rollsim.equilibrium.course import Course
from rollsim.equilibrium.elimination import Eliminated, eliminate, roll_pivot, solve_arrow
from rollsim.equilibrium.model import Model

CHUNK = 4000
SMALL = 64  # members: so few are no dearer than one, and none leaves before the last
TOLERANCE = 1e-9  # of the weight, in N and N·m, before a last step with the Jacobian at hand
WITHOUT_STEP = 1e-3  # of the tolerance: so near a start needs no step at all
MAX_ITERATIONS = 60
PITCH_SETTLED = 1e-9  # of the wheelbase: last move of the CG that pitch makes
MAX_STEP = 0.1  # rad, m
PARAMETER_STEP = 5.0  # m/s²
SMALLEST_SLOPE = -1e-3  # N per m/s² or rad, of a tyre's load: it falls
SMALLEST_SCALE = 0.02  # of a step: beyond it a kink is crossed rather than approached


def _keep_freed_memory() -> None:
    """Have what a step frees be what the next one takes.

    glibc gives memory back to the system above twice the largest block that it has seen freed, and
    its pages are cleared anew at every step: that takes as long as the step. So it sees a large one
    (16 MiB, never touched) and keeps up to twice that for each thread; another allocator does not
    mind.
    """
    np.empty(2**21)


_keep_freed_memory()


@dataclass(frozen=True, slots=True)
class _At:
    """Members at work, where they stand, and a Jacobian near there."""

    model: Model
    x: np.ndarray
    balance: Balance
    rows: np.ndarray  # which of the batch they are
    left: Eliminated

    def ways(self, course: Course) -> tuple[np.ndarray, np.ndarray]:
        """Step that settles them with the parameter kept, and how they follow it, (8, N)."""
        column = course.take(self.rows).column(self.balance, self.x)
        return self.left.solve(-self.balance.residual), self.left.solve(-column)


@dataclass(frozen=True, slots=True)
class Solution:
    """Equilibria of N vehicles.

    Parameters
    ----------
    x : (9, N) array
        Path parameter [m/s² or rad], then the freedoms; NaN where not converged.
    converged : (N,) array of bool
        False where there is no equilibrium to show.
    """

    x: np.ndarray
    converged: np.ndarray

    def take(self, index: np.ndarray | slice) -> "Solution":
        """The members at `index` along the batch axis [m/s² or rad; rad, m]."""
        return Solution(self.x[:, index], self.converged[index])


def solve_at_field(
    model: Model,
    start: np.ndarray,
    course: Course,
    *,
    tolerance: float = TOLERANCE,
    iterations: int = MAX_ITERATIONS,
) -> Solution:
    """Equilibrium at the parameter that `start` holds.

    Parameters
    ----------
    model : Model
        N vehicles.
    start : (9, N) array
        Parameter to keep, freedoms to start from.
    course : Course
        What the parameter is.
    tolerance : float
        Residual at which a member is done, as a share of its weight [-].
    iterations : int
        After so many a member has failed [-].

    Returns
    -------
    Solution
        The first row as given.
    """

    def step(at: _At) -> np.ndarray:
        return np.concatenate([np.zeros_like(at.x[:1]), at.left.solve(-at.balance.residual)])

    return _solve(model, start, course, step=step, tolerance=tolerance, iterations=iterations)


def solve_along(
    model: Model,
    start: np.ndarray,
    course: Course,
    *,
    direction: np.ndarray,
    tolerance: float = TOLERANCE,
    iterations: int = MAX_ITERATIONS,
) -> Solution:
    """Equilibrium on the plane through `start` square to `direction`, the parameter free.

    Parameters
    ----------
    model : Model
        N vehicles.
    start : (9, N) array
        Point to start from.
    course : Course
        What the parameter is.
    direction : (9, 1) array
        Normal of the plane, each row weighted against the units of the others.
    tolerance : float
        Residual at which a member is done, as a share of its weight [-].
    iterations : int
        After so many a member has failed [-].

    Returns
    -------
    Solution
        With parameter and freedoms found.
    """

    def step(at: _At) -> np.ndarray:
        settle_, follow = at.ways(course)
        ahead = (direction[1:] * follow).sum(axis=0) + direction[0]
        move = -(direction[1:] * settle_).sum(axis=0) / ahead
        return np.concatenate([move[None], settle_ + follow * move])

    return _solve(model, start, course, step=step, tolerance=tolerance, iterations=iterations)


def solve_at_lift(model: Model, start: np.ndarray, course: Course, *, axle: np.ndarray) -> Solution:
    """Equilibrium at which the inner tyre of an axle just carries nothing.

    Parameters
    ----------
    model : Model
        N vehicles; the tyres of that axle must be able to pull.
    start : (9, N) array
        Point to start from [m/s² or rad; rad, m].
    course : Course
        What the parameter is.
    axle : (N,) array of int
        0 front, 1 rear.

    Returns
    -------
    Solution
        With parameter and roll found.
    """

    def reach(b: Balance, rows: np.ndarray) -> np.ndarray:
        return b.tyre_reach[0][axle[rows], np.arange(rows.size)]

    def step(at: _At) -> np.ndarray:
        here, on = np.arange(at.rows.size), axle[at.rows]
        settle_, follow = at.ways(course)
        rate, spread = at.model.tyre_rate[on, here], at.balance.spread[:, on, here]
        lost, by_parameter = (
            rate * (y[5 + on, here] + (spread * _of_end(y, on)).sum(axis=0))
            for y in (settle_, follow)
        )
        # An axle on its inner tyre alone keeps that load: a step then only goes as far as it may.
        by_parameter = np.where(by_parameter == 0.0, SMALLEST_SLOPE, by_parameter)
        move = (reach(at.balance, at.rows) - lost) / by_parameter
        return np.concatenate([move[None], settle_ + follow * move])

    return _solve(model, start, course, step=step, tolerance=TOLERANCE, extra=reach)


def _of_end(y: np.ndarray, axle: np.ndarray) -> np.ndarray:
    """Roll, travel and axle roll of one end of each member, (3, N), from the freedoms (8, N)."""
    here = np.arange(axle.size)
    return np.stack([y[0] + axle * y[7], y[1 + axle, here], y[3 + axle, here]])


def _solve(
    model: Model,
    start: np.ndarray,
    course: Course,
    *,
    step: Callable,
    tolerance: float,
    extra: Callable | None = None,
    iterations: int = MAX_ITERATIONS,
) -> Solution:
    """Newton in chunks; the points of the members that fail come back as NaN."""
    x, worst = np.empty_like(start), np.empty(model.size)
    for first in range(0, model.size, CHUNK):
        own = slice(first, min(first + CHUNK, model.size))
        x[:, own], worst[own] = _iterate(
            model if model.size <= CHUNK else model.take(own),
            start[:, own],
            course.take(own),
            rows=np.arange(model.size)[own],
            step=step,
            tolerance=tolerance,
            extra=extra,
            iterations=iterations,
        )
    ok = worst <= tolerance
    x[:, ~ok] = np.nan
    return Solution(x, ok)


def _iterate(
    model: Model,
    x: np.ndarray,
    course: Course,
    *,
    rows: np.ndarray,
    step: Callable,
    tolerance: float,
    extra: Callable | None,
    iterations: int,
) -> tuple[np.ndarray, np.ndarray]:
    """Points of one chunk, and their residuals as a share of the weight."""
    result, worst_of = np.empty_like(x), np.empty(model.size)
    place = np.arange(model.size)  # where the members still at work belong
    base, direction = x, np.zeros_like(x)
    scale, merit = np.ones(model.size), np.full(model.size, np.inf)
    left, going = None, np.ones(model.size, dtype=bool)
    for _ in range(iterations):
        b = course.balance(model, x)
        worst = np.abs(b.residual).max(axis=0)
        if extra is not None:
            worst = np.maximum(worst, np.abs(extra(b, rows)))
        worst = worst / model.constants.weight
        going &= ~(worst <= (tolerance if left is not None else WITHOUT_STEP * tolerance))
        last = x
        leave = not going.any() or (going.size > SMALL and going.sum() * 4 <= going.size * 3)
        fine = leave and left is not None and tolerance <= TOLERANCE
        if fine and (worst[~going] > WITHOUT_STEP * TOLERANCE).any():
            last = x + np.where(going, 0.0, _bounded(step(_At(model, x, b, rows, left))))
        if not going.any():
            break
        if leave:
            done = ~going
            result[:, place[done]], worst_of[place[done]] = last[:, done], worst[done]
            model, b, rows, place = model.take(going), b.take(going), rows[going], place[going]
            course = course.take(going)
            last = x = x[:, going]
            base, direction, worst = base[:, going], direction[:, going], worst[going]
            scale, merit, going = scale[going], merit[going], going[going]
        fell = (worst < merit) | (scale < SMALLEST_SCALE)
        left = eliminate(b)
        fresh = _bounded(step(_At(model, x, b, rows, left)))
        if fell.all():
            base, direction, merit, scale = x, fresh, worst, np.ones(worst.size)
        else:
            base, direction = np.where(fell, x, base), np.where(fell, fresh, direction)
            merit, scale = np.where(fell, worst, merit), np.where(fell, 1.0, 0.5 * scale)
        moved = base + scale * direction
        x = moved if going.all() else np.where(going, moved, x)
    result[:, place], worst_of[place] = last, worst
    return result, worst_of


def _bounded(step: np.ndarray) -> np.ndarray:
    """Shorten each member's step to MAX_STEP of any freedom and PARAMETER_STEP."""
    largest = np.abs(step[1:]).max(axis=0)
    largest = np.maximum(largest, np.abs(step[0]) * (MAX_STEP / PARAMETER_STEP))
    return step * (MAX_STEP / np.maximum(largest, MAX_STEP))


def tangent(model: Model, x: np.ndarray, course: Course) -> np.ndarray:
    """Derivative of the freedoms by the path parameter: how fast does the vehicle move along?

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    x : (9, N) array
        Equilibria: parameter, then freedoms.
    course : Course
        What the parameter is.

    Returns
    -------
    (8, N) array
        [rad or m, per m/s² or per rad].

    Notes
    -----
    The implicit derivative dq/da = −J⁻¹ ∂R/∂a of the balance R(q, a) = 0; valid where J is
    regular and no spring stands on a kink.
    """
    balance = course.balance(model, x)
    return solve_arrow(balance, -course.column(balance, x))


def settle(
    model: Model, course: Course, *, start: np.ndarray | None = None
) -> tuple[Model, Solution]:
    """Equilibrium without lateral field: ride height, pitch, and the lean of an off-centre load.

    Parameters
    ----------
    model : Model
        N vehicles; their `rear_share` is where the iteration starts.
    course : Course
        Gives gravity.
    start : (9, N) array or None
        Points near the settled ones, where known [m/s² or rad; rad, m].

    Returns
    -------
    tuple of Model and Solution
        The model with the shares that pitch leaves, and the settled state; not converged where
        there is no settled state that stands upright.

    Notes
    -----
    x_cg = x_0 + (h_cg − h_f)[(s_f + z_f) − (s_r + z_r)]/wheelbase, to its fixed point.
    """
    at_lift = np.zeros((9, model.size))
    at_lift[2:4] = model.lift
    x = at_lift if start is None else np.where(np.isfinite(start), start, at_lift)
    last = None
    for _ in range(30):
        solution = solve_at_field(model, x, course)
        x = solution.x
        rest = np.where(np.isfinite(x[0]), np.stack([x[2:4], x[6:8]]), model.rest)
        pitch = (x[2] + x[6] - x[3] - x[7]) / model.wheelbase
        shift = (model.cg_height - model.roll_centre_height[0]) * pitch
        move = (model.cg_behind_front + shift) / model.wheelbase - model.rear_share
        there = not (np.abs(move) > 1e-14).any()
        # Of an even vehicle no patch has an arm at rest: its balance does not hang on `rest`.
        if there and not (model.is_lopsided and (np.abs(rest - model.rest) > 1e-12).any()):
            model = replace(model, rest=rest)
            break
        step = _accelerated(move, last)
        step = np.where(np.isfinite(step), step, 0.0)
        model = replace(model, rear_share=model.rear_share + step, rest=rest)
        last = (move, step)
        x = np.where(solution.converged, x, 0.0)
    still = np.abs(move) < PITCH_SETTLED
    upright = still & (roll_pivot(course.balance(model, x)) > 0.0)
    inside = (model.rear_share > 0.0) & (model.rear_share < 1.0)
    return model, Solution(x, solution.converged & upright & inside)


def _accelerated(move: np.ndarray, last: tuple[np.ndarray, np.ndarray] | None) -> np.ndarray:
    """Secant step to where the moves vanish, from the last move and step; else the move itself."""
    if last is None:
        return move
    last_move, last_step = last
    stepped = last_step != 0.0
    left = np.where(stepped, (last_move - move) / np.where(stepped, last_step, 1.0), 1.0)
    return move / np.where(np.abs(left - 1.0) < 0.5, left, 1.0)
