"""Which parts of a road test count: steady stretches of bends, and what is thrown away and why."""

import itertools
from dataclasses import dataclass
from enum import Enum

import numpy as np

from rollsim.road_test.places import centre
from rollsim.road_test.signals import RATE, Signals, runs_of
from rollsim.vehicle import STANDARD_GRAVITY

SHORTEST = 3.0  # s, as ISO 4138 averages
GENTLEST = 0.05 * STANDARD_GRAVITY
FASTEST_CHANGE = 0.05 * STANDARD_GRAVITY  # m/s² per second: a slow ramp still counts
RAMP = 0.05 * STANDARD_GRAVITY  # over which a stretch is cut into parts
OVER = 0.5  # s to each side over which the change is taken
UNSTEADY = 0.012 * STANDARD_GRAVITY  # that a steady bend reads more for a second
TRIM = 0.1  # s at each end


class Thrown(Enum):
    """Why a part of a log does not count."""

    STRAIGHT = "straight, taken as zero"
    MISSING = "readings are missing"
    OPEN = "no straight on both sides to take drift off"
    GENTLE = f"too gentle: below {GENTLEST / STANDARD_GRAVITY:g} g"
    CHANGING = "lateral acceleration changes too fast"
    SHORT = f"steady for less than {SHORTEST:g} s"


@dataclass(frozen=True, slots=True, eq=False)
class Stretches:
    """Means over steady stretches.

    Parameters
    ----------
    lateral : (n,) array
        Lateral acceleration along the level [m/s²].
    roll : (n,) array
        [rad].
    bend : (n,) array of int
        Number of the bend each is part of.
    start, seconds : (n,) array
        Begin and length [s].
    reading : (n,) array
        Lateral acceleration as the sensor reads it [m/s²].
    missed : (n,) array
        What a roll gyro alone misses for each radian of dive per g [g·rad].
    held : (n,) array
        What each radian that friction holds on the straights does to the roll [-].
    over : (n,) array
        By how much its bend was sharper before it [m/s²].
    yaw_rate, speed : (n,) array or None
        [rad/s], [m/s]; None where not recorded.
    turned, lasting : (n,) array
        Change of heading [rad] and time [s] of its bend, from straight to straight.
    centre : (n,) array of complex or None
        Of the circle it is part of, east + i north [m]; None where no position is recorded.
    thrown : tuple of (Thrown, float)
        What does not count, and how long it lasts [s].
    """

    lateral: np.ndarray
    roll: np.ndarray
    bend: np.ndarray
    start: np.ndarray
    seconds: np.ndarray
    reading: np.ndarray
    missed: np.ndarray
    held: np.ndarray
    over: np.ndarray
    yaw_rate: np.ndarray | None
    speed: np.ndarray | None
    turned: np.ndarray
    lasting: np.ndarray
    centre: np.ndarray | None
    thrown: tuple[tuple[Thrown, float], ...]

    @property
    def turning(self) -> np.ndarray | None:
        """Lateral acceleration from speed and yaw rate [m/s²]; None where not recorded."""
        if self.yaw_rate is None or self.speed is None:
            return None
        return self.yaw_rate * self.speed


def find_stretches(signals: Signals) -> Stretches:
    """Find the steady stretches of every bend and average over them.

    Parameters
    ----------
    signals : Signals
        From `prepare`.

    Returns
    -------
    Stretches
        At least three seconds each; a slow ramp is cut into parts of at least three seconds.

    Notes
    -----
    Steady-state values are averaged over at least 3 s; slowly rising lateral acceleration counts
    as a row of them. [iso-4138]
    """
    lateral, over = signals.lateral, int(OVER * RATE)
    change = np.empty_like(lateral)
    change[over:-over] = (lateral[2 * over :] - lateral[: -2 * over]) / (2.0 * OVER)
    change[:over], change[-over:] = np.inf, np.inf
    steady = (
        (signals.bend >= 0) & (np.abs(lateral) >= GENTLEST) & (np.abs(change) <= FASTEST_CHANGE)
    )
    parts, short = [], 0
    for a, b in runs_of(steady):
        # A straight shorter than two seconds makes no end, yet left and right are two stretches.
        for first, last in _one_sided(lateral, a, b):
            found = _parts(lateral, first, last)
            parts += found
            short += 0 if found else last - first
    edges = np.array(parts, dtype=int).reshape(-1, 2)
    starts = edges[:, 0]
    bend = signals.bend[starts]
    turned, lasting = _whole_bends(signals, bend)
    yaw, speed = (
        None if one is None else _means(one, edges) for one in (signals.yaw_rate, signals.speed)
    )
    return Stretches(
        lateral=_means(lateral, edges),
        roll=_means(signals.roll, edges),
        bend=bend,
        start=signals.time[starts],
        seconds=(edges[:, 1] - starts) / RATE,
        reading=_means(signals.reading, edges),
        missed=_means(signals.missed, edges),
        held=_means(signals.held, edges),
        over=_over(signals, edges),
        yaw_rate=yaw,
        speed=speed,
        turned=turned,
        lasting=lasting,
        centre=_centres(signals, edges),
        thrown=_thrown(signals, steady, short),
    )


