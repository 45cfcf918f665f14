"""What does a drive say: how far does the vehicle lean, and is that what was predicted?

`reading` reads a log, `mounting` finds how the sensor sits, `signals` zeroes it on the straights,
`attitude` carries the roll between them, `stretches` finds what is steady, `places` which passes
went over the same bend, `fitting` lays the line, `interval` says how far off it may be, `fused`
recognises an angle that is none, `analysis` goes through all to a `result`, `said` has the words.
"""

from rollsim.road_test.analysis import analyse, turn_round
from rollsim.road_test.columns import UNITS, Choice, Found, Role
from rollsim.road_test.interval import Part, Sensor, Stated
from rollsim.road_test.log import Log, LogError, Mounting, RollKind
from rollsim.road_test.mounting import nearest_axis, parse_mount
from rollsim.road_test.reading import column_names, parse_log, read_log
from rollsim.road_test.result import RoadTest
from rollsim.road_test.stretches import Thrown

__all__ = [
    "UNITS",
    "Choice",
    "Found",
    "Log",
    "LogError",
    "Mounting",
    "Part",
    "RoadTest",
    "Role",
    "RollKind",
    "Sensor",
    "Stated",
    "Thrown",
    "analyse",
    "column_names",
    "nearest_axis",
    "parse_log",
    "parse_mount",
    "read_log",
    "turn_round",
]
