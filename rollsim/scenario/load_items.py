"""Load items from the file's tables: mass and place given, or by other readings."""

import math

from rollsim.scenario.ledger import Ledger
from rollsim.scenario.load_tables import LoadTable, TankTable
from rollsim.scenario.scales import Stand
from rollsim.scenario.table_base import missing
from rollsim.units import Quantity
from rollsim.vehicle import Load, Place


def build_load(ledger: Ledger, number: int, table: LoadTable, *, stand: Stand) -> Load:
    """Build one load item, NaN in place of refused values.

    `number` is its place in the file, from 1.
    """
    key = f"load[{number}]"
    place = _place(ledger, key, table)
    _check_contradictions(ledger, key, table)
    if table.weighed is not None:
        # Here, not above: few files have one, and what evaluates it takes time to import.
        from rollsim.scenario.weighed_items import by_scales

        mass, behind, left = by_scales(ledger, key, table, stand=stand)
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
    from rollsim.scenario.weighed_items import liquid

    return liquid(ledger, key, tank)


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
        from rollsim.weighing import tow_ball_load

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
