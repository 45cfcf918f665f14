"""How much does a spring push, how stiff is it, and how much does it rub, at any travel?

Every kind of spring becomes one `Curve`, a straight line with hinges; `simple` holds stated and
measured springs, `helical` and `leaf_pack` those known by their dimensions.
"""

from rollsim.springs.curve import Curve, FrictionLoop, Spring, StatedLoad, compression_at
from rollsim.springs.helical import HelicalSpring
from rollsim.springs.leaf_pack import Helper, Leaf, LeafPack, Leaves, PackState
from rollsim.springs.simple import LinearSpring, TableSpring

__all__ = [
    "Curve",
    "FrictionLoop",
    "HelicalSpring",
    "Helper",
    "Leaf",
    "LeafPack",
    "Leaves",
    "LinearSpring",
    "PackState",
    "Spring",
    "StatedLoad",
    "TableSpring",
    "compression_at",
]
