"""The keys of an alignment and of a damper: what a lift asks of wheels and dampers."""

from enum import Enum
from typing import Annotated

from rollsim.scenario.keys import About, Measured, OneOf
from rollsim.scenario.linkage_tables import LENGTH, DoubleWishboneTable, Pair, StrutTable
from rollsim.scenario.table_base import Table
from rollsim.units import Dimension, Quantity

ANGLE = Dimension.ANGLE
LEAST_ANGLE, GREATEST_ANGLE = -60, 80  # deg, of a shackle that hangs from the frame
_BOTH = "alignment rack: [left, right]"


class Pivot(Enum):
    """The pivot that an adjuster moves."""

    UPPER = "upper"
    LOWER = "lower"


def _read(what: str, low: float, high: float) -> Measured:
    return Measured(f"{_BOTH}, {what}", ANGLE, low, high, "deg", many=True)


def _wanted(what: str, low: float, high: float) -> Measured:
    return Measured(f"data sheet, or what it was: {what}", ANGLE, low, high, "deg")


def _axis(which: str) -> Measured:
    return Measured(
        f"tape: {which} arm's bushes above ground, [front, rear], and how far they stand apart",
        *(LENGTH, 50, 1500, "mm"),
        many=True,
    )


def _joint(what: str) -> Measured:
    return Measured(
        f"tape: {what}, [from the centreline, above ground]", LENGTH, -1500, 1500, "mm", many=True
    )


def _height(what: str) -> Measured:
    return Measured(f"tape: {what} above ground", LENGTH, 50, 1500, "mm")


def _ahead(what: str) -> Measured:
    return Measured(
        f"tape: {what} ahead of the lower ball joint, behind it negative", LENGTH, -500, 500, "mm"
    )


_CAMBER = ("camber, top out positive", -10, 10)
_CASTER = ("caster, top back positive", -10, 15)
_TOE = ("toe of each wheel, front in positive", -5, 5)


class AlignmentReadingTable(Table):
    """What an alignment rack read, left and right."""

    camber: Annotated[Pair | None, _read(*_CAMBER)] = None
    caster: Annotated[Pair | None, _read(*_CASTER)] = None
    toe: Annotated[Pair | None, _read(*_TOE)] = None


class TieRodTable(Table):
    """The rod that steers one wheel, or holds its toe."""

    inner_joint: Annotated[Pair, _joint("middle of the joint on the rack or body")]
    outer_joint: Annotated[Pair, _joint("middle of the joint on the knuckle")]
    inner_ahead: Annotated[Quantity, _ahead("inner joint")]
    outer_ahead: Annotated[Quantity, _ahead("outer joint")]


class AlignmentTable(AlignmentReadingTable):
    """An independent axle on the alignment rack, as weighed."""

    wanted_camber: Annotated[Quantity | None, _wanted(*_CAMBER)] = None
    wanted_caster: Annotated[Quantity | None, _wanted(*_CASTER)] = None
    wanted_toe: Annotated[Quantity | None, _wanted(*_TOE)] = None
    camber_adjustment: Annotated[
        Quantity | None,
        Measured("what its adjusters still take, to either side", ANGLE, 0, 5, "deg"),
    ] = None
    caster_adjustment: Annotated[
        Quantity | None,
        Measured("what its adjusters still take, to either side", ANGLE, 0, 10, "deg"),
    ] = None
    pivot_adjustment: Annotated[
        Quantity | None,
        Measured(
            "instead of camber_adjustment: way in or out left on a cam or slot",
            *(LENGTH, 0, 50, "mm"),
        ),
    ] = None
    adjusted_pivot: Annotated[
        Pivot | None, OneOf("which pivot that moves; a strut's upper one is its top mount", Pivot)
    ] = None
    double_wishbone: Annotated[
        DoubleWishboneTable | None,
        About("its linkage by tape, where roll_centre does not hold it: an upper and a lower arm"),
    ] = None
    strut: Annotated[StrutTable | None, About("the same: a strut and a lower arm")] = None
    upper_axis: Annotated[Pair | None, _axis("upper")] = None
    lower_axis: Annotated[Pair | None, _axis("lower")] = None
    tie_rod: Annotated[TieRodTable | None, About("its tie rod by tape, for bump steer")] = None
    readings_after: Annotated[
        AlignmentReadingTable | None, About("the same readings once the work is done")
    ] = None


