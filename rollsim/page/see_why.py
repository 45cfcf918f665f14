"""See why: predict first, then the full working, one effect at a time, and exercises on it."""

import hashlib

import streamlit as st

from rollsim.cautions import LAW, STEADY_BEND, UP_HIGH
from rollsim.drawing.gauges import transfer_bars, transfer_rows
from rollsim.mass import states
from rollsim.page import asking, classroom, downloads, frame, lesson, links
from rollsim.page.asking import Posed
from rollsim.page.frame import bullets, plain, show_drawing, show_table
from rollsim.reader_units import READER_UNITS, UnitSystem, figure
from rollsim.scenario import Scenario, ScenarioError, loads
from rollsim.sentences import assumed_words
from rollsim.teaching import effects, leaning, questions, slips, worksheet
from rollsim.teaching.board import CARRIED
from rollsim.teaching.effects import WHY, EffectCurve, Lever, Sensitivity
from rollsim.teaching.questions import Question
from rollsim.teaching.working import Working, working
from rollsim.tell.names import state_words
from rollsim.tell.of_swerve import swerve_lean_words, swerve_words
from rollsim.units import to_unit

LOADING, EFFECT, CHANGE = "loading", "effect", "change"
_FOLDED = "why_folded"


@st.cache_data(max_entries=32, show_spinner=False)
def _read(text: str, name: str) -> Scenario:
    """The scenario alone: nothing is sized here."""
    return loads(text, name, frame.folder())


@st.cache_data(max_entries=64, show_spinner=False)
def _working(text: str, _read: Scenario, *, state: str, system: str) -> Working:
    return working(_read.job, state, READER_UNITS[UnitSystem(system)])


@st.cache_data(max_entries=64, show_spinner=False)
def _questions(text: str, _read: Scenario, *, state: str, system: str) -> tuple[Question, ...]:
    return questions.asked(_read.job, state, READER_UNITS[UnitSystem(system)])


@st.cache_data(max_entries=128, show_spinner=False)
def _curve(text: str, _read: Scenario, *, state: str, lever: Lever) -> EffectCurve:
    return effects.curve(_read.job, state, lever)


@st.cache_data(max_entries=64, show_spinner=False)
def _sensitivity(text: str, _read: Scenario, *, state: str) -> tuple[Sensitivity, ...]:
    return effects.sensitivity(_read.job, state)


def show() -> None:
    """Lay out the page."""
    st.html(lesson.PROJECTOR)
    st.title("See why")
    try:
        read = _read(frame.text(), frame.name())
    except ScenarioError as wrong:
        frame.show_errors(wrong)
    else:
        _show_all(read)


def _show_all(read: Scenario) -> None:
    """The question first; what answers it only after an answer."""
    notes = st.container()
    state = _choose_state(read)
    for line in links.refused(frame.asked(), _allowed(read)):
        notes.warning(plain(line))
    system = st.session_state.get(frame.UNITS, UnitSystem.METRIC.value)
    found = _working(frame.text(), read, state=state, system=system)
    answered = _predict(read, state, found)
    if answered:
        _show_working(found)
        _show_questions(read, state, found)
        _show_effects(read, state)
        _show_transfer(found)
        _show_sensitivity(read, state, found)
    left, right = st.columns(2, gap="large")
    with left:
        classroom.show_class(read.job)
    with right:
        classroom.show_bay(read.job, state, key=_key(state))
    if count := len(read.assumed):
        st.caption(f"{assumed_words(count)}; the page Vehicle shows which.")
    st.warning(bullets((UP_HIGH, STEADY_BEND, LAW)))


def _choose_state(read: Scenario) -> str:
    names = {state_words(s.name): s.name for s in states(read.job)}
    words = st.radio(
        "Loading",
        list(names),
        index=len(names) - 1,
        key=LOADING,
        bind="query-params",
        format_func=plain,
        on_change=frame.leave_link,
        horizontal=True,
    )
    return names[words]


