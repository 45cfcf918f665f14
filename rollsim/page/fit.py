"""Fit a bar: how far does it lean, and which rear bar brings the lean back?"""

from collections.abc import Callable, Collection, Sequence

import streamlit as st
from streamlit.delta_generator import DeltaGenerator
from streamlit.elements.lib.mutable_expander_container import ExpanderContainer

from rollsim.drawing import side_by_side
from rollsim.page import (
    answers,
    bars,
    fields,
    firm_up,
    fit_inputs,
    fit_parts,
    frame,
    links,
    outcome,
    pictures,
    tables,
)
from rollsim.page.answers import Answer, Bend, Sized
from rollsim.page.carried import OTHER_CAUSES
from rollsim.page.fields import Errors
from rollsim.page.frame import bullets, plain, show_drawing, show_table
from rollsim.page.outcome import Outcome
from rollsim.plots.bar_choice import Against
from rollsim.plots.lean_curves import FULL_REACH
from rollsim.roll import StateResult
from rollsim.scenario import ScenarioError
from rollsim.tell.names import driven_empty_words, state_words
from rollsim.tell.ratings import NO_RATING_RAISED

BAR = "bar"
_MINE, _TURN = "mine", "fit:turn"
_TO_THE_ANSWER = """<script>
{
  const answer = document.querySelector(".st-key-PLACE");
  if (answer) {
    answer.tabIndex = -1;
    answer.style.scrollMarginTop = "4rem";
    answer.focus({preventScroll: true});
    answer.scrollIntoView();
  }
}
</script>"""


@st.cache_data(max_entries=128, show_spinner="Computing …")
def _states(text: str, _read: Sized, *, rank: int | None, bend: Bend) -> tuple[StateResult, ...]:
    """Every state once for each text, bar, by its place in the ranking, and bend."""
    bar = None if rank is None else _read.sizing.candidates[rank]
    return answers.states(_read.scenario, bar, bend)


def _answered(read: Sized, rank: int | None, bend: Bend) -> Answer:
    """Put an answer together from what is computed once."""
    text, units = frame.text(), frame.units()
    before = _states(text, read, rank=None, bend=bend)
    if rank is None:
        return Answer(read.scenario, read.sizing, bend, before, units=units)
    after = _states(text, read, rank=rank, bend=bend)
    bar = read.sizing.candidates[rank]
    return Answer(read.scenario, read.sizing, bend, before, bar, after, units)


def show() -> None:
    """Lay out the page; once a vehicle was started the form is closed, the answer in sight.

    The answer is in sight too once a button asked for a front bar, or put something in.
    """
    place = st.session_state.pop(fit_parts.SEEN_NEXT, "")
    if st.session_state.pop(fit_inputs.STARTED, False):
        place = fit_parts.ANSWER
        st.session_state[_MINE] = False
    title, *inputs = st.columns([2, 5, 5])
    title.title("Fit a bar")
    notes = st.container()
    allowed: dict[str, Collection[str]] = {
        "bend": [b.value for b in Bend],
        fit_parts.AGAINST: [a.value for a in Against],
    }
    read, wrong = None, None
    try:
        read = frame.read()
    except ScenarioError as error:
        wrong = error
    _show_inputs(inputs, () if wrong is None else wrong.errors)
    if wrong is None:
        _show_all(read, allowed)
        if place:
            _bring_into_sight(place)
    else:
        frame.show_errors(wrong)
    for line in links.refused(frame.asked(), allowed):
        notes.warning(plain(line))


def _bring_into_sight(place: str) -> None:
    """Scroll to a part of the page, by its key: in turns at one of two spots.

    A browser runs the script of a new element, not of one that stays.
    """
    spots, turn = (st.container(), st.container()), st.session_state.get(_TURN, 0)
    st.session_state[_TURN] = 1 - turn
    spots[turn].html(_TO_THE_ANSWER.replace("PLACE", place), unsafe_allow_javascript=True)


def _show_inputs(places: Sequence[DeltaGenerator], wrong: tuple[str, ...]) -> None:
    """A vehicle in a minute, and what the bar is to do and be made of."""
    left, right = places
    with left, _behind("Start with my vehicle: class, weights", ":material/scale:", _MINE) as part:
        if part.open:
            fit_inputs.my_vehicle()
    if fields.readable(frame.text()):
        with right, _behind("Target, load case, bar", ":material/tune:", "job") as part:
            if part.open:
                fit_inputs.job_inputs(Errors(wrong))


