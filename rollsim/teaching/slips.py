"""Usual slips in a working, recognised by the figure that they give.

One slip at a time: two made together are not looked for. Their figures lie so close to one
another and to the right one that they would be named where nobody made them.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import Enum

from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.teaching.board import Board, Of, Part
from rollsim.teaching.hand import HandAxle, HandNumbers, solve
from rollsim.units import to_unit

CLOSE = 0.02  # share within which an answer counts as the same figure
APART = 0.01  # share by which another slip's figure has to lie further off, for one to be named
TWICE = 2.0  # so many times as far off
MEASURED_AT = 0.4  # g, at which the working also gives the lean


class Slip(Enum):
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
    RADIANS = "Degrees for radians: this figure is in radians. Times 57.3 makes degrees."
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
    LIFT_FORGOTTEN = (
        "Lift forgotten: lift and larger tyres raise the CG more than the roll axis, and the arm "
        "grows."
    )
    WHOLE_MASS = (
        "Whole mass taken for the mass on the springs: wheels, tyres and axles do not lean on "
        "the springs, so take the unsprung masses off."
    )
    WHOLE_HEIGHT = (
        "CG height of the whole vehicle taken for that of what sits on the springs: wheels and "
        "axles are low, so the sprung CG stands higher."
    )
    BAR_FORGOTTEN = "Bar forgotten: the anti-roll bar stands beside the springs, so add it."
    HALF_FORGOTTEN = (
        "½ forgotten: two springs at half the distance from the middle make k·b²/2, not k·b²."
    )
    NOT_SQUARED = (
        "Distance not squared: further apart, a spring goes down further for the same lean and "
        "also pushes at a longer arm, so b (the track on independent suspension) counts twice."
    )
    AT_MEASURED = "Lean at 0.4 g, not per g: divide by 0.4."
    SIGN = (
        "Sign turned round: the size is right. The body leans out of the bend, and that lean "
        "counts as positive."
    )
    NO_GAP = "Gap forgotten: the helper works only on the travel past its gap."
    WHOLE_AXLE = "Load of the whole axle on one spring: there are two, and each carries half."
    ONLY_THE_LOAD = (
        "Offset of the load taken for that of all that sits on the springs: share it out by mass."
    )
    NO_LEAN = "Lean left out: as the body leans, the CG moves towards the outer wheels."
    WHOLE_TRACK = "Whole track taken: from the middle to the outer wheels it is half."
    SPRUNG_HEIGHT = "Height of the sprung CG taken: here the whole vehicle tips, wheels and all."


PART = {
    Slip.TRACK_FOR_SPRING_BASE: Part.STIFFNESS,
    Slip.TYRES_FORGOTTEN: Part.STIFFNESS,
    Slip.ONE_SPRING: Part.STIFFNESS,
    Slip.HELPER_LEFT_OUT: Part.RIDE,
    Slip.GRAVITY_LEFT_OUT: Part.STIFFNESS,
    Slip.RADIANS: Part.ANGLE,
    Slip.DEGREES_IN_GRAVITY: Part.STIFFNESS,
    Slip.PER_METRE: Part.ANGLE,
    Slip.HEIGHT_FOR_ARM: Part.MOMENT,
    Slip.END_TO_END: Part.STIFFNESS,
    Slip.AXLE_LEAN: Part.ANGLE,
    Slip.LIFT_FORGOTTEN: Part.RAISED,
    Slip.WHOLE_MASS: Part.MASS,
    Slip.WHOLE_HEIGHT: Part.MASS,
    Slip.BAR_FORGOTTEN: Part.STIFFNESS,
    Slip.HALF_FORGOTTEN: Part.STIFFNESS,
    Slip.NOT_SQUARED: Part.STIFFNESS,
    Slip.AT_MEASURED: Part.ANGLE,
    Slip.SIGN: Part.ANGLE,
    Slip.NO_GAP: Part.RIDE,
    Slip.WHOLE_AXLE: Part.RIDE,
    Slip.ONLY_THE_LOAD: Part.MASS,
    Slip.NO_LEAN: Part.TIPPING,
    Slip.WHOLE_TRACK: Part.TIPPING,
    Slip.SPRUNG_HEIGHT: Part.TIPPING,
}


class Outcome(Enum):
    """What an answer turned out to be."""

    RIGHT = "right"
    SLIP = "a known slip"
    SEVERAL = "near more than one figure"
    NEITHER = "neither"


@dataclass(frozen=True, slots=True)
class Verdict:
    """An answer, judged.

    The slips are those that give this figure, the nearest first: one where it is known, several
    where they lie too close together; `ratio` is the answer over the right figure [-].
    """

    outcome: Outcome
    slips: tuple[Slip, ...]
    ratio: float


def figures(numbers: HandNumbers, units: ReaderUnits = METRIC) -> dict[Slip, float]:
    """The lean per g (roll gradient) that each slip would give [rad/(m/s²)].

    A slip is left out where the vehicle has nothing to mistake, or where no figure comes out.
    What a distance gives that is not squared depends on its unit on the board.
    """
    found, g = solve(numbers), numbers.gravity
    one = 1.0 / to_unit(1.0, Board(units).unit(Of.LENGTH))
    whole = numbers.not_raised.whole_cg_height + numbers.cg_raised
    pushes = found.moment + found.passed_on
    high = found.weight * numbers.cg_height
    given = {
        Slip.TRACK_FOR_SPRING_BASE: _gradient(numbers, lambda a: replace(a, spring_base=a.track))
        if any(a.solid for a in numbers.axles)
        else math.nan,
        Slip.TYRES_FORGOTTEN: _gradient(numbers, lambda a: replace(a, tyre_rate=math.inf)),
        Slip.ONE_SPRING: _gradient(numbers, lambda a: a.with_springs(0.5)),
        Slip.HELPER_LEFT_OUT: _gradient(
            numbers, lambda a: replace(a, spring_rate=a.rate_as_weighed, one_sided=None)
        ),
        Slip.GRAVITY_LEFT_OUT: pushes / found.stiffness / g,
        Slip.RADIANS: math.radians(found.roll_gradient),
        Slip.DEGREES_IN_GRAVITY: math.radians(
            pushes / (math.radians(found.stiffness) - found.moment) / g
        ),
        Slip.PER_METRE: found.roll_gradient / g,
        Slip.HEIGHT_FOR_ARM: (high + found.passed_on) / (found.stiffness - high) / g,
        Slip.END_TO_END: _gradient(
            numbers, lambda a: replace(a, bar_stiffness=a.bar_stiffness / 2)
        ),
        Slip.AXLE_LEAN: found.moment / found.net_stiffness / g,
        Slip.LIFT_FORGOTTEN: solve(numbers.not_raised).roll_gradient,
        Slip.WHOLE_MASS: solve(replace(numbers, sprung_mass=numbers.mass)).roll_gradient,
        Slip.WHOLE_HEIGHT: solve(replace(numbers, cg_height=whole)).roll_gradient,
        Slip.BAR_FORGOTTEN: _gradient(numbers, lambda a: replace(a, bar_stiffness=0.0)),
        Slip.HALF_FORGOTTEN: _gradient(numbers, lambda a: a.with_springs(2.0)),
        Slip.NOT_SQUARED: _gradient(numbers, lambda a: a.with_springs(one / a.spring_base)),
        Slip.AT_MEASURED: MEASURED_AT * found.roll_gradient,
        Slip.SIGN: -found.roll_gradient if found.roll_gradient > 0.0 else math.nan,
    }
    right = found.roll_gradient
    return {m: x for m, x in given.items() if math.isfinite(x) and not math.isclose(x, right)}


def judge(
    answer: float,
    right: float,
    slips: Mapping[Slip, float],
    *,
    within: float = CLOSE,
    rounded_by: float = 0.0,
) -> Verdict:
    """Say what an answer is.

    `answer`, `right` and the figures of `slips`, as from `figures`, share one unit, whichever it
    is. They count as the same within the share `within` [-], or within `rounded_by` in their unit,
    half of the last digit: in 0.13 the last digit is worth more than that share. Right goes
    first. A slip is known only where its figure is clearly nearer than any other.

    Examples
    --------
    >>> known = {Slip.ONE_SPRING: 11.0, Slip.GRAVITY_LEFT_OUT: 4.6}
    >>> judge(4.55, 5.2, known).slips
    (<Slip.GRAVITY_LEFT_OUT: 'Gravity term left out: once the body leans, its weight leans it \
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
    off = {m: abs(answer - figure) for m, figure in slips.items()}
    first, *others = sorted(off, key=off.get) or [None]
    if first is None or not is_it(slips[first]):
        return Verdict(Outcome.NEITHER, (), ratio)
    clear = max(TWICE * off[first], room + APART * abs(answer))
    near = [m for m in others if off[m] < clear]
    if near or abs(answer - right) < clear:
        return Verdict(Outcome.SEVERAL, (first, *near), ratio)
    return Verdict(Outcome.SLIP, (first,), ratio)


def _gradient(numbers: HandNumbers, slip: Callable[[HandAxle], HandAxle]) -> float:
    wrong = replace(numbers, front=slip(numbers.front), rear=slip(numbers.rear))
    return solve(wrong).roll_gradient
