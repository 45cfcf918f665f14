"""The band that the tolerances of the inputs leave to the answer of an inverse question."""

import math

import numpy as np

from rollsim.cli.bands import NO_TOLERANCE
from rollsim.scenario import Scenario
from rollsim.sizing.asked import Asked
from rollsim.sizing.inverse import BEYOND, Kept, measured
from rollsim.tolerance import Band, band, lean_samples

_ONE_LEAN = (
    "no band of the amount: there is one only for a single condition on the lean per g that "
    "decides it"
)
_FLAT = "no band of the amount: with the tolerances it may tip first, or the lean hardly moves"


def amount_band(after: Scenario, asked: Asked) -> tuple[Band | None, str]:
    """Where the amount lies in nine of ten cases; how far the lean is off, over its slope.

    `after` has the answer in it. Low and high end [unit of the amount], within what is looked at;
    or None, and why there is none.

    Notes
    -----
    To first order: the excess of the lean over its limit is drawn with the amount held, and divided
    by its slope there. The unladen lean as limit is drawn along, the same draw for both.
    """
    answer, goal = asked.answer, asked.goals[0]
    if len(asked.goals) > 1 or goal.kept is not Kept.ROLL_GRADIENT or not answer.decides[0]:
        return None, _ONE_LEAN
    if not after.tolerances:
        return None, NO_TOLERANCE
    limit = goal.limit
    if goal.is_unladen:
        limit = lean_samples(after.job, after.tolerances, "unladen", at=goal.at)
    drawn = band(lean_samples(after.job, after.tolerances, asked.case, at=goal.at) - limit)
    step = 10.0 * BEYOND * (answer.most - answer.least)
    places = np.clip([answer.amount - step, answer.amount + step], answer.least, answer.most)
    values = measured(asked.amount.vary, places, goal)
    slope = float((values[1] - values[0]) / (places[1] - places[0]))
    if not (math.isfinite(slope) and slope and math.isfinite(drawn.high)):
        return None, _FLAT
    ends = np.clip(
        sorted(answer.amount - excess / slope for excess in (drawn.low, drawn.high)),
        answer.least,
        answer.most,
    )
    return Band(*ends.tolist()), ""