def _behind(label: str, icon: str, key: str) -> ExpanderContainer:
    """Inputs that are made only once they are looked at: each one more slows the slider."""
    return st.expander(label, icon=icon, key=key, bind="query-params", on_change="rerun")


def _show_all(read: Sized, allowed: dict[str, Collection[str]]) -> None:
    """Everything under the inputs; adds what a link may ask for to `allowed`."""
    changed = st.session_state.get("fit:text", frame.text()) != frame.text()
    st.session_state["fit:text"] = frame.text()
    head = st.container(key=fit_parts.ANSWER)
    left, right = st.columns([8, 5], gap="medium")
    figures = right.container()
    rank = None
    if read.sizing is not None and read.sizing.candidates:
        names = bars.bar_names(read.sizing, frame.units())
        allowed[BAR] = names
        with right:
            rank = _choose_bar(read, names, changed)
    found = _answered(read, rank, Bend.LEFT)
    allowed["state"] = [plain(state_words(name)) for name in answers.choices(found)]
    with head:
        answer, after, sure = _show_answer(found)
        fit_parts.new_front(found)
        fit_parts.pair(found)
    with figures:
        found, case = _choose_state_and_bend(
            found, lambda bend: _answered(read, rank, bend), changed
        )
        _show_figures(found, case)
    with left:
        _slide(found, case)
        if words := answers.bend_words(found):
            st.caption(plain(words))
    if found.bar is not None:
        right.markdown(plain(bars.verdict(found)))
    lost = right.container()
    with right:
        fit_parts.ask_for_a_pair(found)
    _show_details(found, case)
    fit_parts.job_sheet(found)
    firm_up.show(found)
    fit_parts.cautions(found)
    if doubt := firm_up.doubt(found):
        _show_choice(answer, found, doubt)
    with sure:
        firm_up.how_sure(found)
    with lost:
        firm_up.lost_in_the_cab(found)
    if after is not None:
        with after:
            fit_parts.what_else(found)


def _choose_state_and_bend(
    found: Answer, in_bend: Callable[[Bend], Answer], changed: bool
) -> tuple[Answer, str]:
    """How it is loaded, and which way it turns where that matters."""
    harder = answers.harder_bend(found)
    columns = st.columns([3, 2]) if harder else [st.container()]
    with columns[0]:
        case = _choose_state(found)
    if harder is not None:
        with columns[1]:
            found = in_bend(_choose_bend(harder, changed))
    return found, case


def _choose_bar(read: Sized, names: tuple[str, ...], changed: bool) -> int:
    """The place of the bar to show in the ranking."""
    default, now = bars.default_rank(read.sizing), st.session_state.get(BAR)
    if changed:
        st.session_state[BAR] = names[default]
    elif now is not None and now not in names:
        st.session_state[BAR] = names[bars.rank_in(now, len(names), default)]
    chosen = st.selectbox(
        "Bar that is shown, by rank",
        names,
        index=default,
        key=BAR,
        bind="query-params",
        on_change=frame.leave_link,
    )
    return names.index(chosen)


def _show_answer(
    found: Answer,
) -> tuple[DeltaGenerator, DeltaGenerator | None, DeltaGenerator]:
    """Over a rating first, then the answer, or what is in the way.

    Returns places for what takes longer and is worked out once all else stands: the bar that is
    chosen, with its doubt, what else helps, None where nothing is to be counted, and how sure the
    answer is.
    """
    over = tables.over_ratings(found)
    if over:
        head = f"**OVER A RATING.** {NO_RATING_RAISED}"
        st.error(f"{head}\n{bullets(over)}", icon=":material/warning:")
    answer, after = _in_bold(outcome.headline(found), outcome.leading(found)), None
    place = st.empty()
    match outcome.outcome(found):
        case Outcome.FITS | Outcome.COSTS_BALANCE:
            _show_choice(place, found)
        case Outcome.NO_BAR:
            st.info(answer)
            fit_inputs.begin_a_bar()
        case Outcome.NOTHING if found.sizing.new_front is not None:
            st.info(answer)
        case Outcome.NOTHING:
            st.info(f"{answer}\n\n{plain(OTHER_CAUSES)}")
            fit_inputs.less_than_now()
        case Outcome.NONE:
            after = _show_why_none(found, answer)
    sure = st.container()
    if lines := outcome.remarks(found):
        st.caption(plain(" ".join(lines)))
    return place, after, sure


