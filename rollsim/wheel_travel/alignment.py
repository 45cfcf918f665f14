"""What an alignment rack read, what is wanted, and what is left to adjust."""

from dataclasses import dataclass

from rollsim.roll_centre import READING_ERROR
from rollsim.wheel_travel.corner import Corner

Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class AlignmentReading:
    """Of both wheels of an axle, left and right; None where it was not read.

    Parameters
    ----------
    camber, caster, toe : tuple of float or None
        Top out, top of the steering axis back, front in (each wheel's own) positive [rad].
    """

    camber: Pair | None = None
    caster: Pair | None = None
    toe: Pair | None = None


@dataclass(frozen=True, slots=True)
class Alignment:
    """An axle on the rack.

    Parameters
    ----------
    reading : AlignmentReading
        As weighed [rad].
    wanted_camber, wanted_caster, wanted_toe : float or None
        Of each wheel [rad]; None: as it was empty and stock.
    camber_adjustment, caster_adjustment : float or None
        What is left on the adjusters, to either side [rad]; None where not given.
    pivot_adjustment : float or None
        The same of a camber, as the way of a pivot in or out [m].
    upper_pivot : bool
        That pivot is the upper arm's, or a strut's top mount; else the lower arm's.
    corner : Corner or None
        What moves the wheel; None where no linkage is taped.
    reading_error : float
        Half the 90 % band of each reading of the linkage [m].
    after : AlignmentReading
        Once the work is done [rad].
    """

    reading: AlignmentReading
    wanted_camber: float | None = None
    wanted_caster: float | None = None
    wanted_toe: float | None = None
    camber_adjustment: float | None = None
    caster_adjustment: float | None = None
    pivot_adjustment: float | None = None
    upper_pivot: bool = False
    corner: Corner | None = None
    reading_error: float = READING_ERROR
    after: AlignmentReading = AlignmentReading()
