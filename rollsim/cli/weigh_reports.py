"""What `rollsim weigh` prints: figures with their standard errors, as text or as JSON."""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rollsim.bar import TAPE_ERROR, VERNIER_ERROR
from rollsim.cli.layout import bullets, paragraph
from rollsim.cli.records import dumps
from rollsim.correction_wording import calibration_notes
from rollsim.estimates import Estimate
from rollsim.measured import Calibration, LeanResult, LoadResult, Unknown
from rollsim.reader_units import METRIC, READER_UNITS, ReaderUnits, UnitSystem, figure, said_in
from rollsim.roll_centre import READING_ERROR
from rollsim.scenario import TapedRollCentre
from rollsim.tell.figures import Record
from rollsim.tell.kinds import number
from rollsim.tolerance import SIGMAS
from rollsim.units import to_unit
from rollsim.weighing import AxleLiftErrors, CgHeight, lift_notes


@dataclass(frozen=True, slots=True)
class Figure:
    """One measured figure in SI; its key in JSON carries the unit at its end.

    `label` and `kind` are for text: `kind` is which unit of the reader's it has, empty: `unit`.
    Decimals None: what suits the unit.
    """

    key: str
    unit: str
    label: str
    kind: str
    value: Estimate
    decimals: int | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What a test in the bay says.

    `keys` give the same in a scenario, TOML to be pasted; empty where the readings alone do not.
    """

    title: str
    figures: tuple[Figure, ...]
    notes: tuple[str, ...]
    keys: str = ""


LINK_END_RATE = "bar stiffness at the link (link-end rate)"
_TRUST = (
    "standard errors count what readings scatter or are stated to scatter; a suspension that was "
    "not blocked or not bounced, a slope of the floor and a scale out of level come on top"
)
_SCATTER = "no scatter to judge the readings by: take more of them, or state --reading-error"
_FRICTION = "friction needs both ways: loading and unloading, to the right and to the left"


def axle_lift_answer(
    found: CgHeight, errors: AxleLiftErrors, units: ReaderUnits = METRIC
) -> Answer:
    """CG height in figures; the errors are those of the readings."""
    figures = [Figure("cg_height_mm", "mm", "CG height, whole vehicle", "length", found.height)]
    mass, length = said_in(units)
    notes = [
        f"readings taken as good to {mass(SIGMAS * errors.mass)} and "
        f"{length(SIGMAS * errors.height)} of lift (90 %)",
        *lift_notes(found, mass=mass, length=length),
        _TRUST,
    ]
    if math.isfinite(found.scatter_error) and not found.disagree:
        notes.insert(
            1,
            f"the lifts scatter about their line by {length(found.scatter_error)} of CG height "
            "(standard error)",
        )
    steepest = max(found.inclinations)
    notes.insert(1, f"steepest inclination {math.degrees(steepest):.1f} deg")
    return Answer("CG height by lifting an axle", tuple(figures), tuple(notes))


def load_answer(found: LoadResult, units: ReaderUnits = METRIC, *, weighed: bool) -> Answer:
    """Wheel rate and friction in figures.

    `weighed`: the masses were read under the wheels, so pitch needs no correction.
    """
    rate, friction = found.wheel_rate, found.friction
    off = figure(found.largest_residual, units.length, 1 if units.length == "mm" else 3)
    notes = [f"worst reading {off} {units.length} off the line"]
    if weighed:
        notes.append(
            "masses are taken as read under the wheels: where they were only put on, pitch makes "
            "the rate come out 1 to 3 % low; give --sprung-mass, --cg-arm and --wheelbase"
        )
    return Answer(
        "Load test: one side of the axle",
        (
            Figure("wheel_rate_N_per_mm", "N/mm", "wheel rate, hub to arch", "rate", rate),
            Figure("friction_N", "N", "friction, half the loop", "force", friction),
        ),
        (*notes, *_missing(rate, friction), _TRUST),
    )


def lean_answer(found: LeanResult, calibration: Calibration | None = None) -> Answer:
    """Net roll stiffness and friction in figures, and the unknown that they put right."""
    net, friction = found.net_roll_stiffness, found.friction
    figures = [
        Figure("net_roll_stiffness_Nm_per_deg", "N*m/deg", "net roll stiffness", "roll", net),
        Figure("friction_Nm", "N*m", "friction, half the loop", "moment", friction),
        Figure("friction_deg", "deg", "lean that friction holds", "deg", found.half_width),
    ]
    notes = [
        f"at rest it leans {figure(found.lean_at_rest, 'deg')} deg, right positive; worst reading "
        f"{figure(found.largest_residual, 'deg')} deg off the line",
        "net: springs, bars, bushes and tyres less what weight takes, with all on board",
    ]
    if calibration is not None:
        before = Estimate(calibration.predicted_before, math.nan)
        figures.append(
            Figure(
                "predicted_net_roll_stiffness_Nm_per_deg",
                "N*m/deg",
                "net roll stiffness, as the scenario predicts it",
                "roll",
                before,
            )
        )
        figures.append(_calibrated(calibration))
        notes += calibration_notes(calibration)
    return Answer("Lean test", tuple(figures), (*notes, *_missing(net, friction), _TRUST))


def bar_notes(units: ReaderUnits) -> tuple[str, ...]:
    """What stands beside a bar by vernier and tape, in the reader's units."""
    vernier, tape = (
        f"{to_unit(error, units.length):.2g} {units.length}"
        for error in (VERNIER_ERROR, TAPE_ERROR)
    )
    return (
        f"readings without a tolerance are taken as good to {vernier} by vernier and {tape} by "
        "tape (90 %); the rate grows with the fourth power of the diameter",
        "bushes and links that are left out count as rigid, which makes the bar too stiff",
    )


