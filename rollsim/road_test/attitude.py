"""How far has the body rolled between two straights? Carried by three gyros, or by one."""

import math
from collections.abc import Sequence

import numpy as np

from rollsim.vehicle import STANDARD_GRAVITY

KNOT = 4.0  # s of a straight over which its lean is averaged: of 5 s, less what is trimmed
ROUNDS = 1  # in which the terms of second order are taken up, after the first
TURNED = 0.2  # rad: less is no bend
LEAST = 0.4  # of the mean direction of a bend
FEWEST = 4  # bends that tell what a sensor takes for roll

Runs = Sequence[tuple[int, int]]


def carried(rates: np.ndarray, runs: Runs, *, rate: float, used: np.ndarray) -> np.ndarray:
    """Roll of the body by roll, pitch and yaw gyro, zero on the straights.

    Parameters
    ----------
    rates : (3, n) array
        Roll, pitch and yaw rate in the axes of the body, their mean on the straights taken off
        [rad/s].
    runs : sequence of (int, int)
        First sample and end of each straight [-].
    rate : float
        Of the samples [Hz].
    used : (len(runs) − 1,) array of bool
        Which parts between two straights have all readings [-].

    Returns
    -------
    (n,) array
        [rad].

    Notes
    -----
    φ' = p + tan θ (q sin φ + r cos φ), θ' = q cos φ − r sin φ. To first order
    (φ + iθ)' = p + iq − i r (φ + iθ), whose solution, exact for any heading ψ, is
    φ + iθ = e^(−iψ) ∫ (p + iq) e^(iψ) dt. The rest, of second order, is then added to p and q. A
    sensor that stands tilted by φ₀ + iθ₀ has that on every straight; it and a steady drift are
    fitted to what fails to close over the bends, and what is left is taken off along the way.
    """
    p, q, r = rates
    heading = np.exp(1j * _integral(r, rate))
    tilt = np.zeros(len(p), dtype=complex)
    for _ in range(1 + ROUNDS):
        phi, theta = tilt.real, tilt.imag
        more = np.tan(theta) * (q * np.sin(phi) + r * np.cos(phi)) - r * theta
        more = more + 1j * (q * (np.cos(phi) - 1.0) - r * (np.sin(phi) - phi))
        way = _integral((p + 1j * q + more) * heading, rate)
        tilt, whole = closed(way, heading, runs, rate=rate, used=used)
        tilt = tilt + whole
    return (tilt - whole).real


def closed(
    way: np.ndarray, heading: np.ndarray, runs: Runs, *, rate: float, used: np.ndarray
) -> tuple[np.ndarray, complex]:
    """Roll and pitch as φ + iθ, with what fails to close from straight to straight taken off.

    Parameters
    ----------
    way : (n,) array of complex
        The integral of (p + iq) e^(iψ) [rad].
    heading : (n,) array of complex
        e^(iψ) [-].
    runs, rate, used : sequence, float, array
        As for `carried` [-, Hz, -].

    Returns
    -------
    (n,) array of complex and complex
        Zero on the straights, and the tilt that the sensor has there [rad].
    """
    spent = _integral(heading, rate)
    knot, facing, at = (knot_means(one, runs, rate=rate) for one in (way, heading, spent))
    jumps = [(one[1:, 0] - one[:-1, 1])[used] for one in (knot, facing, at)]
    whole = 0j
    if used.sum() >= FEWEST:
        design = np.column_stack(jumps[1:])
        whole, drift = np.linalg.lstsq(design, jumps[0], rcond=1e-3)[0]
        way, knot = way - drift * spent, knot - drift * at
    left = _between(knot - whole * facing, at, spent, runs=runs, rate=rate)
    return (way - left) / heading - whole, whole


def _between(
    left: np.ndarray, spent_at: np.ndarray, spent: np.ndarray, *, runs: Runs, rate: float
) -> np.ndarray:
    """What fails to close, along the way: as a drift of the sensor, which turns with the body."""
    starts, ends = np.array(runs).T
    at = _knots(starts, ends, rate=rate)
    found = np.interp(np.arange(len(spent)), at.ravel(), left.ravel())
    for n in range(len(left) - 1):  # linear in the straights and in whole circles
        a, b = int(at[n, 1]), int(at[n + 1, 0]) + 1
        whole = spent_at[n + 1, 0] - spent_at[n, 1]
        if abs(whole) > LEAST * (b - a) / rate:
            share = (spent[a:b] - spent_at[n, 1]) / whole
            found[a:b] = left[n, 1] + (left[n + 1, 0] - left[n, 1]) * share
    return found


