"""Two loads side by side in the same bend: tent or drawers?"""

import math
from collections.abc import Sequence
from dataclasses import replace

import pandas as pd
import streamlit as st

from rollsim.drawing import roundabout
from rollsim.mass import AS_USED
from rollsim.page import bends, carried, frame, nearer, roof
from rollsim.page.bends import Road
from rollsim.page.carried import Carried
from rollsim.page.frame import plain, show_drawing, show_table
from rollsim.reader_units import ReaderUnits, with_unit
from rollsim.scenario import Scenario
from rollsim.tell.ratings import load_cell

FIRST, SECOND = "first load", "second load"
_LABELS = {FIRST: "On it in the first load", SECOND: "On it in the second load"}


@st.cache_data(max_entries=64, show_spinner=False)
def _compared(
    text: str, _scenario: Scenario, *, chosen: tuple[tuple[int, ...], ...], lateral: float
) -> tuple[Carried, ...]:
    return compared(_scenario, chosen, lateral)


def show(scenario: Scenario, found: Carried, road: Road) -> None:
    """Choose what is on it in each, and see both; nothing of the scenario is changed."""
    things = [n for n, load in enumerate(scenario.job.loads) if not load.parked_only]
    if not things:
        return
    names = tuple(load.name for load in scenario.job.loads)
    with st.expander(
        "Two loads side by side: tent or drawers?", key="carry:beside", on_change="rerun"
    ) as part:
        if not part.open:
            return
        chosen = {}
        for name, first in zip(_LABELS, _at_first(found, things), strict=True):
            chosen[name] = st.multiselect(
                _LABELS[name],
                things,
                default=first,
                key=f"carry:{name}:{names}:{found.case.name}",
                format_func=lambda n: plain(names[n]),
            )
        picked = tuple(tuple(on) for on in chosen.values())
        both = _compared(frame.text(), scenario, chosen=picked, lateral=found.lateral)
        if drawn := picture(both, road):
            show_drawing(drawn)
        rows = table(both, frame.units())
        show_table(rows, alt="The same bend with either load: lean, what is left, and the papers")
        st.caption("Tried here only: what is on it above, and on every other page, stays as it is.")


def _at_first(found: Carried, things: Sequence[int]) -> tuple[list[int], list[int]]:
    """All that is on it, and the same without what weighs most up high."""
    loads = found.scenario.job.loads
    on = [n for n in things if loads[n] in found.case.loads]
    highest = max(on, key=lambda n: loads[n].mass * loads[n].height, default=None)
    return on, [n for n in on if n != highest]


def compared(
    scenario: Scenario, chosen: tuple[Sequence[int], ...], lateral: float
) -> tuple[Carried, ...]:
    """Two loads, by the places of their things among the load items, in a bend [m/s²]."""
    return tuple(carried.carried(*_with_only(scenario, set(on)), lateral) for on in chosen)


def _with_only(scenario: Scenario, on: set[int]) -> tuple[Scenario, str]:
    """The scenario with these things in its one load case, and the name of that."""
    job, case = scenario.job, FIRST
    loads = tuple(
        replace(load, cases=None if load.parked_only else (case,) if n in on else ())
        for n, load in enumerate(job.loads)
    )
    if not on:  # no case is named then: all that is not on it is out of the one there is
        loads = tuple(load for load in loads if load.on_when_weighed or load.parked_only)
        case = AS_USED
    return replace(scenario, job=replace(job, loads=loads)), case


def picture(both: Sequence[Carried], road: Road) -> str:
    """Both in the bend; empty where no balance is known or they lean more in opposite turns."""
    if len({c.to_the_right for c in both}) > 1:
        return ""
    pairs = [carried.silhouettes(c, roof.drawn(c.scenario.job)) for c in both]
    if None in pairs:
        return ""
    first, second = (replace(pair[1], name=name) for pair, name in zip(pairs, _LABELS, strict=True))
    return roundabout(
        road.radius,
        road.speed,
        first,
        after=second,
        bend="right" if both[0].to_the_right else "left",
        empty=carried.at_rest(both[0]),
        decimals=carried.decimals_apart(*(c.lean_now for c in both)),
    )


def table(both: Sequence[Carried], units: ReaderUnits) -> pd.DataFrame:
    """Lean, what is left until a wheel lifts, weight on it, and every rating."""
    leans = carried.apart(*(c.lean_now for c in both))
    rows = {
        "lean in this bend": [
            "tips over" if math.isnan(c.lean_now) else lean
            for c, lean in zip(both, leans, strict=True)
        ],
        "left until a wheel lifts": [_left(c) for c in both],
        "weight of what is on it": [
            with_unit(sum(load.mass for load in c.case.loads), units.mass) for c in both
        ],
    }
    for checks in zip(*(c.now.ratings for c in both), strict=True):
        label = f"{carried.RATINGS[checks[0].name]}, at most "
        rows[label + with_unit(checks[0].limit, units.mass)] = [
            load_cell(check, units) for check in checks
        ]
    cells = pd.DataFrame.from_dict(rows, orient="index", columns=list(_LABELS))
    return cells.rename_axis("")


def _left(c: Carried) -> str:
    lift = carried.first_lift(c.stages[-1])
    if not math.isfinite(lift):
        return "not known"
    return bends.percent(nearer.in_hand(c.lateral, lift)) if c.lateral < lift else "wheel off"
