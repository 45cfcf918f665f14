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
from rollsim.units import to_unit

_AT_ONCE = "a kerb, a gust or a swerve takes that at once."
_NOT_KNOWN = "How near a wheel is to lifting could not be worked out for this vehicle."
_ASSUMED = "With what is assumed here, in nine cases of ten"
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
    return any(not line.startswith("rear_bar.") for line in scenario.assumed)


def tipping_is_worse(c: Carried) -> bool:
    """Whether tipping comes nearer by more than the first lift of a wheel does."""
    before, now = c.stages[0], c.stages[-1]
    tips = now.tip_over_threshold / before.tip_over_threshold
    return tips < first_lift(now) / first_lift(before)


def words(c: Carried) -> str:
    """How much nearer a wheel is to lifting, or the vehicle to tipping, whichever is worse."""
    lifts = first_lift(c.stages[0]), first_lift(c.stages[-1])
    if not all(math.isfinite(lift) for lift in lifts):
        return _NOT_KNOWN
    road = "On a smooth, level road"
    if c.nothing_on:
        first = (
            f"{road} {_WHEEL} where the bend pushes outward with {_push(lifts[1])} of the weight."
        )
        return f"{first} {_now(c, lifts)}"
    what, before, now = _WHEEL, *lifts
    if tipping_is_worse(c):
        what = _TIPS
        before, now = (c.stages[n].tip_over_threshold for n in (0, -1))
    return (
        f"{road} {what} {_moved(1.0 - now / before)} than before: where the bend pushes outward "
        f"with {_push(now)} of the weight, {_push(before)} before. {_now(c, lifts)}"
    )


def spread_words(c: Carried, found: Spread | None) -> str:
    """How far that may be off, where values are assumed."""
    if found is None:
        return "How far that may be off, with what is assumed here, could not be worked out."
    tips = not c.nothing_on and tipping_is_worse(c)
    ends = found.tips if tips else found.wheel
    where = (
        f"{_TIPS if tips else _WHEEL} between {_push(ends.low)} and {_push(ends.high)} of the "
        "weight"
    )
    if c.nothing_on:
        return f"{_ASSUMED} {where}."
    low, high = found.sooner.low, found.sooner.high
    return (
        f"{_ASSUMED} the worse of wheel lift and tipping comes "
        f"between {_moved(low)} and {_moved(high)} than before, and {where}."
    )


def in_hand(lateral: float, lift: float) -> float:
    """What a bend leaves of the push that lifts the first wheel [-], both in m/s²; 0: nothing."""
    return max(0.0, 1.0 - lateral / lift)


def margin_rows(c: Carried) -> tuple[MarginRow, ...]:
    """How much of the push that lifts a wheel this bend takes, empty and now; none if not known."""
    names = ("now",) if c.nothing_on else ("before", "now")
    lifts = [first_lift(c.stages[n]) for n in (0, -1)][-len(names) :]
    if not all(math.isfinite(lift) for lift in lifts):
        return ()
    return tuple(MarginRow(name, c.lateral / lift) for name, lift in zip(names, lifts, strict=True))


def _now(c: Carried, lifts: tuple[float, float]) -> str:
    """How the bend that is shown compares."""
    before, now = lifts
    if c.lateral < now:
        had = "" if c.nothing_on else f", {percent(in_hand(c.lateral, before))} before"
        return (
            f"This bend pushes with {_push(c.lateral)}: {percent(in_hand(c.lateral, now))} is left "
            f"until a wheel lifts{had}; {_AT_ONCE}"
        )
    empty = ", and with nothing on it too" if c.lateral >= before and not c.nothing_on else ""
    return f"In this bend a wheel is off the ground now{empty}."


def _moved(sooner: float) -> str:
    """A share [-] by which something comes sooner, or later."""
    return f"{percent(abs(sooner))} {'sooner' if sooner >= 0.0 else 'later'}"


def _push(lateral: float) -> str:
    """Lateral acceleration [m/s²] as a share of the weight, as an owner reads it."""
    return f"{100.0 * to_unit(lateral, 'g'):.0f} %"
