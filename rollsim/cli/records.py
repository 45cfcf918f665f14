"""Results as records for JSON: keys carry their units, what has no value is null with a reason."""

import json
import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from rollsim.cli.bands import band_keys, band_notes
from rollsim.cli.why_null import candidate_notes, sizing_notes, state_notes
from rollsim.mass import RatingCheck, not_checked
from rollsim.reader_units import METRIC
from rollsim.remedies import Remedy
from rollsim.remedy_wording import remedy_name, remedy_words
from rollsim.roll import CurvePoint, StateResult, TransferParts
from rollsim.roll.hysteresis import Hysteresis, branches
from rollsim.scenario import Scenario
from rollsim.sizing import Candidate, Sizing
from rollsim.tolerance import LeanBands
from rollsim.units import to_unit
from rollsim.wording import (
    caution_words,
    choice_words,
    condition_words,
    hole_words,
    reasons,
    share_words,
)

if TYPE_CHECKING:
    from rollsim.weighing import Weighed

DIGITS = 12  # significant: 0.3 g comes out as 0.3
WHEELS = ("front_left", "front_right", "rear_left", "rear_right")

Record = dict[str, object]


def dumps(record: Record) -> str:
    """Write a record as JSON.

    Parameters
    ----------
    record : dict
        From a function of this module.

    Returns
    -------
    str
        JSON, indented, letters beyond ASCII as they are.

    Raises
    ------
    ValueError
        If a value is not finite.

    Examples
    --------
    >>> print(dumps({"lean": None}))
    {
      "lean": null
    }
    """
    return json.dumps(record, allow_nan=False, ensure_ascii=False, indent=2)


def roll_record(
    scenario: Scenario,
    found: Sequence[StateResult],
    bands: Sequence[LeanBands] | None = None,
) -> Record:
    """What `rollsim roll --json` prints.

    Parameters
    ----------
    scenario : Scenario
        Its assumed values and notes go along.
    found : sequence of StateResult
        Every state.
    bands : sequence of LeanBands or None
        What tolerances make of every state's lean; None: not asked for.

    Returns
    -------
    dict
        "states" by name, "ratings_not_checked" (no rating given), "assumed", "measured", "notes";
        "on_the_scales" with corner masses.
    """
    of = {one.state: band_keys(one) for one in bands or ()}
    said = [] if bands is None else band_notes(bands)
    return {
        "states": {
            result.name: {**state_record(result), **of.get(result.name, {})} for result in found
        },
        **({} if scenario.corners is None else {"on_the_scales": _scales_record(scenario.corners)}),
        "ratings_not_checked": list(not_checked(scenario.job)),
        "assumed": list(scenario.assumed),
        "measured": list(scenario.measured),
        "notes": _unique([*scenario.notes, *state_notes(found), *said]),
    }


def size_record(
    scenario: Scenario,
    sizing: Sizing,
    helps: Sequence[Remedy] = (),
    left_out: Sequence[str] = (),
) -> Record:
    """What `rollsim size --json` prints.

    Parameters
    ----------
    scenario : Scenario
        Its assumed values and notes go along.
    sizing : Sizing
        From `rollsim.sizing.size`.
    helps : sequence of Remedy
        What else helps, where it was counted.
    left_out : sequence of str
        What could help and was not counted.

    Returns
    -------
    dict
        Target, candidates, choice, and what to say beside them.
    """
    candidates = [candidate_record(candidate) for candidate in sizing.candidates]
    choice = None
    if sizing.choice is not None:
        states = {result.name: state_record(result) for result in sizing.states}
        choice = {**candidate_record(sizing.choice), "states": states}
    return {
        "case": sizing.case,
        "emptiest_state": sizing.emptiest,
        **_target_record(sizing),
        "reachable": bool(sizing.reachable),
        "nothing_to_bring_back": sizing.nothing_to_bring_back,
        "replaces": sizing.replaces,
        "sentence": choice_words(sizing, METRIC),
        "candidates": candidates,
        "choice": choice,
        "in_the_way": [obstacle.value for obstacle in sizing.in_the_way],
        "best": _bar_and_gap(sizing, sizing.best),
        "stiffest_keeping_share": _bar_and_gap(sizing, sizing.stiffest_keeping_share),
        "front_weight_share": number(sizing.front_weight_share),
        "condition": condition_words(sizing),
        "warning": share_words(sizing, METRIC),
        "remark": hole_words(sizing),
        "what_else_helps": [_remedy_record(one) for one in helps],
        "what_else_not_counted": list(left_out),
        "without_rear_bar_deg_per_g": number(sizing.bare, "deg/g"),
        "ratings_not_checked": list(not_checked(scenario.job)),
        "cautions": list(caution_words(sizing, METRIC)),
        "assumed": list(scenario.assumed),
        "measured": list(scenario.measured),
        "notes": _unique(
            (
                *scenario.notes,
                *sizing_notes(sizing),
                *candidate_notes(candidates),
                *state_notes(sizing.states),
            )
        ),
    }


