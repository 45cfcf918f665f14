"""A lean test in the file: net roll stiffness, and the one unknown that it puts right."""

import math

import numpy as np

from rollsim import mass
from rollsim.correction_wording import calibration_notes
from rollsim.estimates import Estimate
from rollsim.mass import State
from rollsim.measured import (
    TOGETHER,
    Calibration,
    LeanResult,
    LeanStep,
    Unknown,
    arch_lean,
    calibrate,
    corrections,
    lean_test,
    net_roll_stiffness,
    value_at,
)
from rollsim.measured.branch import Branch, stated_moment_error, stated_reading_error
from rollsim.measured.other_inputs import with_other_inputs
from rollsim.scenario.bay_tables import LeanReadingTable, LeanTestTable, Moved, PutRight
from rollsim.scenario.checks import AS_WEIGHED, UNLADEN, case_names
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.load_test_input import NO_SCATTER
from rollsim.units import Quantity, shown
from rollsim.vehicle import Job, Load

KEY = "lean_test"
_BRANCHES = {
    Moved.RIGHT: Branch.RISING,
    Moved.LEFT: Branch.FALLING,
    Moved.BOUNCED: Branch.UNKNOWN,
}
_ENDS = ("front", "rear")
_LOWEST, _HIGHEST = 0.2, 2.0  # m, as for cg_height
_MOST = 3000.0 * 180.0 / math.pi  # N·m/rad, as for auxiliary_roll_stiffness


def check_lean_test(
    ledger: Ledger, table: LeanTestTable, loads: tuple[Load, ...], *, cg_by_test: bool
) -> None:
    """Add every error across the keys of a lean test.

    `cg_by_test`: the CG height is measured by lifting an axle.
    """
    problems = ledger.problems
    known = (UNLADEN, AS_WEIGHED, *case_names(loads))
    if table.state is not None and _name_of(table.state, known) not in known:
        allowed = ", ".join(shown(name) for name in known)
        problems.add(
            f"{KEY}.state", f"found {shown(table.state)}; allowed {allowed}; write one of these"
        )
    if table.unknown is PutRight.CG_HEIGHT and cg_by_test:
        problems.add(
            f"{KEY}.unknown",
            'found "CG height" beside vehicle.cg_height_test, which measures it far better; '
            "allowed a roll stiffness; choose one",
        )
    readings = table.reading
    if readings is None:
        return
    if not readings:
        problems.add(f"{KEY}.reading", "found no reading; allowed four or more; add them")
    for number, one in enumerate(readings, 1):
        _check_lean(ledger, f"{KEY}.reading[{number}]", one, table=table)
    if table.arch_distance is not None and all(one.left_arch is None for one in readings):
        problems.add(f"{KEY}.arch_distance", "found, but no reading has arch heights; remove it")
    most = max((one.mass.value for one in readings), default=0.0)
    if table.aboard is not None and most > table.aboard.mass.value:
        problems.add(
            f"{KEY}.aboard.mass",
            f"found {table.aboard.mass.value:.4g} kg, but a reading moves {most:.4g} kg; allowed "
            "that or more: what is moved stays on board all through",
        )


def _check_lean(ledger: Ledger, key: str, one: LeanReadingTable, *, table: LeanTestTable) -> None:
    """A reading holds its lean in one way."""
    problems = ledger.problems
    names = ("lean", "left_arch", "right_arch")
    given = [name for name in names if getattr(one, name) is not None]
    if given == ["left_arch", "right_arch"]:
        distance = table.arch_distance
        if distance is None:
            if not problems.has(f"{KEY}.arch_distance"):
                problems.add(
                    f"{KEY}.arch_distance",
                    "missing; arch heights need it; add it (tape: between the points read on left "
                    "and right arch)",
                )
        elif abs(one.left_arch.value - one.right_arch.value) >= 0.5 * distance.value:
            problems.add(
                f"{key}.left_arch",
                f"found {one.left_arch.value * 1e3:.5g} mm beside {one.right_arch.value * 1e3:.5g} "
                "mm on the right; allowed a difference below half of arch_distance; check both",
            )
    elif given != ["lean"] and not any(problems.has(f"{key}.{name}") for name in names):
        came = " and ".join(given) if given else "no lean"
        problems.add(
            key, f"found {came}; allowed lean, or left_arch and right_arch; give one of these"
        )


