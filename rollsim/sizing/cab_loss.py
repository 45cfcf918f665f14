"""How much of a rear bar's effect does a frame that twists keep from the cab?"""

from dataclasses import replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, concatenate, settle
from rollsim.mass import FittedBar
from rollsim.roll import TURN, measured_roll_gradient
from rollsim.vehicle import Job

LEAST_GAIN = 0.01  # of the lean without a bar: of less no share is told


def lost_in_cab(job: Job, case: str, bar: FittedBar) -> float:
    """Share of a rear bar's effect that does not reach the cab.

    Parameters
    ----------
    job : Job
        Vehicle, loads, and where the target is measured.
    case : str
        Name of the state that the lean is measured in.
    bar : FittedBar
        The rear bar, in place of any that is on [N·m/rad].

    Returns
    -------
    float
        [-]; NaN where the frame does not twist, or the bar does too little to take a share of.

    Notes
    -----
    As `shares_lost`.
    """
    if job.vehicle.frame_torsional_stiffness is None:
        return np.nan
    return float(shares_lost(*with_and_without(job, case, bar), at=job.target.at)[0])


def with_and_without(job: Job, case: str, bar: FittedBar) -> tuple[Model, Model]:
    """The vehicle without any rear bar, and with this one.

    Parameters
    ----------
    job : Job
        Vehicle and loads.
    case : str
        Name of the state.
    bar : FittedBar
        The rear bar, in place of any that is on [N·m/rad].

    Returns
    -------
    tuple of Model
        Each of the size of the bar's numbers, of one bar 1 [-].
    """
    state = mass.named(job, case)
    return mass.model(job, state, FittedBar(0.0)), mass.model(job, state, bar)


def shares_lost(bare: Model, barred: Model, *, at: float | None) -> np.ndarray:
    """Share of the effect of rear bars that does not reach the cab, for N vehicles.

    Parameters
    ----------
    bare, barred : Model
        N vehicles without and with their rear bar.
    at : float or None
        Where the lean per g is measured [m/s²]; None: at straight ahead.

    Returns
    -------
    (N,) array
        [-]; NaN where a vehicle tips before, or its bar does too little to take a share of.

    Notes
    -----
    1 − (G_without − G_with)/(the same on a rigid frame), G the lean per g of the cab. Where the cab
    takes much of the twist it may gain: the share is below 0 then.
    """
    rigid = [replace(one, frame_compliance=np.zeros(one.size)) for one in (bare, barred)]
    many = settle(concatenate([bare, barred, *rigid]), TURN)
    gradients = measured_roll_gradient(*many, at).reshape(4, bare.size)
    stands = np.isfinite(gradients).all(axis=0)
    without, fitted, rigid_without, rigid_fitted = np.where(stands, gradients, 1.0)
    gain, whole = without - fitted, rigid_without - rigid_fitted
    tells = stands & (whole > LEAST_GAIN * rigid_without)
    return np.where(tells, 1.0 - gain / np.where(tells, whole, 1.0), np.nan)
