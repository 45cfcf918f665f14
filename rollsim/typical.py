"""What vehicles of a class and the things that people put on them usually are.

Common practice, no source, to be overwritten by what was weighed and measured: every page that
uses a figure from here lets it be changed.
"""

from dataclasses import dataclass
from enum import Enum

from rollsim.vehicle import Place, VehicleClass


@dataclass(frozen=True, slots=True)
class Body:
    """A usual vehicle of a class.

    Lengths in [m], masses of the axles empty with the driver [kg], the roof above ground. A bar's
    roll stiffness [N·m/rad] is what it usually is where there is one; `rear_bar`: there usually is
    one at the rear too. Spreads [m] hold about nine of ten vehicles of the class (from memory).
    """

    wheelbase: float
    front_track: float
    rear_track: float
    roof_height: float
    front_axle_mass: float
    rear_axle_mass: float
    front_bar_stiffness: float
    rear_bar_stiffness: float
    rear_bar: bool
    wheelbase_spread: float
    track_spread: float = 0.05


_PER_DEGREE = 57.29577951308232


def _bars(front: float, rear: float) -> tuple[float, float]:
    """Roll stiffness [N·m/rad] of bars given in [N·m/deg]."""
    return front * _PER_DEGREE, rear * _PER_DEGREE


BODIES = {
    VehicleClass.CREW_CAB_TRUCK: Body(
        *(3.10, 1.56, 1.55, 1.80, 1150.0, 880.0, *_bars(420, 150)),
        rear_bar=False,
        wheelbase_spread=0.15,
    ),
    VehicleClass.WAGON: Body(
        *(2.80, 1.56, 1.56, 1.82, 1080.0, 1020.0, *_bars(350, 250)),
        rear_bar=True,
        wheelbase_spread=0.15,
    ),
    VehicleClass.VAN: Body(
        *(3.40, 1.68, 1.66, 2.35, 1150.0, 900.0, *_bars(600, 300)),
        rear_bar=False,
        wheelbase_spread=0.45,
        track_spread=0.08,
    ),
    VehicleClass.CAR: Body(
        *(2.68, 1.54, 1.53, 1.46, 830.0, 620.0, *_bars(350, 250)),
        rear_bar=True,
        wheelbase_spread=0.12,
    ),
}
# About nine of ten, as shares of the usual value: common practice, no source.
BAR_SPREAD = 0.5  # bars of one class differ much
UNSEEN_BAR_SPREAD = 0.8  # where nobody looked whether there is one
AXLE_MASS_SPREAD = 0.1  # of what an axle of the class carries empty
ITEM_MASS_SPREAD = 0.3
# About nine of ten [m]: common practice, no source.
ITEM_ALONG_SPREAD = 0.25
ITEM_HEIGHT_SPREAD = 0.1  # on a roof, floor or seat of known height
ROOF_SPREAD = 0.15  # of a roof that nobody taped, and of what stands on it


class Where(Enum):
    """Where a thing usually goes, which gives its height and its place along the vehicle."""

    ROOF = "on the roof"
    TRAY = "tray or luggage bay"
    FRONT_SEATS = "front seats"
    REAR_SEATS = "rear seats"
    BEHIND = "on the tow bar"


@dataclass(frozen=True, slots=True)
class Item:
    """A thing that is often carried: usual mass [kg] and where it goes.

    `middle` is the height of its middle above what it stands on [m]; `weighed`: its mass is no
    usual one.
    """

    name: str
    mass: float
    where: Where
    middle: float
    weighed: bool = False


ITEMS = (
    Item("roof rack", 35.0, Where.ROOF, 0.08),
    Item("roof tent", 60.0, Where.ROOF, 0.25),
    Item("awning", 15.0, Where.ROOF, 0.10),
    Item("bedding in the roof tent", 10.0, Where.ROOF, 0.25),
    Item("roof box, packed", 60.0, Where.ROOF, 0.25),
    Item("ladder or boards", 25.0, Where.ROOF, 0.15),
    Item("canopy", 90.0, Where.TRAY, 0.60),
    Item("tools in drawers", 120.0, Where.TRAY, 0.25),
    Item("fridge and slide, full", 55.0, Where.TRAY, 0.35),
    Item("second battery", 30.0, Where.TRAY, 0.15),
    Item("water, 60 litres", 60.0, Where.TRAY, 0.25),
    Item("luggage", 60.0, Where.TRAY, 0.30),
    Item("passenger in front", 75.0, Where.FRONT_SEATS, 0.30),
    Item("two people behind", 150.0, Where.REAR_SEATS, 0.30),
    Item("bikes on a carrier", 50.0, Where.BEHIND, 0.40),
    Item("tow-ball load of a trailer", 80.0, Where.BEHIND, 0.0),
)
_FLOOR, _SEAT, _TOW_BAR = 0.70, 0.65, 0.45  # m above ground
_ALONG = {  # behind the front axle, as a share of the wheelbase, and beyond it [m]
    Where.ROOF: (0.55, 0.0),
    Where.TRAY: (0.95, 0.0),
    Where.FRONT_SEATS: (0.42, 0.0),
    Where.REAR_SEATS: (0.70, 0.0),
    Where.BEHIND: (1.0, 1.2),
}
_PLACES = {
    Where.ROOF: Place.ROOF,
    Where.TRAY: Place.TRAY,
    Where.FRONT_SEATS: Place.CABIN,
    Where.REAR_SEATS: Place.CABIN,
    Where.BEHIND: Place.TOW_BAR,
}


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a thing is: behind the front axle and above ground [m], and the place it counts as."""

    behind_front_axle: float
    height: float
    place: Place


def spot(
    where: Where, middle: float, *, wheelbase: float, roof_height: float, raised: float = 0.0
) -> Spot:
    """Where a thing that goes there usually is.

    In [m]: `middle` above what it stands on; `roof_height` of the bare roof, whatever lies on it
    already; `raised`, by which floor, seats and tow bar stand higher than usual, as with a lift.

    Examples
    --------
    >>> tent = spot(Where.ROOF, 0.25, wheelbase=3.0, roof_height=1.8)
    >>> round(tent.behind_front_axle, 2), round(tent.height, 2)
    (1.65, 2.05)
    """
    stands_on = {
        Where.ROOF: roof_height,
        Where.TRAY: _FLOOR + raised,
        Where.FRONT_SEATS: _SEAT + raised,
        Where.REAR_SEATS: _SEAT + raised,
        Where.BEHIND: _TOW_BAR + raised,
    }
    share, beyond = _ALONG[where]
    return Spot(share * wheelbase + beyond, stands_on[where] + middle, _PLACES[where])
