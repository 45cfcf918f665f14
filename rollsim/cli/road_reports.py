"""What `rollsim road-test` prints, as text or as JSON."""

import math
from collections.abc import Sequence
from pathlib import Path

from rollsim.cautions import LAW
from rollsim.cli.layout import Column, aligned, bullets, paragraph, section, unbroken
from rollsim.cli.size_records import candidate_record
from rollsim.cli.tables import heading, remarks
from rollsim.measured import Unknown
from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.road_answer import Corrected, RoadAnswer
from rollsim.road_test import Mounting, Part, RoadTest
from rollsim.road_test.columns import Found
from rollsim.road_wording import (
    allowance_words,
    before_words,
    beyond_words,
    columns_words,
    correction_words,
    measured_words,
    mounting_words,
    resized_words,
    wide_words,
)
from rollsim.scenario import Scenario
from rollsim.sentences import sentence
from rollsim.tell.figures import Record
from rollsim.tell.kinds import number
from rollsim.tell.names import state_words
from rollsim.tell.of_road import DRIVE

_NO_LOG = "no log was given: this is the rule for the drive alone"


def road_report(
    scenario: Scenario,
    found: RoadAnswer,
    columns: Sequence[Found],
    *,
    mounting: Mounting | None,
    corrected: Corrected | None,
    written: Path | None,
    shop: str,
    units: ReaderUnits,
) -> str:
    """What `rollsim road-test` prints.

    `columns` are those of the log, `mounting` is how its sensor sits where that was found,
    `corrected` is the scenario put right, and `written` the file
    that it went to; `shop` is how well the shop's predictions came true.
    """
    rule = paragraph(allowance_words(found.allowance, found.state))
    how = bullets(before_words(found.allowance))
    blocks = [
        heading(scenario, f"road test, {state_words(found.state)}"),
        *section("Before the drive", "\n".join(filter(None, (rule, how)))),
    ]
    beside = [paragraph(shop)] if shop else []
    if found.test is None:
        blocks += beside
    else:
        blocks += [
            *section("Answer", _answer(found)),
            *_measurement(found),
            *beside,
            *section("Thrown away", _thrown(found.test)),
        ]
        if columns:
            blocks.append(paragraph(columns_words(tuple(columns), mounting)))
        if mounting is not None:
            blocks.append(paragraph(mounting_words(mounting)))
    if corrected is not None:
        blocks += _correction(corrected, written, units)
    notes = () if found.test is None else found.test.notes
    blocks += [*section("Notes on the log", bullets(notes)), *remarks(scenario, (), units)]
    return "\n\n".join([*blocks, paragraph(LAW)])


def road_record(
    scenario: Scenario,
    found: RoadAnswer,
    columns: Sequence[Found],
    *,
    mounting: Mounting | None,
    corrected: Corrected | None,
    written: Path | None,
    shop: str,
) -> Record:
    """What `rollsim road-test --json` prints.

    Takes what `road_report` does; what has no value is null, with a reason in "notes".
    """
    test = found.test
    notes = [allowance_words(found.allowance, found.state), *before_words(found.allowance)]
    notes += _notes(found) if test else [_NO_LOG]
    record: Record = {"state": found.state, "bar": _bar_record(found)}
    record |= {"sensor": found.sensor.value}
    record |= {"test_drive_limit_g": number(found.allowance.limit, "g")}
    record |= _figures(found)
    record |= {
        "refused": test.refused if test else None,
        "answer": measured_words(found) if test else None,
        "columns": {
            one.role.value: {"column": one.column, "unit": one.unit, "guessed": one.guessed}
            for one in columns
        },
        "mounting": _mounting_record(mounting),
        "thrown_away": [] if test is None else _thrown_record(test),
        "stretches": [] if test is None else _stretch_record(test),
        "calibration": None if corrected is None else _calibration_record(corrected, written),
        "assumed": list(scenario.assumed),
    }
    if found.predicted and not math.isfinite(found.predicted.low):
        notes.append("predicted_band_90: no input has a tolerance, so there is none")
    if corrected is not None:
        notes += [
            correction_words(corrected.calibration, METRIC),
            *resized_words(corrected, METRIC),
        ]
    notes += [*([shop] if shop else []), LAW]
    return {**record, "notes": [*scenario.notes, *notes]}


