"""From the readings of a test in the bay to its result, and to what it changes in the scenario."""

import math
from collections.abc import Mapping
from dataclasses import replace

import pandas as pd

from rollsim import mass
from rollsim.bar import rate_by_dimensions, stiffness_by_dimensions
from rollsim.estimates import Estimate
from rollsim.measured import (
    Blocks,
    BounceResult,
    Calibration,
    FrameTwist,
    LeanResult,
    LeanStep,
    LoadResult,
    LoadStep,
    TwistReading,
    Unknown,
    arch_lean,
    bounce,
    calibrate,
    frame_twist,
    lean_test,
    load_test,
    net_roll_stiffness,
    pitch_softening,
    twist_vehicle,
)
from rollsim.measured.branch import Branch
from rollsim.measured.frame_twist import LEVEL_ERROR, SCALE_ERROR
from rollsim.measured.other_inputs import with_other_inputs
from rollsim.page import bay_readings as bay
from rollsim.page.bay_figures import HEADS, Changes, Readings, amount, gone, written
from rollsim.reader_units import ReaderUnits, said_in
from rollsim.scenario import Scenario
from rollsim.scenario.bounds import parsed
from rollsim.scenario.correcting import weighed_height
from rollsim.scenario.editing import Value, value
from rollsim.scenario.keys import bare
from rollsim.scenario.vehicle_bar import dimensions_of
from rollsim.spring_check import second_stage
from rollsim.tell.figures import rows
from rollsim.tell.of_scales import CORNERS
from rollsim.tolerance import SIGMAS
from rollsim.units import Dimension, parse, to_unit
from rollsim.vehicle import Axle, Job, Load, Suspension
from rollsim.weighing import (
    AxleLift,
    AxleLiftErrors,
    CgHeight,
    CornerMasses,
    Lift,
    RaisedAxle,
    Weighed,
    WeighedItem,
    cg_height,
    corner_weights,
    lift_notes,
    weighed_item,
)
from rollsim.weighing.axle_lift import WELL_INCLINED

_REPLACED = ("helical", "leaf_pack", "table", "load_test")


def corners(readings: Readings, job: Job) -> Weighed:
    """What the readings of `CORNER_WEIGHTS` tell [SI]."""
    v = job.vehicle
    masses = CornerMasses(*(readings[corner] for corner in bay.CORNERS))
    return corner_weights(masses, v.wheelbase, v.front.track, rear_track=v.rear.track)


def corners_table(found: Weighed, units: ReaderUnits) -> pd.DataFrame:
    """Axles, cross weight and the CG in plan, text."""
    told = [(row.label, *row.cells) for row in rows(CORNERS.values(), [found], units)]
    return pd.DataFrame(told, columns=list(HEADS[:2]))


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


def axle_lift_notes(found: CgHeight, units: ReaderUnits) -> tuple[str, ...]:
    """What a reader of it should know."""
    mass, length = said_in(units)
    return lift_notes(found, mass=mass, length=length)


def axle_lift_changes(found: CgHeight, units: ReaderUnits, *, text: str) -> Changes:
    """The CG height with its tolerance, in place of an earlier test."""
    return weighed_height(text, found.height, units)


def load(readings: Readings, job: Job, axle: str, *, put_on: bool) -> LoadResult:
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
    found = load_test(steps, softening=_softening(job) if put_on else 0.0)
    stage = second_stage(getattr(job.vehicle, axle).spring)
    down = max(step.drop for step in steps) - min(step.drop for step in steps)
    if stage is not None and stage.start < down:
        raise ValueError(
            f"the helper leaves come in {stage.start * 1e3:.3g} mm below as weighed, but the "
            f"readings go {down * 1e3:.3g} mm down, so that the rate holds part of the helper's: "
            "leave out the readings past its start"
        )
    return found


