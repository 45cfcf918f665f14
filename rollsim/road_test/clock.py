"""The time of a log: in which unit it is, and whether it can be one."""

import numpy as np

from rollsim.road_test.columns import UNITS, Role
from rollsim.road_test.log import LogError

SLOWEST, FASTEST = 10.0, 500.0  # Hz
SLACK = 1.1  # of these: clocks are not that true
LONGEST = 4.0 * 3600.0  # s


def time_unit(values: np.ndarray, told: str | None, name: str) -> str:
    """The unit in which the log runs at 10 to 500 Hz: there is only one.

    Parameters
    ----------
    values : (n,) array
        Readings of the clock [unknown unit].
    told : str or None
        Unit by the name of the column, or as chosen.
    name : str
        Of the file, for errors.

    Returns
    -------
    str
        One of `UNITS` of the time.

    Raises
    ------
    LogError
        If what is told does not fit.

    Examples
    --------
    >>> time_unit(np.arange(0.0, 2000.0, 20.0), None, "log.csv")
    'ms'
    """
    step = _step(values)
    fits = [
        unit
        for unit in ("s", "ms", "us", "ns")
        if SLOWEST / SLACK <= 1.0 / (step * UNITS[Role.TIME][unit]) <= FASTEST * SLACK
    ]
    if told is not None and told not in fits and fits:
        raise LogError(
            (
                f"{name}: time: in {told} the log runs at "
                f"{1.0 / (step * UNITS[Role.TIME][told]):.3g} Hz; allowed {SLOWEST:g} to "
                f"{FASTEST:g} Hz; it looks like {fits[0]}: give --time COLUMN {fits[0]}",
            )
        )
    return fits[0] if fits else told or "s"


def _step(values: np.ndarray) -> float:
    """Time from row to row, of those that differ."""
    steps = np.diff(values[np.isfinite(values)])
    steps = np.abs(steps[steps != 0.0])
    return float(np.median(steps)) if steps.size else 1e9


def check_time(time: np.ndarray, name: str) -> None:
    """Time rises, at 10 to 500 Hz, and the log is no longer than four hours.

    Parameters
    ----------
    time : (n,) array
        From the first row on [s].
    name : str
        Of the file, for errors.

    Raises
    ------
    LogError
        If it does not.
    """
    if not time.any():
        raise LogError(
            (
                f"{name}: time: is the same in every row; allowed is rising; give the column that "
                "counts with --time COLUMN UNIT, or record the log again",
            )
        )
    back = np.flatnonzero(np.diff(time) < 0.0)
    if back.size:
        at = int(back[0])
        raise LogError(
            (
                f"{name}: time: runs back after {time[at]:.3f} s of the log, {back.size} times in "
                "all; allowed is rising; sort the rows, or keep one run of the log",
            )
        )
    rate = 1.0 / _step(time)
    if not SLOWEST / SLACK <= rate <= FASTEST * SLACK:
        raise LogError(
            (
                f"{name}: time: the log runs at {rate:.3g} Hz; allowed {SLOWEST:g} to "
                f"{FASTEST:g} Hz, times with enough decimals; record or export it so",
            )
        )
    if time[-1] > LONGEST:
        raise LogError(
            (
                f"{name}: time: the log lasts {time[-1] / 3600.0:.1f} hours; allowed "
                f"{LONGEST / 3600.0:g}; keep the test alone",
            )
        )
