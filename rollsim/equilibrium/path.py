"""The path from upright to tip-over, through wheel lift and the limit point.

Body roll is prescribed and the path parameter (lateral acceleration, or the angle of a tilt table)
solved for, so that nothing special happens where the parameter passes its greatest value.
"""

from dataclasses import dataclass, replace

import numpy as np

from rollsim.equilibrium.balance import solve_arrow
from rollsim.equilibrium.model import Model
from rollsim.equilibrium.newton import (
    Course,
    Field,
    Solution,
    solve_at_lift,
    solve_at_roll,
    tangent,
)

STEPS_TO_SLIDE = 8  # steps of roll in which the linear model reaches the static stability factor
LARGEST_STEP = np.radians(2.5)
SMALLEST_SHARE = 1e-3  # of the first step: a path that needs less is given up
APART = 0.1  # of the first step: two lifts in one step are told apart down to this
MAX_STEPS = 400
FALLEN = 0.7  # of the greatest parameter: past this the path has turned for good
COARSE = 1e-4  # of the weight: residual that will do on the way, for a bracket
PATIENCE = 12  # iterations before a step is halved
REFINEMENTS = 10
CLOSE = 1e-8  # rad


@dataclass(frozen=True, slots=True)
class TipOver:
    """Where N vehicles lift their inner wheels and tip over.

    Parameters
    ----------
    threshold : (N,) array
        Greatest path parameter with an equilibrium [m/s² or rad]; NaN where the path was not
        resolved.
    point : (8, N) array
        That equilibrium: the parameter and the freedoms.
    lift : (2, N) array
        Path parameter at which the inner front and rear wheel lift; NaN where the vehicle tips
        first.
    """

    threshold: np.ndarray
    point: np.ndarray
    lift: np.ndarray


@dataclass(slots=True)
class _March:
    """Points (8, N) found on the way, around the greatest parameter and around both lifts."""

    before: np.ndarray
    best: np.ndarray
    after: np.ndarray
    turned: np.ndarray  # (N,): `after` is set
    ended: np.ndarray  # (N,)
    lift_low: np.ndarray  # (2, 8, N)
    lift_high: np.ndarray  # (2, 8, N)
    lift_peak: np.ndarray  # (2, N): greatest parameter before the lift
    lifted: np.ndarray  # (2, N)


def tip_over(model: Model, settled: Solution, course: Course) -> TipOver:
    """Follow the path of a left turn, or of a table tilted to the right, until it has turned.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    course : Course
        Turn or tilt.

    Returns
    -------
    TipOver
        Thresholds of the path.

    Notes
    -----
    The greatest parameter is the largest of the path's samples, of the two lifts and of the point
    between the neighbours of the best sample where the slope changes sign.
    """
    march = _march(model, settled, course)
    lifts = _lift_events(model, march, course)
    events = np.stack([_top(model, march, course), *lifts])
    which = np.argmax(np.where(np.isnan(events[:, 0]), -np.inf, events[:, 0]), axis=0)
    point = events[which, :, np.arange(model.size)].T
    point = np.where(march.ended & settled.converged, point, np.nan)
    before = lifts[:, 1] <= point[1] + CLOSE
    return TipOver(point[0], point, np.where(before, lifts[:, 0], np.nan))


def lift_before_tipping(
    model: Model, settled: Solution, course: Course, *, axle: int
) -> np.ndarray:
    """Path parameter at which one axle's inner wheel lifts: `tip_over` no further than needed.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    course : Course
        Turn or tilt.
    axle : int
        0 front, 1 rear.

    Returns
    -------
    (N,) array
        [m/s² or rad]; NaN where the vehicle tips first.
    """
    march = _march(model, settled, course, until=axle)
    lift = _lift_events(model, march, course)[axle, 0]
    doubtful = np.flatnonzero(~(lift >= march.lift_peak[axle]))
    if doubtful.size:
        rest = Solution(settled.x[:, doubtful], settled.converged[doubtful])
        lift[doubtful] = tip_over(model.take(doubtful), rest, course).lift[axle]
    return lift


def _march(model: Model, settled: Solution, course: Course, *, until: int | None = None) -> _March:
    """Steps of body roll from upright until the path has turned, or that axle has lifted."""
    slope = tangent(model, settled.x, course)
    reach = 0.5 * model.track.mean(axis=0) / model.cg_height  # static stability factor
    if course.field is Field.TURN:
        reach = reach * course.gravity
    first_step = np.minimum(slope[0] * reach / STEPS_TO_SLIDE, LARGEST_STEP)
    step = first_step.copy()
    current = settled.x.copy()
    ahead = np.concatenate([np.ones_like(slope[:1]), slope]) / slope[0]  # dx/dφ
    march = _begin(current)
    active = np.flatnonzero(settled.converged)
    members = model.take(active)
    for _ in range(MAX_STEPS):
        if active.size == 0:
            break
        here, width = current[:, active], step[active]
        start = here + ahead[:, active] * width
        solution = solve_at_roll(members, start, course, tolerance=COARSE, iterations=PATIENCE)
        new = solution.x
        ok = solution.converged & (np.abs(new[0] - here[0]) < 0.5 * reach[active])
        lifting = _off_ground(members, new) & ~march.lifted[:, active]
        ok &= ~lifting.all(axis=0) | (width < APART * first_step[active])
        step[active] = np.where(ok, np.minimum(2.0 * width, first_step[active]), 0.5 * width)
        won = active[ok]
        _record(march, won, here[:, ok], new=new[:, ok], lifting=lifting[:, ok])
        ahead[:, won] = (new[:, ok] - here[:, ok]) / width[ok]
        current[:, won] = new[:, ok]
        fallen = current[0] < FALLEN * march.best[0]
        march.ended |= march.turned & (march.lifted.all(axis=0) | fallen)
        if until is not None:
            march.ended |= march.lifted[until]
        going = ~march.ended[active] & (step[active] > SMALLEST_SHARE * first_step[active])
        if not going.all():
            active = active[going]
            members = model.take(active)
    return march


