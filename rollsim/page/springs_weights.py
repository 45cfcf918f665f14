"""Springs and weights: is the vehicle right for what it carries, and what do bay tests say?"""

import math
from collections.abc import Callable, Sequence

import streamlit as st

from rollsim import mass
from rollsim.cautions import AFTER_LIFT, BEFORE_USE, SPRING_CAUTIONS, STEADY_BEND, UP_HIGH
from rollsim.charts import rate_chart
from rollsim.drawing import side_view, side_view_of, waterfall
from rollsim.drawing.travel import CAPTION
from rollsim.inverse_wording import answer_words
from rollsim.option_wording import option_words, right_in_words
from rollsim.page import (
    after_lift,
    bay_forms,
    downloads,
    fields,
    frame,
    lift_parts,
    links,
    options_answer,
    shelf,
    springs_answer,
)
from rollsim.page.frame import bullets, plain, said_bullets, show_drawing, show_table
from rollsim.page.shown_chart import Chart, show_chart
from rollsim.reader_units import ReaderUnits
from rollsim.roll.contributions import Stage, stages
from rollsim.scenario import Scenario, ScenarioError, loads
from rollsim.sizing.amounts import AmountKind, Subject
from rollsim.sizing.asked import ask, target_goal
from rollsim.sizing.inverse import Seek
from rollsim.spring_check import SpringCheck, spring_checks
from rollsim.spring_options import OptionResult, spring_options
from rollsim.tell.names import state_words
from rollsim.tell.ratings import not_checked_words

STATE, PART = "standing", "part"
RATE_NOTE = (
    "Rate of one side before any second stage, which is stiffened alike; at the wheel on "
    "independent suspension. A stiffer spring rides harder: set it beside the others under Other "
    "springs."
)
PARTS = (
    *("Every state", "What each change does", "Spring curve", "Spring options"),
    *("Wheels", "Dampers", "Leaf packs"),
)


@st.cache_data(max_entries=32, show_spinner=False)
def _read(text: str, name: str) -> Scenario:
    """The scenario alone: nothing is sized here."""
    return loads(text, name, frame.folder())


@st.cache_data(max_entries=32, show_spinner=False)
def _checks(text: str, _scenario: Scenario) -> tuple[SpringCheck, ...]:
    return spring_checks(_scenario.job)


@st.cache_data(max_entries=64, show_spinner=False)
def _stages(text: str, _scenario: Scenario, *, state: str) -> tuple[Stage, ...]:
    return stages(_scenario.job, state, each_item=True)


@st.cache_data(max_entries=16, show_spinner="Sizing a bar with each of the springs …")
def _options(text: str, _scenario: Scenario) -> tuple[OptionResult, ...]:
    return spring_options(_scenario.job, _scenario.rear_bar)


@st.cache_data(max_entries=64, show_spinner=False)
def _rate_words(text: str, _scenario: Scenario, *, state: str, units: ReaderUnits) -> str:
    """The rear spring rate that brings a load case to the target without a new bar."""
    job = _scenario.job
    case, springs = mass.named(job, state), Subject(AmountKind.SPRING_RATE, axle=1)
    goal = target_goal(job, case)
    if not math.isfinite(goal.limit):
        return "the target has no figure, it tips before."
    asked = ask(job, case, springs, seek=Seek.LEAST, goals=(goal,))
    return answer_words(asked, units, _scenario.assumed)


def show() -> None:
    """Lay out the page."""
    st.title("Springs and weights")
    try:
        scenario = _read(frame.text(), frame.name())
    except ScenarioError as wrong:
        frame.show_errors(wrong)
        return
    found = _checks(frame.text(), scenario)
    shown = springs_answer.choices(scenario.job, found)
    allowed = {STATE: [plain(state_words(check.name)) for check in shown], PART: PARTS}
    for line in links.refused(frame.asked(), allowed):
        st.warning(plain(line))
    check = _choose_state(shown)
    _show_answer(found, check)
    left, right = st.columns([5, 6], gap="large")
    with left:
        drawn = _show_picture(scenario, check)
    with right:
        _show_figures(scenario, found, check)
    _show_details(scenario, found, check, drawn)
    bay_forms.show(scenario)
    _show_cautions(scenario)


