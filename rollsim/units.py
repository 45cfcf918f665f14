"""Text with a unit and a tolerance to SI, and SI to the unit that a reader wants.

A quantity is written as text: a number, a unit and, where known, a tolerance: "1130 kg ± 10 kg".
Only the unit text reaches the unit library, and only after it has passed a strict pattern.
"""

import math
import re
from dataclasses import dataclass
from enum import Enum
from functools import cache, lru_cache

import pint

LONGEST_TEXT = 120
LONGEST_UNIT = 30
TOLERANCE_SIGN = re.compile(r"±|\+/?-")

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_GAPS = " \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}\N{THIN SPACE}"
_IN_THOUSANDS = re.compile(rf"(?<![0-9.,])[0-9]{{1,3}}(?:[{_GAPS}][0-9]{{3}})+(?![0-9])")
_FACTOR = r"[A-Za-z]+(?:\*\*[234])?"
_PRODUCT = rf"{_FACTOR}(?:[*/]{_FACTOR})*"
# No exponent can follow an exponent: a tower of powers never reaches the unit library.
_UNIT = re.compile(rf"(?:{_FACTOR}|\({_PRODUCT}\))(?:[*/](?:{_FACTOR}|\({_PRODUCT}\)))*")

_DEFINITIONS = (
    "metre = [length] = m",
    "kilogram = [mass] = kg",
    "second = [time] = s",
    "hertz = 1 / second = Hz",
    "radian = [angle] = rad",
    f"degree = {math.pi / 180!r} * radian = deg",
    "litre = 0.001 * metre ** 3 = l",
    "millimetre = 0.001 * metre = mm",
    "centimetre = 0.01 * metre = cm",
    "inch = 0.0254 * metre = in",
    "foot = 0.3048 * metre = ft",
    "pound = 0.45359237 * kilogram = lb",
    "standard_gravity = 9.80665 * metre / second ** 2 = g",
    "newton = kilogram * metre / second ** 2 = N",
    "kilonewton = 1000 * newton = kN",
    "pound_force = pound * standard_gravity = lbf",
    "kilogram_force = kilogram * standard_gravity = kgf",
    "newton_metre = newton * metre = Nm",
    "pascal = newton / metre ** 2 = Pa",
    "megapascal = 1e6 * pascal = MPa",
    "gigapascal = 1e9 * pascal = GPa",
    "pound_per_square_inch = pound_force / inch ** 2 = psi",
    "kilopound_per_square_inch = 1000 * pound_per_square_inch = ksi",
)
UNITS = tuple(definition.rsplit("= ", 1)[1] for definition in _DEFINITIONS)
ALSO_READ_AS = {
    "lbs": "lb",
    "pound": "lb",
    "pounds": "lb",
    "inch": "in",
    "inches": "in",
    "foot": "ft",
    "feet": "ft",
    "degree": "deg",
    "degrees": "deg",
    "L": "l",
    "litre": "l",
    "litres": "l",
}
"""Plain spellings that cannot be mistaken, and the unit that each stands for."""


class Dimension(Enum):
    """What a quantity measures; the value is its name in messages."""

    LENGTH = "length"
    MASS = "mass"
    ANGLE = "angle"
    RATE = "spring rate"
    ROLL_STIFFNESS = "roll stiffness"
    ROLL_GRADIENT = "roll gradient"
    ACCELERATION = "acceleration"
    FORCE = "force"
    STRESS = "stress"
    DENSITY = "density"
    VOLUME = "volume"
    FREQUENCY = "frequency"
    RATIO = "ratio"


