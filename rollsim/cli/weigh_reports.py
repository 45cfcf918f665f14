"""What `rollsim weigh` prints: figures with their standard errors, as text or as JSON."""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rollsim.cli.layout import bullets, paragraph
from rollsim.cli.records import dumps
from rollsim.correction_wording import calibration_notes
from rollsim.estimates import Estimate
from rollsim.measured import BounceResult, Calibration, FrameTwist, LeanResult, LoadResult
from rollsim.reader_units import METRIC, READER_UNITS, ReaderUnits, UnitSystem, figure, said_in
from rollsim.roll_centre import READING_ERROR
from rollsim.scenario import TapedRollCentre
from rollsim.scenario.correcting import frame_as_tested
from rollsim.tell.figures import Record
from rollsim.tell.of_tests import (
    TRUST,
    Measured,
    bar_notes,
    bounce_notes,
    frame_notes,
    of_axle_lift,
    of_bar,
    of_bounce,
    of_calibration,
    of_frame_twist,
    of_lean_test,
    of_load_test,
    of_roll_centre,
    off_the_line,
)
from rollsim.tolerance import SIGMAS
from rollsim.weighing import AxleLiftErrors, CgHeight, lift_notes


@dataclass(frozen=True, slots=True)
class Answer:
    """What a test in the bay says.

    `keys` give the same in a scenario, TOML to be pasted; empty where the readings alone do not.
    """

    title: str
    figures: tuple[Measured, ...]
    notes: tuple[str, ...]
    keys: str = ""


_SCATTER = "no scatter to judge the readings by: take more of them, or state --reading-error"
_FRICTION = "friction needs both ways: loading and unloading, to the right and to the left"


def axle_lift_answer(
    found: CgHeight, errors: AxleLiftErrors, units: ReaderUnits = METRIC
) -> Answer:
    """CG height in figures; the errors are those of the readings."""
    mass, length = said_in(units)
    notes = [
        f"readings taken as good to {mass(SIGMAS * errors.mass)} and "
        f"{length(SIGMAS * errors.height)} of lift (90 %)",
        *lift_notes(found, mass=mass, length=length),
        TRUST,
    ]
    if math.isfinite(found.scatter_error) and not found.disagree:
        notes.insert(
            1,
            f"the lifts scatter about their line by {length(found.scatter_error)} of CG height "
            "(standard error)",
        )
    steepest = max(found.inclinations)
    notes.insert(1, f"steepest inclination {math.degrees(steepest):.1f} deg")
    return Answer("CG height by lifting an axle", of_axle_lift(found), tuple(notes))


def load_answer(found: LoadResult, units: ReaderUnits = METRIC, *, weighed: bool) -> Answer:
    """Wheel rate and friction in figures.

    `weighed`: the masses were read under the wheels, so pitch needs no correction.
    """
    rate, friction = found.wheel_rate, found.friction
    notes = [off_the_line(found.largest_residual, units.length)]
    if weighed:
        notes.append(
            "masses are taken as read under the wheels: where they were only put on, pitch makes "
            "the rate come out 1 to 3 % low; give --sprung-mass, --cg-arm and --wheelbase"
        )
    return Answer(
        "Load test: one side of the axle",
        of_load_test(found),
        (*notes, *_missing(rate, friction), TRUST),
    )


def lean_answer(found: LeanResult, calibration: Calibration | None = None) -> Answer:
    """Net roll stiffness and friction in figures, and the unknown that they put right."""
    net, friction = found.net_roll_stiffness, found.friction
    figures = of_lean_test(found)
    notes = [
        f"at rest it leans {figure(found.lean_at_rest, 'deg')} deg, right positive",
        off_the_line(found.largest_residual, "deg"),
        "net: springs, bars, bushes and tyres less what weight takes, with all on board",
    ]
    if calibration is not None:
        figures += of_calibration(calibration)
        notes += calibration_notes(calibration)
    return Answer("Lean test", figures, (*notes, *_missing(net, friction), TRUST))


def bounce_report(found: BounceResult) -> Answer:
    """The damping ratio in roll in figures, and the key that gives it in a file."""
    key = f'[vehicle]\nroll_damping_ratio = "{_with_band(found.damping_ratio)}"'
    return Answer("Bounce test", of_bounce(found), (*bounce_notes(found), TRUST), key)


def frame_report(found: FrameTwist, units: ReaderUnits = METRIC, *, read_to: str) -> Answer:
    """Stiffness of a frame and the cab's share, and the keys; `read_to` tells how well."""
    lines = (
        f'{key.removeprefix("vehicle.")} = "{value}"'
        for key, value in frame_as_tested(found, units).items()
    )
    return Answer(
        "Frame-twist test",
        of_frame_twist(found),
        (*frame_notes(found, units), read_to, TRUST),
        "\n".join(["[vehicle]", *lines]),
    )


def _with_band(found: Estimate) -> str:
    return f"{found.value:.3f} ± {found.tolerance:.3f}"


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
    figures = of_bar(rate, stiffness, across)
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
        words = one.linkage.replace("_", " ")
        figures += of_roll_centre(one.height, one.travel_ratio, axle=one.axle, linkage=words)
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
        record |= {key: each.kind.number(value) for key, value in values.items()}
        low, high = (each.kind.number(value) for value in each.value.interval)
        record[f"interval_95_{each.key}"] = None if low is None else [low, high]
        if any(record[key] is None for key in values) or low is None:
            notes.append(f"{each.key}: what is null of it, the readings do not tell")
    keys: Record = {"scenario_keys": found.keys} if found.keys else {}
    return {**record, **keys, "notes": notes}


def _line(each: Measured, units: ReaderUnits) -> str:
    def say(value: float) -> str:
        return each.kind.with_unit(value, units)

    low, high = each.value.interval
    text = f"{each.words}: {say(each.value.value)}"
    if math.isfinite(each.value.standard_error):
        text += f", standard error {say(each.value.standard_error)}"
    if math.isfinite(low):
        text += f", 95 % interval {each.kind.said(low, units)} to {say(high)}"
    return text


def _missing(value: Estimate, friction: Estimate) -> tuple[str, ...]:
    found = []
    if not math.isfinite(value.standard_error):
        found.append(_SCATTER)
    if not math.isfinite(friction.value):
        found.append(_FRICTION)
    return tuple(found)
