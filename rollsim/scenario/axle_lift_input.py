"""The CG height from lifting an axle, as the file has its readings."""

import math

from rollsim.measured.branch import stated_reading_error
from rollsim.scenario.bay_tables import CgHeightTestTable
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.vehicle_tables import AXLES, CORNERS, VehicleTable
from rollsim.tolerance import SIGMAS
from rollsim.units import Quantity
from rollsim.weighing import (
    AxleLift,
    AxleLiftErrors,
    Lift,
    RaisedAxle,
    cg_height,
    implausible,
    lift_notes,
)

TEST = "vehicle.cg_height_test"


def by_axle_lift(
    ledger: Ledger, table: VehicleTable, test: CgHeightTestTable, *, masses: tuple[float, float]
) -> float:
    """CG height from lifting an axle; its 90 % band becomes the tolerance.

    Above ground [m]; NaN where refused. `masses` are those on front and rear axle, as weighed [kg].

    Notes
    -----
    See `rollsim.weighing.cg_height`.
    """
    lifts = tuple(Lift(one.height.value, one.mass.value) for one in test.lift or ())
    readings = AxleLift(
        table.wheelbase.value,
        *masses,
        front_radius=test.front_loaded_radius.value,
        rear_radius=test.rear_loaded_radius.value,
        lifts=lifts,
        raised=None if test.raised_axle is None else RaisedAxle(test.raised_axle.value),
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
        ledger.problems.add(TEST, f"{wrong}; check the readings")
        return math.nan
    if refused := implausible(found.height.value):
        ledger.problems.add(TEST, refused)
        return math.nan
    ledger.notes.append(
        f"{TEST}: readings taken as good to {SIGMAS * errors.mass:.2g} kg and "
        f"{SIGMAS * errors.height * 1e3:.2g} mm of lift (90 %); loads, fuel and suspension as "
        "they stood on the scales"
    )
    ledger.notes.extend(f"{TEST}: {note}" for note in lift_notes(found))
    count = f"{len(lifts)} lift{'s' if len(lifts) > 1 else ''} of the {test.raised_axle.value} axle"
    estimate = Quantity(found.height.value, found.height.tolerance)
    return ledger.measure("vehicle.cg_height", estimate, "mm", how=count)


def _tell_empty(ledger: Ledger, test: CgHeightTestTable) -> None:
    if test.lift == ():
        ledger.problems.add(
            f"{TEST}.lift", "found no lift; allowed one or more; add each, height and mass"
        )


def _errors(table: VehicleTable, test: CgHeightTestTable) -> AxleLiftErrors:
    """Standard errors: the greatest tolerance of each kind of reading, else the usual ones."""
    usual = AxleLiftErrors()
    lifted = [one.mass for one in test.lift]
    return AxleLiftErrors(
        mass=_of(lifted, usual.mass),
        height=_of([one.height for one in test.lift], usual.height),
        wheelbase=_of([table.wheelbase], usual.wheelbase),
        radius=_of([test.front_loaded_radius, test.rear_loaded_radius], usual.radius),
        level_mass=_level_error(table, usual.mass),
    )


def _level_error(table: VehicleTable, usual: float) -> float:
    """Of one axle mass [kg]: the two corners of an axle add up, each with an error of its own."""
    axles, corners = (
        [one for one in (getattr(table, name) for name in names) if one is not None]
        for names in (AXLES, CORNERS)
    )
    return _of(axles, usual) if axles else math.sqrt(2.0) * _of(corners, usual)


def _of(read: list[Quantity], usual: float) -> float:
    """Standard error of one reading: as the file states it, else the usual one [kg or m]."""
    return stated_reading_error(None, [one.tolerance for one in read]) or usual
