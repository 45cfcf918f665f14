"""What a vehicle, a load and a change are: frozen records in SI units, nothing computed."""

import math
from dataclasses import dataclass, field
from enum import Enum

from rollsim.bar import ShelfPart
from rollsim.springs import Spring
from rollsim.wheel_travel import Alignment, Damper, DamperLengths, LeafSeat

STANDARD_GRAVITY = 9.80665


class Suspension(Enum):
    """How the two wheels of an axle are tied together."""

    INDEPENDENT = "independent"
    SOLID_AXLE = "solid axle"


class VehicleClass(Enum):
    """Body type, for the class defaults."""

    CREW_CAB_TRUCK = "crew-cab truck"
    WAGON = "wagon"
    VAN = "van"
    CAR = "car"


class Place(Enum):
    """Where a load sits, which decides the ratings that it counts against."""

    ROOF = "roof"
    TRAY = "tray"
    CABIN = "cabin"
    TOW_BAR = "tow bar"


@dataclass(frozen=True, slots=True)
class Stop:
    """A bump stop or a rebound limit on one side.

    Parameters
    ----------
    gap : float
        Travel at the stop before it works, from as-weighed height [m].
    rate : float
        Rate at the stop [N/m].
    base : float
        Distance between the left and the right stop; the track on independent suspension [m].
    motion_ratio : float
        Stop travel per wheel travel [-]; 1 on a solid axle.
    """

    gap: float
    rate: float
    base: float
    motion_ratio: float = 1.0


@dataclass(frozen=True, slots=True)
class Tyre:
    """One tyre: rates [N/m] and rated load [N]; None where not given."""

    vertical_rate: float
    lateral_rate: float | None = None
    rated_load: float | None = None


@dataclass(frozen=True, slots=True)
class BarPlace:
    """Where a bar on the vehicle sits, for its picture.

    Parameters
    ----------
    on_axle : bool
        The axle carries its bushes, and the chassis its links; else the other way round.
    bush_spacing, link_spacing : float
        Between the bushes and between the link ends [m].
    """

    on_axle: bool
    bush_spacing: float
    link_spacing: float


@dataclass(frozen=True, slots=True)
class TrackBar:
    """A transverse rod that holds a solid axle sideways.

    Parameters
    ----------
    axle_left, axle_height, body_left, body_height : float
        Its ends: left of the centreline, and above ground as weighed [m].
    """

    axle_left: float
    axle_height: float
    body_left: float
    body_height: float


@dataclass(frozen=True, slots=True)
class Axle:
    """One axle with its suspension, both sides alike.

    Parameters
    ----------
    suspension : Suspension
        Independent or solid axle.
    track, spring_base : float
        Distance between the tyre centres and between the springs [m]; the same on independent
        suspension, where rates are wheel rates.
    unsprung_mass : float
        Of the whole axle [kg].
    unsprung_cg_height : float
        Above ground, as weighed [m].
    roll_centre_height : float
        Above ground, as weighed [m].
    roll_centre_travel_ratio : float
        Rise of the roll centre per rise of the body over the axle [-].
    spring : Spring
        One side's.
    tyre : Tyre
        One side's.
    bump_stop, rebound_limit : Stop or None
        None where not given.
    auxiliary_roll_stiffness : float
        Bush and leaf twist, per axle [N·m/rad].
    bar_roll_stiffness : float
        The anti-roll bar on the vehicle, per axle, the wheels at `track` [N·m/rad]; 0 where there
        is none.
    bar_description : str
        That bar in words, empty where there is none.
    bar_place : BarPlace or None
        Where it sits [m]; None where only its rate is known.
    alignment : Alignment or None
        How its wheels stand [rad], for what a lift does to them.
    damper : Damper or None
        One side's [m].
    leaves : LeafSeat or None
        A leaf spring and its shackle as they stand [m].
    track_bar : TrackBar or None
        Where its ends are known, left and right turns are told apart [m].
    """

    suspension: Suspension
    track: float
    spring_base: float
    unsprung_mass: float
    unsprung_cg_height: float
    roll_centre_height: float
    roll_centre_travel_ratio: float
    spring: Spring
    tyre: Tyre
    bump_stop: Stop | None = None
    rebound_limit: Stop | None = None
    auxiliary_roll_stiffness: float = 0.0
    bar_roll_stiffness: float = 0.0
    bar_description: str = ""
    bar_place: BarPlace | None = None
    alignment: Alignment | None = None
    damper: Damper | None = None
    leaves: LeafSeat | None = None
    track_bar: TrackBar | None = None


