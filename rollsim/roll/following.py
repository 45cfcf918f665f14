"""Where does it stand in a turn of given acceleration, or does it tip before?

Along the path from upright, jumps included, and the roll gradients measured so.
"""

import numpy as np

from rollsim.equilibrium import (
    Model,
    Solution,
    concatenate,
    roll_pivot,
    solve_at_field,
    tangent,
    tip_over,
)
from rollsim.roll.figures import TURN, cab_roll, straight_ahead, turns
from rollsim.vehicle import STANDARD_GRAVITY

LARGEST_STEP = 0.4 * STANDARD_GRAVITY
SHORT_STEP = 0.01 * STANDARD_GRAVITY
HALVINGS = 6  # of a step that fails
OVER_A_LIFT = 0.02 * STANDARD_GRAVITY  # a longer step over the lift of a wheel is halved
PATIENCE = 20  # iterations before it has failed
AT_ONCE = 8  # that many where it may fail: steps come after
FALLEN_OVER = np.radians(20.0)  # off the line of the step before: no vehicle on its wheels
MANY = 400  # members: from there on step after step is as fast
JUST_LIFTING = 1e-6  # of the weight: a wheel that carries no more stands at its lift
SAME = 1e-9  # of a step: accelerations closer than this are one


def follow(
    model: Model,
    settled: Solution,
    lateral: tuple[float, ...],
    *,
    tipping: np.ndarray | None = None,
) -> list[Solution]:
    """Equilibria of a left turn at rising accelerations, or none where it tips before.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    lateral : tuple of float
        Lateral accelerations, rising, not negative [m/s²].
    tipping : (9, N) array or None
        Where a left turn tips [m/s²; rad, m], where known; else looked for where it matters.

    Returns
    -------
    list of Solution
        One for each acceleration; not converged where the vehicle tips before it.

    Notes
    -----
    As `follow_to_tipping`.
    """
    return follow_to_tipping(model, settled, lateral, tipping=tipping)[0]


def follow_to_tipping(
    model: Model,
    settled: Solution,
    lateral: tuple[float, ...],
    *,
    tipping: np.ndarray | None = None,
) -> tuple[list[Solution], np.ndarray]:
    """Equilibria of a left turn, and where those vehicles tip that have not all of them.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    lateral : tuple of float
        Lateral accelerations, rising, not negative [m/s²].
    tipping : (9, N) array or None
        Where a left turn tips [m/s²; rad, m], where known; else looked for where it matters.

    Returns
    -------
    tuple of list of Solution and (9, N) array
        One solution for each acceleration, not converged where the vehicle tips before it; and
        where it tips [m/s²; rad, m], NaN where it was not looked for or the path not resolved.

    Notes
    -----
    Each point is started from the one before. What this does not reach may lie behind a jump of
    the path at wheel lift: it is looked for from the tipping point back. In a small batch the
    tipping points come first: steps past them fail slowly.
    """
    slope = np.concatenate([np.ones((1, model.size)), tangent(model, settled.x, TURN)])
    plain = _on_all_wheels(model, settled.x, slope, lateral)
    look = tipping is None
    if look:
        tipping = np.full_like(settled.x, np.nan)
        if model.size <= MANY:
            lifting = settled.converged & np.isnan(plain[:, 0]).any(axis=0)
            _look_for_tipping(model, settled, lifting, tipping)
    points = _forward(model, settled, lateral, slope=slope, plain=plain, tipping=tipping[0])
    if look:
        missing = settled.converged & ~np.all([point.converged for point in points], axis=0)
        _look_for_tipping(model, settled, missing & np.isnan(tipping[0]), tipping)
    return _back(model, points, lateral, tipping), tipping


def follow_turns(
    model: Model, settled: Solution, lateral: tuple[float, ...]
) -> list[tuple[dict[float, Solution], np.ndarray]]:
    """Both turns in one batch, where they differ; a right turn is the left one of a mirror image.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    lateral : tuple of float
        Lateral accelerations, rising, not negative [m/s²].

    Returns
    -------
    list of (dict, (9, N) array)
        One or two turns: a solution for each acceleration, and where the vehicles tip, as
        `follow_to_tipping` gives them [m/s²; rad, m].
    """
    sides = turns(model, settled)
    both = concatenate([side for side, _ in sides])
    rest = Solution(
        np.concatenate([found.x for _, found in sides], axis=1),
        np.concatenate([found.converged for _, found in sides]),
    )
    points, tipping = follow_to_tipping(both, rest, lateral)
    found = []
    for n in range(len(sides)):
        own = slice(n * model.size, (n + 1) * model.size)
        solutions = (point.take(own) for point in points)
        found.append((dict(zip(lateral, solutions, strict=True)), tipping[:, own]))
    return found


