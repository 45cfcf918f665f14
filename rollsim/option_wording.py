"""How are spring options and what each change adds said in words? For command and page."""

import math
from collections.abc import Sequence

from rollsim.mass import spoken
from rollsim.reader_units import ReaderUnits, figure
from rollsim.roll.contributions import ORDER, Part, Step
from rollsim.spring_check import AXLES, SpringCheck
from rollsim.spring_options import (
    AS_PLANNED,
    HeightBy,
    OptionResult,
    best_option,
    not_rated,
    right_in,
)
from rollsim.spring_wording import SHORT, reason_words
from rollsim.tell.kinds import signed

PART_WORDS = {
    Part.ROOF_LOADS: "load on the roof",
    Part.OTHER_LOADS: "other load",
    Part.SUSPENSION_LIFT: "suspension lift",
    Part.BODY_LIFT: "body lift",
    Part.TYRES: "other tyre radius",
    Part.WHEEL_OFFSET: "wheel offset (track)",
    Part.SPRINGS: "other springs",
    Part.FRONT_BAR: "other front anti-roll bar",
}
ORDER_WORDS = (
    "Switched on in this order: "
    + ", ".join(PART_WORDS[part] for part in ORDER)
    + ". What a step adds depends on what is on already; the steps add up to the whole. Lean is "
    "that of a left bend, the tipping point that of the worse one."
)


def step_words(step: Step) -> str:
    """What is switched on, with the names of load items but not their masses.

    Examples
    --------
    >>> step_words(Step(Part.ROOF_LOADS, ("tent",)))
    'load on the roof (tent)'
    """
    names = f" ({', '.join(step.items)})" if step.items else ""
    return f"{PART_WORDS[step.part]}{names}"


def option_words(found: Sequence[OptionResult], units: ReaderUnits) -> str:
    """Which springs go with the weight in most states, and what they cost.

    One sentence; empty where there is no option.
    """
    best = best_option(found)
    if best is None:
        return ""
    planned, count = found[0], len(best.checks)
    if best.suited == 0:
        start = f"None is suited in any of {count} states; nearest is {_quoted(best)}"
    elif best is planned:
        start = (
            f"No option is suited in more states than the {AS_PLANNED}, {best.suited} of {count}"
        )
    else:
        start = (
            f"{_quoted(best)} comes out best: suited in {best.suited} of {count} states "
            f"({AS_PLANNED}: {planned.suited})"
        )
    return "; ".join([start, *_costs(best, planned, units)]) + "."


def right_in_words(found: Sequence[OptionResult], units: ReaderUnits) -> tuple[str, ...]:
    """Which springs stand right in each state, a line each, then in all of them or the compromise.

    Nothing without options.
    """
    best = best_option(found)
    if best is None:
        return ()
    lines = [
        f'"{spoken(state)}": ' + (", ".join(map(_named, names)) if names else "none stands right")
        for state, names in right_in(found)
    ]
    lines += _height_words(found, units)
    if unknown := not_rated(found):
        lines.append(f"rated load not given, so not judged: {', '.join(map(_named, unknown))}")
    every = [one.name for one in found if one.suited == len(one.checks)]
    if every:
        return (*lines, f"right in all of them: {', '.join(map(_named, every))}")
    wrong = [check for check in best.checks if not best.stands_right(check)]
    if not best.suited:
        return tuple(lines)
    told = [f'in "{spoken(check.name)}" {_why_not(best, check, units)}' for check in wrong]
    return (*lines, f"no set is right in all; the compromise is {_quoted(best)}: {'; '.join(told)}")


def _height_words(found: Sequence[OptionResult], units: ReaderUnits) -> list[str]:
    """How each stands against the springs as in the file, and where nobody said how high."""
    lines, planned = [], found[0]
    for one in found[1:]:
        for end, known in zip(AXLES, one.height_by, strict=True):
            if known in (None, HeightBy.AS_WEIGHED):
                continue
            higher = [
                getattr(check, end).ride_height_change - getattr(was, end).ride_height_change
                for check, was in zip(one.checks, planned.checks, strict=True)
            ]
            told = ", ".join(
                f'{signed(figure(more, units.length))} {units.length} in "{spoken(check.name)}"'
                for more, check in zip(higher, one.checks, strict=True)
            )
            lines.append(
                f"{_named(one.name)} stands, {end}, by {known.value}, against the {AS_PLANNED}: "
                f"{told}"
            )
    unknown = [_named(one.name) for one in found[1:] if HeightBy.AS_WEIGHED in one.height_by]
    if unknown:
        lines.append(
            "no load, nor free_height with the axle's spring_height, so taken to carry the load as "
            f"weighed at the height as weighed: {', '.join(unknown)}"
        )
    return lines


def _named(name: str) -> str:
    return name if name == AS_PLANNED else f'"{name}"'


def _why_not(result: OptionResult, check: SpringCheck, units: ReaderUnits) -> str:
    """What speaks against an option in a state, axle by axle; empty where nothing does."""
    over = result.over_rated(check)
    why = []
    for end, rated in zip(AXLES, result.rated, strict=True):
        axle = getattr(check, end)
        if axle.findings or axle.verdict is None:
            why.append(f"{end} {reason_words(axle, units)}")
        if end in over:
            loads = (figure(x, units.force) for x in (axle.spring_load, rated))
            why.append(f"{end} spring {' of '.join(loads)} {units.force} that it is rated for")
    return " and ".join(why)


def verdict_words(check: SpringCheck) -> str:
    """Both axles' verdicts, front then rear [-]."""
    axles = (check.front, check.rear)
    return " / ".join("unsettled" if a.verdict is None else SHORT[a.verdict] for a in axles)


def bar_needed_words(result: OptionResult, units: ReaderUnits) -> str:
    """The rear bar that goes with an option, its stiffness and the one chosen, in a few words."""
    if result.sizing is None:
        return "no bar to be sized"
    needed = result.sizing.required_roll_stiffness
    if result.sizing.nothing_to_bring_back:
        return "nothing to bring back"
    if not math.isfinite(needed):
        return "no bar reaches the target"
    choice = result.sizing.choice
    fits = "none accepted" if choice is None else choice.section.label
    return f"{figure(needed, units.roll_stiffness)} {units.roll_stiffness}: {fits}"


def _quoted(result: OptionResult) -> str:
    return AS_PLANNED if result.name == AS_PLANNED else f'"{result.name}"'


def _costs(best: OptionResult, planned: OptionResult, units: ReaderUnits) -> list[str]:
    """Where it is not suited, what it does to the lean, and the bar that it needs."""
    costs = []
    for check in best.checks:
        if why := _why_not(best, check, units):
            costs.append(f'in "{spoken(check.name)}" {why}')
    if best is not planned:
        leans = [
            f'{figure(was, "deg/g")} to {figure(now, "deg/g")} deg/g in "{spoken(check.name)}"'
            for check, was, now in zip(
                best.checks, planned.roll_gradients, best.roll_gradients, strict=True
            )
        ]
        costs.append(f"lean per g goes from {', '.join(leans)}")
    if best.sizing is not None:
        costs.append(f"rear bar with it: {bar_needed_words(best, units)}")
    return costs
