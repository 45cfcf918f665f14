"""Figures of a bay test in words, as a table, and as the scenario file has them."""

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

import numpy as np
import pandas as pd

from rollsim.estimates import Estimate
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure
from rollsim.scenario.bounds import parsed
from rollsim.scenario.correcting import Changes
from rollsim.tell.of_tests import Measured

Found = TypeVar("Found")
Readings = Mapping[str, float | None]
HEADS = ("", "figure", "standard error", "95 % interval")


def table(figures: Sequence[Measured], units: ReaderUnits) -> pd.DataFrame:
    """Figures with their standard errors and intervals, text."""
    cells = []
    for one in figures:
        numbers = (one.value.value, one.value.standard_error, *one.value.interval)
        value, error, low, high = (one.kind.said(number, units) for number in numbers)
        interval = NO_FIGURE if NO_FIGURE in (low, high) else f"{low} to {high}"
        cells.append((one.label(units), value, error, interval))
    return pd.DataFrame(cells, columns=list(HEADS))


def attempted(work: Callable[[], Found]) -> tuple[Found | None, str]:
    """A result, or None and why the readings give none."""
    try:
        with np.errstate(invalid="raise", divide="raise", over="raise"):
            return work(), ""
    except ArithmeticError:
        return None, "these readings cannot be of one vehicle; check them, zeros first"
    except ValueError as error:
        return None, str(error)


def gone(text: str, key: str) -> Changes:
    """What takes a table out of the file; nothing where it has none."""
    here = parsed(text)
    for step in key.split("."):
        here = here.get(step) if isinstance(here, dict) else None
    return {} if here is None else {key: None}


def written(found: Estimate, unit: str, *, decimals: int | None = None) -> str:
    """A measured figure as the file has it, its tolerance the 90 % band."""
    shown, band = (figure(number, unit, decimals) for number in (found.value, found.tolerance))
    known = band != NO_FIGURE and float(band) > 0.0
    unit = f" {unit}" if unit else ""
    return f"{shown}{unit} ± {band}{unit}" if known else f"{shown}{unit}"


def amount(number: float, unit: str, decimals: int | None = None) -> str:
    return f"{figure(number, unit, decimals)} {unit}"
