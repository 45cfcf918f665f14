"""How well the tape tells how a wheel stands at another height."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from rollsim.roll_centre import READING_ERROR
from rollsim.roll_centre.tape import misread
from rollsim.wheel_travel.corner import Corner
from rollsim.wheel_travel.motion import STEP, near_angles

MOVED = ("camber", "caster", "toe")
NOTHING_READ = dict.fromkeys(MOVED, 0.0)


@dataclass(frozen=True, slots=True)
class ReadingBands:
    """Half the 90 % bands of what a height changes; NaN where it has none or does not reach.

    Parameters
    ----------
    camber, caster, toe : float
        Of a wheel [rad].
    bump_steer : float
        Of the toe-in that 10 mm of bump add, about that height [rad].
    """

    camber: float = math.nan
    caster: float = math.nan
    toe: float = math.nan
    bump_steer: float = math.nan


def reading_bands(
    corner: Corner,
    rise: float,
    error: float = READING_ERROR,
    *,
    since: Mapping[str, float] = NOTHING_READ,
) -> ReadingBands:
    """How well the changes of camber, caster and toe are known.

    Parameters
    ----------
    corner : Corner
        As measured, with the errors of its tie rod and its arms' axes [m, rad].
    rise : float
        Of the body [m].
    error : float
        Half the 90 % band of each reading of the linkage [m].
    since : mapping of str to float
        Rise from which the change of each angle counts [m].

    Returns
    -------
    ReadingBands
        [rad].

    Notes
    -----
    Each reading is put wrong to both sides, points of the linkage and the tie rod and the slope of
    each arm's axis, and half the differences add in squares. As weighed nothing has changed yet,
    whatever was misread.

    Examples
    --------
    >>> from rollsim.roll_centre import DoubleWishbone, Point
    >>> ends = [Point(*end) for end in ((0.38, 0.45), (0.66, 0.47), (0.38, 0.24), (0.66, 0.22))]
    >>> found = reading_bands(Corner(DoubleWishbone(*ends, half_track=0.78)), 0.05)
    >>> round(math.degrees(found.camber), 2), found.toe
    (0.34, nan)
    """
    try:
        here, steer = _moves(corner, rise, error)
        bands = {
            word: math.hypot(*(here[n] - _moves(corner, since[word], error)[0][n]))
            for n, word in enumerate(MOVED)
        }
    except ValueError:
        return ReadingBands()
    return ReadingBands(**bands, bump_steer=math.hypot(*steer))


def _misread(corner: Corner, error: float) -> list[tuple[Corner, Corner]]:
    """The corner with each reading too large and too small."""
    found = [
        (replace(corner, linkage=more), replace(corner, linkage=less))
        for _, more, less in misread(corner.linkage, error)
    ]
    rod = corner.tie_rod
    if rod is not None:
        for name, more, less in misread(rod, rod.reading_error):
            if name != "reading_error":
                found.append((replace(corner, tie_rod=more), replace(corner, tie_rod=less)))
    for name, off in zip(("upper_slope", "lower_slope"), corner.slope_errors, strict=True):
        slope = getattr(corner, name)
        if slope is not None:
            more, less = (replace(corner, **{name: slope + side * off}) for side in (1.0, -1.0))
            found.append((more, less))
    return found


@lru_cache(maxsize=256)
def _moves(corner: Corner, rise: float, error: float) -> tuple[np.ndarray, np.ndarray]:
    """Half of what each reading put wrong to both sides does to each angle (rows) [rad].

    And what it does to the toe-in that 10 mm of bump add. The first is the mean of both ends of
    those 10 mm: it is straight enough over them.
    """
    each = [one for both in _misread(corner, error) for one in both]
    down, up = (np.array(list(near_angles(corner, rise + step, each))).T for step in (-STEP, STEP))
    down, up = (0.5 * (angles[:, ::2] - angles[:, 1::2]) for angles in (down, up))
    moved = 0.5 * (down + up) if rise != 0.0 else np.where(np.isnan(up), math.nan, 0.0)
    return moved, down[2] - up[2]
