"""How far do the tolerances of the inputs carry, and which input to measure better?

`shifts` knows how an input moves the vehicle, `spring_shifts` a spring; `sampling` draws them and
solves all at once.
"""

from rollsim.tolerance.sampling import (
    SIGMAS,
    Band,
    Influence,
    LeanBands,
    band,
    chance_within,
    influences,
    lean_bands,
    lean_samples,
)
from rollsim.tolerance.shifts import Tolerance, shifting, without_effect

__all__ = [
    "SIGMAS",
    "Band",
    "Influence",
    "LeanBands",
    "Tolerance",
    "band",
    "chance_within",
    "influences",
    "lean_bands",
    "lean_samples",
    "shifting",
    "without_effect",
]
