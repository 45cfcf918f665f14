"""Kinds of quantity: the unit of each in JSON, the reader's, and how many decimals suit it."""

import math
from dataclasses import dataclass

from rollsim.reader_units import ReaderUnits, figure
from rollsim.units import to_unit

DIGITS = 12  # significant: 0.3 g comes out as 0.3
_IN_KEYS = {"deg/g": "deg_per_g", "N/mm": "N_per_mm", "N*m/deg": "Nm_per_deg"}


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: its unit in JSON, the name of the reader's, decimals where not usual."""

    unit: str
    of_reader: str = ""
    decimals: int | None = None

    @property
    def key(self) -> str:
        """Its unit at the end of a key of JSON."""
        return _IN_KEYS.get(self.unit, self.unit)

    def unit_for(self, units: ReaderUnits) -> str:
        """The unit that a reader has; empty for a ratio."""
        return getattr(units, self.of_reader) if self.of_reader else self.unit

    def said(self, value: float, units: ReaderUnits) -> str:
        """An SI value as a figure without its unit; a dash where there is none."""
        return figure(value, self.unit_for(units), self.decimals)

    def with_unit(self, value: float, units: ReaderUnits) -> str:
        """An SI value as a figure with its unit."""
        return f"{self.said(value, units)} {self.unit_for(units)}".rstrip()

    def number(self, value: float | None) -> float | None:
        """An SI value as JSON has it, None where there is none."""
        return number(value, self.unit)


def number(value: float | None, unit: str = "") -> float | None:
    """An SI value for JSON in a unit, None where it is not finite.

    Examples
    --------
    >>> number(0.3 * 9.80665, "g"), number(float("nan"))
    (0.3, None)
    """
    if value is None:
        return None
    converted = float(to_unit(value, unit)) if unit else float(value)
    return float(f"{converted:.{DIGITS}g}") if math.isfinite(converted) else None


LEAN_PER_G = Kind("deg/g")
ROUGH_LEAN_PER_G = Kind("deg/g", decimals=0)
LEAN = Kind("deg")
WHEEL_ANGLE = Kind("deg", decimals=1)
FINE_WHEEL_ANGLE = Kind("deg", decimals=2)
ACCELERATION = Kind("g")
FINE_ACCELERATION = Kind("g", decimals=3)
RATIO = Kind("")
FINE_RATIO = Kind("", decimals=3)
MASS = Kind("kg", "mass")
PART_MASS = Kind("kg", "mass", 1)
HEIGHT = Kind("m", "length")
LENGTH = Kind("mm", "length")
FORCE = Kind("N", "force")
RATE = Kind("N/mm", "rate")
ROLL_STIFFNESS = Kind("N*m/deg", "roll_stiffness")
MOMENT = Kind("N*m", "moment")
STRESS = Kind("MPa", "stress")
FREQUENCY = Kind("Hz")


def signed(text: str) -> str:
    """A figure with a plus before what is more; none before a zero or a dash."""
    return f"+{text}" if text[0].isdigit() and float(text) != 0.0 else text


def labelled(words: str, unit: str) -> str:
    """What a figure is, and its unit where it has one."""
    return f"{words}, {unit}" if unit else words
