"""Load items from the file's tables: given, by the tow ball, of a tank, or weighed with it."""

import math
from dataclasses import dataclass

from rollsim.scenario.ledger import Ledger
from rollsim.scenario.load_tables import CornersTable, LoadTable, TankTable, WeighedTable
from rollsim.scenario.table_base import missing
from rollsim.tolerance import SIGMAS
from rollsim.units import Quantity
from rollsim.vehicle import Load, Place
from rollsim.weighing import (
    AxleLiftErrors,
    CornerMasses,
    Tank,
    WeighedItem,
    tank_load,
    tow_ball_load,
    weighed_item,
)

_CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
_LEFT_OUT = 1.5, (-3.0, 10.0)  # m: what left_of_centreline and behind_front_axle may be


@dataclass(frozen=True, slots=True)
class Stand:
    """The vehicle on the scales, for items that are placed against it.

    Parameters
    ----------
    wheelbase, front_track, rear_track : float
        [m]; NaN where refused.
    corners : tuple of Quantity or None
        Corner masses as weighed [kg]; None where the axles were weighed.
    """

    wheelbase: float
    front_track: float
    rear_track: float
    corners: tuple[Quantity, ...] | None


def build_load(ledger: Ledger, number: int, table: LoadTable, *, stand: Stand) -> Load:
    """Build one load item.

    Parameters
    ----------
    ledger : Ledger
        Takes errors, tolerances and notes.
    number : int
        Of the item, from 1 [-].
    table : LoadTable
        From the file.
    stand : Stand
        What it is placed against [m, kg].

    Returns
    -------
    Load
        NaN in place of refused values.
    """
    key = f"load[{number}]"
    place = _place(ledger, key, table)
    _check_contradictions(ledger, key, table)
    if table.weighed is not None:
        mass, behind, left = _weighed(ledger, key, table, stand=stand)
        height = _taken(ledger, key, "height", table)
    else:
        mass, height = _mass_and_height(ledger, key, table)
        behind = _behind(ledger, key, table, mass=mass, height=height, stand=stand)
        left = ledger.take(f"{key}.left_of_centreline", table.left_of_centreline)
    return Load(
        name=table.name,
        mass=mass,
        behind_front_axle=behind,
        height=height,
        left_of_centreline=left,
        place=place,
        on_when_weighed=table.on_when_weighed,
        cases=table.cases,
        parked_only=table.parked_only,
    )


def _place(ledger: Ledger, key: str, table: LoadTable) -> Place:
    place = table.place or Place.CABIN
    if table.place is None:
        ledger.notes.append(
            f"{key}: no place given, taken as {place.value}: it counts against no roof rating"
        )
    if table.parked_only and place is not Place.ROOF and not ledger.problems.has(f"{key}.place"):
        ledger.problems.add(
            f"{key}.parked_only",
            f'found true with place "{place.value}"; allowed on the roof only (sleepers); '
            'remove it or set place = "roof"',
        )
    if table.parked_only and table.on_when_weighed:
        ledger.problems.add(
            f"{key}.on_when_weighed",
            "found true with parked_only = true; allowed for what drives; weigh without it, or "
            "take the mass off the axle masses",
        )
    return place


def _check_contradictions(ledger: Ledger, key: str, table: LoadTable) -> None:
    """What says the same thing twice."""
    twice = {
        "tank": ("mass", "height", "weighed"),
        "weighed": ("mass", "behind_front_axle", "behind_rear_axle", "left_of_centreline"),
        "behind_front_axle": ("behind_rear_axle",),
    }
    for first, others in twice.items():
        for other in others:
            if getattr(table, first) is not None and getattr(table, other) is not None:
                ledger.problems.add(
                    f"{key}.{other}", f"found beside {first}, which says it already; remove one"
                )


def _taken(ledger: Ledger, key: str, name: str, table: LoadTable, instead: str = "") -> float:
    """A value that the item needs."""
    quantity = getattr(table, name)
    if quantity is None:
        if not ledger.problems.has(f"{key}.{name}"):
            ledger.problems.add(f"{key}.{name}", missing(LoadTable, name, instead))
        return math.nan
    return ledger.take(f"{key}.{name}", quantity)


def _mass_and_height(ledger: Ledger, key: str, table: LoadTable) -> tuple[float, float]:
    tank: TankTable | None = table.tank
    if tank is None:
        refused = ledger.problems.has(f"{key}.tank") or ledger.problems.has(f"{key}.weighed")
        if table.mass is None and table.height is None and refused:
            return math.nan, math.nan
        mass = _taken(ledger, key, "mass", table, "weighed or tank")
        return mass, _taken(ledger, key, "height", table)
    read = (tank.capacity, tank.fill, tank.density, tank.bottom, tank.depth)

    def liquid(values: tuple[float, ...]) -> Load:
        capacity, fill, density, bottom, depth = (float(value) for value in values)
        # A step of the tolerance may leave the range by a little, the formula holds there too.
        one = Tank(capacity, density, bottom, depth)
        return tank_load(one, min(max(fill, 0.0), 1.0), 0.0)

    ledger.notes.append(
        f"{key}.tank: the liquid counts as frozen; in a bend it runs outward, and a half-full tank "
        "leans the vehicle more"
    )
    return (
        ledger.derive(f"{key}.mass", lambda values: liquid(values).mass, read),
        ledger.derive(f"{key}.height", lambda values: liquid(values).height, read),
    )


