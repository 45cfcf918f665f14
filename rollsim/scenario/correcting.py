"""Puts what a test found into a scenario, and what it takes the place of out of force.

The one place that knows both: a drive, the tests in the bay and what else would help use it.
"""

import math
from collections.abc import Mapping

from rollsim.estimates import Estimate
from rollsim.measured import KEYS, Calibration, FrameTwist, Replaced, Unknown, corrections, value_at
from rollsim.reader_units import METRIC, ReaderUnits, figure
from rollsim.scenario import Scenario
from rollsim.scenario.bounds import parsed
from rollsim.scenario.editing import Value
from rollsim.units import to_unit

Changes = dict[str, Value | None]
"""Values by key, as `rollsim.scenario.editing.changed` takes them; None takes a key out."""

TOGETHER = "vehicle.auxiliary_roll_stiffness_found_together"
_HEIGHT = KEYS[Unknown.CG_HEIGHT]
_DECIMALS = {METRIC.length: 1, METRIC.roll_stiffness: 2}


def correction(
    text: str, scenario: Scenario, found: Calibration, units: ReaderUnits = METRIC
) -> Changes:
    """What a calibration, of CG height or roll stiffness added, changes in a scenario (TOML).

    The tolerance is the 90 % band; that of a total stands at both ends and is marked as one.

    Notes
    -----
    A roll stiffness goes into `auxiliary_roll_stiffness`, the key for what springs and bars do
    not account for; below zero where the vehicle is softer than stated.
    """
    new = {one.key: _written(one.key, one.value, units) for one in corrections(found, scenario.job)}
    changes = _held(text, scenario, found) | _out_of_force(text, found.unknown) | new
    if found.unknown is not Unknown.CG_HEIGHT:
        together = len(new) > 1
        if together or _has(text, TOGETHER):
            changes[TOGETHER] = together or None
    return changes


def weighed_height(text: str, height: Estimate, units: ReaderUnits = METRIC) -> Changes:
    """What a CG height of the whole vehicle [m] by lifting an axle changes in a scenario (TOML).

    A lean test that puts a roll stiffness right goes on doing so, by the new height.
    """
    (key,) = _HEIGHT
    return _out_of_force(text, Unknown.CG_HEIGHT) | {key: _written(key, height, units)}


def frame_as_tested(found: FrameTwist, units: ReaderUnits = METRIC) -> Changes:
    """What a frame-twist test changes in a scenario; a share that misses 0 to 1 goes to its end."""
    key, share = "vehicle.frame_torsional_stiffness", found.cab_share
    changes: Changes = {key: _written(key, found.stiffness, units, decimals=0)}
    if share is not None:
        value, band = min(max(share.value, 0.0), 1.0), share.tolerance
        changes["vehicle.cab_share_of_twist"] = f"{value:.2f} ± {max(band, 0.01):.2f}"
    return changes


def replaced_by(text: str, unknown: Unknown, *, a_test_of_inputs: bool = False) -> list[Replaced]:
    """What a correction of one unknown puts out of force in a scenario (TOML), in the order told.

    `a_test_of_inputs`: it is put right by `weighed_height`.
    """
    data, found = parsed(text), []
    of = _lean_test_of(data)
    if of is not None:
        same = (of is Unknown.CG_HEIGHT) == (unknown is Unknown.CG_HEIGHT)
        if same:
            found.append(Replaced.LEAN_TEST)
        elif not a_test_of_inputs:
            found.append(Replaced.LEAN_TEST_HELD)
    if unknown is Unknown.CG_HEIGHT and _has(text, "vehicle.cg_height_test"):
        found.append(Replaced.CG_HEIGHT_TEST)
    return found


def lean_test_held(data: Mapping, scenario: Scenario) -> Changes:
    """The lean test of a file taken as applied: what it put right, as figures.

    To full precision; empty without a lean test in force.
    """
    unknown = _lean_test_of(data)
    if unknown is None:
        return {}
    bands = {one.key: one.tolerance for one in scenario.tolerances}
    held: Changes = {"lean_test.applied": True}
    for key in KEYS[unknown]:
        unit = _unit(key, METRIC)
        value, band = (to_unit(x, unit) for x in (value_at(scenario.job, key), bands.get(key, 0.0)))
        unit = _in_a_file(unit)
        held[key] = f"{value:.9g} {unit}" + (f" ± {band:.3g} {unit}" if band > 0.0 else "")
    if len(KEYS[unknown]) > 1:
        held[TOGETHER] = True
    return held


def _held(text: str, scenario: Scenario, found: Calibration) -> Changes:
    """What a lean test had put right stays so: in figures, for the vehicle is changed under it."""
    return lean_test_held(parsed(text), scenario)


def _out_of_force(text: str, unknown: Unknown) -> Changes:
    """The readings of a lean test stay in the file; a height that is measured anew goes out."""
    marks: dict[Replaced, Changes] = {
        Replaced.LEAN_TEST: {"lean_test.applied": True},
        Replaced.CG_HEIGHT_TEST: {"vehicle.cg_height_test": None},
    }
    found: Changes = {}
    for one in replaced_by(text, unknown):
        found |= marks.get(one, {})
    return found


def _lean_test_of(data: Mapping) -> Unknown | None:
    """What the lean test of a file puts right; None where none is in force."""
    test = data.get("lean_test")
    return None if test is None or test.get("applied") else Unknown(test["unknown"])


def _has(text: str, key: str) -> bool:
    table, _, name = key.partition(".")
    return name in parsed(text).get(table, {})


def _unit(key: str, units: ReaderUnits) -> str:
    return units.length if key in _HEIGHT else units.roll_stiffness


def _in_a_file(unit: str) -> str:
    return unit.replace("·", "*")


def _written(key: str, found: Estimate, units: ReaderUnits, *, decimals: int | None = None) -> str:
    """A value with its tolerance, the 90 % band, as a file has it."""
    unit = _unit(key, units)
    if decimals is None:
        decimals = _DECIMALS.get(unit)
    value, band = (figure(x, unit, decimals) for x in (found.value, found.tolerance))
    unit = _in_a_file(unit)
    known = math.isfinite(found.tolerance) and float(band) > 0.0
    return f"{value} {unit} ± {band} {unit}" if known else f"{value} {unit}"
