"""What gets worse with a bar, and nothing else, said in the reader's units."""

import math
from collections.abc import Sequence

from rollsim.balance import VALID_LOADS
from rollsim.mass import AS_WEIGHED, DRIVEN_EMPTY, UNLADEN, spoken
from rollsim.reader_units import NO_FIGURE, ReaderUnits
from rollsim.roll import StateResult
from rollsim.sizing import Candidate, ComesOff, Sizing
from rollsim.tell.figures import Figure
from rollsim.tell.of_bars import BAR
from rollsim.tell.of_states import STATE

_TIPS = "tip_over_threshold"
_EARLIER = {  # what is worse at less lateral acceleration
    _TIPS: "tips",
    "inner_rear_lift": "the inner rear wheel lifts",
    "inner_front_lift": "the inner front wheel lifts",
}
BEYOND_RATED = f"outside {VALID_LOADS[0]:g} to {VALID_LOADS[1]:g} times its rated load"

NewBar = tuple[str, ComesOff, ComesOff]
"""Which axle's bar, what it does, and what the one does whose place it takes."""


def worse_words(
    sizing: Sizing,
    before: Sequence[StateResult],
    units: ReaderUnits,
    *,
    front: Candidate | None = None,
) -> tuple[str, ...]:
    """What gets worse with what is ordered, an item each; none where nothing is.

    `before` holds every state without the bar; `front` goes with it, where they are a pair. With a
    front bar among the changes it is held against the vehicle without that one. What a bar that
    comes off does already is taken off. What stays as it is, gets better or has no figure is left
    out.
    """
    bar, new, bars, after = sizing.choice, sizing.new_front, [], sizing.states
    if front is not None:
        bars.append(("front", _does(front), sizing.front_off))
    elif new is not None:
        bars.append(("front", new.does, new.off))
        before, after = new.before, after or new.after
    if bar is not None:
        bars.append(("rear", _does(bar), sizing.rear_off))
    if not bars:
        return ()
    return (
        *_earlier(*_driven(sizing, before, after), units, these_bars(sizing, front=front)),
        *_smaller_share(sizing, before, after, units=units),
        *([] if bar is None else _less_understeer(bar, sizing, units)),
        *_one_wheel(bars, units),
        *_flex(bars, units),
    )


def these_bars(sizing: Sizing, *, front: Candidate | None = None) -> str:
    """What is ordered, by how many bars it is."""
    two = sizing.choice is not None and (front is not None or sizing.new_front is not None)
    return "these bars" if two else "this bar"


def _does(bar: Candidate) -> ComesOff:
    return ComesOff(bar.one_wheel_rate_increase, bar.articulation_lost)


def _driven(
    sizing: Sizing, before: Sequence[StateResult], after: Sequence[StateResult]
) -> tuple[Sequence[StateResult], Sequence[StateResult]]:
    """The states without and with the bar; not those without the changes, which nobody drives."""
    empty = sizing.driven_empty
    gone = {UNLADEN: (), DRIVEN_EMPTY: (UNLADEN, AS_WEIGHED)}.get(empty, (UNLADEN,))
    return tuple([s for s in found if s.name not in gone] for found in (before, after))


def _less(one: Figure, was: float, now: float, units: ReaderUnits) -> tuple[str, str] | None:
    """A figure without the bar and with it [SI], where it is less by what a table can show."""
    said = one.kind.said(was, units), one.kind.said(now, units)
    return said if now < was and said[0] != said[1] else None


def _earlier(
    before: Sequence[StateResult], after: Sequence[StateResult], units: ReaderUnits, what: str
) -> list[str]:
    """States that tip or lift a wheel at less with `what` is fitted, like ones together.

    A wheel that comes up just as it tips is told by the tipping.
    """
    found: dict[str, list[str]] = {}
    for name, words in _EARLIER.items():
        for was, now in zip(before, after, strict=True):
            told, tips = (_from_to(was, now, one, units) for one in (name, _TIPS))
            if told and (name == _TIPS or told != tips):
                line = f"{words} {told[1]}, without {what} {told[0]}"
                found.setdefault(line, []).append(spoken(was.name))
    return [f"{', '.join(names)}: {words}" for words, names in found.items()]