def _softening(job: Job) -> float:
    """What pitch takes from the rate where masses are put on and not weighed under the wheels."""
    weighed = next(s for s in mass.states(job) if s.name == mass.AS_WEIGHED)
    sprung = mass.sprung_mass(job, weighed)
    arm = sprung.height - job.vehicle.front.roll_centre_height
    return pitch_softening(sprung.mass, arm, job.vehicle.wheelbase)


def load_changes(found: LoadResult, axle: str, units: ReaderUnits, *, text: str, job: Job):
    """The spring's rate where the file states it, and its friction as the loop's whole width."""
    spring = f"{axle}.spring"
    ratio = 1.0
    if value(text, f"{spring}.rate") is not None and value(text, f"{spring}.motion_ratio"):
        ratio = parse(bare(str(value(text, f"{spring}.motion_ratio"))), Dimension.RATIO).value
    own = getattr(job.vehicle, axle)
    at_wheel = own.suspension is Suspension.INDEPENDENT and value(text, f"{spring}.rate") is None
    changes: Changes = {
        f"{spring}.{'wheel_rate' if at_wheel else 'rate'}": written(
            _scaled(found.wheel_rate, ratio**-2), units.rate, decimals=2
        )
    }
    for key in _REPLACED:
        out = gone(text, f"{spring}.{key}")
        changes |= out
        if out and at_wheel and value(text, f"{spring}.motion_ratio") is not None:
            changes[f"{spring}.motion_ratio"] = None
    if found.friction.value > 0.0:
        width = _scaled(found.friction, 2.0 / ratio)
        changes[f"{spring}.loop_width"] = written(width, units.force)
        if value(text, f"{spring}.friction") is not None:
            changes[f"{spring}.friction"] = None
    return changes


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


def calibrated(
    scenario: Scenario, found: LeanResult, readings: Readings, *, unknown: Unknown, state: str
) -> Calibration:
    """The scenario with one unknown put right, people or masses of the test on board [SI]."""
    job = scenario.job
    stood = next(s for s in mass.states(job) if s.name == state)
    moved = None
    if _both(readings, "behind", "height"):
        moved = Load("lean test", readings["moved"], readings["behind"], readings["height"])
    net, predict = found.net_roll_stiffness, net_roll_stiffness(stood, moved)
    right = calibrate(job, unknown, net, predict=predict)
    if unknown is not Unknown.CG_HEIGHT:
        return right
    return with_other_inputs(right, net, scenario.tolerances, predict=predict)


def bounced(readings: Readings) -> BounceResult:
    """The damping ratio in roll from the readings of `BOUNCE`."""
    runs = [
        [readings[f"swing_{run}_{n}"] for n in range(1, bay.SWINGS + 1)]
        for run in range(1, bay.RUNS + 1)
    ]
    for number, run in enumerate(runs, 1):
        if None in run and any(each is not None for each in run[run.index(None) :]):
            raise ValueError(
                f"run {number} has a swing after one that is not typed; type every swing from the "
                "first on"
            )
    error = (readings["swing_error"] or 0.0) / SIGMAS
    typed = [[each for each in run if each is not None] for run in runs]
    return bounce(typed, reading_error=error or None)


def bounced_changes(found: BounceResult) -> Changes:
    """The damping ratio in roll with its tolerance."""
    return {"vehicle.roll_damping_ratio": written(found.damping_ratio, "", decimals=3)}


def twisted(readings: Readings, job: Job, blocks: str, *, state: str) -> FrameTwist:
    """Stiffness of the frame and the cab's share from the readings of `FRAME_TWIST` [SI]."""
    ways = [
        TwistReading(
            CornerMasses(*(readings[f"{way}_{corner}"] for corner in bay.CORNERS)),
            *(readings[f"{way}_{place}"] for place in ("front", "rear", "cab")),
        )
        for way in bay.WAYS
    ]
    return frame_twist(
        *ways,
        twist_vehicle(job, mass.named(job, state)),
        block=readings["block"],
        blocks=Blocks(blocks),
        mass_error=(readings["scale_error"] or 0.0) / SIGMAS or SCALE_ERROR,
        level_error=(readings["level_error"] or 0.0) / SIGMAS or LEVEL_ERROR,
    )


