"""What the scales said: axle or corner masses, and the CG height from lifting an axle."""

import math
from dataclasses import dataclass

from rollsim.scenario.bay_tables import CgHeightTestTable
from rollsim.scenario.defaults import cg_height_default
from rollsim.scenario.keys import CLASS_DEFAULT
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.vehicle_tables import VehicleTable
from rollsim.tolerance import SIGMAS
from rollsim.units import Quantity
from rollsim.weighing import AxleLift, AxleLiftErrors, CornerMasses, Lift, cg_height

CORNERS = ("front_left_mass", "front_right_mass", "rear_left_mass", "rear_right_mass")
_AXLES = ("front_axle_mass", "rear_axle_mass")
_TEST = "vehicle.cg_height_test"
_LEAST, _MOST = 0.2, 2.0  # m, as for cg_height


@dataclass(frozen=True, slots=True)
class Scales:
    """Masses as weighed.

    Parameters
    ----------
    front, rear : float
        On the axles [kg]; NaN where refused.
    corners : CornerMasses or None
        None where the axles were weighed, which says nothing about left and right.
    """

    front: float
    rear: float
    corners: CornerMasses | None = None


def read_scales(ledger: Ledger, table: VehicleTable | None) -> Scales:
    """Axle masses, given or from the four corners.

    Parameters
    ----------
    ledger : Ledger
        Takes errors and tolerances.
    table : VehicleTable or None
        From the file; None where it was refused.

    Returns
    -------
    Scales
        [kg].
    """
    if table is None:
        return Scales(math.nan, math.nan)
    corners = [name for name in CORNERS if getattr(table, name) is not None]
    axles = [name for name in _AXLES if getattr(table, name) is not None]
    if corners and axles:
        ledger.problems.add(
            f"vehicle.{axles[0]}",
            f"found beside {corners[0]}; allowed two axle masses or four corner masses; "
            "remove one kind",
        )
        return Scales(math.nan, math.nan)
    needed = CORNERS if corners else _AXLES
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
    found = CornerMasses(*values)
    return Scales(found.front, found.rear, found)


def read_cg_height(
    ledger: Ledger, table: VehicleTable, scales: Scales, *, mean_track: float
) -> float:
    """CG height of the whole vehicle: stated, measured by lifting an axle, or a class default.

    Parameters
    ----------
    ledger : Ledger
        Takes errors, assumed and measured values, tolerances and notes.
    table : VehicleTable
        From the file.
    scales : Scales
        As weighed [kg].
    mean_track : float
        [m].

    Returns
    -------
    float
        Above ground [m]; NaN where refused.
    """
    key, test = "vehicle.cg_height", table.cg_height_test
    if test is not None and table.cg_height is not None:
        ledger.problems.add(
            key, "found beside cg_height_test, which measures it; remove one of the two"
        )
        return math.nan
    if test is not None:
        return _by_axle_lift(ledger, table, test, scales=scales)
    if table.cg_height == CLASS_DEFAULT:
        return cg_height_default(ledger, mean_track)
    if table.cg_height is None:
        if not (ledger.problems.has(key) or ledger.problems.has(_TEST)):
            ledger.problems.add(
                key,
                "missing; allowed 200 mm to 2000 mm; add it (whole vehicle above ground, by "
                f'axle-lift weighing), or [{_TEST}], or "{CLASS_DEFAULT}" with vehicle.class',
            )
        return math.nan
    return ledger.take(key, table.cg_height)


def _by_axle_lift(
    ledger: Ledger, table: VehicleTable, test: CgHeightTestTable, *, scales: Scales
) -> float:
    """CG height from the readings; its 90 % band becomes the tolerance."""
    lifts = tuple(Lift(one.height.value, one.mass.value) for one in test.lift or ())
    readings = AxleLift(
        table.wheelbase.value,
        scales.front,
        scales.rear,
        front_radius=test.front_loaded_radius.value,
        rear_radius=test.rear_loaded_radius.value,
        lifts=lifts,
        raised=test.raised_axle,
    )
    sizes = [readings.wheelbase, readings.total, readings.front_radius, readings.rear_radius]
    sizes += [size for one in lifts for size in (one.height, one.mass)]
    if test.raised_axle is None or not lifts or not all(map(math.isfinite, sizes)):
        _tell_empty(ledger, test)
        return math.nan
    errors = _errors(table, test)
    try:
        found = cg_height(readings, errors)
    except ValueError as wrong:
        ledger.problems.add(_TEST, f"{wrong}; check the readings")
        return math.nan
    if not _LEAST <= found.height.value <= _MOST:
        ledger.problems.add(
            _TEST,
            f"found readings that give {found.height.value * 1e3:.5g} mm; allowed 200 mm to "
            "2000 mm; check which axle was raised, its masses and heights",
        )
        return math.nan
    ledger.notes.append(
        f"{_TEST}: readings taken as good to {SIGMAS * errors.mass:.2g} kg and "
        f"{SIGMAS * errors.height * 1e3:.2g} mm of lift (90 %); loads, fuel and suspension as "
        "they stood on the scales"
    )
    if found.scatter_error > 2.0 * found.height.standard_error:
        ledger.notes.append(
            f"{_TEST}: the lifts scatter about their line by {found.scatter_error * 1e3:.0f} mm of "
            "CG height, more than the readings explain: something moved; lift again"
        )
    ledger.notes.extend(f"{_TEST}: {note}" for note in found.notes)
    count = f"{len(lifts)} lift{'s' if len(lifts) > 1 else ''} of the {test.raised_axle.value} axle"
    estimate = Quantity(found.height.value, found.height.tolerance)
    return ledger.measure("vehicle.cg_height", estimate, "mm", how=count)


def _tell_empty(ledger: Ledger, test: CgHeightTestTable) -> None:
    if test.lift == ():
        ledger.problems.add(
            f"{_TEST}.lift", "found no lift; allowed one or more; add each, height and mass"
        )


def _errors(table: VehicleTable, test: CgHeightTestTable) -> AxleLiftErrors:
    """Standard errors: the greatest tolerance of each kind of reading, else the usual ones."""
    usual = AxleLiftErrors()
    lifted = [one.mass for one in test.lift]
    level = [getattr(table, name) for name in (*_AXLES, *CORNERS)]
    return AxleLiftErrors(
        mass=_error(lifted, usual.mass),
        height=_error([one.height for one in test.lift], usual.height),
        wheelbase=_error([table.wheelbase], usual.wheelbase),
        radius=_error([test.front_loaded_radius, test.rear_loaded_radius], usual.radius),
        level_mass=_error([one for one in level if one is not None], usual.mass),
    )


def _error(read: list[Quantity], usual: float) -> float:
    return max(quantity.tolerance for quantity in read) / SIGMAS or usual
