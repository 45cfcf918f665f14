"""How much sooner would it tip if its wheels gave sideways as wheels do?

A vehicle whose file says nothing of that stands on wheels that do not.
"""

from dataclasses import replace

import numpy as np

from rollsim.equilibrium import Model, Solution, concatenate
from rollsim.roll.figures import TURN, thresholds
from rollsim.vehicle import STANDARD_GRAVITY

USUAL_SIDE_RATES = (80e3, 61e3, 97e3)
"""Of one wheel, tyre and suspension together: usual, and the least and most measured [N/m]."""


def tipping_with_usual_give(model: Model, settled: Solution) -> np.ndarray | None:
    """Tipping points with a usual side rate wherever none is given.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`; at rest no wheel gives sideways.

    Returns
    -------
    (3, N) array or None
        At the rates of `USUAL_SIDE_RATES`, the worse of left and right turn [m/s²]; NaN where a
        path was not resolved. None where every rate is given.

    Notes
    -----
    A van and two cars gave by 82, 61 and 97 N/mm. [allen-807956]
    """
    given = model.tyre_lateral_rate
    if np.isfinite(given).all():
        return None
    rates = [np.where(np.isfinite(given), given, usual) for usual in USUAL_SIDE_RATES]
    many = concatenate([replace(model, tyre_lateral_rate=rate) for rate in rates])
    count = len(USUAL_SIDE_RATES)
    start = Solution(np.tile(settled.x, count), np.tile(settled.converged, count))
    return thresholds(many, start, TURN).tip_over.reshape(count, model.size)


def words(without: float, usual: np.ndarray) -> str:
    """What a reader should know of a tipping point `without` side give; `usual` (3,) [m/s²]."""
    rate, low, high = (value / 1e3 for value in USUAL_SIDE_RATES)
    said = f"the usual side give of {rate:.0f} N/mm a wheel"
    if not np.isfinite([without, *usual]).all():
        found = f"with {said} it tips sooner than shown"
    else:
        tips, softest, stiffest = (value / STANDARD_GRAVITY for value in usual)
        found = (
            f"with {said} ({low:.0f} to {high:.0f} N/mm) it would tip at {tips:.2f} g "
            f"({softest:.2f} to {stiffest:.2f} g), not {without / STANDARD_GRAVITY:.2f} g"
        )
    return f"{found}: a tyre lateral_rate is not given, so the wheels do not give sideways"
