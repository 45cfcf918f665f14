"""The path from upright to tip-over, through wheel lift and the limit point.

Lean (body roll plus that of the axles) is prescribed and everything else solved for, the path
parameter (lateral acceleration, or the angle of a tilt table) included: nothing special happens
where the parameter passes its greatest value. Body roll alone would not do: it may come back on a
table that unloads the springs, while the axles go on.

At wheel lift the contact shift of an axle jumps from two tyres to one, so the path is followed in
legs: up to a lift with tyres that may pull, which makes the leg smooth, then on from there.
"""

from dataclasses import dataclass

import numpy as np

from rollsim.equilibrium.balance import half_track
from rollsim.equilibrium.elimination import roll_pivot
from rollsim.equilibrium.model import Model
from rollsim.equilibrium.newton import (
    Course,
    Solution,
    solve_along,
    solve_at_field,
    solve_at_lift,
    tangent,
)

# Body roll, mean of its ends, and more of both axle rolls, since these never come back.
LEAN = np.array([0.0, 1.0, 0.0, 0.0, 3.0, 3.0, 0.0, 0.0, 0.5])[:, None]
STEPS_TO_SLIDE = 6  # steps in which the linear model reaches the static stability factor
LARGEST_STEP = np.radians(2.5)  # of body roll
LONGER = 4.0  # times that step once a wheel is off and the axle rolls fast
SMALLEST_SHARE = 1e-3  # of the first step: a path that needs less is given up
FAR = 0.5  # of the static stability factor: a step that long has left the path
MAX_STEPS = 400
FALLEN = 0.7  # of the greatest parameter: past this the path has turned for good
COARSE = 1e-4  # of the weight: residual that will do on the way
PATIENCE = 12  # iterations before a step is halved
CLEAR = 0.03  # of the static squash: how far off the ground a lifted wheel is first looked for
NEVER = 10**6
REFINEMENTS = 10  # by regula falsi; on a kink the pivot jumps, and halving goes on from there
HALVINGS = 14
CLOSE = 1e-6  # rad, m: the top is flat, so the parameter is far closer


@dataclass(frozen=True, slots=True)
class TipOver:
    """Where N vehicles lift their inner wheels and tip over.

    Parameters
    ----------
    threshold : (N,) array
        Greatest path parameter with an equilibrium [m/s² or rad]; NaN where the path was not
        resolved.
    point : (9, N) array
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
    """Points (9, N) found on the way; steps and legs (N,) tell their order along the path."""

    current: np.ndarray  # where the next step starts: after a lift with the wheel clear
    point: np.ndarray  # the last equilibrium
    before: np.ndarray
    best: np.ndarray
    after: np.ndarray
    lift: np.ndarray  # (2, 9, N)
    lift_step: np.ndarray  # (2, N): NEVER where not lifted
    lift_peak: np.ndarray  # (2, N): greatest parameter before the lift
    best_step: np.ndarray
    leg: np.ndarray  # lifts made at the current point
    legs: np.ndarray  # (3, N): lifts made at before, best and after
    best_lifted: np.ndarray  # (2, N): which
    turned: np.ndarray  # `after` is set
    ended: np.ndarray

    @property
    def lifted(self) -> np.ndarray:
        """Whether each inner wheel has lifted, (2, N)."""
        return self.lift_step < NEVER


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
    The greatest parameter is the largest of both lifts and of the point between the neighbours of
    the best sample where the parameter stops rising.
    """
    march = _march(model, settled, course)
    events = np.stack([_top(model, march, course), *march.lift])
    members = np.arange(model.size)
    which = np.argmax(np.where(np.isnan(events[:, 0]), -np.inf, events[:, 0]), axis=0)
    point = np.where(march.ended & settled.converged, events[which, :, members].T, np.nan)
    step = np.stack([march.best_step, *march.lift_step])[which, members]
    return TipOver(point[0], point, np.where(march.lift_step <= step, march.lift[:, 0], np.nan))


def lift_before_tipping(
    model: Model, start: Solution, course: Course, *, axle: int
) -> tuple[np.ndarray, np.ndarray]:
    """Path parameter at which one axle's inner wheel lifts: `tip_over` no further than needed.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    start : Solution
        Equilibria of the path with every wheel on the ground.
    course : Course
        Turn or tilt.
    axle : int
        0 front, 1 rear.

    Returns
    -------
    tuple of (N,) arrays
        The parameter [m/s² or rad], NaN where the vehicle tips first; and whether the path was
        followed so far.
    """
    lift, resolved = _lift_ahead(model, start, course, axle=axle), start.converged.copy()
    rows = np.flatnonzero(resolved & np.isnan(lift))
    if rows.size:
        lift[rows], resolved[rows] = _lift_on_path(
            model.take(rows), start.take(rows), course.take(rows), axle=axle
        )
    return lift, resolved


