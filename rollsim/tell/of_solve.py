"""The figures of an inverse question, declared once: amounts by what is asked for, and limits."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from rollsim.reader_units import NO_FIGURE
from rollsim.sizing.amounts import AmountKind
from rollsim.sizing.asked import Asked
from rollsim.sizing.inverse import Kept
from rollsim.tell.figures import Figure
from rollsim.tell.kinds import (
    ACCELERATION,
    LEAN,
    LEAN_PER_G,
    LENGTH,
    PART_MASS,
    RATE,
    ROLL_STIFFNESS,
)

TIPS = "tips first"
AMOUNT_KINDS = {
    AmountKind.LOAD: PART_MASS,
    AmountKind.LIFT: LENGTH,
    AmountKind.SPRING_RATE: RATE,
    AmountKind.FRONT_BAR: ROLL_STIFFNESS,
}
LIMITED = {
    Kept.ROLL_GRADIENT: ("lean per g", LEAN_PER_G),
    Kept.LEAN: ("lean", LEAN),
    Kept.TIP_OVER: ("tipping point", ACCELERATION),
    Kept.FIRST_LIFT: ("first wheel lift", ACCELERATION),
    Kept.FRONT_LIFT: ("front wheel lift", ACCELERATION),
    Kept.REAR_LIFT: ("rear wheel lift", ACCELERATION),
}
_NO_AMOUNT = "no amount that was looked at keeps the conditions"
_NOT_STANDING = "the vehicle tips before that acceleration, or the path to tipping was not resolved"


@dataclass(frozen=True, slots=True)
class Amounts:
    """What was looked at and found, in the SI unit of its kind; NaN has no value."""

    amount: float
    now: float
    change: float
    begins: float
    ends: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Limited:
    """A limit, and what is limited by the amounts that were looked at [SI]."""

    limit: float
    with_least: float
    now: float
    with_answer: float
    with_most: float


def amounts(asked: Asked) -> tuple[tuple[Figure, ...], Amounts]:
    """The figures of the amounts, and their values."""
    kind, answer, now = AMOUNT_KINDS[asked.amount.kind], asked.answer, asked.amount.now
    end = replace(kind, decimals=None)  # round figures of ours
    figures = tuple(
        Figure(name, f"{key}_{kind.key}", words, of, why=why)
        for name, key, words, of, why in (
            ("amount", "amount", "with the answer", kind, _NO_AMOUNT),
            ("now", "now", "now", kind, ""),
            ("change", "change", "more than now", kind, _NO_AMOUNT),
            ("begins", "begins", "enough from", kind, _NO_AMOUNT),
            ("ends", "ends", "enough up to", kind, _NO_AMOUNT),
            ("least", "least_looked_at", "with the least looked at", end, ""),
            ("most", "most_looked_at", "with the most looked at", end, ""),
        )
    )
    change = answer.amount - now
    values = Amounts(
        answer.amount, now, change, answer.begins, answer.ends, answer.least, answer.most
    )
    return figures, values


def limits(asked: Asked) -> tuple[tuple[tuple[Figure, ...], Limited], ...]:
    """For each goal the figures of what it limits, and their values."""
    answer, found = asked.answer, []
    for n, goal in enumerate(asked.goals):
        words, kind = LIMITED[goal.kept]
        figures = tuple(
            Figure(name, f"{name}_{kind.key}", words, kind, why=why, instead=_in_words(name))
            for name, why in (
                ("limit", ""),
                ("with_least", _NOT_STANDING),
                ("now", _NOT_STANDING),
                ("with_answer", _NO_AMOUNT),
                ("with_most", _NOT_STANDING),
            )
        )
        values = (answer.with_least, answer.with_now, answer.with_answer, answer.with_most)
        found.append((figures, Limited(goal.limit, *(each[n] for each in values))))
    return tuple(found)


def _in_words(name: str) -> Callable[[object], str]:
    """What a table says where there is no figure: it tips before, or it was not resolved."""
    return lambda limited: TIPS if getattr(limited, name) == math.inf else NO_FIGURE
