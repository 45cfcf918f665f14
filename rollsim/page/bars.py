"""What the page says of the bars: which there are, what the selected one does and costs."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import pandas as pd

from rollsim.cli.layout import clean
from rollsim.page.answers import Answer
from rollsim.reader_units import METRIC, figure
from rollsim.sizing import Candidate, Sizing
from rollsim.wording import bar_words, objection_words, worse_words

BAR = "bar"
RANKING = (
    "Ranked: accepted bars first, then by how near the lean per g comes to the target in whole "
    "per cent, then by the fewest objections, then by mass."
)


def default_rank(sizing: Sizing) -> int:
    """The bar to show first.

    Parameters
    ----------
    sizing : Sizing
        With at least one candidate.

    Returns
    -------
    int
        Place from 0: the choice; else the largest that passes the balance gate; else the nearest.
    """
    largest = None if sizing.gate is None else sizing.gate.largest_passing
    return 0 if sizing.choice or largest is None else sizing.candidates.index(largest)


def bar_names(sizing: Sizing) -> tuple[str, ...]:
    """Every bar in the order of its rank, the rejected ones marked.

    Parameters
    ----------
    sizing : Sizing
        The answer.

    Returns
    -------
    tuple of str
        Rank, section and hole [mm].
    """
    return tuple(
        f"{rank}: {_bar(c)} hole{'' if c.accepted else ' (not accepted)'}"
        for rank, c in enumerate(sizing.candidates, 1)
    )


def _bar(c: Candidate) -> str:
    return f"{c.section.label}, {figure(c.lever, 'mm')} mm"


def as_if_chosen(found: Answer) -> Sizing:
    """The sizing as if the selected bar were its choice, for what stands with that bar."""
    return replace(found.sizing, choice=found.bar, states=found.after)


def verdict(found: Answer) -> str:
    """What the selected bar is, and whether it is accepted.

    Parameters
    ----------
    found : Answer
        With a bar.

    Returns
    -------
    str
        Two sentences.
    """
    sizing, bar = found.sizing, found.bar
    what = (
        f"{bar_words(bar, METRIC)}: {figure(bar.roll_gradient, 'deg/g')} deg/g for the target of "
        f"{figure(sizing.target, 'deg/g')} deg/g, {figure(bar.roll_stiffness, 'N·m/deg')} N·m/deg, "
        f"{figure(bar.link_end_rate, 'N/mm')} N/mm at the link, stress "
        f"{figure(bar.peak_stress, 'MPa')} MPa, safety factor {figure(bar.safety_factor, '')}."
    )
    if bar == sizing.choice:
        return f"The choice. {what}"
    if bar.accepted:
        return f"Accepted, but not the choice. {what}"
    reasons = "; ".join(objection_words(objection) for objection in bar.objections)
    return f"NOT ACCEPTED: {reasons}. {what}"


def costs(found: Answer) -> tuple[str, ...]:
    """What gets worse with the selected bar.

    Parameters
    ----------
    found : Answer
        With a bar.

    Returns
    -------
    tuple of str
        An item each, as the command words them.
    """
    return worse_words(as_if_chosen(found), found.before, METRIC)


def accepted_table(candidates: Sequence[Candidate]) -> pd.DataFrame:
    """The accepted bars with the figures that decide between them.

    Parameters
    ----------
    candidates : sequence of Candidate
        All, in the order of their rank.

    Returns
    -------
    pandas.DataFrame
        Text; units in the headings; empty where none is accepted.
    """
    return _ranked(candidates, True, _figures)


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
    several = len({c.steel.name for c in candidates}) > 1
    return pd.DataFrame(
        {BAR: f"{rank}: {_bar(c)}", **more(c), **({"steel": c.steel.name} if several else {})}
        for rank, c in enumerate(candidates, 1)
        if c.accepted is accepted
    )


def _reasons(c: Candidate) -> dict[str, str]:
    return {
        "why not": clean("; ".join(objection_words(objection) for objection in c.objections)),
        "lean, deg/g": figure(c.roll_gradient, "deg/g"),
    }


def _figures(c: Candidate) -> dict[str, str]:
    return {
        "safety factor": figure(c.safety_factor, ""),
        "lean, deg/g": figure(c.roll_gradient, "deg/g"),
        "front share, empty": figure(c.front_load_transfer_share, ""),
        "inner rear lifts, empty, g": figure(c.inner_rear_lift, "g"),
        "flex lost, mm": figure(c.articulation_lost, "mm"),
        "mass, kg": figure(c.mass, "kg", 1),
    }
