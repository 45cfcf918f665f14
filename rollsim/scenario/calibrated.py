"""A scenario's text with one input put right by a test."""

from rollsim.estimates import Estimate, coverage_factor
from rollsim.measured import Calibration, Unknown
from rollsim.scenario.editing import changed
from rollsim.tolerance import SIGMAS
from rollsim.units import to_unit
from rollsim.vehicle import Axle

_STIFFNESS = "N*m/deg"


def calibrated_text(text: str, found: Calibration) -> str:
    """Write what a test found into a scenario.

    Parameters
    ----------
    text : str
        TOML, the scenario that was calibrated.
    found : Calibration
        CG height [m] or roll stiffness added [N·m/rad], with its error.

    Returns
    -------
    str
        TOML; all else stays as it is, to the letter. The interval becomes the tolerance, as a 90 %
        band.

    Raises
    ------
    ValueError
        If the text is laid out so that the change would touch other values.

    Notes
    -----
    A roll stiffness goes into `auxiliary_roll_stiffness`, the key for what springs and bars do
    not account for; below zero where the vehicle is softer than stated.
    """
    tolerance = _ninety_per_cent(found.value)
    if found.unknown is Unknown.CG_HEIGHT:
        height, reach = (to_unit(value, "mm") for value in (found.value.value, tolerance))
        return changed(text, {"vehicle.cg_height": f"{height:.1f} mm ± {reach:.1f} mm"})
    vehicle = found.job.vehicle
    ends = {"front": vehicle.front, "rear": vehicle.rear}
    if found.unknown is Unknown.FRONT_ROLL_STIFFNESS:
        del ends["rear"]
    elif found.unknown is Unknown.REAR_ROLL_STIFFNESS:
        del ends["front"]
    return changed(
        text,
        {
            f"{end}.auxiliary_roll_stiffness": _stiffness(axle, tolerance / len(ends))
            for end, axle in ends.items()
        },
    )


def _ninety_per_cent(value: Estimate) -> float:
    """Half the 90 % band of an estimate, Student's t allowed for."""
    normal = coverage_factor(float("inf"))
    return value.standard_error * coverage_factor(value.degrees_of_freedom) * SIGMAS / normal


def _stiffness(axle: Axle, tolerance: float) -> str:
    value, reach = (to_unit(v, _STIFFNESS) for v in (axle.auxiliary_roll_stiffness, tolerance))
    return f"{value:.2f} {_STIFFNESS} ± {reach:.2f} {_STIFFNESS}"
