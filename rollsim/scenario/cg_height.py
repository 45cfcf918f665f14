"""The CG height as a class default: by the law of its class, moved to as weighed."""

import math

from rollsim.mass import AxleRise, cg_as_weighed
from rollsim.scenario.cg_law import LAWS, CgLaw
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.stock import StockVehicle
from rollsim.units import Dimension, Quantity
from rollsim.vehicle import Axle, VehicleClass

KEY, ROOF = "vehicle.cg_height", "vehicle.roof_height"
NEEDS_ROOF = (VehicleClass.VAN,)  # from a low roof to a high one the CG rises by a third


def assumed_cg_height(
    ledger: Ledger,
    roof: Quantity | None,
    stock: StockVehicle,
    *,
    axles: tuple[Axle, ...],
    rises: tuple[AxleRise, ...],
) -> float:
    """CG height of the whole vehicle by its class, roof height and track.

    Above ground, as weighed [m]; NaN, with an error what is missing, where it cannot be told.
    `roof` is the bare roof above ground as weighed [m], None where nobody taped it; `rises` [m] are
    those of both axles, as weighed, since they were empty and stock.

    Above ground, as weighed [m]; NaN where it cannot be told, with an error that says what is
    missing. `roof` is the bare roof above ground as weighed [m], None where nobody taped it;
    `rises` [m] are those of both axles, as weighed, since they were empty and stock.

    Notes
    -----
    The taped roof less its rise, taken half way between the axles, is the stock roof; the law gives
    the stock CG and its 90 % prediction interval. Without a roof height h = T/(2 SSF) with the
    median of the same vehicles, its spread from their 5 and 95 %. Then sprung mass, axles and loads
    go to where they stood on the scales. [tse-2022]
    """
    kind = ledger.class_or_problem(KEY, "measure the CG height")
    if kind is None or len(axles) < 2:
        return math.nan
    if roof is None and kind in NEEDS_ROOF:
        _ask_for_the_roof(ledger, kind)
        return math.nan
    law, ends = LAWS[kind], (stock.front, stock.rear)
    tracks = (axle.track - 2.0 * end.wheel_offset for axle, end in zip(axles, ends, strict=True))
    track = sum(tracks) / 2.0
    if not math.isfinite(track) or (roof is not None and not math.isfinite(roof.value)):
        return math.nan
    if roof is None:
        height, why = _by_class(ledger, law, kind, track)
    else:
        rise = sum(one.above_ground for one in rises) / 2.0 + stock.body_lift
        bare = Quantity(roof.value - rise, roof.tolerance)
        height, why = _by_roof(ledger, law, kind, roof=bare, track=track)
    band = (height.value * 1e3, height.tolerance * 1e3)
    found = ledger.assume(KEY, band, "mm", dimension=Dimension.LENGTH, why=why)
    masses = (stock.front.mass, stock.rear.mass)
    if stock.unaltered or not all(map(math.isfinite, masses)) or not min(masses) > 0.0:
        return found
    weighed = cg_as_weighed(
        found,
        axles=axles,
        stock_masses=masses,
        rises=rises,
        loads=stock.loads,
        raised_moment=stock.body_lift * stock.body_lift_mass,
    )
    total = sum(masses)
    ledger.restate(KEY, weighed, spread=total / (total + sum(load.mass for load in stock.loads)))
    return weighed


def _ask_for_the_roof(ledger: Ledger, kind: VehicleClass) -> None:
    if not ledger.problems.has(ROOF):
        ledger.problems.add(
            ROOF,
            f'missing; the CG height of a {kind.value} as "class default" needs it, low and high '
            "roofs are too far apart; allowed 1000 mm to 4000 mm; add it (tape: bare roof above "
            "ground, as it stood on the scales, no rack), or measure cg_height",
        )


def _by_class(ledger: Ledger, law: CgLaw, kind: VehicleClass, track: float) -> tuple[Quantity, str]:
    """Median and spread of the group [m], the wider side of it, and where they come from."""
    highest, median, lowest = (track / (2.0 * ssf) for ssf in law.stability_factors)
    ledger.notes.append(
        f"{KEY}: from class and track alone; a tape on the roof ({ROOF}) would about halve its "
        "spread"
    )
    why = f"class default: {kind.value}, SSF of {law.rows} measured vehicles, 5 to 95 %"
    return Quantity(median, max(highest - median, median - lowest)), why


def _by_roof(
    ledger: Ledger, law: CgLaw, kind: VehicleClass, *, roof: Quantity, track: float
) -> tuple[Quantity, str]:
    """By the law, with the tolerance of the tape on top [m], and where it comes from."""
    lowest, highest = law.roofs
    if not lowest <= roof.value <= highest:
        ledger.notes.append(
            f"{ROOF}: empty and stock {roof.value * 1e3:.0f} mm, outside the measured vehicles of "
            f"this class, {lowest * 1e3:.0f} mm to {highest * 1e3:.0f} mm; the CG height is less "
            "sure than its spread says, measure it"
        )
    spread = math.hypot(law.tolerance(roof.value, track), law.per_roof * roof.tolerance)
    why = f"class default: {kind.value}, roof height and track, law of {law.rows} measured vehicles"
    return Quantity(law.height(roof.value, track), spread), why
