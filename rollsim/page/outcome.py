"""What a sizing comes to, for the first screen: the answer, the limit, what would help."""

import math
from datetime import date
from enum import Enum

import pandas as pd

from rollsim.cautions import is_lifted
from rollsim.cli import version_shown
from rollsim.cli.tables import state_words
from rollsim.page.answers import Answer, droop_is_assumed, harder_bend
from rollsim.reader_units import figure
from rollsim.roll.travel_left import at_full_droop
from rollsim.scenario import Source
from rollsim.sheet import job_sheet, work_out
from rollsim.vehicle import STANDARD_GRAVITY
from rollsim.wording import bar_words, choice_words, gate_words, help_words

DROOP_AT = 0.4 * STANDARD_GRAVITY
MEASURE_FIRST = {  # keys that move the lean most, and how to get them
    "vehicle.cg_height": "CG height (lift one axle on the scales)",
    "rear.spring": "rear spring rate (add a known mass, tape hub to arch)",
    "rear.spring_base": "rear spring base (tape between the springs)",
    "front.spring": "front spring rate",
}


class Outcome(Enum):
    """What the sizing comes to, which decides what the page shows first."""

    NO_BAR = "no bar to size"
    FITS = "a bar is chosen"
    NOT_NEEDED = "no bar is needed"
    GATE = "the balance gate binds"
    BEYOND = "no bar can do it"
    NONE_AT_HAND = "none of the bars at hand does it"


def headline(found: Answer) -> str:
    """The answer in one sentence.

    Parameters
    ----------
    found : Answer
        For any bar.

    Returns
    -------
    str
        The choice of bar, or why there is none; without a bar to size, the lean before and after.
    """
    if found.sizing is not None:
        words = choice_words(found.sizing, found.units)
        return f"Provisional: {words}" if found.scenario.assumed else words
    unladen, most = found.before[0], max(found.before[2:], key=lambda r: r.roll_gradient)
    return (
        f'No bar to size: the scenario has no [rear_bar]. "{state_words(most.name)}" leans '
        f"{figure(most.roll_gradient, 'deg/g')} deg/g, unladen "
        f"{figure(unladen.roll_gradient, 'deg/g')} deg/g."
    )


def outcome(found: Answer) -> Outcome:
    """What the sizing comes to.

    Parameters
    ----------
    found : Answer
        For any bar.

    Returns
    -------
    Outcome
        One of six.
    """
    sizing = found.sizing
    if sizing is None:
        return Outcome.NO_BAR
    if sizing.choice is not None:
        return Outcome.FITS
    if sizing.required_roll_stiffness == 0.0:
        return Outcome.NOT_NEEDED
    if sizing.required_roll_stiffness == math.inf:
        return Outcome.BEYOND
    return Outcome.NONE_AT_HAND if sizing.gate is None else Outcome.GATE


def outcome_table(found: Answer) -> pd.DataFrame:
    """What stands first where no bar is chosen: what is wanted, what is, and what can be had.

    Parameters
    ----------
    found : Answer
        For any bar.

    Returns
    -------
    pandas.DataFrame
        Text, a figure with its unit a row; no rows where a bar is chosen or none is to be sized.
    """
    which, sizing = outcome(found), found.sizing
    if which in (Outcome.NO_BAR, Outcome.FITS):
        return pd.DataFrame()
    rows = [("lean per g wanted", sizing.target), ("as it is now", sizing.present)]
    if which is Outcome.BEYOND:
        rows.append(("the least, however stiff the bar", sizing.limit))
    elif which is Outcome.NOT_NEEDED:
        rows.append(("without any rear bar", sizing.bare))
    elif sizing.gate is not None and sizing.gate.largest_passing is not None:
        rows.append(("largest bar that passes", sizing.gate.largest_passing.roll_gradient))
    shown = [(label, f"{figure(value, 'deg/g')} deg/g") for label, value in rows]
    if sizing.gate is not None:
        limits, gate = found.scenario.job.limits, sizing.gate
        fall = f"{gate.share_drop:.2f}, at most {limits.front_share_drop:.2f}"
        lift = f"{figure(gate.inner_rear_lift, 'g')} g, at least "
        lift += f"{figure(limits.inner_rear_lift, 'g')} g"
        shown.append(("empty, front share falls by", fall))
        if gate.lifts_early:
            shown.append(("empty, inner rear wheel lifts", lift))
    return pd.DataFrame(shown, columns=["what", "figure"]).set_index("what")


