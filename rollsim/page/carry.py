"""Carry a load: what does it do in a bend that the owner knows, and what do the papers allow?"""

import math

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from rollsim.cautions import BEFORE_USE, LAW, STEADY_BEND, UP_HIGH
from rollsim.drawing import LoadRow, load_bars, roundabout, waterfall
from rollsim.drawing.gauges import margin_bars
from rollsim.mass import states
from rollsim.page import (
    bend_inputs,
    bends,
    beside,
    carried,
    downloads,
    frame,
    handout,
    links,
    nearer,
    own_vehicle,
    papers,
    roof,
    things,
)
from rollsim.page.bends import Road
from rollsim.page.carried import Carried
from rollsim.page.frame import bullets, plain, show_drawing, show_table
from rollsim.roll import StateResult
from rollsim.scenario import Scenario, ScenarioError, loads
from rollsim.sentences import assumed_words, sentence
from rollsim.tell.names import state_words
from rollsim.tell.of_swerve import swerve_words

GENTLEST = 0.1  # m/s²: in a straighter road than that nothing can be seen
PICTURE = "Dashed: where the empty body stands before it turns. Blocks: what is on it."
MORE = (0, 100, 25, 5)  # least, most, at first, step, as the others


@st.cache_data(max_entries=32, show_spinner=False)
def _read(text: str, name: str) -> Scenario:
    """The scenario alone: the owner sizes nothing."""
    return loads(text, name, frame.folder())


@st.cache_data(max_entries=128, show_spinner=False)
def _ends(text: str, _scenario: Scenario, *, case: str) -> tuple[StateResult, StateResult]:
    return carried.ends(_scenario, case)


@st.cache_data(max_entries=128, show_spinner=False)
def _carried(text: str, _scenario: Scenario, *, case: str, lateral: float) -> Carried:
    known = _ends(text, _scenario, case=case)
    return carried.carried(_scenario, case, lateral, known=known)


@st.cache_data(max_entries=128, show_spinner=False)
def _spread(text: str, _scenario: Scenario, *, case: str) -> nearer.Spread | None:
    return nearer.spread(_scenario, case)


@st.cache_data(max_entries=128, show_spinner=False)
def _roof_limit(
    text: str, _c: Carried, *, case: str, lateral: float, more: float
) -> roof.RoofLimit | None:
    return roof.roof_limit(_c, more)


def show() -> None:
    """Lay out the page."""
    st.title("Carry a load")
    notes = st.container()
    try:
        scenario = _read(frame.text(), frame.name())
    except ScenarioError as wrong:
        frame.show_errors(wrong)
        own_vehicle.show()
    else:
        _show_all(scenario)
        for line in _refused(scenario):
            notes.warning(plain(line))


def _show_all(scenario: Scenario) -> None:
    """On a phone: the own vehicle's answer or the way to it, the papers, the bend, the load."""
    above, head, below, pictures = st.container(), st.container(), st.container(), {}
    with above if frame.is_example() else below:
        own_vehicle.show()
    left, right = st.columns(2, gap="large")
    with right:
        st.header("The same bend, before and now")
        picture = st.container()
        case = _choose_case(scenario)
        radius, speed = bend_inputs.choose()
    road = bends.road_words(radius, speed, bends.road_units(frame.units()))
    lateral = max(bends.lateral_acceleration(radius, speed), GENTLEST)
    found = _carried(frame.text(), scenario, case=case, lateral=lateral)
    unsure = _show_answer(head, found)
    with left:
        pictures["ratings"] = _show_ratings(found)
        papers.show(scenario)
    with picture:
        pictures["bend"] = _show_bend(found, road)
        pictures["until a wheel lifts"] = _show_margin(found)
    with st.container():  # so that what comes after keeps its place, and the focus
        beside.show(scenario, found, road)
    left, right = st.columns(2, gap="large")
    with left:
        st.header("What is on it")
        things.show(scenario, found)
    with right:
        pictures["shares of the lean"] = _show_shares(found)
        _show_roof(found)
    spread = _spread_words(found)  # here, not above: the picture need not wait for it
    unsure.markdown(plain(spread))
    left, right = st.columns(2, gap="large")
    with left:
        _show_handout(found, road, spread=spread, picture=pictures["bend"])
    with right:
        _show_notes()
    with st.expander("Save the pictures and the table"):
        for name, drawn in pictures.items():
            if drawn:
                downloads.picture_buttons(drawn, name)
        if pictures["shares of the lean"]:
            downloads.table_button(_share_table(found), "shares of the lean")


def _refused(scenario: Scenario) -> tuple[str, ...]:
    """What a link asks for that this page does not have."""
    asked = frame.asked()
    more = {"more": links.Range("lean above that before", "%", *MORE[:2])}
    cases = [plain(state_words(state.name)) for state in states(scenario.job)[2:]]
    return (
        *links.refused(asked, {"load": cases}),
        *bend_inputs.refused(),
        *links.outside(asked, more),
    )


def _choose_case(scenario: Scenario) -> str:
    """The load to show; no question where there is only one."""
    names = {state_words(s.name): s.name for s in states(scenario.job)[2:]}
    if len(names) == 1:
        return next(iter(names.values()))
    heaviest = max(
        states(scenario.job)[2:], key=lambda s: sum(load.mass * load.height for load in s.loads)
    )
    words = st.radio(
        "Which load",
        list(names),
        index=list(names.values()).index(heaviest.name),
        key="load",
        bind="query-params",
        format_func=plain,
        horizontal=True,
        on_change=frame.leave_link,
    )
    return names[words]


