"""How is the answer of an inverse question said: the amount, what it is against, what limits it."""

import math
from collections.abc import Callable, Sequence

from rollsim.mass import spoken
from rollsim.reader_units import COARSE, METRIC, NO_FIGURE, ReaderUnits, coarse, plain, rounded
from rollsim.sizing.amounts import AmountKind, Subject
from rollsim.sizing.asked import Asked
from rollsim.sizing.inverse import Goal, Outcome, Seek
from rollsim.tell.kinds import FINE_ACCELERATION, Kind
from rollsim.tell.of_solve import AMOUNT_KINDS, LIMITED, TIPS, amounts
from rollsim.wording import of_the_vehicle, provisional


def subject_words(subject: Subject) -> str:
    """What was asked for, after an amount [of the reader]: "of front bar"."""
    match subject.kind:
        case AmountKind.LOAD if len(subject.items) == 1:
            return f'of "{subject.items[0]}"'
        case AmountKind.LOAD:
            return "on the roof"
        case AmountKind.LIFT:
            ends = [
                end for end, share in zip(("front", "rear"), subject.shape, strict=True) if share
            ]
            return f"of {ends[0]} lift" if len(ends) == 1 else "of lift"
        case AmountKind.SPRING_RATE:
            return f"of {('front', 'rear')[subject.axle]} spring rate"
        case AmountKind.FRONT_BAR:
            return "of front bar"


def goal_name(goal: Goal) -> str:
    """What a goal limits, with the lateral acceleration it is for [g]."""
    name, _ = LIMITED[goal.kept]
    if goal.kept.is_threshold:
        return name
    if goal.at is None:
        return f"{name} at straight ahead"
    return f"{name} at {FINE_ACCELERATION.said(goal.at, METRIC).rstrip('0')} g"


def limit_words(goal: Goal) -> str:
    """The limit of a goal [deg/g, deg or g]."""
    which = "least" if goal.kept.is_threshold else "most"
    return f"at {which} {_limited(goal, goal.limit)}"


def value_words(goal: Goal, value: float) -> str:
    """What a goal limits, as a figure with its unit [deg/g, deg or g]; in words where it tips."""
    return TIPS if value == math.inf else _limited(goal, value)


def _limited(goal: Goal, value: float) -> str:
    _, kind = LIMITED[goal.kept]
    return kind.with_unit(value, METRIC)  # deg/g, deg and g are everybody's


def answer_words(asked: Asked, units: ReaderUnits, assumed: Sequence[str] = ()) -> str:
    """The answer, in a sentence or a few: a most is rounded down, a least up.

    By what is `assumed` of the vehicle it is provisional, and a mass no finer than that.
    """
    return provisional(_answer_words(asked, units, assumed), of_the_vehicle(assumed))


def _answer_words(asked: Asked, units: ReaderUnits, assumed: Sequence[str]) -> str:
    answer, kind = asked.answer, AMOUNT_KINDS[asked.amount.kind]
    of, goals = subject_words(asked.subject), _goals(asked)
    figures, values = amounts(asked)
    said = {one.name: one.with_unit(values, units) for one in figures}
    least, most = said["least"], said["most"]
    is_coarse = asked.amount.kind is AmountKind.LOAD and bool(of_the_vehicle(assumed))
    tell = _coarse if is_coarse else _rounded
    begins = tell(answer.begins, kind, units, up=True)
    found = tell(answer.amount, kind, units, up=asked.seek is Seek.LEAST)
    match answer.outcome:
        case Outcome.NONE:
            return _none_words(asked, least, most)
        case Outcome.ALL:
            told = f"Even {most} {of}, the most that is looked at, keeps {goals}"
        case Outcome.NOTHING_NEEDED if answer.least == 0.0:
            told = f"None {of} is needed: it keeps {goals} without"
        case Outcome.NOTHING_NEEDED:
            told = f"Even {least} {of}, the least that is looked at, keeps {goals}"
        case Outcome.BETWEEN if not answer.is_decided:
            told = (
                f"From {begins} {of} on, up to {most}, the most that is looked at, keeps {goals}: "
                "it does not decide how much"
            )
        case Outcome.BETWEEN:
            told = f"Only between {begins} and {found} {of} keeps {goals}"
        case Outcome.FULL_DROOP:
            told = (
                f"At most {found} {of}, which keeps {goals}: more would leave it standing at full "
                "droop"
            )
        case _:
            told = f"At {asked.seek.value} {found} {of}{_ends(asked, units)} keeps {goals}"
    exact = ""
    if is_coarse and answer.is_decided:
        exact = (
            f"Told to {COARSE[units.mass]} {units.mass}, since values are assumed; tables count "
            f"with {said['amount']}."
        )
    more = filter(None, (exact, *_more(asked, units, tell)))
    return " ".join((f"{told}; {_against(found, said['now'])}.", *more))