def gate_says(found: Answer) -> str:
    """What the balance gate says; empty where it does not bind."""
    return "" if found.sizing is None else gate_words(found.sizing, found.units)


def helps(found: Answer) -> tuple[str, tuple[str, ...]]:
    """What else would help, in figures.

    Parameters
    ----------
    found : Answer
        For any bar.

    Returns
    -------
    tuple of str and tuple of str
        What it is counted with, and a sentence for each measure; both empty where a bar is chosen.
    """
    sizing = found.sizing
    if sizing is None or sizing.help_bar is None:
        return "", ()
    with_bar = bar_words(sizing.help_bar, found.units)
    kept = f"the target kept at {figure(sizing.target, 'deg/g')} deg/g"
    return (
        f"What else would help, counted with {with_bar} fitted and {kept}:",
        tuple(_sentence(help_words(help_, found.units)) for help_ in sizing.helps),
    )


def job_sheet_of(found: Answer, source: Source) -> str:
    """The job sheet of the bar that is shown; of no bar where none is chosen.

    Parameters
    ----------
    found : Answer
        For any bar.
    source : Source
        The scenario as text.

    Returns
    -------
    str
        HTML, dated today.
    """
    rank, sizing = None, found.sizing
    if sizing is not None and sizing.choice is not None:
        rank = sizing.candidates.index(found.bar) + 1
    work = work_out(found.scenario, rank=rank)
    today = date.today()
    return job_sheet(work, source, day=today, version=version_shown(), units=found.units)


def remarks(found: Answer) -> tuple[str, ...]:
    """What belongs right under the answer: the bar replaced, which bend, how much is assumed.

    Parameters
    ----------
    found : Answer
        For any bar.

    Returns
    -------
    tuple of str
        Sentences.
    """
    assumed, sizing = found.scenario.assumed, found.sizing
    lines = [*_with_itself(found), *_held_by_droop(found)]
    if sizing is not None and sizing.replaces:
        lines.append(f"The new bar replaces: {sizing.replaces}.")
    if sizing is not None and harder_bend(found) is not None:
        lines.append(
            "The load is off centre: target and bar are the mean of a left and a right bend."
        )
    if assumed:
        first = [words for key, words in MEASURE_FIRST.items() if _is_assumed(assumed, key)]
        firm = f" Measure first: {', '.join(first)}." if first else ""
        lines.append(
            f"Provisional: {len(assumed)} values are assumed, not measured, and listed below.{firm}"
        )
    return tuple(lines)


def _with_itself(found: Answer) -> tuple[str, ...]:
    """Nothing is on it that could come off: there is nothing to bring the lean back to."""
    job = found.scenario.job
    if job.loads or is_lifted(job.change) or job.target.roll_gradient is not None:
        return ()
    return (
        "No load and no lift is named, so the vehicle is held against itself: name what is on it, "
        "under Start with my vehicle or as load items on the page Vehicle.",
    )


def _held_by_droop(found: Answer) -> tuple[str, ...]:
    """Wheels that hang at full droop hold the body: less lean, and no gain."""
    if found.sizing is None:
        return ()
    job = found.scenario.job
    case = next(r for r in found.before if r.name == found.sizing.case)
    if not at_full_droop(job, case, DROOP_AT) or at_full_droop(job, found.before[0], DROOP_AT):
        return ()
    assumed = droop_is_assumed(found.scenario)
    measure = " Full droop is assumed here: measure it first." if assumed else ""
    return (
        f'In "{state_words(case.name)}" the inner wheels hang at full droop in a bend of 0.4 g: '
        "that holds the body and makes the lean look small, takes grip off and lifts the inner "
        f"wheel sooner. It is no cure for lean.{measure}",
    )


def _is_assumed(assumed: tuple[str, ...], key: str) -> bool:
    return any(line.startswith((f"{key} ", f"{key}.")) for line in assumed)


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."
