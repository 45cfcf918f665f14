"""How well did the shop's predictions come true, and what is normal there?

Told beside a band and never mixed into it: a shop's jobs are no draws of one vehicle's inputs.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from rollsim.estimates import CONFIDENCE, Estimate
from rollsim.record.kept import JobRecord, in_order
from rollsim.record.listing import LONGEST_OPEN, in_time

FEWEST = 5
"""Vehicles below which nothing is said: a project default, no source."""
COUNTED = (math.radians(0.05), math.radians(45.0))
"""Leans [rad] that are counted: beyond them a share of the lean says nothing."""
NOT_PREDICTED = "no sheet of this vehicle and case from before it was measured"
OTHER_BAR = "measured with another bar than was predicted"
TOO_LATE = f"measured more than {LONGEST_OPEN.days} days after the prediction"
NO_LEAN = f"a lean outside {math.degrees(COUNTED[0]):g}° to {math.degrees(COUNTED[1]):g}°"


@dataclass(frozen=True, slots=True)
class Accuracy:
    """Measured lean over predicted lean, less one [-], over so many vehicles.

    `count` vehicles, each with the mean of its own of all `jobs`. `bias` is their mean, `scatter`
    their standard deviation about it, with its 95 % interval; that of the tests is in it.
    """

    count: int
    jobs: int
    bias: Estimate
    scatter: float
    scatter_error: float
    scatter_interval: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Compared:
    """Predictions held against readings: error [-] of each job by plate, and what is left out.

    `left_out` has the file of a reading and why it is not counted; `without_plate` is how many
    sheets have no registration.
    """

    errors: dict[str, tuple[float, ...]]
    left_out: tuple[tuple[str, str], ...] = ()
    without_plate: int = 0


@dataclass(frozen=True, slots=True)
class NormalLean:
    """Lean of the empty vehicles of a class at 0.3 g: mean and standard deviation [rad]."""

    vehicle_class: str
    count: int
    mean: float
    deviation: float


def accuracy(errors: Sequence[float], jobs: int | None = None) -> Accuracy | None:
    """Bias by Student's t and scatter by chi-square from the error of each vehicle [-].

    None under five. `jobs` is how many they are the means of, where not one each.

    Notes
    -----
    Errors independent and normal: mean ± t s/√n, and s √((n - 1)/χ²) at both ends.
    """
    count = len(errors)
    if count < FEWEST:
        return None
    from scipy.special import chdtri  # late: a fifth of a second that few answers need

    spread, free = float(np.std(errors, ddof=1)), count - 1
    tails = (0.5 * (1.0 - CONFIDENCE), 0.5 * (1.0 + CONFIDENCE))
    low, high = (spread * math.sqrt(free / float(chdtri(free, tail))) for tail in tails)
    return Accuracy(
        count=count,
        jobs=count if jobs is None else jobs,
        bias=Estimate(float(np.mean(errors)), spread / math.sqrt(count), free),
        scatter=spread,
        scatter_error=spread / math.sqrt(2.0 * free),
        scatter_interval=(low, high),
    )


def accuracy_of(jobs: Iterable[JobRecord]) -> Accuracy | None:
    """That of a shop's jobs; of a vehicle with several the mean counts, as one."""
    errors = compared(jobs).errors.values()
    return accuracy([float(np.mean(own)) for own in errors], sum(map(len, errors)))


def compared(jobs: Iterable[JobRecord]) -> Compared:
    """Each reading against what was predicted before there was one.

    Once a test has put a vehicle's model right it predicts what was measured. So a sheet without a
    reading opens a job of its vehicle and case, sheets made again change nothing, and the next
    reading closes it; one that is repeated takes its place.
    """
    together: dict[tuple[str, str], list[JobRecord]] = {}
    bare = 0
    for job in in_order(jobs):
        if job.plate:
            together.setdefault((job.plate, job.case), []).append(job)
        elif job.kept_leans:
            bare += 1
    errors: dict[str, tuple[float, ...]] = {}
    left_out = []
    for (plate, _), own in together.items():
        found, out = _one_vehicle(own)
        left_out += out
        if found:
            errors[plate] = (*errors.get(plate, ()), *found)
    return Compared(errors, tuple(left_out), bare)


def _one_vehicle(jobs: Iterable[JobRecord]) -> tuple[list[float], list[tuple[str, str]]]:
    """Errors of the jobs of a vehicle in one case, in order, and the readings left out."""
    errors: dict[int, float] = {}
    left_out, opened, number, is_open = [], None, 0, False
    for job in jobs:
        if math.isfinite(job.measured):
            is_open = False
            if why := _why_left_out(opened, job):
                left_out.append((job.file, why))
            else:
                errors[number] = job.measured / opened.predicted - 1.0
        elif math.isfinite(job.predicted) and not (is_open and in_time(opened, job)):
            opened, number, is_open = job, number + 1, True
    return list(errors.values()), left_out


def _why_left_out(opened: JobRecord | None, job: JobRecord) -> str:
    """Why a reading is not of the job that is open; empty where it is."""
    if opened is None:
        return NOT_PREDICTED
    if not in_time(opened, job):
        return TOO_LATE
    if job.bar != opened.bar:
        return OTHER_BAR
    return "" if _is_counted(opened.predicted) and _is_counted(job.measured) else NO_LEAN


def _is_counted(lean: float) -> bool:
    return COUNTED[0] <= lean <= COUNTED[1]


def normal_leans(jobs: Iterable[JobRecord]) -> tuple[NormalLean, ...]:
    """Normal lean of each class with five vehicles or more, each as it first came."""
    leans: dict[str, dict[str, float]] = {}
    for job in in_order(jobs):
        if job.plate and job.vehicle_class and _is_counted(job.unladen):
            leans.setdefault(job.vehicle_class, {}).setdefault(job.plate, job.unladen)
    return tuple(
        NormalLean(name, len(own), float(np.mean(own)), float(np.std(own, ddof=1)))
        for name, own in sorted((name, list(found.values())) for name, found in leans.items())
        if len(own) >= FEWEST
    )