def _show_answer(head: DeltaGenerator, found: Carried) -> DeltaGenerator:
    """Over a rating first, then the answer in one sentence; where to tell how sure it is."""
    over = carried.over_words(found, frame.units())
    if over:
        head.error(
            f"**TOO HEAVY FOR ITS PAPERS.** Nothing that is fitted changes that: take load off.\n"
            f"{bullets(over)}",
            icon=":material/warning:",
        )
    if words := carried.papers_words(found, frame.units()):
        head.markdown(plain(words))
    head.info(f"**{plain(carried.headline(found))}** {plain(nearer.words(found))}")
    unsure = head.empty()
    if droop := carried.lift_words(found):
        head.warning(f"**{plain(droop)}**", icon=":material/warning:")
    if count := len(found.scenario.assumed):
        head.caption(
            f"Provisional: {assumed_words(count)}. What to measure is listed "
            "under Take this to your fitter."
        )
    return unsure


def _spread_words(found: Carried) -> str:
    """How far the answer may be off; empty where nothing is assumed."""
    if not nearer.is_assumed(found.scenario):
        return ""
    spread = _spread(frame.text(), found.scenario, case=found.case.name)
    return nearer.spread_words(found, spread)


def _show_bend(found: Carried, road: Road) -> str:
    """The roundabout with both vehicles; one that tips in it as it last stands."""
    push, drawn = bends.push_words(found.lateral), ""
    pair = carried.silhouettes(found, roof.drawn(found.scenario.job))
    if pair is not None:
        drawn = roundabout(
            road.radius,
            road.speed,
            pair[0],
            after=pair[1],
            bend="right" if found.to_the_right else "left",
            empty=carried.at_rest(found),
            decimals=carried.decimals_apart(found.lean_before, found.lean_now),
        )
        show_drawing(drawn)
    if note := carried.tipping_words(found):
        st.error(plain(note), icon=":material/warning:")
    side = "to the right, where it leans more," if found.to_the_right else ""
    words = f"{sentence(bends.bend_words(road)).removesuffix('.')} {side} {push}. {PICTURE}"
    st.caption(plain(words))
    if not math.isnan(found.lean_now):
        st.caption(plain(f"{carried.tray_words(found)} {swerve_words(found.now.swerve)}".strip()))
    return drawn


def _show_margin(found: Carried) -> str:
    """What this bend leaves until a wheel lifts or it tips; empty where that is not known."""
    rows = nearer.margin_rows(found)
    if not rows:
        return ""
    until = nearer.until(found)
    st.markdown(f"**Left until {until}**")
    drawn = margin_bars(rows, until)
    show_drawing(drawn)
    return drawn


def _show_ratings(found: Carried) -> str:
    st.header("What the papers allow")
    if missing := carried.not_checked(found):
        st.caption(plain(missing))
    if not found.now.ratings:
        return ""
    rows = [LoadRow(carried.RATINGS[check.name], check) for check in found.now.ratings]
    drawn = load_bars(rows, frame.units().mass)
    show_drawing(drawn)
    return drawn


def _show_shares(found: Carried) -> str:
    """What each thing adds; empty where it tips on the way."""
    table = _share_table(found)
    if not len(table):
        return ""
    st.header("How much of that is the roof, how much the lift")
    drawn = waterfall(carried.share_steps(found), "deg")
    show_drawing(drawn)
    st.caption(carried.SHARE_NOTE)
    with st.expander("The same as a table"):
        show_table(table, hide_index=True, alt="What each thing and the lift add to the lean")
    return drawn


def _share_table(found: Carried) -> pd.DataFrame:
    return pd.DataFrame(carried.share_rows(found), columns=carried.SHARE_HEADS)


def _show_roof(found: Carried) -> None:
    st.header("How much roof load for the lean you choose")
    more = st.slider(
        "Lean in this bend, more than empty by at most, %",
        *MORE,
        key="more",
        bind="query-params",
        on_change=frame.leave_link,
    )
    limit = _roof_limit(
        frame.text(), found, case=found.case.name, lateral=found.lateral, more=more / 100
    )
    st.markdown(plain(roof.roof_words(found, limit, frame.units())))


def _show_handout(found: Carried, road: Road, *, spread: str, picture: str) -> None:
    st.header("Take this to your fitter")
    st.markdown(bullets(handout.MEASURE))
    words = st.text_area(
        "What bothers you, in your own words; it goes first on the page for the fitter",
        key="carry:words",
        max_chars=600,
        height=80,
    )
    page = handout.page(
        found,
        bends.bend_words(road),
        frame.units(),
        text=frame.text(),
        spread=spread,
        picture=picture,
        words=words,
    )
    st.download_button(
        "Save a page to print",
        page,
        file_name="for-the-fitter.html",
        mime="text/html",
        icon=":material/print:",
    )
    st.caption(
        "Or send this link: it opens this page with this vehicle and this load, wherever this "
        "address can be reached. The page to print can go anywhere."
    )
    st.code(
        f"{(st.context.url or '').split('?')[0]}{frame.link()}",
        language=None,
        wrap_lines=True,
        height=90,
    )


def _show_notes() -> None:
    st.header(BEFORE_USE)
    st.warning(bullets((UP_HIGH, STEADY_BEND, LAW)))
    st.info(plain(carried.OTHER_CAUSES))


if __name__ == "__main__":
    show()
