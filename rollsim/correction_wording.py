"""What is said where a test puts an input right? For every test and every surface."""

from collections.abc import Iterable

from rollsim.measured import Calibration, Replaced

ONE_UNKNOWN = "one test puts one unknown right: an error in any other input goes into it"
BELOW_ZERO = (
    "that makes bush and leaf twist (auxiliary roll stiffness) negative: a spring, bar or tyre "
    "is softer than stated; find it and correct that instead"
)
NOT_PROVEN = "what was stated lies within that interval: nothing is proven wrong"
_REPLACED = {
    Replaced.LEAN_TEST: "It takes the place of the lean test in the file, whose readings are kept "
    "and no longer applied.",
    Replaced.CG_HEIGHT_TEST: "It takes the place of the CG height by lifting an axle, which goes "
    "out of the file.",
    Replaced.LEAN_TEST_HELD: "What the lean test in the file had put right stands as a figure now, "
    "and its readings are no longer applied: read again, they would undo this.",
}


def calibration_notes(found: Calibration) -> tuple[str, ...]:
    """What goes with every correction, in half sentences."""
    proven = () if found.is_proven else (NOT_PROVEN,)
    return (ONE_UNKNOWN, *proven, *((BELOW_ZERO,) if found.below_zero else ()))


def replaced_words(found: Iterable[Replaced]) -> tuple[str, ...]:
    """What of the file a correction puts out of force, a sentence each."""
    return tuple(_REPLACED[one] for one in found)
