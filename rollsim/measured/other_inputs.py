"""How far do the tolerances of the other inputs carry to what a test put right?"""

import math
from collections.abc import Sequence
from dataclasses import replace

from rollsim.estimates import Estimate
from rollsim.measured.calibrate import Calibration, Prediction
from rollsim.tolerance import SIGMAS, Tolerance, shifting

CG_HEIGHT = "vehicle.cg_height"


def with_other_inputs(
    found: Calibration,
    measured: Estimate,
    tolerances: Sequence[Tolerance],
    *,
    predict: Prediction,
) -> Calibration:
    """A calibrated CG height whose error holds that of springs, bars, tyres and masses as well.

    Parameters
    ----------
    found : Calibration
        Of the CG height [m].
    measured : Estimate
        That it was put right by, and its standard error [unit of the test].
    tolerances : sequence of Tolerance
        Of all inputs [SI].
    predict : Prediction
        Of the state that was tested.

    Returns
    -------
    Calibration
        The same with a larger standard error [m].

    Notes
    -----
    First order: an input that is off by δ is made up for by (∂P/∂input) δ / (∂P/∂h) of height. A
    lean test says little of the height, so this is most of its error. [gum]
    """
    if not found.value.standard_error > 0.0:
        return found
    slope = measured.standard_error / found.value.standard_error
    moves = [found.value.standard_error]
    for one, shift in shifting(tolerances):
        if one.key == CG_HEIGHT:
            continue
        half = 0.5 * one.tolerance / SIGMAS
        more, less = (predict(shift(found.job, side * half)) for side in (1.0, -1.0))
        moves.append((more - less) / slope)
    error = math.hypot(*(move for move in moves if math.isfinite(move)))
    return replace(found, value=found.value.scaled(error / found.value.standard_error))
