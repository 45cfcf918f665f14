"""The figures of a sizing and of a bar, each declared once."""

from rollsim.bar import ShelfPart
from rollsim.reader_units import NO_FIGURE, ReaderUnits
from rollsim.tell.figures import Figure, by_name
from rollsim.tell.kinds import (
    ACCELERATION,
    LEAN,
    LEAN_PER_G,
    LENGTH,
    PART_MASS,
    RATE,
    RATIO,
    ROLL_STIFFNESS,
    STRESS,
)
from rollsim.wording import price_words

NOT_SAID = "not on the shelf's list"


def _price(part: ShelfPart, units: ReaderUnits) -> str:
    return price_words(part)


def _weeks(part: ShelfPart, units: ReaderUnits) -> str:
    return NO_FIGURE if part.weeks is None else f"{part.weeks:g}"


PART = by_name(
    Figure("price", "price", "price", RATIO, why=NOT_SAID, text=_price),
    Figure("weeks", "weeks_to_get", "weeks to get", RATIO, why=NOT_SAID, text=_weeks),
)
"""Of a part on the shop's shelf."""

_NO_RATED_LOAD = "a tyre's rated_load is not given"
_NOT_COMPUTED = "it could not be computed"
BAR = by_name(
    Figure("lever", "arm_mm", "hole", LENGTH),
    Figure(
        "link_end_rate",
        "link_end_rate_N_per_mm",
        "stiffness at the link",
        RATE,
        iso="link-end rate",
    ),
    Figure("roll_stiffness", "roll_stiffness_Nm_per_deg", "roll stiffness", ROLL_STIFFNESS),
    Figure("lash_angle", "lash_deg", "lash", LEAN),
    Figure(
        "roll_gradient",
        "roll_gradient_deg_per_g",
        "lean",
        LEAN_PER_G,
        why="the case sized for tips before the acceleration of the target",
    ),
    Figure(
        "front_load_transfer_share",
        "front_load_transfer_share",
        "front share, empty",
        RATIO,
        iso="of weight transfer",
    ),
    Figure("front_share_drop", "front_share_drop", "front share falls by, empty", RATIO),
    Figure(
        "inner_rear_lift",
        "inner_rear_lift_g",
        "inner rear lifts, empty",
        ACCELERATION,
        why="the emptiest state tips before the inner rear wheel lifts",
        short="lift, empty",
    ),
    Figure(
        "understeer_change",
        "understeer_change_deg_per_g",
        "understeer changes by",
        LEAN_PER_G,
        why=_NO_RATED_LOAD,
        more_is_plus=True,
    ),
    Figure(
        "understeer_change_emptiest",
        "understeer_change_emptiest_deg_per_g",
        "understeer changes by, empty",
        LEAN_PER_G,
        why=_NO_RATED_LOAD,
        more_is_plus=True,
    ),
    Figure(
        "one_wheel_rate_increase",
        "one_wheel_rate_increase_N_per_mm",
        "one wheel",
        RATE,
        why=_NOT_COMPUTED,
    ),
    Figure(
        "articulation_lost",
        "articulation_lost_mm",
        "flex lost",
        LENGTH,
        iso="articulation",
        why=_NOT_COMPUTED,
    ),
    Figure(
        "cornering_stress",
        "cornering_stress_MPa",
        "stress in the bend, at most",
        STRESS,
        why="no equilibrium at the acceleration of the stress case",
    ),
    Figure(
        "twist_stress", "twist_stress_MPa", "stress at full axle twist", STRESS, why=_NOT_COMPUTED
    ),
    Figure(
        "normal_stress",
        "stress_amplitude_MPa",
        "stress at 0.4 g",
        STRESS,
        why="no equilibrium at 0.4 g",
    ),
    Figure(
        "peak_stress", "peak_stress_MPa", "stress", STRESS, why="neither stress case has a figure"
    ),
    Figure("allowable_stress", "allowable_stress_MPa", "steel allows", STRESS),
    Figure("safety_factor", "safety_factor", "safety factor", RATIO, why="there is no peak stress"),
    Figure("mass", "mass_kg", "mass", PART_MASS),
)

ALONE = by_name(BAR["roll_gradient"], BAR["front_load_transfer_share"])
"""Of one bar of a pair without the other."""
PAIR = by_name(
    *ALONE.values(),
    Figure("share_now", "front_load_transfer_share_now", "front share now, empty", RATIO),
)
"""Of a front and a rear bar together; what they do alone stands beside each."""

_UNSETTLED = "no settled position was found"
SIZING = by_name(
    Figure(
        "at",
        "at_g",
        "target at",
        ACCELERATION,
        why="the target is the linear roll gradient, at straight ahead",
    ),
    Figure(
        "target",
        "target_deg_per_g",
        "target",
        LEAN_PER_G,
        why="the unladen vehicle tips before that acceleration",
    ),
    Figure(
        "present",
        "present_deg_per_g",
        "now",
        LEAN_PER_G,
        why="the case sized for tips before that acceleration",
    ),
    Figure(
        "limit",
        "limit_deg_per_g",
        "with the stiffest bar imaginable",
        LEAN_PER_G,
        why="with every rear bar the vehicle tips first",
    ),
    Figure(
        "linear_target",
        "linear_target_deg_per_g",
        "at straight ahead: unladen",
        LEAN_PER_G,
        why=_UNSETTLED,
    ),
    Figure(
        "linear_present",
        "linear_present_deg_per_g",
        "at straight ahead: now",
        LEAN_PER_G,
        why=_UNSETTLED,
    ),
    Figure(
        "required_roll_stiffness",
        "required_roll_stiffness_Nm_per_deg",
        "new bar needed",
        ROLL_STIFFNESS,
        why="no rear bar reaches the target",
    ),
    Figure(
        "closed_form_roll_stiffness",
        "closed_form_roll_stiffness_Nm_per_deg",
        "the same by hand (linear model)",
        ROLL_STIFFNESS,
        why="on the linear model no rear bar reaches the target",
    ),
    Figure(
        "bare",
        "without_rear_bar_deg_per_g",
        "without any rear bar",
        LEAN_PER_G,
        why="it tips before that acceleration",
    ),
)