def _begin(start: np.ndarray) -> _March:
    no = np.zeros(start.shape[1], dtype=bool)
    pair = np.stack([start, start])
    return _March(
        before=start.copy(),
        best=start.copy(),
        after=start.copy(),
        turned=no.copy(),
        ended=no.copy(),
        lift_low=pair.copy(),
        lift_high=pair.copy(),
        lift_peak=np.zeros((2, no.size)),
        lifted=np.stack([no, no]),
    )


def _record(
    march: _March, rows: np.ndarray, old: np.ndarray, *, new: np.ndarray, lifting: np.ndarray
) -> None:
    """Note what the step from `old` to `new` of the members `rows` passed."""
    peak = march.best[0, rows]
    rising = new[0] > peak
    up = rows[rising]
    march.before[:, up], march.best[:, up] = old[:, rising], new[:, rising]
    march.turned[up] = False
    first = ~rising & ~march.turned[rows]
    march.after[:, rows[first]] = new[:, first]
    march.turned[rows[first]] = True
    for axle, lifts in enumerate(lifting):
        march.lift_low[axle][:, rows[lifts]] = old[:, lifts]
        march.lift_high[axle][:, rows[lifts]] = new[:, lifts]
        march.lift_peak[axle, rows[lifts]] = peak[lifts]
        march.lifted[axle, rows[lifts]] = True


def _off_ground(model: Model, x: np.ndarray) -> np.ndarray:
    """Whether the inner (left) tyres are off the ground, (2, N)."""
    lean = 0.5 * model.track * np.sin(x[4:6])
    return model.tyre_load - model.tyre_rate * (x[6:8] + lean) <= 0.0


def _lift_events(model: Model, march: _March, course: Course) -> np.ndarray:
    """Points of both lifts, (2, 8, N); NaN where none.

    At lift the contact shift of an axle jumps from two tyres to one. Its lift is therefore
    followed with tyres that may pull, from the loaded side. Lifts in one jump are one event.
    """
    axle, rows = np.nonzero(march.lifted)
    events = np.full((2, 8, model.size), np.nan)
    if rows.size:
        low = march.lift_low[axle, :, rows].T
        members = model.take(rows)
        pulling = np.where(_off_ground(members, low), members.least_tyre_force, -np.inf)
        members = replace(members, least_tyre_force=pulling)
        events[axle, :, rows] = solve_at_lift(members, low, course, axle=axle).x.T
    together = march.lifted.all(axis=0) & (march.lift_low[0, 1] == march.lift_low[1, 1])
    first = np.where(events[0, 1] <= events[1, 1], events[0], events[1])
    return np.where(together, first, events)


def _top(model: Model, march: _March, course: Course) -> np.ndarray:
    """Best points where the slope of the path changes sign between jumps, (8, N)."""
    best = solve_at_roll(model, march.best, course).x
    low, high = _between_lifts(march)
    f_low, f_high = _slope(model, low, course), _slope(model, high, course)
    moved_high = np.full(model.size, -1)
    rows = np.flatnonzero((f_low > 0.0) & (f_high < 0.0) & (high[1] > low[1]))
    for _ in range(REFINEMENTS):
        if rows.size == 0:
            break
        members = model.take(rows)
        part = np.clip(f_low[rows] / (f_low[rows] - f_high[rows]), 0.02, 0.98)
        start = low[:, rows] + part * (high[:, rows] - low[:, rows])
        new = solve_at_roll(members, start, course).x
        f_new = _slope(members, new, course)
        better = ~(new[0] <= best[0, rows]) & np.isfinite(new[0])
        best[:, rows[better]] = new[:, better]
        upper, lower = f_new <= 0.0, f_new > 0.0
        high[:, rows[upper]], low[:, rows[lower]] = new[:, upper], new[:, lower]
        # Illinois: an end that stays put twice counts half, so that both ends close in.
        weight = np.where(upper == moved_high[rows], 0.5, 1.0)
        f_high[rows] = np.where(upper, f_new, weight * f_high[rows])
        f_low[rows] = np.where(lower, f_new, weight * f_low[rows])
        moved_high[rows] = upper
        gain = np.abs(f_new) * (high[1, rows] - low[1, rows])  # the most that is left to find
        rows = rows[(upper | lower) & (gain > CLOSE)]
    return best


def _slope(model: Model, x: np.ndarray, course: Course) -> np.ndarray:
    """Derivative of the parameter by body roll, the other freedoms following, (N,)."""
    b = course.balance(model, x)
    still = np.zeros_like(b.roll_axle)
    by_roll = np.concatenate([b.roll_roll[None], b.roll_travel, b.roll_axle, still])
    return solve_arrow(b, -by_roll, course.column(b, x))[0]


def _between_lifts(march: _March) -> tuple[np.ndarray, np.ndarray]:
    """Neighbours of the best point, drawn in to it where a wheel lifts on that side."""
    low, high = march.before.copy(), march.after.copy()
    for axle in (0, 1):
        at = march.lift_high[axle, 1]
        below = march.lifted[axle] & (at > low[1]) & (at <= march.best[1])
        low[:, below] = march.best[:, below]
        above = march.lifted[axle] & (at > march.best[1]) & (at <= high[1])
        high[:, above] = march.best[:, above]
    return low, high