@dataclass(frozen=True, slots=True)
class Vehicle:
    """The vehicle as it stood on the scales.

    Parameters
    ----------
    name : str
        Of the vehicle.
    vehicle_class : VehicleClass or None
        For class defaults.
    wheelbase : float
        [m].
    front_axle_mass, rear_axle_mass : float
        As weighed [kg].
    cg_height : float
        Of the whole vehicle above ground, as weighed [m].
    cg_left : float or None
        CG of the whole vehicle left of the centreline, from corner masses [m]; None where the
        axles were weighed: the vehicle without its loads then counts as symmetrical.
    front, rear : Axle
        The axles.
    roof_height : float or None
        Of the bare roof above ground, as weighed [m]; None where nobody taped it.
    frame_torsional_stiffness : float or None
        Moment per twist from axle to axle [N·m/rad]; None: rigid.
    frame_height : float or None
        Of the frame above ground, as weighed [m]; None: that of the wheel centres.
    cab_share_of_twist : float
        Of the twist that the cab takes up, 0 at the frame's front and 1 at its rear [-].
    roll_damping_ratio : float or None
        Of the vehicle as weighed [-]; None where nobody measured it.
    roll_damping_tolerance : float
        Half its band [-].
    """

    name: str
    vehicle_class: VehicleClass | None
    wheelbase: float
    front_axle_mass: float
    rear_axle_mass: float
    cg_height: float
    cg_left: float | None
    front: Axle
    rear: Axle
    roof_height: float | None = None
    frame_torsional_stiffness: float | None = None
    frame_height: float | None = None
    cab_share_of_twist: float = 0.0
    roll_damping_ratio: float | None = None
    roll_damping_tolerance: float = 0.0


@dataclass(frozen=True, slots=True)
class Load:
    """A load item, a point mass on the body.

    Parameters
    ----------
    name : str
        In the user's words.
    mass : float
        [kg].
    behind_front_axle, height, left_of_centreline : float
        Position [m]; height above ground, the vehicle as weighed; left positive.
    place : Place
        Decides the ratings it counts against.
    on_when_weighed : bool
        It was on the vehicle on the scales.
    cases : tuple of str or None
        Load cases it belongs to; None: every case.
    parked_only : bool
        It counts against the parked roof rating alone and never drives (sleepers).
    """

    name: str
    mass: float
    behind_front_axle: float
    height: float
    left_of_centreline: float = 0.0
    place: Place = Place.CABIN
    on_when_weighed: bool = False
    cases: tuple[str, ...] | None = None
    parked_only: bool = False


@dataclass(frozen=True, slots=True)
class Change:
    """What was, or will be, altered on the vehicle.

    Parameters
    ----------
    suspension_lift_front, suspension_lift_rear, tyre_radius, body_lift : float
        [m].
    body_lift_mass : float
        What stands on the spacers [kg].
    wheel_offset_front, wheel_offset_rear : float
        Each wheel further out by so much; the track grows by twice that [m].
    front_spring, rear_spring : Spring or None
        In place of the vehicle's own.
    front_bar_roll_stiffness : float or None
        Of the front bar in place of the vehicle's own, per axle, the wheels at the track as weighed
        [N·m/rad].
    front_bar_description : str
        That bar in words.
    rear_rebound_limit : Stop or None
        In place of the vehicle's own, such as limit straps.
    front_damper, rear_damper : DamperLengths or None
        In place of the vehicle's own, on the same mounts [m].
    on_when_weighed : bool
        It was done before weighing.
    """

    suspension_lift_front: float = 0.0
    suspension_lift_rear: float = 0.0
    tyre_radius: float = 0.0
    body_lift: float = 0.0
    body_lift_mass: float = 0.0
    wheel_offset_front: float = 0.0
    wheel_offset_rear: float = 0.0
    front_spring: Spring | None = None
    rear_spring: Spring | None = None
    front_bar_roll_stiffness: float | None = None
    front_bar_description: str = ""
    rear_rebound_limit: Stop | None = None
    front_damper: DamperLengths | None = None
    rear_damper: DamperLengths | None = None
    on_when_weighed: bool = False


@dataclass(frozen=True, slots=True)
class Ratings:
    """Greatest masses that the maker allows [kg]; None where not given."""

    front_axle: float | None = None
    rear_axle: float | None = None
    gross_vehicle_mass: float | None = None
    roof_load: float | None = None
    roof_load_off_road: float | None = None
    roof_load_parked: float | None = None


