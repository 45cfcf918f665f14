"""How does a wheel on a linkage stand with the body higher or lower: camber, caster, toe, track?

`corner` says what is measured, `motion` moves it, `setting` says what adjusters and other arms do.
"""

from rollsim.wheel_travel.corner import AS_BUILT, Corner, Setting, TieRod
from rollsim.wheel_travel.motion import WheelPose, bump_steer, pose, reading_band
from rollsim.wheel_travel.setting import ArmChange, arm_change, pivot_reach

__all__ = [
    "AS_BUILT",
    "ArmChange",
    "Corner",
    "Setting",
    "TieRod",
    "WheelPose",
    "arm_change",
    "bump_steer",
    "pivot_reach",
    "pose",
    "reading_band",
]
