"""What `rollsim solve` prints, as text or as JSON."""

import math
from dataclasses import dataclass
from pathlib import Path

from rollsim.cautions import ROLL_CAUTIONS
from rollsim.cli.layout import paragraph, side_by_side, unbroken
from rollsim.cli.records import rating_record
from rollsim.cli.tables import closing, heading, of_states, over_ratings, rated
from rollsim.inverse_wording import (
    TIPS,
    amount_unit,
    answer_words,
    goal_name,
    kept_unit,
    limit_words,
)
from rollsim.mass import not_checked
from rollsim.reader_units import METRIC, ReaderUnits, figure, with_unit
from rollsim.scenario import Scenario
from rollsim.sentences import sentence
from rollsim.sizing.amounts import AmountKind
from rollsim.sizing.asked import Asked
from rollsim.sizing.inverse import Goal, Outcome
from rollsim.tell.figures import Record, Row
from rollsim.tell.kinds import number
from rollsim.tell.names import state_words
from rollsim.tell.ratings import rating_rows
from rollsim.tolerance import Band

_KEY_UNITS = {"deg/g": "deg_per_g", "N/mm": "N_per_mm", "N·m/deg": "Nm_per_deg"}


@dataclass(frozen=True, slots=True)
class Done:
    """What was done besides answering.

    The band is that of nine cases in ten [unit of the amount]; `why_no_band` tells why there is
    none, where it was asked for.
    """

    output: Path | None = None
    written: bool = False
    band: Band | None = None
    why_no_band: str = ""


def solve_report(scenario: Scenario, asked: Asked, done: Done, *, units: ReaderUnits) -> str:
    """What `rollsim solve` prints."""
    over = () if asked.then is None else over_ratings(of_states([asked.then]), units)
    blocks = [
        heading(scenario, f"how much, {state_words(asked.case)}"),
        *over,
        paragraph(answer_words(asked, units)),
    ]
    blocks += _band_block(asked, done, units)
    if done.written:
        blocks.append(unbroken(f"{done.output}", "Written, with the answer in it: "))
    elif done.output is not None:
        blocks.append("Nothing was written: the conditions do not decide how much.")
    blocks += [
        side_by_side(*_figures(asked, units), corner="limits"),
        rated(scenario.job, _ratings(asked, units)),
        *closing(scenario, (), ROLL_CAUTIONS),
        *over,
    ]
    return "\n\n".join(block for block in blocks if block)


def _band_block(asked: Asked, done: Done, units: ReaderUnits) -> tuple[str, ...]:
    if done.why_no_band:
        return (paragraph(sentence(done.why_no_band)),)
    if done.band is None:
        return ()
    unit = amount_unit(asked.amount.kind, units)
    ends = f"{figure(done.band.low, unit)} to {with_unit(done.band.high, unit)}"
    return (paragraph(f"With the tolerances of the inputs, nine cases of ten: {ends}."),)


def _figures(asked: Asked, units: ReaderUnits) -> tuple[list[str], list[Row]]:
    """What each limit is set to, by amount."""
    answer, unit = asked.answer, amount_unit(asked.amount.kind, units)
    columns = [
        (f"with {with_unit(answer.least, unit)}", answer.with_least),
        (f"now, {with_unit(asked.amount.now, unit)}", answer.with_now),
        ("with the answer", answer.with_answer),
        (f"with {with_unit(answer.most, unit)}", answer.with_most),
    ]
    rows = [
        Row(
            f"{goal_name(goal)}, {limit_words(goal)}",
            tuple(_cell(goal, values[n]) for _, values in columns),
        )
        for n, goal in enumerate(asked.goals)
    ]
    return [title for title, _ in columns], rows


def _cell(goal: Goal, value: float) -> str:
    return TIPS if value == math.inf else figure(value, kept_unit(goal.kept))


def _ratings(asked: Asked, units: ReaderUnits) -> str:
    """What is on every rating now and with the answer."""
    states = [one for one in (asked.now, asked.then) if one is not None]
    rows = rating_rows([one.ratings for one in states], units)
    titles = ("now", "with the answer")[: len(states)]
    return side_by_side(titles, rows, corner=f"ratings, {units.mass}") if rows else ""