def apply_lean_test(ledger: Ledger, table: LeanTestTable, job: Job) -> Job:
    """Put right the unknown of a vehicle, so that the full model leans as it did in the bay.

    The job comes back as it was where an error was added.

    Notes
    -----
    See `rollsim.measured.lean_test` and `rollsim.measured.calibrate`.
    """
    steps = [
        LeanStep(
            one.mass.value * one.right_of_centreline.value,
            _lean(one, table.arch_distance),
            _BRANCHES[one.last_moved],
        )
        for one in table.reading
    ]
    try:
        masses, offsets = (
            [getattr(one, name) for one in table.reading]
            for name in ("mass", "right_of_centreline")
        )
        found = lean_test(
            steps,
            reading_error=_reading_error(table),
            moment_error=stated_moment_error(masses, offsets),
        )
        if not math.isfinite(found.net_roll_stiffness.tolerance):
            raise ValueError(NO_SCATTER)
        predict = net_roll_stiffness(_state(table, job), _moved(table))
        net, unknown = found.net_roll_stiffness, Unknown(table.unknown.value)
        right = calibrate(job, unknown, net, predict=predict)
        if unknown is Unknown.CG_HEIGHT:
            right = with_other_inputs(right, net, ledger.tolerances, predict=predict)
    except ValueError as wrong:
        ledger.problems.add(KEY, str(wrong))
        return job
    if not _is_in_range(ledger, right):
        return job
    _tell(ledger, found, right)
    _record(ledger, right, job)
    return right.job


def _state(table: LeanTestTable, job: Job) -> State:
    """The state that was tested."""
    known = tuple(one.name for one in mass.states(job))
    name = _name_of(table.state or AS_WEIGHED, known)
    (state,) = (one for one in mass.states(job) if one.name == name)
    return state


def _moved(table: LeanTestTable) -> Load | None:
    """What was moved, where it is no load item of that state."""
    a = table.aboard
    if a is None:
        return None
    return Load("lean test", a.mass.value, a.behind_front_axle.value, a.height.value)


def _name_of(said: str, known: tuple[str, ...]) -> str:
    """The name of a state, also where it is typed as it is said: "as weighed"."""
    return next((name for name in known if said in (name, mass.spoken(name))), said)


def _lean(one: LeanReadingTable, distance: Quantity | None) -> float:
    """Lean as read, or from the heights of both arches [rad]."""
    if one.lean is not None:
        return one.lean.value
    return arch_lean(one.left_arch.value, one.right_arch.value, distance.value)


def _reading_error(table: LeanTestTable) -> float | None:
    """Standard error of one lean [rad]; an arch counts by the distance to the other one."""
    stated = None if table.reading_error is None else table.reading_error.value
    bands = [one.lean.tolerance for one in table.reading if one.lean is not None]
    if table.arch_distance is not None:
        bands += [
            math.hypot(one.left_arch.tolerance, one.right_arch.tolerance)
            / table.arch_distance.value
            for one in table.reading
            if one.left_arch is not None and one.right_arch is not None
        ]
    return stated_reading_error(stated, bands)


