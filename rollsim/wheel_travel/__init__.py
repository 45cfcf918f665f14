"""How does a wheel stand, and how long is its damper, with the body higher or lower?

`corner` and `alignment` say what is measured, `motion` moves the linkage, `setting` says what
adjusters and other arms do; `damper` is the damper alone, `leaf` a leaf spring with
its shackle.
"""

from rollsim.wheel_travel.alignment import Alignment, AlignmentReading
from rollsim.wheel_travel.corner import AS_BUILT, Corner, Setting, TieRod
from rollsim.wheel_travel.damper import Damper, DamperLengths, length_at
from rollsim.wheel_travel.leaf import LeafPose, LeafSeat, leaf_length, leaf_pose, under_eyes
from rollsim.wheel_travel.motion import WheelPose, bump_steer, pose
from rollsim.wheel_travel.reading import ReadingBands, reading_bands
from rollsim.wheel_travel.setting import ArmChange, arm_change, pivot_reach

__all__ = [
    "AS_BUILT",
    "Alignment",
    "AlignmentReading",
    "ArmChange",
    "Corner",
    "Damper",
    "DamperLengths",
    "LeafPose",
    "LeafSeat",
    "ReadingBands",
    "Setting",
    "TieRod",
    "WheelPose",
    "arm_change",
    "bump_steer",
    "leaf_length",
    "leaf_pose",
    "length_at",
    "pivot_reach",
    "pose",
    "reading_bands",
    "under_eyes",
]
