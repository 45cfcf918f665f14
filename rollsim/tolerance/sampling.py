"""How far do the tolerances of the inputs carry, and which input to measure better?

Every sample is a job with its inputs shifted; all are solved in one batch of the full model.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rollsim import mass
from rollsim.mass import UNLADEN, FittedBar
from rollsim.roll import SECANT_AT, TURN, measured_roll_gradient, thresholds
from rollsim.tolerance.bar_shifts import OrderedBar
from rollsim.tolerance.draws import (
    FURTHEST,
    SAMPLES,
    Known,
    drawn,
    known_shifts,
    settled,
    shifted,
    spread_draws,
)
from rollsim.tolerance.shifts import Tolerance, shifting
from rollsim.vehicle import Job

SOBOL_SAMPLES = 64
TIPPING_SAMPLES = 64  # whole per cent are told, and the page is not to wait
STRONGEST = 8  # inputs that Sobol indices are worked out for
BAND = (0.05, 0.95)


@dataclass(frozen=True, slots=True)
class Band:
    """Where a result lies in nine of ten cases: low and high end [unit of the result]."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Influence:
    """What one input does to a result.

    Parameters
    ----------
    key : str
        Of the file.
    share : float
        Of the variance of the result that goes with it, alone or with others [-].
    """

    key: str
    share: float


def lean_samples(
    job: Job,
    tolerances: Sequence[Tolerance],
    state: str,
    *,
    at: float | None = SECANT_AT,
    bar: FittedBar | OrderedBar | None = None,
    count: int = SAMPLES,
) -> np.ndarray:
    """Roll gradient of one state as a target measures it, for inputs drawn in their tolerances.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    tolerances : sequence of Tolerance
        Those that do not touch the vehicle are passed over.
    state : str
        Name of the state.
    at : float or None
        Lateral acceleration of the secant roll gradient [m/s²]; None: linear.
    bar : FittedBar, OrderedBar or None
        A rear bar in place of the one on the vehicle; one to be ordered is drawn as well.
    count : int
        Number of samples [-].

    Returns
    -------
    (count,) array
        [rad/(m/s²)], the mean of both turns, as a bar is sized to; infinite where it tips first.
        The same draws every time, in every state, with and without a bar.
    """
    model, rest = settled(drawn(job, tolerances, bar=bar, count=count), state)
    return measured_roll_gradient(model, rest, at)


def band(samples: np.ndarray) -> Band:
    """The 5 to 95 % band.

    Parameters
    ----------
    samples : (N,) array
        Of a result [its unit].

    Returns
    -------
    Band
        Ends [its unit]; infinite where that many tip.

    Examples
    --------
    >>> band(np.arange(101.0))
    Band(low=5.0, high=95.0)
    """
    low, high = np.quantile(samples, BAND, method="nearest")
    return Band(float(low), float(high))


@dataclass(frozen=True, slots=True)
class LeanBands:
    """Bands of one state, each of the mean of both turns [rad/(m/s²)].

    Parameters
    ----------
    state : str
        Its name.
    linear, secant : Band
        Roll gradient at straight ahead, and at 0.4 g; infinite where that many tip.
    """

    state: str
    linear: Band
    secant: Band


def lean_bands(
    job: Job, tolerances: Sequence[Tolerance], *, count: int = SAMPLES
) -> tuple[LeanBands, ...]:
    """Bands of the roll gradients of every state.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    tolerances : sequence of Tolerance
        Those that do not touch the vehicle are passed over.
    count : int
        Number of samples [-].

    Returns
    -------
    tuple of LeanBands
        Of the samples of `lean_samples` [rad/(m/s²)]; empty where nothing has a tolerance.
    """
    if not shifting(tolerances):
        return ()
    vehicles = drawn(job, tolerances, count=count)
    found = []
    for state in mass.states(job):
        model, rest = settled(vehicles, state.name)
        ends = [band(measured_roll_gradient(model, rest, at)) for at in (None, SECANT_AT)]
        found.append(LeanBands(state.name, *ends))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class TippingSamples:
    """Thresholds of one state, the worse of both turns, for inputs drawn in their tolerances.

    Parameters
    ----------
    state : str
        Its name.
    first_lift, tip_over : (N,) arrays
        Where the first wheel lifts, and where it tips over [m/s²]; NaN where no figure was found.
    """

    state: str
    first_lift: np.ndarray
    tip_over: np.ndarray


def tipping_samples(
    job: Job,
    tolerances: Sequence[Tolerance],
    states: Sequence[str],
    *,
    count: int = TIPPING_SAMPLES,
) -> tuple[TippingSamples, ...]:
    """Wheel lift and tipping of several states for the same draws, in one batch.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    tolerances : sequence of Tolerance
        Those that do not touch the vehicle are passed over.
    states : sequence of str
        Names of the states.
    count : int
        Number of samples [-].

    Returns
    -------
    tuple of TippingSamples
        The samples of one state belong to those of another, one by one. A vehicle that tips before
        a wheel lifts has its first lift where it tips.
    """
    found = thresholds(*settled(drawn(job, tolerances, count=count), *states), TURN)
    lift = np.fmin(found.inner_front_lift, found.inner_rear_lift)
    lift = np.where(np.isnan(lift), found.tip_over, lift)
    shape = (len(states), count)
    rows = zip(states, lift.reshape(shape), found.tip_over.reshape(shape), strict=True)
    return tuple(TippingSamples(*row) for row in rows)


