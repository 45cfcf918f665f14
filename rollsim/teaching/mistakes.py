"""Usual wrong answers to "how much does it lean per g?", recognised by the figure they give.

One slip at a time: two made together are not looked for. Their figures lie so close to one
another and to the right one that they would be named where nobody made them.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import Enum

from rollsim.teaching.hand import HandAxle, HandNumbers, solve

CLOSE = 0.02  # share within which an answer counts as the same figure


class Mistake(Enum):
    """A usual slip; the value is what is said to the apprentice."""

    TRACK_FOR_SPRING_BASE = (
        "Track taken for spring base: the springs of a solid axle stand closer than its wheels, "
        "and the distance counts squared, (t/b)²."
    )
    TYRES_FORGOTTEN = (
        "Tyres forgotten: the suspension stands on them, so they give way too (in series)."
    )
    ONE_SPRING = "One spring counted: there are two on each axle, which makes k·b²/2, not k·b²/4."
    HELPER_LEFT_OUT = (
        "Helper left out: under this load the springs stand where the helper leaves (second stage) "
        "work, and their rate counts too."
    )
    GRAVITY_LEFT_OUT = (
        "Gravity term left out: once the body leans, its weight leans it further. Take W·d off "
        "the stiffness."
    )
    RADIANS = "Degrees for radians: this figure is in radians per g. Times 57.3 makes degrees."
    DEGREES_IN_GRAVITY = (
        "Degrees and radians mixed: W·d was taken off a stiffness per degree. Bring K to N·m/rad "
        "first."
    )
    PER_METRE = "Per m/s², not per g: times 9.81."
    HEIGHT_FOR_ARM = (
        "Height above ground taken for the arm: the body leans about the roll axis, so only the "
        "height above that counts."
    )
    END_TO_END = (
        "End-to-end rate of the bar taken for its rate per end: end to end reads half, so the bar "
        "came out half as stiff."
    )
    AXLE_LEAN = (
        "The axle's own lean left out: what acts at roll centre and wheel height also leans the "
        "axle on its tyres."
    )
    SIGN = (
        "Sign turned round: the size is right. The body leans out of the bend, and that lean "
        "counts as positive."
    )


class Outcome(Enum):
    """What an answer turned out to be."""

    RIGHT = "right"
    MISTAKE = "a known mistake"
    NEITHER = "neither"


@dataclass(frozen=True, slots=True)
class Verdict:
    """An answer, judged.

    The mistakes are those that give this figure, the nearest first; `ratio` is the answer over the
    right figure [-].
    """

    outcome: Outcome
    mistakes: tuple[Mistake, ...]
    ratio: float


def figures(numbers: HandNumbers) -> dict[Mistake, float]:
    """The roll gradient that each mistake would give [rad/(m/s²)].

    A mistake is left out where the vehicle has nothing to mistake, or where no figure comes out.
    Two slips made together are not among them.
    """
    found, g = solve(numbers), numbers.gravity
    pushes = found.moment + found.passed_on
    high = found.weight * numbers.cg_height
    given = {
        Mistake.TRACK_FOR_SPRING_BASE: _gradient(numbers, lambda a: replace(a, spring_base=a.track))
        if any(a.solid for a in numbers.axles)
        else math.nan,
        Mistake.TYRES_FORGOTTEN: _gradient(numbers, lambda a: replace(a, tyre_rate=math.inf)),
        Mistake.ONE_SPRING: _gradient(numbers, lambda a: a.with_springs(0.5)),
        Mistake.HELPER_LEFT_OUT: _gradient(
            numbers, lambda a: replace(a, spring_rate=a.rate_as_weighed, one_sided=None)
        ),
        Mistake.GRAVITY_LEFT_OUT: pushes / found.stiffness / g,
        Mistake.RADIANS: math.radians(found.roll_gradient),
        Mistake.DEGREES_IN_GRAVITY: math.radians(
            pushes / (math.radians(found.stiffness) - found.moment) / g
        ),
        Mistake.PER_METRE: found.roll_gradient / g,
        Mistake.HEIGHT_FOR_ARM: (high + found.passed_on) / (found.stiffness - high) / g,
        Mistake.END_TO_END: _gradient(
            numbers, lambda a: replace(a, bar_stiffness=a.bar_stiffness / 2)
        ),
        Mistake.AXLE_LEAN: found.moment / found.net_stiffness / g,
        Mistake.SIGN: -found.roll_gradient if found.roll_gradient > 0.0 else math.nan,
    }
    right = found.roll_gradient
    return {m: x for m, x in given.items() if math.isfinite(x) and not math.isclose(x, right)}


def half_last_digit(answer: float) -> float:
    """By how much rounding may have moved an answer: half of its last typed digit, in its unit.

    Examples
    --------
    >>> half_last_digit(0.13), half_last_digit(7.5)
    (0.005, 0.05)
    """
    return 0.5 * 10.0 ** Decimal(repr(answer)).as_tuple().exponent


def judge(
    answer: float,
    right: float,
    mistakes: Mapping[Mistake, float],
    *,
    within: float = CLOSE,
    rounded_by: float = 0.0,
) -> Verdict:
    """Say what an answer is.

    `answer`, `right` and the figures of `mistakes`, as from `figures`, share one unit, whichever it
    is. They count as the same within the share `within` [-], or within `rounded_by` in their unit,
    as from `half_last_digit`: in 0.13 the last digit is worth more than that share. Right goes
    first, then every mistake that gives this figure, the nearest first.

    Examples
    --------
    >>> known = {Mistake.ONE_SPRING: 11.0, Mistake.GRAVITY_LEFT_OUT: 4.6}
    >>> judge(4.55, 5.2, known).mistakes
    (<Mistake.GRAVITY_LEFT_OUT: 'Gravity term left out: once the body leans, its weight leans it \
further. Take W·d off the stiffness.'>,)
    >>> judge(5.15, 5.2, known).outcome.value, judge(8.0, 5.2, known).outcome.value
    ('right', 'neither')
    """
    room = min(rounded_by, 0.5 * abs(answer))  # an answer of 0 is the rounding of no figure

    def is_it(figure: float) -> bool:
        return abs(answer - figure) <= max(within * abs(figure), room)

    ratio = answer / right
    if is_it(right):
        return Verdict(Outcome.RIGHT, (), ratio)
    met = (m for m, figure in mistakes.items() if is_it(figure))
    near = tuple(sorted(met, key=lambda m: abs(answer - mistakes[m])))
    return Verdict(Outcome.MISTAKE if near else Outcome.NEITHER, near, ratio)


def _gradient(numbers: HandNumbers, slip: Callable[[HandAxle], HandAxle]) -> float:
    wrong = replace(numbers, front=slip(numbers.front), rear=slip(numbers.rear))
    return solve(wrong).roll_gradient
