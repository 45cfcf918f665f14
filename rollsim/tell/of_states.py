"""The figures of a state in roll, each declared once."""

import math
from collections.abc import Sequence
from dataclasses import replace

from rollsim.reader_units import METRIC, NO_FIGURE
from rollsim.roll import StateResult
from rollsim.tell.figures import Figure, by_name
from rollsim.tell.kinds import (
    ACCELERATION,
    FINE_ACCELERATION,
    FORCE,
    HEIGHT,
    LEAN,
    LEAN_PER_G,
    MASS,
    RATIO,
)


def _tips_first(state: StateResult) -> str:
    return "tips first" if math.isfinite(state.tip_over_threshold) else NO_FIGURE


_SECANT = "lean per g at 0.4 g"
STATE = by_name(
    Figure(
        "roll_gradient", "roll_gradient_deg_per_g", "lean per g", LEAN_PER_G, iso="roll gradient"
    ),
    Figure(
        "secant_roll_gradient", "secant_roll_gradient_deg_per_g", _SECANT, LEAN_PER_G, iso="secant"
    ),
    Figure(
        "right_secant_roll_gradient",
        "right_turn_secant_roll_gradient_deg_per_g",
        f"{_SECANT} in a right bend",
        LEAN_PER_G,
    ),
    Figure(
        "tray_secant_roll_gradient",
        "tray_secant_roll_gradient_deg_per_g",
        f"{_SECANT}, tray",
        LEAN_PER_G,
    ),
    Figure(
        "right_tray_secant_roll_gradient",
        "right_turn_tray_secant_roll_gradient_deg_per_g",
        f"{_SECANT} in a right bend, tray",
        LEAN_PER_G,
    ),
    Figure(
        "suspension_roll_gradient",
        "suspension_roll_gradient_deg_per_g",
        "lean per g, suspension alone",
        LEAN_PER_G,
    ),
    Figure("static_lean", "static_lean_deg", "lean at rest, + to the right", LEAN),
    Figure("tray_static_lean", "tray_static_lean_deg", "lean at rest, tray", LEAN),
    Figure("cg_height", "cg_height_m", "CG height", HEIGHT),
    Figure("total_mass", "total_mass_kg", "mass", MASS),
    Figure("front_axle_mass", "front_axle_mass_kg", "mass on the front axle", MASS),
    Figure("rear_axle_mass", "rear_axle_mass_kg", "mass on the rear axle", MASS),
    Figure(
        "front_load_transfer_share",
        "front_load_transfer_share",
        "front share of weight transfer",
        RATIO,
    ),
    Figure("front_mass_share", "front_mass_share", "front share of the mass", RATIO),
    Figure("ssf", "ssf", "static stability factor", RATIO, iso="SSF"),
    Figure(
        "tip_over_threshold",
        "tip_over_threshold_g",
        "tipping point",
        ACCELERATION,
        iso="tip-over threshold",
    ),
    Figure("tilt_table_ratio", "tilt_table_ratio", "tilt-table ratio", RATIO),
    Figure(
        "inner_rear_lift",
        "inner_rear_lift_g",
        "inner rear wheel lifts",
        ACCELERATION,
        instead=_tips_first,
    ),
    Figure(
        "inner_front_lift",
        "inner_front_lift_g",
        "inner front wheel lifts",
        ACCELERATION,
        instead=_tips_first,
    ),
)
FRICTION = Figure(
    "friction_half_width", "friction_half_width_deg", "friction, less in and more out", LEAN
)
_LEFT = replace(STATE["secant_roll_gradient"], words=f"{_SECANT} in a left bend")
_LEFT_TRAY = replace(STATE["tray_secant_roll_gradient"], words=f"{_SECANT} in a left bend, tray")
STAGE = (
    STATE["secant_roll_gradient"],
    replace(STATE["tip_over_threshold"], kind=FINE_ACCELERATION),  # a single item moves little
)
"""Of the vehicle once a step is done, in `rollsim.roll.contributions`."""
ADDED = tuple(replace(one, more_is_plus=True) for one in STAGE)
"""What a step adds."""
TRANSFER = by_name(
    Figure("elastic", "elastic_N", "springs and bars", FORCE, iso="elastic"),
    Figure("geometric", "geometric_N", "roll centre", FORCE, iso="geometric"),
    Figure("unsprung", "unsprung_N", "axle's own mass", FORCE, iso="unsprung"),
    Figure("total", "total_N", "total", FORCE),
)
PARTS = tuple(one for name, one in TRANSFER.items() if name != "total")

_WHOLE = (
    *("roll_gradient", "secant_roll_gradient", "suspension_roll_gradient", "static_lean"),
    *("friction_half_width", "total_mass", "front_axle_mass", "rear_axle_mass", "cg_height", "ssf"),
    *("inner_front_lift", "inner_rear_lift", "tip_over_threshold", "tilt_table_ratio"),
    *("front_load_transfer_share", "front_mass_share"),
)


def listed(found: Sequence[StateResult], names: Sequence[str] = _WHOLE) -> list[Figure]:
    """The figures of a table: both bends where a load is off centre, friction where springs rub.

    The tray's lean stands beside the cab's where the frame twists.

    `found` are its columns, `names` the figures wanted, in their order.
    """
    figures = []
    for name in names:
        if name == "secant_roll_gradient":
            figures += _secant(found)
        elif name == "static_lean":
            figures += [STATE[name], *_unlike(found, name, "tray_static_lean")]
        elif name == FRICTION.name:
            figures += [FRICTION] if any(one.friction for one in found) else []
        else:
            figures.append(STATE[name])
    return figures


def of_the_tray(found: Sequence[StateResult]) -> list[Figure]:
    """The tray's lean per g at 0.4 g, where it is another than the cab's in one of the states."""
    return _unlike(found, "secant_roll_gradient", "tray_secant_roll_gradient")


def _unlike(found: Sequence[StateResult], name: str, other: str) -> list[Figure]:
    """The other figure, where it does not read the same in all states."""
    one, another = STATE[name], STATE[other]
    told = any(one.cell(r, METRIC) != another.cell(r, METRIC) for r in found)
    return [another] if told else []


def _secant(found: Sequence[StateResult]) -> list[Figure]:
    """The cab's in both bends where they differ, and then the tray's."""
    right = _unlike(found, "secant_roll_gradient", "right_secant_roll_gradient")
    tray = of_the_tray(found)
    if tray and _unlike(found, tray[0].name, "right_tray_secant_roll_gradient"):
        tray = [_LEFT_TRAY, STATE["right_tray_secant_roll_gradient"]]
    return [*([_LEFT, *right] if right else [STATE["secant_roll_gradient"]]), *tray]
