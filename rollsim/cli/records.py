"""Results as records for JSON: keys carry their units, what has no value is null with a reason."""

import json
import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from rollsim.cli.bands import band_keys, band_notes
from rollsim.mass import RatingCheck, not_checked
from rollsim.roll import CurvePoint, StateResult
from rollsim.roll.hysteresis import Hysteresis, branches
from rollsim.scenario import Scenario
from rollsim.tell.figures import Record, record
from rollsim.tell.kinds import RATIO, number
from rollsim.tell.names import WHEELS
from rollsim.tell.of_scales import CORNERS
from rollsim.tell.of_states import FRICTION, STATE, TRANSFER
from rollsim.tell.of_swerve import swerve_record
from rollsim.tolerance import LeanBands

if TYPE_CHECKING:
    pass

WHEEL_KEYS = tuple(wheel.replace(" ", "_") for wheel in WHEELS)


def dumps(found: Record) -> str:
    """Write a record as JSON, indented, letters beyond ASCII as they are.

    Raises ValueError where a value is not finite.

    Examples
    --------
    >>> print(dumps({"lean": None}))
    {
      "lean": null
    }
    """
    return json.dumps(found, allow_nan=False, ensure_ascii=False, indent=2)


def roll_record(
    scenario: Scenario,
    found: Sequence[StateResult],
    bands: Sequence[LeanBands] | None = None,
) -> Record:
    """What `rollsim roll --json` prints.

    "states" by name, "ratings_not_checked" (no rating given), "assumed", "measured", "notes";
    "on_the_scales" with corner masses. `bands` is None where they were not asked for.
    """
    of = {one.state: band_keys(one) for one in bands or ()}
    said = [] if bands is None else band_notes(bands)
    return {
        "states": {
            result.name: {**state_record(result), **of.get(result.name, {})} for result in found
        },
        **(
            {}
            if scenario.corners is None
            else {"on_the_scales": record(CORNERS.values(), scenario.corners)}
        ),
        "ratings_not_checked": list(not_checked(scenario.job)),
        "assumed": list(scenario.assumed),
        "measured": list(scenario.measured),
        "notes": unique([*scenario.notes, *state_notes(found), *said]),
    }


def state_record(result: StateResult) -> Record:
    """One state: keys with their units; null where there is no value.

    Friction has its keys only where the springs rub: without it both branches are the roll angle
    itself.
    """
    front, rear = (record(TRANSFER.values(), parts) for parts in result.load_transfer)
    friction = result.friction
    own = {} if friction is None else _friction_record(result)
    return {
        **record(STATE.values(), result),
        "load_transfer": {"lateral_acceleration_g": 0.4, "front": front, "rear": rear},
        "ratings": [rating_record(check) for check in result.ratings],
        **own,
        **swerve_record(result.swerve),
        "curve": [_point_record(point, friction) for point in result.curve],
    }


def state_notes(found: Sequence[StateResult]) -> list[str]:
    """Notes of every state with its name before them, and a reason for every null in it."""
    notes = []
    for result in found:
        own = list(result.notes)
        if not math.isfinite(result.secant_roll_gradient):
            own.append(
                "lean per g at 0.4 g (secant roll gradients) and load_transfer are null: no "
                "equilibrium there"
            )
        if not math.isfinite(result.roll_gradient):
            own.append("no settled position was found, so figures that need one are null")
        notes += [f"{result.name}: {note}" for note in own]
    return notes


def rating_record(check: RatingCheck) -> Record:
    """A rating and what is on it [kg]."""
    return {
        "name": check.name,
        "load_kg": number(check.load),
        "limit_kg": number(check.limit),
        "over": bool(check.over),
    }


def _on_the_scales(scenario: Scenario) -> Record:
    found = scenario.corners
    return {} if found is None else {"on_the_scales": record(CORNERS.values(), found)}


def _friction_record(result: StateResult) -> Record:
    front, rear = map(RATIO.number, result.friction.friction_moment)
    moments = {"front": front, "rear": rear}
    return {**record((FRICTION,), result), "friction_moment_Nm": moments}


def _point_record(point: CurvePoint, friction: Hysteresis | None) -> Record:
    loads = zip(WHEEL_KEYS, point.wheel_loads, strict=True)
    pair = {}
    if friction is not None:
        found = branches(point.roll_angle, friction)
        pair = {
            "roll_angle_loading_deg": number(float(found.loading), "deg"),
            "roll_angle_unloading_deg": number(float(found.unloading), "deg"),
        }
    return {
        "lateral_acceleration_g": number(point.lateral_acceleration, "g"),
        "roll_angle_deg": number(point.roll_angle, "deg"),
        **pair,
        "tray_roll_angle_deg": number(point.tray_roll_angle, "deg"),
        "heave_mm": number(point.heave, "mm"),
        "wheel_loads_N": {wheel: number(load) for wheel, load in loads},
    }


def unique(notes: Iterable[str]) -> list[str]:
    """Each note once, in their order."""
    return list(dict.fromkeys(notes))