def _choose_state(shown: Sequence[SpringCheck]) -> SpringCheck:
    names = {state_words(check.name): check for check in shown}
    if st.session_state.get(STATE) not in names:
        st.session_state.pop(STATE, None)
    chosen = st.radio(
        "How it is loaded",
        list(names),
        key=STATE,
        bind="query-params",
        format_func=plain,
        horizontal=True,
        on_change=frame.leave_link,
    )
    return names[chosen]


def _show_answer(found: Sequence[SpringCheck], check: SpringCheck) -> None:
    """Over a rating first, of every state; then the answer in one sentence, axle by axle."""
    over = springs_answer.over_ratings(found, frame.units())
    if over:
        head = "**OVER A RATING.** No spring, bar or lift raises a rating: take load off."
        st.error(f"{head}\n{bullets(over)}", icon=":material/warning:")
    tell = st.info if springs_answer.suited(check) else st.warning
    why = bullets(springs_answer.reasons(check, frame.units()))
    tell(f"**{plain(springs_answer.headline(check))}**\n{why}")


def _show_picture(scenario: Scenario, check: SpringCheck) -> str:
    units = frame.units()
    view = side_view_of(scenario.job, check, title=state_words(check.name), units=units)
    drawn = side_view(view)
    _draw(drawn)
    st.caption(
        f"Wheelbase, heights and ride height to scale; arrows: axle loads, the bar across one its "
        f"rating. {CAPTION}"
    )
    return drawn


def _draw(picture: str) -> None:
    """No wider than its text wants."""
    show_drawing(picture, "max-width:34rem")


def _show_figures(scenario: Scenario, found: Sequence[SpringCheck], check: SpringCheck) -> None:
    """The state's figures, and what a lift asks for."""
    units = frame.units()
    show_table(
        springs_answer.state_table(check, units), alt="Springs of this state, front beside rear"
    )
    lift_parts.show_answer(scenario, found, check)
    state = mass.named(scenario.job, check.name)
    if after_lift.lifted(scenario.job, state):
        for line in after_lift.code_words(scenario.job, state, units):
            st.warning(plain(line), icon=":material/gavel:")
        with st.expander("After the lift: check these", icon=":material/checklist:", expanded=True):
            st.markdown(bullets(AFTER_LIFT))


def _show_details(
    scenario: Scenario, found: Sequence[SpringCheck], check: SpringCheck, drawn: str
) -> None:
    """The rest, behind tabs."""
    parts: dict[str, Callable[[], None]] = {
        PARTS[0]: lambda: _show_states(scenario, found),
        PARTS[1]: lambda: _show_changes(scenario, check),
        PARTS[2]: lambda: _show_curve(scenario, check),
        PARTS[3]: lambda: _show_options(scenario, check),
        PARTS[4]: lambda: lift_parts.show_wheels(scenario, found, check),
        PARTS[5]: lambda: lift_parts.show_dampers(scenario, found, check),
        PARTS[6]: lambda: lift_parts.show_leaves(scenario, found, check),
    }
    tabs = st.tabs(list(parts), key=PART, bind="query-params")
    for tab, part in zip(tabs, parts.values(), strict=True):
        with tab:
            if tab.open:
                part()
    with st.expander("Save the picture"):
        downloads.picture_buttons(drawn, "side view")


def _show_states(scenario: Scenario, found: Sequence[SpringCheck]) -> None:
    units = frame.units()
    for end in ("front", "rear"):
        table = springs_answer.axle_table(found, end, units)
        show_table(table, alt=f"The {end} axle in every state")
    downloads.table_button(springs_answer.long_table(found, units), "springs in every state")
    st.markdown("**Payload left on every rating**")
    _show_payload(found)
    if missing := not_checked_words(scenario.job):
        st.caption(plain(f"Ratings {missing}: put them in on the page Vehicle, under Ratings."))


