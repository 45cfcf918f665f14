"""How far does it lean, which wheels carry it, and when does it tip?

`figures` computes on arrays, `following` finds the points of a curve, `standing` where states
settle, `states` puts them side by side.
"""

from rollsim.roll.figures import (
    TABLE,
    TURN,
    UNRESOLVED,
    StraightAhead,
    Thresholds,
    cab_roll,
    cg_height,
    inner_rear_lift,
    straight_ahead,
    thresholds,
    transfer_parts,
    tray_roll,
    turn_and_table,
    turns,
)
from rollsim.roll.following import (
    follow,
    follow_to_tipping,
    follow_turns,
    measured_roll_gradient,
    secant_roll_gradient,
)
from rollsim.roll.standing import AtRest, at_rest, tipping_before, unsettled
from rollsim.roll.states import (
    DEFAULT_CURVE,
    SECANT_AT,
    CurvePoint,
    StateResult,
    TransferParts,
    results,
)
from rollsim.roll.swerve import Swerve

__all__ = [
    "DEFAULT_CURVE",
    "SECANT_AT",
    "TABLE",
    "TURN",
    "UNRESOLVED",
    "AtRest",
    "CurvePoint",
    "StateResult",
    "StraightAhead",
    "Swerve",
    "Thresholds",
    "TransferParts",
    "at_rest",
    "cab_roll",
    "cg_height",
    "follow",
    "follow_to_tipping",
    "follow_turns",
    "inner_rear_lift",
    "measured_roll_gradient",
    "results",
    "secant_roll_gradient",
    "straight_ahead",
    "thresholds",
    "tipping_before",
    "transfer_parts",
    "tray_roll",
    "turn_and_table",
    "turns",
    "unsettled",
]