class Shackle(Enum):
    """The end of a leaf spring that its shackle is at."""

    REAR = "rear"
    FRONT = "front"


class Middle(Enum):
    """What the leaves of a pack do half way between seat and eye."""

    GAPS = "gaps"
    TOUCHING = "touching"


class LeafAndShackleTable(Table):
    """A leaf spring and its shackle, which hangs from the frame, as weighed."""

    fixed_eye_height: Annotated[Quantity | None, _height("middle of the fixed eye")] = None
    shackle_eye_height: Annotated[
        Quantity | None, _height("middle of the spring's own eye at the shackle")
    ] = None
    seat_height: Annotated[Quantity | None, _height("middle of the main leaf over the axle")] = None
    fixed_eye_to_axle: Annotated[
        Quantity | None, Measured("tape: along the vehicle", LENGTH, 100, 2000, "mm")
    ] = None
    axle_to_shackle_eye: Annotated[
        Quantity | None, Measured("tape: along the vehicle", LENGTH, 100, 2000, "mm")
    ] = None
    shackle_length: Annotated[
        Quantity, Measured("tape: bolt to bolt on the shackle", LENGTH, 30, 400, "mm")
    ]
    shackle_angle: Annotated[
        Quantity | None,
        Measured(
            "level on the shackle, less that of the frame: from square to the frame, its lower "
            "end away from the fixed eye positive",
            *(ANGLE, LEAST_ANGLE, GREATEST_ANGLE, "deg"),
        ),
    ] = None
    hanger_height: Annotated[
        Quantity | None, _height("instead of shackle_angle: the shackle's bolt on the frame")
    ] = None
    axle_to_hanger: Annotated[
        Quantity | None,
        Measured("with hanger_height, tape: along the vehicle", LENGTH, 100, 2500, "mm"),
    ] = None
    eye_offset: Annotated[
        Quantity | None,
        Measured(
            "vernier: half the eye and half the main leaf; an eye turned down negative",
            *(LENGTH, -80, 80, "mm"),
        ),
    ] = None
    shackle_end: Annotated[Shackle | None, OneOf("where the shackle is", Shackle)] = None
    leaves_at_mid_length: Annotated[
        Middle | None, OneOf("look half way from seat to eye, as weighed", Middle)
    ] = None


class DamperLengthsTable(Table):
    """A damper off the vehicle."""

    open_length: Annotated[
        Quantity, Measured("tape or maker: eye to eye, pulled out", LENGTH, 100, 1500, "mm")
    ]
    closed_length: Annotated[
        Quantity, Measured("tape or maker: eye to eye, pushed in", LENGTH, 80, 1200, "mm")
    ]


class DamperTable(DamperLengthsTable):
    """One side's damper, and how it stands."""

    length: Annotated[
        Quantity, Measured("tape: eye to eye on the vehicle, as weighed", LENGTH, 80, 1500, "mm")
    ]
    mount_height: Annotated[
        Quantity, Measured("tape: upper eye above the lower one, as weighed", LENGTH, 0, 1500, "mm")
    ]
    base: Annotated[
        Quantity | None,
        Measured("solid axle only: tape, left lower eye to right", LENGTH, 200, 2500, "mm"),
    ] = None
    motion_ratio: Annotated[
        Quantity | None,
        Measured(
            "independent only: way of the lower eye per wheel travel, up and down",
            *(Dimension.RATIO, 0.1, 1.5, ""),
        ),
    ] = None