def _lift_ahead(model: Model, start: Solution, course: Course, *, axle: int) -> np.ndarray:
    """The lift, solved for in one go; NaN where the way there is not plain.

    Plain: further on in lean, the other inner wheel still on the ground, and stable.
    """
    on_leg = model.on_leg(np.zeros((2, model.size), dtype=bool))
    which = np.full(model.size, axle)
    found = solve_at_lift(on_leg, start.x, course, axle=which).x
    balance = course.balance(on_leg, found)
    plain = (balance.tyre_reach[0, 1 - axle] > 0.0) & (roll_pivot(balance) > 0.0)
    plain &= (found[0] > start.x[0]) & (_lean(found) > _lean(start.x))
    return np.where(plain & start.converged, found[0], np.nan)


def _lift_on_path(
    model: Model, start: Solution, course: Course, *, axle: int
) -> tuple[np.ndarray, np.ndarray]:
    """The lift where the path leads to it, and whether the path was followed so far."""
    march = _march(model, start, course, until=axle)
    lift, resolved = march.lift[axle, 0].copy(), start.converged.copy()
    doubtful = np.flatnonzero(~(lift >= march.lift_peak[axle]))
    if doubtful.size:
        whole = tip_over(model.take(doubtful), start.take(doubtful), course.take(doubtful))
        lift[doubtful], resolved[doubtful] = whole.lift[axle], ~np.isnan(whole.threshold)
    return lift, resolved


def _march(model: Model, start: Solution, course: Course, *, until: int | None = None) -> _March:
    """Steps from the start until the path has turned, or that axle has lifted."""
    slope = tangent(model, start.x, course)
    reach = course.reach(0.5 * model.track.mean(axis=0) / model.cg_height)
    ahead = np.concatenate([np.ones_like(slope[:1]), slope])
    first_step = np.minimum(reach / STEPS_TO_SLIDE, LARGEST_STEP / np.abs(slope[0]))
    first_step = first_step * _lean(ahead)
    step, ahead = first_step.copy(), ahead / _lean(ahead)
    march = _begin(start.x, _off_ground(model, start.x))
    active = np.flatnonzero(start.converged)
    members = model.take(active).on_leg(march.lifted[:, active])
    for number in range(1, MAX_STEPS):
        if active.size == 0:
            break
        here, width = march.current[:, active], step[active]
        new = solve_along(
            members,
            here + ahead[:, active] * width,
            course.take(active),
            direction=LEAN,
            tolerance=COARSE,
            iterations=PATIENCE,
        ).x
        ok = np.abs(new[0] - here[0]) < FAR * reach[active]
        longest = first_step[active] * np.where(march.lifted[:, active].any(axis=0), LONGER, 1.0)
        step[active] = np.where(ok, np.minimum(2.0 * width, longest), 0.5 * width)
        lifting = _off_ground(members, new) & ~march.lifted[:, active] & ok
        crossing = lifting.any(axis=0)
        plain = ok & ~crossing
        won = active[plain]
        ahead[:, active[ok]] = (new[:, ok] - here[:, ok]) / width[ok]
        _record(march, won, new[:, plain], step=number)
        if crossing.any():
            rows, on_leg = active[crossing], members.take(crossing)
            own = course.take(rows)
            _lift(march, on_leg, rows, new[:, crossing], lifting[:, crossing], own, step=number)
        fallen = march.current[0] < FALLEN * march.best[0]
        march.ended |= march.turned & (march.lifted.all(axis=0) | fallen)
        if until is not None:
            march.ended |= march.lifted[until]
        going = ~march.ended[active] & (step[active] > SMALLEST_SHARE * first_step[active])
        if crossing.any() or not going.all():
            active = active[going]
            members = model.take(active).on_leg(march.lifted[:, active])
    return march


def _lift(
    march: _March,
    members: Model,
    rows: np.ndarray,
    beyond: np.ndarray,
    lifting: np.ndarray,
    course: Course,
    *,
    step: int,
) -> None:
    """End the leg of the members `rows` at the first of the lifts passed on the way `beyond`."""
    here = march.current[:, rows]
    axles, which = np.nonzero(lifting)
    own = course.take(which)
    load, past = (_inner_load(members, x)[axles, which] for x in (here, beyond))
    start = here[:, which] + load / (load - past) * (beyond - here)[:, which]
    found = solve_at_lift(members.take(which), start, own, axle=axles).x
    # A wheel that the jump of the leg before has taken off the ground lifted there as well.
    last = march.point[:, rows[which]]
    found = np.where(_lean(found) < _lean(last), last, found)
    points = np.full((2, *here.shape), np.nan)
    points[axles, :, which] = found.T
    order = _lean(points)
    axle = np.argmin(np.where(np.isnan(order), np.inf, order), axis=0)
    every = np.arange(rows.size)
    event = points[axle, :, every].T
    march.lift[axle, :, rows] = event.T
    march.lift_peak[axle, rows] = march.best[0, rows]
    _record(march, rows, event, step=step)
    march.lift_step[axle, rows] = step
    # Look for the next leg with the wheel clear of the ground.
    squash = members.tyre_load[axle, every] / members.tyre_rate[axle, every]
    march.current[4 + axle, rows] += CLEAR * squash / members.track[axle, every]


