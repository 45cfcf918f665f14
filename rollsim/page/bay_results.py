"""From the readings of a test in the bay to its result, and to what it changes in the scenario."""

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace

import pandas as pd

from rollsim import mass
from rollsim.cli.weigh_reports import SIGMAS
from rollsim.estimates import Estimate
from rollsim.measured import (
    BarReadings,
    Calibration,
    LeanResult,
    LeanStep,
    LoadResult,
    LoadStep,
    Unknown,
    arch_lean,
    bar_by_vernier,
    calibrate,
    lean_test,
    load_test,
    net_roll_stiffness,
    pitch_softening,
)
from rollsim.measured.branch import Branch
from rollsim.page import bay_readings as bay
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure
from rollsim.scenario.editing import Value, value
from rollsim.units import Dimension, parse
from rollsim.vehicle import Job, Load, Suspension
from rollsim.weighing import (
    AxleLift,
    AxleLiftErrors,
    CgHeight,
    CornerMasses,
    Lift,
    RaisedAxle,
    Weighed,
    added_load,
    cg_height,
    corner_weights,
)
from rollsim.weighing.axle_lift import WELL_INCLINED

Readings = Mapping[str, float | None]
Changes = dict[str, Value | None]
HEADS = ("", "figure", "standard error", "95 % interval")
_REPLACED = ("helical", "leaf_pack", "table")


@dataclass(frozen=True, slots=True)
class Row:
    """A measured figure in words: its unit as the reader has it."""

    label: str
    value: Estimate
    unit: str
    decimals: int | None = None


def table(rows: tuple[Row, ...]) -> pd.DataFrame:
    """Figures with their standard errors and intervals, text."""

    def say(row: Row, number: float) -> str:
        return figure(number, row.unit, row.decimals)

    cells = []
    for row in rows:
        low, high = row.value.interval
        known = math.isfinite(low) and math.isfinite(high)
        cells.append(
            (
                f"{row.label}, {row.unit}",
                say(row, row.value.value),
                say(row, row.value.standard_error),
                f"{say(row, low)} to {say(row, high)}" if known else NO_FIGURE,
            )
        )
    return pd.DataFrame(cells, columns=list(HEADS))


def corners(readings: Readings, job: Job) -> Weighed:
    """What the readings of `CORNER_WEIGHTS` tell [SI]."""
    v = job.vehicle
    masses = CornerMasses(*(readings[corner] for corner in bay.CORNERS))
    return corner_weights(masses, v.wheelbase, v.front.track, rear_track=v.rear.track)


def corners_table(found: Weighed, units: ReaderUnits) -> pd.DataFrame:
    """Axles, cross weight and the CG in plan, text."""
    mass_unit, length = units.mass, units.length
    rows = (
        (f"whole vehicle, {mass_unit}", figure(found.total, mass_unit)),
        (f"front axle, {mass_unit}", figure(found.front_axle, mass_unit)),
        (f"rear axle, {mass_unit}", figure(found.rear_axle, mass_unit)),
        ("on the front axle, %", f"{100.0 * found.front_share:.1f}"),
        ("on the left side, %", f"{100.0 * found.left_share:.1f}"),
        ("cross weight, right front and left rear, %", f"{100.0 * found.cross_weight:.1f}"),
        (f"CG behind the front axle, {length}", figure(found.cg_behind_front_axle, length)),
        (f"CG left of the centreline, {length}", figure(found.cg_left, length)),
    )
    return pd.DataFrame(rows, columns=list(HEADS[:2]))


def corners_changes(readings: Readings, units: ReaderUnits, *, text: str) -> Changes:
    """The corner masses in place of the axle masses."""
    error = (readings["corner_error"] or math.nan) / SIGMAS
    changes: Changes = {
        f"vehicle.{corner}_mass": written(Estimate(readings[corner], error), units.mass)
        for corner in bay.CORNERS
    }
    for end in ("front", "rear"):
        if value(text, f"vehicle.{end}_axle_mass") is not None:
            changes[f"vehicle.{end}_axle_mass"] = None
    return changes


def least_lift(wheelbase: float) -> float:
    """Rise of the lifted wheels that inclines a vehicle as much as the test asks for [m]."""
    return wheelbase * math.sin(WELL_INCLINED)


def axle_lift(readings: Readings, end: str) -> CgHeight:
    """CG height from the readings of `AXLE_LIFT` [SI]."""
    lifts = [
        Lift(readings[f"lift_{n}"], readings[f"raised_{n}"])
        for n in range(1, bay.LIFTS + 1)
        if _both(readings, f"lift_{n}", f"raised_{n}")
    ]
    test = AxleLift(
        readings["wheelbase"],
        readings["front_mass"],
        readings["rear_mass"],
        front_radius=readings["front_radius"],
        rear_radius=readings["rear_radius"],
        lifts=tuple(lifts),
        raised=RaisedAxle(end),
    )
    usual = AxleLiftErrors()
    return cg_height(
        test,
        replace(
            usual,
            mass=(readings["mass_error"] or 0.0) / SIGMAS or usual.mass,
            height=(readings["height_error"] or 0.0) / SIGMAS or usual.height,
        ),
    )


