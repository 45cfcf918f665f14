"""The figures of an axle in the spring check, each declared once."""

from rollsim.reader_units import NO_FIGURE, ReaderUnits
from rollsim.spring_check import AxleCheck
from rollsim.spring_wording import UNSETTLED, travel_words
from rollsim.tell.figures import Figure, by_name
from rollsim.tell.kinds import FORCE, FREQUENCY, LENGTH, MASS, RATE, RATIO, STRESS

_NO_BUMP, _NO_REBOUND = "its bump_stop is not given", "its rebound_limit is not given"
_NO_GAP = ", or has no gap"


def _bump(axle: AxleCheck, units: ReaderUnits) -> str:
    return travel_words(axle.bump_travel_left, axle.bump_share, units)


def _droop(axle: AxleCheck, units: ReaderUnits) -> str:
    return travel_words(axle.rebound_travel_left, axle.rebound_share, units)


def _sides(axle: AxleCheck, units: ReaderUnits) -> str:
    """Left and right spring where an off-centre load tells them apart."""
    left, right = (FORCE.said(load, units) for load in axle.side_loads)
    return NO_FIGURE if left == right else f"{left} | {right}"


AXLE = by_name(
    Figure("spring_load", "spring_load_N", "load on one spring", FORCE),
    Figure("left_spring_load", "spring_load_left_N", "load on the left spring", FORCE),
    Figure("right_spring_load", "spring_load_right_N", "load on the right spring", FORCE),
    Figure("spring_rate", "spring_rate_N_per_mm", "spring rate there", RATE),
    Figure(
        "ride_height_change",
        "ride_height_change_mm",
        "ride height against as weighed",
        LENGTH,
        more_is_plus=True,
    ),
    Figure(
        "stage_used",
        "second_stage_used",
        "helper leaves used",
        RATIO,
        iso="second stage",
        why="no second stage works",
    ),
    Figure(
        "bump_travel_left",
        "bump_travel_left_mm",
        "bump travel left",
        LENGTH,
        why=_NO_BUMP,
        text=_bump,
    ),
    Figure(
        "bump_share",
        "bump_travel_left_share",
        "share of bump travel left",
        RATIO,
        why=_NO_BUMP + _NO_GAP,
    ),
    Figure(
        "rebound_travel_left",
        "rebound_travel_left_mm",
        "left to full droop",
        LENGTH,
        why=_NO_REBOUND,
        text=_droop,
    ),
    Figure(
        "rebound_share",
        "rebound_travel_left_share",
        "share of droop left",
        RATIO,
        why=_NO_REBOUND + _NO_GAP,
    ),
    Figure("ride_frequency", "ride_frequency_Hz", "ride frequency", FREQUENCY),
    Figure(
        "spring_stress",
        "spring_stress_MPa",
        "greatest spring stress",
        STRESS,
        why="the spring is not given by its dimensions",
    ),
    Figure("tyre_load", "tyre_load_N", "load on the heavier tyre", FORCE),
    Figure(
        "tyre_rated_load",
        "tyre_rated_load_N",
        "tyre rated",
        FORCE,
        why="its tyre's rated_load is not given",
    ),
    Figure("axle_mass", "axle_mass_kg", "mass on the axle", MASS),
    Figure("axle_rating", "axle_rating_kg", "axle rated", MASS, why="its rating is not given"),
)

VERDICT = Figure(
    "verdict",
    "",
    "verdict",
    RATIO,
    text=lambda axle, _: axle.verdict.value if axle.verdict else UNSETTLED,
)
HELPER = Figure(
    "second_stage",
    "",
    "helper leaves",
    RATIO,
    iso="second stage",
    text=lambda axle, _: axle.second_stage.value,
)
SIDES = Figure("side_loads", "", "left | right spring", FORCE, text=_sides)

LISTED = (
    VERDICT,
    AXLE["spring_load"],
    SIDES,
    AXLE["spring_rate"],
    AXLE["ride_height_change"],
    HELPER,
    AXLE["bump_travel_left"],
    AXLE["rebound_travel_left"],
    AXLE["ride_frequency"],
    AXLE["tyre_load"],
    AXLE["tyre_rated_load"],
    AXLE["spring_stress"],
)
"""Of a table, in its order."""
