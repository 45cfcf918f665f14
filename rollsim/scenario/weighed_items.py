"""Load items by other readings: what a tank holds, and weighing without and with the item."""

import math

from rollsim.scenario.ledger import Ledger
from rollsim.scenario.load_tables import CornersTable, LoadTable, TankTable, WeighedTable
from rollsim.scenario.scales import Stand
from rollsim.tolerance import SIGMAS
from rollsim.units import Quantity
from rollsim.vehicle import Load
from rollsim.weighing import (
    AxleLiftErrors,
    CornerMasses,
    Tank,
    WeighedItem,
    tank_load,
    weighed_item,
)

_CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
_ASIDE, _ALONG = 1.5, (-3.0, 10.0)  # m: what left_of_centreline and behind_front_axle may be


def liquid(ledger: Ledger, key: str, tank: TankTable) -> tuple[float, float]:
    """Mass [kg] and CG height [m] of what a tank holds, with the tolerances of its readings.

    NaN where refused.
    """
    read = (tank.capacity, tank.fill, tank.density, tank.bottom, tank.depth)

    def load(values: tuple[float, ...]) -> Load:
        capacity, fill, density, bottom, depth = (float(value) for value in values)
        # A step of the tolerance may leave the range by a little, the formula holds there too.
        one = Tank(capacity, density, bottom, depth)
        return tank_load(one, min(max(fill, 0.0), 1.0), 0.0)

    ledger.notes.append(
        f"{key}.tank: the liquid counts as frozen; in a bend it runs outward, and a half-full tank "
        "leans the vehicle more"
    )
    return (
        ledger.derive(f"{key}.mass", lambda values: load(values).mass, read),
        ledger.derive(f"{key}.height", lambda values: load(values).height, read),
    )


def by_scales(
    ledger: Ledger, key: str, table: LoadTable, *, stand: Stand
) -> tuple[float, float, float]:
    """Mass, place along and place across from corner masses without and with the item.

    Mass [kg], behind the front axle and left of the centreline [m]; NaN where refused.
    """
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
    along, left = found.behind_front_axle.value, found.left_of_centreline.value
    if abs(left) <= _ASIDE and _ALONG[0] <= along <= _ALONG[1]:
        return True
    ledger.problems.add(
        key,
        f"found masses that put it {along * 1e3:.5g} mm behind the front axle and "
        f"{left * 1e3:.5g} mm left of the centreline; allowed -3000 mm to 10000 mm and -1500 mm to "
        "1500 mm; check each corner",
    )
    return False
