"""Vehicles with their inputs drawn in their tolerances: the same draws every time."""

from collections.abc import Callable, Sequence
from functools import lru_cache, partial

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, Solution, settle
from rollsim.mass import FittedBar
from rollsim.roll import TURN
from rollsim.tolerance.bar_shifts import BarShift, OrderedBar, bar_shifting
from rollsim.tolerance.shifts import Shift, Tolerance, limited, shifting
from rollsim.vehicle import Job

SAMPLES = 256  # of a band: the quantiles then stand to about a tenth of the band
SIGMAS = 1.6448536269514722  # a tolerance is taken as this many: the 90 % band of a normal
FURTHEST = 3.0  # sigmas; beyond, a sample would be no vehicle

Drawn = tuple[Job, FittedBar | OrderedBar | None]
Known = tuple[Tolerance, Callable[[Drawn, float], Drawn]]


def drawn(
    job: Job,
    tolerances: Sequence[Tolerance],
    *,
    bar: FittedBar | OrderedBar | None = None,
    count: int = SAMPLES,
) -> list[Drawn]:
    """Vehicle and bar with their inputs drawn in their tolerances.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    tolerances : sequence of Tolerance
        Those that do not touch the vehicle are passed over.
    bar : FittedBar, OrderedBar or None
        A rear bar in place of the one on the vehicle; one to be ordered is drawn as well.
    count : int
        Number of samples [-].

    Returns
    -------
    list of (Job, bar)
        The same draws every time, with and without a bar [SI].
    """
    known, draws = known_shifts(tolerances, bar), _draws_of(tolerances, count)
    of_job = len(shifting(tolerances))
    jobs = [(one, bar) for one in _jobs(job, tuple(tolerances), count)]
    return shifted(jobs, known[of_job:], draws[:, of_job : len(known)])


@lru_cache(maxsize=4)
def _jobs(job: Job, tolerances: tuple[Tolerance, ...], count: int) -> tuple[Job, ...]:
    """The job with its inputs drawn: kept, since every state and every bar is asked of the same."""
    known = known_shifts(tolerances, None)
    draws = _draws_of(tolerances, count)[:, : len(known)]
    return tuple(one for one, _ in shifted([(job, None)] * count, known, draws))


def _draws_of(tolerances: Sequence[Tolerance], count: int) -> np.ndarray:
    """Draws of all inputs, those of a bar last, whether or not it is on.

    So samples of different states belong together, one by one.
    """
    return spread_draws(len(shifting(tolerances)) + len(bar_shifting(tolerances)), count)


@lru_cache(maxsize=4)
def spread_draws(inputs: int, count: int) -> np.ndarray:
    """Standard normal draws, spread evenly; the same every time.

    Parameters
    ----------
    inputs, count : int
        How many of each [-].

    Returns
    -------
    (count, inputs) array
        At most `FURTHEST` from 0 [-].
    """
    if inputs == 0:
        return np.zeros((count, 0))
    from scipy.stats import norm, qmc

    flat = qmc.Sobol(inputs, rng=0).random(count)
    draws = np.clip(norm.ppf(flat), -FURTHEST, FURTHEST)
    draws.flags.writeable = False
    return draws


def known_shifts(
    tolerances: Sequence[Tolerance], bar: FittedBar | OrderedBar | None
) -> list[Known]:
    """The tolerances that move the vehicle, and the bar where one is ordered.

    Parameters
    ----------
    tolerances : sequence of Tolerance
        Of a scenario [unit of each].
    bar : FittedBar, OrderedBar or None
        In place of the one on the vehicle.

    Returns
    -------
    list of (Tolerance, callable)
        Each with what shifts vehicle and bar by so much [its unit].
    """
    found = [(one, partial(_on_job, shift)) for one, shift in shifting(tolerances)]
    if isinstance(bar, OrderedBar):
        found += [(one, partial(_on_bar, shift)) for one, shift in bar_shifting(tolerances)]
    return found


def _on_job(change: Shift, drawn: Drawn, shift: float) -> Drawn:
    return change(drawn[0], shift), drawn[1]


def _on_bar(change: BarShift, drawn: Drawn, shift: float) -> Drawn:
    return drawn[0], change(drawn[1], shift)


def shifted(drawn: Sequence[Drawn], known: list[Known], draws: np.ndarray) -> list[Drawn]:
    """Each job and bar with their inputs shifted by a row of draws.

    Parameters
    ----------
    drawn : sequence of (Job, bar)
        N of them [SI].
    known : list of (Tolerance, callable)
        From `known_shifts`.
    draws : (N, len(known)) array
        In tolerances over `SIGMAS` [-].

    Returns
    -------
    list of (Job, bar)
        [SI].
    """
    found = []
    for pair, row in zip(drawn, draws, strict=True):
        moved = pair
        for (one, shift), draw in zip(known, row, strict=True):
            moved = shift(moved, limited(one, draw * one.tolerance / SIGMAS))
        found.append(moved)
    return found


def settled(drawn: list[Drawn], *states: str) -> tuple[Model, Solution]:
    """Each of them at rest in one state, then in the next.

    Parameters
    ----------
    drawn : list of (Job, bar)
        N of them, all with a bar or none [SI].
    states : str
        Names of S states.

    Returns
    -------
    tuple of Model and Solution
        S times N, as `settle` gives them [m/s²; rad, m].
    """
    members = [(job, mass.named(job, state)) for state in states for job, _ in drawn]
    hung = [bar.fitted if isinstance(bar, OrderedBar) else bar for _, bar in drawn]
    bars = None if None in hung else hung * len(states)
    return settle(mass.models(members, bars), TURN)