def chance_of_target(samples: np.ndarray, target: float | np.ndarray, tolerance: float) -> float:
    """How likely a result lies at most so far above its target.

    Parameters
    ----------
    samples : (N,) array
        Of a result [its unit].
    target : float or (N,) array
        The target, sample by sample where it moves with the inputs [the same unit].
    tolerance : float
        How far above, as a share of the target [-].

    Returns
    -------
    float
        [-]

    Examples
    --------
    >>> chance_of_target(np.array([0.9, 1.0, 1.04, 1.2]), 1.0, 0.05)
    0.75
    """
    return float(np.mean(samples / target - 1.0 <= tolerance))


def wanted_samples(
    job: Job, tolerances: Sequence[Tolerance], case: str, *, at: float, count: int = SAMPLES
) -> float | np.ndarray:
    """The target, sample by sample where it moves with the inputs.

    Parameters
    ----------
    job : Job
        With its target.
    tolerances : sequence of Tolerance
        Of the scenario.
    case : str
        Name of the state sized for.
    at : float
        Where the target is measured [m/s²].
    count : int
        Number of samples [-].

    Returns
    -------
    float or (count,) array
        [rad/(m/s²)]
    """
    target = job.target
    if target.roll_gradient is not None:
        return target.roll_gradient
    if target.less_than_now is not None:
        now = lean_samples(job, tolerances, case, at=at, count=count)
        return now * (1.0 - target.less_than_now)
    return lean_samples(job, tolerances, UNLADEN, at=at, count=count)


def influences(
    job: Job,
    tolerances: Sequence[Tolerance],
    state: str,
    *,
    at: float | None = SECANT_AT,
    bar: FittedBar | OrderedBar | None = None,
) -> tuple[Influence, ...]:
    """Which inputs the uncertainty of a lean comes from: total Sobol indices.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    tolerances : sequence of Tolerance
        Those that do not touch the vehicle are passed over.
    state : str
        Name of the state.
    at : float or None
        Lateral acceleration of the secant roll gradient [m/s²]; None: linear.
    bar : FittedBar, OrderedBar or None
        A rear bar in place of the one on the vehicle; one to be ordered is drawn as well.

    Returns
    -------
    tuple of Influence
        The greatest first; empty where nothing has a tolerance or the state may tip.

    Notes
    -----
    Total indices by scipy.stats.sobol_indices, inputs independent and normal, of the `STRONGEST`
    inputs that a straight line through the samples finds; the others stay at their values.
    """
    from scipy.stats import norm, sobol_indices

    known = _strongest(job, known_shifts(tolerances, bar), state=state, at=at, bar=bar)
    if not known:
        return ()

    def lean(x: np.ndarray) -> np.ndarray:
        limited = np.clip(x, -FURTHEST, FURTHEST)
        return _lean(job, known, limited.T, state=state, at=at, bar=bar)

    try:
        found = sobol_indices(func=lean, n=SOBOL_SAMPLES, dists=[norm()] * len(known), rng=0)
    except ValueError:
        return ()
    shares = found.total_order
    if not np.isfinite(shares).all():
        return ()
    pairs = (Influence(t.key, float(s)) for (t, _), s in zip(known, shares, strict=True))
    return tuple(sorted(pairs, key=lambda one: -one.share))


def _strongest(
    job: Job,
    known: list[Known],
    *,
    state: str,
    at: float | None,
    bar: FittedBar | OrderedBar | None,
) -> list[Known]:
    """The inputs that a straight line through the samples finds to matter most."""
    if len(known) <= STRONGEST:
        return known
    draws = spread_draws(len(known), SAMPLES)
    lean = _lean(job, known, draws, state=state, at=at, bar=bar)
    standing = np.isfinite(lean)
    if standing.sum() <= 2 * len(known):
        return []
    x = np.column_stack([np.ones(int(standing.sum())), draws[standing]])
    slopes = np.abs(np.linalg.lstsq(x, lean[standing], rcond=None)[0][1:])
    return [known[n] for n in sorted(np.argsort(-slopes)[:STRONGEST])]


def _lean(
    job: Job,
    known: list[Known],
    draws: np.ndarray,
    *,
    state: str,
    at: float | None,
    bar: FittedBar | OrderedBar | None,
) -> np.ndarray:
    """Roll gradients as a target measures them, one for each row of draws."""
    model, rest = settled(shifted([(job, bar)] * len(draws), known, draws), state)
    return measured_roll_gradient(model, rest, at)
