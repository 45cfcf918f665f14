"""The keys of a whole scenario file: one model a table, one field a key."""

from typing import Annotated

from rollsim.scenario.bar_tables import BarTable, FrontBarTable, RearBarTable
from rollsim.scenario.bay_tables import LeanTestTable
from rollsim.scenario.keys import About, Csv, Flag, LessThanNow, Measured, MeasuredOrLess, Text
from rollsim.scenario.lift_tables import DamperLengthsTable
from rollsim.scenario.load_tables import LoadTable
from rollsim.scenario.vehicle_tables import (
    LENGTH,
    MASS,
    AxleTable,
    LimitStrapTable,
    SpringTable,
    Table,
    VehicleTable,
)
from rollsim.units import Dimension, Quantity


class RatingsTable(Table):
    """Greatest masses the maker allows."""

    front_axle: Annotated[Quantity | None, Measured("plate", MASS, 100, 8000, "kg")] = None
    rear_axle: Annotated[Quantity | None, Measured("plate", MASS, 100, 8000, "kg")] = None
    gross_vehicle_mass: Annotated[Quantity | None, Measured("plate", MASS, 300, 12000, "kg")] = None
    roof_load: Annotated[
        Quantity | None, Measured("handbook, on road, rack included", MASS, 0, 1000, "kg")
    ] = None
    roof_load_off_road: Annotated[
        Quantity | None, Measured("handbook, off road", MASS, 0, 1000, "kg")
    ] = None
    roof_load_parked: Annotated[
        Quantity | None, Measured("handbook, parked, sleepers included", MASS, 0, 3000, "kg")
    ] = None


class ChangeTable(Table):
    """What was, or will be, altered."""

    suspension_lift_front: Annotated[
        Quantity | None, Measured("tape: rise at the wheel", LENGTH, -200, 400, "mm")
    ] = None
    suspension_lift_rear: Annotated[
        Quantity | None, Measured("tape: rise at the wheel", LENGTH, -200, 400, "mm")
    ] = None
    tyre_radius: Annotated[
        Quantity | None, Measured("new loaded radius less the old", LENGTH, -150, 200, "mm")
    ] = None
    body_lift: Annotated[
        Quantity | None, Measured("spacer height; with body_lift_mass", LENGTH, 0, 300, "mm")
    ] = None
    body_lift_mass: Annotated[
        Quantity | None, Measured("mass above the spacers; with body_lift", MASS, 0, 6000, "kg")
    ] = None
    wheel_offset_front: Annotated[
        Quantity | None, Measured("each wheel further out; in negative", LENGTH, -100, 150, "mm")
    ] = None
    wheel_offset_rear: Annotated[
        Quantity | None, Measured("each wheel further out; in negative", LENGTH, -100, 150, "mm")
    ] = None
    front_spring: Annotated[SpringTable | None, About("replaces the front spring")] = None
    rear_spring: Annotated[SpringTable | None, About("replaces the rear spring")] = None
    front_bar: Annotated[BarTable | None, About("replaces the front anti-roll bar")] = None
    rear_rebound_limit: Annotated[
        LimitStrapTable | None, About("limit straps: replaces the rear rebound limit")
    ] = None
    front_damper: Annotated[
        DamperLengthsTable | None, About("replaces the front dampers, on their mounts")
    ] = None
    rear_damper: Annotated[
        DamperLengthsTable | None, About("replaces the rear dampers, on their mounts")
    ] = None
    on_when_weighed: Annotated[bool, Flag("it was done before weighing")] = False


_RATED = Measured(
    "maker, what one spring may carry; independent: at the wheel", Dimension.FORCE, 50, 8000, "kg"
)


class SpringOptionTable(Table):
    """Springs that might be fitted instead."""

    name: Annotated[str, Text("the option, in your words")]
    front: Annotated[SpringTable | None, About("front spring of this option")] = None
    rear: Annotated[SpringTable | None, About("rear spring of this option")] = None
    front_rated_load: Annotated[Quantity | None, _RATED] = None
    rear_rated_load: Annotated[Quantity | None, _RATED] = None


class TargetTable(Table):
    """What a bar is sized for."""

    roll_gradient: Annotated[
        Quantity | LessThanNow | None,
        MeasuredOrLess(
            "wanted lean per g", Dimension.ROLL_GRADIENT, 0.2, 30, "deg/g", ("unladen",)
        ),
    ] = None
    at: Annotated[
        Quantity | None,
        Measured(
            "lateral acceleration at which lean per g is wanted (secant)",
            Dimension.ACCELERATION,
            0.05,
            1.0,
            "g",
            ("linear",),
        ),
    ] = None
    case: Annotated[str | None, Text("case to size for")] = None


