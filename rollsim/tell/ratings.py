"""Ratings: what they are called, what is on them, and what is too much, told once."""

from collections.abc import Iterable, Mapping, Sequence

from rollsim.mass import RatingCheck, not_checked
from rollsim.reader_units import ReaderUnits, figure, rounded
from rollsim.reader_units import plain as shown
from rollsim.tell.figures import Row
from rollsim.tell.kinds import MASS
from rollsim.units import to_unit
from rollsim.vehicle import Job

RATING_WORDS = {
    "front_axle": "front axle",
    "rear_axle": "rear axle",
    "gross_vehicle_mass": "gross vehicle mass",
    "roof_load": "roof load, on road",
    "roof_load_off_road": "roof load, off road",
    "roof_load_parked": "roof load, parked",
}
NO_RATING_RAISED = "Stiffer springs, a bar or a lift raise no rating: take load off."


def not_checked_words(job: Job, names: Mapping[str, str] = RATING_WORDS) -> str:
    """Which ratings are not given, so that nothing tells whether they are kept; empty: none."""
    missing = ", ".join(names[name].replace(",", "") for name in not_checked(job))
    return f"not checked: {missing} (no rating given)" if missing else ""


def over_lines(
    found: Iterable[tuple[str, Sequence[RatingCheck]]], units: ReaderUnits
) -> tuple[str, ...]:
    """Every rating that is exceeded, a line each, from states in words and their checks."""
    return tuple(
        f"{state}: {over_words(RATING_WORDS[check.name], check.load, check.limit, units)}"
        for state, checks in found
        for check in checks
        if check.over
    )


def over_figures(load: float, limit: float, unit: str) -> tuple[str, str, str]:
    """A mass over its limit, the limit, and what is too much [kg], each in the reader's unit.

    The load reads as it does everywhere else, what is too much is the difference of the two as they
    read; with a decimal where without one the rating would look kept.

    Examples
    --------
    >>> over_figures(1923.47, 1850.0, "kg"), over_figures(1480.4, 1480.0, "kg")
    (('1923', '1850', '73'), ('1480.4', '1480.0', '0.4'))
    """
    places = 0 if to_unit(load - limit, unit) >= 1.0 else 1
    on, allowed = figure(load, unit, places), figure(limit, unit, places)
    if on == allowed:
        on = rounded(load, unit, places, up=True).removesuffix(f" {unit}")
    return on, allowed, shown(float(on) - float(allowed), places)


def over_words(what: str, load: float, limit: float, units: ReaderUnits) -> str:
    """A mass over its limit, in words [kg]."""
    on, allowed, more = over_figures(load, limit, units.mass)
    return f"{what} {on} {units.mass}, allowed {allowed} {units.mass}: {more} {units.mass} too much"


def load_cell(check: RatingCheck, units: ReaderUnits) -> str:
    """What is on a rating, marked where it is too much."""
    if check.over:
        return f"{over_figures(check.load, check.limit, units.mass)[0]} OVER"
    return MASS.said(check.load, units)


def left_words(check: RatingCheck, units: ReaderUnits) -> str:
    """What a rating that is kept still leaves, with its unit, rounded down."""
    return rounded(check.limit - check.load, units.mass, up=False)


def left_cell(check: RatingCheck, units: ReaderUnits) -> str:
    """What a rating still leaves, marked where it is too much already."""
    if check.over:
        return f"-{over_figures(check.load, check.limit, units.mass)[2]} OVER"
    return left_words(check, units).split()[0]


def rating_label(name: str, limit: float, units: ReaderUnits) -> str:
    """A rating and its limit."""
    return f"{RATING_WORDS[name]}, at most {MASS.with_unit(limit, units)}"


def rating_rows(found: Sequence[Sequence[RatingCheck]], units: ReaderUnits) -> list[Row]:
    """What every state puts on each rating that is given; the same ratings in every state."""
    return [
        Row(
            rating_label(checks[0].name, checks[0].limit, units),
            tuple(load_cell(check, units) for check in checks),
        )
        for checks in zip(*found, strict=True)
    ]
