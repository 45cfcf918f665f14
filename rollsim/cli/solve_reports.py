"""What `rollsim solve` prints, as text or as JSON."""

import math
from dataclasses import dataclass
from pathlib import Path

from rollsim.cautions import ROLL_CAUTIONS
from rollsim.cli.layout import paragraph, side_by_side, unbroken
from rollsim.cli.records import rating_record
from rollsim.cli.tables import closing, heading, of_states, over_ratings, rated
from rollsim.inverse_wording import answer_words, goal_name, limit_words
from rollsim.mass import not_checked
from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.scenario import Scenario
from rollsim.sentences import sentence
from rollsim.sizing.amounts import AmountKind
from rollsim.sizing.asked import Asked
from rollsim.sizing.inverse import Outcome
from rollsim.tell.figures import Record, Row, record, why_null
from rollsim.tell.kinds import ACCELERATION, LENGTH
from rollsim.tell.names import state_words
from rollsim.tell.of_solve import AMOUNT_KINDS, amounts, limits
from rollsim.tell.ratings import rating_rows
from rollsim.tolerance import Band

_BY_AMOUNT = {"least": "with_least", "now": "now", "amount": "with_answer", "most": "with_most"}
"""Which figure of a limit belongs to which amount, as the table has them side by side."""


@dataclass(frozen=True, slots=True)
class Done:
    """What was done besides answering.

    The band is that of nine cases in ten [unit of the amount]; `why_no_band` tells why there is
    none, where it was asked for; `shop` is how well the shop's predictions came true.
    """

    output: Path | None = None
    written: bool = False
    band: Band | None = None
    why_no_band: str = ""
    shop: str = ""


def solve_report(scenario: Scenario, asked: Asked, done: Done, *, units: ReaderUnits) -> str:
    """What `rollsim solve` prints."""
    over = () if asked.then is None else over_ratings(of_states([asked.then]), units)
    blocks = [
        heading(scenario, f"how much, {state_words(asked.case)}"),
        *over,
        paragraph(answer_words(asked, units, scenario.assumed)),
    ]
    blocks += [*_band_block(asked, done, units), paragraph(done.shop)]
    if done.written:
        blocks.append(unbroken(f"{done.output}", "Written, with the answer in it: "))
    elif done.output is not None:
        blocks.append("Nothing was written: the conditions do not decide how much.")
    blocks += [
        side_by_side(*_figures(asked, units), corner="limits"),
        rated(scenario.job, _ratings(asked, units)),
        *closing(scenario, (), ROLL_CAUTIONS, units=units),
        *over,
    ]
    return "\n\n".join(block for block in blocks if block)


def _band_block(asked: Asked, done: Done, units: ReaderUnits) -> tuple[str, ...]:
    if done.why_no_band:
        return (paragraph(sentence(done.why_no_band)),)
    if done.band is None:
        return ()
    kind = AMOUNT_KINDS[asked.amount.kind]
    ends = f"{kind.said(done.band.low, units)} to {kind.with_unit(done.band.high, units)}"
    return (paragraph(f"With the tolerances of the inputs, nine cases of ten: {ends}."),)


def _figures(asked: Asked, units: ReaderUnits) -> tuple[list[str], list[Row]]:
    """What each limit is set to, by amount."""
    found, values = amounts(asked)
    of = {one.name: one for one in found}
    titles = [
        of[name].words if name in ("now", "amount") else f"with {of[name].with_unit(values, units)}"
        for name in _BY_AMOUNT
    ]
    rows = []
    for goal, (figures, limited) in zip(asked.goals, limits(asked), strict=True):
        cells = {one.name: one.cell(limited, units) for one in figures}
        label = f"{goal_name(goal)}, {limit_words(goal)}"
        rows.append(Row(label, tuple(cells[name] for name in _BY_AMOUNT.values())))
    return titles, rows


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
    answer, kind = asked.answer, AMOUNT_KINDS[asked.amount.kind]
    told: Record = {
        "what": what,
        "seek": asked.seek.value,
        "state": asked.case,
        "outcome": answer.outcome.name.lower(),
        "sentence": answer_words(asked, METRIC, scenario.assumed),
        **record(*amounts(asked)),
    }
    if asked.amount.kind is AmountKind.LIFT:
        for end, share in zip(("front", "rear"), asked.subject.shape, strict=True):
            told[f"{end}_lift_mm"] = LENGTH.number(share * answer.amount) if share else None
    if done.band or done.why_no_band:
        ends = done.band and [kind.number(end) for end in (done.band.low, done.band.high)]
        told[f"amount_band_{kind.key}"] = ends
    checks = () if asked.then is None else asked.then.ratings
    return {
        **told,
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
        "notes": [*scenario.notes, *_notes(asked, done)],
    }


def _condition(asked: Asked, n: int) -> Record:
    goal, (figures, limited) = asked.goals[n], limits(asked)[n]
    at = math.nan if goal.at is None or goal.kept.is_threshold else goal.at
    return {
        "quantity": goal_name(goal),
        "relation": ">=" if goal.kept.is_threshold else "<=",
        "at_g": ACCELERATION.number(at),
        **record(figures, limited),
        "decides": asked.answer.decides[n],
    }


def _notes(asked: Asked, done: Done) -> list[str]:
    """Why a figure is null."""
    answer, found = asked.answer, []
    if done.why_no_band:
        key = AMOUNT_KINDS[asked.amount.kind].key
        found.append(f"amount_band_{key} is null: {done.why_no_band}")
    if done.shop:
        found.append(done.shop)
    if not done.written:
        why = "not asked for" if done.output is None else "the conditions do not decide the amount"
        found.append(f"written is null: {why}")
    figures, values = amounts(asked)
    found += why_null(figures, [values])
    for each, limited in limits(asked):
        found += why_null(each, [limited])
    if answer.outcome is Outcome.NONE:
        found.append("ratings is empty: there is no answer to weigh")
    elif not answer.is_decided:
        amount = figures[0].key
        found.append(
            f"{amount} is as far as is looked: the conditions do not decide it, and nothing is "
            "written"
        )
    if any(g.at is None or g.kept.is_threshold for g in asked.goals):
        found.append("at_g is null where a figure is at straight ahead or is itself one in g")
    if asked.amount.kind is AmountKind.LIFT and 0.0 in asked.subject.shape:
        found.append("front_lift_mm or rear_lift_mm is null where that axle keeps its own lift")
    if answer.unresolved:
        found.append("some amounts could not be computed and count as not keeping the conditions")
    return list(dict.fromkeys(found))  # two limits of one kind have the same reason
