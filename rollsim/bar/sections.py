"""Sections from the words of the trade: one section, or a built-in list of supplied sizes."""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from rollsim.bar.steel import Form, Section, Steel, Stock
from rollsim.units import TOLERANCE_SIGN, Dimension, Quantity, parse

_UNITS = {"mm": 1e-3, "in": 0.0254}
_SECTION = re.compile(r"(\S+)\s*(mm|in)\s+solid|(\S+)\s*(mm|in)\s*[x×]\s*(\S+)\s*(mm|in)")
_LIST = re.compile(r"(.+?)\s+(\S+?)\s*[-–]\s*(\S+?)\s*(mm|in)")

# From memory: preferred sizes of EN 10305-1.
_EN_DIAMETERS = (20, 22, 25, 26, 28, 30, 32, 35, 38, 40, 42, 45, 48, 50)  # mm
_EN_WALLS = (1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 7, 8)  # mm
# Walls as printed in ASTM A513; diameters in eighths of an inch are common practice.
_ASTM_DIAMETERS = tuple(float(Fraction(n, 8)) for n in range(4, 21))  # in
_ASTM_WALLS = (0.065, 0.083, 0.095, 0.109, 0.120, 0.134, 0.148)  # in
# Project default, no source: a thicker wall is hardly supplied and saves hardly any mass.
_THICKEST_WALL = 0.25  # of the outer diameter

# Outside this a size was misread rather than meant.
_SMALLEST, _LARGEST = 0.005, 0.100  # m


def parse_section(text: str) -> Section:
    """Read one section.

    Parameters
    ----------
    text : str
        "22 mm solid", "27 mm x 4 mm", "1 in solid" or "1.25 in x 0.120 in": outer diameter, wall.

    Returns
    -------
    Section
        Sizes in [m].

    Raises
    ------
    ValueError
        If the text is anything else, a size is absurd or the wall is thicker than the radius.

    Examples
    --------
    >>> parse_section("27 mm x 4 mm")
    Section(outer_diameter=0.027, wall=0.004)
    >>> parse_section("1 in solid").label
    '25.4 mm solid'
    """
    match = _SECTION.fullmatch(text.strip())
    numbers = match.groups() if match else ()
    try:
        lengths = [
            _length(number, unit)
            for number, unit in zip(numbers[::2], numbers[1::2], strict=True)
            if number is not None
        ]
    except ValueError:
        lengths = []
    if not lengths:
        raise ValueError(
            f"section '{text}' cannot be read; write outer diameter and wall as "
            "'27 mm x 4 mm' or '1.25 in x 0.120 in', or a round bar as '22 mm solid'"
        )
    _require_sensible(text, lengths[0])
    return Section(lengths[0], lengths[1] if len(lengths) == 2 else None)


@dataclass(frozen=True, slots=True)
class MeasuredSection:
    """A section by vernier: outer diameter, and the wall of a tube, None where solid [m]."""

    outer_diameter: Quantity
    wall: Quantity | None

    @property
    def label(self) -> str:
        """The section in words, metric."""
        wall = None if self.wall is None else self.wall.value
        return Section(self.outer_diameter.value, wall).label


def parse_measured_section(text: str) -> MeasuredSection:
    """Read one section whose sizes may carry tolerances.

    Parameters
    ----------
    text : str
        As `parse_section` reads it, each size with "± 0.1 mm" behind it where that is known.

    Returns
    -------
    MeasuredSection
        Sizes in [m].

    Raises
    ------
    ValueError
        As `parse_section`, or if a tolerance cannot be read or is as large as its size.

    Examples
    --------
    >>> parse_measured_section("28 mm ± 0.1 mm solid").outer_diameter
    Quantity(value=0.028, tolerance=0.0001)
    >>> parse_measured_section("27 mm ± 0.1 mm x 4 mm ± 0.2 mm").label
    '27 mm x 4 mm'
    """
    solid = text.rstrip().endswith("solid")
    sizes = [text.rstrip().removesuffix("solid")] if solid else re.split("[x×]", text)
    plain = [TOLERANCE_SIGN.split(size)[0].strip() for size in sizes]
    section = parse_section(f"{plain[0]} solid" if solid else " x ".join(plain))
    read = [parse(size, Dimension.LENGTH) for size in sizes]
    for size, one in zip(sizes, read, strict=True):
        if one.tolerance >= one.value:
            raise ValueError(
                f"section '{text}': the tolerance of '{size.strip()}' is as large as its value; "
                "check it and its unit, or leave it out"
            )
    nominal = (section.outer_diameter, section.wall)
    diameter, wall = (
        None if value is None else Quantity(value, one.tolerance)
        for value, one in zip(nominal, (*read, None)[:2], strict=True)
    )
    return MeasuredSection(diameter, wall)


