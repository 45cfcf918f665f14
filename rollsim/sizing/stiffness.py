"""How much roll stiffness must the new rear bar bring? Closed form first, then the full model."""

import math

import numpy as np

from rollsim.equilibrium import Model, Solution, settle, solve_arrow
from rollsim.mass import FittedBar, State, with_bar
from rollsim.mass import model as model_of
from rollsim.roll import TURN, follow, straight_ahead
from rollsim.vehicle import Job

RIGID = 1e9  # N·m/rad: stands for an infinitely stiff rear bar
GRID = np.linspace(0.5, 1.5, 33)  # of the closed form, then of the bracket found


def gradients(plain: Model, at: float | None) -> np.ndarray:
    """Roll gradient as a target measures it.

    Parameters
    ----------
    plain : Model
        N vehicles, pitch not yet settled.
    at : float or None
        Lateral acceleration of the secant roll gradient [m/s²]; None: linear.

    Returns
    -------
    (N,) array
        [rad/(m/s²)]; infinite where the vehicle tips before `at`.
    """
    return settled_gradients(*settle(plain, TURN), at)


def settled_gradients(model: Model, settled: Solution, at: float | None) -> np.ndarray:
    """The same of vehicles that are settled already.

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
        [rad/(m/s²)]; infinite where the vehicle tips before `at`.
    """
    if at is None:
        return straight_ahead(model, settled).roll_gradient
    point = follow(model, settled, (at,))[0]
    return np.where(point.converged, (point.x[1] - settled.x[1]) / at, np.inf)


def closed_form(plain: Model, target: float) -> float:
    """Rear roll stiffness to add on the linear model.

    Parameters
    ----------
    plain : Model
        One vehicle without a rear bar.
    target : float
        Linear roll gradient wanted [rad/(m/s²)].

    Returns
    -------
    float
        [N·m/rad]; infinite where no stiffness reaches the target, 0 where none is needed.

    Notes
    -----
    A bar adds K v vᵀ to the stiffness J, v = +1 at body roll and −1 at rear axle roll. With
    x = J⁻¹Q and y = J⁻¹v, φ′(K) = x_φ − K (v·x) y_φ / (1 + K v·y). [sherman-morrison]
    """
    settled_model, settled = settle(plain, TURN)
    balance = TURN.balance(settled_model, settled.x)
    v = np.zeros((7, 1))
    v[0], v[4] = 1.0, -1.0
    x, y = solve_arrow(balance, -balance.d_lateral), solve_arrow(balance, v)
    surplus = float(x[0, 0]) - target
    if surplus <= 0.0:
        return 0.0
    vx, vy = float(x[0, 0] - x[4, 0]), float(y[0, 0] - y[4, 0])
    rest = vx * float(y[0, 0]) - surplus * vy
    return surplus / rest if rest > 0.0 else math.inf


def without_rear_bar(job: Job, state: State) -> Model:
    """One vehicle with no rear bar at all."""
    return with_bar(model_of(job, state), job, FittedBar(0.0))


def required(
    job: Job, state: State, target: float, *, at: float | None, lash_angle: float
) -> tuple[float, float]:
    """Roll stiffness of the new rear bar that meets the target on the full model.

    Parameters
    ----------
    job : Job
        The vehicle.
    state : State
        The case to size for.
    target : float
        Roll gradient wanted [rad/(m/s²)].
    at : float or None
        Where it is measured [m/s²]; None: linear.
    lash_angle : float
        Dead band of the bar [rad].

    Returns
    -------
    tuple of float
        The stiffness [N·m/rad], infinite where no bar reaches the target and 0 where none is
        needed; and the roll gradient of a rigid bar [rad/(m/s²)].
    """
    plain = model_of(job, state)

    def excess(stiffness: np.ndarray) -> np.ndarray:
        bar = FittedBar(stiffness, lash_angle=lash_angle)
        return gradients(with_bar(plain, job, bar), at) - target

    bare, rigid = excess(np.array([0.0, RIGID]))
    if not rigid <= 0.0:
        return math.inf, float(rigid) + target
    if bare <= 0.0:
        return 0.0, float(rigid) + target
    guess = closed_form(without_rear_bar(job, state), target)
    grid = np.append(guess * GRID, RIGID) if 0.0 < guess < RIGID else np.geomspace(1.0, RIGID, 64)
    found = excess(grid)
    first = int(np.argmax(found <= 0.0))
    grid = np.linspace(grid[first - 1] if first else 0.0, grid[first], GRID.size)
    found = excess(grid)
    standing = np.isfinite(found)  # with too little stiffness the vehicle may tip
    stiffness = np.interp(0.0, -found[standing], grid[standing])
    return float(stiffness), float(rigid) + target
