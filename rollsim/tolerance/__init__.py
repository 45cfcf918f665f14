"""How far do the tolerances of the inputs carry, and which input to measure better?

`shifts` knows how an input moves the vehicle, `spring_shifts` a spring, `bar_shifts` a bar
to be fitted; `draws` draws them, and `sampling` solves all draws at once.
"""

from rollsim.tolerance.bar_shifts import AS_ORDERED, OrderedBar, bar_shifting, ordered
from rollsim.tolerance.draws import SIGMAS
from rollsim.tolerance.sampling import (
    Band,
    Influence,
    LeanBands,
    TippingSamples,
    band,
    chance_of_target,
    influences,
    lean_bands,
    lean_samples,
    tipping_samples,
    wanted_samples,
)
from rollsim.tolerance.shifts import Tolerance, drawn_keys, shifting, without_effect

__all__ = [
    "AS_ORDERED",
    "SIGMAS",
    "Band",
    "Influence",
    "LeanBands",
    "OrderedBar",
    "TippingSamples",
    "Tolerance",
    "band",
    "bar_shifting",
    "chance_of_target",
    "drawn_keys",
    "influences",
    "lean_bands",
    "lean_samples",
    "ordered",
    "shifting",
    "tipping_samples",
    "wanted_samples",
    "without_effect",
]