def axle_lift_rows(found: CgHeight, units: ReaderUnits) -> tuple[Row, ...]:
    """The CG height."""
    return (Row("CG height, whole vehicle", found.height, units.length),)


def axle_lift_changes(found: CgHeight, units: ReaderUnits) -> Changes:
    """The CG height with its tolerance."""
    return {"vehicle.cg_height": written(found.height, units.length)}


def load(readings: Readings, job: Job, *, put_on: bool) -> LoadResult:
    """Wheel rate and friction from the readings of `LOAD_TEST` [SI]."""
    steps = [
        LoadStep(readings[f"{way}_{n}"], -readings[f"{way}_arch_{n}"], branch)
        for way, count, branch in (
            ("loading", bay.LOADING, Branch.RISING),
            ("unloading", bay.UNLOADING, Branch.FALLING),
        )
        for n in range(1, count + 1)
        if _both(readings, f"{way}_{n}", f"{way}_arch_{n}")
    ]
    return load_test(steps, softening=_softening(job) if put_on else 0.0)


def _softening(job: Job) -> float:
    """What pitch takes from the rate where masses are put on and not weighed under the wheels."""
    weighed = next(s for s in mass.states(job) if s.name == mass.AS_WEIGHED)
    sprung = mass.sprung_mass(job, weighed)
    arm = sprung.height - job.vehicle.front.roll_centre_height
    return pitch_softening(sprung.mass, arm, job.vehicle.wheelbase)


def load_rows(found: LoadResult, units: ReaderUnits) -> tuple[Row, ...]:
    """Rate and friction of one side."""
    return (
        Row("wheel rate, one side", found.wheel_rate, units.rate),
        Row("friction, half the loop", found.friction, units.force),
    )


def load_changes(found: LoadResult, axle: str, units: ReaderUnits, *, text: str, job: Job):
    """The spring's rate where the file states it, and its friction as the loop's whole width."""
    spring = f"{axle}.spring"
    ratio = 1.0
    if value(text, f"{spring}.rate") is not None and value(text, f"{spring}.motion_ratio"):
        ratio = parse(str(value(text, f"{spring}.motion_ratio")), Dimension.RATIO).value
    own = getattr(job.vehicle, axle)
    at_wheel = own.suspension is Suspension.INDEPENDENT and value(text, f"{spring}.rate") is None
    changes: Changes = {
        f"{spring}.{'wheel_rate' if at_wheel else 'rate'}": written(
            _scaled(found.wheel_rate, ratio**-2), units.rate, decimals=2
        )
    }
    for key in _REPLACED:
        if _stands(text, axle, key):
            changes[f"{spring}.{key}"] = None
            if at_wheel and value(text, f"{spring}.motion_ratio") is not None:
                changes[f"{spring}.motion_ratio"] = None
    if found.friction.value > 0.0:
        width = _scaled(found.friction, 2.0 / ratio)
        changes[f"{spring}.loop_width"] = written(width, units.force)
        if value(text, f"{spring}.friction") is not None:
            changes[f"{spring}.friction"] = None
    return changes


def _stands(text: str, axle: str, key: str) -> bool:
    """Whether a spring is given in that way, as a value or as a table."""
    spring = tomllib.loads(text).get(axle, {}).get("spring", {})
    return isinstance(spring, dict) and key in spring


def _scaled(found: Estimate, factor: float) -> Estimate:
    return Estimate(found.value * factor, found.standard_error * factor, found.degrees_of_freedom)


def lean(readings: Readings, *, by_arches: bool) -> LeanResult:
    """Net roll stiffness and friction from the readings of `LEAN_TEST` [SI]."""
    steps = []
    for n, (_, (half, full), branch) in enumerate(bay.LEANS, 1):
        read = readings[f"lean_{n}"]
        if read is None:
            continue
        if by_arches:
            read = arch_lean(read, 0.0, readings["apart"] or 0.0)
        offset = half * readings["half"] + full * readings["full"]
        steps.append(LeanStep(readings["moved"] * offset, read, branch))
    if not steps:
        raise ValueError("no lean is typed yet")
    return lean_test(steps)


def lean_rows(found: LeanResult, units: ReaderUnits) -> tuple[Row, ...]:
    """Roll stiffness and friction."""
    moment = units.roll_stiffness.removesuffix("/deg")
    return (
        Row("net roll stiffness", found.net_roll_stiffness, units.roll_stiffness),
        Row("friction, half the loop", found.friction, moment, 0),
        Row("lean that friction holds", found.half_width, "deg"),
    )


def calibrated(
    job: Job, found: LeanResult, readings: Readings, *, unknown: Unknown, state: str
) -> Calibration:
    """The scenario with one unknown put right, people or masses of the test on board [SI]."""
    stood = next(s for s in mass.states(job) if s.name == state)
    if _both(readings, "behind", "height"):
        aboard = Load("lean test", readings["moved"], readings["behind"], readings["height"])
        stood = replace(stood, loads=(*stood.loads, aboard))
    return calibrate(job, unknown, found.net_roll_stiffness, predict=net_roll_stiffness(stood))