def held_by_friction(turned: np.ndarray, runs: Runs) -> np.ndarray:
    """To which side friction holds the body on each straight: to that of the bend before.

    Parameters
    ----------
    turned : (n,) array
        Heading [rad].
    runs : sequence of (int, int)
        First sample and end of each straight [-].

    Returns
    -------
    (n,) array
        1 on straights after a left bend, −1 after a right one, 0 before any and in bends [-].
    """
    found, side = np.zeros(len(turned)), 0.0
    before = turned[0]
    for a, b in runs:
        if abs(turned[a] - before) > TURNED:
            side = math.copysign(1.0, turned[a] - before)
        found[a:b] = side
        before = turned[b - 1]
    return found


def without_drift(
    roll: np.ndarray, turned: np.ndarray, runs: Runs, *, rate: float, used: np.ndarray
) -> np.ndarray:
    """Roll by one gyro less what it has drifted between straights, where it is zero.

    Parameters
    ----------
    roll, turned : (n,) array
        Integrals of roll and yaw rate [rad].
    runs, rate, used : sequence, float, array
        As for `carried` [-, Hz, -].

    Returns
    -------
    (n,) array
        [rad].
    """
    closing, heading = (knot_means(one, runs, rate=rate) for one in (roll, turned))
    starts, ends = np.array(runs).T
    taken = _taken_for_roll(
        (closing[1:, 0] - closing[:-1, 1])[used],
        (heading[1:, 0] - heading[:-1, 1])[used],
        ((starts[1:] - ends[:-1]) / rate)[used],
    )
    roll = roll - taken * turned
    return roll - between_straights(roll, runs, rate=rate)


def between_straights(values: np.ndarray, runs: Runs, *, rate: float) -> np.ndarray:
    """What a sensor reads at both ends of every straight, and along a line in between.

    Parameters
    ----------
    values : (n,) array
        Readings [any unit].
    runs, rate : sequence, float
        As for `carried` [-, Hz].

    Returns
    -------
    (n,) array
        Drift, and on a place that falls to one side the slope as the heading changes [that unit].
    """
    starts, ends = np.array(runs).T
    at = _knots(starts, ends, rate=rate)
    zeros = knot_means(values, runs, rate=rate)
    return np.interp(np.arange(len(values)), at.ravel(), zeros.ravel())


def dive_for_roll(along: np.ndarray, yaw_rate: np.ndarray, rate: float) -> np.ndarray:
    """What a roll gyro misses for each radian of dive per g, as the integral of θ r.

    Parameters
    ----------
    along, yaw_rate : (n,) array
        Longitudinal acceleration [m/s²] and yaw rate [rad/s].
    rate : float
        [Hz].

    Returns
    -------
    (n,) array
        To be treated as the roll is [g·rad].

    Notes
    -----
    Braking by a, the body dives by θ = −D a/g; in a bend the gyro then reads p = φ' − θ r.
    """
    return _integral(along / STANDARD_GRAVITY * yaw_rate, rate)


def knot_means(values: np.ndarray, runs: Runs, *, rate: float) -> np.ndarray:
    """Mean over the first and the last seconds of every straight, (straights, 2).

    Parameters
    ----------
    values : (n,) array
        Readings [any unit].
    runs, rate : sequence, float
        As for `carried` [-, Hz].

    Returns
    -------
    (straights, 2) array
        [that unit].
    """
    total = np.concatenate([[0.0], np.cumsum(values)])
    starts, ends = np.array(runs).T
    width = np.minimum(int(KNOT * rate), ends - starts)
    first = (total[starts + width] - total[starts]) / width
    last = (total[ends] - total[ends - width]) / width
    return np.column_stack([first, last])


def _knots(starts: np.ndarray, ends: np.ndarray, *, rate: float) -> np.ndarray:
    width = np.minimum(int(KNOT * rate), ends - starts) / 2.0
    return np.column_stack([starts + width, ends - width])


def _integral(values: np.ndarray, rate: float) -> np.ndarray:
    return np.cumsum(values) / rate


def _taken_for_roll(error: np.ndarray, turn: np.ndarray, lasting: np.ndarray) -> float:
    """Roll that the sensor reads for each unit of turning: the slope of the closing errors."""
    if len(error) < FEWEST or not (turn.min() < 0.0 < turn.max()):
        return 0.0  # one way only: drift and turning cannot be told apart
    design = np.column_stack([lasting, turn])
    found = float(np.linalg.lstsq(design, error, rcond=None)[0][1])
    return found if math.isfinite(found) else 0.0
