"""What does a test in the bay say, and how does it correct the model?

`load_test` and `lean_test` turn readings into a wheel rate, a roll stiffness and friction, each
with its standard error, `bounce` swings into a damping ratio; `calibrate` moves one unknown of a
vehicle until the full model predicts what was measured. `frame_twist` tells a frame's stiffness.
"""

from rollsim.measured.bounce import BounceResult, bounce, swings
from rollsim.measured.calibrate import (
    Calibration,
    Prediction,
    Unknown,
    at_the_nearer_end,
    calibrate,
    net_roll_stiffness,
    roll_gradient,
)
from rollsim.measured.corrections import (
    KEYS,
    TOGETHER,
    Correction,
    Replaced,
    corrections,
    value_at,
)
from rollsim.measured.frame_twist import (
    Blocks,
    FrameTwist,
    TwistReading,
    frame_twist,
    twist_vehicle,
)
from rollsim.measured.lean_test import LeanResult, LeanStep, arch_lean, fit_lean, lean_test
from rollsim.measured.load_test import LoadResult, LoadStep, fit_load, load_test, pitch_softening

__all__ = [
    "KEYS",
    "TOGETHER",
    "Blocks",
    "BounceResult",
    "Calibration",
    "Correction",
    "FrameTwist",
    "LeanResult",
    "LeanStep",
    "LoadResult",
    "LoadStep",
    "Prediction",
    "Replaced",
    "TwistReading",
    "Unknown",
    "arch_lean",
    "at_the_nearer_end",
    "bounce",
    "calibrate",
    "corrections",
    "fit_lean",
    "fit_load",
    "frame_twist",
    "lean_test",
    "load_test",
    "net_roll_stiffness",
    "pitch_softening",
    "roll_gradient",
    "swings",
    "twist_vehicle",
    "value_at",
]