def _whole_bends(signals: Signals, bend: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Change of heading and time of the bend of each stretch, the gentle parts left out."""
    turning = np.abs(signals.lateral) >= GENTLEST
    numbers = np.where(turning & (signals.bend >= 0), signals.bend, -1) + 1
    yaw = np.zeros(len(numbers)) if signals.yaw_rate is None else signals.yaw_rate
    turned = np.bincount(numbers, yaw) / RATE
    lasting = np.bincount(numbers) / RATE
    return turned[bend + 1], lasting[bend + 1]


def _centres(signals: Signals, edges: np.ndarray) -> np.ndarray | None:
    """Centre of the circle of each stretch."""
    if signals.position is None or signals.yaw_rate is None:
        return None
    heading = np.cumsum(signals.yaw_rate) / RATE
    return np.array([centre(signals.position[a:b], heading[a:b]) for a, b in edges], dtype=complex)


def _over(signals: Signals, edges: np.ndarray) -> np.ndarray:
    """By how much the reading was greater before each stretch, in its bend, for a second."""
    width = int(RATE)
    smooth = np.convolve(signals.plain, np.full(width, 1.0 / width), "same")
    found = np.zeros(len(edges))
    means = _means(signals.plain, edges)
    begins = np.concatenate([[0], np.flatnonzero(np.diff(signals.bend)) + 1])
    firsts = begins[np.searchsorted(begins, edges[:, 0], "right") - 1]
    for n, (first, (a, b)) in enumerate(zip(firsts, edges, strict=True)):
        most = (np.sign(means[n]) * smooth[first : (a + b) // 2]).max()
        found[n] = max(most - abs(means[n]) - UNSTEADY, 0.0)
    return found


def _one_sided(lateral: np.ndarray, a: int, b: int) -> list[tuple[int, int]]:
    turns = np.flatnonzero(np.diff(np.sign(lateral[a:b]))) + a + 1
    edges = [a, *turns.tolist(), b]
    return list(itertools.pairwise(edges))


def _parts(lateral: np.ndarray, a: int, b: int) -> list[tuple[int, int]]:
    """A steady run as one stretch, or a ramp cut into several; none where it is short."""
    trim, least = int(TRIM * RATE), int(SHORTEST * RATE)
    a, b = a + trim, b - trim
    if b - a < least:
        return []
    if np.ptp(lateral[a:b]) <= RAMP:
        return [(a, b)]
    edges = np.linspace(a, b, (b - a) // least + 1).astype(int)
    return list(zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True))


def _means(values: np.ndarray, edges: np.ndarray) -> np.ndarray:
    total = np.concatenate([[0.0], np.cumsum(values)])
    return (total[edges[:, 1]] - total[edges[:, 0]]) / np.maximum(edges[:, 1] - edges[:, 0], 1)


def _thrown(signals: Signals, steady: np.ndarray, short: int) -> tuple[tuple[Thrown, float], ...]:
    """Samples that do not count, each with the first reason that holds."""
    gentle = np.abs(signals.lateral) < GENTLEST
    bend, missing = signals.bend, signals.missing
    counts = {
        Thrown.STRAIGHT: bend == -1,
        Thrown.MISSING: (bend == -3) | (bend == -2) & missing,
        Thrown.OPEN: (bend == -2) & ~missing,
        Thrown.GENTLE: (bend >= 0) & gentle,
        Thrown.CHANGING: (bend >= 0) & ~gentle & ~steady,
    }
    seconds = {reason: float(mask.sum()) / RATE for reason, mask in counts.items()}
    seconds[Thrown.SHORT] = short / RATE
    return tuple((reason, value) for reason, value in seconds.items() if value > 0.0)
