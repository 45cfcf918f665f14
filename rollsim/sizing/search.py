"""From which amount to which does a measure keep a limit? No measure is taken to rise or fall."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

POINTS = 33  # of a scan
CLOSE = 1e-9  # of the greatest amount

Measure = Callable[[np.ndarray], np.ndarray]
"""Of many amounts at once; infinite or NaN where there is no value, which keeps no limit."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """The first run of amounts that keep a limit.

    Parameters
    ----------
    begin, end : float
        [unit of the amount]; NaN where no amount of the scan keeps it.
    at_least, at_most : float
        What the least and the greatest amount of the scan measure [unit of the limit].
    again : bool
        Past the end some greater amount of the scan keeps the limit again.
    unresolved : bool
        Some amount of the scan has no value: not known to keep the limit.
    """

    begin: float
    end: float
    at_least: float
    at_most: float
    again: bool
    unresolved: bool


def first_stretch(measure: Measure, limit: float, grid: np.ndarray) -> Stretch:
    """Find the first run of amounts at which a measure is at most a limit.

    Parameters
    ----------
    measure : callable
        Takes (N,) amounts, gives (N,) values.
    limit : float
        [unit of the measure].
    grid : (N,) array
        Rising amounts to scan [their own unit]; a run that lies whole between two of them is not
        seen.

    Returns
    -------
    Stretch
        Its ends lie on the grid's own ends, or where the measure crosses the limit.

    Examples
    --------
    >>> found = first_stretch(lambda x: (x - 3.0) ** 2, 4.0, np.linspace(0.0, 10.0, 11))
    >>> round(found.begin, 6), round(found.end, 6), found.again
    (1.0, 5.0, False)
    """
    values = measure(grid)
    kept = values <= limit
    unresolved = bool(np.isnan(values).any())
    ends = (float(values[0]), float(values[-1]))
    if not kept.any():
        return Stretch(math.nan, math.nan, *ends, again=False, unresolved=unresolved)
    first = int(np.argmax(kept))
    lost = np.flatnonzero(~kept[first:])
    last = first + int(lost[0]) - 1 if lost.size else grid.size - 1
    begin = float(grid[0])
    if first:
        begin = _crossing(
            measure, limit, grid[first - 1 : first + 1], values[first - 1 : first + 1]
        )
    end = float(grid[-1])
    if last < grid.size - 1:
        end = _crossing(measure, limit, grid[last : last + 2], values[last : last + 2])
    return Stretch(begin, end, *ends, again=bool(kept[last + 1 :].any()), unresolved=unresolved)


def _crossing(measure: Measure, limit: float, ends: np.ndarray, values: np.ndarray) -> float:
    """Where the limit is crossed between two amounts, of which one keeps it; on its side."""
    from scipy.optimize import bisect, brentq  # slow to import, and only sizing needs it

    low, high = (float(x) for x in ends)
    close = CLOSE * max(abs(low), abs(high))
    smooth = bool(np.isfinite(values).all())

    def excess(x: float) -> float:
        # The ends as they were scanned: alone they may differ in the last digit.
        at = np.flatnonzero(x == ends)
        value = float(values[at[0]] if at.size else measure(np.array([x]))[0])
        if smooth and math.isfinite(value):
            return value - limit
        return -1.0 if value <= limit else 1.0

    found = float((brentq if smooth else bisect)(excess, low, high, xtol=close, rtol=CLOSE))
    inward, step = (low if values[0] <= limit else high), close
    while found != inward and excess(found) > 0.0:  # at a jump a hair's breadth matters
        found = max(found - step, inward) if inward < found else min(found + step, inward)
        step *= 2.0
    return found