def solve_record(scenario: Scenario, asked: Asked, done: Done, *, what: str) -> Record:
    """What `rollsim solve --json` prints; `what` was asked for, as it was written.

    What has no value is null, with a reason in "notes".
    """
    answer, unit = asked.answer, amount_unit(asked.amount.kind, METRIC)
    key = _KEY_UNITS.get(unit, unit)
    amounts = {
        "amount": answer.amount,
        "now": asked.amount.now,
        "change": answer.amount - asked.amount.now,
        "begins": answer.begins,
        "ends": answer.ends,
        "least_looked_at": answer.least,
        "most_looked_at": answer.most,
    }
    record: Record = {
        "what": what,
        "seek": asked.seek.value,
        "state": asked.case,
        "outcome": answer.outcome.name.lower(),
        "sentence": answer_words(asked, METRIC),
        **{f"{name}_{key}": number(value, unit) for name, value in amounts.items()},
    }
    if asked.amount.kind is AmountKind.LIFT:
        for end, share in zip(("front", "rear"), asked.subject.shape, strict=True):
            record[f"{end}_lift_mm"] = number(share * answer.amount, "mm") if share else None
    if done.band or done.why_no_band:
        ends = done.band and [number(end, unit) for end in (done.band.low, done.band.high)]
        record[f"amount_band_{key}"] = ends
    checks = () if asked.then is None else asked.then.ratings
    return {
        **record,
        "conditions": [_condition(asked, n) for n in range(len(asked.goals))],
        "kept_again_by_more": answer.again,
        "no_droop_left_at_rest": answer.out_of_droop,
        "held_by_full_droop": answer.held_by_droop,
        "ratings": [rating_record(check) for check in checks],
        "ratings_not_checked": list(not_checked(scenario.job)),
        "written": str(done.output) if done.written else None,
        "cautions": list(ROLL_CAUTIONS),
        "assumed": list(scenario.assumed),
        "measured": list(scenario.measured),
        "notes": [*scenario.notes, *_notes(asked, done, key)],
    }


def _condition(asked: Asked, n: int) -> Record:
    goal, answer = asked.goals[n], asked.answer
    unit = kept_unit(goal.kept)
    values = {
        "limit": goal.limit,
        "with_answer": answer.with_answer[n],
        "now": answer.with_now[n],
        "with_least": answer.with_least[n],
        "with_most": answer.with_most[n],
    }
    at = math.nan if goal.at is None or goal.kept.is_threshold else goal.at
    return {
        "quantity": goal_name(goal),
        "relation": ">=" if goal.kept.is_threshold else "<=",
        "at_g": number(at, "g"),
        **{f"{name}_{_KEY_UNITS.get(unit, unit)}": number(v, unit) for name, v in values.items()},
        "decides": answer.decides[n],
    }


def _notes(asked: Asked, done: Done, key: str) -> list[str]:
    """Why a figure is null."""
    answer, found = asked.answer, []
    if done.why_no_band:
        found.append(f"amount_band_{key} is null: {done.why_no_band}")
    if not done.written:
        why = "not asked for" if done.output is None else "the conditions do not decide the amount"
        found.append(f"written is null: {why}")
    if answer.outcome is Outcome.NONE:
        found.append(
            f"amount_{key}, change_{key}, begins_{key}, ends_{key} and with_answer are null, and "
            "ratings empty: no amount that was looked at keeps the conditions"
        )
    elif not answer.is_decided:
        found.append(
            f"amount_{key} is as far as is looked: the conditions do not decide it, and nothing is "
            "written"
        )
    if any(g.at is None or g.kept.is_threshold for g in asked.goals):
        found.append("at_g is null where a figure is at straight ahead or is itself one in g")
    shown = (answer.with_least, answer.with_now, answer.with_most)
    if not all(math.isfinite(value) for values in shown for value in values):
        found.append(
            "with_least, now or with_most is null where the vehicle tips before that acceleration "
            "or the path to tipping was not resolved"
        )
    if asked.amount.kind is AmountKind.LIFT and 0.0 in asked.subject.shape:
        found.append("front_lift_mm or rear_lift_mm is null where that axle keeps its own lift")
    if answer.unresolved:
        found.append("some amounts could not be computed and count as not keeping the conditions")
    return found
