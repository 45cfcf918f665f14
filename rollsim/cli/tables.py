"""Text tables of `rollsim roll` and `rollsim check`, the shop's word before the ISO term."""

import itertools
import math
from collections.abc import Iterable, Sequence

from rollsim.cautions import ROLL_CAUTIONS
from rollsim.cli.bands import band_notes, band_rows
from rollsim.cli.layout import (
    WIDTH,
    bullets,
    paragraph,
    section,
    side_by_side,
    unbroken,
)
from rollsim.mass import RatingCheck
from rollsim.reader_units import (
    METRIC,
    NO_FIGURE,
    READER_UNITS,
    ReaderUnits,
    UnitSystem,
    figure,
    in_units,
)
from rollsim.roll import SECANT_AT, CurvePoint, StateResult
from rollsim.scenario import Scenario
from rollsim.tell.figures import Row, rows
from rollsim.tell.names import LEFT_BEND_WHEELS, clean, state_words
from rollsim.tell.of_scales import CORNERS
from rollsim.tell.of_states import TRANSFER, listed, of_the_tray
from rollsim.tell.of_swerve import SWERVE, TITLE
from rollsim.tell.ratings import NO_RATING_RAISED, not_checked_words, over_lines, rating_rows
from rollsim.tolerance import LeanBands
from rollsim.vehicle import Job


def roll_report(
    scenario: Scenario,
    found: Sequence[StateResult],
    lateral: Sequence[float],
    *,
    system: UnitSystem = UnitSystem.METRIC,
    bands: Sequence[LeanBands] | None = None,
    shop: str = "",
) -> str:
    """What `rollsim roll` prints, at the lateral accelerations asked for [m/s²].

    The curves of `found` hold 0.4 g as well. `bands` is None where they were not asked for;
    `shop` stands under them.
    """
    units = READER_UNITS[system]
    names = [state_words(result.name) for result in found]
    over = over_ratings(of_states(found), units)

    def block(lines: Sequence[Row]) -> str:
        return side_by_side(names, lines)

    blocks = [
        heading(scenario, "body roll, state by state"),
        *over,
        block(rows(listed(found), found, units)),
        *_band_section(names, bands),
        *([paragraph(shop)] if shop else []),
        *_lean_sections(found, lateral, names),
        *section(TITLE, block(_swerve_rows(found, units))),
        *section(f"Wheel loads at 0.4 g, {units.force}", block(_wheel_rows(found, units))),
        *section(
            f"Weight transfer (lateral load transfer) at 0.4 g, {units.force}",
            block(_transfer_rows(found, units)),
        ),
        *rating_table(scenario.job, found, units),
        *_scales_table(scenario, units),
        *closing(scenario, found, ROLL_CAUTIONS, units=units),
        *over,
    ]
    return "\n\n".join(blocks)


def _band_section(names: Sequence[str], bands: Sequence[LeanBands] | None) -> tuple[str, ...]:
    if not bands:
        return () if bands is None else (bullets(band_notes(bands)),)
    title = "With the tolerances of the inputs, nine cases of ten (mean of both bends)"
    return section(title, side_by_side(names, band_rows(bands)))


def check_report(scenario: Scenario, states: Sequence[str]) -> str:
    """What `rollsim check` prints of a scenario read without an error."""
    bar = "given" if scenario.rear_bar is not None else "not given, so nothing to size"
    toleranced = ", ".join(entry.key for entry in scenario.tolerances) or "none"
    lines = (
        f"vehicle: {scenario.job.vehicle.name}",
        f"states: {', '.join(state_words(name) for name in states)}",
        f"rear bar to be sized: {bar}",
        f"inputs with a tolerance: {toleranced}",
    )
    checked = unbroken(f"{scenario.path}: no errors")
    head = "\n".join((checked, *(paragraph(line, "  ", first="") for line in lines)))
    return "\n\n".join((head, *remarks(scenario, ())))


def heading(scenario: Scenario, about: str) -> str:
    """Title, vehicle, and what the table is about, over a rule."""
    text = f"{scenario.title} ({scenario.job.vehicle.name}): {about}"
    return f"{paragraph(text)}\n{'=' * min(WIDTH, len(clean(text)))}"


def over_ratings(
    found: Iterable[tuple[str, Sequence[RatingCheck]]], units: ReaderUnits
) -> tuple[str, ...]:
    """The block that cannot be missed: every rating that a state, in words, exceeds; or none."""
    lines = [
        paragraph(f"OVER A RATING: {line}", "    ", first="!!! ")
        for line in over_lines(found, units)
    ]
    return ("\n".join([*lines, f"!!! {NO_RATING_RAISED}"]),) if lines else ()


def of_states(found: Sequence[StateResult]) -> list[tuple[str, Sequence[RatingCheck]]]:
    """Every state in words, and its ratings."""
    return [(state_words(result.name), result.ratings) for result in found]


