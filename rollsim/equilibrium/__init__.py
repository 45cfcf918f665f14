"""The balance of weight, springs, tyres and lateral force, for many vehicles at once: arrays only.

`model` holds the numbers, `suspension` what springs and bars push, `balance` all forces and their
slopes, `course` the field, `newton` finds equilibria and `path` follows them to tip-over.
"""

from rollsim.equilibrium.balance import Balance, end_rolls, evaluate, half_track
from rollsim.equilibrium.course import Course, Field, TurnAndTable
from rollsim.equilibrium.elimination import roll_pivot, solve_arrow
from rollsim.equilibrium.model import Model, concatenate
from rollsim.equilibrium.newton import Solution, settle, solve_at_field, tangent
from rollsim.equilibrium.path import TipOver, lift_before_tipping, tip_over

__all__ = [
    "Balance",
    "Course",
    "Field",
    "Model",
    "Solution",
    "TipOver",
    "TurnAndTable",
    "concatenate",
    "end_rolls",
    "evaluate",
    "half_track",
    "lift_before_tipping",
    "roll_pivot",
    "settle",
    "solve_arrow",
    "solve_at_field",
    "tangent",
    "tip_over",
]