def _from_to(
    was: StateResult, now: StateResult, name: str, units: ReaderUnits
) -> tuple[str, str] | None:
    """Where it tips or lifts a wheel without the bar and with it, where that is at less."""
    less = _less(STATE[name], _at(was, name), _at(now, name), units)
    if less is None:
        return None
    return "not before it tips" if less[0] == NO_FIGURE else f"at {less[0]} g", f"at {less[1]} g"


def _at(result: StateResult, name: str) -> float:
    """Where it tips or lifts a wheel [m/s²]; infinite where it tips before the wheel lifts."""
    value = getattr(result, name)
    tips_first = math.isnan(value) and math.isfinite(result.tip_over_threshold)
    return math.inf if tips_first else value


def _smaller_share(
    sizing: Sizing,
    before: Sequence[StateResult],
    after: Sequence[StateResult],
    *,
    units: ReaderUnits,
) -> list[str]:
    """What the front takes of the weight transfer in the emptiest state that is driven."""
    name, one = sizing.driven_empty, STATE["front_load_transfer_share"]
    was, now = (
        next(state.front_load_transfer_share for state in found if state.name == name)
        for found in (before, after)
    )
    share = _less(one, was, now, units)
    if share is None:
        return []
    return [f"{spoken(name)}: {one.words} falls from {share[0]} to {share[1]}"]


def _less_understeer(bar: Candidate, sizing: Sizing, units: ReaderUnits) -> list[str]:
    """How far the bar goes towards oversteer in the states where it does, in one item.

    With a front bar among the changes only the emptiest state is held against what was before it.
    """
    found = {sizing.emptiest: "understeer_change_emptiest"}
    if sizing.new_front is None:
        found[sizing.case] = "understeer_change"
    by = []
    for state, name in found.items():
        less = -getattr(bar, name)
        if _shows(BAR[name], less, units):
            by.append(f"{BAR[name].kind.with_unit(less, units)} {spoken(state)}")
    if not by:
        return []
    rough = f"; rough: a wheel load is {BEYOND_RATED}" if bar.tyres_beyond_relation else ""
    return [
        f"understeer falls by {', '.join(by)} (towards oversteer; at 0.4 g, by weight transfer "
        f"alone{rough})"
    ]


def _one_wheel(bars: Sequence[NewBar], units: ReaderUnits) -> list[str]:
    one = BAR["one_wheel_rate_increase"]
    return [
        f"one {end} wheel on a bump: the bar adds {more}"
        for end, bar, off in bars
        if (more := _more(one, bar.one_wheel_rate, off.one_wheel_rate, units))
    ]


def _flex(bars: Sequence[NewBar], units: ReaderUnits) -> list[str]:
    one = BAR["articulation_lost"]
    return [
        f"flex (articulation), {end} axle: between the wheels at full axle twist the bar takes "
        f"{more}"
        for end, bar, off in bars
        if (more := _more(one, bar.articulation_lost, off.articulation_lost, units))
    ]


def _more(one: Figure, new: float, off: float, units: ReaderUnits) -> str:
    """By how much a new bar has more than the one that comes off [SI]; empty where it has not."""
    if not _shows(one, new - off, units):
        return ""
    than = " more than the one that comes off" if _shows(one, off, units) else ""
    return f"{one.kind.with_unit(new - off, units)}{than}"


def _shows(one: Figure, value: float, units: ReaderUnits) -> bool:
    """Whether an SI value is more than nothing by what a table can show."""
    said = one.kind.said(value, units)
    return said != NO_FIGURE and float(said) > 0.0
