"""SI to the units of the reader: which unit, and how many decimals?"""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from rollsim.units import converted, to_unit

NO_FIGURE = "–"
ROUNDING = 1e-6  # of the last decimal: a figure that is whole but for this stays
_DECIMALS = {
    "kg": 0,
    "lb": 0,
    "mm": 0,
    "m": 3,
    "in": 2,
    "N": 0,
    "lbf": 0,
    "N/mm": 1,
    "N/m": 0,
    "lbf/in": 0,
    "N·m": 0,
    "lbf·in": 0,
    "N·m/deg": 0,
    "lbf·in/deg": 0,
    "N·m/rad": 0,
    "lbf·in/rad": 0,
    "MPa": 0,
    "ksi": 1,
    "deg": 2,
    "rad": 4,
    "deg/g": 2,
    "g": 2,
}


class UnitSystem(Enum):
    """What the tables are printed in."""

    METRIC = "metric"
    IMPERIAL = "imperial"


@dataclass(frozen=True, slots=True)
class ReaderUnits:
    """The unit in which a reader wants each kind of quantity, as `rollsim.units` spells it."""

    mass: str
    length: str
    force: str
    rate: str
    roll_stiffness: str
    stress: str

    @property
    def moment(self) -> str:
        """Of a roll stiffness times an angle."""
        return self.roll_stiffness.removesuffix("/deg")


READER_UNITS = {
    UnitSystem.METRIC: ReaderUnits("kg", "mm", "N", "N/mm", "N·m/deg", "MPa"),
    UnitSystem.IMPERIAL: ReaderUnits("lb", "in", "lbf", "lbf/in", "lbf·in/deg", "ksi"),
}
METRIC = READER_UNITS[UnitSystem.METRIC]
COARSE = {"kg": 5, "lb": 10}
"""To how much a mass is told that rests on values nobody measured."""
_KINDS = {  # a unit that texts are written in: the field of `ReaderUnits` that stands for it
    **{"mm": "length", "kg": "mass", "N": "force", "N/mm": "rate", "kN/mm": "rate"},
    **{"N*m/deg": "roll_stiffness", "N·m/deg": "roll_stiffness", "MPa": "stress", "GPa": "stress"},
    "N·m": "moment",
}
_SIZE = r"(?<![\w.])(?<!\d-)\d+(?:\.\d+)?"
_AS_TYPED = rf'"[^"]*"|{_SIZE} mm x {_SIZE} mm'  # in quotation marks, or a tube by its name
_UNITS = "|".join(map(re.escape, sorted(_KINDS, key=len)[::-1]))
_IN_TEXT = re.compile(
    rf"{_AS_TYPED}|({_SIZE})( to {_SIZE})? ({_UNITS})"
    r"(?![\w/*^·]| (?:solid|x \d))"
)
_LEAST_DIGITS = 2


def decimals_of(unit: str) -> int:
    """How many decimals suit a unit, or a ratio, whose unit is empty.

    Examples
    --------
    >>> decimals_of("mm"), decimals_of("in"), decimals_of("")
    (0, 2, 2)
    """
    return _DECIMALS.get(unit, 2)


def figure(value: float, unit: str, decimals: int | None = None) -> str:
    """Write an SI value as a figure without its unit; a dash where it is NaN or infinite.

    `unit` is empty for a ratio; without `decimals` there are as many as suit the unit.

    Examples
    --------
    >>> figure(0.785, "in"), figure(0.785, "mm"), figure(float("nan"), "g")
    ('30.91', '785', '–')
    """
    if not math.isfinite(value):
        return NO_FIGURE
    converted = to_unit(value, unit) if unit else value
    return plain(converted, decimals_of(unit) if decimals is None else decimals)


def with_unit(value: float, unit: str, decimals: int | None = None) -> str:
    """An SI value as a figure with its unit, as `figure` writes it.

    Examples
    --------
    >>> with_unit(0.785, "mm")
    '785 mm'
    """
    return f"{figure(value, unit, decimals)} {unit}"