def state_record(result: StateResult) -> Record:
    """One state.

    Parameters
    ----------
    result : StateResult
        In SI.

    Returns
    -------
    dict
        Keys with their units; null where there is no value. Friction has its keys only where the
        springs rub: without it both branches are the roll angle itself.
    """
    front, rear = result.load_transfer
    friction = result.friction
    own = {} if friction is None else _friction_record(friction)
    return {
        "roll_gradient_deg_per_g": number(result.roll_gradient, "deg/g"),
        "secant_roll_gradient_deg_per_g": number(result.secant_roll_gradient, "deg/g"),
        "right_turn_secant_roll_gradient_deg_per_g": number(
            result.right_secant_roll_gradient, "deg/g"
        ),
        "suspension_roll_gradient_deg_per_g": number(result.suspension_roll_gradient, "deg/g"),
        "static_lean_deg": number(result.static_lean, "deg"),
        "cg_height_m": number(result.cg_height),
        "total_mass_kg": number(result.total_mass),
        "front_axle_mass_kg": number(result.front_axle_mass),
        "rear_axle_mass_kg": number(result.rear_axle_mass),
        "front_load_transfer_share": number(result.front_load_transfer_share),
        "ssf": number(result.ssf),
        "tip_over_threshold_g": number(result.tip_over_threshold, "g"),
        "tilt_table_ratio": number(result.tilt_table_ratio),
        "inner_rear_lift_g": number(result.inner_rear_lift, "g"),
        "inner_front_lift_g": number(result.inner_front_lift, "g"),
        "load_transfer": {
            "lateral_acceleration_g": 0.4,
            "front": _transfer_record(front),
            "rear": _transfer_record(rear),
        },
        "ratings": [rating_record(check) for check in result.ratings],
        **own,
        "curve": [_point_record(point, friction) for point in result.curve],
    }


def candidate_record(candidate: Candidate) -> Record:
    """One section in one hole.

    Parameters
    ----------
    candidate : Candidate
        In SI.

    Returns
    -------
    dict
        Keys with their units; null where there is no value. The hole counts from 1.
    """
    c, wall = candidate, candidate.section.wall
    return {
        "section": c.section.label,
        "outer_diameter_mm": number(c.section.outer_diameter, "mm"),
        "wall_mm": None if wall is None else number(wall, "mm"),
        "steel": c.steel.name,
        "hole": int(c.hole) + 1,
        "arm_mm": number(c.lever, "mm"),
        "link_end_rate_N_per_mm": number(c.link_end_rate, "N/mm"),
        "roll_stiffness_Nm_per_deg": number(c.roll_stiffness, "N*m/deg"),
        "lash_deg": number(c.lash_angle, "deg"),
        "roll_gradient_deg_per_g": number(c.roll_gradient, "deg/g"),
        "front_load_transfer_share": number(c.front_load_transfer_share),
        "front_share_drop": number(c.front_share_drop),
        "inner_rear_lift_g": number(c.inner_rear_lift, "g"),
        "understeer_change_deg_per_g": number(c.understeer_change, "deg/g"),
        "understeer_change_emptiest_deg_per_g": number(c.understeer_change_emptiest, "deg/g"),
        "one_wheel_rate_increase_N_per_mm": number(c.one_wheel_rate_increase, "N/mm"),
        "articulation_lost_mm": number(c.articulation_lost, "mm"),
        "cornering_stress_MPa": number(c.cornering_stress, "MPa"),
        "twist_stress_MPa": number(c.twist_stress, "MPa"),
        "stress_amplitude_MPa": number(c.normal_stress, "MPa"),
        "peak_stress_MPa": number(c.peak_stress, "MPa"),
        "allowable_stress_MPa": number(c.allowable_stress, "MPa"),
        "safety_factor": number(c.safety_factor),
        "mass_kg": number(c.mass),
        "governing_state": c.governing_state,
        "governing_stress": c.governing_case.value,
        "accepted": bool(c.accepted),
        "reasons": reasons(c),
    }