def rating_table(job: Job, found: Sequence[StateResult], units: ReaderUnits) -> tuple[str, ...]:
    """Load on every rating that is given, beside its limit; which ones are not: one block."""
    rows = rating_rows([result.ratings for result in found], units)
    names = [state_words(result.name) for result in found]
    title = f"Ratings, and the load on each, {units.mass}"
    return section(title, rated(job, side_by_side(names, rows) if rows else ""))


def rated(job: Job, table: str) -> str:
    """A table of ratings, and under it those that are not given; empty `table`: none is."""
    missing = not_checked_words(job)
    return "\n".join(part for part in (table, missing and paragraph(missing)) if part)


def _scales_table(scenario: Scenario, units: ReaderUnits) -> tuple[str, ...]:
    """What four corner masses tell, where they are given."""
    found = scenario.corners
    if found is None:
        return ()
    cross, front, left, cg = (
        f"{CORNERS[name].words} {CORNERS[name].with_unit(found, units)}"
        for name in ("cross_weight", "front_share", "left_share", "cg_left")
    )
    lines = (
        f"{cross}, true only on level pads, bounced and rolled free",
        f"{front}, {left}; {cg}",
    )
    return section("On the scales", bullets(lines))


def closing(
    scenario: Scenario,
    found: Sequence[StateResult],
    cautions: Sequence[str],
    *,
    units: ReaderUnits,
) -> tuple[str, ...]:
    """Assumed values, notes and cautions, a block each where there is anything to say."""
    return (*remarks(scenario, found, units), *section("Cautions", bullets(cautions)))


def remarks(
    scenario: Scenario, found: Sequence[StateResult], units: ReaderUnits = METRIC
) -> tuple[str, ...]:
    """Assumed values and notes, a block each, those of several states told once."""
    where: dict[str, list[str]] = {}
    for result in found:
        for note in result.notes:
            where.setdefault(note, []).append(state_words(result.name))
    notes = [
        note if len(names) == len(found) else f"{', '.join(names)}: {note}"
        for note, names in where.items()
    ]
    blocks = {
        "Assumed, not measured": scenario.assumed,
        "Measured in the bay": scenario.measured,
        "Notes": (*scenario.notes, *notes),
    }
    return tuple(
        block
        for title, lines in blocks.items()
        for block in section(title, bullets(in_units(line, units) for line in lines))
    )


def _point(result: StateResult, lateral: float) -> CurvePoint | None:
    found = (point for point in result.curve if point.lateral_acceleration == lateral)
    return next(found, None)


def _left_out(result: StateResult) -> str:
    return "tipped" if math.isfinite(result.tip_over_threshold) else NO_FIGURE


def _lean_sections(
    found: Sequence[StateResult], lateral: Sequence[float], names: Sequence[str]
) -> tuple[str, ...]:
    """The cab's lean, and the tray's where the frame twists."""
    title = "Lean (roll angle) in a left bend, deg"
    if not of_the_tray(found):
        return section(title, side_by_side(names, _lean_rows(found, lateral, "roll_angle")))
    ends = {"cab": "roll_angle", "tray": "tray_roll_angle"}
    blocks = (
        section(
            title.replace(")", f") of the {end}"),
            side_by_side(names, _lean_rows(found, lateral, angle)),
        )
        for end, angle in ends.items()
    )
    return tuple(itertools.chain.from_iterable(blocks))


def _lean_rows(found: Sequence[StateResult], lateral: Sequence[float], angle: str) -> list[Row]:
    lines = []
    for a in lateral:
        points = [(_point(result, a), _left_out(result)) for result in found]
        cells = tuple(figure(getattr(p, angle), "deg") if p else none for p, none in points)
        lines.append(Row(f"at {figure(a, 'g', 3).rstrip('0').rstrip('.')} g", cells))
    return lines


def _swerve_rows(found: Sequence[StateResult], units: ReaderUnits) -> list[Row]:
    return [Row(one.words, tuple(one.cell(r, units) for r in found)) for one in SWERVE]


def _wheel_rows(found: Sequence[StateResult], units: ReaderUnits) -> list[Row]:
    points = [(_point(result, SECANT_AT), _left_out(result)) for result in found]
    return [
        Row(label, tuple(figure(p.wheel_loads[n], units.force) if p else out for p, out in points))
        for n, label in enumerate(LEFT_BEND_WHEELS)
    ]


def _transfer_rows(found: Sequence[StateResult], units: ReaderUnits) -> list[Row]:
    return [
        Row(f"{end}: {one.named()}", tuple(one.cell(r.load_transfer[axle], units) for r in found))
        for axle, end in enumerate(("front", "rear"))
        for one in TRANSFER.values()
    ]
