"""Road test: was the lean predicted right, and what puts the vehicle right?"""

import pandas as pd
import streamlit as st

from rollsim import mass
from rollsim.cautions import LAW
from rollsim.charts import residual_chart, road_chart
from rollsim.drawing import mounting_view
from rollsim.measured import Unknown
from rollsim.page import downloads, frame, record_here, road_log
from rollsim.page.answers import Sized
from rollsim.page.frame import bullets, plain, show_drawing, show_table
from rollsim.page.shown_chart import Chart, show_chart
from rollsim.plots.driven import CAPTION, driven_bands, driven_lines, driven_points
from rollsim.reader_units import figure
from rollsim.road_answer import Corrected, RoadAnswer, correct
from rollsim.road_test import RoadTest
from rollsim.road_wording import (
    allowance_words,
    before_words,
    beyond_words,
    columns_words,
    correction_words,
    measured_words,
    mounting_words,
    resized_words,
    wide_words,
)
from rollsim.scenario import ScenarioError
from rollsim.sentences import assumed_words, sentence
from rollsim.tell.names import state_words
from rollsim.tell.of_road import DRIVE
from rollsim.wording import bar_words

STATE, WITH_BAR, UNKNOWN = "driven", "bar_on", "moved"
NO_BAR, NOTHING = "none but what the vehicle has", "nothing"
_DONE = "road:done"


def show() -> None:
    """Lay out the page."""
    st.title("Road test")
    st.caption(
        "Drive steady bends with a phone or a logger on board, and hold the lean against the "
        "prediction: once as the vehicle arrives, once with the new bar."
    )
    if done := st.session_state.pop(_DONE, None):
        st.success(plain(done))
    try:
        sized = frame.read()
    except ScenarioError as wrong:
        frame.show_errors(wrong)
        return
    state, bar = _ask_vehicle(sized)
    rule = road_log.work_out(sized, None, state, bar=bar).answer
    _show_rule(rule, len(sized.scenario.assumed))
    st.header("The log")
    given = road_log.ask()
    if given is None:
        return
    columns = road_log.work_out(sized, given, state, bar=bar).columns
    given = road_log.ask_columns(given, columns)
    found = road_log.work_out(sized, given, state, bar=bar)
    if found.errors:
        road_log.show_errors(found, given.name)
        return
    st.caption(plain(columns_words(found.columns, found.mounting)))
    if found.mounting is not None:
        st.caption(plain(mounting_words(found.mounting)))
        show_drawing(mounting_view(found.mounting))
    _show_answer(found.answer)
    if found.answer.test.line is not None:
        _show_fit(found.answer)
    _show_thrown(found.answer.test)
    if found.answer.test.line is not None:
        _show_correction(sized, found.answer)
    st.warning(plain(LAW))


def _ask_vehicle(sized: Sized) -> tuple[str, int | None]:
    """The state that is driven, and the place in the ranking of the bar that is on."""
    left, right = st.columns(2)
    names = {state_words(s.name): s.name for s in mass.states(sized.scenario.job)}
    weighed = list(names.values()).index(mass.AS_WEIGHED)
    with left:
        state = st.selectbox(
            "State that is driven, people and fuel included",
            list(names),
            index=weighed,
            key=STATE,
            bind="query-params",
        )
    candidates = () if sized.sizing is None else sized.sizing.candidates
    bars = {bar_words(one, frame.units()): n for n, one in enumerate(candidates)}
    with right:
        bar = st.selectbox("Bar that is on", [NO_BAR, *bars], key=WITH_BAR, bind="query-params")
    return names[state], bars.get(bar)


def _show_rule(found: RoadAnswer, assumed: int) -> None:
    st.header("Before the drive")
    words = plain(allowance_words(found.allowance, found.state))
    if found.allowance.is_too_little:
        st.error(f"**{words}**", icon=":material/block:")
    else:
        st.warning(f"**{words}**", icon=":material/warning:")
    if how := before_words(found.allowance):
        st.markdown(bullets(how))
    if assumed:
        st.caption(
            f"{assumed_words(assumed)}, so the limit and the prediction are provisional; the page "
            "Vehicle shows which."
        )


