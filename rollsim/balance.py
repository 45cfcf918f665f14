"""What does a change of load transfer do to understeer: quadratic load sensitivity of the tyres."""

import numpy as np

# Cornering stiffness of one tyre, C = A F − (B / rated load) F², per degree: set by two values
# [gillespie] (ch. 6, from memory): 760 lb at 5° and 800 lb, and a mean of 680 lb at 400 and
# 1200 lb, with 800 lb taken as the rated load.
LINEAR_PER_DEGREE = 0.27
QUADRATIC_PER_DEGREE = 0.08
VALID_LOADS = (0.3, 1.5)  # of the rated load


def cornering_stiffness(load: np.ndarray, rated_load: np.ndarray | float) -> np.ndarray:
    """Cornering stiffness of one tyre.

    Parameters
    ----------
    load : array
        Vertical load [N].
    rated_load : float or array
        Rated load of the tyre [N].

    Returns
    -------
    array of the same shape
        [N/rad].

    Notes
    -----
    C = a F − b F² with a and b scaled so that C/F depends on F over rated load alone. [gillespie]

    Examples
    --------
    >>> round(float(np.radians(5.0) * cornering_stiffness(800.0, 800.0)))  # in any unit of force
    760
    """
    per_degree = load * (LINEAR_PER_DEGREE - QUADRATIC_PER_DEGREE * load / rated_load)
    return np.degrees(per_degree)


def load_transfer_understeer(wheel_loads: np.ndarray, rated_loads: np.ndarray) -> np.ndarray:
    """Understeer gradient that lateral load transfer alone makes.

    Parameters
    ----------
    wheel_loads : (2, 2, N) array
        Left, right; front, rear, at the acceleration looked at [N].
    rated_loads : (2,) array
        Of one front and one rear tyre [N].

    Returns
    -------
    (N,) array
        [rad/(m/s²)], positive towards understeer; NaN where an axle's mean wheel load is so far
        above its rated load that the tyre relation gives it no stiffness.

    Notes
    -----
    K = (W_f/C_f)(2 b ΔF_f²/C_f) − (W_r/C_r)(2 b ΔF_r²/C_r), C of both tyres at the mean load.
    Valid for load transfer only: no camber, no compliance, no aligning torque. [gillespie] See
    `beyond_tyre_relation`.
    """
    rated = rated_loads[:, None]
    weight = wheel_loads.sum(axis=0)
    transfer = 0.5 * (wheel_loads[1] - wheel_loads[0])
    axle = 2.0 * cornering_stiffness(0.5 * weight, rated)
    loss = 2.0 * np.degrees(QUADRATIC_PER_DEGREE / rated) * transfer**2
    with np.errstate(divide="ignore", invalid="ignore"):
        slip = weight / 9.80665 / axle * loss / axle
    return np.where((axle > 0.0).all(axis=0), slip[0] - slip[1], np.nan)


def beyond_tyre_relation(wheel_loads: np.ndarray, rated_loads: np.ndarray) -> np.ndarray:
    """Whether a wheel load leaves the range that the tyre relation is good for.

    Parameters
    ----------
    wheel_loads : (2, 2, N) array
        Left, right; front, rear [N].
    rated_loads : (2,) array
        Of one front and one rear tyre [N].

    Returns
    -------
    (N,) array of bool
        Outside 0.3 to 1.5 times its rated load: the change of understeer is a guess there.
    """
    relative = wheel_loads / rated_loads[:, None]
    inside = (relative >= VALID_LOADS[0]) & (relative <= VALID_LOADS[1])
    return ~inside.all(axis=(0, 1))
