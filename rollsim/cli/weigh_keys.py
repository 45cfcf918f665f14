"""What `rollsim weigh` takes: the ranges of the keys that hold the same readings in the file."""

from rollsim.measured.frame_twist import GREATEST_BLOCK, LEAST_BLOCK
from rollsim.scenario.bay_tables import (
    AboardTable,
    CgHeightTestTable,
    LeanReadingTable,
    LeanTestTable,
    LiftTable,
    LoadReadingTable,
    LoadTestTable,
)
from rollsim.scenario.keys import Measured
from rollsim.scenario.table_base import Table
from rollsim.scenario.vehicle_tables import AxleTable, VehicleTable
from rollsim.units import Dimension


def _key(table: type[Table], name: str) -> Measured:
    """How the file reads a key."""
    return next(one for one in table.model_fields[name].metadata if isinstance(one, Measured))


WHEELBASE = _key(VehicleTable, "wheelbase")
TRACK = _key(AxleTable, "track")
AXLE_MASS = _key(VehicleTable, "front_axle_mass")
RADIUS = _key(CgHeightTestTable, "front_loaded_radius")
LIFT, LIFTED_MASS = _key(LiftTable, "height"), _key(LiftTable, "mass")
ADDED, DROP = _key(LoadReadingTable, "added"), _key(LoadReadingTable, "drop")
DROP_ERROR, LEAN_ERROR = _key(LoadTestTable, "reading_error"), _key(LeanTestTable, "reading_error")
MOVED, RIGHT = _key(LeanReadingTable, "mass"), _key(LeanReadingTable, "right_of_centreline")
LEAN = _key(LeanReadingTable, "lean")
ARCH_DISTANCE = _key(LeanTestTable, "arch_distance")
ABOARD = tuple(_key(AboardTable, name) for name in ("mass", "behind_front_axle", "height"))
TOTAL = Measured("whole vehicle", Dimension.MASS, 200, 12000, "kg")
CG_ARM = Measured("sprung CG over the front roll centre", Dimension.LENGTH, 0, 2000, "mm")
SWING = Measured("from turning point to turning point", Dimension.LENGTH, 1, 1000, "mm")
SWING_ERROR = Measured("of one swing", Dimension.LENGTH, 0.1, 100, "mm")
CORNERS = tuple(
    _key(VehicleTable, f"{end}_{side}_mass")
    for end in ("front", "rear")
    for side in ("left", "right")
)
BLOCK = Measured(
    "height of the blocks",
    Dimension.LENGTH,
    1e3 * LEAST_BLOCK,
    1e3 * GREATEST_BLOCK,
    "mm",
)
ARCHES = Measured("left arch over right arch", Dimension.LENGTH, -1000, 1000, "mm")
