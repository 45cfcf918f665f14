"""One corner of an independent axle as the tape has it, and what can be set on it."""

from dataclasses import dataclass

from rollsim.roll_centre import READING_ERROR, DoubleWishbone, Point, Strut


@dataclass(frozen=True, slots=True)
class TieRod:
    """The rod that steers the wheel, or holds its toe.

    Parameters
    ----------
    inner, outer : Point
        Middles of its joints on the body and on the knuckle, seen from behind [m].
    inner_ahead, outer_ahead : float
        How far each is ahead of the lower ball joint, behind it negative [m].
    reading_error : float
        Half the 90 % band of each of these [m].
    """

    inner: Point
    outer: Point
    inner_ahead: float
    outer_ahead: float
    reading_error: float = READING_ERROR


@dataclass(frozen=True, slots=True)
class Corner:
    """A linkage with what else tells how its wheel moves.

    Parameters
    ----------
    linkage : DoubleWishbone or Strut
        Its points seen from behind [m].
    caster : float
        As it stands, top of the steering axis back positive [rad].
    upper_slope, lower_slope : float or None
        Rise toward the front of the axis that each arm swings about [rad]; None: not measured. A
        strut has no upper one.
    tie_rod : TieRod or None
        None where it was not measured: the wheel is then kept straight.
    slope_errors : tuple of float
        Half the 90 % bands of both slopes, upper and lower [rad].
    """

    linkage: DoubleWishbone | Strut
    caster: float = 0.0
    upper_slope: float | None = None
    lower_slope: float | None = None
    tie_rod: TieRod | None = None
    slope_errors: tuple[float, float] = (0.0, 0.0)

    @property
    def has_side_view(self) -> bool:
        """Whether enough is measured for the caster to be moved."""
        upper = isinstance(self.linkage, Strut) or self.upper_slope is not None
        return upper and self.lower_slope is not None


@dataclass(frozen=True, slots=True)
class Setting:
    """What is set otherwise than as measured.

    Parameters
    ----------
    upper_arm, lower_arm : float
        Longer by so much, at the ball joint; a strut has no upper arm [m].
    upper_pivot, lower_pivot : float
        Further out by so much; on a strut the upper one is its top mount [m].
    """

    upper_arm: float = 0.0
    lower_arm: float = 0.0
    upper_pivot: float = 0.0
    lower_pivot: float = 0.0


AS_BUILT = Setting()
