"""Spring options and the contribution of each change: tables and JSON of `rollsim springs`."""

import math
from collections.abc import Mapping, Sequence

from rollsim.cli.layout import bullets, paragraph, section, side_by_side
from rollsim.cli.size_records import part_record
from rollsim.cli.spring_records import axle_record
from rollsim.option_wording import (
    ORDER_WORDS,
    PART_WORDS,
    bar_needed_words,
    option_words,
    right_in_words,
    step_words,
    verdict_words,
)
from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.roll.contributions import ORDER, Stage, contributions
from rollsim.spring_check import AXLES
from rollsim.spring_options import OptionResult, best_option, right_in
from rollsim.tell.figures import Record, Row, record, rows, why_null
from rollsim.tell.kinds import LEAN_PER_G
from rollsim.tell.names import state_words
from rollsim.tell.of_bars import PART, SIZING
from rollsim.tell.of_springs import AXLE
from rollsim.tell.of_states import ADDED, STAGE
from rollsim.wording import part_words

Waterfalls = Mapping[str, Sequence[Stage]]
_SHOWN = (AXLE["ride_height_change"], AXLE["ride_frequency"])


def changes_table(cases: Waterfalls) -> tuple[str, ...]:
    """What each step from unladen to every load case adds."""
    blocks = []
    for case, stages in cases.items():
        added = contributions(stages)
        if not added:
            continue
        first, last = stages[0], stages[-1]
        steps = [
            ("unladen", first, STAGE),
            *((step_words(one.step), one, ADDED) for one in added),
            (state_words(case), last, STAGE),
        ]
        lines = [
            Row(words, tuple(figure.cell(of, METRIC) for figure in figures))
            for words, of, figures in steps
        ]
        body = side_by_side([one.label(METRIC, iso=False) for one in STAGE], lines)
        blocks += section(f"From unladen to {state_words(case)}, step by step", body)
    return (*blocks, paragraph(ORDER_WORDS)) if blocks else ()


def options_table(found: Sequence[OptionResult], units: ReaderUnits) -> tuple[str, ...]:
    """Spring options side by side, and the answer in one sentence; nothing without options."""
    if not found:
        return ()
    blocks = list(section("Spring options", paragraph(option_words(found, units))))
    blocks += section("Which stand right where", bullets(right_in_words(found, units)))
    for result in found:
        lines = [Row("verdict, front / rear", tuple(verdict_words(c) for c in result.checks))]
        for end in ("front", "rear"):
            axles = [getattr(check, end) for check in result.checks]
            lines += [Row(f"{end} {row.label}", row.cells) for row in rows(_SHOWN, axles, units)]
        leans = tuple(LEAN_PER_G.said(g, units) for g in result.roll_gradients)
        lines.append(Row("lean per g, mean of bends, deg/g", leans))
        table = side_by_side([state_words(check.name) for check in result.checks], lines)
        bar = paragraph(f"rear bar needed with it: {bar_needed_words(result, units)}", "  ")
        body = table if result.sizing is None else f"{table}\n{bar}"
        if result.part is not None:
            body = f"{body}\n{paragraph(part_words(result.part), '  ')}"
        blocks += section(f"With: {result.name}", body)
    return tuple(blocks)


def changes_record(cases: Waterfalls) -> Record:
    """What each step adds: "order" and "cases", each with "unladen", "steps" and "whole"."""
    return {
        "order": [PART_WORDS[part] for part in ORDER],
        "cases": {
            case: {
                "unladen": record(STAGE, stages[0]),
                "steps": [
                    {
                        "step": PART_WORDS[c.step.part],
                        "items": list(c.step.items),
                        **record(STAGE, c),
                    }
                    for c in contributions(stages)
                ],
                "whole": record(STAGE, stages[-1]),
            }
            for case, stages in cases.items()
        },
    }


def options_record(found: Sequence[OptionResult]) -> Record:
    """Spring options as JSON.

    "answer" and "best" (null without options), "right_in" by state, "options" by name.
    """
    best = best_option(found)
    return {
        "answer": option_words(found, METRIC) or None,
        "best": None if best is None else best.name,
        "right_in": {state: list(names) for state, names in right_in(found)},
        "options": {result.name: _option(result) for result in found},
    }


def null_notes(cases: Waterfalls, found: Sequence[OptionResult]) -> list[str]:
    """Why a figure of the changes or the options is null, a line each."""
    notes = [
        f"changes: {case}: secant_roll_gradient_deg_per_g is null where the vehicle tips before "
        "0.4 g, and so is what the steps to either side add"
        for case, stages in cases.items()
        if any(not math.isfinite(stage.secant_roll_gradient) for stage in stages)
    ]
    notes += [
        f"changes: {case}: tip_over_threshold_g is null: the path to tipping was not followed"
        for case, stages in cases.items()
        if any(not math.isfinite(stage.tip_over_threshold) for stage in stages)
    ]
    parts = [result.part for result in found if result.part is not None]
    notes += why_null(PART.values(), parts, " of a part")
    for result in found:
        if not all(math.isfinite(gradient) for gradient in result.roll_gradients):
            notes.append(
                f"options: {result.name}: roll_gradient_deg_per_g is null where the vehicle tips "
                "before the target's lateral acceleration or finds no rest"
            )
        if result.sizing is not None and not math.isfinite(result.sizing.required_roll_stiffness):
            notes.append(
                f"options: {result.name}: required_roll_stiffness_Nm_per_deg is null: no rear bar "
                "reaches the target"
            )
    return notes


def _option(result: OptionResult) -> Record:
    sizing = result.sizing
    bar = None
    if sizing is not None:
        bar = {
            **record((SIZING["required_roll_stiffness"],), sizing),
            "reachable": sizing.reachable,
            "section": None if sizing.choice is None else sizing.choice.section.label,
        }
    return {
        "states": {
            check.name: {
                "front": axle_record(check.front),
                "rear": axle_record(check.rear),
                "roll_gradient_deg_per_g": LEAN_PER_G.number(gradient),
                "over_rated_load": list(result.over_rated(check)),
            }
            for check, gradient in zip(result.checks, result.roll_gradients, strict=True)
        },
        "height_by": {
            end: None if known is None else known.value
            for end, known in zip(AXLES, result.height_by, strict=True)
        },
        "states_suited": result.suited,
        "rear_bar": bar,
        "part": None if result.part is None else part_record(result.part),
    }
