"""Bounce test: rocked sideways and let go, what each swing leaves of the last gives the damping."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rollsim.estimates import Estimate, least_squares

EYE_ERROR = 0.003 / 1.645  # m, standard error of one swing by eye against a tape; judgement
LOG_SHARE = 0.03  # of the first swing, standard error of one swing of a log; judgement
LEAST_SWING = 0.03  # of the first: what is smaller in a log is friction and noise
MOST_SWINGS = 8
FEWEST_SAMPLES = 20
LEAST_RATIO, GREATEST_RATIO = 0.03, 0.9  # of anything on wheels
LONGEST_SWING = 2.0  # s: nothing on wheels rolls slower
SMOOTHED = 0.06  # s: a running mean takes the same share of every swing
STANDS_OUT = 3.0  # standard errors of a swing off the line


@dataclass(frozen=True, slots=True)
class BounceResult:
    """What a bounce test says.

    Parameters
    ----------
    damping_ratio : Estimate
        Of the body in roll [-].
    largest_residual : float
        Of a swing off the line, over its standard error [-]: one that stands out tells of friction
        that holds the small swings, or of a slip.
    """

    damping_ratio: Estimate
    largest_residual: float


def bounce(runs: Sequence[Sequence[float]], *, reading_error: float | None = None) -> BounceResult:
    """Damping ratio from swings that grow smaller.

    Parameters
    ----------
    runs : sequence of sequences of float
        Of each run the swings from turning point to turning point, one after the other [m, or any
        unit, the same].
    reading_error : float or None
        Standard error of one swing [same unit]; None: by eye against a tape.

    Returns
    -------
    BounceResult
        [-].

    Raises
    ------
    ValueError
        If no run has two swings, or they do not grow smaller, or no vehicle swings like that.

    Notes
    -----
    Each half period leaves e^{−δ}, δ = πζ/√(1 − ζ²), of a swing: ln x_n = c − n δ with a c for each
    run, weighted by x_n, since σ of ln x is σ/x. ζ = δ/√(π² + δ²). Where the error of a reading is
    stated, by it; turning points are read from one to the next, so where it rests does not count.
    [vibration]

    Examples
    --------
    >>> found = bounce([[0.080, 0.0298, 0.0111]]).damping_ratio
    >>> round(found.value, 3), round(found.standard_error, 3)
    (0.3, 0.015)
    """
    error = EYE_ERROR if reading_error is None else reading_error
    counted = [np.asarray(run, dtype=float) for run in runs if len(run) > 1]
    if not counted:
        raise ValueError(
            "no run has two swings; read how far it goes from turning point to turning point, at "
            "least twice in one run"
        )
    sizes = np.concatenate(counted)
    if not (sizes > 0.0).all():
        raise ValueError("a swing of no size tells nothing; leave it out")
    weights = sizes / error
    order = np.concatenate([np.arange(len(run)) for run in counted])
    of_run = np.repeat(np.arange(len(counted)), [len(run) for run in counted])
    columns = [-order * weights, *(weights * (of_run == n) for n in range(len(counted)))]
    fit = least_squares(columns, weights * np.log(sizes), 1.0)
    decrement = float(fit.coefficients[0])
    if not decrement > 0.0:
        raise ValueError(
            "the swings do not grow smaller; let go and leave it alone, and check their order"
        )
    whole = np.hypot(np.pi, decrement)
    if not LEAST_RATIO <= decrement / whole <= GREATEST_RATIO:
        raise ValueError(
            f"the swings give a damping ratio of {decrement / whole:.3f}; a vehicle has "
            f"{LEAST_RATIO:g} to {GREATEST_RATIO:g}: check that it was let go and swung by itself"
        )
    slope = np.pi**2 / whole**3
    spread = float(np.sqrt(fit.covariance[0, 0]))
    return BounceResult(
        Estimate(float(decrement / whole), float(slope * spread)), float(fit.largest_residual)
    )


def swings(time: np.ndarray, signal: np.ndarray) -> tuple[float, ...]:
    """Swings in a log of one run, from turning point to turning point.

    Parameters
    ----------
    time : (n,) array
        [s].
    signal : (n,) array
        Roll rate or roll angle while it was let go [rad/s or rad]; either decays alike.

    Returns
    -------
    tuple of float
        From the largest one on [unit of the signal].

    Raises
    ------
    ValueError
        If there are not two swings.

    Examples
    --------
    >>> t = np.linspace(0.0, 3.0, 301)
    >>> found = swings(t, np.exp(-2.0 * t) * np.sin(10.0 * t))
    >>> round(found[1] / found[0], 2)
    0.53
    """
    read = np.isfinite(signal)
    if read.sum() < FEWEST_SAMPLES:
        raise ValueError("the log holds hardly any roll; log until it is still")
    time, signal = time[read], signal[read]
    count = max(1, round(SMOOTHED / float(np.median(np.diff(time)))))
    smooth = np.convolve(signal - np.median(signal), np.full(count, 1.0 / count), mode="same")
    turns = np.flatnonzero(np.diff(np.sign(smooth)) != 0.0) + 1
    parts = np.split(np.arange(len(smooth)), turns)
    peaks = np.array([part[np.argmax(np.abs(smooth[part]))] for part in parts])
    peaks = peaks[np.argmax(np.abs(smooth[peaks])) :]
    sizes = np.abs(smooth[peaks])
    ends = (sizes < LEAST_SWING * sizes[0]) | (
        np.diff(time[peaks], prepend=time[peaks[0]]) > LONGEST_SWING
    )
    last = int(np.argmax(ends)) if ends.any() else len(ends)
    kept = sizes[: min(last, MOST_SWINGS)]
    if len(kept) < 3 or not kept[0] > 0.0:
        raise ValueError(
            "found no two swings in the log; rock it sideways, let go, and log until it is still"
        )
    return tuple(float(each) for each in kept[:-1] + kept[1:])
