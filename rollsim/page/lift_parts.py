"""Springs and weights: do wheels and leaf packs stand right, do the dampers reach?"""

import math
from collections.abc import Mapping, Sequence

import pandas as pd
import streamlit as st

from rollsim import mass
from rollsim.charts import WheelCurve, WheelMark, wheel_chart
from rollsim.drawing.lift_from_job import corner_of, dampers_of, leaf_of, mean_camber
from rollsim.lift_check import (
    ANGLES,
    LeafSign,
    LiftCheck,
    WheelStand,
    camber_curve,
    lift_check,
)
from rollsim.lift_wording import LEAF_CAUTION, damper_words, damping_words, leaf_words
from rollsim.page import downloads, frame
from rollsim.page.frame import bullets, plain, show_drawing, show_table
from rollsim.page.shown_chart import Chart, show_chart
from rollsim.reader_units import NO_FIGURE, ReaderUnits
from rollsim.scenario import Scenario
from rollsim.spring_check import AXLES, SpringCheck
from rollsim.tell.figures import Figure, rows
from rollsim.tell.names import state_words
from rollsim.tell.of_lift import DAMPERS_LISTED, LEAVES_LISTED, WHEELS_LISTED
from rollsim.units import to_unit
from rollsim.vehicle import Job
from rollsim.wheel_wording import ALIGNMENT_CAUTION, one_arm_words, wheel_words

NO_WHEELS = (
    "No alignment is given. On the page Vehicle, under the axle: camber, caster and toe as a rack "
    "reads them, and the linkage by tape under Roll centre by tape; independent suspension alone."
)
NO_DAMPERS = (
    "No damper is given. On the page Vehicle, under the axle: its length open, closed and as it "
    "stands, and how far its eyes are apart in height."
)
NO_LEAVES = (
    "No leaf spring is taped. On the page Vehicle, under a solid axle: Leaf spring and shackle as "
    "they stand."
)
LEAF_CAPTION = (
    "To scale, the frame kept where it is and the front to the left. Blue: main leaf; dashed: "
    "unladen; the shackle hangs from the frame."
)
CORNER_CAPTION = (
    "To scale, from behind; tyre width for the picture only. Chain line: plumb; red: middle of the "
    "wheel."
)
CASTER_CAPTION = "Caster by the linkage alone: how the body stands nose up or down comes on top."
DAMPER_CAPTION = (
    "Eye to eye. Blue: what the axle's travel takes of the stroke, full twist included; hatched "
    "red: what it wants beyond."
)


@st.cache_data(max_entries=32, show_spinner=False)
def _lift(text: str, _job: Job, _found: Sequence[SpringCheck]) -> LiftCheck:
    return lift_check(_job, _found)


def show_answer(scenario: Scenario, found: Sequence[SpringCheck], check: SpringCheck) -> None:
    """What wheels and dampers of the state shown want, where they are given."""
    lift = _lift(frame.text(), scenario.job, found)
    units, lines, trouble = frame.units(), [], False
    for end, states in lift.wheels:
        stand = dict(states)[check.name]
        trouble |= stand.wants_parts
        arms = [one_arm_words(of, arm, units) for of, arm in lift.one_arm if of == end]
        told = arms or [f"{end.capitalize()} wheels: {wheel_words(stand, units).answer}."]
        lines += [f"**{plain(line)}**" for line in told]
    for end, states in lift.dampers:
        reach = dict(states)[check.name]
        trouble |= bool(reach.findings)
        lines.append(plain(f"{end.capitalize()} dampers: {damper_words(reach, units)}."))
    for end, states in lift.leaves:
        stand = dict(states)[check.name]
        trouble |= stand.sign in (LeafSign.LITTLE, LeafSign.MUCH)
        lines.append(plain(f"{end.capitalize()} leaf packs: {leaf_words(stand, units)}."))
    if lines:
        tell = st.warning if trouble else st.info
        tell("\n".join(f"- {line}" for line in lines), icon=":material/tire_repair:")


