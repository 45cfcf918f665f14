"""How much roll stiffness must the new rear bar bring? Closed form first, then the full model."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from rollsim.equilibrium import Model, Solution, settle, solve_arrow
from rollsim.mass import FittedBar, State, with_bar
from rollsim.mass import model as model_of
from rollsim.roll import TURN, measured_roll_gradient
from rollsim.vehicle import Job

RIGID = 1e9  # N·m/rad: stands for an infinitely stiff rear bar
ALL_BARS = np.array([0.0, *np.geomspace(1e3, 1e6, 46), RIGID])  # N·m/rad
POINTS = 33  # of a finer batch within the bracket found
FINER = 2
FLAT = 1e-6  # share by which a rigid bar must be beaten to look for a better one


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
    return measured_roll_gradient(*settle(plain, TURN), at)


def closed_form(bare: Model, rest: Solution, target: float) -> float:
    """Rear roll stiffness to add on the linear model.

    Parameters
    ----------
    bare, rest : Model and Solution
        One vehicle without a rear bar, settled [m/s²; rad, m].
    target : float
        Linear roll gradient wanted [rad/(m/s²)].

    Returns
    -------
    float
        [N·m/rad]; infinite where no stiffness reaches the target, 0 where none is needed.

    Notes
    -----
    A bar adds K v vᵀ to the stiffness J, v = +1 at the roll of the body's rear end and −1 at rear
    axle roll. With x = J⁻¹Q, y = J⁻¹v and φ that of the cab, φ′(K) = x_φ − K (v·x) y_φ /
    (1 + K v·y). [sherman-morrison]
    """
    balance = TURN.balance(bare, rest.x)
    v = np.zeros((8, 1))
    v[0], v[4], v[7] = 1.0, -1.0, 1.0
    x, y = solve_arrow(balance, -TURN.column(balance, rest.x)), solve_arrow(balance, v)
    share = bare.cab_share
    x_cab, y_cab = (float((one[0] + share * one[7])[0]) for one in (x, y))
    surplus = x_cab - target
    if surplus <= 0.0:
        return 0.0
    vx, vy = (float((v * one).sum()) for one in (x, y))
    left = vx * y_cab - surplus * vy
    return surplus / left if left > 0.0 else math.inf


@dataclass(frozen=True, slots=True)
class Required:
    """What a target asks of a rear bar.

    Parameters
    ----------
    stiffness : float
        Least roll stiffness that meets the target [N·m/rad]; infinite where none does, 0 where
        none is needed.
    bare : float
        Roll gradient without any rear bar [rad/(m/s²)].
    limit : float
        Least roll gradient that any rear bar gives [rad/(m/s²)]: that of a rigid one, unless a
        wheel lifts on the way.
    """

    stiffness: float
    bare: float
    limit: float


def required(
    job: Job,
    state: State,
    target: float,
    *,
    at: float | None,
    lash_angle: float,
    bare: tuple[Model, Solution],
) -> Required:
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
    bare : tuple of Model and Solution
        That state without a rear bar, settled [m/s²; rad, m].

    Returns
    -------
    Required
        In SI.

    Notes
    -----
    Stiffnesses from none to rigid in one batch, finer around the least gradient, show the first
    bracket of the target; a finer batch and a straight line close it.
    """
    plain, (settled, rest) = model_of(job, state), bare

    def measured(stiffness: np.ndarray) -> np.ndarray:
        many = with_bar(plain, job, FittedBar(stiffness, lash_angle=lash_angle))
        share, stands, start = (
            np.repeat(one, many.size, axis=-1) for one in (settled.rear_share, settled.rest, rest.x)
        )
        many = replace(many, rear_share=share, rest=stands)
        return measured_roll_gradient(*settle(many, TURN, start=start), at)

    grid, found = _scan(measured)
    most, limit = float(found[0]), float(found.min())
    if most <= target:
        return Required(0.0, most, limit)
    if not limit <= target:
        return Required(math.inf, most, limit)
    first = max(1, int(np.argmax(found <= target)))
    grid = np.linspace(grid[first - 1], grid[first], POINTS)
    found = measured(grid)
    standing = np.isfinite(found)  # with too little stiffness the vehicle may tip
    first = int(np.argmax(found <= target))
    near = standing & (np.arange(POINTS) >= first - 1) & (np.arange(POINTS) <= first)
    return Required(float(np.interp(-target, -found[near], grid[near])), most, limit)


def _scan(measured: Callable[[np.ndarray], np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """Stiffnesses from none to rigid and what each measures, finer around the least.

    The least is sharp where a wheel lifts: there a stiffer bar makes the vehicle lean more.
    """
    grid, found = ALL_BARS, measured(ALL_BARS)
    for _ in range(FINER):
        least = int(np.argmin(found))
        if not found[least] < found[-1] * (1.0 - FLAT):
            break
        closer = np.linspace(grid[max(least - 1, 0)], grid[least + 1], POINTS)[1:-1]
        order = np.argsort(np.concatenate([grid, closer]), kind="stable")
        found = np.concatenate([found, measured(closer)])[order]
        grid = np.concatenate([grid, closer])[order]
    return grid, found
