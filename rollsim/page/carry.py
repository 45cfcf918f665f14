"""Carry a load: what does it do in a bend that the owner knows, and what do the papers allow?"""

import math

import pandas as pd
import streamlit as st

from rollsim.cautions import LAW, STEADY_BEND, UP_HIGH
from rollsim.cli.tables import state_words
from rollsim.drawing import LoadRow, load_bars, roundabout, waterfall
from rollsim.mass import states
from rollsim.page import bends, carried, downloads, frame, handout, own_vehicle, things
from rollsim.page.carried import Carried
from rollsim.page.frame import bullets, plain
from rollsim.roll import StateResult
from rollsim.scenario import Scenario, ScenarioError, loads
from rollsim.units import to_unit

GENTLEST = 0.1  # m/s²: in a straighter road than that nothing can be seen


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
def _roof_limit(
    text: str, _c: Carried, *, case: str, lateral: float, more: float
) -> carried.RoofLimit | None:
    return carried.roof_limit(_c, more)


def show() -> None:
    """Lay out the page."""
    st.title("Carry a load")
    try:
        scenario = _read(frame.text(), frame.name())
    except ScenarioError as wrong:
        frame.show_errors(wrong)
        own_vehicle.show()
    else:
        _show_all(scenario)


def _show_all(scenario: Scenario) -> None:
    """On a phone: the answer, the papers, the bend, then what can be changed."""
    head, pictures = st.container(), {}
    own_vehicle.show()
    left, right = st.columns(2, gap="large")
    with right:
        st.header("The same bend, before and now")
        picture = st.container()
        case = _choose_case(scenario)
        radius, speed = _choose_bend()
    lateral = max(bends.lateral_acceleration(radius, speed), GENTLEST)
    found = _carried(frame.text(), scenario, case=case, lateral=lateral)
    _show_answer(head, found)
    with left:
        pictures["ratings"] = _show_ratings(found)
    with picture:
        pictures["bend"] = _show_bend(found, radius, speed)
    left, right = st.columns(2, gap="large")
    with left:
        st.header("What is on it")
        things.show(scenario, found)
    with right:
        pictures["shares of the lean"] = _show_shares(found)
        _show_roof(found)
    left, right = st.columns(2, gap="large")
    with left:
        _show_handout(found, radius, speed)
    with right:
        _show_notes(found)
    with st.expander("Save the pictures and the table"):
        for name, drawn in pictures.items():
            if drawn:
                downloads.picture_buttons(drawn, name)
        if pictures["shares of the lean"]:
            downloads.table_button(_share_table(found), "shares of the lean")


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
        horizontal=True,
    )
    return names[words]


def _choose_bend() -> tuple[float, float]:
    """Radius [m] and speed [m/s] of a bend the owner knows."""
    road = bends.road_units(frame.units())
    metric = road.radius == "m"
    radii = (10, 150, 25, 5) if metric else (30, 500, 80, 10)  # least, most, at first, step
    speeds = (10, 100, 35, 5) if metric else (5, 60, 22, 1)
    left, right = st.columns(2)
    radius = left.slider(
        f"Radius of the bend, {road.radius}",
        *radii,
        key=f"radius_{road.radius}",
        bind="query-params",
    )
    speed = right.slider(
        f"Speed, {road.speed}",
        *speeds,
        key=f"speed_{road.speed.replace('/', '')}",
        bind="query-params",
    )
    return radius / road.per_metre, speed / road.per_metre_a_second


def _show_answer(head: st.delta_generator.DeltaGenerator, found: Carried) -> None:
    """Over a rating first, then the answer in one sentence."""
    over = carried.over_words(found, frame.units())
    if over:
        head.error(
            f"**TOO HEAVY FOR ITS PAPERS.** Nothing that is fitted changes that: take load off.\n"
            f"{bullets(over)}",
            icon=":material/warning:",
        )
    head.info(f"**{plain(carried.headline(found))}** {plain(carried.nearer_words(found))}")


