"""Equilibria of a turn at given accelerations: along the path from upright, jumps included."""

import numpy as np

from rollsim.equilibrium import Model, Solution, roll_pivot, solve_at_field, tangent
from rollsim.roll.figures import TURN
from rollsim.vehicle import STANDARD_GRAVITY

LARGEST_STEP = 0.4 * STANDARD_GRAVITY
SHORT_STEP = 0.01 * STANDARD_GRAVITY
HALVINGS = 6  # of a step that fails
PATIENCE = 20  # iterations before it has failed
FALLEN_OVER = np.radians(20.0)  # off the line of the step before: no vehicle on its wheels
MANY = 200  # members: from there on step after step is as fast
SAME = 1e-9  # of a step: accelerations closer than this are one


def follow(model: Model, settled: Solution, lateral: tuple[float, ...]) -> list[Solution]:
    """Equilibria of a left turn at rising accelerations, each started from the one before.

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
    list of Solution
        One for each acceleration; not converged where there is no stable equilibrium.
    """
    found = []
    x, ok, here = settled.x.copy(), settled.converged.copy(), 0.0
    slope = np.concatenate([np.ones((1, model.size)), tangent(model, settled.x, TURN)])
    plain = _on_all_wheels(model, x, slope, lateral)
    for number, target in enumerate(lateral):
        width = target - here
        if width > SAME * LARGEST_STEP:
            quick = ok & np.isfinite(plain[number, 0])
            rows = np.flatnonzero(ok & ~quick)
            new = np.where(quick, plain[number], x)
            slope[:, quick] = ((new - x) / width)[:, quick]
            if rows.size:
                members = _members(model, rows)
                new[:, rows], slope[:, rows] = _in_steps(members, x[:, rows], slope[:, rows], width)
                ok[rows] &= roll_pivot(TURN.balance(members, new[:, rows])) > 0.0
            x, here = new, target
        found.append(Solution(np.where(ok, x, np.nan), ok.copy()))
    return found


def back_from_tipping(
    model: Model, points: list[Solution], lateral: tuple[float, ...], tipping: np.ndarray
) -> list[Solution]:
    """Add the equilibria that lie behind a jump, found from the tipping point back.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    points : list of Solution
        From `follow`.
    lateral : tuple of float
        Where they were looked for [m/s²].
    tipping : (8, N) array
        The last equilibrium of the path of a left turn [m/s²; rad, m]; NaN where not known.

    Returns
    -------
    list of Solution
        With what was missing below the tipping point and could be found.
    """
    found = []
    for a, point in zip(lateral, points, strict=True):
        rows = np.flatnonzero(~point.converged & (a <= tipping[0]))
        x, ok = point.x.copy(), point.converged.copy()
        if rows.size:
            members, start = model.take(rows), tipping[:, rows]
            new = _lowered(members, start, a)
            ok[rows] = _stable(members, new)
            x[:, rows] = np.where(ok[rows], new, np.nan)
        found.append(Solution(x, ok))
    return found


def _lowered(model: Model, start: np.ndarray, lateral: float) -> np.ndarray:
    """Equilibria at a lower acceleration, (8, N), in short steps from those at the start."""
    x = start.copy()
    steps = int(np.ceil((start[0] - lateral).max() / SHORT_STEP)) + 1
    for part in np.linspace(0.0, 1.0, steps)[1:]:
        x[0] = start[0] + part * (lateral - start[0])
        x = solve_at_field(model, x, TURN).x
    return x


def _stable(model: Model, x: np.ndarray) -> np.ndarray:
    return roll_pivot(TURN.balance(model, x)) > 0.0


def _on_all_wheels(
    model: Model, x: np.ndarray, slope: np.ndarray, lateral: tuple[float, ...]
) -> np.ndarray:
    """Points at each acceleration in one batch, (A, 8, N), where all wheels stay on the ground.

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
        new = solve_at_field(members, start[:, rows], TURN, iterations=PATIENCE).x
        good = _standing(members, new) & (np.abs(new[1] - start[1, rows]) < FALLEN_OVER)
        found[:, rows[good]] = new[:, good]
    return found.reshape(8, len(lateral), model.size).transpose(1, 0, 2)


def _standing(model: Model, x: np.ndarray) -> np.ndarray:
    """Whether every wheel is on the ground and the vehicle stable, (N,); NaN is neither."""
    balance = TURN.balance(model, x)
    return (balance.tyre_reach > 0.0).all(axis=(0, 1)) & (roll_pivot(balance) > 0.0)


def _in_steps(
    model: Model, x: np.ndarray, slope: np.ndarray, width: float
) -> tuple[np.ndarray, np.ndarray]:
    """Equilibria `width` further on and the slope there, (8, N); NaN where there is none."""
    x, slope = x.copy(), slope.copy()
    stops = int(np.ceil(abs(width) / LARGEST_STEP - SAME))
    for _ in range(stops):
        rows, part = np.flatnonzero(np.isfinite(x[0])), width / stops
        here, along = x[:, rows], slope[:, rows]
        members = _members(model, rows)
        new = _step(members, here, along, width=part, halvings=HALVINGS)
        slope[:, rows], x[:, rows] = (new - here) / part, new
    return x, slope


def _members(model: Model, rows: np.ndarray) -> Model:
    """The members at `rows`; all of them without copying."""
    return model if rows.size == model.size else model.take(rows)


def _step(
    model: Model, x: np.ndarray, slope: np.ndarray, *, width: float, halvings: int
) -> np.ndarray:
    """Equilibria `width` further on, (8, N); members that fail try again in two halves."""
    start = x + slope * width
    solution = solve_at_field(model, start, TURN, iterations=PATIENCE)
    near = np.abs(solution.x[1] - start[1]) < FALLEN_OVER
    new = np.where(solution.converged & near, solution.x, np.nan)
    rows = np.flatnonzero(np.isnan(new[0]) & np.isfinite(x[0]))
    if rows.size and halvings:
        members, half, some = model.take(rows), 0.5 * width, halvings - 1
        middle = _step(members, x[:, rows], slope[:, rows], width=half, halvings=some)
        steeper = (middle - x[:, rows]) / half
        new[:, rows] = _step(members, middle, steeper, width=half, halvings=some)
    return new
