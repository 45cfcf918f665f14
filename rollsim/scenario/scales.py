"""What the scales said: axle or corner masses, and how high the CG is."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from rollsim.scenario.keys import CLASS_DEFAULT
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.vehicle_tables import AXLES, CORNERS, VehicleTable
from rollsim.units import Quantity

_TEST = "vehicle.cg_height_test"


@dataclass(frozen=True, slots=True)
class Scales:
    """Masses as weighed [kg], on the axles and at the corners; NaN where refused.

    `corners`, in the order of `CORNERS`, is None where the axles were weighed, which says nothing
    about left and right.
    """

    front: float
    rear: float
    corners: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class Stand:
    """The vehicle on the scales [m, kg], for items that are placed against it.

    NaN where refused; `corners` is None where the axles were weighed.
    """

    wheelbase: float
    front_track: float
    rear_track: float
    corners: tuple[Quantity, ...] | None


def read_scales(ledger: Ledger, table: VehicleTable | None) -> Scales:
    """Axle masses [kg], given or from the four corners."""
    if table is None:
        return Scales(math.nan, math.nan)
    corners = [name for name in CORNERS if getattr(table, name) is not None]
    axles = [name for name in AXLES if getattr(table, name) is not None]
    if corners and axles:
        ledger.problems.add(
            f"vehicle.{axles[0]}",
            f"found beside {corners[0]}; allowed two axle masses or four corner masses; "
            "remove one kind",
        )
        return Scales(math.nan, math.nan)
    needed = CORNERS if corners else AXLES
    for name in needed:
        if getattr(table, name) is None and not ledger.problems.has(f"vehicle.{name}"):
            ledger.problems.add(
                f"vehicle.{name}",
                "missing; the masses as weighed are needed, of both axles or of all four corners; "
                "add it (scale)",
            )
    values = [ledger.take(f"vehicle.{n}", getattr(table, n), math.nan) for n in needed]
    if not corners:
        return Scales(*values)
    return Scales(sum(values[:2]), sum(values[2:]), tuple(values))


def read_cg_height(
    ledger: Ledger, table: VehicleTable, scales: Scales, *, assumed: Callable[[], float]
) -> float:
    """CG height of the whole vehicle: stated, measured by lifting an axle, or a class default.

    Above ground [m]; NaN where refused. `assumed` gives the class default [m], or adds why there is
    none.
    """
    key, test = "vehicle.cg_height", table.cg_height_test
    if test is not None and table.cg_height is not None:
        ledger.problems.add(
            key, "found beside cg_height_test, which measures it; remove one of the two"
        )
        return math.nan
    if test is not None:
        # Here, not above: few files have one, and what evaluates it takes time to import.
        from rollsim.scenario.axle_lift_input import by_axle_lift

        return by_axle_lift(ledger, table, test, masses=(scales.front, scales.rear))
    if table.cg_height == CLASS_DEFAULT:
        return assumed()
    if table.cg_height is None:
        if not (ledger.problems.has(key) or ledger.problems.has(_TEST)):
            ledger.problems.add(
                key,
                "missing; allowed 200 mm to 2000 mm; add it (whole vehicle above ground, by "
                f'axle-lift weighing), or [{_TEST}], or "{CLASS_DEFAULT}" with '
                "vehicle.class and vehicle.roof_height",
            )
        return math.nan
    return ledger.take(key, table.cg_height)
