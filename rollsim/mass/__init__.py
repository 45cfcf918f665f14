"""Masses, centres of gravity and ratings: what does the vehicle weigh in each state, and where?

A state is the weighed vehicle with load items taken off or put on, and with its changes made or
undone. Each becomes one member of an equilibrium `Model`.
"""

from rollsim.mass.body import SprungMass, mirrored, raised, sprung_load, sprung_mass
from rollsim.mass.model import (
    FittedBar,
    axles,
    model,
    models,
    springs,
    with_bar,
    with_parts,
    without_parts,
)
from rollsim.mass.ratings import ROUNDING, RatingCheck, not_checked, rating_checks
from rollsim.mass.states import (
    AS_USED,
    AS_WEIGHED,
    DRIVEN_EMPTY,
    UNLADEN,
    State,
    case_names,
    driven_empty,
    named,
    names_with_bar,
    spoken,
    states,
    states_with_bar,
    without_new_front,
)
from rollsim.mass.stock import STILL, AxleRise, axle_rise, cg_as_weighed

__all__ = [
    "AS_USED",
    "AS_WEIGHED",
    "DRIVEN_EMPTY",
    "ROUNDING",
    "STILL",
    "UNLADEN",
    "AxleRise",
    "FittedBar",
    "RatingCheck",
    "SprungMass",
    "State",
    "axle_rise",
    "axles",
    "case_names",
    "cg_as_weighed",
    "driven_empty",
    "mirrored",
    "model",
    "models",
    "named",
    "names_with_bar",
    "not_checked",
    "raised",
    "rating_checks",
    "spoken",
    "springs",
    "sprung_load",
    "sprung_mass",
    "states",
    "states_with_bar",
    "with_bar",
    "with_parts",
    "without_new_front",
    "without_parts",
]