def number(value: float, unit: str = "") -> float | None:
    """Convert an SI value for JSON.

    Parameters
    ----------
    value : float
        In SI.
    unit : str
        Unit wanted; empty: as it is.

    Returns
    -------
    float or None
        In that unit, to 12 significant digits; None where it is not finite [unit].

    Examples
    --------
    >>> number(0.3 * 9.80665, "g"), number(float("nan"))
    (0.3, None)
    """
    converted = float(to_unit(value, unit)) if unit else float(value)
    return float(f"{converted:.{DIGITS}g}") if math.isfinite(converted) else None


def _target_record(sizing: Sizing) -> Record:
    required, linear = sizing.required_roll_stiffness, sizing.closed_form_roll_stiffness
    return {
        "at_g": None if sizing.at is None else number(sizing.at, "g"),
        "target_deg_per_g": number(sizing.target, "deg/g"),
        "present_deg_per_g": number(sizing.present, "deg/g"),
        "limit_deg_per_g": number(sizing.limit, "deg/g"),
        "linear_target_deg_per_g": number(sizing.linear_target, "deg/g"),
        "linear_present_deg_per_g": number(sizing.linear_present, "deg/g"),
        "required_roll_stiffness_Nm_per_deg": number(required, "N*m/deg"),
        "closed_form_roll_stiffness_Nm_per_deg": number(linear, "N*m/deg"),
    }


def rating_record(check: RatingCheck) -> Record:
    """A rating and what is on it [kg]."""
    return {
        "name": check.name,
        "load_kg": number(check.load),
        "limit_kg": number(check.limit),
        "over": bool(check.over),
    }


def _transfer_record(parts: TransferParts) -> Record:
    return {
        "elastic_N": number(parts.elastic),
        "geometric_N": number(parts.geometric),
        "unsprung_N": number(parts.unsprung),
        "total_N": number(parts.total),
    }


def _scales_record(found: "Weighed") -> Record:
    return {
        "cross_weight_share": number(found.cross_weight),
        "front_share": number(found.front_share),
        "left_share": number(found.left_share),
        "cg_behind_front_axle_mm": number(found.cg_behind_front_axle, "mm"),
        "cg_left_mm": number(found.cg_left, "mm"),
    }


def _friction_record(friction: Hysteresis) -> Record:
    front, rear = friction.friction_moment
    return {
        "friction_half_width_deg": number(friction.half_width, "deg"),
        "friction_moment_Nm": {"front": number(front), "rear": number(rear)},
    }


def _point_record(point: CurvePoint, friction: Hysteresis | None) -> Record:
    loads = zip(WHEELS, point.wheel_loads, strict=True)
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
        "heave_mm": number(point.heave, "mm"),
        "wheel_loads_N": {wheel: number(load) for wheel, load in loads},
    }


def _bar_and_gap(sizing: Sizing, bar: Candidate | None) -> Record | None:
    """A bar that is not the choice, and how far it goes."""
    if bar is None:
        return None
    return {**candidate_record(bar), "gap_closed": number(sizing.gap_closed(bar))}


def _remedy_record(remedy: Remedy) -> Record:
    return {
        "what": remedy_name(remedy),
        "text": remedy_words(remedy, METRIC),
        "change": remedy.change,
        "with": None if remedy.bar is None else candidate_record(remedy.bar),
        "roll_gradient_deg_per_g": number(remedy.roll_gradient, "deg/g"),
        "gap_closed": number(remedy.gap_closed),
        "accepted": remedy.accepted,
        "reaches_target": remedy.reaches,
        "springs_suited": remedy.springs_suited,
    }


def _unique(notes: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(notes))