@dataclass(frozen=True, slots=True)
class Target:
    """What a bar is sized for.

    Parameters
    ----------
    roll_gradient : float or None
        Wanted roll gradient [rad/(m/s²)]; None: the unladen state's own.
    less_than_now : float or None
        Wanted instead: so much less than the case sized for has as it is, as a share of that [-].
    at : float or None
        Lateral acceleration of the secant roll gradient [m/s²]; None: linear, at straight ahead.
    case : str or None
        Load case to size for; None: the one that rolls most.
    """

    roll_gradient: float | None = None
    less_than_now: float | None = None
    at: float | None = 0.4 * STANDARD_GRAVITY
    case: str | None = None

    @property
    def is_unladen(self) -> bool:
        """The unladen state's own roll gradient is wanted."""
        return self.roll_gradient is None and self.less_than_now is None


@dataclass(frozen=True, slots=True)
class Limits:
    """What makes a candidate bar acceptable: project defaults, no source.

    Parameters
    ----------
    gradient_tolerance : float
        How far the roll gradient may lie above the target, as a share of it [-].
    least_gain : float
        How far it must lie below that of the case as it is, as a share of that [-].
    safety_factor : float
        Least allowable stress over peak stress [-].
    inner_rear_lift : float
        Least lateral acceleration at which the inner rear wheel may lift, emptiest state [m/s²].
    front_share_drop : float
        Greatest fall of the front load-transfer share, emptiest state [-].
    stress_acceleration : float
        Lateral acceleration of stress case (a), or tip-over if lower [m/s²].
    dynamic_factor : float
        On the axle twist of stress case (b) [-].
    road_twist : float
        Axle twist of case (b) where the links are disconnected off road [rad]: common practice, no
        source.
    """

    gradient_tolerance: float = 0.05
    least_gain: float = 0.03
    safety_factor: float = 1.2
    inner_rear_lift: float = 0.6 * STANDARD_GRAVITY
    front_share_drop: float = 0.10
    stress_acceleration: float = 0.8 * STANDARD_GRAVITY
    dynamic_factor: float = 1.2
    road_twist: float = math.radians(5.0)


@dataclass(frozen=True, slots=True)
class SpringLimits:
    """Where suited ends: common practice, no source, each workshop's own to set.

    Parameters
    ----------
    bump_share, rebound_share : float
        Least travel left to the bump stop and to the rebound limit, as a share of the travel from
        stop to stop [-].
    stage_used : float
        Greatest share of its room that a second stage may have used [-].
    stage_travel : float
        That room where no bump stop is given [m].
    lowest_frequency, highest_frequency : float
        Of the body on springs and tyres [Hz]. The upper one is for the softest part of the spring
        that it has come through: a second stage is there to be stiff.
    soft_bump_share : float
        With more bump travel left than this share, a low frequency is soft and not overloaded [-].
    highest_on_helper : float
        Of the body while less than half of the room of a second stage is used [Hz].
    damper_bump, damper_droop : float
        Least that a damper has left where the bump stop begins to work, and at full droop [m].
    """

    bump_share: float = 0.25
    rebound_share: float = 0.25
    stage_used: float = 0.8
    stage_travel: float = 0.050
    lowest_frequency: float = 1.0
    highest_frequency: float = 1.7
    soft_bump_share: float = 0.35
    highest_on_helper: float = 2.2
    damper_bump: float = 0.015
    damper_droop: float = 0.005


@dataclass(frozen=True, slots=True)
class SpringOption:
    """Springs that might be fitted instead: name, and the spring [N/m] of one side of an axle.

    An axle without one keeps what it has. A rated load is what one of its springs may carry, as
    `AxleCheck.spring_load` has it [N]. `part` is that of the shop's shelf, where it is from there.
    """

    name: str
    front: Spring | None = None
    rear: Spring | None = None
    front_rated_load: float | None = None
    rear_rated_load: float | None = None
    part: ShelfPart | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """All that roll needs from a scenario; the bar to be sized stands beside it."""

    vehicle: Vehicle
    loads: tuple[Load, ...] = ()
    change: Change = field(default_factory=Change)
    ratings: Ratings = field(default_factory=Ratings)
    target: Target = field(default_factory=Target)
    limits: Limits = field(default_factory=Limits)
    spring_limits: SpringLimits = field(default_factory=SpringLimits)
    spring_options: tuple[SpringOption, ...] = ()