def parse_section_list(text: str) -> tuple[tuple[Section, ...], Form]:
    """Read a built-in list of sections and the form that it names.

    Parameters
    ----------
    text : str
        "EN 10305-1 tubes 20-36 mm", "round bars 18-40 mm" or "ASTM A513 tubes 0.75-1.5 in":
        a form and the least and greatest outer diameter.

    Returns
    -------
    tuple of Section
        By diameter, then wall, sizes in [m].
    Form
        What the list is supplied as.

    Raises
    ------
    ValueError
        If the text is anything else, the range is absurd or holds no supplied size.

    Notes
    -----
    Round bars come in whole millimetres, or in sixteenths where the range is in inches. Tubes come
    in the sizes of their standard with walls up to a quarter of the diameter.

    Examples
    --------
    >>> sections, form = parse_section_list("round bars 18-20 mm")
    >>> [section.label for section in sections], form.value
    (['18 mm solid', '19 mm solid', '20 mm solid'], 'round bars')
    """
    form, least, greatest, unit = _read_list(text)
    _require_sensible(text, least)
    _require_sensible(text, greatest)
    if least > greatest:
        raise ValueError(f"section list '{text}' runs backwards; write the smaller diameter first")
    if form is Form.ROUND_BAR:
        sections = _round_bars(unit)
    elif form is Form.EN_TUBE:
        sections = _tubes(_EN_DIAMETERS, _EN_WALLS, unit="mm")
    else:
        sections = _tubes(_ASTM_DIAMETERS, _ASTM_WALLS, unit="in")
    rounding = 1e-9
    inside = tuple(
        section
        for section in sections
        if least - rounding <= section.outer_diameter <= greatest + rounding
    )
    if not inside:
        raise ValueError(
            f"section list '{text}' holds no supplied size; {form.value} come from "
            f"{sections[0].outer_diameter * 1e3:g} mm to {sections[-1].outer_diameter * 1e3:g} mm "
            "outer diameter; widen the range"
        )
    return inside, form


def stock_from_list(steel: Steel, text: str) -> Stock:
    """Make the stock that a built-in section list stands for.

    Parameters
    ----------
    steel : Steel
        Stresses in [Pa].
    text : str
        As `parse_section_list` reads it.

    Returns
    -------
    Stock
        Sizes in [m].

    Raises
    ------
    ValueError
        If the list cannot be read, or the steel is not supplied in that form or size.

    Examples
    --------
    >>> from rollsim.bar.steel import find_steel
    >>> len(stock_from_list(find_steel("E355+N tube"), "EN 10305-1 tubes 20-22 mm").sections)
    17
    """
    sections, form = parse_section_list(text)
    if form not in steel.forms:
        supplied = ", ".join(known.value for known in steel.forms)
        raise ValueError(
            f"section list '{text}': {steel.name} is not supplied as {form.value}, "
            f"only as {supplied}; name another steel or list, or give the sections one by one"
        )
    return Stock(steel, sections)


def _length(number: str, unit: str) -> float:
    """Length [m] of a number as text with its unit; ValueError unless it is a finite decimal."""
    if not re.fullmatch(r"\d*\.?\d*", number):
        raise ValueError(number)
    # Millimetres are divided: 27 × 0.001 is not the double nearest to 0.027.
    return float(number) / 1000.0 if unit == "mm" else float(number) * _UNITS[unit]


def _read_list(text: str) -> tuple[Form, float, float, str]:
    match = _LIST.fullmatch(text.strip())
    forms = {form.value.lower(): form for form in Form}
    try:
        name, least, greatest, unit = match.groups()
        form = forms[" ".join(name.lower().split())]
        return form, _length(least, unit), _length(greatest, unit), unit
    except (AttributeError, KeyError, ValueError):
        raise ValueError(
            f"section list '{text}' cannot be read; write one of "
            "'round bars 18-40 mm', 'EN 10305-1 tubes 20-36 mm', "
            "'ASTM A513 tubes 0.75-1.5 in', or give the sections one by one"
        ) from None


def _require_sensible(text: str, diameter: float) -> None:
    if not _SMALLEST <= diameter <= _LARGEST:
        raise ValueError(
            f"'{text}' was read as {diameter * 1e3:g} mm across; a bar is between "
            f"{_SMALLEST * 1e3:g} mm and {_LARGEST * 1e3:g} mm; check the unit"
        )


def _round_bars(unit: str) -> tuple[Section, ...]:
    per_unit = 1 if unit == "mm" else 16
    first = math.ceil(_SMALLEST / _UNITS[unit] * per_unit - 1e-6)
    last = math.floor(_LARGEST / _UNITS[unit] * per_unit + 1e-6)
    return tuple(Section(_length(str(n / per_unit), unit), None) for n in range(first, last + 1))


def _tubes(diameters: tuple, walls: tuple, *, unit: str) -> tuple[Section, ...]:
    return tuple(
        Section(_length(str(diameter), unit), _length(str(wall), unit))
        for diameter in diameters
        for wall in walls
        if wall <= _THICKEST_WALL * diameter
    )
