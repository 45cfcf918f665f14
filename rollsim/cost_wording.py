"""What a bar costs, said in the reader's units."""

import math
from collections.abc import Sequence

from rollsim.balance import VALID_LOADS
from rollsim.mass import spoken
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure
from rollsim.roll import StateResult
from rollsim.sizing import Sizing

SHOWN_FLEX = 0.0005  # m
BEYOND_RATED = f"outside {VALID_LOADS[0]:g} to {VALID_LOADS[1]:g} times its rated load"


def worse_words(
    sizing: Sizing, before: Sequence[StateResult], units: ReaderUnits
) -> tuple[str, ...]:
    """What the chosen bar costs, an item each; none where there is no choice.

    `before` holds every state without the bar.
    """
    c = sizing.choice
    if c is None:
        return ()
    empty = next(result for result in before if result.name == sizing.emptiest)
    emptiest, case = spoken(sizing.emptiest), spoken(sizing.case)
    lift = (_lift(empty.inner_rear_lift), _lift(c.inner_rear_lift))
    share = (empty.front_load_transfer_share, c.front_load_transfer_share)
    return (
        *_earlier_tipping(before, sizing.states),
        f"{emptiest}: the inner rear wheel lifts at {lift[1]}, without the new bar {lift[0]}",
        f"{emptiest}: front share of weight transfer falls from {share[0]:.3f} to {share[1]:.3f}",
        f"{emptiest}: change of understeer {_understeer(c.understeer_change_emptiest, sizing)}",
        f"{case}: change of understeer {_understeer(c.understeer_change, sizing)}",
        f"one wheel alone: rate up by {figure(c.one_wheel_rate_increase, units.rate)} {units.rate}",
        f"flex (articulation) lost: {_flex(c.articulation_lost, units)}",
        f"mass of the bar: {figure(c.mass, units.mass, 1)} {units.mass}",
    )


def _earlier_tipping(before: Sequence[StateResult], after: Sequence[StateResult]) -> list[str]:
    """States whose tipping point the bar lowers by what the table can show, like ones together."""
    found: dict[str, list[str]] = {}
    for was, now in zip(before, after, strict=True):
        tips = figure(was.tip_over_threshold, "g"), figure(now.tip_over_threshold, "g")
        if now.tip_over_threshold < was.tip_over_threshold and tips[0] != tips[1]:
            words = f"tipping point falls from {tips[0]} g to {tips[1]} g"
            found.setdefault(words, []).append(spoken(was.name))
    return [f"{', '.join(names)}: {words}" for words, names in found.items()]


def _lift(value: float) -> str:
    """Wheel lift, or that the vehicle tips before it."""
    return f"{figure(value, 'g')} g" if math.isfinite(value) else "not before it tips"


def _understeer(value: float, sizing: Sizing) -> str:
    text = figure(value, "deg/g", 3)
    if text == NO_FIGURE:
        if not sizing.tyres_rated:
            return "has no figure: give the rated_load of the tyres"
        return "has no figure: a wheel load at 0.4 g is far beyond its rated load"
    sign = "" if value < 0.0 else "+"
    rough = sizing.choice is not None and sizing.choice.tyres_beyond_relation
    note = f"; rough: a wheel load is {BEYOND_RATED}" if rough else ""
    return f"{sign}{text} deg/g at 0.4 g (load transfer only, minus is towards oversteer{note})"


def _flex(value: float, units: ReaderUnits) -> str:
    if value < SHOWN_FLEX:
        return "none, the stops limit the axle's twist before a wheel lifts"
    return f"{figure(value, units.length)} {units.length} between the wheels at full axle twist"