def show_wheels(scenario: Scenario, found: Sequence[SpringCheck], check: SpringCheck) -> None:
    """The wheel before and now, its camber against travel, and every state as a table."""
    lift, units = _lift(frame.text(), scenario.job, found), frame.units()
    if not lift.wheels:
        st.caption(plain(NO_WHEELS))
        return
    for end, states in lift.wheels:
        st.markdown(f"**{end.capitalize()} wheels**")
        left, right = st.columns([2, 3], gap="large")
        with left:
            drawn = corner_of(scenario.job, end, dict(states), check.name)
            if drawn:
                show_drawing(drawn, "max-width:30rem")
                st.caption(CORNER_CAPTION)
        with right:
            _show_curve(scenario.job, end, dict(states), check.name, units=units)
        stand, before = (dict(states)[name] for name in (check.name, mass.UNLADEN))
        once = end in dict(lift.one_arm)
        words = wheel_words(stand, units, before=before, set_once=once)
        st.markdown(f"{plain(state_words(check.name))}: {plain(words.answer)}.")
        st.markdown(bullets(words.lines))
        table = _table(states, WHEELS_LISTED, units, corner=f"{end} wheels")
        _show_folded(table, f"{end} wheels")
        with st.container(horizontal=True):
            downloads.table_button(table, f"{end} wheels in every state")
            if drawn:
                downloads.picture_buttons(drawn, f"{end} wheel")
    st.warning(ALIGNMENT_CAUTION)


def show_dampers(scenario: Scenario, found: Sequence[SpringCheck], check: SpringCheck) -> None:
    """Each damper's stroke and what the travel takes of it, and every state as a table."""
    lift, units = _lift(frame.text(), scenario.job, found), frame.units()
    if not lift.dampers:
        st.caption(plain(NO_DAMPERS))
        return
    drawn = dampers_of(lift, check.name, units)
    show_drawing(drawn, "max-width:34rem")
    st.caption(DAMPER_CAPTION)
    st.markdown(plain(damping_words(lift.damping)))
    for end, states in lift.dampers:
        table = _table(states, DAMPERS_LISTED, units, corner=f"{end} dampers")
        _show_folded(table, f"{end} dampers")
        downloads.table_button(table, f"{end} dampers in every state")
    downloads.picture_buttons(drawn, "dampers")


def show_leaves(scenario: Scenario, found: Sequence[SpringCheck], check: SpringCheck) -> None:
    """Each leaf pack unladen and now, and every state as a table."""
    lift, units = _lift(frame.text(), scenario.job, found), frame.units()
    if not lift.leaves:
        st.caption(plain(NO_LEAVES))
        return
    for end, states in lift.leaves:
        drawn = leaf_of(scenario.job, end, dict(states), check.name, units)
        if drawn:
            show_drawing(drawn, "max-width:38rem")
            st.caption(LEAF_CAPTION)
        table = _table(states, LEAVES_LISTED, units, corner=f"{end} leaf packs")
        _show_folded(table, f"{end} leaf packs")
        with st.container(horizontal=True):
            downloads.table_button(table, f"{end} leaf packs in every state")
            if drawn:
                downloads.picture_buttons(drawn, f"{end} leaf pack")
    st.caption(LEAF_CAUTION)


def _show_folded(table: pd.DataFrame, what: str) -> None:
    with st.expander(f"Every figure of the {what}, state by state"):
        show_table(table, alt=f"The {what} in every state")


def _show_curve(
    job: Job, end: str, states: Mapping[str, WheelStand], shown: str, *, units: ReaderUnits
) -> None:
    """Camber, caster and toe against ride height, the states marked."""
    number, length = AXLES.index(end), units.length
    points = camber_curve(job, number, shown, here=states[shown].ride_height_change)
    if not points:
        return
    height = tuple(float(to_unit(one.ride_height_change, length)) for one in points)
    told = [word for word in ANGLES if f"{word}_change" not in states[shown].too_rough]
    curves = [
        WheelCurve(word, height, tuple(math.degrees(getattr(one, word)) for one in points))
        for word in told
        if all(math.isfinite(getattr(one, word)) for one in points)
    ]
    marks = [
        WheelMark(
            state_words(name),
            float(to_unit(stand.ride_height_change, length)),
            math.degrees(mean_camber(stand)),
        )
        for name, stand in states.items()
        if math.isfinite(stand.camber_change) and name in (mass.UNLADEN, shown)
    ]
    chart = Chart(wheel_chart, curves, marks, length)
    show_chart(
        chart,
        alt=f"Angles of the {end} wheels against ride height; the table holds the states",
    )
    if "caster" in [one.name for one in curves]:
        st.caption(CASTER_CAPTION)
    downloads.chart_buttons(chart, f"{end} camber against travel")


def _table(
    states: Sequence[tuple[str, object]],
    listed: Sequence[Figure],
    units: ReaderUnits,
    *,
    corner: str,
) -> pd.DataFrame:
    """Every state side by side; rows without a figure are left out."""
    lines = rows(listed, [of for _, of in states], units)
    cells = {row.label: row.cells for row in lines if set(row.cells) != {NO_FIGURE}}
    names = [state_words(name) for name, _ in states]
    return pd.DataFrame.from_dict(cells, orient="index", columns=names).rename_axis(corner)