def _show_bend(found: Carried, radius: float, speed: float) -> str:
    """The roundabout, with the lean before and now; nothing leans any more where it has tipped."""
    push, drawn = bends.push_words(found.lateral), ""
    leans = [to_unit(lean, "deg") for lean in (found.lean_before, found.lean_now)]
    if all(math.isfinite(lean) for lean in leans):
        far, fast = road_words(radius, speed)
        drawn = roundabout(
            far,
            fast,
            leans[0],
            after_deg=leans[1],
            vehicle_class=found.scenario.job.vehicle.vehicle_class,
            bend="right" if found.to_the_right else "left",
        )
        st.markdown(drawn, unsafe_allow_html=True)
    else:
        st.error("In this bend it tips over: there is no lean to draw.", icon=":material/warning:")
    side = "to the right, where this load leans it more," if found.to_the_right else ""
    st.caption(f"{bend_words(radius, speed).capitalize()} {side} {push}.".replace("  ", " "))
    return drawn


def road_words(radius: float, speed: float) -> tuple[str, str]:
    """Radius [m] and speed [m/s] in the reader's units."""
    road = bends.road_units(frame.units())
    return (
        f"{radius * road.per_metre:.0f} {road.radius}",
        f"{speed * road.per_metre_a_second:.0f} {road.speed}",
    )


def bend_words(radius: float, speed: float) -> str:
    """A bend in words: radius [m] and speed [m/s] in the reader's units."""
    far, fast = road_words(radius, speed)
    return f"a steady bend of {far} radius at {fast}"


def _show_ratings(found: Carried) -> str:
    st.header("What the papers allow")
    if not found.now.ratings:
        st.warning("No weights off the papers are given: put them in under Your own vehicle.")
        return ""
    rows = [LoadRow(carried.RATINGS[check.name], check) for check in found.now.ratings]
    drawn = load_bars(rows, frame.units().mass)
    st.markdown(drawn, unsafe_allow_html=True)
    return drawn


def _show_shares(found: Carried) -> str:
    """What each thing adds; empty where it tips on the way."""
    table = _share_table(found)
    if not len(table):
        return ""
    st.header("How much of that is the roof, how much the lift")
    drawn = waterfall(carried.share_steps(found), "deg")
    st.markdown(drawn, unsafe_allow_html=True)
    st.caption(carried.SHARE_NOTE)
    if note := carried.lift_words(found):
        st.caption(plain(note))
    with st.expander("The same as a table"):
        st.table(table, hide_index=True)
    return drawn


def _share_table(found: Carried) -> pd.DataFrame:
    return pd.DataFrame(carried.share_rows(found), columns=carried.SHARE_HEADS)


def _show_roof(found: Carried) -> None:
    st.header("How much roof load for the lean you choose")
    more = st.slider(
        "Lean in this bend, more than unladen by at most, %",
        0,
        100,
        25,
        5,
        key="more",
        bind="query-params",
    )
    limit = _roof_limit(
        frame.text(), found, case=found.case.name, lateral=found.lateral, more=more / 100
    )
    st.markdown(plain(carried.roof_words(found, limit, frame.units())))


def _show_handout(found: Carried, radius: float, speed: float) -> None:
    st.header("Take this to your fitter")
    st.markdown(bullets(handout.MEASURE))
    page = handout.page(found, bend_words(radius, speed), frame.units(), text=frame.text())
    st.download_button(
        "Save a page to print",
        page,
        file_name="for-the-fitter.html",
        mime="text/html",
        icon=":material/print:",
    )
    st.caption("Or send this link: it opens this page with this vehicle and this load.")
    st.code(f"{(st.context.url or '').split('?')[0]}{frame.link()}", language=None, wrap_lines=True)


def _show_notes(found: Carried) -> None:
    st.header("Read this with the figures")
    st.warning(bullets((UP_HIGH, STEADY_BEND, LAW)))
    st.info(plain(carried.OTHER_CAUSES))
    if found.scenario.assumed:
        count = len(found.scenario.assumed)
        st.caption(f"{count} values are assumed, not measured: weights and a tape firm it up.")


if __name__ == "__main__":
    show()