def _begin(start: np.ndarray, lifted: np.ndarray) -> _March:
    """At the start of the path; wheels that a load far off centre holds up have lifted there."""
    size, leg = start.shape[1], lifted.sum(axis=0)
    return _March(
        current=start.copy(),
        point=start.copy(),
        before=start.copy(),
        best=start.copy(),
        after=start.copy(),
        lift=np.where(lifted[:, None], start, np.nan),
        lift_step=np.where(lifted, 0, NEVER),
        lift_peak=np.zeros((2, size)),
        best_step=np.zeros(size, dtype=int),
        leg=leg,
        legs=np.tile(leg, (3, 1)),
        best_lifted=lifted.copy(),
        turned=np.zeros(size, dtype=bool),
        ended=np.zeros(size, dtype=bool),
    )


def _record(march: _March, rows: np.ndarray, new: np.ndarray, *, step: int) -> None:
    """Note the next point of the members `rows`."""
    leg = march.lifted[:, rows].sum(axis=0)
    rising = new[0] > march.best[0, rows]
    up = rows[rising]
    march.before[:, up], march.legs[0, up] = march.point[:, up], march.leg[up]
    march.best[:, up], march.legs[1, up] = new[:, rising], leg[rising]
    march.best_step[up], march.turned[up] = step, False
    march.best_lifted[:, up] = march.lifted[:, up]
    first = ~rising & ~march.turned[rows]
    march.after[:, rows[first]], march.legs[2, rows[first]] = new[:, first], leg[first]
    march.turned[rows[first]] = True
    march.current[:, rows] = march.point[:, rows] = new
    march.leg[rows] = leg


def _off_ground(model: Model, x: np.ndarray) -> np.ndarray:
    """Whether the inner (left) tyres are off the ground, (2, N)."""
    return _inner_load(model, x) <= 0.0


def _inner_load(model: Model, x: np.ndarray) -> np.ndarray:
    """Of the inner (left) tyres, as if they could pull, (2, N) [N]."""
    lean = half_track(model, x) * np.sin(x[4:6])
    return model.tyre_load - model.tyre_rate * (x[6:8] + lean)


def _lean(x: np.ndarray) -> np.ndarray:
    """What is prescribed along the path, (..., N) [rad]."""
    return (LEAN * x).sum(axis=-2)


def _rising(model: Model, x: np.ndarray, course: Course) -> np.ndarray:
    """Rise of the parameter along the path, (N,): it falls beyond the top.

    The pivot of roll would not do: side force makes the derivative of an independent axle
    unsymmetric, so that another pivot may change its sign there as well.
    """
    return 1.0 / (LEAN[1:] * tangent(model, x, course)).sum(axis=0)


def _top(model: Model, march: _March, course: Course) -> np.ndarray:
    """Best points where the parameter stops rising within a leg, (9, N)."""
    on_leg = model.on_leg(march.best_lifted)
    best = solve_at_field(on_leg, march.best, course).x
    best = np.where(np.isfinite(best[0]), best, march.best)
    low = np.where(march.legs[0] == march.legs[1], march.before, march.best)
    high = np.where((march.legs[2] == march.legs[1]) & march.turned, march.after, march.best)
    f_low, f_high = (_rising(on_leg, x, course) for x in (low, high))
    moved_high = np.full(model.size, -1)
    rows = np.flatnonzero((f_low > 0.0) & (f_high < 0.0))
    for number in range(REFINEMENTS + HALVINGS):
        if rows.size == 0:
            break
        members, span = on_leg.take(rows), high[:, rows] - low[:, rows]
        part = np.clip(f_low[rows] / (f_low[rows] - f_high[rows]), 0.02, 0.98)
        part = part if number < REFINEMENTS else np.full_like(part, 0.5)
        own = course.take(rows)
        new = solve_along(members, low[:, rows] + part * span, own, direction=LEAN).x
        f_new = _rising(members, new, own)
        better = new[0] > best[0, rows]
        best[:, rows[better]] = new[:, better]
        upper, lower = f_new <= 0.0, f_new > 0.0
        high[:, rows[upper]], low[:, rows[lower]] = new[:, upper], new[:, lower]
        # Illinois: an end that stays put twice counts half, so that both ends close in.
        weight = np.where(upper == moved_high[rows], 0.5, 1.0)
        f_high[rows] = np.where(upper, f_new, weight * f_high[rows])
        f_low[rows] = np.where(lower, f_new, weight * f_low[rows])
        moved_high[rows] = upper
        narrow = np.abs(high[1:, rows] - low[1:, rows]).max(axis=0) < CLOSE
        rows = rows[(upper | lower) & ~narrow]
    return best
