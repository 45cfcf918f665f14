"""Text tables of `rollsim roll` and `rollsim check`, the shop's word before the ISO term."""

import math
from collections.abc import Callable, Sequence

from rollsim.cautions import ROLL_CAUTIONS
from rollsim.cli.bands import band_notes, band_rows
from rollsim.cli.layout import (
    WIDTH,
    Row,
    bullets,
    clean,
    paragraph,
    section,
    side_by_side,
    unbroken,
)
from rollsim.mass import spoken
from rollsim.plots.words import LEFT_BEND_WHEELS, TRANSFER_PARTS
from rollsim.rating_wording import RATING_WORDS, not_checked_words
from rollsim.reader_units import NO_FIGURE, READER_UNITS, ReaderUnits, UnitSystem, figure
from rollsim.roll import SECANT_AT, CurvePoint, StateResult
from rollsim.scenario import Scenario
from rollsim.tolerance import LeanBands
from rollsim.vehicle import Job

_NO_RATING_RAISED = "Stiffer springs, a bar or a lift raise no rating: take load off."


def roll_report(
    scenario: Scenario,
    found: Sequence[StateResult],
    lateral: Sequence[float],
    *,
    system: UnitSystem = UnitSystem.METRIC,
    bands: Sequence[LeanBands] | None = None,
) -> str:
    """What `rollsim roll` prints.

    Parameters
    ----------
    scenario : Scenario
        Title, vehicle, assumed values and notes.
    found : sequence of StateResult
        Every state; their curves hold 0.4 g as well.
    lateral : sequence of float
        Lateral accelerations to show [m/s²].
    system : UnitSystem
        Metric or imperial.
    bands : sequence of LeanBands or None
        What tolerances make of every state's lean [rad/(m/s²)]; None: not asked for.

    Returns
    -------
    str
        Lines of at most 100 characters.
    """
    units = READER_UNITS[system]
    names = [state_words(result.name) for result in found]
    over = over_ratings(found, units)

    def block(rows: Sequence[Row]) -> str:
        return side_by_side(names, rows)

    blocks = [
        heading(scenario, "body roll, state by state"),
        *over,
        block(state_rows(found, units)),
        *_band_section(names, bands),
        *section("Lean (roll angle) in a left bend, deg", block(_lean_rows(found, lateral))),
        *section(f"Wheel loads at 0.4 g, {units.force}", block(_wheel_rows(found, units))),
        *section(
            f"Weight transfer (lateral load transfer) at 0.4 g, {units.force}",
            block(_transfer_rows(found, units)),
        ),
        *rating_table(scenario.job, found, units),
        *_scales_table(scenario, units),
        *closing(scenario, found, ROLL_CAUTIONS),
        *over,
    ]
    return "\n\n".join(blocks)


def _band_section(names: Sequence[str], bands: Sequence[LeanBands] | None) -> tuple[str, ...]:
    if not bands:
        return () if bands is None else (bullets(band_notes(bands)),)
    title = "With the tolerances of the inputs, nine cases of ten (mean of both bends)"
    return section(title, side_by_side(names, band_rows(bands)))


def check_report(scenario: Scenario, states: Sequence[str]) -> str:
    """What `rollsim check` prints.

    Parameters
    ----------
    scenario : Scenario
        Read without an error.
    states : sequence of str
        Names of its states.

    Returns
    -------
    str
        Lines of at most 100 characters.
    """
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


def state_words(name: str) -> str:
    """Name of a state as it is printed; a load case keeps the user's words."""
    return clean(spoken(name))


def over_ratings(found: Sequence[StateResult], units: ReaderUnits) -> tuple[str, ...]:
    """The block that cannot be missed: every rating that a state exceeds.

    Parameters
    ----------
    found : sequence of StateResult
        Every state.
    units : ReaderUnits
        For masses.

    Returns
    -------
    tuple of str
        One block, or none where nothing is over.
    """
    lines = [
        paragraph(
            f"OVER A RATING: {state_words(result.name)}: {RATING_WORDS[check.name]}: "
            f"load {figure(check.load, units.mass, 1)} {units.mass}, "
            f"limit {figure(check.limit, units.mass, 1)} {units.mass}, "
            f"{figure(check.load - check.limit, units.mass, 1)} {units.mass} too much",
            "    ",
            first="!!! ",
        )
        for result in found
        for check in result.ratings
        if check.over
    ]
    return ("\n".join([*lines, f"!!! {_NO_RATING_RAISED}"]),) if lines else ()


