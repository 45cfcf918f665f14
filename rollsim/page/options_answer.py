"""Which springs suit a vehicle that works loaded and plays empty? The options as a table."""

from collections.abc import Sequence

import pandas as pd

from rollsim.drawing.which_springs import SpringCell, SpringRow, which_springs
from rollsim.option_wording import bar_needed_words
from rollsim.reader_units import ReaderUnits, figure
from rollsim.spring_check import AXLES, SpringCheck, Verdict
from rollsim.spring_options import EMPTY, OptionResult
from rollsim.spring_wording import SHORT
from rollsim.tell.kinds import signed
from rollsim.tell.names import state_words
from rollsim.wording import part_words

NONE_GIVEN = (
    "No other springs are given. Add sets of springs on the page Vehicle, under Other springs, and "
    "they stand here side by side with the bar that each needs."
)

CAPTION = (
    "Framed: stands right, front and rear; hatched: does not, and why. Last line: ride height in "
    "front / behind, against as weighed."
)


def picture(found: Sequence[OptionResult], units: ReaderUnits) -> str:
    """Which stand right where, and how high."""
    return which_springs(
        [
            SpringRow(one.name, tuple(_cell(one, check, units) for check in one.checks))
            for one in found
        ]
    )


def _cell(one: OptionResult, check: SpringCheck, units: ReaderUnits) -> SpringCell:
    over, heights, wrong = one.over_rated(check), [], []
    for end in AXLES:
        axle = getattr(check, end)
        heights.append(signed(figure(axle.ride_height_change, units.length)))
        if end in over:
            wrong.append(f"{end} over rated")
        elif axle.verdict is not Verdict.SUITED:
            wrong.append(f"{end} {SHORT[axle.verdict].lower() if axle.verdict else 'no verdict'}")
    return SpringCell(
        "empty" if check.name == EMPTY else state_words(check.name),
        one.stands_right(check),
        ", ".join(wrong),
        f"{' / '.join(heights)} {units.length}",
    )


def options_table(found: Sequence[OptionResult], units: ReaderUnits) -> pd.DataFrame:
    """A row for each set of springs and state, as text; the springs as planned come first."""
    rows = []
    for one in found:
        for check, gradient in zip(one.checks, one.roll_gradients, strict=True):
            row = {"springs": one.name, "loaded": state_words(check.name)}
            for end in AXLES:
                axle = getattr(check, end)
                row[f"{end}"] = "no verdict" if axle.verdict is None else axle.verdict.value
                height = figure(axle.ride_height_change, units.length)
                row[f"{end} height, {units.length}"] = height
                row[f"{end}, Hz"] = figure(axle.ride_frequency, "")
            row["lean (mean of bends), deg/g"] = figure(gradient, "deg/g")
            rows.append(row)
    return pd.DataFrame(rows)


def bar_lines(found: Sequence[OptionResult], units: ReaderUnits) -> tuple[str, ...]:
    """The rear bar that each set of springs needs; none where no bar is to be sized."""
    return tuple(
        f"{one.name}: {bar_needed_words(one, units)}" for one in found if one.sizing is not None
    )


def part_lines(found: Sequence[OptionResult]) -> tuple[str, ...]:
    """Price and weeks of each that is from the shop's shelf."""
    return tuple(part_words(one.part) for one in found if one.part is not None)