def _allowed(read: Scenario) -> dict[str, list[str]]:
    """What a link may ask for."""
    levers = {lever.words: lever for lever in effects.levers(read.job)}
    lever = levers.get(frame.asked().get(EFFECT, ""), next(iter(levers.values())))
    return {
        LOADING: [plain(state_words(s.name)) for s in states(read.job)],
        EFFECT: list(levers),
        CHANGE: [str(percent) for percent in effects.percents(read.job, lever)],
    }


def _key(state: str) -> str:
    """A widget of its own for every vehicle and loading, so that no old answer stays."""
    return hashlib.sha256(f"{frame.text()}|{state}".encode()).hexdigest()[:12]


def _predict(read: Scenario, state: str, found: Working) -> bool:
    """The question and the vehicle's numbers; whether it was answered."""
    left, right = st.columns(2, gap="large")
    known = slips.figures(found.numbers, frame.units())
    with left:
        posed = Posed(
            lesson.question(found, state, read.job.vehicle.name),
            "Your answer first: lean per g (roll gradient), deg/g",
            lesson.HINT,
            to_unit(found.by_hand.roll_gradient, "deg/g"),
            {slip: to_unit(figure, "deg/g") for slip, figure in known.items()},
            to_unit(found.model.roll_gradient, "deg/g"),
            unit="deg/g",
        )
        answered = asking.ask(
            posed,
            key=_key(state),
            empty="Every result stays hidden until an answer is typed. Further down: worksheets "
            "for a class, and the lean test in the bay.",
        )
        if answered:
            _show_figures(found)
    with right, st.expander("The numbers to work with", expanded=True):
        rows = worksheet.given(read.job, state, frame.units())
        show_table(lesson.given_table(rows), alt="The vehicle's numbers for the working")
        classroom.show_one_page(read.job, state)
    return answered


def _show_figures(found: Working) -> None:
    model, bend = found.model, lesson.bend_words(found)
    shown = {
        "Lean per g by hand": found.by_hand.roll_gradient,
        "Lean per g, full model": model.roll_gradient,
        f"Lean per g at 0.4 g{bend}": model.secant_roll_gradient,
    }
    if bend:
        shown["Lean per g at 0.4 g in a right bend"] = model.right_secant_roll_gradient
    places = [*st.columns(2), *st.columns(2)]  # in three columns the labels are cut off
    for place, (label, value) in zip(places, shown.items(), strict=False):
        place.metric(f"{label}, deg/g", figure(value, "deg/g"))
    st.caption(plain(swerve_words(model.swerve)))


def _show_working(found: Working) -> None:
    st.header("The working")
    folded = st.toggle("Line by line: each result opens at a click", key=_FOLDED)
    st.caption(CARRIED)
    sections = worksheet.parts(found.steps)
    tabs = st.tabs([section.title for section in sections] + ["What the hand formula misses"])
    for tab, section in zip(tabs[:-1], sections, strict=True):
        with tab:
            st.html(lesson.steps_html(section.steps, folded=folded))
    with tabs[-1]:
        st.markdown(bullets(lesson.missed_words(found)))
        table = lesson.missed_table(found)
        show_table(table, alt="From the figure by hand to that of the full model")
        st.caption(
            "One after another, in this order. Each that changes less than 0.01 deg/g is left out."
        )
        downloads.table_button(table, "by hand and full model")


def _show_questions(read: Scenario, state: str, found: Working) -> None:
    """The further questions of this vehicle, each with its own lines."""
    st.header("More questions")
    system = st.session_state.get(frame.UNITS, UnitSystem.METRIC.value)
    asked = _questions(frame.text(), read, state=state, system=system)
    for tab, question in zip(st.tabs([one.title for one in asked]), asked, strict=True):
        with tab:
            if asking.ask(asking.of(question), key=f"{question.title}_{_key(state)}"):
                st.html(lesson.steps_html(question.steps, folded=st.session_state[_FOLDED]))
                if words := question.by_model(found.model, frame.units()):
                    st.markdown(f"**{plain(words)}**")


