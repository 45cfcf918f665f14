"""The keys of [[load]]: a load item, its mass and place given, by scales, or of a tank."""

from typing import Annotated

from rollsim.scenario.keys import About, Flag, Measured, OneOf, Text
from rollsim.scenario.table_base import Table
from rollsim.units import Dimension, Quantity
from rollsim.vehicle import Place

LENGTH, MASS = Dimension.LENGTH, Dimension.MASS


def _corner(where: str) -> Measured:
    return Measured(f"corner scale, {where}", MASS, 30, 4000, "kg")


class CornersTable(Table):
    """Four corner masses."""

    front_left: Annotated[Quantity, _corner("front left")]
    front_right: Annotated[Quantity, _corner("front right")]
    rear_left: Annotated[Quantity, _corner("rear left")]
    rear_right: Annotated[Quantity, _corner("rear right")]


class WeighedTable(Table):
    """A load item by weighing the vehicle without it and with it."""

    before: Annotated[CornersTable | None, About("corner masses without the item")] = None
    after: Annotated[CornersTable | None, About("corner masses with the item")] = None


class TankTable(Table):
    """A part-full tank: the liquid alone is the load item."""

    capacity: Annotated[
        Quantity, Measured("plate or maker: full", Dimension.VOLUME, 0.5, 3000, "l")
    ]
    fill: Annotated[Quantity, Measured("gauge: part of its capacity", Dimension.RATIO, 0, 1, "")]
    density: Annotated[
        Quantity,
        Measured(
            "water 1000, petrol 745, diesel 840 kg/m^3", Dimension.DENSITY, 500, 2000, "kg/m^3"
        ),
    ]
    bottom: Annotated[
        Quantity,
        Measured("tape: its inside bottom above ground, as weighed", LENGTH, 50, 3500, "mm"),
    ]
    depth: Annotated[Quantity, Measured("tape: inside, bottom to top", LENGTH, 20, 2000, "mm")]


class LoadTable(Table):
    """A load item on the body."""

    name: Annotated[str, Text("the item, in your words")]
    mass: Annotated[Quantity | None, Measured("scale", MASS, 0, 5000, "kg")] = None
    behind_front_axle: Annotated[
        Quantity | None,
        Measured(
            "tape: its middle behind the front axle, ahead negative", LENGTH, -3000, 10000, "mm"
        ),
    ] = None
    height: Annotated[
        Quantity | None,
        Measured("tape: its middle above ground, vehicle as weighed", LENGTH, 0, 4000, "mm"),
    ] = None
    left_of_centreline: Annotated[
        Quantity | None, Measured("tape, right negative", LENGTH, -1500, 1500, "mm")
    ] = None
    place: Annotated[Place | None, OneOf("where it counts against a rating", Place)] = None
    on_when_weighed: Annotated[bool, Flag("it was on the vehicle on the scales")] = False
    cases: Annotated[
        tuple[str, ...] | None,
        Text("load cases it belongs to; [] = in none", many=True, none=True),
    ] = None
    parked_only: Annotated[bool, Flag("sleepers: roof, parked rating alone")] = False
    behind_rear_axle: Annotated[
        Quantity | None,
        Measured("tape: its middle, or the tow ball, behind the rear axle", LENGTH, 0, 4000, "mm"),
    ] = None
    tank: Annotated[TankTable | None, About("a part-full tank, instead of mass and height")] = None
    weighed: Annotated[
        WeighedTable | None, About("corner masses without and with it, instead of mass and place")
    ] = None
