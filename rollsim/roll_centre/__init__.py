"""Where is the roll centre, and how does it travel, from tape measurements?"""

from rollsim.roll_centre.geometry import TRAVEL, height_at, travel_ratio
from rollsim.roll_centre.linkages import (
    DoubleWishbone,
    LeafSprings,
    Linkage,
    PanhardRod,
    Point,
    Strut,
)
from rollsim.roll_centre.tape import READING_ERROR, RollCentre, Sensitivity, roll_centre

__all__ = [
    "READING_ERROR",
    "TRAVEL",
    "DoubleWishbone",
    "LeafSprings",
    "Linkage",
    "PanhardRod",
    "Point",
    "RollCentre",
    "Sensitivity",
    "Strut",
    "height_at",
    "roll_centre",
    "travel_ratio",
]