def _look_for_tipping(
    model: Model, settled: Solution, wanted: np.ndarray, tipping: np.ndarray
) -> None:
    """Put the tipping points of the members wanted in their place."""
    rows = np.flatnonzero(wanted)
    if rows.size:
        tipping[:, rows] = tip_over(model.take(rows), settled.take(rows), TURN).point


def secant_roll_gradient(model: Model, settled: Solution, at: float) -> np.ndarray:
    """Roll of a left turn beyond that at rest, over its lateral acceleration.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    at : float
        Lateral acceleration [m/s²].

    Returns
    -------
    (N,) array
        [rad/(m/s²)]; infinite where the vehicle tips before `at`.
    """
    (point,) = follow(model, settled, (at,))
    lean = cab_roll(model, point.x) - cab_roll(model, settled.x)
    return np.where(point.converged, lean / at, np.inf)


def measured_roll_gradient(model: Model, settled: Solution, at: float | None) -> np.ndarray:
    """Roll gradient as a target measures it, and as tolerances are carried to it.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    at : float or None
        Lateral acceleration of the secant roll gradient [m/s²]; None: linear.

    Returns
    -------
    (N,) array
        [rad/(m/s²)], the mean of both turns where a load is off centre; infinite where the
        vehicle tips before `at`, or does not stand.
    """

    def one_turn(turning: Model, rest: Solution) -> np.ndarray:
        if at is None:
            linear = straight_ahead(turning, rest).roll_gradient
            return np.where(rest.converged, linear, np.inf)
        return secant_roll_gradient(turning, rest, at)

    return np.mean([one_turn(*side) for side in turns(model, settled)], axis=0)


def _forward(
    model: Model,
    settled: Solution,
    lateral: tuple[float, ...],
    *,
    slope: np.ndarray,
    plain: np.ndarray,
    tipping: np.ndarray,
) -> list[Solution]:
    """Equilibria at rising accelerations as far as steps from upright reach them."""
    found = []
    x, ok, here = settled.x.copy(), settled.converged.copy(), 0.0
    for number, target in enumerate(lateral):
        ok &= ~(target > tipping)  # not known to tip before
        width = target - here
        if width > SAME * LARGEST_STEP:
            quick = ok & np.isfinite(plain[number, 0])
            rows = np.flatnonzero(ok & ~quick)
            new = np.where(quick, plain[number], x)
            slope[:, quick] = ((new - x) / width)[:, quick]
            if rows.size:
                members = _members(model, rows)
                new[:, rows], slope[:, rows] = _in_steps(members, x[:, rows], slope[:, rows], width)
                ok[rows] &= _stable(members, new[:, rows])
                new[0, rows] = target  # widths of steps add up to it within rounding
            x, here = new, target
        found.append(Solution(np.where(ok, x, np.nan), ok.copy()))
    return found


def _back(
    model: Model, points: list[Solution], lateral: tuple[float, ...], tipping: np.ndarray
) -> list[Solution]:
    """The same, less what lies past the tipping points and with what is missing below them."""
    found, x = [], tipping.copy()
    for a, point in zip(reversed(lateral), reversed(points), strict=True):
        past = a > tipping[0]
        new, ok = np.where(past, np.nan, point.x), point.converged & ~past
        rows = np.flatnonzero(~ok & (a <= tipping[0]))
        if rows.size:
            members = model.take(rows)
            new[:, rows] = _lowered(members, x[:, rows], a)
            ok[rows] = _stable(members, new[:, rows])
            new[:, ~ok] = np.nan
            x = np.where(ok, new, x)  # from here it is nearer to what lies below
        found.append(Solution(new, ok))
    return found[::-1]