def rounded(value: float, unit: str, decimals: int | None = None, *, up: bool) -> str:
    """An SI value with its unit, never rounded past it: a most down, a least up.

    Examples
    --------
    >>> rounded(96.7, "kg", up=False), rounded(96.2, "kg", up=True)
    ('96 kg', '97 kg')
    """
    decimals = decimals_of(unit) if decimals is None else decimals
    scaled = to_unit(value, unit) * 10.0**decimals
    whole = math.ceil(scaled - ROUNDING) if up else math.floor(scaled + ROUNDING)
    return f"{plain(whole / 10.0**decimals, decimals)} {unit}"


def coarse(mass: float, unit: str, *, up: bool) -> str:
    """A mass [kg] worked out from values nobody measured: to 5 kg or 10 lb, never past it.

    Less than that much stays as it is.

    Examples
    --------
    >>> coarse(88.6, "kg", up=False), coarse(88.6, "kg", up=True), coarse(4.2, "kg", up=False)
    ('85 kg', '90 kg', '4 kg')
    """
    step = COARSE[unit]
    number = to_unit(mass, unit)
    if number < step:
        return rounded(mass, unit, up=up)
    whole = math.ceil(number / step - ROUNDING) if up else math.floor(number / step + ROUNDING)
    return f"{whole * step} {unit}"


def plain(value: float, decimals: int) -> str:
    """Write a number, in whatever unit it is, with no minus before a zero.

    Examples
    --------
    >>> plain(-0.001, 2)
    '0.00'
    """
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def own_unit(unit: str, units: ReaderUnits) -> str:
    """The reader's unit for a metric one; any other stays.

    Examples
    --------
    >>> own_unit("kN/mm", READER_UNITS[UnitSystem.IMPERIAL]), own_unit("deg", METRIC)
    ('lbf/in', 'deg')
    """
    return unit if units == METRIC or unit not in _KINDS else getattr(units, _KINDS[unit])


def in_units(text: str, units: ReaderUnits) -> str:
    """A text with metric figures, each in the reader's unit, with as many digits as it had.

    What stands in quotation marks was typed, and a section is bought by its name: both stay.

    Examples
    --------
    >>> imperial = READER_UNITS[UnitSystem.IMPERIAL]
    >>> in_units('found "16 m" (read as 16000 mm); allowed 1000 mm to 2500 mm', imperial)
    'found "16 m" (read as 629.92 in); allowed 39.37 in to 98.43 in'
    >>> in_units("25 mm solid, paint adds 0.2 to 0.3 mm", imperial)
    '25 mm solid, paint adds 0.0079 to 0.012 in'
    >>> in_units("27 mm x 4 mm bar with 340 mm arms; tubes 20-36 mm", imperial)
    '27 mm x 4 mm bar with 13.4 in arms; tubes 20-36 mm'
    >>> in_units("twisted with 1397 N·m by the front scales", imperial)
    'twisted with 12364 lbf·in by the front scales'
    """

    def said(number: str, unit: str) -> str:
        value = converted(float(number), unit, own_unit(unit, units))
        digits = max(len(number.replace(".", "").lstrip("0")), _LEAST_DIGITS)
        before = math.floor(math.log10(value)) + 1 if value > 0.0 else digits
        words = f"{value:.{max(digits - before, 0)}f}"
        return words.rstrip("0").rstrip(".") if "." in words else words

    def written(found: re.Match) -> str:
        first, second, unit = found.groups()
        if unit is None:
            return found[0]
        further = f" to {said(second[4:], unit)}" if second else ""
        return f"{said(first, unit)}{further} {own_unit(unit, units)}"

    return text if units == METRIC else _IN_TEXT.sub(written, text)


def said_in(units: ReaderUnits) -> tuple[Callable[[float], str], Callable[[float], str]]:
    """How to write a mass [kg] and a length [m] with the reader's unit.

    Examples
    --------
    >>> mass, length = said_in(METRIC)
    >>> mass(4.1), length(0.0274)
    ('4.1 kg', '27 mm')
    """
    heavy = 0 if units.mass != "kg" else 1

    def mass(value: float) -> str:
        return f"{figure(value, units.mass, heavy)} {units.mass}"

    def length(value: float) -> str:
        places = None if units.length == "mm" else 2
        return f"{figure(value, units.length, places)} {units.length}"

    return mass, length
