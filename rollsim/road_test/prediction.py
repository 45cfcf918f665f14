"""What the full model says that a road test will measure, with the band of its inputs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.mass import FittedBar, State
from rollsim.measured import Prediction
from rollsim.road_test.interval import Sensor
from rollsim.roll import TURN, cab_roll, follow, turns
from rollsim.tolerance import Tolerance, band, lean_samples, shifting
from rollsim.vehicle import Job

CAB_SHARE = "vehicle.cab_share_of_twist"  # key of what the tray's lean does not hang on


@dataclass(frozen=True, slots=True)
class Predicted:
    """A roll gradient over the range of a drive.

    Parameters
    ----------
    gradient : float
        [rad/(m/s²)]; NaN where the vehicle tips within the range.
    low, high : float
        Where it lies in nine of ten cases [rad/(m/s²)]; NaN where no input has a tolerance.
    """

    gradient: float
    low: float
    high: float


def driven_gradient(
    state: State,
    ends: tuple[float, float],
    bar: FittedBar | None = None,
    sensor: Sensor = Sensor.CAB,
) -> Prediction:
    """Predict the gradient between two lateral accelerations.

    Parameters
    ----------
    state : State
        As it was driven.
    ends : tuple of float
        Least and greatest lateral acceleration of the drive [m/s²].
    bar : FittedBar or None
        A rear bar in place of the one on the vehicle.
    sensor : Sensor
        Whose lean was measured [-].

    Returns
    -------
    callable
        From a job to its roll gradient [rad/(m/s²)], the mean of left and right turn.

    Notes
    -----
    G = (φ(a₂) − φ(a₁))/(a₂ − a₁): friction and a lean at rest cancel, as they do in the line of
    the measurement.
    """

    def predict(job: Job) -> float:
        job = _at(sensor, job)
        model, settled = settle(mass.model(job, state, bar), TURN)
        if not settled.converged[0]:
            return math.nan
        slopes = []
        for one, rest in turns(model, settled):
            lower, upper = follow(one, rest, ends)
            leans = [float(cab_roll(one, point.x)[0]) for point in (lower, upper)]
            slopes.append((leans[1] - leans[0]) / (ends[1] - ends[0]))
        return float(np.mean(slopes))  # NaN where an end was not reached

    return predict


def predicted(
    job: Job,
    tolerances: Sequence[Tolerance],
    state: State,
    *,
    ends: tuple[float, float],
    bar: FittedBar | None = None,
    sensor: Sensor = Sensor.CAB,
) -> Predicted:
    """Predict what a drive will measure, with its band.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    tolerances : sequence of Tolerance
        Of the inputs [SI].
    state : State
        As it was driven.
    ends : tuple of float
        Least and greatest lateral acceleration of the drive [m/s²].
    bar : FittedBar or None
        A rear bar in place of the one on the vehicle.
    sensor : Sensor
        Whose lean was measured [-].

    Returns
    -------
    Predicted
        [rad/(m/s²)]
    """
    gradient = driven_gradient(state, ends, bar, sensor)(job)
    job = _at(sensor, job)
    if sensor is Sensor.TRAY:
        tolerances = [one for one in tolerances if one.key != CAB_SHARE]
    if not shifting(tolerances) or not math.isfinite(gradient):
        return Predicted(gradient, math.nan, math.nan)
    lower, upper = (at * lean_samples(job, tolerances, state.name, at=at, bar=bar) for at in ends)
    samples = (upper - lower) / (ends[1] - ends[0])
    found = band(np.where(np.isfinite(samples), samples, np.inf))
    return Predicted(gradient, found.low, found.high)


def _at(sensor: Sensor, job: Job) -> Job:
    """The job as the sensor feels it: a cab that took all of the twist would lean like the tray."""
    if sensor is Sensor.CAB:
        return job
    return replace(job, vehicle=replace(job.vehicle, cab_share_of_twist=1.0))
