"""A damper by its lengths and how it stands: how long is it at any travel?"""

import math
from dataclasses import dataclass

from rollsim.roll_centre import READING_ERROR


@dataclass(frozen=True, slots=True)
class DamperLengths:
    """What a damper can do.

    Parameters
    ----------
    open, closed : float
        Eye to eye, pulled out and pushed in [m].
    """

    open: float
    closed: float


@dataclass(frozen=True, slots=True)
class Damper:
    """One side's damper as it stands.

    Parameters
    ----------
    lengths : DamperLengths
        Pulled out and pushed in [m].
    length : float
        Eye to eye, as weighed [m].
    mount_height : float
        Upper eye above the lower one, as weighed [m].
    base : float or None
        Between the left and the right one on a solid axle [m]; None on independent suspension.
    motion_ratio : float
        Way of the lower eye per wheel travel, up and down [-]; 1 on a solid axle.
    reading_error : float
        Half the 90 % band of each length [m].
    gap_errors : tuple of float
        The same of the gaps of bump stop and rebound limit, at the stop [m].
    ratio_error : float
        The same of the motion ratio [-].
    """

    lengths: DamperLengths
    length: float
    mount_height: float
    base: float | None = None
    motion_ratio: float = 1.0
    reading_error: float = READING_ERROR
    gap_errors: tuple[float, float] = (READING_ERROR, READING_ERROR)
    ratio_error: float = 0.0


def length_at(damper: Damper, extension: float) -> float:
    """Eye to eye at a travel.

    Parameters
    ----------
    damper : Damper
        As it stands [m].
    extension : float
        Body over axle there, from as weighed, up positive [m].

    Returns
    -------
    float
        [m].

    Notes
    -----
    √(w² + (h + r e)²), w² = length² − h²: how far the eyes stand apart in plan stays.

    Examples
    --------
    >>> damper = Damper(DamperLengths(0.56, 0.36), length=0.5, mount_height=0.4)
    >>> length_at(damper, 0.0), round(length_at(damper, 0.05), 4)
    (0.5, 0.5408)
    """
    rise = damper.mount_height + damper.motion_ratio * extension
    return math.sqrt(damper.length**2 - damper.mount_height**2 + rise**2)
