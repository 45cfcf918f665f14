"""A bend as a driver knows it: radius and speed instead of lateral acceleration."""

from dataclasses import dataclass

from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.units import to_unit


@dataclass(frozen=True, slots=True)
class RoadUnits:
    """What a driver reads off the road and the speedometer: names of the units of both.

    `per_metre` and `per_metre_a_second` tell how many of them make 1 m, and 1 m/s [-].
    """

    radius: str
    speed: str
    per_metre: float
    per_metre_a_second: float


def road_units(units: ReaderUnits) -> RoadUnits:
    """The road units that go with the reader's others."""
    if units == METRIC:
        return RoadUnits("m", "km/h", 1.0, 3.6)
    return RoadUnits("ft", "mph", 1.0 / 0.3048, 1.0 / 0.44704)


def lateral_acceleration(radius: float, speed: float) -> float:
    """How hard a steady bend pushes outward: v²/R [m/s²].

    From the radius of the vehicle's path [m], above 0, and the speed [m/s].

    Examples
    --------
    >>> round(lateral_acceleration(25.0, 30.0 / 3.6), 3)
    2.778
    """
    return speed**2 / radius


def percent(share: float) -> str:
    """A share [-] in whole per cent, which no line break takes apart.

    Examples
    --------
    >>> percent(0.283).replace("\u00a0", "_")
    '28_%'
    """
    return f"{100.0 * share:.0f}\u00a0%"


def push_words(lateral: float) -> str:
    """How hard a bend pushes, in words [m/s²].

    Examples
    --------
    >>> push_words(2.778).replace("\u00a0", " ")
    'pushes outward with 28 % of the weight (0.28 g)'
    """
    push = to_unit(lateral, "g")
    return f"pushes outward with {percent(push)} of the weight ({push:.2f} g)"