def calibrated_rows(found: Calibration, units: ReaderUnits) -> tuple[Row, ...]:
    """What the scenario said of the test, and the unknown that agrees."""
    before = Estimate(found.predicted_before, math.nan)
    rows = [Row("net roll stiffness, as the scenario had it", before, units.roll_stiffness)]
    if found.unknown is Unknown.CG_HEIGHT:
        rows.append(Row("CG height that agrees", found.value, units.length))
    else:
        words = f"{found.unknown.value}, to be added"
        rows.append(Row(words, found.value, units.roll_stiffness))
    return tuple(rows)


def calibrated_changes(found: Calibration, units: ReaderUnits) -> Changes:
    """The CG height, or the roll stiffness put in as bush and leaf twist."""
    if found.unknown is Unknown.CG_HEIGHT:
        return {"vehicle.cg_height": written(found.value, units.length)}
    ends = {
        Unknown.FRONT_ROLL_STIFFNESS: ("front",),
        Unknown.REAR_ROLL_STIFFNESS: ("rear",),
    }.get(found.unknown, ("front", "rear"))
    error = found.value.standard_error if len(ends) == 1 else math.nan
    return {
        f"{end}.auxiliary_roll_stiffness": written(
            Estimate(getattr(found.job.vehicle, end).auxiliary_roll_stiffness, error),
            units.roll_stiffness,
            decimals=1,
        )
        for end in ends
    }


def bar(readings: Readings) -> Estimate:
    """Link-end rate from the readings of `BAR` [SI]."""
    return bar_by_vernier(
        BarReadings(
            readings["diameter"],
            readings["lever"],
            readings["centre"],
            bush_spacing=readings["bushes"],
            bore=readings["bore"] or 0.0,
            splay=readings["splay"] or 0.0,
        )
    )


def bar_rows(found: Estimate, units: ReaderUnits) -> tuple[Row, ...]:
    """The bar's stiffness at the link."""
    return (Row("bar stiffness at the link (link-end rate)", found, units.rate),)


def bar_changes(
    found: Estimate, readings: Readings, axle: str, *, text: str, units: ReaderUnits
) -> Changes:
    """The link-end rate, and what takes it to the wheel where it was measured."""
    key = f"{axle}.bar"
    changes: Changes = {f"{key}.link_end_rate": written(found, units.rate)}
    if readings["links"] is not None:
        changes[f"{key}.link_spacing"] = _text(readings["links"], units.length)
    if readings["ratio"] is not None:
        changes[f"{key}.installation_ratio"] = readings["ratio"]
    if value(text, f"{key}.roll_stiffness") is not None:
        changes[f"{key}.roll_stiffness"] = None
    return changes


def item(readings: Readings, job: Job) -> Load:
    """Mass and place of a load item from the readings of `BEFORE_AFTER` [SI]."""
    before, after = (
        CornerMasses(*(readings[f"{when}_{corner}"] for corner in bay.CORNERS))
        for when in ("before", "after")
    )
    v = job.vehicle
    return added_load(
        before,
        after,
        wheelbase=v.wheelbase,
        front_track=v.front.track,
        rear_track=v.rear.track,
        height=readings["item_height"],
    )


def item_table(found: Load, units: ReaderUnits) -> pd.DataFrame:
    """The item in figures, text."""
    length = units.length
    rows = (
        (f"mass, {units.mass}", figure(found.mass, units.mass)),
        (f"behind the front axle, {length}", figure(found.behind_front_axle, length)),
        (f"left of the centreline, {length}", figure(found.left_of_centreline, length)),
        (f"height, {length}", figure(found.height, length)),
    )
    return pd.DataFrame(rows, columns=list(HEADS[:2]))


def item_keys(found: Load, units: ReaderUnits, *, name: str, place: str, on: bool):
    """The keys of the load item."""
    lengths = ("behind_front_axle", "height", "left_of_centreline")
    keys: dict[str, Value] = {"name": name, "mass": _text(found.mass, units.mass, 1)}
    keys |= {key: _text(getattr(found, key), units.length) for key in lengths}
    keys["place"] = place
    if on:
        keys["on_when_weighed"] = True
    return keys


def written(found: Estimate, unit: str, *, decimals: int | None = None) -> str:
    """A measured figure as the file has it, its tolerance the 90 % band."""
    shown, band = (
        figure(number, unit, decimals) for number in (found.value, SIGMAS * found.standard_error)
    )
    known = band != NO_FIGURE and float(band) > 0.0
    return f"{shown} {unit} ± {band} {unit}" if known else f"{shown} {unit}"


def _text(number: float, unit: str, decimals: int | None = None) -> str:
    return f"{figure(number, unit, decimals)} {unit}"


def _both(readings: Readings, *keys: str) -> bool:
    return all(readings[key] is not None for key in keys)
