"""How far off may a measured roll gradient be? What scatters, and what no drive averages out."""

import math
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim.estimates import Estimate, coverage_factor
from rollsim.road_test.fitting import LeanLine, fit_line
from rollsim.road_test.signals import corrected
from rollsim.road_test.stretches import Stretches
from rollsim.vehicle import STANDARD_GRAVITY

FLOOR = 0.04  # of the gradient: no drive is known better
LEVEL_AT = 0.3 * STANDARD_GRAVITY  # where a level allowance is stated
ON_PUBLIC_BENDS, ON_A_CHECKED_PAD = math.radians(1.5), math.radians(0.3)
GYRO_SCALE = 0.02
DIVE = DIVE_HALF = math.radians(2.75)  # rad of pitch per g of braking: from none to 5.5 deg
FRICTION = FRICTION_HALF = math.radians(0.07)  # half a loop of the springs: from none to 0.14 deg
SIGMAS = 2.0  # of a tolerance, in an interval that covers 95 %
WORST_SCALE = 0.9  # a gyro that may read all but nothing: no answer
ROUGH = 0.005 * STANDARD_GRAVITY  # to which speed × yaw rate has to agree to be of use


class Part(Enum):
    """What an interval is made of; the value says it to the reader."""

    SCATTER = "scatter between the bends"
    SCALE = "scale of the gyro"
    DIVE = "dive where the speed changes in a bend, with no pitch gyro"
    FRICTION = "friction, where the speed changes in a bend or from bend to bend"
    LEVEL = "bank that differs from bend to bend"
    FLOOR = "the least that is claimed for any drive"


class Sensor(Enum):
    """Where the sensor sat: the two lean by different angles where the frame twists."""

    CAB = "cab"
    TRAY = "tray"


@dataclass(frozen=True, slots=True)
class Stated:
    """What is known of a drive beside its log.

    Parameters
    ----------
    level : float
        How far bends of different places may bank at 0.3 g [rad]; in proportion elsewhere.
    gyro_scale : float
        Tolerance of the gyros' scale, one standard deviation [-].
    one_place : bool
        All bends are one bend or circle, whatever their radii.
    angle_by : str
        What unit made a roll angle; empty where nobody says.
    sensor : Sensor
        Whose lean was measured.
    """

    level: float = ON_PUBLIC_BENDS
    gyro_scale: float = GYRO_SCALE
    one_place: bool = False
    angle_by: str = ""
    sensor: Sensor = Sensor.CAB


def measured_line(
    found: Stretches, place: np.ndarray | None, stated: Stated
) -> tuple[LeanLine, dict[Part, float], Stretches]:
    """The line through the stretches, with an interval that holds what it has to.

    Parameters
    ----------
    found : Stretches
        Steady stretches.
    place : (n,) array of int or None
        Place of each; None: the bends are of different places, and none tells its bank.
    stated : Stated
        What is known beside the log.

    Returns
    -------
    LeanLine, dict and Stretches
        Half of what each part adds to the interval [rad/(m/s²)]; and the stretches as the line has
        them: corrected, and as if the bends of all places had the mean bank.

    Raises
    ------
    ValueError
        If the stretches do not fix the line.

    Notes
    -----
    A lean that is read ε too large makes G = φ/(a_body − gφ) too large by (1 + gG) ε, so the true
    one may be greater by u/(1 − u), u = 2 (1 + gG) times the gyros' tolerance. Student's t goes
    with the scatter alone, which the log tells; each part stands for 95 % of its own, and
    independent ones add as the root of their squares [gum]. Dive is
    taken as 2.75 ± 2.75 deg/g, half a loop of friction as 0.07 ± 0.07 deg (common practice, no
    source): friction holds the body back, or up where the bend was sharper before, and on the
    straights to the side of the last bend. What it does to all bends of a place alike is no part of
    the slope.
    """
    first = slope_within(found.lateral, found.roll - DIVE * found.missed, place)
    missed = within(found.missed, place, found.lateral)
    rubbed, most = (
        within(_rubbed(found, max(first, 0.0), half), place, found.lateral)
        for half in (FRICTION, FRICTION + FRICTION_HALF)
    )
    roll = found.roll - DIVE * missed - rubbed
    lateral, shared = steadied(corrected(found.reading, roll), found.turning)
    line = fit_line(lateral, roll, found.bend, place=place, shared=shared)
    grown = 1.0 + STANDARD_GRAVITY * line.gradient.value
    parts = {Part.SCATTER: line.gradient.interval[1] - line.gradient.value}
    scale = min(SIGMAS * stated.gyro_scale * grown, WORST_SCALE)
    parts[Part.SCALE] = abs(line.gradient.value) * scale / (1.0 - scale)
    parts[Part.DIVE] = DIVE_HALF * abs(slope_within(lateral, missed, place)) * grown
    friction = (slope_within(lateral, one - rubbed, place) for one in (0.0 * rubbed, most))
    parts[Part.FRICTION] = max(abs(one) for one in friction) * grown
    half = math.hypot(*parts.values())
    if place is None:
        bank = stated.level / LEVEL_AT  # by which the lean that is sought is greater, too
        parts[Part.LEVEL] = bank * grown / (1.0 - STANDARD_GRAVITY * bank)
        half += parts[Part.LEVEL]
    least = FLOOR * abs(line.gradient.value)
    if half < least:
        parts[Part.FLOOR], half = least, least
    freedom = line.gradient.degrees_of_freedom
    gradient = Estimate(line.gradient.value, half / coverage_factor(freedom), freedom)
    level = line.offset + np.sign(lateral) * line.friction.value
    shown = replace(found, lateral=lateral, roll=level + gradient.value * lateral + line.residuals)
    return replace(line, gradient=gradient), parts, shown


