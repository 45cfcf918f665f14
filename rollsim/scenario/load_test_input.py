"""A spring from a load test: its rate and friction by loading the axle."""

import math
from dataclasses import dataclass

from rollsim.measured import LoadStep, load_test
from rollsim.measured.branch import Branch, stated_reading_error
from rollsim.scenario.bay_tables import LoadReadingTable, Step
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.spring_tables import SpringTable
from rollsim.springs import FrictionLoop
from rollsim.units import Quantity
from rollsim.vehicle import STANDARD_GRAVITY, Suspension

_BRANCHES = {
    Step.LOADING: Branch.RISING,
    Step.UNLOADING: Branch.FALLING,
    Step.BOUNCED: Branch.UNKNOWN,
}
_SOFTEST, _HARDEST = 2e3, 1e6  # N/m, as for rate
NO_SCATTER = (
    "the readings leave no scatter to judge them by; take more, or give reading_error, half the "
    "90 % band of one reading"
)


@dataclass(frozen=True, slots=True)
class TestedSpring:
    """What a load test gives a spring.

    The rate [N/m] is that on one side: of the spring on a solid axle, at the wheel on an
    independent one. Without friction where the readings were taken one way only.
    """

    rate: float
    loop: FrictionLoop | None


def tested_spring(
    ledger: Ledger, key: str, table: SpringTable, *, suspension: Suspension
) -> TestedSpring | None:
    """Rate and friction of one side from the readings of a load test; None where refused."""
    test, where = table.load_test, f"{key}.load_test"
    readings = test.reading
    if not readings or not _are_read(readings):
        if readings == ():
            ledger.problems.add(f"{where}.reading", "found no reading; allowed three or more")
        return None
    stated = None if test.reading_error is None else test.reading_error.value
    steps = [LoadStep(r.added.value, r.drop.value, _BRANCHES[r.step]) for r in readings]
    try:
        found = load_test(
            steps,
            reading_error=stated_reading_error(stated, [r.drop.tolerance for r in readings]),
            mass_error=stated_reading_error(None, [r.added.tolerance for r in readings]) or 0.0,
        )
    except ValueError as wrong:
        ledger.problems.add(where, str(wrong))
        return None
    rate, friction = found.wheel_rate, found.friction
    if not math.isfinite(rate.tolerance):
        ledger.problems.add(where, NO_SCATTER)
        return None
    if not _SOFTEST <= rate.value <= _HARDEST:
        ledger.problems.add(
            where,
            f"found readings that give {rate.value / 1e3:.4g} N/mm on one side; allowed 2 N/mm to "
            "1000 N/mm; check masses, drops and their units",
        )
        return None
    if not _stays_off_the_helper(ledger, key, table, rate=rate.value):
        return None
    low, high = (end / 1e3 for end in rate.interval)
    ledger.notes.append(
        f"{where}: one side, hub to arch, 95 % interval {low:.4g} to {high:.4g} N/mm; worst "
        f"reading {found.largest_residual * 1e3:.1f} mm off the line; masses that were not read "
        "under the wheels make the rate come out 1 to 3 % low"
    )
    word = "rate" if suspension is Suspension.SOLID_AXLE else "wheel_rate"
    value = ledger.measure(
        f"{key}.{word}", Quantity(rate.value, rate.tolerance), "N/mm", how="load test"
    )
    if not math.isfinite(friction.value):
        return TestedSpring(value, None)
    return TestedSpring(value, _loop(ledger, key, Quantity(friction.value, friction.tolerance)))


def _are_read(readings: tuple[LoadReadingTable, ...]) -> bool:
    """Whether no value of any reading was refused."""
    return all(
        one.step is not None and math.isfinite(one.added.value + one.drop.value) for one in readings
    )


def _stays_off_the_helper(ledger: Ledger, key: str, table: SpringTable, *, rate: float) -> bool:
    """The test holds the main stage alone: it ends before a second stage comes in."""
    stage = table.second_stage
    if stage is None or not math.isfinite(stage.after.value):
        return True
    most = max(one.added.value for one in table.load_test.reading)
    travel = 0.5 * STANDARD_GRAVITY * most / rate
    if stage.after.value >= travel:
        return True
    ledger.problems.add(
        f"{key}.second_stage.after",
        f"found {stage.after.value * 1e3:.4g} mm, but the load test goes {travel * 1e3:.4g} mm "
        "down, so that its rate holds part of the helper's; allowed that or more; leave out the "
        "readings past the helper's start",
    )
    return False


def _loop(ledger: Ledger, key: str, half: Quantity) -> FrictionLoop:
    """The loop's constant width; scatter may make it come out below zero, where there is none."""
    if not half.value > 0.0:
        ledger.notes.append(
            f"{key}.load_test: unloading lies above loading by less than the readings scatter; "
            "taken as no friction"
        )
        return FrictionLoop()
    width = Quantity(2.0 * half.value, 2.0 * half.tolerance)
    return FrictionLoop(
        half_width=0.5 * ledger.measure(f"{key}.loop_width", width, "N", how="load test")
    )