def bar_keys(
    readings: Readings,
    chosen: Mapping[str, str],
    units: ReaderUnits,
    now: Mapping[str, Value] | None = None,
) -> dict[str, Value]:
    """The readings of `BAR` as the keys of a bar's table; what was not read has none.

    Bushes and links that nobody looked at stay as they are in `now`, the table in the file.
    """
    read = {key: reading for key, reading in readings.items() if reading is not None}

    def said(key: str) -> str:
        return f"{to_unit(read[key], units.length):.8g} {units.length}"

    keys: dict[str, Value] = {}
    if "diameter" in read:
        keys["section"] = f"{said('diameter')} solid"
    if read.get("bore") and "diameter" in read:
        wall = 0.5 * (read["diameter"] - read["bore"])
        thick = f"{to_unit(wall, units.length):.8g} {units.length}"
        keys["section"] = f"{said('diameter')} x {thick}"
    lengths = {"centre_length": "centre", "bush_spacing": "bushes", "link_spacing": "links"}
    keys |= {key: said(name) for key, name in lengths.items() if name in read}
    if "lever" in read:
        keys["arm_holes"] = [said("lever")]
    if "splay" in read:
        keys["arm_splay"] = f"{math.degrees(read['splay']):.8g} deg"
    if "ratio" in read:
        keys["installation_ratio"] = read["ratio"]
    coupled = {key: chosen[key] for key in ("bush_rate", "link_rate")}
    told = {key: word for key, word in coupled.items() if word not in (bay.RIGID, bay.AS_IT_IS)}
    kept = {key: found for key, found in (now or {}).items() if coupled.get(key) == bay.AS_IT_IS}
    return keys | kept | told


def bar(keys: dict[str, Value], axle: Axle) -> tuple[Estimate, Estimate | None]:
    """Link-end rate and roll stiffness from the keys that `bar_keys` makes of the readings [SI].

    The roll stiffness is None where independent suspension has no link travel per wheel travel.
    """
    readings, table = dimensions_of(keys, "the bar")
    ratio = table.installation_ratio if axle.suspension is Suspension.INDEPENDENT else None
    stiffness = None
    if ratio is not None or axle.suspension is Suspension.SOLID_AXLE:
        stiffness = stiffness_by_dimensions(readings, installation_ratio=ratio, track=axle.track)
    return rate_by_dimensions(readings), stiffness


def bar_changes(keys: dict[str, Value], axle: str, *, text: str) -> Changes:
    """The bar by its dimensions, in place of what the file says of it."""
    here = parsed(text).get(axle, {}).get("bar", {})
    whole = keys | {name: None for name in here if name not in keys}
    return {f"{axle}.bar.{name}": found for name, found in whole.items()}


def item(readings: Readings, job: Job) -> WeighedItem:
    """Mass and place of a load item from the readings of `BEFORE_AFTER` [SI]."""
    before, after = (
        CornerMasses(*(readings[f"{when}_{corner}"] for corner in bay.CORNERS))
        for when in ("before", "after")
    )
    v = job.vehicle
    return weighed_item(
        before,
        after,
        wheelbase=v.wheelbase,
        front_track=v.front.track,
        rear_track=v.rear.track,
        mass_error=(readings["item_error"] or 0.0) / SIGMAS or AxleLiftErrors().mass,
    )


def item_keys(
    found: WeighedItem, readings: Readings, units: ReaderUnits, *, name: str, place: str, on: bool
) -> dict[str, Value]:
    """The keys of the load item."""
    keys: dict[str, Value] = {"name": name, "mass": written(found.mass, units.mass, decimals=1)}
    for key in ("behind_front_axle", "left_of_centreline"):
        keys[key] = written(getattr(found, key), units.length)
    keys |= {"height": amount(readings["item_height"], units.length), "place": place}
    if on:
        keys["on_when_weighed"] = True
    return keys


def _both(readings: Readings, *keys: str) -> bool:
    return all(readings[key] is not None for key in keys)
