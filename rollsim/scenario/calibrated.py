"""A scenario's text with one input put right by a test."""

from rollsim.estimates import Estimate, coverage_factor
from rollsim.measured import Calibration, Unknown
from rollsim.scenario.bounds import parsed
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
    superseded = superseded_by(text, found.unknown)
    if found.unknown is Unknown.CG_HEIGHT:
        height, reach = (to_unit(value, "mm") for value in (found.value.value, tolerance))
        new = {"vehicle.cg_height": f"{height:.1f} mm ± {reach:.1f} mm"}
        return changed(text, {**_out_of_force(superseded), **new})
    vehicle = found.job.vehicle
    ends = {"front": vehicle.front, "rear": vehicle.rear}
    if found.unknown is Unknown.FRONT_ROLL_STIFFNESS:
        moved = ("front",)
    elif found.unknown is Unknown.REAR_ROLL_STIFFNESS:
        moved = ("rear",)
    else:
        moved = ("front", "rear")
    # What a lean test had put right at the other end stays put right.
    written = ends if superseded else moved
    new = {
        f"{end}.auxiliary_roll_stiffness": _stiffness(
            ends[end], tolerance / len(moved) if end in moved else 0.0
        )
        for end in written
    }
    return changed(text, {**_out_of_force(superseded), **new})


def superseded_by(text: str, unknown: Unknown) -> tuple[str, ...]:
    """Tables of a scenario that a new calibration takes the place of.

    Parameters
    ----------
    text : str
        TOML [as written].
    unknown : Unknown
        What is calibrated.

    Returns
    -------
    tuple of str
        A lean test of the same kind of unknown, or a CG height by lifting an axle.
    """
    data, found = parsed(text), []
    of_height = unknown is Unknown.CG_HEIGHT
    test = data.get("lean_test")
    if test and not test.get("applied") and (test.get("unknown") == "CG height") is of_height:
        found.append("lean_test")
    if of_height and "cg_height_test" in data.get("vehicle", {}):
        found.append("vehicle.cg_height_test")
    return tuple(found)


def _out_of_force(tables: tuple[str, ...]) -> dict[str, bool | None]:
    """The readings of a lean test stay in the file; a height that is measured anew goes out."""
    marks: dict[str, bool | None] = {"lean_test": True, "vehicle.cg_height_test": None}
    return {("lean_test.applied" if t == "lean_test" else t): marks[t] for t in tables}


def _ninety_per_cent(value: Estimate) -> float:
    """Half the 90 % band of an estimate, Student's t allowed for."""
    normal = coverage_factor(float("inf"))
    return value.standard_error * coverage_factor(value.degrees_of_freedom) * SIGMAS / normal


def _stiffness(axle: Axle, tolerance: float) -> str:
    value, reach = (to_unit(v, _STIFFNESS) for v in (axle.auxiliary_roll_stiffness, tolerance))
    if not reach > 0.0:
        return f"{value:.2f} {_STIFFNESS}"
    return f"{value:.2f} {_STIFFNESS} ± {reach:.2f} {_STIFFNESS}"