def _figures(found: RoadAnswer) -> Record:
    """The keys of the measurement, null where there is none."""
    test = found.test
    measured = test is not None and test.line is not None
    told = {key: value for one in DRIVE for key, value in one.record(found).items()}
    return told | {
        "line_bends": test.bends_surely if measured else None,
        "seconds_used": number(sum(test.seconds)) if measured else None,
        "directions": {
            side: number(test.seconds[n]) if test else None
            for n, side in enumerate(("left", "right"))
        },
        "bends": {
            side: test.bends[n] if test else None for n, side in enumerate(("left", "right"))
        },
        "same_place": test.same_place if measured else None,
        "places": test.places if measured else None,
        "interval_parts_deg_per_g": _parts_record(test) if measured else None,
        "predicted_without_lean_test_deg_per_g": (
            number(found.by_inputs.gradient, "deg/g") if found.by_inputs else None
        ),
    }


def _parts_record(test: RoadTest) -> Record:
    """Half of what each part adds to the interval."""
    return {part.name.lower(): number(test.parts.get(part, 0.0), "deg/g") for part in Part}


def _mounting_record(found: Mounting | None) -> Record | None:
    """Directions of the vehicle in the axes of the sensor."""
    if found is None:
        return None
    ways = {way: list(getattr(found, way)) for way in ("forward", "left", "up")}
    return {**ways, "stated": found.stated}


def _pair(ends: tuple[float, float], unit: str) -> list[float] | None:
    low, high = (number(end, unit) for end in ends)
    return None if low is None or high is None else [low, high]


def _bar_record(found: RoadAnswer) -> Record | None:
    if found.bar is None:
        return None
    return {"section": found.bar.section.label, "arm_mm": number(found.bar.lever, "mm")}


def _thrown_record(test: RoadTest) -> list[Record]:
    if test.stretches is None:
        return []
    return [{"reason": why.value, "seconds": number(s)} for why, s in test.stretches.thrown]


def _stretch_record(test: RoadTest) -> list[Record]:
    """Every stretch, for a plot of the residuals."""
    found, line = test.stretches, test.line
    if found is None:
        return []
    return [
        {
            "start_s": number(found.start[n]),
            "seconds": number(found.seconds[n]),
            "lateral_acceleration_g": number(found.lateral[n], "g"),
            "roll_angle_deg": number(found.roll[n], "deg"),
            "residual_deg": None if line is None else number(line.residuals[n], "deg"),
            "weight": None if line is None else number(line.weights[n]),
        }
        for n in range(len(found.start))
    ]


def _calibration_record(found: Corrected, written: Path | None) -> Record:
    calibration = found.calibration
    height = calibration.unknown is Unknown.CG_HEIGHT
    key, unit = ("cg_height_mm", "mm") if height else ("added_roll_stiffness_Nm_per_deg", "N*m/deg")
    choice = None if found.sizing is None else found.sizing.choice
    return {
        "unknown": calibration.unknown.value,
        key: number(calibration.value.value, unit),
        "interval_95": _pair(calibration.value.interval, unit),
        "below_zero": calibration.below_zero,
        "written": None if written is None else str(written),
        "choice": None if choice is None else candidate_record(choice),
        "bar_stands": found.stands,
        "nearest_hole_mm": None if found.hole is None else number(found.hole.lever, "mm"),
    }


def _notes(found: RoadAnswer) -> list[str]:
    """What a reader should know of the log, the reason of a refusal first."""
    test = found.test
    if test is None:
        return []
    refused = [] if test.refused is None else [f"no figure: {test.refused}"]
    said = [words for words in (beyond_words(found), wide_words(found)) if words]
    return [*said, *refused, *test.notes]


def _answer(found: RoadAnswer) -> str:
    """That the drive went too far comes before what it measured."""
    beyond = beyond_words(found)
    warned = [paragraph(sentence(beyond))] if beyond else []
    wide = [paragraph(wide_words(found))] if found.test.wide else []
    return "\n".join([*warned, paragraph(measured_words(found)), *wide])


def _measurement(found: RoadAnswer) -> tuple[str, ...]:
    """The figures of the drive, each with its band."""
    if found.test.line is None:
        return ()
    rows = [one.row(found) for one in DRIVE]
    columns = [Column("", 42, left=True), Column("", 18), Column("band", 26)]
    return section("Measurement", aligned(columns, rows))


def _thrown(test: RoadTest) -> str:
    if test.stretches is None:
        return ""
    return bullets(f"{why.value}: {seconds:.0f} s" for why, seconds in test.stretches.thrown)


def _correction(found: Corrected, written: Path | None, units: ReaderUnits) -> list[str]:
    body = bullets([correction_words(found.calibration, units), *resized_words(found, units)])
    if written is not None:
        body += "\n" + unbroken(f"Written to {written}.", "- ")
    return list(section("Calibrated", body))
