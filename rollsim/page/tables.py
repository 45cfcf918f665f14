"""The tables of the page, the shop's word before the ISO term, units in the headings."""

from collections.abc import Callable, Sequence

import pandas as pd

from rollsim.cautions import BAR_CAUTIONS, LAW, ROLL_CAUTIONS, STEADY_BEND
from rollsim.cli.layout import clean
from rollsim.cli.tables import RATING_WORDS, state_rows, state_words
from rollsim.page.answers import WITH_BAR, Answer, View
from rollsim.reader_units import METRIC, figure
from rollsim.roll import StateResult
from rollsim.sizing import Candidate
from rollsim.wording import caution_words, objection_words

WHEELS = ("front left, inner", "front right, outer", "rear left, inner", "rear right, outer")
INDENT = "\N{EM SPACE}"  # a plain space at the start of a cell is dropped by the browser
SHORT_CAUTIONS = 2


def states_table(found: Sequence[StateResult]) -> pd.DataFrame:
    """Figures of each state.

    Parameters
    ----------
    found : sequence of StateResult
        The columns.

    Returns
    -------
    pandas.DataFrame
        Text; units in the row labels.
    """
    rows = state_rows(found, METRIC)
    labels = [row.label.replace("  ", INDENT, 1) for row in rows]
    return pd.DataFrame(
        [row.cells for row in rows],
        index=pd.Index(labels, name=""),
        columns=[state_words(result.name) for result in found],
    )


def ratings_table(found: Sequence[StateResult]) -> pd.DataFrame:
    """Mass on every rating that is given.

    Parameters
    ----------
    found : sequence of StateResult
        The columns, with the same ratings.

    Returns
    -------
    pandas.DataFrame
        Text; no rows where no rating is given.
    """
    rows = {
        f"{RATING_WORDS[checks[0].name]}, at most {figure(checks[0].limit, METRIC.mass)} kg": [
            f"{figure(check.load, METRIC.mass)} kg{' OVER' if check.over else ''}"
            for check in checks
        ]
        for checks in zip(*(result.ratings for result in found), strict=True)
    }
    columns = [state_words(result.name) for result in found]
    table = pd.DataFrame.from_dict(rows, orient="index", columns=columns)
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
                f"{figure(check.load, METRIC.mass)} kg, allowed {figure(check.limit, METRIC.mass)} "
                f"kg: {figure(check.load - check.limit, METRIC.mass)} kg too much"
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
    lean = [figure(v.point.roll_angle, "deg") if v.point else "tipped" for v in shown]
    loads = [
        [figure(v.point.wheel_loads[n], METRIC.force) if v.point else "tipped" for v in shown]
        for n in range(len(WHEELS))
    ]
    return pd.DataFrame(
        [lean, *loads],
        index=pd.Index(["lean (roll angle), deg", *(f"{w}, N" for w in WHEELS)], name=""),
        columns=[view.title for view in shown],
    )


def accepted_table(candidates: Sequence[Candidate]) -> pd.DataFrame:
    """The accepted bars with all their figures.

    Parameters
    ----------
    candidates : sequence of Candidate
        All, in the order of their rank.

    Returns
    -------
    pandas.DataFrame
        Text; units in the headings; empty where none is accepted.
    """
    return _ranked(candidates, True, _costs)


def rejected_table(candidates: Sequence[Candidate]) -> pd.DataFrame:
    """The rejected bars with the reasons.

    Parameters
    ----------
    candidates : sequence of Candidate
        All, in the order of their rank.

    Returns
    -------
    pandas.DataFrame
        Text; units in the headings; empty where all are accepted.
    """
    return _ranked(candidates, False, _reasons)


def _ranked(
    candidates: Sequence[Candidate], accepted: bool, more: Callable[[Candidate], dict[str, str]]
) -> pd.DataFrame:
    rows = [
        {"rank": rank, **_what(candidate), **more(candidate)}
        for rank, candidate in enumerate(candidates, 1)
        if candidate.accepted is accepted
    ]
    return pd.DataFrame(rows).set_index("rank") if rows else pd.DataFrame()


def _what(c: Candidate) -> dict[str, str]:
    return {
        "bar": c.section.label,
        "arm, mm": figure(c.lever, "mm"),
        "lean, deg/g": figure(c.roll_gradient, "deg/g"),
    }


def _reasons(c: Candidate) -> dict[str, str]:
    return {
        "why not": clean("; ".join(objection_words(objection) for objection in c.objections)),
        "steel": c.steel.name,
    }


def _costs(c: Candidate) -> dict[str, str]:
    return {
        "safety factor": figure(c.safety_factor, ""),
        "front share, empty": figure(c.front_load_transfer_share, ""),
        "inner rear lifts, empty, g": figure(c.inner_rear_lift, "g"),
        "bar stiffness, N·m/deg": figure(c.roll_stiffness, "N·m/deg"),
        "at the link, N/mm": figure(c.link_end_rate, "N/mm"),
        "stress, MPa": figure(c.peak_stress, "MPa"),
        "flex lost, mm": figure(c.articulation_lost, "mm"),
        "mass, kg": figure(c.mass, "kg", 1),
        "steel": c.steel.name,
    }


def short_cautions(found: Answer) -> tuple[str, ...]:
    """The cautions that stay in sight: two that always hold, then those of this bar.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    tuple of str
        A sentence each.
    """
    if found.sizing is None:
        return (STEADY_BEND, LAW)
    own = tuple(c for c in caution_words(found.sizing, METRIC) if c not in BAR_CAUTIONS)
    return (*BAR_CAUTIONS[:SHORT_CAUTIONS], STEADY_BEND, *own)


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
    bar = () if found.sizing is None else caution_words(found.sizing, METRIC)
    return tuple(dict.fromkeys((*bar, *ROLL_CAUTIONS)))


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
