"""What does a drive say: how far does the vehicle lean, and is that what was predicted?

`reading` reads a log, `signals` zeroes it on the straights, `stretches` finds what is steady,
`fitting` lays the line, `fused` recognises an angle that is none, `analysis` goes through all.
"""

from rollsim.road_test.analysis import RoadTest, analyse, turn_round
from rollsim.road_test.columns import UNITS, Choice, Found, Role
from rollsim.road_test.interval import Part, Stated
from rollsim.road_test.log import Log, LogError, RollKind
from rollsim.road_test.reading import column_names, parse_log, read_log
from rollsim.road_test.stretches import Thrown

__all__ = [
    "UNITS",
    "Choice",
    "Found",
    "Log",
    "LogError",
    "Part",
    "RoadTest",
    "Role",
    "RollKind",
    "Stated",
    "Thrown",
    "analyse",
    "column_names",
    "parse_log",
    "read_log",
    "turn_round",
]