_SI = {
    Dimension.LENGTH: "m",
    Dimension.MASS: "kg",
    Dimension.ANGLE: "rad",
    Dimension.RATE: "N/m",
    Dimension.ROLL_STIFFNESS: "N*m/rad",
    Dimension.ROLL_GRADIENT: "rad/(m/s**2)",
    Dimension.ACCELERATION: "m/s**2",
    Dimension.FORCE: "N",
    Dimension.STRESS: "Pa",
    Dimension.DENSITY: "kg/m**3",
    Dimension.VOLUME: "m**3",
    Dimension.FREQUENCY: "Hz",
}
_EXAMPLES = {
    Dimension.LENGTH: '"1550 mm" or "61 in"',
    Dimension.MASS: '"85 kg" or "190 lb"',
    Dimension.ANGLE: '"12 deg"',
    Dimension.RATE: '"36 N/mm" or "205 lbf/in"',
    Dimension.ROLL_STIFFNESS: '"420 N*m/deg" or "3700 lbf*in/deg"',
    Dimension.ROLL_GRADIENT: '"5.2 deg/g"',
    Dimension.ACCELERATION: '"0.4 g" or "3.9 m/s^2"',
    Dimension.FORCE: '"4000 N", "900 lbf" or "410 kg"',
    Dimension.STRESS: '"800 MPa" or "116 ksi"',
    Dimension.DENSITY: '"7850 kg/m^3"',
    Dimension.VOLUME: '"80 l"',
    Dimension.FREQUENCY: '"1.2 Hz"',
    Dimension.RATIO: '0.62 or "0.62 ± 0.05"',
}
_POUND_IS_FORCE = frozenset(
    {Dimension.RATE, Dimension.ROLL_STIFFNESS, Dimension.FORCE, Dimension.STRESS}
)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value and its tolerance (half the band), both in SI.

    Parameters
    ----------
    value : float
        [SI unit of its dimension].
    tolerance : float
        Half the width of its band, same unit; 0 where none was given.
    """

    value: float
    tolerance: float = 0.0


@dataclass(frozen=True, slots=True)
class _Asked:
    """A text, what it has to measure and what to write instead: all that an error tells."""

    text: str
    dimension: Dimension
    example: str

    def refused(self, trouble: str, advice: str | None = None) -> ValueError:
        """Make the error; with `advice` of None it ends without an example."""
        end = "" if advice is None else f"; {advice} like {self.example}"
        return ValueError(f"found {shown(self.text)}{trouble}{end}")


def parse(text: str, dimension: Dimension, example: str = "") -> Quantity:
    """Read a quantity from text.

    Parameters
    ----------
    text : str
        Number, unit and, if wanted, "± number unit" or "± number %" ("+/-" or "+-" do as well).
    dimension : Dimension
        What it has to measure.
    example : str
        What an error tells to write, in quotation marks; empty: usual units of the dimension.

    Returns
    -------
    Quantity
        Value and tolerance in SI.

    Raises
    ------
    ValueError
        If the text is no such quantity; the sentence says what came and what to write.

    Notes
    -----
    The number is read by `float` alone: decimal point, no comma, fraction or arithmetic; a space
    may part thousands. In
    accelerations and roll gradients g means 9.80665 m/s²; there is no gram. In rates, moments,
    forces and stresses lb means pound-force, and a force may be given as the mass that weighs it
    ("410 kg").

    Examples
    --------
    >>> parse("1130 kg ± 10 kg", Dimension.MASS)
    Quantity(value=1130.0, tolerance=10.0)
    >>> parse("685 lb/in ± 5 %", Dimension.RATE)
    Quantity(value=119961.88214383631, tolerance=5998.094107191816)
    >>> parse("2 050 kg", Dimension.MASS).value
    2050.0
    """
    asked = _Asked(text, dimension, example or _EXAMPLES[dimension])
    if not isinstance(text, str):
        raise asked.refused("", "write it as text with its unit,")
    if not text.strip():
        raise ValueError(f"found an empty text; write a number and its unit, like {asked.example}")
    if len(text) > LONGEST_TEXT:
        raise asked.refused(f", {len(text)} characters long", "write a number and its unit,")
    main, *rest = TOLERANCE_SIGN.split(without_gaps(text).replace("\N{MINUS SIGN}", "-"))
    if len(rest) > 1:
        raise asked.refused(", with more than one tolerance; keep one")
    value = _amount(main, asked)
    tolerance = _tolerance(rest[0], value, asked) if rest else 0.0
    if not (math.isfinite(value) and math.isfinite(tolerance)):
        raise asked.refused(", which is too large to compute with; check it")
    return Quantity(value, tolerance)


def without_gaps(text: str) -> str:
    """Take the spaces out that part thousands.

    Parameters
    ----------
    text : str
        As somebody wrote it.

    Returns
    -------
    str
        The same, each number in one piece.

    Examples
    --------
    >>> without_gaps("2 050 kg ± 10 kg"), without_gaps("1 12 kg")
    ('2050 kg ± 10 kg', '1 12 kg')
    """
    return _IN_THOUSANDS.sub(lambda found: re.sub(rf"[{_GAPS}]", "", found[0]), text)


def to_unit(value: float, unit: str) -> float:
    """Convert an SI value for output.

    Parameters
    ----------
    value : float
        In SI.
    unit : str
        The unit wanted, such as "lbf/in", "deg/g" or "in".

    Returns
    -------
    float
        The value in that unit [unit].

    Raises
    ------
    ValueError
        If the unit is not one of `UNITS` or a product of them.

    Examples
    --------
    >>> round(to_unit(0.0254, "in"), 12)
    1.0
    >>> round(to_unit(119961.882, "lbf/in"), 3)
    685.0
    """
    return value / _factor(_tidy(unit))[0]


def converted(value: float, unit: str, wanted: str) -> float:
    """Convert a number from one unit to another of the same kind.

    Parameters
    ----------
    value : float
        In `unit`.
    unit, wanted : str
        Units, such as "in" and "mm"; where both are the same, or empty, the value stays.

    Returns
    -------
    float
        The value in the unit wanted [unit].

    Raises
    ------
    ValueError
        If one of them is not known, or they do not measure the same.

    Examples
    --------
    >>> round(converted(5.5, "in", "mm"), 9)
    139.7
    >>> converted(5.0, "%", "%")
    5.0
    """
    if unit == wanted:
        return value
    (factor, kind), (other, wanted_kind) = (_factor(_tidy(one)) for one in (unit, wanted))
    if kind != wanted_kind:
        raise ValueError(f"{shown(unit)} and {shown(wanted)} do not measure the same")
    return value * factor / other


def from_unit(value: float, unit: str, dimension: Dimension) -> float:
    """Convert a number in a known unit to SI.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : str
        Its unit; empty for a ratio.
    dimension : Dimension
        What it measures, which decides what "lb" and "kg" mean.

    Returns
    -------
    float
        The value in SI [SI unit of the dimension].

    Raises
    ------
    ValueError
        If the unit does not measure that.

    Examples
    --------
    >>> from_unit(1550.0, "mm", Dimension.LENGTH)
    1.55
    """
    asked = _Asked(f"{value:g} {unit}".strip(), dimension, _EXAMPLES[dimension])
    return _scaled(value, _checked_factor(unit, asked))


def shown(found: object) -> str:
    """Show what was found in one short line, text in quotation marks.

    Parameters
    ----------
    found : object
        Whatever came from the file.

    Returns
    -------
    str
        At most about 60 characters, without line breaks or control characters.

    Examples
    --------
    >>> shown("25,4 mm")
    '"25,4 mm"'
    >>> shown(12.5)
    'the number 12.5'
    """
    if isinstance(found, bool):
        return f"the word {str(found).lower()}"
    if isinstance(found, int | float):
        digits = f"{found:g}" if isinstance(found, float) else _short(found)
        return f"the number {digits}"
    if isinstance(found, dict):
        return "a table"
    if isinstance(found, list | tuple):
        return f"a list of {len(found)}"
    text = found if isinstance(found, str) else str(found)
    clean = "".join(c if c.isprintable() else repr(c)[1:-1] for c in text[:60])
    return f'"{clean}…"' if len(text) > 60 else f'"{clean}"'


def _short(number: int) -> str:
    """Digits of an integer that may be too long to print."""
    return str(number) if abs(number) < 10**12 else "with more than twelve digits"


def _amount(part: str, asked: _Asked) -> float:
    """Value in SI of one "number unit"."""
    number, unit = _split(part, asked)
    return _scaled(number, _checked_factor(unit, asked))


def _tolerance(part: str, value: float, asked: _Asked) -> float:
    """Tolerance in SI; a percentage is one of the value."""
    number, unit = _split(part, asked)
    if number < 0.0:
        raise asked.refused(", with a negative tolerance; leave out its sign")
    if unit == "%":
        return number / 100.0 * abs(value)
    if not unit and asked.dimension is not Dimension.RATIO:
        raise asked.refused(", with a tolerance without a unit", "give it a unit or %,")
    return _scaled(number, _checked_factor(unit, asked))


def _scaled(number: float, factor: float) -> float:
    """Product; small factors divide, since 700 × 0.001 is not the double nearest to 0.7."""
    inverse = round(1.0 / factor) if factor < 1.0 else 1
    return number / inverse if inverse > 1 and 1.0 / inverse == factor else number * factor


def _split(part: str, asked: _Asked) -> tuple[float, str]:
    """Number and unit text."""
    part = part.strip()
    match = _NUMBER.match(part)
    if match is None:
        raise asked.refused(", where no number stands", "write a number and its unit,")
    unit = part[match.end() :].strip()
    if unit[:1] == ",":
        raise asked.refused(", with a comma", "write the number with a decimal point,")
    if re.match(r"(?:-?\s*[0-9]+\s*)?/\s*[0-9]", unit):
        raise asked.refused(", with a fraction", "write the number as a decimal,")
    if unit[:1] in tuple("*/^+-_0123456789.") and unit:
        raise asked.refused(
            ", which is not one plain number and a unit", "nothing is calculated here: write it"
        )
    return float(match.group()), unit


def _checked_factor(unit: str, asked: _Asked) -> float:
    """SI value of one `unit`, which must measure what was asked for."""
    dimension = asked.dimension
    if dimension is Dimension.RATIO:
        if unit:
            raise asked.refused("", "a ratio has no unit: write")
        return 1.0
    if not unit:
        raise asked.refused(", without a unit", "write it")
    tidy = _tidy(unit)
    if dimension is Dimension.FORCE and tidy == "kg":
        tidy = "kgf"
    if dimension in _POUND_IS_FORCE:
        tidy = re.sub(r"\blb\b", "lbf", tidy)
    try:
        factor, dimensionality = _factor(tidy)
    except ValueError as error:
        raise asked.refused(f"; {error}", "write it") from None
    if dimensionality != _factor(_SI[dimension])[1]:
        gram = " (g is the acceleration here, not a gram)" if tidy == "g" else ""
        raise asked.refused(f", whose unit is not one of {dimension.value}{gram}", "write it")
    return factor


@lru_cache(maxsize=512)
def _tidy(unit: str) -> str:
    """Unit text in the one spelling that the pattern and the unit library take."""
    if len(unit) > LONGEST_UNIT:
        return "?"
    unit = unit.strip().replace("°", "deg").replace("²", "^2").replace("³", "^3")
    unit = re.sub(r"\s*[·⋅×]\s*", "*", unit).replace("**", "^").replace("^", "**")
    unit = re.sub(r"\s*(\*\*|[*/()])\s*", r"\1", unit)
    unit = re.sub(r"(?<=[A-Za-z])\s*[- ]\s*(?=[A-Za-z])", "*", unit)
    return re.sub("[A-Za-z]+", lambda name: ALSO_READ_AS.get(name[0], name[0]), unit)


@lru_cache(maxsize=512)
def _factor(tidy: str) -> tuple[float, object]:
    """SI value and dimensionality of one tidy unit."""
    if not _UNIT.fullmatch(tidy):
        raise ValueError("its unit cannot be read")
    for name in re.findall(r"[A-Za-z]+", tidy):
        if name not in UNITS:
            raise ValueError(f"unknown unit {shown(name)} (known: {', '.join(UNITS)})")
    registry = _registry()
    quantity = registry.Quantity(1.0, registry.parse_units(tidy))
    return float(quantity.to_root_units().magnitude), quantity.dimensionality


@cache
def _registry() -> pint.UnitRegistry:
    """Our own short list of units; the library's full one takes a quarter of a second."""
    registry = pint.UnitRegistry(None, cache_folder=None)
    for definition in _DEFINITIONS:
        registry.define(definition)
    return registry