def state_rows(found: Sequence[StateResult], units: ReaderUnits) -> list[Row]:
    """The figures of each state, a row each.

    Parameters
    ----------
    found : sequence of StateResult
        The columns.
    units : ReaderUnits
        Of the reader.

    Returns
    -------
    list of Row
        Labels with unit.
    """
    mass, length = units.mass, units.length

    def row(label: str, unit: str, value: Callable[[StateResult], float]) -> Row:
        cells = tuple(figure(value(result), unit) for result in found)
        return Row(f"{label}, {unit}" if unit else label, cells)

    return [
        row("lean per g (roll gradient)", "deg/g", lambda r: r.roll_gradient),
        *secant_rows(found),
        row("  of the suspension alone", "deg/g", lambda r: r.suspension_roll_gradient),
        row("lean at rest, + to the right", "deg", lambda r: r.static_lean),
        *_friction_rows(found),
        row("mass", mass, lambda r: r.total_mass),
        row("  on the front axle", mass, lambda r: r.front_axle_mass),
        row("  on the rear axle", mass, lambda r: r.rear_axle_mass),
        row("CG height", length, lambda r: r.cg_height),
        row("static stability factor (SSF)", "", lambda r: r.ssf),
        *limit_rows(found),
        row("tilt-table ratio", "", lambda r: r.tilt_table_ratio),
        row("front share of weight transfer", "", lambda r: r.front_load_transfer_share),
    ]


def secant_rows(found: Sequence[StateResult]) -> list[Row]:
    """Lean per g at 0.4 g [deg/g]: one row, or one a bend where a load is off centre.

    Parameters
    ----------
    found : sequence of StateResult
        The columns.

    Returns
    -------
    list of Row
        One or two.
    """
    left = tuple(figure(r.secant_roll_gradient, "deg/g") for r in found)
    right = tuple(figure(r.right_secant_roll_gradient, "deg/g") for r in found)
    if left == right:
        return [Row("  at 0.4 g (secant), deg/g", left)]
    return [
        Row("  at 0.4 g in a left bend (secant), deg/g", left),
        Row("  at 0.4 g in a right bend, deg/g", right),
    ]


def _friction_rows(found: Sequence[StateResult]) -> list[Row]:
    """How far friction parts both branches from the lean shown, where any spring rubs."""
    if all(result.friction is None for result in found):
        return []
    halves = (0.0 if r.friction is None else r.friction.half_width for r in found)
    cells = tuple(figure(half, "deg") for half in halves)
    return [Row("friction, less in and more out, deg", cells)]


def limit_rows(found: Sequence[StateResult]) -> list[Row]:
    """Where wheels lift and the vehicle tips, a row each."""

    def lift(value: float, tip: float) -> str:
        tips_first = math.isnan(value) and math.isfinite(tip)
        return "tips first" if tips_first else figure(value, "g")

    return [
        Row(
            "inner front wheel lifts, g",
            tuple(lift(r.inner_front_lift, r.tip_over_threshold) for r in found),
        ),
        Row(
            "inner rear wheel lifts, g",
            tuple(lift(r.inner_rear_lift, r.tip_over_threshold) for r in found),
        ),
        Row(
            "tipping point (tip-over threshold), g",
            tuple(figure(r.tip_over_threshold, "g") for r in found),
        ),
    ]


def rating_table(job: Job, found: Sequence[StateResult], units: ReaderUnits) -> tuple[str, ...]:
    """Load on every rating that is given, beside its limit; which ones are not.

    Parameters
    ----------
    job : Job
        Its ratings.
    found : sequence of StateResult
        Every state, with the same ratings.
    units : ReaderUnits
        For masses.

    Returns
    -------
    tuple of str
        One block.
    """
    rows = []
    for checks in zip(*(result.ratings for result in found), strict=True):
        cells = tuple(
            figure(check.load, units.mass) + (" OVER" if check.over else "") for check in checks
        )
        limit = figure(checks[0].limit, units.mass)
        rows.append(Row(f"{RATING_WORDS[checks[0].name]}, at most {limit}", cells))
    names = [state_words(result.name) for result in found]
    title = f"Ratings and what is on them, {units.mass}"
    return section(title, rated(job, side_by_side(names, rows) if rows else ""))


