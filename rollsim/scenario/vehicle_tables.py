"""The keys of [vehicle], [front] and [rear]: one model a table, one field a key."""

from typing import Annotated, Any

from pydantic import Field, WrapValidator

from rollsim.scenario.bar_tables import BarTable
from rollsim.scenario.bay_tables import CgHeightTestTable
from rollsim.scenario.keys import CLASS_DEFAULT, About, Flag, Measured, OneOf, Text, refuse
from rollsim.scenario.lift_tables import AlignmentTable, DamperTable, LeafAndShackleTable
from rollsim.scenario.linkage_tables import RollCentreTable
from rollsim.scenario.spring_tables import SpringTable
from rollsim.scenario.table_base import Table
from rollsim.units import Dimension, Quantity, shown
from rollsim.vehicle import Suspension, VehicleClass

LENGTH, MASS, RATE = Dimension.LENGTH, Dimension.MASS, Dimension.RATE
_DEFAULT = (CLASS_DEFAULT,)
AXLES = ("front_axle_mass", "rear_axle_mass")
CORNERS = ("front_left_mass", "front_right_mass", "rear_left_mass", "rear_right_mass")
"""The two ways to say what the scales said."""


def _or_class_default(found: Any, handler: Any) -> Any:
    """Take "class default" in place of a table."""
    if not isinstance(found, str):
        return handler(found)
    if found.strip() == CLASS_DEFAULT:
        return CLASS_DEFAULT
    raise refuse(f'found {shown(found)}; allowed a table or "{CLASS_DEFAULT}"; write it so')


class StopTable(Table):
    """A bump stop or a rebound limit, one side."""

    gap: Annotated[
        Quantity,
        Measured("tape: free travel at the stop, as weighed", LENGTH, 0, 500, "mm", _DEFAULT),
    ]
    rate: Annotated[
        Quantity, Measured("press or maker, at the stop", RATE, 5, 10000, "N/mm", _DEFAULT)
    ]
    base: Annotated[
        Quantity | None,
        Measured("solid axle only: tape, left stop to right", LENGTH, 200, 2500, "mm"),
    ] = None
    motion_ratio: Annotated[
        Quantity | None,
        Measured("independent only: stop travel per wheel travel", Dimension.RATIO, 0.1, 2.0, ""),
    ] = None


class LimitStrapTable(Table):
    """A rebound limit in place of the vehicle's own; what it leaves out stays as it was."""

    gap: Annotated[
        Quantity, Measured("tape: free droop at the strap, as weighed", LENGTH, 0, 500, "mm")
    ]
    rate: Annotated[
        Quantity | None, Measured("press or maker, at the strap", RATE, 5, 10000, "N/mm")
    ] = None
    base: Annotated[
        Quantity | None,
        Measured("solid axle only: tape, left strap to right", LENGTH, 200, 2500, "mm"),
    ] = None
    motion_ratio: Annotated[
        Quantity | None,
        Measured("independent only: its travel per wheel travel", Dimension.RATIO, 0.1, 2.0, ""),
    ] = None


class TyreTable(Table):
    """One tyre."""

    vertical_rate: Annotated[
        Quantity,
        Measured("scale and tape: load against loaded radius", RATE, 50, 2000, "N/mm", _DEFAULT),
    ]
    lateral_rate: Annotated[
        Quantity | None,
        Measured(
            "side rate of one wheel at the ground, tyre and suspension together",
            RATE,
            20,
            2000,
            "N/mm",
            _DEFAULT,
        ),
    ] = None
    rated_load: Annotated[
        Quantity | None,
        Measured("load index on the sidewall", Dimension.FORCE, 150, 5000, "kg"),
    ] = None