def _coarse(value: float, kind: Kind, units: ReaderUnits, *, up: bool) -> str:
    return NO_FIGURE if math.isnan(value) else coarse(value, kind.unit_for(units), up=up)


def _rounded(value: float, kind: Kind, units: ReaderUnits, *, up: bool) -> str:
    if math.isnan(value):
        return NO_FIGURE
    return rounded(value, kind.unit_for(units), kind.decimals, up=up)


def _goals(asked: Asked) -> str:
    limits = " and ".join(f"a {goal_name(goal)} of {limit_words(goal)}" for goal in asked.goals)
    return f'"{spoken(asked.case)}" to {limits}'


def _ends(asked: Asked, units: ReaderUnits) -> str:
    """Both lifts, where they differ."""
    shape, up = asked.subject.shape, asked.seek is Seek.LEAST
    if asked.amount.kind is not AmountKind.LIFT or 0.0 in shape or shape[0] == shape[1]:
        return ""
    both = [rounded(share * asked.answer.amount, units.length, up=up) for share in shape]
    return f" (front {both[0]}, rear {both[1]})"


def _against(found: str, now: str) -> str:
    """How much one figure with its unit is against what the file has now, as the reader adds up."""
    (figure_found, unit), (figure_now, _) = found.split(), now.split()
    decimals = len(figure_found.partition(".")[2])
    change = float(figure_found) - float(figure_now)
    difference = plain(abs(change), decimals)
    if not float(difference):
        return f"the file has as much, {now}"
    return f"that is {difference} {unit} {'more' if change > 0.0 else 'less'} than now ({now})"


def _more(asked: Asked, units: ReaderUnits, tell: Callable[..., str]) -> tuple[str, ...]:
    """What ends it, and what else is to be known of it."""
    answer, told = asked.answer, []
    ends = [LIMITED[g.kept][0] for g, ends in zip(asked.goals, answer.decides, strict=True) if ends]
    if len(asked.goals) > 1 and ends:
        told.append(f"What ends it: the {' and the '.join(ends)}.")
    if asked.seek is Seek.LEAST and answer.ends < answer.most:
        ends_at = tell(answer.ends, AMOUNT_KINDS[asked.amount.kind], units, up=False)
        told.append(f"More than {ends_at} does not keep it either.")
    if answer.again:
        told.append("Some greater amounts keep it again; those between do not.")
    if answer.held_by_droop:
        told.append(
            "With it an inner spring is at full droop in that bend, which holds the body: the lean "
            "that is kept says little of the lift."
        )
    if answer.unresolved:
        told.append("Some amounts could not be computed and count as not keeping it.")
    return tuple(told)


def _none_words(asked: Asked, least: str, most: str) -> str:
    """Why no amount does."""
    answer, of = asked.answer, subject_words(asked.subject)
    ends = [
        f"{goal_name(goal)}: with {least} {value_words(goal, low)}, with {most} "
        f"{value_words(goal, high)}"
        for goal, low, high in zip(asked.goals, answer.with_least, answer.with_most, strict=True)
    ]
    broken = any(g.excess(v) > 0.0 for g, v in zip(asked.goals, answer.with_least, strict=True))
    start = (
        f"Already not met with none {of}, nor with any amount up to {most}"
        if asked.seek is Seek.MOST and answer.least == 0.0 and broken
        else f"Never met from {least} to {most} {of}, all that is looked at"
    )
    return f"{start}: nothing {of} keeps {_goals(asked)} ({'; '.join(ends)})."
