"""How well did the shop's predictions come true, and what is normal there?

Told beside a band and never mixed into it: a shop's jobs are no draws of one vehicle's inputs.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from rollsim.estimates import CONFIDENCE, Estimate
from rollsim.record.kept import JobRecord

FEWEST = 5
"""Jobs, or vehicles, below which nothing is said: a project default, no source."""


@dataclass(frozen=True, slots=True)
class Accuracy:
    """Measured lean over predicted lean, less one [-], over so many jobs.

    `bias` is the mean, `scatter` the standard deviation of single jobs about it, with its 95 %
    interval; the scatter of the tests themselves is in it.
    """

    count: int
    bias: Estimate
    scatter: float
    scatter_error: float
    scatter_interval: tuple[float, float]


@dataclass(frozen=True, slots=True)
class NormalLean:
    """Lean of the empty vehicles of a class at 0.3 g: mean and standard deviation [rad]."""

    vehicle_class: str
    count: int
    mean: float
    deviation: float


def accuracy(predicted: Sequence[float], measured: Sequence[float]) -> Accuracy | None:
    """Bias by Student's t and scatter by chi-square from pairs of leans [any unit, the same].

    None under five pairs.

    Notes
    -----
    Errors independent and normal: mean ± t s/√n, and s √((n - 1)/χ²) at both ends.
    """
    count = len(predicted)
    if count < FEWEST:
        return None
    from scipy.special import chdtri  # late: a fifth of a second that few answers need

    errors = np.asarray(measured, dtype=float) / np.asarray(predicted, dtype=float) - 1.0
    spread, free = float(errors.std(ddof=1)), count - 1
    tails = (0.5 * (1.0 - CONFIDENCE), 0.5 * (1.0 + CONFIDENCE))
    low, high = (spread * math.sqrt(free / float(chdtri(free, tail))) for tail in tails)
    return Accuracy(
        count=count,
        bias=Estimate(float(errors.mean()), spread / math.sqrt(count), free),
        scatter=spread,
        scatter_error=spread / math.sqrt(2.0 * free),
        scatter_interval=(low, high),
    )


def accuracy_of(jobs: Iterable[JobRecord]) -> Accuracy | None:
    """That of a shop's jobs, each held against what was predicted before it was measured.

    Once a test has put a vehicle's model right it predicts what was measured: of several sheets of
    one vehicle, case and bar the first one's prediction counts, and the last one's reading.
    """
    together: dict[tuple, list[JobRecord]] = {}
    for number, job in enumerate(jobs):
        own = (job.plate, job.case, job.bar) if job.plate else (number,)
        together.setdefault(own, []).append(job)
    pairs = []
    for same in together.values():
        predicted = next((job.predicted for job in same if job.predicted > 0.0), math.nan)
        measured = [job.measured for job in same if math.isfinite(job.measured)]
        if measured and math.isfinite(predicted):
            pairs.append((predicted, measured[-1]))
    return accuracy(*zip(*pairs, strict=True)) if pairs else None


def normal_leans(jobs: Iterable[JobRecord]) -> tuple[NormalLean, ...]:
    """Normal lean of each class with five vehicles or more, each vehicle counted once."""
    seen: set[str] = set()
    leans: dict[str, list[float]] = {}
    for job in jobs:
        if not job.vehicle_class or not math.isfinite(job.unladen) or job.plate in seen:
            continue
        if job.plate:
            seen.add(job.plate)
        leans.setdefault(job.vehicle_class, []).append(job.unladen)
    return tuple(
        NormalLean(name, len(own), float(np.mean(own)), float(np.std(own, ddof=1)))
        for name, own in sorted(leans.items())
        if len(own) >= FEWEST
    )