def _lowered(model: Model, start: np.ndarray, lateral: float) -> np.ndarray:
    """Equilibria at a lower acceleration, (9, N), in short steps from those at the start.

    Tyres on the ground at the start may pull on the way: where that is the lift of a wheel, the
    contact shift of its axle jumps, and a step could end on the wrong side.
    """
    inner = TURN.balance(model, start).tyre_reach[0]
    off_ground = inner < -JUST_LIFTING * model.constants.weight
    on_leg = model.on_leg(off_ground)
    x = start.copy()
    steps = int(np.ceil((start[0] - lateral).max() / SHORT_STEP)) + 1
    for part in np.linspace(0.0, 1.0, steps)[1:]:
        x[0] = start[0] + part * (lateral - start[0])
        x = solve_at_field(on_leg, x, TURN).x
    return solve_at_field(model, x, TURN).x


def _stable(model: Model, x: np.ndarray) -> np.ndarray:
    return roll_pivot(TURN.balance(model, x)) > 0.0


def _on_all_wheels(
    model: Model, x: np.ndarray, slope: np.ndarray, lateral: tuple[float, ...]
) -> np.ndarray:
    """Points at each acceleration in one batch, (A, 9, N), where all wheels stay on the ground.

    NaN elsewhere, where it is not stable or far from the straight line, and for large batches:
    they gain nothing.
    """
    if model.size > MANY:
        return np.full((len(lateral), *x.shape), np.nan)
    start = np.concatenate([x + slope * a for a in lateral], axis=1)
    who = np.tile(np.arange(model.size), len(lateral))
    found = np.full_like(start, np.nan)
    rows = np.flatnonzero(_standing(model.take(who), start))
    if rows.size:
        members = model.take(who[rows])
        new = solve_at_field(members, start[:, rows], TURN, iterations=AT_ONCE).x
        good = _standing(members, new) & (np.abs(new[1] - start[1, rows]) < FALLEN_OVER)
        found[:, rows[good]] = new[:, good]
    return found.reshape(9, len(lateral), model.size).transpose(1, 0, 2)


def _standing(model: Model, x: np.ndarray) -> np.ndarray:
    """Whether every wheel is on the ground and the vehicle stable, (N,); NaN is neither."""
    balance = TURN.balance(model, x)
    return (balance.tyre_reach > 0.0).all(axis=(0, 1)) & (roll_pivot(balance) > 0.0)


def _in_steps(
    model: Model, x: np.ndarray, slope: np.ndarray, width: float
) -> tuple[np.ndarray, np.ndarray]:
    """Equilibria `width` further on and the slope there, (9, N); NaN where there is none."""
    x, slope = x.copy(), slope.copy()
    stops = int(np.ceil(abs(width) / LARGEST_STEP - SAME))
    for _ in range(stops):
        rows, part = np.flatnonzero(np.isfinite(x[0])), width / stops
        here, along = x[:, rows], slope[:, rows]
        members = _members(model, rows)
        new = _step(members, here, along, width=part, halvings=HALVINGS)
        slope[:, rows], x[:, rows] = (new - here) / part, new
    return x, slope


def _on_ground(model: Model, x: np.ndarray) -> np.ndarray:
    return TURN.balance(model, x).tyre_reach > 0.0


def _members(model: Model, rows: np.ndarray) -> Model:
    """The members at `rows`; all of them without copying."""
    return model if rows.size == model.size else model.take(rows)


def _step(
    model: Model, x: np.ndarray, slope: np.ndarray, *, width: float, halvings: int
) -> np.ndarray:
    """Equilibria `width` further on, (9, N); members that fail try again in two halves.

    A long step over the lift of a wheel fails as well: the contact shift of its axle jumps there,
    and it may end on another branch.
    """
    start = x + slope * width
    solution = solve_at_field(model, start, TURN, iterations=PATIENCE)
    good = solution.converged & (np.abs(solution.x[1] - start[1]) < FALLEN_OVER)
    if halvings and width > OVER_A_LIFT:
        good &= (_on_ground(model, x) == _on_ground(model, solution.x)).all(axis=(0, 1))
    new = np.where(good, solution.x, np.nan)
    rows = np.flatnonzero(np.isnan(new[0]) & np.isfinite(x[0]))
    if rows.size and halvings:
        members, half, some = model.take(rows), 0.5 * width, halvings - 1
        middle = _step(members, x[:, rows], slope[:, rows], width=half, halvings=some)
        steeper = (middle - x[:, rows]) / half
        new[:, rows] = _step(members, middle, steeper, width=half, halvings=some)
    return new