def _show_answer(found: RoadAnswer) -> None:
    st.header("Answer")
    if beyond := beyond_words(found):
        st.error(plain(sentence(beyond)), icon=":material/warning:")
    if found.test.refused is not None:
        st.error(f"**{plain(road_log.here(measured_words(found)))}**")
        return
    st.markdown(f"**{plain(measured_words(found))}**")
    if wide := wide_words(found):
        st.warning(plain(road_log.here(wide)))
    if found.test.notes:
        st.markdown(bullets(found.test.notes))


def _show_fit(found: RoadAnswer) -> None:
    """Stretches and line, what the line leaves, and the same as a table."""
    points, curves, bands = driven_points(found.test), driven_lines(found), driven_bands(found)
    chart = Chart(road_chart, points, curves, bands)
    show_chart(
        chart,
        alt="Lean against lateral acceleration, a point a stretch, with the measured and the "
        "predicted line; the table below has the figures",
    )
    st.caption(CAPTION)
    show_table(_figures(found), alt="Figures of the measurement")
    record_here.show()
    st.markdown("**What the line leaves of each stretch**")
    show_chart(
        Chart(residual_chart, points),
        alt="Distance of each stretch from the line; the table below has the figures",
    )
    table = _table(found.test)
    with st.expander("The stretches as a table"):
        show_table(table, alt="Stretches: start, length, lateral acceleration, lean, off the line")
    with st.container(horizontal=True):
        downloads.table_button(table, "stretches")
        downloads.chart_buttons(chart, "road test")


def _figures(found: RoadAnswer) -> pd.DataFrame:
    columns = ["", "value", "band"]
    return pd.DataFrame([one.row(found) for one in DRIVE], columns=columns).set_index("")


def _table(test: RoadTest) -> pd.DataFrame:
    stretches, line = test.stretches, test.line
    rows = zip(
        stretches.start,
        stretches.seconds,
        stretches.lateral,
        stretches.roll,
        line.residuals,
        strict=True,
    )
    return pd.DataFrame(
        {
            "start, s": f"{start:.1f}",
            "length, s": f"{seconds:.1f}",
            "lateral acceleration, g": figure(a, "g", 3),
            "lean, deg": figure(roll, "deg"),
            "off the line, deg": figure(off, "deg"),
        }
        for start, seconds, a, roll, off in rows
    )


def _show_thrown(test: RoadTest) -> None:
    if test.stretches is None:
        return
    st.header("What was thrown away, and why")
    st.markdown(bullets([f"{why.value}: {s:.0f} s" for why, s in test.stretches.thrown]))


def _show_correction(sized: Sized, found: RoadAnswer) -> None:
    """One unknown put right, the bar sized again, and the new scenario to take."""
    st.header("Put the vehicle right")
    words = {unknown.value: unknown for unknown in Unknown}
    chosen = st.radio(
        "What is least certain, and is to be moved until prediction and drive agree",
        [NOTHING, *words],
        key=UNKNOWN,
        bind="query-params",
        horizontal=True,
    )
    if chosen == NOTHING:
        return
    try:
        made = _corrected(frame.text(), sized, found, unknown=words[chosen])
    except ValueError as wrong:
        st.error(plain(road_log.here(f"Not put right: {wrong}")))
        return
    said = (correction_words(made.calibration, frame.units()), *resized_words(made, frame.units()))
    st.markdown(bullets(said))
    if not made.is_put_in:
        return
    with st.container(horizontal=True):
        st.button(
            "Put it into the vehicle",
            type="primary",
            key="road:put",
            on_click=_put,
            args=(made.text, chosen),
        )
        st.download_button(
            "Save the corrected scenario",
            made.text,
            file_name=f"corrected-{frame.name()}",
            mime="application/toml",
            icon=":material/download:",
            key="road:save",
        )


def _corrected(text: str, sized: Sized, found: RoadAnswer, *, unknown: Unknown) -> Corrected:
    """Worked out once for a scenario, a measured gradient and its range, and an unknown."""
    gradient, ends = found.test.line.gradient, found.test.range
    return _worked_out(text, sized, found, (unknown, gradient, ends, found.state, found.bar))


@st.cache_data(max_entries=8, show_spinner="Calibrating, and sizing the bar again …")
def _worked_out(text: str, _sized: Sized, _found: RoadAnswer, asked: tuple) -> Corrected:
    return correct(text, _sized.scenario, _found, asked[0], folder=frame.folder())


def _put(text: str, what: str) -> None:
    frame.put(text)
    st.session_state[_DONE] = f"Put into the vehicle: {what}. All pages now compute with it."


if __name__ == "__main__":
    show()
