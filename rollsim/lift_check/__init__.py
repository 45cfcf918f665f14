"""After a lift: do wheels and leaf packs stand as wanted, do the dampers reach, state by state?"""

from rollsim.lift_check.both import LiftCheck, lift_check
from rollsim.lift_check.curve import CurvePoint, camber_curve, corner_in_state
from rollsim.lift_check.dampers import DamperFinding, DamperReach, damper_reaches
from rollsim.lift_check.leaves import LeafSign, LeafStand, leaf_stands
from rollsim.lift_check.one_arm import OneArm
from rollsim.lift_check.stand import ANGLES, SIDES, AngleVerdict, WheelStand
from rollsim.lift_check.wheels import wheel_stands

__all__ = [
    "ANGLES",
    "SIDES",
    "AngleVerdict",
    "CurvePoint",
    "DamperFinding",
    "DamperReach",
    "LeafSign",
    "LeafStand",
    "LiftCheck",
    "OneArm",
    "WheelStand",
    "camber_curve",
    "corner_in_state",
    "damper_reaches",
    "leaf_stands",
    "lift_check",
    "wheel_stands",
]
