"""What else brings the roll back where no bar at hand does: load, lift, springs, bar, straps.

Each remedy is a change of the scenario's own tables, and is counted by sizing the scenario that
has it, so what it promises is what the file gives once the change is pasted in.
"""

from rollsim.remedies.pair_change import pair_change
from rollsim.remedies.records import Remedy, RemedyKind, RemedyStep
from rollsim.remedies.search import helps_not_counted, what_else_helps

__all__ = [
    "Remedy",
    "RemedyKind",
    "RemedyStep",
    "helps_not_counted",
    "pair_change",
    "what_else_helps",
]
