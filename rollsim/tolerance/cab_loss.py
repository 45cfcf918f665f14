"""How much of a rear bar's effect does not reach the cab, and how sure is that?"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rollsim.bar import RearBar
from rollsim.equilibrium import concatenate
from rollsim.sizing import Sizing
from rollsim.sizing.cab_loss import lost_in_cab, shares_lost, with_and_without
from rollsim.tolerance.bar_shifts import OrderedBar, bar_shifting, ordered
from rollsim.tolerance.draws import drawn
from rollsim.tolerance.sampling import Band, band
from rollsim.tolerance.shifts import Tolerance, shifting
from rollsim.vehicle import Job

SAMPLES = 64  # whole per cent are told
MOST_WITHOUT = 0.05  # of the samples: with more of them without a share there is no band


@dataclass(frozen=True, slots=True)
class CabLoss:
    """Share of a rear bar's effect that does not reach the cab.

    Parameters
    ----------
    share : float
        [-]
    within : Band or None
        Nine cases in ten [-]; None where nothing was drawn.
    """

    share: float
    within: Band | None = None


def cab_loss(
    job: Job,
    tolerances: Sequence[Tolerance],
    case: str,
    bar: OrderedBar,
    *,
    count: int = SAMPLES,
) -> CabLoss | None:
    """The share lost with its band.

    Parameters
    ----------
    job : Job
        Vehicle, loads, and where the target is measured.
    tolerances : sequence of Tolerance
        Those that touch neither vehicle nor bar are passed over.
    case : str
        Name of the state that the lean is measured in.
    bar : OrderedBar
        The rear bar [SI].
    count : int
        Number of samples [-]; 0: no band.

    Returns
    -------
    CabLoss or None
        [-]; None where the frame does not twist or there is no share to tell.
    """
    share = lost_in_cab(job, case, bar.fitted)
    if np.isnan(share):
        return None
    if not count or not (shifting(tolerances) or bar_shifting(tolerances)):
        return CabLoss(share)
    pairs = (
        with_and_without(one, case, its.fitted)
        for one, its in drawn(job, tolerances, bar=bar, count=count)
    )
    bare, barred = (concatenate(list(side)) for side in zip(*pairs, strict=True))
    found = shares_lost(bare, barred, at=job.target.at)
    told = found[np.isfinite(found)]
    sure = told.size >= (1.0 - MOST_WITHOUT) * found.size
    return CabLoss(share, band(told) if sure else None)


def loss_of_choice(job: Job, rear_bar: RearBar, sizing: Sizing) -> CabLoss | None:
    """The share lost of the bar that is chosen, without a band: no draws, and nothing to wait for.

    Parameters
    ----------
    job : Job
        Vehicle and loads.
    rear_bar : RearBar
        That was sized.
    sizing : Sizing
        With its choice.

    Returns
    -------
    CabLoss or None
        [-]; None where no bar is chosen either.
    """
    if sizing.choice is None:
        return None
    return cab_loss(job, (), sizing.case, ordered(sizing.choice, rear_bar), count=0)