def steadied(lateral: np.ndarray, turning: np.ndarray | None) -> tuple[np.ndarray, float]:
    """Lateral acceleration by both of its readings, where both are logged.

    Parameters
    ----------
    lateral : (n,) array
        By the accelerometer [m/s²].
    turning : (n,) array or None
        By speed times yaw rate [m/s²]; None where not recorded.

    Returns
    -------
    (n,) array and float
        Their mean, and what of an error of the lean is in it [m/s², -].

    Notes
    -----
    In a steady bend both read the same thing, the one with the vibration of the floor in it, the
    other with a scale that nobody knows: so it takes the scale of the first, and the mean of two
    independent readings scatters less. Where they differ by more than 0.005 g the speed is too
    rough, and the accelerometer stands alone.
    """
    if turning is None or not np.isfinite(turning).all() or not (turning @ turning) > 0.0:
        return lateral, 1.0
    other = turning * float(lateral @ turning) / float(turning @ turning)
    if math.sqrt(np.mean((other - lateral) ** 2)) > ROUGH:
        return lateral, 1.0
    return 0.5 * (lateral + other), 0.5


def _rubbed(found: Stretches, gradient: float, half: float) -> np.ndarray:
    """What friction does to the roll of each stretch [rad], by half its loop [rad]."""
    freed = np.minimum(2.0 * half, gradient * found.over)
    return np.sign(found.lateral) * (freed - half) + half * found.held


def slope_within(x: np.ndarray, y: np.ndarray, place: np.ndarray | None) -> float:
    """Slope of y over x with an intercept for each place, or for each direction.

    Parameters
    ----------
    x, y : (n,) array
        [any units]; x has the sign of the direction.
    place : (n,) array of int or None
        Place of each.

    Returns
    -------
    float
        [units of y over those of x]; NaN where x does not vary.
    """
    x, y = within(x, place, x), within(y, place, x)
    spread = float(x @ x)
    return float(x @ y) / spread if spread > 0.0 else math.nan


def within(values: np.ndarray, place: np.ndarray | None, lateral: np.ndarray) -> np.ndarray:
    """Values less their mean over each place.

    Parameters
    ----------
    values : (n,) array
        [any unit].
    place : (n,) array of int or None
        Place of each; None: left and right are two.
    lateral : (n,) array
        Of which only the sign is used [m/s²].

    Returns
    -------
    (n,) array
        [that unit].
    """
    if place is None:
        place = (lateral < 0.0).astype(int)
    return values - (np.bincount(place, values) / np.maximum(np.bincount(place), 1))[place]
