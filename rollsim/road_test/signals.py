"""From a log to lean and lateral acceleration on one even clock, both zero on the straights."""

import itertools
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rollsim.road_test.attitude import (
    between_straights,
    carried,
    closed,
    dive_for_roll,
    held_by_friction,
    without_drift,
)
from rollsim.road_test.log import Log, RollKind
from rollsim.vehicle import STANDARD_GRAVITY

RATE = 10.0  # Hz, of the even clock
CUT_OFF, ORDER = 0.5, 4  # Hz, and of the Butterworth low pass
LONGEST_GAP = 0.5  # s without a reading that is bridged
FURTHEST_OFFSET = 0.12 * STANDARD_GRAVITY  # of a sensor taped on level by eye
SEARCHED = 0.3 * STANDARD_GRAVITY  # either way for the reading of a straight
SHORTEST_LOG = 10.0  # s
STRAIGHT = 0.03 * STANDARD_GRAVITY  # about the offset
TURNING = np.radians(1.0)  # rad/s of yaw: less is straight
FASTEST_YAW_BIAS = np.radians(5.0)  # rad/s, searched either way
STEEPEST = 0.1 * STANDARD_GRAVITY  # that a straight may read more or less than the others
STRAIGHT_FOR = 2.0  # s
TRIM = 0.5  # s at each end of a straight, where the bend begins
QUIET = 0.05 * STANDARD_GRAVITY  # of braking: less is no dive worth the name


@dataclass(frozen=True, slots=True, eq=False)
class Signals:
    """A log on an even clock, low-passed; lean and lateral acceleration zero on the straights.

    Parameters
    ----------
    time : (n,) array
        [s].
    reading : (n,) array
        Lateral acceleration as the body-fixed sensor reads it, less its offset [m/s²].
    plain : (n,) array
        The same before the low pass, which swings over [m/s²].
    roll : (n,) array
        Body roll [rad].
    missed : (n,) array
        What a roll gyro alone misses for each radian of dive per g [g·rad]; zero where a pitch
        gyro is logged, NaN where no speed tells of braking.
    lateral : (n,) array
        Lateral acceleration along the level [m/s²].
    yaw_rate, speed : (n,) array or None
        [rad/s], [m/s].
    exchanged : bool
        The yaw rate of the log has the other sign than its lateral acceleration.
    held : (n,) array
        What each radian that friction holds on the straights does to the roll in bends [-].
    bend : (n,) array of int
        Number of the bend, from straight to straight; −1 on straights, −2 where no straight
        stands on both sides, −3 where readings are missing in between.
    missing : (n,) array of bool
        No reading near.
    vertical : float or None
        Reading upward on the straights [m/s²]; None where it was not recorded.
    raw_roll : (n,) array
        Roll before its drift was taken off [rad].
    offset : float
        Of the lateral sensor: mounting, slope of the road [m/s²].
    position : (n,) array of complex or None
        East + i north [m].
    """

    time: np.ndarray
    reading: np.ndarray
    plain: np.ndarray
    roll: np.ndarray
    lateral: np.ndarray
    yaw_rate: np.ndarray | None
    speed: np.ndarray | None
    bend: np.ndarray
    missing: np.ndarray
    raw_roll: np.ndarray
    offset: float
    exchanged: bool
    missed: np.ndarray
    held: np.ndarray
    vertical: float | None
    position: np.ndarray | None = None


def corrected(reading: np.ndarray, roll: np.ndarray) -> np.ndarray:
    """Lateral acceleration along the level, from a sensor that leans with the body.

    Parameters
    ----------
    reading : array
        Of the body-fixed sensor, left positive [m/s²].
    roll : array
        Of the body against the level, right side down positive [rad].

    Returns
    -------
    array
        [m/s²].

    Notes
    -----
    a = (a_body − g sin φ)/cos φ: leaning outward, the sensor reads a part of gravity as well.
    [body-fixed]

    Examples
    --------
    >>> reading = 0.585 * STANDARD_GRAVITY
    >>> round(float(corrected(reading, np.radians(5.0)) / STANDARD_GRAVITY), 3)
    0.5
    """
    return (reading - STANDARD_GRAVITY * np.sin(roll)) / np.cos(roll)