def _is_in_range(ledger: Ledger, right: Calibration) -> bool:
    """Whether the unknown that the test asks for can be one."""
    if right.unknown is Unknown.CG_HEIGHT:
        if _LOWEST <= right.value.value <= _HIGHEST:
            return True
        ledger.problems.add(
            KEY,
            f"found readings that need a CG height of {right.value.value * 1e3:.5g} mm; allowed "
            "200 mm to 2000 mm; something else is wrong: calibrate a roll stiffness, or check the "
            "readings",
        )
        return False
    vehicle = right.job.vehicle
    for end, load in zip(_ENDS, mass.sprung_load(right.job), strict=True):
        axle = getattr(vehicle, end)
        rate = float(axle.spring.curve(load).tangent_rate(np.array(0.0)))
        own = 0.5 * rate * axle.spring_base**2 + axle.bar_roll_stiffness
        if not -own < axle.auxiliary_roll_stiffness <= _MOST:
            ledger.problems.add(
                KEY,
                f"found readings that need {math.radians(axle.auxiliary_roll_stiffness):.4g} "
                f"N·m/deg of auxiliary_roll_stiffness at the {end}; allowed above "
                f"{-math.radians(own):.4g}, which its springs and bar have, to 3000 N·m/deg; "
                "something else is wrong: check masses, offsets, leans and the other inputs",
            )
            return False
    return True


def _tell(ledger: Ledger, found: LeanResult, right: Calibration) -> None:
    """What was read, what the file predicted, and what was moved."""
    net, friction = found.net_roll_stiffness, found.friction
    low, high = (math.radians(end) for end in net.interval)
    rest = round(math.degrees(found.lean_at_rest), 2) + 0.0  # no minus before a zero
    ledger.notes.append(
        f"{KEY}: net roll stiffness {math.radians(net.value):.4g} N·m/deg, 95 % interval {low:.4g} "
        f"to {high:.4g} N·m/deg; the file without the test gives "
        f"{math.radians(right.predicted_before):.4g} N·m/deg; at rest it leans "
        f"{rest:.2f} deg, right positive; worst reading "
        f"{math.degrees(found.largest_residual):.2f} deg off the line"
    )
    if math.isfinite(friction.value):
        ledger.notes.append(
            f"{KEY}: friction holds {math.degrees(found.half_width.value):.2f} deg of lean to "
            f"either side, {friction.value:.3g} N·m; which axle rubs the test cannot tell, so no "
            "spring takes it"
        )
    ledger.notes.append(
        f"{KEY}: the {right.unknown.value} is put right; the tolerances of all other inputs still "
        "count in full"
    )
    ledger.notes += [f"{KEY}: {note}" for note in calibration_notes(right)]


def _record(ledger: Ledger, right: Calibration, before: Job) -> None:
    """Put the unknown in the ledger as measured, with its band."""
    if right.unknown is Unknown.CG_HEIGHT:
        _tell_replaced(ledger, right.value, before.vehicle.cg_height)
        ledger.measure("vehicle.cg_height", _band(right.value), "mm", how="lean test", replace=True)
        return
    found = corrections(right, before)
    for one in found:
        added = one.value.value - value_at(before, one.key)
        ledger.measure(
            one.key,
            _band(one.value),
            "N*m/deg",
            how=f"lean test, {math.radians(added):+.3g} N·m/deg on what the file states",
            replace=True,
            together=TOGETHER if len(found) > 1 else "",
        )


def _tell_replaced(ledger: Ledger, found: Estimate, stated: float) -> None:
    """The CG height of the file gives way; where the two disagree, doubt the other inputs."""
    known = (one.tolerance for one in ledger.tolerances if one.key == "vehicle.cg_height")
    words = (
        f"{KEY}: its CG height, {found.value * 1e3:.4g} ± {found.tolerance * 1e3:.2g} mm, takes "
        f"the place of the {stated * 1e3:.4g} mm of the file"
    )
    if abs(found.value - stated) > found.tolerance + next(known, 0.0):
        words += (
            "; the two are further apart than their bands: a lean test says little of the CG "
            "height, so doubt springs, bars and tyres first, or lift an axle"
        )
    ledger.notes.append(words)


def _band(value: Estimate) -> Quantity:
    return Quantity(value.value, value.tolerance)