@st.fragment  # the slider redraws this part alone
def _show_effects(read: Scenario, state: str) -> None:
    st.header("One effect at a time")
    levers = {lever.words: lever for lever in effects.levers(read.job)}
    left, right = st.columns(2, gap="large")
    with left:
        chosen = st.selectbox(
            "What to change",
            list(levers),
            key=EFFECT,
            bind="query-params",
            on_change=_other_effect,
        )
        curve = _curve(frame.text(), read, state=state, lever=levers[chosen])
        now, at = curve.percents.index(0), curve.percents.index(_choose_change(curve))
        st.markdown(f"**{plain(lesson.effect_words(curve, now, at, frame.units()))}**")
        if at != now:
            thrown = leaning.swerve(read.job, state, curve, at=at)
            st.caption(plain(swerve_lean_words(thrown, curve.roll_gradients[at])))
        st.markdown(plain(WHY[curve.lever.effect]))
    with right:
        where = {"now": now, "at": at, "units": frame.units()}
        if view := lesson.effect_view(read.job, state, curve, **where):
            show_drawing(view)
            st.caption("Dashed: the vehicle as it is now, in the same left bend.")
    left, right = st.columns(2, gap="large")
    picture = lesson.effect_picture(curve, now, at, frame.units())
    with left:
        show_drawing(picture)
    with right:
        st.caption(
            "All else stays as it is. Heights are those on the scales; a lift comes on top. Ring: "
            "the vehicle now. Dot: your choice. The address of this page keeps vehicle, loading, "
            "effect and change: send it to the class."
        )
        with st.expander("The curve in figures, and to take away"):
            table = lesson.effect_table(curve, frame.units())
            st.dataframe(table, hide_index=True, alt="Lean per g along this input")
            downloads.table_button(table, "one effect")
            downloads.picture_buttons(picture, "one effect")


def _other_effect() -> None:
    """Another effect begins at the vehicle as it is now."""
    st.session_state[CHANGE] = 0
    frame.leave_link()


def _choose_change(curve: EffectCurve) -> int:
    """How much more of the input [%]."""
    first, second, *_, last = curve.percents
    if st.session_state.get(CHANGE, 0) not in curve.percents:
        st.session_state[CHANGE] = 0
    return st.slider(
        plain(lesson.lever_words(curve, frame.units())),
        min_value=first,
        max_value=last,
        value=0,
        step=second - first,
        format="%+d %%",
        key=CHANGE,
        bind="query-params",
        on_change=frame.leave_link,
    )


def _show_transfer(found: Working) -> None:
    st.header(
        "Weight transfer (lateral load transfer) at 0.4\N{NO-BREAK SPACE}g"
        + lesson.bend_words(found)
    )
    left, right = st.columns(2, gap="large")
    rows, units = transfer_rows(found.model.load_transfer), frame.units()
    with left:
        if rows:
            picture = transfer_bars(rows, units.force)
            show_drawing(picture)
            downloads.picture_buttons(picture, "weight transfer")
        else:
            st.warning("The vehicle tips below 0.4 g: there is no weight transfer to show.")
    with right:
        table = lesson.transfer_table(found, units)
        show_table(table, alt="Weight transfer by axle and part, by hand and from the full model")
        st.caption(
            "The full model's parts also hold what the tyres' give to the side and the weight over "
            "the leaning axle add; the hand formula leaves both out."
        )
        downloads.table_button(table, "weight transfer")


def _show_sensitivity(read: Scenario, state: str, found: Working) -> None:
    st.header("10 % more of each input")
    changes = _sensitivity(frame.text(), read, state=state)
    table = lesson.sensitivity_table(changes, found.model.roll_gradient, frame.units())
    show_table(table, alt="What 10 % more of each input does to lean per g and front share")
    downloads.table_button(table, "10 per cent more of each")


if __name__ == "__main__":
    show()
