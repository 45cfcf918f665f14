"""Which keys of a scenario a calibration puts right, and how well each is then known."""

from dataclasses import dataclass
from enum import Enum

from rollsim.estimates import Estimate
from rollsim.measured.calibrate import ENDS, Calibration, Unknown, moved
from rollsim.vehicle import Job

CG_HEIGHT = "vehicle.cg_height"
TWIST = "auxiliary_roll_stiffness"
KEYS = {
    unknown: tuple(f"{end}.{TWIST}" for end in ends) or (CG_HEIGHT,)
    for unknown, ends in ENDS.items()
}
"""Keys that each unknown moves; where they are several, they are known together only."""
TOGETHER = f"front and rear.{TWIST}"
"""Name of the one unknown that both ends share after a test of the total."""


class Replaced(Enum):
    """What a correction puts out of force."""

    LEAN_TEST = "lean test"
    CG_HEIGHT_TEST = "CG height by lifting an axle"
    LEAN_TEST_HELD = "lean test of another unknown"


@dataclass(frozen=True, slots=True)
class Correction:
    """A key put right.

    Parameters
    ----------
    key : str
        Of the file.
    value : Estimate
        What stands there now [m] or [N·m/rad]. The errors of the keys of one unknown add up to
        that of the unknown: they go together.
    """

    key: str
    value: Estimate


def corrections(found: Calibration, before: Job) -> tuple[Correction, ...]:
    """What a calibration puts right.

    Parameters
    ----------
    found : Calibration
        CG height [m] or roll stiffness [N·m/rad].
    before : Job
        That was calibrated.

    Returns
    -------
    tuple of Correction
        One for each key of `KEYS`.
    """
    if found.unknown is Unknown.CG_HEIGHT:
        return (Correction(CG_HEIGHT, found.value),)
    one_more = moved(before, found.unknown, 1.0)
    return tuple(
        Correction(
            key,
            Estimate(
                value_at(found.job, key),
                found.value.standard_error * (value_at(one_more, key) - value_at(before, key)),
                found.value.degrees_of_freedom,
            ),
        )
        for key in KEYS[found.unknown]
    )


def value_at(job: Job, key: str) -> float:
    """What stands at one of the keys that a calibration moves [SI]."""
    if key == CG_HEIGHT:
        return job.vehicle.cg_height
    return getattr(job.vehicle, key.partition(".")[0]).auxiliary_roll_stiffness