class AxleTable(Table):
    """An axle: [front] or [rear]."""

    suspension: Annotated[Suspension, OneOf("look under the vehicle", Suspension, seen=True)]
    track: Annotated[
        Quantity,
        Measured("tape: tyre centre to tyre centre at the ground", LENGTH, 1000, 2500, "mm"),
    ]
    spring_base: Annotated[
        Quantity | None,
        Measured(
            "solid axle only: tape, spring centre to spring centre",
            LENGTH,
            300,
            2400,
            "mm",
            _DEFAULT,
        ),
    ] = None
    unsprung_mass: Annotated[
        Quantity,
        Measured("whole axle: wheels, hubs, half the arms", MASS, 10, 1500, "kg", _DEFAULT),
    ]
    unsprung_cg_height: Annotated[
        Quantity, Measured("tape: wheel centre above ground", LENGTH, 100, 800, "mm", _DEFAULT)
    ]
    roll_centre_height: Annotated[
        Quantity | None,
        Measured(
            "from the linkage: arms drawn to scale, or the transverse link's height",
            LENGTH,
            -300,
            1000,
            "mm",
            _DEFAULT,
        ),
    ] = None
    roll_centre_travel_ratio: Annotated[
        Quantity | None,
        Measured(
            "its rise per body rise: leaf springs or a transverse link 0.5, double wishbones 1",
            Dimension.RATIO,
            -1.0,
            4.0,
            "",
            _DEFAULT,
        ),
    ] = None
    roll_centre: Annotated[
        RollCentreTable | None,
        About("its linkage by tape, instead of roll_centre_height and roll_centre_travel_ratio"),
    ] = None
    spring: Annotated[
        SpringTable, WrapValidator(_or_class_default), About("one side's spring", _DEFAULT)
    ]
    spring_height: Annotated[
        Quantity | None,
        Measured(
            "tape, as weighed, for springs of a known free height: coil, seat to seat; leaf pack, "
            "from the line through its eyes down to the main leaf on the axle",
            *(LENGTH, -200, 1000, "mm"),
        ),
    ] = None
    bump_stop: Annotated[
        StopTable | None, WrapValidator(_or_class_default), About("one side's bump stop", _DEFAULT)
    ] = None
    rebound_limit: Annotated[
        StopTable | None, WrapValidator(_or_class_default), About("one side's full droop", _DEFAULT)
    ] = None
    tyre: Annotated[TyreTable, WrapValidator(_or_class_default), About("one tyre", _DEFAULT)]
    bar: Annotated[BarTable | None, About("the anti-roll bar that is on it; no class default")] = (
        None
    )
    auxiliary_roll_stiffness: Annotated[
        Quantity | None,
        Measured(
            "bush and leaf twist, per axle; below zero only as a road or lean test corrects it",
            Dimension.ROLL_STIFFNESS,
            -1000,
            3000,
            "N*m/deg",
            _DEFAULT,
        ),
    ] = None
    alignment: Annotated[
        AlignmentTable | None, About("independent only: how its wheels stand, on a rack")
    ] = None
    damper: Annotated[DamperTable | None, About("one side's damper, for how far it reaches")] = None
    leaf_and_shackle: Annotated[
        LeafAndShackleTable | None, About("solid axle only: how its leaf springs stand")
    ] = None


def _corner_mass(corner: str) -> Measured:
    return Measured(f"corner scale, {corner}; with the other three", MASS, 30, 4000, "kg")


class VehicleTable(Table):
    """The vehicle as it stood on the scales."""

    name: Annotated[str, Text("the vehicle, in your words")]
    vehicle_class: Annotated[
        VehicleClass | None,
        Field(alias="class"),
        OneOf("body type, for class defaults", VehicleClass),
    ] = None
    wheelbase: Annotated[
        Quantity, Measured("tape: front to rear wheel centre", LENGTH, 1500, 6000, "mm")
    ]
    front_axle_mass: Annotated[
        Quantity | None, Measured("scale under the front axle, both wheels", MASS, 100, 6000, "kg")
    ] = None
    rear_axle_mass: Annotated[
        Quantity | None, Measured("scale under the rear axle, both wheels", MASS, 100, 6000, "kg")
    ] = None
    front_left_mass: Annotated[Quantity | None, _corner_mass("front left")] = None
    front_right_mass: Annotated[Quantity | None, _corner_mass("front right")] = None
    rear_left_mass: Annotated[Quantity | None, _corner_mass("rear left")] = None
    rear_right_mass: Annotated[Quantity | None, _corner_mass("rear right")] = None
    cg_height: Annotated[
        Quantity | None,
        Measured(
            "whole vehicle above ground: axle-lift weighing", LENGTH, 200, 2000, "mm", _DEFAULT
        ),
    ] = None
    roof_height: Annotated[
        Quantity | None,
        Measured(
            "tape: bare roof above ground, as it stood on the scales, no rack",
            LENGTH,
            1000,
            4000,
            "mm",
        ),
    ] = None
    frame_torsional_stiffness: Annotated[
        Quantity | None,
        Measured(
            "frame-twist test in the bay, from axle to axle; without it the frame counts as rigid",
            Dimension.ROLL_STIFFNESS,
            300,
            100000,
            "N*m/deg",
            _DEFAULT,
        ),
    ] = None
    frame_height: Annotated[
        Quantity | None,
        Measured(
            "tape: middle of the frame rails above ground; else the height of the wheel centres",
            LENGTH,
            100,
            1500,
            "mm",
        ),
    ] = None
    cab_share_of_twist: Annotated[
        Quantity | None,
        Measured(
            "levels on frame and cab's sill in the frame-twist test: 0 leans with the frame's "
            "front, 1 with its rear; else 0.2 ± 0.2 is assumed",
            Dimension.RATIO,
            0,
            1,
            "",
        ),
    ] = None
    roll_damping_ratio: Annotated[
        Quantity | None,
        Measured(
            "rocked sideways and let go, swings counted: a bounce test",
            Dimension.RATIO,
            0.03,
            0.9,
            "",
        ),
    ] = None
    auxiliary_roll_stiffness_found_together: Annotated[
        bool,
        Flag("one test put both axles' right: their tolerances are one unknown, drawn as one"),
    ] = False
    cg_height_test: Annotated[
        CgHeightTestTable | None,
        About("[vehicle.cg_height_test], axle-lift weighing instead of cg_height"),
    ] = None
