"""Why a figure of the JSON is null, in words."""

import math
from collections.abc import Sequence

from rollsim.cost_wording import BEYOND_RATED
from rollsim.roll import StateResult
from rollsim.sizing.choice import Sizing

_WHY_SIZING = (
    (
        "required_roll_stiffness",
        "required_roll_stiffness_Nm_per_deg is null: no rear bar reaches the target",
    ),
    (
        "closed_form_roll_stiffness",
        "closed_form_roll_stiffness_Nm_per_deg is null: on the linear model no rear bar reaches "
        "the target",
    ),
    ("target", "target_deg_per_g is null: the unladen vehicle tips before that acceleration"),
    ("bare", "without_rear_bar_deg_per_g is null: it tips before that acceleration"),
    ("present", "present_deg_per_g is null: the case sized for tips before that acceleration"),
    ("limit", "limit_deg_per_g is null: with every rear bar the vehicle tips first"),
    ("linear_target", "linear_target_deg_per_g is null: no settled position was found"),
    ("linear_present", "linear_present_deg_per_g is null: no settled position was found"),
)
_WHY_CANDIDATE = {
    "roll_gradient_deg_per_g": "the case sized for tips before the acceleration of the target",
    "inner_rear_lift_g": "the emptiest state tips before the inner rear wheel lifts",
    "understeer_change_deg_per_g": "a tyre's rated_load is not given",
    "understeer_change_emptiest_deg_per_g": "a tyre's rated_load is not given",
    "one_wheel_rate_increase_N_per_mm": "it could not be computed",
    "articulation_lost_mm": "it could not be computed",
    "cornering_stress_MPa": "no equilibrium at the acceleration of the stress case",
    "twist_stress_MPa": "it could not be computed",
    "stress_amplitude_MPa": "no equilibrium at 0.4 g",
    "peak_stress_MPa": "neither stress case has a figure",
    "safety_factor": "there is no peak stress",
}


def state_notes(found: Sequence[StateResult]) -> list[str]:
    """Notes of every state with its name before them, and a reason for every null in it."""
    notes = []
    for result in found:
        own = list(result.notes)
        if not math.isfinite(result.secant_roll_gradient):
            own.append("secant roll gradients and load_transfer are null: no equilibrium at 0.4 g")
        if not math.isfinite(result.roll_gradient):
            own.append("no settled position was found, so figures that need one are null")
        notes += [f"{result.name}: {note}" for note in own]
    return notes


def sizing_notes(sizing: Sizing) -> list[str]:
    """A reason for every null of a sizing."""
    notes = [why for name, why in _WHY_SIZING if not math.isfinite(getattr(sizing, name))]
    if sizing.at is None:
        notes.append("at_g is null: the target is the linear roll gradient, at straight ahead")
    if any(c.tyres_beyond_relation for c in sizing.candidates):
        notes.append(
            f"change of understeer: with some bars a wheel load at 0.4 g is {BEYOND_RATED}, where "
            "the tyre relation is a guess"
        )
    return notes


def candidate_notes(candidates: Sequence[dict[str, object]]) -> list[str]:
    """Why some keys of some candidates are null, each reason once."""
    return [
        f"{key} of a candidate is null: {why}"
        for key, why in _WHY_CANDIDATE.items()
        if any(candidate[key] is None for candidate in candidates)
    ]
