"""What a sizing comes to, for the first screen: the answer, the limit, what would help."""

from datetime import datetime
from enum import Enum

import pandas as pd
import streamlit as st

from rollsim.cautions import is_lifted
from rollsim.cli import version_shown
from rollsim.drawing import png
from rollsim.page import record_here
from rollsim.page.answers import Answer, droop_is_assumed, harder_bend
from rollsim.reader_units import figure, in_units, with_unit
from rollsim.remedies import Remedy, helps_not_counted, what_else_helps
from rollsim.roll.travel_left import at_full_droop
from rollsim.scenario import Scenario, Source
from rollsim.scenario.assumed import to_look_at
from rollsim.sentences import assumed_words
from rollsim.sheet import job_sheet, picture_to_send, work_out
from rollsim.sheet.work import Work
from rollsim.sizing import Sizing
from rollsim.tell.names import state_words
from rollsim.vehicle import STANDARD_GRAVITY
from rollsim.wording import answer_words, condition_words

HOW_SURE = "How sure is this, and what to measure first"
DROOP_AT = 0.4 * STANDARD_GRAVITY


class Outcome(Enum):
    """What the sizing comes to, which decides what the page shows first."""

    NO_BAR = "no bar to size"
    FITS = "a bar is chosen"
    COSTS_BALANCE = "a bar is chosen, and the empty vehicle's rear gives up grip first"
    NOTHING = "there is nothing to bring back"
    NONE = "no bar on the list does it"


def headline(found: Answer, doubt: str = "") -> tuple[str, ...]:
    """The answer, its first paragraph the one that matters most.

    The choice of bar with its `doubt`, or why there is none; without a bar to size, the lean before
    and after.
    """
    if found.sizing is not None:
        assumed = found.scenario.assumed_of_rear
        return answer_words(found.sizing, found.units, assumed=assumed, doubt=doubt)
    unladen, most = found.before[0], max(found.before[2:], key=lambda r: r.roll_gradient)
    return (
        f'"{state_words(most.name)}" leans {figure(most.roll_gradient, "deg/g")} deg/g, unladen '
        f"{figure(unladen.roll_gradient, 'deg/g')} deg/g.",
        "No bar is sized yet, because the shape that a new rear bar may have is not known. Begin "
        "with one that is usual for the class: it is marked as assumed, and each measure of it can "
        "be changed under Target, load case, bar.",
    )


def leading(found: Answer) -> int:
    """How many paragraphs of the headline stand in bold [-]: condition or verdict, and bar."""
    sizing = found.sizing
    two = sizing is not None and (condition_words(sizing) or outcome(found) is Outcome.NONE)
    return 2 if two else 1


def outcome(found: Answer) -> Outcome:
    """What the sizing comes to."""
    sizing = found.sizing
    if sizing is None:
        return Outcome.NO_BAR
    if sizing.nothing_to_bring_back:
        return Outcome.NOTHING
    if sizing.choice is None:
        return Outcome.NONE
    return Outcome.COSTS_BALANCE if sizing.takes_front_below_its_weight else Outcome.FITS


def outcome_table(found: Answer) -> pd.DataFrame:
    """What stands first where no bar is chosen: what is wanted, what is, and what can be had.

    Text, a figure with its unit a row; no rows but where a bar is wanted and none does it.
    """
    sizing = found.sizing
    if outcome(found) is not Outcome.NONE:
        return pd.DataFrame()
    rows = [("lean per g wanted", sizing.target), ("as it is now", sizing.present)]
    if not sizing.reachable:
        rows.append(("the least, however stiff the bar", sizing.limit))
    if sizing.best is not None:
        rows.append(("with the best bar on the list", sizing.best.roll_gradient))
    shown = [(label, with_unit(value, "deg/g")) for label, value in rows]
    return pd.DataFrame(shown, columns=["what", "figure"]).set_index("what")


def helps_of(found: Answer, source: Source) -> tuple[Remedy, ...]:
    """What else would help; it takes seconds, and is counted once for each text."""
    return _helps(source, found.scenario, found.sizing)


@st.cache_data(max_entries=32, show_spinner="Counting what else would help …")
def _helps(source: Source, _scenario: Scenario, _sizing: Sizing) -> tuple[Remedy, ...]:
    return what_else_helps(source, _scenario, _sizing)


def not_counted(found: Answer, source: Source) -> tuple[str, ...]:
    """What could help and was not counted, a sentence each."""
    return helps_not_counted(source, found.scenario)


def job_sheet_of(found: Answer, source: Source) -> str:
    """The job sheet of the bar that is shown; of no bar where none is chosen.

    HTML, dated today.
    """
    helps = helps_of(found, source) if outcome(found) is Outcome.NONE else ()
    work = _work_of(found, helps)
    now = datetime.now()
    return job_sheet(
        work,
        source,
        day=now.date(),
        version=version_shown(),
        units=found.units,
        shop=record_here.said(),
        time=now.time().isoformat("seconds"),
    )


def picture_of(found: Answer) -> bytes:
    """The picture for the owner, of the bar that is shown: PNG."""
    return png(picture_to_send(_work_of(found), found.units))


def _work_of(found: Answer, helps: tuple[Remedy, ...] = ()) -> Work:
    rank, sizing = None, found.sizing
    if sizing is not None and sizing.choice is not None:
        rank = sizing.candidates.index(found.bar) + 1
    return work_out(found.scenario, rank=rank, helps=helps)


def remarks(found: Answer) -> tuple[str, ...]:
    """What belongs right under the answer: the bar replaced, which bend, how much is assumed."""
    assumed, sizing = found.scenario.assumed, found.sizing
    lines = [*_with_itself(found), *_held_by_droop(found)]
    if sizing is not None and sizing.replaces and not sizing.nothing_to_bring_back:
        lines.append(f"The new bar replaces: {in_units(sizing.replaces, found.units)}.")
    if sizing is not None and harder_bend(found) is not None:
        lines.append("Left and right bends differ: target and bar are the mean of both.")
    lines += to_look_at(assumed)
    if found.scenario.assumed_of_rear:
        lines.append(
            f"Provisional: {assumed_words(len(assumed))}, and listed below. "
            f'Which to measure first stands under "{HOW_SURE}".'
        )
    return tuple(lines)


def _with_itself(found: Answer) -> tuple[str, ...]:
    """Nothing is on it that could come off: there is nothing to bring the lean back to."""
    job = found.scenario.job
    if job.loads or is_lifted(job.change) or not job.target.is_unladen:
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
    measure = " Full droop is assumed here: measure it." if assumed else ""
    return (
        f'In "{state_words(case.name)}" the inner wheels hang at full droop in a bend of 0.4 g: '
        "that holds the body and makes the lean look small, takes grip off and lifts the inner "
        f"wheel sooner. It is no cure for lean.{measure}",
    )