def _show_choice(place: DeltaGenerator, found: Answer, doubt: str = "") -> None:
    """The bar that is chosen; anew where it turns out to miss too often."""
    answer = _in_bold(outcome.headline(found, doubt), outcome.leading(found))
    if outcome.outcome(found) is Outcome.FITS:
        place.info(answer)
    else:
        place.warning(answer, icon=":material/warning:")


def _in_bold(paragraphs: Sequence[str], leading: int) -> str:
    """Paragraphs as Markdown, the leading ones in bold."""
    words = [plain(paragraph) for paragraph in paragraphs]
    return "\n\n".join([*(f"**{one}**" for one in words[:leading]), *words[leading:]])


def _show_why_none(found: Answer, answer: str) -> DeltaGenerator:
    """What is in the way, the figures, and a place for what else would help."""
    with st.container(border=True):
        st.warning(answer, icon=":material/block:")
        left, right = st.columns([2, 5])
        with left:
            show_table(
                outcome.outcome_table(found), hide_header=True, alt="What is wanted, and the limit"
            )
        return right.container()


def _choose_state(found: Answer) -> str:
    """The state in the pictures."""
    names = {state_words(name): name for name in answers.choices(found)}
    chosen = st.radio(
        "How it is loaded",
        list(names),
        key="state",
        bind="query-params",
        format_func=plain,
        horizontal=True,
        on_change=frame.leave_link,
    )
    return names[chosen]


def _choose_bend(harder: Bend, changed: bool) -> Bend:
    """Left or right, at first the one that leans more."""
    sides = [bend.value for bend in Bend]
    if changed:
        st.session_state["bend"] = harder.value
    chosen = st.radio(
        "Bend to the",
        sides,
        index=sides.index(harder.value),
        key="bend",
        bind="query-params",
        horizontal=True,
        on_change=frame.leave_link,
    )
    return Bend(chosen)


def _show_figures(found: Answer, case: str) -> None:
    """The empty vehicle beside the loaded one: that is where a rear bar hurts."""
    table = tables.compared_table(found, case)
    show_table(table, alt="Lean, wheel lift, tipping point and balance, empty and loaded")
    if said := driven_empty_words([case]):
        st.caption(plain(said))


@st.fragment
def _slide(found: Answer, case: str) -> None:
    """What follows the slider: only this runs again."""
    lateral = _choose_lateral()
    shown = pictures.views(found, case, lateral)
    drawn = [pictures.picture(found, view) for view in shown[-pictures.SIDE_BY_SIDE :]]
    show_drawing(side_by_side(drawn))
    fit_parts.in_this_bend(found, shown, drawn)


def _choose_lateral() -> float:
    """The slider; between its steps, where only a link can put it, it goes to the nearest."""
    if "step" in st.session_state:
        st.session_state[links.LATERAL] = st.session_state.pop("step")
    chosen = st.slider(
        "Lateral acceleration, g",
        min_value=0.0,
        max_value=FULL_REACH,
        value=0.4,
        step=0.05,
        format="%.2f g",
        key=links.LATERAL,
        bind="query-params",
        on_change=frame.leave_link,
    )
    if not links.on_a_step(chosen):
        st.session_state["step"] = links.nearest_step(chosen)
        st.rerun()
    return chosen


def _show_details(found: Answer, case: str) -> None:
    """The rest, behind tabs so that a phone page has an end."""
    parts: dict[str, Callable[[], None]] = {}
    if found.bar is not None:
        parts["Every bar"] = lambda: fit_parts.every_bar(found, BAR)
        parts["This bar"] = lambda: fit_parts.this_bar(found)
    parts["Curves"] = lambda: fit_parts.curves(found, case)
    parts["States and ratings"] = lambda: fit_parts.states(found)
    tabs = st.tabs(list(parts), key="part", bind="query-params", on_change="rerun")
    for tab, part in zip(tabs, parts.values(), strict=True):
        if tab.open:
            with tab:
                part()


if __name__ == "__main__":
    show()
