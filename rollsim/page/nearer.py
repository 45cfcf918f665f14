"""How much nearer a load brings wheel lift and tipping: the worse of the two, in plain words."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.drawing.gauges import MarginRow
from rollsim.mass import UNLADEN
from rollsim.page.bends import percent
from rollsim.page.carried import Carried, first_lift
from rollsim.scenario import Scenario
from rollsim.tolerance import Band, band, tipping_samples
from rollsim.wording import of_the_vehicle

_AT_ONCE = "a kerb, a gust or a swerve takes that at once."
_NOT_KNOWN = "How near a wheel is to lifting could not be worked out for this vehicle."
_ASSUMED = "With what is assumed here, in nine cases of ten"
_ROAD = "On a smooth, level road"
_WHEEL, _TIPS = "the first wheel comes off the ground", "it tips over"


@dataclass(frozen=True, slots=True)
class Spread:
    """Where nine cases of ten lie for what the values may be.

    `sooner` is how much sooner the worse of wheel lift and tipping comes than before, as a share
    [-], below 0 where later; `wheel` and `tips` are where the first wheel lifts now, and where it
    tips over [m/s²].
    """

    sooner: Band
    wheel: Band
    tips: Band


def spread(scenario: Scenario, case: str) -> Spread | None:
    """Draw the inputs in their tolerances; None where a sample has no figure.

    The scenario must have the tolerances of what is assumed; `case` is the name of the load case.
    """
    before, now = tipping_samples(scenario.job, scenario.tolerances, (UNLADEN, case))
    ratios = np.minimum(now.first_lift / before.first_lift, now.tip_over / before.tip_over)
    if not np.isfinite(ratios).all():
        return None
    return Spread(band(1.0 - ratios), band(now.first_lift), band(now.tip_over))


def is_assumed(scenario: Scenario) -> bool:
    """Whether values of the vehicle itself are assumed, not those of a bar to be made alone."""
    return bool(of_the_vehicle(scenario.assumed))


def tipping_is_worse(c: Carried) -> bool:
    """Whether tipping comes nearer by more than the first lift of a wheel does."""
    before, now = c.stages[0], c.stages[-1]
    tips = now.tip_over_threshold / before.tip_over_threshold
    return tips < first_lift(now) / first_lift(before)


def words(c: Carried) -> str:
    """How much nearer a wheel is to lifting, or the vehicle to tipping, whichever is worse."""
    lifts = first_lift(c.stages[-1]), first_lift(c.stages[0])
    if not all(math.isfinite(lift) for lift in lifts):
        return _NOT_KNOWN
    now, before = _ends(c)
    if c.lateral >= lifts[0]:
        empty = ", and with nothing on it too" if c.lateral >= lifts[1] and not c.nothing_on else ""
        off = f"In this bend a wheel is off the ground now{empty}."
        return off if c.nothing_on else f"{_sooner(c)}. {off}"
    left = f"{percent(in_hand(c.lateral, now))} is left"
    if c.nothing_on:
        return f"{_ROAD}, {left} in this bend until {_what(c)}; {_AT_ONCE}"
    return (
        f"{_sooner(c)}. In this bend {left} until then, {percent(in_hand(c.lateral, before))} "
        f"before; {_AT_ONCE}"
    )


def spread_words(c: Carried, found: Spread | None) -> str:
    """How far that may be off, where values are assumed."""
    if found is None:
        return "How far that may be off, with what is assumed here, could not be worked out."
    ends = found.tips if tipping_is_told(c) else found.wheel
    least, most = (in_hand(c.lateral, end) for end in (ends.low, ends.high))
    left = f"{percent(least)} to {percent(most)} is left in this bend until {_what(c)}"
    if c.nothing_on:
        return f"{_ASSUMED} {left}."
    low, high = found.sooner.low, found.sooner.high
    worse = (
        f"the worse of wheel lift and tipping comes between {_moved(low)} and {_moved(high)} than "
        "before"
    )
    off = c.lateral >= first_lift(c.stages[-1])
    return f"{_ASSUMED} {worse}." if off else f"{_ASSUMED} {left}; {worse}."


def in_hand(lateral: float, limit: float) -> float:
    """What a bend leaves of the push at a limit [-], both in m/s²; 0: nothing."""
    return max(0.0, 1.0 - lateral / limit)


def until(c: Carried) -> str:
    """What the margin counts to."""
    return _TIPS if tipping_is_told(c) else "the first wheel lifts"


def margin_rows(c: Carried) -> tuple[MarginRow, ...]:
    """What this bend takes of what is told in words, before and now; none if not known."""
    names, ends = ("now", "before"), _ends(c)
    if c.nothing_on:
        names, ends = names[:1], ends[:1]
    if not all(math.isfinite(end) for end in ends):
        return ()
    rows = [MarginRow(name, c.lateral / end) for name, end in zip(names, ends, strict=True)]
    return tuple(reversed(rows))


def tipping_is_told(c: Carried) -> bool:
    """Whether words and picture count to the tipping point; else to the first lift of a wheel."""
    return not c.nothing_on and c.lateral < first_lift(c.stages[-1]) and tipping_is_worse(c)


def _ends(c: Carried) -> tuple[float, float]:
    """Where that comes now, and where it came before [m/s²]."""
    stages = c.stages[-1], c.stages[0]
    if tipping_is_told(c):
        return tuple(stage.tip_over_threshold for stage in stages)
    return tuple(map(first_lift, stages))


def _what(c: Carried) -> str:
    return _TIPS if tipping_is_told(c) else _WHEEL


def _sooner(c: Carried) -> str:
    """How much sooner the worse of the two comes than before."""
    worse, stages = tipping_is_worse(c), (c.stages[-1], c.stages[0])
    now, before = (s.tip_over_threshold if worse else first_lift(s) for s in stages)
    return f"{_ROAD} {_TIPS if worse else _WHEEL} {_moved(1.0 - now / before)} than before"


def _moved(sooner: float) -> str:
    """A share [-] by which something comes sooner, or later."""
    return f"{percent(abs(sooner))} {'sooner' if sooner >= 0.0 else 'later'}"
