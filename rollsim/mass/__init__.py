"""Masses, centres of gravity and ratings: what does the vehicle weigh in each state, and where?

A state is the weighed vehicle with load items taken off or put on, and with its changes made or
undone. Each becomes one member of an equilibrium `Model`.
"""

from rollsim.mass.body import SprungMass, mirrored, raised, sprung_load, sprung_mass
from rollsim.mass.model import FittedBar, axles, model, springs, with_bar
from rollsim.mass.ratings import ROUNDING, RatingCheck, not_checked, rating_checks
from rollsim.mass.states import AS_USED, AS_WEIGHED, UNLADEN, State, case_names, spoken, states

__all__ = [
    "AS_USED",
    "AS_WEIGHED",
    "ROUNDING",
    "UNLADEN",
    "FittedBar",
    "RatingCheck",
    "SprungMass",
    "State",
    "axles",
    "case_names",
    "mirrored",
    "model",
    "not_checked",
    "raised",
    "rating_checks",
    "spoken",
    "springs",
    "sprung_load",
    "sprung_mass",
    "states",
    "with_bar",
]