def prepare(log: Log) -> Signals:
    """Resample, low-pass, zero on the straights, take drift off, correct for the lean.

    Parameters
    ----------
    log : Log
        As read.

    Returns
    -------
    Signals
        [SI]

    Raises
    ------
    ValueError
        If there is no straight to take the zero from, or the sensor stands far off level.

    Notes
    -----
    A zero-phase Butterworth low pass of 0.5 Hz, as UN R79 takes for lateral acceleration [un-r79].
    The roll is carried from straight to straight by three gyros (`attitude.carried`). By a roll
    gyro alone it is its integral; what it has drifted from one straight to the next is taken off
    along the way, the part that goes with the turning of the vehicle (a sensor that does not
    stand level along the vehicle takes yaw for roll) in proportion to the turning.
    """
    time = np.arange(0.0, log.time[-1], 1.0 / RATE) + 0.5 / RATE
    if len(time) < SHORTEST_LOG * RATE:
        raise ValueError(f"the log lasts {log.time[-1]:.0f} s: record the whole test")
    (plain, *_), (reading, roll, yaw, along) = _even(log, time)
    missing = _missing(log.time, log.lateral, time) | _missing(log.time, log.roll, time)
    runs = _runs(reading, missing, yaw)
    if not runs:
        raise ValueError(
            "no straight was found to take the zero from: drive straight for 5 s before, between "
            "and after the bends"
        )
    straight = _mask(runs, len(time))
    if along is not None:
        along = along - np.median(along[straight])
        runs = _quiet(runs, np.abs(along) < QUIET)
        straight = _mask(runs, len(time))
    offset = float(reading[straight].mean())
    if abs(offset) > FURTHEST_OFFSET:
        raise ValueError(
            "no straight was found: what looks most like one reads "
            f"{offset / STANDARD_GRAVITY:.2f} g sideways, allowed up to "
            f"{FURTHEST_OFFSET / STANDARD_GRAVITY:g}; drive straight for 5 s before, between and "
            "after the bends, the sensor fixed level"
        )
    zero = between_straights(reading, runs, rate=RATE)
    plain, reading = plain - zero, reading - zero
    roll = roll - roll[straight].mean()
    yaw = None if yaw is None else yaw - yaw[straight].mean()
    exchanged = yaw is not None and float(np.dot(yaw, reading)) < 0.0
    yaw = -yaw if exchanged else yaw
    bend = _bends(runs, missing)
    used = np.array([bend[b] >= 0 for _, b in runs[:-1]], dtype=bool)
    rated = log.kind is RollKind.RATE
    raw = np.cumsum(roll) / RATE if rated else roll
    missed = np.zeros(len(time))
    turned = np.cumsum(reading if yaw is None else yaw) / RATE
    held = held_by_friction(turned, runs)
    if rated and yaw is not None and log.pitch_rate is not None:
        rates = _resampled_rows(log.time, [log.roll, log.pitch_rate, log.yaw_rate], time)
        rates = rates - rates[:, straight].mean(axis=1)[:, None]
        rates[2] *= -1.0 if exchanged else 1.0
        roll = _low_passed(carried(rates, runs, rate=RATE, used=used)[None])[0]
        heading = np.exp(1j * turned)
        held = closed(held * heading, heading, runs, rate=RATE, used=used)[0].real
    else:
        roll, held = (without_drift(one, turned, runs, rate=RATE, used=used) for one in (raw, held))
        if rated and (yaw is None or along is None):
            missed = np.full(len(time), np.nan)
        elif rated:
            missed = dive_for_roll(along, yaw, RATE)
            missed = without_drift(missed, turned, runs, rate=RATE, used=used)
    up, position = log.vertical, None
    if log.position is not None:
        east, north = log.position.real, log.position.imag
        position = _resampled(log.time, east, time) + 1j * _resampled(log.time, north, time)
    return Signals(
        time=time,
        reading=reading,
        plain=plain,
        roll=roll,
        lateral=corrected(reading, roll),
        yaw_rate=yaw,
        speed=None if log.speed is None else _resampled(log.time, log.speed, time),
        bend=bend,
        missing=missing,
        raw_roll=raw,
        offset=offset,
        exchanged=exchanged,
        missed=missed,
        held=held,
        vertical=None if up is None else float(_resampled(log.time, up, time)[straight].mean()),
        position=position,
    )


