"""The tables of the page, the shop's word before the ISO term, units in the headings."""

import math
from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from rollsim import mass
from rollsim.cautions import BAR_CAUTIONS, FRAME_LEFT_OUT, IN_SIGHT, ROLL_CAUTIONS
from rollsim.page.answers import Answer, Bend, named
from rollsim.page.bars import as_if_chosen
from rollsim.page.pictures import WITH_BAR, View, outward
from rollsim.plots.lean_curves import distinct, twin
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure
from rollsim.roll import StateResult
from rollsim.roll.travel_left import travel_left
from rollsim.tell.figures import Figure, rows
from rollsim.tell.kinds import signed
from rollsim.tell.names import WHEELS, in_bend, state_words
from rollsim.tell.of_bars import BAR
from rollsim.tell.of_states import STATE, listed, of_the_tray
from rollsim.tell.of_swerve import SWERVE
from rollsim.tell.ratings import over_lines, rating_rows
from rollsim.wording import caution_words

NOW = "now"
_COMPARED = (
    *("inner_rear_lift", "inner_front_lift", "tip_over_threshold", "front_load_transfer_share"),
)


def states_table(found: Answer) -> pd.DataFrame:
    """Figures of each state, as it is now and with the bar.

    Text; units in the row labels; no as-weighed where it is one of the others.
    """
    shown = [(state_words(r.name), r) for r in distinct(found.before)]
    if found.after:
        shown = [
            (f"{title}, {word}", result)
            for title, now in shown
            for word, result in ((NOW, now), (WITH_BAR, named(found.after, now.name)))
        ]
    results = [result for _, result in shown]
    lines = rows((*listed(results), *SWERVE), results, found.units)
    return pd.DataFrame(
        [line.cells for line in lines],
        index=pd.Index([line.label for line in lines], name=""),
        columns=[title for title, _ in shown],
    )


def twin_words(found: Answer) -> str:
    """Why as-weighed has no column of its own; empty where it has one."""
    same = twin(found.before)
    if same is None:
        return ""
    return f'As weighed it is the same as "{state_words(same.name)}", and not shown twice.'


def ratings_table(found: Answer) -> pd.DataFrame:
    """Mass on every rating that is given, the bar included where there is one.

    No rows where no rating is given.
    """
    names = [result.name for result in distinct(found.before)]
    shown = [named(found.after or found.before, name).ratings for name in names]
    lines = {line.label: line.cells for line in rating_rows(shown, found.units)}
    table = pd.DataFrame.from_dict(lines, orient="index", columns=list(map(state_words, names)))
    return table.rename_axis("")


def over_ratings(found: Answer) -> tuple[str, ...]:
    """Every rating that is exceeded, a line each.

    A state with the bar only where the bar itself is too much.
    """
    now = {(r.name, c.name) for r in found.before for c in r.ratings if c.over}
    with_it = [
        (
            f"{state_words(r.name)}, {WITH_BAR}",
            [c for c in r.ratings if (r.name, c.name) not in now],
        )
        for r in found.after
    ]
    before = [(state_words(r.name), r.ratings) for r in found.before]
    return over_lines([*before, *with_it], found.units)


def compared_table(found: Answer, case: str) -> pd.DataFrame:
    """The emptiest state beside a loaded one, as each is now and with the bar.

    Text, "now → with the bar"; without a bar the figures alone. `case` is one of `choices`.
    """
    empty = found.before[0].name if found.sizing is None else found.sizing.emptiest
    names = tuple(dict.fromkeys((empty, case)))
    pairs = [
        (named(found.before, name), named(found.after, name) if found.after else None)
        for name in names
    ]
    tray = of_the_tray([one for pair in pairs for one in pair if one is not None])
    first = [STATE["secant_roll_gradient"], *tray]
    figures = [*(_in_bend(one, found.bend) for one in first), *(STATE[n] for n in _COMPARED)]
    lines = {
        one.label(found.units, iso=False): [_arrow(one, pair, found.units) for pair in pairs]
        for one in figures
    }
    lines |= _understeer_row(found, names)
    columns = [state_words(name) for name in names]
    table = pd.DataFrame.from_dict(lines, orient="index", columns=columns)
    return table.rename_axis("now → with the bar" if found.after else "")


def _in_bend(one: Figure, bend: Bend) -> Figure:
    """Lean per g at 0.4 g in a bend, as the command has it for left and right."""
    return one if bend is Bend.LEFT else replace(STATE[f"right_{one.name}"], words=one.words)


