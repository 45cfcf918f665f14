"""Up to which lateral acceleration may a road test go with this vehicle?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rollsim import mass
from rollsim.equilibrium import concatenate, settle
from rollsim.mass import FittedBar, State
from rollsim.roll import TURN, thresholds
from rollsim.tolerance import SIGMAS, Tolerance, shifting
from rollsim.tolerance.shifts import limited
from rollsim.vehicle import STANDARD_GRAVITY, Job

MOST = 0.4 * STANDARD_GRAVITY
SHARE = 0.5  # of where a wheel lifts or the vehicle tips
TOO_LITTLE = 0.3 * STANDARD_GRAVITY  # below it a drive is not worth it: lean test
SAMPLES = 32
LOWER = 0.05  # of the samples lie below the lower end of the band


@dataclass(frozen=True, slots=True)
class Allowance:
    """How far a test drive may go.

    Parameters
    ----------
    limit : float
        No lateral acceleration above it [m/s²]; 0 where the threshold was not resolved.
    first : float
        The vehicle's own: where the first wheel lifts, or it tips [m/s²].
    lower : float
        Lower end of the band of that [m/s²]; the same where no input has a tolerance.
    banded : bool
        Inputs have tolerances.
    """

    limit: float
    first: float
    lower: float
    banded: bool

    @property
    def is_too_little(self) -> bool:
        """The lean test in the bay has to do instead."""
        return self.limit < TOO_LITTLE


def allowance(
    job: Job,
    tolerances: Sequence[Tolerance],
    state: State,
    *,
    bar: FittedBar | None = None,
) -> Allowance:
    """The rule of the test drive with this vehicle's own figure.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    tolerances : sequence of Tolerance
        Of the inputs [SI].
    state : State
        As it is to be driven.
    bar : FittedBar or None
        A rear bar in place of the one on the vehicle.

    Returns
    -------
    Allowance
        [m/s²]

    Notes
    -----
    The least of 0.4 g and half the lower end of the band in which a wheel lifts or the vehicle
    tips, the worse of left and right turn. This is a rule of the project, no assurance.
    """
    known = shifting(tolerances)
    models = [mass.model(job, state, bar)]
    for row in _draws(len(known)) if known else ():
        shifted = job
        for (one, shift), draw in zip(known, row, strict=True):
            shifted = shift(shifted, limited(one, draw * one.tolerance / SIGMAS))
        chosen = next(s for s in mass.states(shifted) if s.name == state.name)
        models.append(mass.model(shifted, chosen, bar))
    model, settled = settle(concatenate(models), TURN)
    found = thresholds(model, settled, TURN)
    lifts = np.fmin(found.inner_front_lift, found.inner_rear_lift)
    first = np.where(np.isnan(found.tip_over), np.nan, np.fmin(lifts, found.tip_over))
    # What was not resolved or does not stand counts as the worst.
    samples = np.where(np.isnan(first[1:]), 0.0, first[1:])
    own = float(first[0])
    lower = float(np.quantile(samples, LOWER, method="lower")) if known else own
    if math.isnan(own):
        return Allowance(0.0, own, math.nan, bool(known))
    return Allowance(min(MOST, SHARE * min(lower, own)), own, lower, bool(known))


def _draws(inputs: int) -> np.ndarray:
    """Normal draws spread evenly, the same every time."""
    from scipy.stats import norm, qmc

    return np.clip(norm.ppf(qmc.Sobol(inputs, rng=0).random(SAMPLES)), -3.0, 3.0)