def even_rows(time: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """Columns of a log (k, n) on the even clock, low-passed [their units]; time in [s]."""
    even = np.arange(0.0, time[-1], 1.0 / RATE) + 0.5 / RATE
    if len(even) < SHORTEST_LOG * RATE:
        raise ValueError(f"the log lasts {time[-1]:.0f} s: record the whole test")
    return _low_passed(_resampled_rows(time, list(rows), even))


def _even(log: Log, time: np.ndarray) -> tuple[np.ndarray, list[np.ndarray | None]]:
    """Lateral reading, roll, yaw rate and longitudinal acceleration, before and after low-pass."""
    columns = [log.lateral, log.roll, log.yaw_rate]
    along = log.longitudinal
    columns.append(log.speed if along is None else along)
    rows = _resampled_rows(log.time, [one for one in columns if one is not None], time)
    smooth = iter(_low_passed(rows))
    found = [None if one is None else next(smooth) for one in columns]
    if along is None and found[-1] is not None:
        found[-1] = np.gradient(found[-1], 1.0 / RATE)
    return rows, found


def _quiet(runs: list[tuple[int, int]], calm: np.ndarray) -> list[tuple[int, int]]:
    """Of every straight the parts without braking; all of it where there is none."""
    found, least = [], int(STRAIGHT_FOR * RATE)
    for a, b in runs:
        parts = [(a + c, a + d) for c, d in runs_of(calm[a:b]) if d - c >= least]
        found += parts or [(a, b)]
    return found


def _low_passed(rows: np.ndarray) -> np.ndarray:
    from scipy.signal import sosfiltfilt  # late: a fifth of a second

    return sosfiltfilt(_low_pass(), rows)


@lru_cache
def _low_pass() -> np.ndarray:
    from scipy.signal import butter

    return butter(ORDER, CUT_OFF, fs=RATE, output="sos")


def _resampled(time: np.ndarray, values: np.ndarray, even: np.ndarray) -> np.ndarray:
    """Means of each interval of the even clock: exact for an integral, whatever the sampling."""
    known = np.isfinite(values)
    time, values = time[known], values[known]
    steps = np.diff(time)
    area = np.concatenate([[0.0], np.cumsum(0.5 * steps * (values[1:] + values[:-1]))])
    half = 0.5 / RATE
    edges = np.append(even - half, even[-1] + half)
    within = np.clip(edges, time[0], time[-1])
    means = np.diff(np.interp(within, time, area))
    widths = np.diff(within)
    inside = widths > 0.1 * half
    if inside.all():
        return means / widths
    return np.where(inside, means / np.where(inside, widths, 1.0), np.interp(even, time, values))


def _resampled_rows(time: np.ndarray, rows: list[np.ndarray], even: np.ndarray) -> np.ndarray:
    """The same for several columns, at once where none has blanks."""
    values = np.stack(rows)
    if not (np.isfinite(values).all() and even[-1] + 0.5 / RATE <= time[-1]):
        return np.stack([_resampled(time, row, even) for row in rows])
    steps = np.diff(time)
    area = np.zeros_like(values)
    np.cumsum(0.5 * steps * (values[:, 1:] + values[:, :-1]), axis=1, out=area[:, 1:])
    edges = np.append(even - 0.5 / RATE, even[-1] + 0.5 / RATE)
    after = np.searchsorted(time, edges).clip(1, len(time) - 1)
    share = (edges - time[after - 1]) / np.maximum(steps[after - 1], 1e-12)
    inside = area[:, after - 1] + share * (area[:, after] - area[:, after - 1])
    return np.diff(inside, axis=1) * RATE


def _missing(time: np.ndarray, values: np.ndarray, even: np.ndarray) -> np.ndarray:
    """Where on the even clock no reading is near."""
    known = time[np.isfinite(values)]
    if known[0] <= even[0] and known[-1] >= even[-1] and np.diff(known).max() <= LONGEST_GAP:
        return np.zeros(len(even), dtype=bool)
    after = np.searchsorted(known, even).clip(1, len(known) - 1)
    inside = (even >= known[0]) & (even <= known[-1])
    return ~inside | (known[after] - known[after - 1] > LONGEST_GAP)


def _mode(reading: np.ndarray, searched: float) -> float:
    """The reading that a straight has: where most of the small ones lie, nearer zero preferred."""
    centres = np.linspace(-searched, searched, 121)
    ordered = np.sort(reading)
    half = 0.05 * searched
    count = np.searchsorted(ordered, centres + half) - np.searchsorted(ordered, centres - half)
    weight = count * (1.0 - np.abs(centres) / (2.0 * searched))
    return float(centres[np.argmax(weight)])


def _runs(
    reading: np.ndarray, missing: np.ndarray, yaw_rate: np.ndarray | None
) -> list[tuple[int, int]]:
    """The straights: where the vehicle does not turn, or, without a yaw rate, feels no bend.

    On a place that falls to one side the sensor reads something on a straight too.
    """
    if yaw_rate is None:
        return _straights(np.abs(reading - _mode(reading, SEARCHED)) < STRAIGHT, missing)
    turning = np.abs(yaw_rate - _mode(yaw_rate, FASTEST_YAW_BIAS)) < TURNING
    straight = turning & ~missing
    if not straight.any():
        return []
    near = np.abs(reading - np.median(reading[straight])) < STEEPEST
    return _straights(turning & near, missing)


def _straights(quiet: np.ndarray, missing: np.ndarray) -> list[tuple[int, int]]:
    """First sample and end of every straight, its ends trimmed."""
    trim, least = int(TRIM * RATE), int(STRAIGHT_FOR * RATE)
    quiet = quiet & ~missing
    found = [(a + trim, b - trim) for a, b in runs_of(quiet)]
    return [(a, b) for a, b in found if b - a >= least]


def runs_of(mask: np.ndarray) -> list[tuple[int, int]]:
    """Where a mask holds without a break.

    Parameters
    ----------
    mask : (n,) array of bool
        [-].

    Returns
    -------
    list of (int, int)
        First index and the one after the last.

    Examples
    --------
    >>> runs_of(np.array([False, True, True, False, True]))
    [(1, 3), (4, 5)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int8), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _mask(runs: list[tuple[int, int]], count: int) -> np.ndarray:
    mask = np.zeros(count, dtype=bool)
    for a, b in runs:
        mask[a:b] = True
    return mask


def _bends(runs: list[tuple[int, int]], missing: np.ndarray) -> np.ndarray:
    """Number of the bend of each sample."""
    bend = np.full(len(missing), -2)
    for number, ((_, a), (b, _)) in enumerate(itertools.pairwise(runs)):
        bend[a:b] = -3 if missing[a:b].any() else number
    for a, b in runs:
        bend[a:b] = -1
    return bend