class LimitsTable(Table):
    """What makes a bar acceptable and springs suited: project defaults, no source."""

    roll_gradient_within: Annotated[
        Quantity | None,
        Measured("allowed above the target, share of it", Dimension.RATIO, 0.001, 0.5, ""),
    ] = None
    least_gain: Annotated[
        Quantity | None, Measured("below the lean now, share of it", Dimension.RATIO, 0.0, 0.5, "")
    ] = None
    safety_factor: Annotated[
        Quantity | None, Measured("allowable over peak stress", Dimension.RATIO, 1.0, 10.0, "")
    ] = None
    inner_rear_lift: Annotated[
        Quantity | None,
        Measured("inner rear wheel stays down up to", Dimension.ACCELERATION, 0.0, 2.0, "g"),
    ] = None
    front_share_drop: Annotated[
        Quantity | None,
        Measured("greatest fall of the front share", Dimension.RATIO, 0.0, 1.0, ""),
    ] = None
    stress_acceleration: Annotated[
        Quantity | None,
        Measured("stress is taken there", Dimension.ACCELERATION, 0.1, 2.0, "g"),
    ] = None
    dynamic_factor: Annotated[
        Quantity | None, Measured("on the axle twist", Dimension.RATIO, 1.0, 5.0, "")
    ] = None
    road_twist: Annotated[
        Quantity | None,
        Measured("axle twist on a road, links on", Dimension.ANGLE, 1.0, 20.0, "deg"),
    ] = None
    least_bump_travel_share: Annotated[
        Quantity | None,
        Measured("springs: left at rest, of stop to stop", Dimension.RATIO, 0.0, 0.9, ""),
    ] = None
    least_rebound_travel_share: Annotated[
        Quantity | None,
        Measured("springs: left at rest, of stop to stop", Dimension.RATIO, 0.0, 0.9, ""),
    ] = None
    greatest_second_stage_share: Annotated[
        Quantity | None,
        Measured("springs: of its room, used at rest", Dimension.RATIO, 0.05, 1.0, ""),
    ] = None
    second_stage_travel: Annotated[
        Quantity | None,
        Measured("springs: that room where no bump_stop is given", LENGTH, 5, 300, "mm"),
    ] = None
    lowest_ride_frequency: Annotated[
        Quantity | None, Measured("springs: softer is too soft", Dimension.FREQUENCY, 0.2, 5, "Hz")
    ] = None
    highest_ride_frequency: Annotated[
        Quantity | None,
        Measured("springs: above it harsh, helper idle", Dimension.FREQUENCY, 0.2, 10, "Hz"),
    ] = None
    highest_ride_frequency_on_helper: Annotated[
        Quantity | None,
        Measured(
            "springs: above it harsh, helper less than half used",
            Dimension.FREQUENCY,
            0.2,
            10,
            "Hz",
        ),
    ] = None
    soft_bump_travel_share: Annotated[
        Quantity | None,
        Measured("springs: with more left, soft is not overloaded", Dimension.RATIO, 0.0, 1.0, ""),
    ] = None
    least_damper_left_at_bump: Annotated[
        Quantity | None,
        Measured("dampers: left to close where the bump stop begins", LENGTH, 0, 100, "mm"),
    ] = None
    least_damper_left_at_droop: Annotated[
        Quantity | None, Measured("dampers: left to open at full droop", LENGTH, 0, 100, "mm")
    ] = None


class JobTable(Table):
    """What the shop's record keeps of a job besides the vehicle."""

    registration: Annotated[str | None, Text("plate or stock number: finds the vehicle again")] = (
        None
    )
    lean_after: Annotated[
        Quantity | None,
        Measured(
            "drive or lean test after the work: loaded, at 0.3 g, from rest, mean of both sides",
            Dimension.ANGLE,
            0.1,
            30.0,
            "deg",
        ),
    ] = None


class Document(Table):
    """The whole file."""

    title: Annotated[str, Text("the scenario, in your words")]
    job: Annotated[JobTable | None, About("[job], for the shop's record")] = None
    vehicle: Annotated[VehicleTable, About("[vehicle], as it stood on the scales")]
    front: Annotated[AxleTable, About("[front], the front axle")]
    rear: Annotated[AxleTable, About("[rear], the rear axle")]
    ratings: Annotated[RatingsTable | None, About("[ratings]")] = None
    load: Annotated[tuple[LoadTable, ...] | None, About("[[load]], one a load item")] = None
    change: Annotated[ChangeTable | None, About("[change]")] = None
    lean_test: Annotated[LeanTestTable | None, About("[lean_test], a test in the bay")] = None
    spring_option: Annotated[
        tuple[SpringOptionTable, ...] | None, About("[[spring_option]], springs side by side")
    ] = None
    spring_shelf: Annotated[
        str | None, Csv("the shop's own springs, set side by side like [[spring_option]]")
    ] = None
    target: Annotated[TargetTable | None, About("[target]")] = None
    limits: Annotated[LimitsTable | None, About("[limits]")] = None
    rear_bar: Annotated[RearBarTable | None, About("[rear_bar], the bar to be sized")] = None
    front_bar: Annotated[FrontBarTable | None, About("[front_bar], a front bar to go with it")] = (
        None
    )