def _show_options(scenario: Scenario, check: SpringCheck) -> None:
    if check.name in mass.case_names(scenario.job):
        words = _rate_words(frame.text(), scenario, state=check.name, units=frame.units())
        st.markdown(f"Springs instead of a new bar, for the target: {plain(words)}")
        st.caption(RATE_NOTE)
    shelf.show_springs()
    found = _options(frame.text(), scenario)
    if not found:
        st.caption(plain(options_answer.NONE_GIVEN))
        return
    st.markdown(f"**{plain(option_words(found, frame.units()))}**")
    drawn = options_answer.picture(found, frame.units())
    show_drawing(drawn, "max-width:34rem")
    st.caption(options_answer.CAPTION)
    right = right_in_words(found, frame.units())
    st.markdown(f"Which stand right where:\n{bullets(right)}")
    table = options_answer.options_table(found, frame.units())
    show_table(table, hide_index=True, alt="Every set of springs in every state")
    if lines := options_answer.bar_lines(found, frame.units()):
        st.markdown(f"Rear bar needed with each:\n{bullets(lines)}")
    if lines := options_answer.part_lines(found):
        st.markdown(f"From the shop's shelf:\n{bullets(lines)}")
    with st.container(horizontal=True):
        downloads.table_button(table, "spring options")
        downloads.picture_buttons(drawn, "which springs stand right")


def _show_payload(found: Sequence[SpringCheck]) -> None:
    table = springs_answer.payload_table(found, frame.units())
    if not len(table):
        return
    show_table(table, alt="What each rating leaves in each state")
    st.caption(
        "What may still go on is the least of these that an item counts against; between the "
        "axles it loads both."
    )
    downloads.table_button(table, "payload left")


def _show_changes(scenario: Scenario, check: SpringCheck) -> None:
    """Lean per g and tipping point, from unladen to this state, a step at a time."""
    found = _stages(frame.text(), scenario, state=check.name)
    if len(found) < 2:
        st.caption("Unladen: nothing is put on and nothing is changed.")
        return
    pictures = (
        ("lean per g", "roll gradient", "deg/g", lambda one: one.secant_roll_gradient),
        ("tipping point", "tip-over threshold", "g", lambda one: one.tip_over_threshold),
    )
    drawn, end = {}, state_words(check.name)
    for place, picture in zip(st.columns(2, gap="large"), pictures, strict=True):
        name, term, unit, value = picture
        with place:
            st.markdown(f"**{name.capitalize()} ({term})**")
            steps = springs_answer.waterfall_steps(found, value)
            if not steps:
                st.caption("Not drawn: in one of the steps it tips before 0.4 g.")
                continue
            drawn[name] = waterfall(steps, unit, end=end)
            _draw(drawn[name])
    st.caption(springs_answer.ORDER_NOTE)
    table = springs_answer.change_table(found)
    with st.expander("The same as a table"):
        show_table(table, hide_index=True, alt="What each change adds")
    with st.container(horizontal=True):
        downloads.table_button(table, "what each change does")
        for name, picture in drawn.items():
            downloads.picture_buttons(picture, f"changes, {name}")


def _show_curve(scenario: Scenario, check: SpringCheck) -> None:
    """Force against travel, the slope being the rate, with the point where each axle stands."""
    units = frame.units()
    curves = springs_answer.rate_curves(scenario.job, check, units)
    shown = (units.length, units.force, units.rate)
    chart = Chart(rate_chart, curves, shown)
    show_chart(
        chart,
        alt="Force on one side of each axle against travel; the table holds its figures",
    )
    st.caption(
        "Spring and stops together, without friction; the slope is the rate. Diamonds: where it "
        "stands. Solid axle: at the spring; independent: at the wheel."
    )
    with st.container(horizontal=True):
        downloads.table_button(springs_answer.curve_table(curves, units), "spring curves")
        downloads.chart_buttons(chart, "spring curves")


def _show_cautions(scenario: Scenario) -> None:
    st.header(BEFORE_USE)
    st.warning(bullets((*SPRING_CAUTIONS, UP_HIGH, STEADY_BEND)))
    if scenario.assumed:
        with st.expander(f"Assumed, not measured: {len(scenario.assumed)} values"):
            st.markdown(said_bullets(map(fields.line_in_words, scenario.assumed)))
    if scenario.notes:
        with st.expander("Notes"):
            st.markdown(said_bullets(scenario.notes))


if __name__ == "__main__":
    show()