def _behind(
    ledger: Ledger, key: str, table: LoadTable, *, mass: float, height: float, stand: Stand
) -> float:
    """How far behind the front axle, stated so or from the rear axle."""
    if table.behind_rear_axle is None:
        return _taken(ledger, key, "behind_front_axle", table, "behind_rear_axle")
    behind = table.behind_rear_axle.value
    if not math.isfinite(behind + stand.wheelbase):
        return math.nan
    if table.place is Place.TOW_BAR and math.isfinite(mass + height):
        load = tow_ball_load(mass, behind, wheelbase=stand.wheelbase, height=height)
        off = mass * behind / stand.wheelbase
        ledger.notes.append(
            f"{key}: behind the rear axle it puts {mass + off:.4g} kg on the rear and takes "
            f"{off:.4g} kg off the front; in a bend a trailer also pulls sideways at the ball, "
            "which no load item shows, and weight-distributing hitches are left out"
        )
        found = load.behind_front_axle
    else:
        found = stand.wheelbase + behind
    return ledger.take(
        f"{key}.behind_front_axle", Quantity(found, table.behind_rear_axle.tolerance)
    )


def _weighed(
    ledger: Ledger, key: str, table: LoadTable, *, stand: Stand
) -> tuple[float, float, float]:
    """Mass, place along and place across from corner masses without and with the item."""
    nothing = (math.nan, math.nan, math.nan)
    both = _both(ledger, f"{key}.weighed", table.weighed, table=table, stand=stand)
    if both is None:
        return nothing
    before, after = both
    values = [quantity.value for quantity in (*before, *after)]
    sizes = (stand.wheelbase, stand.front_track, stand.rear_track)
    if not all(map(math.isfinite, (*values, *sizes))):
        return nothing
    stated = max(quantity.tolerance for quantity in (*before, *after)) / SIGMAS
    try:
        found = weighed_item(
            CornerMasses(*values[:4]),
            CornerMasses(*values[4:]),
            wheelbase=stand.wheelbase,
            front_track=stand.front_track,
            rear_track=stand.rear_track,
            mass_error=stated or AxleLiftErrors().mass,
        )
    except ValueError as wrong:
        ledger.problems.add(f"{key}.weighed", f"{wrong}; check which is before and which after")
        return nothing
    if not _is_on_board(ledger, f"{key}.weighed", found):
        return nothing
    how = "weighed without and with it"
    return tuple(
        ledger.measure(f"{key}.{name}", Quantity(one.value, one.tolerance), unit, how=how)
        for name, unit in (
            ("mass", "kg"),
            ("behind_front_axle", "mm"),
            ("left_of_centreline", "mm"),
        )
        for one in (getattr(found, name),)
    )


def _both(
    ledger: Ledger, key: str, weighed: WeighedTable, *, table: LoadTable, stand: Stand
) -> tuple[tuple[Quantity, ...], tuple[Quantity, ...]] | None:
    """Corner masses without and with the item; the vehicle's own stand in for one of them."""
    own = "after" if table.on_when_weighed else "before"
    found = []
    for name in ("before", "after"):
        corners: CornersTable | None = getattr(weighed, name)
        if corners is not None:
            found.append(tuple(getattr(corners, corner) for corner in _CORNERS))
        elif ledger.problems.has(f"{key}.{name}"):
            return None
        elif name == own and stand.corners is not None:
            found.append(stand.corners)
        else:
            whose = ", or the four corner masses in [vehicle]" if name == own else ""
            ledger.problems.add(
                f"{key}.{name}", f"missing; needed {', '.join(_CORNERS)}; add them{whose}"
            )
            return None
    return found[0], found[1]


def _is_on_board(ledger: Ledger, key: str, found: WeighedItem) -> bool:
    """Whether the item lies where an item may; a slip of one scale throws it far away."""
    aside, (ahead, behind) = _LEFT_OUT
    along, left = found.behind_front_axle.value, found.left_of_centreline.value
    if abs(left) <= aside and ahead <= along <= behind:
        return True
    ledger.problems.add(
        key,
        f"found masses that put it {along * 1e3:.5g} mm behind the front axle and "
        f"{left * 1e3:.5g} mm left of the centreline; allowed -3000 mm to 10000 mm and -1500 mm to "
        "1500 mm; check each corner",
    )
    return False
