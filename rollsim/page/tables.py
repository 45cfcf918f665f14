"""The tables of the page, the shop's word before the ISO term, units in the headings."""

import math
from collections.abc import Sequence

import pandas as pd

from rollsim.cautions import BAR_CAUTIONS, ROLL_CAUTIONS
from rollsim.cli.tables import RATING_WORDS, state_rows, state_words
from rollsim.page.answers import Answer, distinct, named, twin
from rollsim.page.bars import as_if_chosen
from rollsim.page.pictures import WITH_BAR, View, outward
from rollsim.reader_units import METRIC, NO_FIGURE, figure
from rollsim.wording import caution_words

WHEELS = ("front left", "front right", "rear left", "rear right")
INDENT = "\N{EM SPACE}"  # a plain space at the start of a cell is dropped by the browser
NOW = "now"
IN_SIGHT = (
    "Mass up high raises the risk of rollover",
    "Empty and in the wet the rear lets go earlier",
    "Whether the stability control copes",
    "Figures are for a steady, level, untripped bend",
    "Local codes and a licensed engineer decide",
)


def states_table(found: Answer) -> pd.DataFrame:
    """Figures of each state, as it is now and with the bar.

    Parameters
    ----------
    found : Answer
        For one bar and bend.

    Returns
    -------
    pandas.DataFrame
        Text; units in the row labels; no as-weighed where it is one of the others.
    """
    shown = [(state_words(r.name), r) for r in distinct(found.before)]
    if found.after:
        shown = [
            (f"{title}, {word}", result)
            for title, now in shown
            for word, result in ((NOW, now), (WITH_BAR, named(found.after, now.name)))
        ]
    rows = state_rows([result for _, result in shown], METRIC)
    labels = [row.label.replace("  ", INDENT, 1) for row in rows]
    return pd.DataFrame(
        [row.cells for row in rows],
        index=pd.Index(labels, name=""),
        columns=[title for title, _ in shown],
    )


def twin_words(found: Answer) -> str:
    """Why as-weighed has no column of its own; empty where it has one."""
    same = twin(found.before)
    if same is None:
        return ""
    return f"As weighed is the same as {state_words(same.name)}, and not shown twice."


def ratings_table(found: Answer) -> pd.DataFrame:
    """Mass on every rating that is given, the bar included where there is one.

    Parameters
    ----------
    found : Answer
        For one bar.

    Returns
    -------
    pandas.DataFrame
        Text; no rows where no rating is given.
    """
    names = [result.name for result in distinct(found.before)]
    shown = [named(found.after or found.before, name) for name in names]
    rows = {
        f"{RATING_WORDS[checks[0].name]}, at most {figure(checks[0].limit, METRIC.mass)} kg": [
            f"{figure(check.load, METRIC.mass)} kg{' OVER' if check.over else ''}"
            for check in checks
        ]
        for checks in zip(*(result.ratings for result in shown), strict=True)
    }
    table = pd.DataFrame.from_dict(
        rows, orient="index", columns=[state_words(name) for name in names]
    )
    return table.rename_axis("")


def over_ratings(found: Answer) -> tuple[str, ...]:
    """Every rating that is exceeded, a line each.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    tuple of str
        Empty where nothing is over; a state with the bar only where the bar itself is too much.
    """
    now = {(r.name, c.name) for r in found.before for c in r.ratings if c.over}
    lines = []
    for suffix, states in (("", found.before), (f", {WITH_BAR}", found.after)):
        for result in states:
            lines += [
                f"{state_words(result.name)}{suffix}: {RATING_WORDS[check.name]} "
                f"{figure(check.load, METRIC.mass, 1)} kg, allowed "
                f"{figure(check.limit, METRIC.mass, 1)} kg: "
                f"{figure(check.load - check.limit, METRIC.mass, 1)} kg too much"
                for check in result.ratings
                if check.over and not (suffix and (result.name, check.name) in now)
            ]
    return tuple(lines)


def wheel_table(shown: Sequence[View]) -> pd.DataFrame:
    """Lean and wheel loads at one lateral acceleration.

    Parameters
    ----------
    shown : sequence of View
        The columns.

    Returns
    -------
    pandas.DataFrame
        Text; "tipped" where there is no equilibrium.
    """
    inner = shown[0].bend.value
    names = [f"{w}, {'inner' if inner in w else 'outer'}, N" for w in WHEELS]
    lean = [figure(outward(v.point, v.bend), "deg") if v.point else _gone(v) for v in shown]
    loads = [
        [figure(v.point.wheel_loads[n], METRIC.force) if v.point else _gone(v) for v in shown]
        for n in range(len(WHEELS))
    ]
    return pd.DataFrame(
        [lean, *loads],
        index=pd.Index(["lean (roll angle), deg", *names], name=""),
        columns=[view.title for view in shown],
    )


def _gone(view: View) -> str:
    return "tipped" if math.isfinite(view.result.tip_over_threshold) else NO_FIGURE


def short_cautions(found: Answer) -> tuple[str, ...]:
    """The cautions that stay in sight: those that weigh most, then those of this bar.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    tuple of str
        A sentence each.
    """
    every = all_cautions(found)
    own = [c for c in every if c not in (*BAR_CAUTIONS, *ROLL_CAUTIONS)]
    return (*(c for c in every if c.startswith(IN_SIGHT)), *own)


def all_cautions(found: Answer) -> tuple[str, ...]:
    """Every caution, each once.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    tuple of str
        A sentence each.
    """
    bar = () if found.sizing is None else caution_words(as_if_chosen(found), METRIC)
    return tuple(dict.fromkeys((ROLL_CAUTIONS[0], *bar, *ROLL_CAUTIONS)))


def notes(found: Answer) -> tuple[str, ...]:
    """Notes on the input and on the states, those of several states told once.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    tuple of str
        A sentence each.
    """
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
