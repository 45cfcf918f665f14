"""The keys of tests in the bay: axle lift, load test, lean test; one model a table.

What evaluates them is imported only where a file has such a test, so its words stand here again.
"""

from enum import Enum
from typing import Annotated

from rollsim.scenario.keys import About, Flag, Measured, OneOf, Text
from rollsim.scenario.table_base import Table
from rollsim.units import Dimension, Quantity

ANGLE, LENGTH, MASS = Dimension.ANGLE, Dimension.LENGTH, Dimension.MASS
_BOUNCED = "bounced"


class Raised(Enum):
    """The axle that is lifted: `rollsim.weighing.RaisedAxle`."""

    FRONT = "front"
    REAR = "rear"


class PutRight(Enum):
    """What a lean test puts right: `rollsim.measured.Unknown`."""

    TOTAL_ROLL_STIFFNESS = "total roll stiffness"
    FRONT_ROLL_STIFFNESS = "front roll stiffness"
    REAR_ROLL_STIFFNESS = "rear roll stiffness"
    CG_HEIGHT = "CG height"


class Step(Enum):
    """How a reading of a load test was come to."""

    LOADING = "loading"
    UNLOADING = "unloading"
    BOUNCED = _BOUNCED


class Moved(Enum):
    """To which side a lean test's mass was moved last."""

    RIGHT = "right"
    LEFT = "left"
    BOUNCED = _BOUNCED


class LiftTable(Table):
    """One lift of an axle."""

    height: Annotated[
        Quantity,
        Measured("tape: rise of the lifted wheels' centres, from level", LENGTH, 50, 2500, "mm"),
    ]
    mass: Annotated[
        Quantity, Measured("scale under the axle left on the ground, then", MASS, 50, 8000, "kg")
    ]


class CgHeightTestTable(Table):
    """CG height by lifting one axle."""

    raised_axle: Annotated[
        Raised, OneOf("which one was lifted; the scales are under the other", Raised)
    ] = Raised.REAR
    front_loaded_radius: Annotated[
        Quantity, Measured("tape: front wheel centre above ground, level", LENGTH, 150, 800, "mm")
    ]
    rear_loaded_radius: Annotated[
        Quantity, Measured("tape: rear wheel centre above ground, level", LENGTH, 150, 800, "mm")
    ]
    lift: Annotated[tuple[LiftTable, ...], About("[[vehicle.cg_height_test.lift]], one a lift")]


class LoadReadingTable(Table):
    """One reading of a load test."""

    added: Annotated[
        Quantity,
        Measured("scales under both wheels of the axle: more than at first", MASS, 0, 5000, "kg"),
    ]
    drop: Annotated[
        Quantity,
        Measured(
            "tape, hub to arch: shorter than at first, mean of both sides", LENGTH, -50, 400, "mm"
        ),
    ]
    step: Annotated[Step, OneOf("how the mass was come to", Step)]


class LoadTestTable(Table):
    """Rate and friction of one side's spring by loading its axle."""

    reading_error: Annotated[
        Quantity | None, Measured("half the 90 % band of one drop", LENGTH, 0.05, 20, "mm")
    ] = None
    reading: Annotated[
        tuple[LoadReadingTable, ...], About("a list of readings: added, drop and step")
    ]


class LeanReadingTable(Table):
    """One reading of a lean test."""

    mass: Annotated[Quantity, Measured("scale: what was moved", MASS, 0, 2000, "kg")]
    right_of_centreline: Annotated[
        Quantity,
        Measured("tape: its middle then, left of it negative", LENGTH, -2000, 2000, "mm"),
    ]
    lean: Annotated[
        Quantity | None,
        Measured("inclinometer in the cab, right side down positive", ANGLE, -15, 15, "deg"),
    ] = None
    left_arch: Annotated[
        Quantity | None, Measured("tape: left arch above ground", LENGTH, 200, 2000, "mm")
    ] = None
    right_arch: Annotated[
        Quantity | None, Measured("tape: right arch above ground", LENGTH, 200, 2000, "mm")
    ] = None
    last_moved: Annotated[Moved, OneOf("to which side, just before reading", Moved)]


class AboardTable(Table):
    """What is moved in a lean test, as a load item on the centreline."""

    mass: Annotated[Quantity, Measured("scale: all that is moved", MASS, 1, 2000, "kg")]
    behind_front_axle: Annotated[
        Quantity, Measured("tape: its middle behind the front axle", LENGTH, -3000, 10000, "mm")
    ]
    height: Annotated[
        Quantity,
        Measured("tape: its middle above ground, vehicle as weighed", LENGTH, 0, 4000, "mm"),
    ]


class LeanTestTable(Table):
    """Net roll stiffness of the vehicle, and the one input that it puts right."""

    unknown: Annotated[PutRight, OneOf("what the test puts right", PutRight)]
    state: Annotated[str | None, Text("as it stood: a state or load case")] = None
    aboard: Annotated[
        AboardTable | None, About("what was moved, where no load item of that state")
    ] = None
    arch_distance: Annotated[
        Quantity | None,
        Measured("tape: between the points read on left and right arch", LENGTH, 500, 2500, "mm"),
    ] = None
    reading_error: Annotated[
        Quantity | None, Measured("half the 90 % band of one lean", ANGLE, 0.001, 2, "deg")
    ] = None
    applied: Annotated[bool, Flag("its correction stands in the file: not applied again")] = False
    reading: Annotated[tuple[LeanReadingTable, ...], About("[[lean_test.reading]], one a reading")]
