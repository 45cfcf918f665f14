"""After a lift: do the wheels stand as wanted, and do the dampers reach, in every state?"""

from rollsim.lift_check.both import LiftCheck, lift_check
from rollsim.lift_check.dampers import DamperFinding, DamperReach, damper_reaches
from rollsim.lift_check.wheels import (
    CamberVerdict,
    CurvePoint,
    WheelStand,
    camber_curve,
    corner_in_state,
    wheel_stands,
)

__all__ = [
    "CamberVerdict",
    "CurvePoint",
    "DamperFinding",
    "DamperReach",
    "LiftCheck",
    "WheelStand",
    "camber_curve",
    "corner_in_state",
    "damper_reaches",
    "lift_check",
    "wheel_stands",
]