def measured_bar_answer(
    found: tuple[Estimate, Estimate],
    units: ReaderUnits = METRIC,
    *,
    independent: bool,
    axle: str,
    keys: Mapping[str, object],
) -> Answer:
    """Rate and roll stiffness of a bar that is on a vehicle, in figures.

    `found` is the rate at the link [N/m] and the roll stiffness per axle [N·m/rad], on independent
    suspension or across a solid axle; `keys` are those of the bar's table in a file.
    """
    rate, stiffness = found
    across = "on independent suspension" if independent else "across a solid axle"
    figures = (
        Figure("link_end_rate_N_per_mm", "N/mm", LINK_END_RATE, "rate", rate),
        Figure(
            "roll_stiffness_Nm_per_deg", "N*m/deg", f"roll stiffness {across}", "roll", stiffness
        ),
    )
    lines = (f"{key} = {json.dumps(found, ensure_ascii=False)}" for key, found in keys.items())
    pasted = "\n".join([f"[{axle}.bar]", *lines])
    notes = [
        *bar_notes(units),
        f"these keys take the place of the bar that [{axle}] has in the file",
    ]
    if not independent:
        notes.insert(2, "on independent suspension give --installation-ratio and --track")
    return Answer("Anti-roll bar by vernier and tape", figures, tuple(notes), pasted)


def roll_centre_answer(found: Sequence[TapedRollCentre], units: ReaderUnits = METRIC) -> Answer:
    """Roll centres by tape in figures, and what 5 mm of each reading do."""
    _, length = said_in(units)
    places = 1 if units.length == "mm" else 2
    figures, notes = [], []
    for one in found:
        label = f"{one.axle} roll centre ({one.linkage.replace('_', ' ')})"
        key = f"{one.axle}_roll_centre"
        figures += [
            Figure(f"{key}_height_mm", "mm", f"{label}, height", "length", one.height),
            Figure(f"{key}_travel_ratio", "", f"{label}, travel ratio", "", one.travel_ratio),
        ]
        notes += [
            f"{one.axle}: {words} {length(READING_ERROR)} more: height "
            f"{'+' if height >= 0.0 else ''}{figure(height, units.length, places)} {units.length}, "
            f"ratio {ratio:+.3f}"
            for words, height, ratio in one.readings
        ]
    notes.append(
        f"readings without a tolerance are taken as good to {length(READING_ERROR)} (90 %); "
        "measure all heights from one level floor, each twice"
    )
    return Answer("Roll centre by tape", tuple(figures), tuple(notes))


def told(found: Answer, *, as_json: bool, system: UnitSystem = UnitSystem.METRIC) -> str:
    """Write an answer as text, or as JSON."""
    if as_json:
        return dumps(_record(found))
    units = READER_UNITS[system]
    lines = [found.title, "=" * len(found.title), ""]
    figures = [each for each in found.figures if math.isfinite(each.value.value)]
    lines += [paragraph(_line(each, units), "    ", first="") for each in figures]
    pasted = ["", "In the scenario:", "", found.keys] if found.keys else []
    return "\n".join([*lines, "", bullets(found.notes), *pasted])


def _record(found: Answer) -> Record:
    record: Record = {}
    notes = list(found.notes)
    for each in found.figures:
        values = {
            each.key: each.value.value,
            f"standard_error_{each.key}": each.value.standard_error,
        }
        record |= {key: number(value, each.unit) for key, value in values.items()}
        low, high = (number(value, each.unit) for value in each.value.interval)
        record[f"interval_95_{each.key}"] = None if low is None else [low, high]
        if any(record[key] is None for key in values) or low is None:
            notes.append(f"{each.key}: what is null of it, the readings do not tell")
    keys: Record = {"scenario_keys": found.keys} if found.keys else {}
    return {**record, **keys, "notes": notes}


def _line(each: Figure, units: ReaderUnits) -> str:
    unit = {
        "length": units.length,
        "rate": units.rate,
        "force": units.force,
        "roll": units.roll_stiffness,
        "moment": units.roll_stiffness.removesuffix("/deg"),
    }.get(each.kind, each.kind)
    shown = unit.replace("*", "·")
    low, high = each.value.interval

    def say(value: float) -> str:
        return figure(value, unit, each.decimals)

    text = f"{each.label}: {say(each.value.value)} {shown}"
    if math.isfinite(each.value.standard_error):
        text += f", standard error {say(each.value.standard_error)} {shown}"
    if math.isfinite(low):
        text += f", 95 % interval {say(low)} to {say(high)} {shown}"
    return text


def _missing(value: Estimate, friction: Estimate) -> tuple[str, ...]:
    found = []
    if not math.isfinite(value.standard_error):
        found.append(_SCATTER)
    if not math.isfinite(friction.value):
        found.append(_FRICTION)
    return tuple(found)


def _calibrated(calibration: Calibration) -> Figure:
    if calibration.unknown is Unknown.CG_HEIGHT:
        return Figure(
            "calibrated_cg_height_mm", "mm", "CG height that agrees", "length", calibration.value
        )
    return Figure(
        "added_roll_stiffness_Nm_per_deg",
        "N*m/deg",
        f"{calibration.unknown.value}: to be added to what is stated",
        "roll",
        calibration.value,
    )