def _arrow(one: Figure, pair: tuple[StateResult, StateResult | None], units: ReaderUnits) -> str:
    now, then = pair
    said = one.cell(now, units)
    return said if then is None else f"{said} → {one.cell(then, units)}"


def _understeer_row(found: Answer, names: Sequence[str]) -> dict[str, list[str]]:
    """What the bar does to understeer, of the two states that it is known for."""
    if found.bar is None:
        return {}
    figures = {
        found.sizing.emptiest: BAR["understeer_change_emptiest"],
        found.sizing.case: BAR["understeer_change"],
    }
    cells = [
        figures[name].cell(found.bar, found.units) if name in figures else NO_FIGURE
        for name in names
    ]
    return {BAR["understeer_change"].label(found.units): cells}


def wheel_table(found: Answer, shown: Sequence[View]) -> pd.DataFrame:
    """Lean, wheel loads and rise at the wheel arches at one lateral acceleration.

    A column for each view, as text; "tipped" where there is no equilibrium.
    """
    force, length = found.units.force, found.units.length
    rows = {
        "lean (roll angle), deg": [
            figure(outward(v.point, v.bend), "deg") if v.point else _gone(v) for v in shown
        ]
    }
    for n, wheel in enumerate(in_bend(shown[0].bend.value)):
        rows[f"{wheel}, {force}"] = [
            figure(v.point.wheel_loads[n], force) if v.point else _gone(v) for v in shown
        ]
    for n, wheel in enumerate(in_bend(shown[0].bend.value)):
        rows[f"arch {wheel}, {length}"] = [
            signed(figure(v.point.arch_rise[n], length)) if v.point else _gone(v) for v in shown
        ]
    columns = [view.title for view in shown]
    return pd.DataFrame.from_dict(rows, orient="index", columns=columns).rename_axis("")


def travel_table(found: Answer, shown: Sequence[View]) -> pd.DataFrame:
    """Spring travel at each corner, and what is left to the stops.

    A block of rows for each view, as text; a dash where no stop is given, "in" where it is at work.
    """
    job, unit = found.scenario.job, found.units.length
    rows = []
    for view in shown:
        if view.point is None:
            continue
        travel = view.point.spring_travel
        left = [
            travel_left(axle, travel[2 * n : 2 * n + 2])
            for n, axle in enumerate(mass.axles(job, mass.named(job, view.result.name)))
        ]
        bump = (*left[0][0], *left[1][0])
        droop = (*left[0][1], *left[1][1])
        rows += [
            {
                "state": view.title,
                "wheel": wheel,
                f"spring, {unit}": signed(figure(travel[n], unit)),
                f"bump left, {unit}": _left(bump[n], unit),
                f"droop left, {unit}": _left(droop[n], unit),
            }
            for n, wheel in enumerate(WHEELS)
        ]
    return pd.DataFrame(rows)


def _left(value: float, unit: str) -> str:
    """Travel left at a stop; a stop at work is pressed by so much."""
    return f"in by {figure(-value, unit)}" if value < 0.0 else figure(value, unit)


def _gone(view: View) -> str:
    return "tipped" if math.isfinite(view.result.tip_over_threshold) else NO_FIGURE


def short_cautions(found: Answer) -> tuple[str, ...]:
    """The cautions that stay in sight: those that weigh most, then those of this bar."""
    every = all_cautions(found)
    own = [c for c in every if c not in (*BAR_CAUTIONS, *ROLL_CAUTIONS)]
    return (*(c for c in every if c in IN_SIGHT), *own)


def all_cautions(found: Answer) -> tuple[str, ...]:
    """Every caution, each once."""
    if found.sizing is None:
        return ROLL_CAUTIONS
    bar = caution_words(as_if_chosen(found), found.units)
    every = dict.fromkeys((ROLL_CAUTIONS[0], *bar, *ROLL_CAUTIONS))
    return tuple(caution for caution in every if caution != FRAME_LEFT_OUT)


def notes(found: Answer) -> tuple[str, ...]:
    """Notes on the input and on the states, those of several states told once."""
    where: dict[str, list[str]] = {}
    for result in found.before:
        for note in result.notes:
            where.setdefault(note, []).append(state_words(result.name))
    return (
        *found.scenario.notes,
        *(
            note if len(names) == len(found.before) else f"{', '.join(names)}: {note}"
            for note, names in where.items()
        ),
    )
