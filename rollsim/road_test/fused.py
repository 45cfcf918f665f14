"""Is a roll angle a tilt that drifts to the felt vertical, as a phone's fused angle does?"""

from dataclasses import dataclass

import numpy as np

from rollsim.road_test.signals import RATE, Signals
from rollsim.vehicle import STANDARD_GRAVITY

TIME_CONSTANTS = (1.0, 2.0, 4.0, 8.0, 15.0, 30.0, 60.0)  # s
STEEPEST = 0.35  # rad of angle per g of reading: no vehicle on four wheels leans 31 deg/g
LEAST_SHARE = 0.3  # of the felt tilt in the angle
LEAST_GAIN = 0.5  # of the unexplained variance that following the felt tilt takes away


@dataclass(frozen=True, slots=True)
class Fused:
    """How a roll angle follows the felt vertical.

    Parameters
    ----------
    share : float
        Of the felt tilt that the angle comes to in the end [-].
    time_constant : float
        With which it goes there [s]; 0 where it does so at once.
    """

    share: float
    time_constant: float


def follows_felt_vertical(signals: Signals) -> Fused | None:
    """Recognise an angle that is fused from gyro and accelerometer.

    Parameters
    ----------
    signals : Signals
        From a log with a roll angle; its roll before drift was taken off is used.

    Returns
    -------
    Fused or None
        None where the angle is one of the body, as far as this test sees.

    Notes
    -----
    A pendulum in a bend shows atan(a_body/g), 57 deg/g. A complementary filter shows
    φ + low pass of (atan(a_body/g) − φ): the angle is regressed on the reading and on low passes
    of it, and one that takes away half of what is left and comes to a third of the felt tilt is
    no body angle. This is the project's own test.
    """
    from scipy.signal import lfilter

    felt = np.arctan(signals.reading / STANDARD_GRAVITY)
    angle = signals.raw_roll
    known = ~signals.missing
    at_once = _fit(np.column_stack([np.ones_like(felt), felt]), angle, known)
    if abs(at_once[0][1]) > STEEPEST:
        return Fused(float(at_once[0][1]), 0.0)
    best = None
    for constant in TIME_CONSTANTS:
        keep = np.exp(-1.0 / (RATE * constant))
        followed = lfilter([1.0 - keep], [1.0, -keep], felt)
        columns = np.column_stack([np.ones_like(felt), felt, followed])
        beta, rest = _fit(columns, angle, known)
        if best is None or rest < best[1]:
            best = (Fused(float(beta[2]), constant), rest)
    fused, rest = best
    if fused.share > LEAST_SHARE and rest < LEAST_GAIN * at_once[1]:
        return fused
    return None


def _fit(columns: np.ndarray, values: np.ndarray, known: np.ndarray) -> tuple[np.ndarray, float]:
    """Coefficients and what is left of the variance."""
    beta = np.linalg.lstsq(columns[known], values[known], rcond=None)[0]
    return beta, float(((values - columns @ beta)[known] ** 2).mean())
