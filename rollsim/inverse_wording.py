"""How is the answer of an inverse question said: the amount, what it is against, what limits it."""

import math

from rollsim.mass import spoken
from rollsim.reader_units import ReaderUnits, figure, plain, rounded, with_unit
from rollsim.sizing.amounts import AmountKind, Subject
from rollsim.sizing.asked import Asked
from rollsim.sizing.inverse import Goal, Kept, Outcome, Seek

KEPT_WORDS = {
    Kept.ROLL_GRADIENT: "lean per g",
    Kept.LEAN: "lean",
    Kept.TIP_OVER: "tipping point",
    Kept.FIRST_LIFT: "first wheel lift",
    Kept.FRONT_LIFT: "front wheel lift",
    Kept.REAR_LIFT: "rear wheel lift",
}
TIPS = "tips first"
_DECIMALS = {"kg": 1}  # a load item is told finer than an axle


def amount_unit(kind: AmountKind, units: ReaderUnits) -> str:
    """Unit in which the reader wants an amount [kg, mm, N/mm, N·m/deg or the like]."""
    return {
        AmountKind.LOAD: units.mass,
        AmountKind.LIFT: units.length,
        AmountKind.SPRING_RATE: units.rate,
        AmountKind.FRONT_BAR: units.roll_stiffness,
    }[kind]


def kept_unit(kept: Kept) -> str:
    """Unit of what is limited [deg/g, deg or g]."""
    return {Kept.ROLL_GRADIENT: "deg/g", Kept.LEAN: "deg"}.get(kept, "g")


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
    name = KEPT_WORDS[goal.kept]
    if goal.kept.is_threshold:
        return name
    where = "straight ahead" if goal.at is None else f"{figure(goal.at, 'g', 3).rstrip('0')} g"
    return f"{name} at {where}"


def limit_words(goal: Goal) -> str:
    """The limit of a goal [deg/g, deg or g]."""
    which = "least" if goal.kept.is_threshold else "most"
    return f"at {which} {with_unit(goal.limit, kept_unit(goal.kept))}"


def value_words(goal: Goal, value: float) -> str:
    """What a goal limits, as a figure with its unit [deg/g, deg or g]; in words where it tips."""
    return TIPS if value == math.inf else with_unit(value, kept_unit(goal.kept))


def answer_words(asked: Asked, units: ReaderUnits) -> str:
    """The answer, in a sentence or a few: a most is rounded down, a least up."""
    answer, unit = asked.answer, amount_unit(asked.amount.kind, units)
    of, goals = subject_words(asked.subject), _goals(asked)
    least, most = (with_unit(x, unit) for x in (answer.least, answer.most))
    found = _rounded(answer.amount, unit, up=asked.seek is Seek.LEAST) if asked.then else ""
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
            begins = _rounded(answer.begins, unit, up=True)
            told = (
                f"From {begins} {of} on, up to {most}, the most that is looked at, keeps {goals}: "
                "it does not decide how much"
            )
        case Outcome.BETWEEN:
            begins = _rounded(answer.begins, unit, up=True)
            told = f"Only between {begins} and {found} {of} keeps {goals}"
        case Outcome.FULL_DROOP:
            told = (
                f"At most {found} {of}, which keeps {goals}: more would leave it standing at full "
                "droop"
            )
        case _:
            told = f"At {asked.seek.value} {found} {of}{_ends(asked, units)} keeps {goals}"
    against = _against(found, with_unit(asked.amount.now, unit, _DECIMALS.get(unit)))
    return " ".join((f"{told}; {against}.", *_more(asked, unit)))


def _rounded(value: float, unit: str, *, up: bool) -> str:
    return rounded(value, unit, _DECIMALS.get(unit), up=up)


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


def _more(asked: Asked, unit: str) -> tuple[str, ...]:
    """What ends it, and what else is to be known of it."""
    answer, told = asked.answer, []
    ends = [KEPT_WORDS[g.kept] for g, ends in zip(asked.goals, answer.decides, strict=True) if ends]
    if len(asked.goals) > 1 and ends:
        told.append(f"What ends it: the {' and the '.join(ends)}.")
    if asked.seek is Seek.LEAST and answer.ends < answer.most:
        told.append(f"More than {_rounded(answer.ends, unit, up=False)} does not keep it either.")
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