def rated(job: Job, table: str) -> str:
    """A table of ratings, and under it those that are not given.

    Parameters
    ----------
    job : Job
        Its ratings.
    table : str
        Empty where none is given.

    Returns
    -------
    str
        Lines of at most 100 characters.
    """
    missing = not_checked_words(job)
    return "\n".join(part for part in (table, missing and paragraph(missing)) if part)


def _scales_table(scenario: Scenario, units: ReaderUnits) -> tuple[str, ...]:
    """What four corner masses tell, where they are given."""
    found = scenario.corners
    if found is None:
        return ()
    left = figure(found.cg_left, units.length)
    lines = (
        f"cross weight (front right + rear left) {100.0 * found.cross_weight:.1f} %, true only on "
        "level pads, bounced and rolled free",
        f"on the front axle {100.0 * found.front_share:.1f} %, on the left side "
        f"{100.0 * found.left_share:.1f} %; CG {left} {units.length} left of the centreline",
    )
    return section("On the scales", bullets(lines))


def closing(
    scenario: Scenario, found: Sequence[StateResult], cautions: Sequence[str]
) -> tuple[str, ...]:
    """Assumed values, notes and cautions, a block each.

    Parameters
    ----------
    scenario : Scenario
        Its assumed values and notes.
    found : sequence of StateResult
        Their notes.
    cautions : sequence of str
        What stands with the figures.

    Returns
    -------
    tuple of str
        Blocks; none where there is nothing to say.
    """
    return (*remarks(scenario, found), *section("Cautions", bullets(cautions)))


def remarks(scenario: Scenario, found: Sequence[StateResult]) -> tuple[str, ...]:
    """Assumed values and notes, those of several states told once.

    Parameters
    ----------
    scenario : Scenario
        Its assumed values and notes.
    found : sequence of StateResult
        Their notes.

    Returns
    -------
    tuple of str
        A block each, none where there is nothing to say.
    """
    where: dict[str, list[str]] = {}
    for result in found:
        for note in result.notes:
            where.setdefault(note, []).append(state_words(result.name))
    notes = [
        note if len(names) == len(found) else f"{', '.join(names)}: {note}"
        for note, names in where.items()
    ]
    return (
        *section("Assumed, not measured", bullets(scenario.assumed)),
        *section("Measured in the bay", bullets(scenario.measured)),
        *section("Notes", bullets([*scenario.notes, *notes])),
    )


def _point(result: StateResult, lateral: float) -> CurvePoint | None:
    found = (point for point in result.curve if point.lateral_acceleration == lateral)
    return next(found, None)


def _left_out(result: StateResult) -> str:
    return "tipped" if math.isfinite(result.tip_over_threshold) else NO_FIGURE


def _lean_rows(found: Sequence[StateResult], lateral: Sequence[float]) -> list[Row]:
    rows = []
    for a in lateral:
        points = [(_point(result, a), _left_out(result)) for result in found]
        cells = tuple(figure(p.roll_angle, "deg") if p else missing for p, missing in points)
        rows.append(Row(f"at {figure(a, 'g', 3).rstrip('0').rstrip('.')} g", cells))
    return rows


def _wheel_rows(found: Sequence[StateResult], units: ReaderUnits) -> list[Row]:
    points = [(_point(result, SECANT_AT), _left_out(result)) for result in found]
    return [
        Row(label, tuple(figure(p.wheel_loads[n], units.force) if p else out for p, out in points))
        for n, label in enumerate(LEFT_BEND_WHEELS)
    ]


def _transfer_rows(found: Sequence[StateResult], units: ReaderUnits) -> list[Row]:
    rows = []
    for axle, end in enumerate(("front", "rear")):
        for name, label in (*TRANSFER_PARTS.items(), ("total", "total")):
            cells = tuple(figure(getattr(r.load_transfer[axle], name), units.force) for r in found)
            rows.append(Row(f"{end}: {label}", cells))
    return rows
