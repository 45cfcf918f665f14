"""What a road test gives: a line with its interval, or why there is none."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from rollsim.road_test.fitting import LeanLine
from rollsim.road_test.interval import Part
from rollsim.road_test.stretches import Stretches
from rollsim.vehicle import STANDARD_GRAVITY

DEGREES_PER_G = STANDARD_GRAVITY * 180.0 / math.pi


@dataclass(frozen=True, slots=True, eq=False)
class RoadTest:
    """What a log says of a vehicle.

    Parameters
    ----------
    line : LeanLine or None
        The fit; None where refused.
    stretches : Stretches or None
        That it stands on; None where there are none.
    refused : str or None
        Why there is no figure.
    bends : tuple of int
        Steady bends to the left and to the right [-].
    seconds : tuple of float
        Steady seconds to the left and to the right [s].
    range : tuple of float
        Least and greatest lateral acceleration of the stretches, either way [m/s²].
    bent : float
        Change of lean within the range by which it bends away from the line [rad].
    bends_surely : bool
        That is beyond its 95 % interval.
    signs_agree : bool
        The body leans out of the bends, so that the lateral acceleration can be believed.
    places : int
        Bends that were driven at several speeds, or all of them where none was [-].
    same_place : bool
        The figure is the slope within places; else it is from bend to bend.
    parts : dict of Part to float
        Half of what each adds to the interval [rad/(m/s²)].
    wide : str
        Why the interval is wider than one that puts anything right, and what narrows it; empty
        where it is not.
    notes : tuple of str
        What a reader should know.
    """

    line: LeanLine | None
    stretches: Stretches | None
    refused: str | None
    bends: tuple[int, int] = (0, 0)
    seconds: tuple[float, float] = (0.0, 0.0)
    range: tuple[float, float] = (math.nan, math.nan)
    bent: float = math.nan
    bends_surely: bool = False
    signs_agree: bool = False
    places: int = 0
    same_place: bool = False
    parts: Mapping[Part, float] = field(default_factory=dict)
    wide: str = ""
    notes: tuple[str, ...] = ()

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval of the gradient [rad/(m/s²)]; nothing leans into the bend."""
        low, high = self.line.gradient.interval
        return max(low, 0.0), high
