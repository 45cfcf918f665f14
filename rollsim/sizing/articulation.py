"""How far can the rear axle twist against the body, and what does a bar take away?"""

import math

import numpy as np

from rollsim.equilibrium import Model, evaluate
from rollsim.vehicle import STANDARD_GRAVITY, Axle

TWISTS = np.radians(np.linspace(0.0, 45.0, 721))  # fine enough for where a stop begins
SETTLING_STEPS = 20
SETTLED = 1e-9  # m
HALVINGS = 30  # of 45 degrees: to 1e-9 rad


def stop_to_stop(axle: Axle) -> float:
    """Roll of the body over the axle from one bump stop to the other side's rebound limit.

    Parameters
    ----------
    axle : Axle
        With its stops.

    Returns
    -------
    float
        [rad]; NaN where a stop is not given.

    Notes
    -----
    One side at full bump and the other at full droop, whatever the ride height: the sum of both
    gaps over the mean of both bases.
    """
    bump, rebound = axle.bump_stop, axle.rebound_limit
    if bump is None or rebound is None:
        return math.nan
    travel = bump.gap / bump.motion_ratio + rebound.gap / rebound.motion_ratio
    return math.asin(min(1.0, 2.0 * travel / (bump.base + rebound.base)))


def spring_moments(model: Model, end: int = 1) -> np.ndarray:
    """Moment of springs, stops and auxiliary stiffness on an axle at each of `TWISTS`.

    Parameters
    ----------
    model : Model
        One vehicle with settled shares and without a bar on that axle.
    end : int
        0 front, 1 rear [-].

    Returns
    -------
    (T,) array
        [N·m], one for each of the T twists, the body carrying the same load at every one.
    """
    many = model.take(np.zeros(TWISTS.size, dtype=int))
    normal, level = np.full(TWISTS.size, STANDARD_GRAVITY), np.zeros(TWISTS.size)
    q = np.zeros((7, TWISTS.size))
    q[1 + end], q[3 + end] = many.lift[end], -TWISTS
    for _ in range(SETTLING_STEPS):
        balance = evaluate(many, q, normal, lateral=level)
        step = balance.residual[1 + end] / balance.travel_travel[end]
        if np.abs(step).max() < SETTLED:
            break
        q[1 + end] -= np.clip(step, -0.05, 0.05)
    return balance.suspension_moment[end]


def lift_twist(
    moments: np.ndarray, wheel_moment: float, stiffness: np.ndarray, lash_angle: np.ndarray
) -> np.ndarray:
    """Twist at which the lower wheel of the axle carries nothing.

    Parameters
    ----------
    moments : (T,) array
        From `spring_moments` [N·m].
    wheel_moment : float
        Axle load times half the track [N·m].
    stiffness, lash_angle : (N,) arrays
        Roll stiffness [N·m/rad] and dead band [rad] of the bars.

    Returns
    -------
    (N,) array
        [rad], at most the largest of `TWISTS`.
    """
    low, high = np.zeros(stiffness.size), np.full(stiffness.size, TWISTS[-1])
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        bar = stiffness * np.maximum(middle - lash_angle, 0.0)
        lifted = np.interp(middle, TWISTS, moments) + bar >= wheel_moment
        low, high = np.where(lifted, low, middle), np.where(lifted, middle, high)
    return high
