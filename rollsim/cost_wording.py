"""What gets worse with a bar, and nothing else, said in the reader's units."""

import math
from collections.abc import Sequence

from rollsim.balance import VALID_LOADS
from rollsim.mass import spoken
from rollsim.reader_units import NO_FIGURE, ReaderUnits
from rollsim.roll import StateResult
from rollsim.sizing import Candidate, Sizing
from rollsim.tell.figures import Figure
from rollsim.tell.of_bars import BAR
from rollsim.tell.of_states import STATE

BEYOND_RATED = f"outside {VALID_LOADS[0]:g} to {VALID_LOADS[1]:g} times its rated load"


def worse_words(
    sizing: Sizing,
    before: Sequence[StateResult],
    units: ReaderUnits,
    *,
    front: Candidate | None = None,
) -> tuple[str, ...]:
    """What gets worse with the chosen bar, an item each; none where there is no choice.

    `before` holds every state without the bar; `front` goes with it, where they are a pair. What
    stays as it is, gets better or has no figure is left out.
    """
    bar = sizing.choice
    if bar is None:
        return ()
    return (
        *_earlier_tipping(before, sizing.states, units),
        *_earlier_lift(bar, sizing, before, units),
        *_smaller_share(bar, sizing, units),
        *_less_understeer(bar, sizing, units),
        *_one_wheel(bar, front, units),
        *_flex(bar, units),
    )


def _less(one: Figure, was: float, now: float, units: ReaderUnits) -> tuple[str, str] | None:
    """A figure without the bar and with it [SI], where it is less by what a table can show."""
    said = one.kind.said(was, units), one.kind.said(now, units)
    return said if now < was and said[0] != said[1] else None


def _earlier_tipping(
    before: Sequence[StateResult], after: Sequence[StateResult], units: ReaderUnits
) -> list[str]:
    """States whose tipping point the bar lowers, like ones together."""
    found: dict[str, list[str]] = {}
    one = STATE["tip_over_threshold"]
    for was, now in zip(before, after, strict=True):
        tips = _less(one, was.tip_over_threshold, now.tip_over_threshold, units)
        if tips:
            words = f"tips at {tips[1]} g, without this bar at {tips[0]} g"
            found.setdefault(words, []).append(spoken(was.name))
    return [f"{', '.join(names)}: {words}" for words, names in found.items()]


def _earlier_lift(
    bar: Candidate, sizing: Sizing, before: Sequence[StateResult], units: ReaderUnits
) -> list[str]:
    empty = next(result for result in before if result.name == sizing.emptiest)
    was = empty.inner_rear_lift if math.isfinite(empty.inner_rear_lift) else math.inf
    lift = _less(STATE["inner_rear_lift"], was, bar.inner_rear_lift, units)
    if lift is None:
        return []
    without = f"at {lift[0]} g" if math.isfinite(was) else "not before it tips"
    words = f"the inner rear wheel lifts at {lift[1]} g, without this bar {without}"
    return [f"{spoken(sizing.emptiest)}: {words}"]


def _smaller_share(bar: Candidate, sizing: Sizing, units: ReaderUnits) -> list[str]:
    now, one = bar.front_load_transfer_share, STATE["front_load_transfer_share"]
    share = _less(one, now + bar.front_share_drop, now, units)
    if share is None:
        return []
    return [f"{spoken(sizing.emptiest)}: {one.words} falls from {share[0]} to {share[1]}"]


def _less_understeer(bar: Candidate, sizing: Sizing, units: ReaderUnits) -> list[str]:
    """How far the bar goes towards oversteer in the states where it does, in one item."""
    found = {sizing.emptiest: "understeer_change_emptiest", sizing.case: "understeer_change"}
    by = []
    for state, name in found.items():
        value = getattr(bar, name)
        if value < 0.0:
            by.append(f"{BAR[name].kind.with_unit(-value, units)} {spoken(state)}")
    if not by:
        return []
    rough = f"; rough: a wheel load is {BEYOND_RATED}" if bar.tyres_beyond_relation else ""
    return [
        f"understeer falls by {', '.join(by)} (towards oversteer; at 0.4 g, by weight transfer "
        f"alone{rough})"
    ]


def _one_wheel(bar: Candidate, front: Candidate | None, units: ReaderUnits) -> list[str]:
    one = BAR["one_wheel_rate_increase"]
    added = {"rear": bar} if front is None else {"front": front, "rear": bar}
    return [
        f"one {end} wheel on a bump: the bar adds {one.with_unit(which, units)}"
        for end, which in added.items()
        if _shows(one, which, units)
    ]


def _flex(bar: Candidate, units: ReaderUnits) -> list[str]:
    one = BAR["articulation_lost"]
    if not _shows(one, bar, units):
        return []
    return [
        f"flex (articulation): the bar takes {one.with_unit(bar, units)} between the wheels at "
        "full axle twist"
    ]


def _shows(one: Figure, bar: Candidate, units: ReaderUnits) -> bool:
    """Whether it is more than nothing by what a table can show."""
    said = one.cell(bar, units)
    return getattr(bar, one.name) > 0.0 and said != NO_FIGURE and float(said) > 0.0
