"""A bend as a driver knows it: radius and speed instead of lateral acceleration."""

from dataclasses import dataclass

from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.units import to_unit

PER_SI = {"m": 1.0, "km/h": 3.6, "ft": 1.0 / 0.3048, "mph": 1.0 / 0.44704}
"""How many of each make 1 m, or 1 m/s."""


@dataclass(frozen=True, slots=True)
class Road:
    """What a driver reads off the road and the speedometer: radius and speed, or their units."""

    radius: str
    speed: str


def road_units(units: ReaderUnits) -> Road:
    """The road units that go with the reader's others."""
    return Road("m", "km/h") if units == METRIC else Road("ft", "mph")


def road_words(radius: float, speed: float, units: Road) -> Road:
    """Radius [m] and speed [m/s] of a bend with their units, a decimal where there is one.

    Examples
    --------
    >>> road_words(25.0, 35.0 / 3.6, road_units(METRIC))
    Road(radius='25 m', speed='35 km/h')
    """
    return Road(
        *(
            f"{value * PER_SI[unit]:.1f}".removesuffix(".0") + f" {unit}"
            for value, unit in ((radius, units.radius), (speed, units.speed))
        )
    )


def bend_words(road: Road) -> str:
    """A bend in words, from its radius and speed in words."""
    return f"a steady bend of {road.radius} radius at {road.speed}"


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
