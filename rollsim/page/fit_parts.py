"""The parts of the page Fit a bar that stand behind a click: each lays out one answer."""

import functools
from collections.abc import Callable, Mapping, Sequence

import streamlit as st

from rollsim.cautions import BEFORE_USE, STIFFER_FRONT
from rollsim.charts import CLICKED, choice_chart, lean_chart
from rollsim.cost_wording import these_bars, worse_words
from rollsim.page import bars, downloads, fields, frame, outcome, pictures, tables
from rollsim.page.answers import Answer
from rollsim.page.frame import bullets, plain, said_bullets, show_drawing, show_table
from rollsim.page.pictures import View
from rollsim.page.shown_chart import Chart, show_chart
from rollsim.pair_wording import pair_title, pair_words
from rollsim.plots.bar_choice import Against, bar_choice, notes
from rollsim.remedies import pair_change
from rollsim.remedy_wording import HELP_TITLE, remedy_name, remedy_words
from rollsim.scenario import pair_asked
from rollsim.scenario.embedded import with_tables
from rollsim.scenario.pasting import pasted
from rollsim.sentences import sentence
from rollsim.sizing import NoPair, Pair
from rollsim.tell.names import driven_empty_words, state_words
from rollsim.tell.ratings import not_checked_words
from rollsim.wording import RANKING_WORDS, provisional

_RANKED, _MARKS = "fit:ranked", "fit:marks"
_REFUSED = "fit:no-pair"
AGAINST = "against"
SEEN_NEXT = "fit:seen-next"
"""Where in the page a button wants its answer to be seen: a key of one of these."""
ANSWER, _PAIR = "answer", "front-bar"
WHEELS = "wheels"
_TWISTS = " The frame twists: the body is drawn at the cab's lean, springs and bar at the tray's."


def in_this_bend(found: Answer, shown: Sequence[View], drawn: Sequence[str]) -> None:
    """Wheel loads, rise at the arches and spring travel at the slider's acceleration."""
    with st.expander(
        "Wheel loads, wheel arches and spring travel in this bend",
        key=WHEELS,
        bind="query-params",
        on_change="rerun",
    ) as part:
        if not part.open:
            return
        wheels = tables.wheel_table(found, shown)
        show_table(wheels, alt="Lean, wheel loads and rise of the wheel arches")
        st.caption(
            "Arch: rise of the body over that wheel from as weighed, tape from the ground to the "
            "arch. In the pictures, seen from behind: lean and heights to scale; dashed: the body "
            "unladen in the same bend; boxes: the load; arrows: what the road carries."
            f"{_TWISTS if _twists(found) else ''}"
        )
        travel = tables.travel_table(found, shown)
        show_table(travel, hide_index=True, alt="Spring travel and what is left to the stops")
        st.caption(
            "Spring: travel from as weighed, + is extension. Left: to the stop, at the stop; "
            "a dash where none is given."
        )
        with st.container(horizontal=True):
            downloads.table_button(wheels, "wheel loads")
            downloads.table_button(travel, "spring travel")
            for number, picture in enumerate(drawn, 1):
                downloads.picture_buttons(picture, f"picture {number}")


def _twists(found: Answer) -> bool:
    return found.scenario.job.vehicle.frame_torsional_stiffness is not None


def every_bar(found: Answer, bar_key: str) -> None:
    """Every bar at hand, as a picture and as a table; a click in either shows that bar."""
    sizing = found.sizing
    accepted = sum(c.accepted for c in sizing.candidates)
    told = f"Accepted: {accepted}. Rejected: {len(sizing.candidates) - accepted}."
    if sizing.nothing_to_bring_back:
        told = "At hand, none of them ordered."
    st.markdown(f"**{told}** Click a mark in the picture or a row of the table to see that bar.")
    left, right = st.columns([6, 7], gap="medium")
    with left:
        chart = _choice(found, bar_key)
    with right:
        _ranked(found, bar_key)
    with st.container(horizontal=True):
        downloads.table_button(bars.ranked_table(found, rejected=True), "ranked bars")
        if chart is not None:
            downloads.chart_buttons(chart, "choice of bar")


def _choice(found: Answer, bar_key: str) -> Chart | None:
    """The picture of the choice, which it returns; None where no bar has a place."""
    against = Against(
        st.radio(
            "Lean against",
            [one.value for one in Against],
            key=AGAINST,
            bind="query-params",
            horizontal=True,
            on_change=frame.leave_link,
        )
    )
    choice = bar_choice(found.sizing, found.scenario.job.limits, found.units)
    if not choice.dots:
        st.caption(plain(" ".join(map(sentence, notes(choice)))))
        return None
    shown = next(rank for rank, c in enumerate(found.sizing.candidates, 1) if c is found.bar)
    chart = Chart(choice_chart, choice, against, shown=shown)
    key = f"{_MARKS}:{shown}"  # with another bar a new picture, in which nothing is clicked yet
    name_of = functools.partial(bar_of_mark, names=bars.bar_names(found.sizing, found.units))
    show_chart(
        chart,
        key=key,
        on_select=functools.partial(_clicked, key, name_of, bar_key),
        alt=f"Lean per g against {against.value}, a mark a bar and hole; the table has its figures",
    )
    ringed = [f"in the ring, and shown above: {d.words}" for d in choice.dots if d.rank == shown]
    lines = "numbers: the rank; lines join the holes of one bar"
    st.caption(plain(" ".join(map(sentence, (*ringed, lines, *notes(choice))))))
    return chart


def _ranked(found: Answer, bar_key: str) -> None:
    """The table of the bars, without the rejected ones where there are others."""
    sizing = found.sizing
    accepted = sum(c.accepted for c in sizing.candidates)
    rejected_too = not accepted
    if 0 < accepted < len(sizing.candidates):
        rejected_too = st.toggle(
            "Show the rejected ones too, with the reason", key="rejected", bind="query-params"
        )
    table = bars.ranked_table(found, rejected=rejected_too)
    key = f"{_RANKED}:{rejected_too}"
    names = bars.bar_names(sizing, found.units)
    name_of = functools.partial(bar_of_row, ranks=table[bars.RANK], names=names)
    st.dataframe(
        table,
        hide_index=True,
        key=key,
        selection_mode="single-cell",
        on_select=functools.partial(_clicked, key, name_of, bar_key),
        alt="The rear bars on the list with the figures that decide between them",
        column_config={
            label: st.column_config.NumberColumn(format=f"%.{places}f")
            for label, places in bars.decimals(found).items()
        },
        placeholder="–",
    )
    st.caption(
        f"{RANKING_WORDS} Empty: {plain(state_words(sizing.emptiest))}. Lean per g is that of "
        f"{plain(state_words(sizing.case))}, the state sized for. Click a heading to sort."
    )


def _clicked(key: str, name_of: Callable[[Mapping], str | None], bar_key: str) -> None:
    """Show the bar that was clicked in the picture or the table with that key."""
    name = name_of(st.session_state[key])
    if name is not None:
        st.session_state[bar_key] = name
        frame.leave_link()


def bar_of_mark(state: Mapping, names: Sequence[str]) -> str | None:
    """Name of the bar whose mark is selected in the picture; None where none is."""
    marks = state["selection"].get(CLICKED)
    return names[int(marks[0]["rank"]) - 1] if marks else None


def bar_of_row(state: Mapping, ranks: Sequence[int], names: Sequence[str]) -> str | None:
    """Name of the bar in the row of a selected cell; None where none is selected."""
    cells = state["selection"]["cells"]
    return names[ranks[cells[0][0]] - 1] if cells else None


def this_bar(found: Answer) -> None:
    """What the selected bar costs, and where its steel works hardest."""
    left, right = st.columns(2, gap="large")
    with left:
        what = these_bars(bars.as_if_chosen(found))
        st.markdown(f"**What gets worse with {what}**\n{bullets(bars.costs(found))}")
    with right:
        st.markdown("**Stress along the bar**")
        drawn = pictures.bar_picture(found)
        show_drawing(drawn, "max-width:30rem")
        stress = bars.stress_table(found)
        show_table(stress, hide_index=True, alt="Stress along the bar")
        st.caption(bars.STRESS_IS)
        with st.container(horizontal=True):
            downloads.table_button(stress, "stress along the bar")
            downloads.picture_buttons(drawn, "bar")


def curves(found: Answer, case: str) -> None:
    """Lean against lateral acceleration, as a chart and as a table."""
    lines = pictures.lean_curves(found, case)
    chart = Chart(lean_chart, lines)
    show_chart(
        chart,
        alt="Lean against lateral acceleration, a line a state; the table below has its figures",
    )
    st.caption(
        "Triangles on the axis: tipping points (tip-over thresholds), where the line ends. "
        "Diamond and square: an inner wheel lifts. Both are the worse of left and right bend."
    )
    table = pictures.curves_table(lines)
    with st.expander("The chart as a table"):
        show_table(table, alt="Lean at each lateral acceleration, wheel lift and tipping point")
    with st.container(horizontal=True):
        downloads.table_button(table, "lean curves")
        downloads.chart_buttons(chart, "lean curves")


def states(found: Answer) -> None:
    """Every state side by side, now and with the bar, and what is on the ratings."""
    table = tables.states_table(found)
    show_table(table, alt="The states side by side")
    if said := " ".join(filter(None, (tables.twin_words(found), empty_words(found)))):
        st.caption(plain(said))
    ratings = tables.ratings_table(found)
    if len(ratings):
        st.markdown(
            "**Ratings, and the load on each" + (" with the bar**" if found.after else "**")
        )
        show_table(ratings, alt="Ratings, and the load on each")
    if missing := not_checked_words(found.scenario.job):
        st.caption(plain(f"Ratings {missing}."))
    with st.container(horizontal=True):
        downloads.table_button(table, "states")
        if len(ratings):
            downloads.table_button(ratings, "ratings")


def empty_words(found: Answer) -> str:
    """What the state "driven empty" is, where it is shown."""
    return driven_empty_words([result.name for result in found.before])


def what_else(found: Answer) -> None:
    """What else would help, each with a button that puts it into the scenario."""
    source = with_tables(frame.name(), frame.text(), frame.folder())
    helps = outcome.helps_of(found, source)
    for line in outcome.not_counted(found, source):
        st.caption(plain(line))
    if not helps:
        st.markdown("Nothing else that was counted helps by itself or in twos.")
        return
    st.markdown(f"**{HELP_TITLE}:**")
    for n, one in enumerate(helps):
        words, button = st.columns([5, 1], vertical_alignment="center")
        text = plain(sentence(remedy_words(one, found.units)))
        words.markdown(f"- **{text}**" if one.on_condition else f"- {text}")
        button.button(
            "Put it in",
            key=f"help:{n}",
            help=plain(f"Puts {remedy_name(one)} into the scenario; a bar is sized again."),
            on_click=_put_in,
            args=(one.change,),
        )


def ask_for_a_pair(found: Answer) -> None:
    """A button that has a front bar chosen too, where balance is in the way and nobody asked."""
    sizing = found.sizing
    if sizing is None or sizing.pair is not NoPair.NOT_ASKED or not sizing.balance_is_in_the_way:
        return
    why = pair_asked.no_pair(frame.text(), found.scenario.job)
    if why := why or st.session_state.pop(_REFUSED, ""):
        st.caption(plain(sentence(f"A front bar cannot be chosen with it: {why}")))
        return
    st.button(
        "Choose a front bar with it",
        key="ask-pair",
        help=frame.said(
            "A stiffer front bar keeps the front its share. Sizes up to 8 mm thicker than the one "
            "on it are tried; the shape of a front bar that nobody measured is guessed, and marked "
            "as assumed. Back in the browser undoes it."
        ),
        on_click=_ask,
        args=(found,),
    )


def _ask(found: Answer) -> None:
    try:
        frame.put(pair_asked.ask_for_a_pair(frame.text(), found.scenario.job))
    except ValueError as why:
        st.session_state[_REFUSED] = str(why)
    else:
        st.session_state[SEEN_NEXT] = _PAIR


def new_front(found: Answer) -> None:
    """What gets worse with the front bar that the changes put in, and all that goes with it."""
    sizing = found.sizing
    if sizing is None or sizing.new_front is None:
        return
    worse = (STIFFER_FRONT, *worse_words(sizing, found.before, found.units))
    which = "the front and rear bar" if sizing.choice is not None else "the new front bar"
    st.markdown(f"**What gets worse with {which}**\n{bullets(worse)}")


def pair(found: Answer) -> None:
    """A front bar, alone or with a rear one, under the answer; nothing where nobody asks."""
    asked = found.sizing is not None and found.sizing.pair is not NoPair.NOT_ASKED
    if not asked or not (words := pair_words(found.sizing, found.units)):
        return
    with st.container(key=_PAIR):
        _pair(found, words)


def _pair(found: Answer, words: Sequence[str]) -> None:
    pair = found.sizing.pair
    if isinstance(pair, Pair):
        words = (provisional(words[0], found.scenario.assumed), *words[1:])
    st.markdown(f"**{pair_title(pair)}**")
    for paragraph in words:
        st.markdown(plain(paragraph))
    if change := pair_change(frame.text(), found.scenario, found.sizing):
        st.caption(plain(STIFFER_FRONT))
        label = "Put both in"
        said = "Puts the front bar among the changes and leaves this rear bar to be sized."
        if pair.front_is_enough:
            label, said = "Put the front bar in", "Puts the front bar among the changes."
        st.button(
            label,
            key="pair",
            help=said,
            on_click=_put_in,
            args=(change,),
        )


def _put_in(change: str) -> None:
    frame.put(pasted(frame.text(), change))
    st.session_state[SEEN_NEXT] = ANSWER


def job_sheet(found: Answer) -> None:
    """The job sheet to take away: of the bar that is shown, or why there is none."""
    chosen = found.sizing is not None and found.sizing.choice is not None
    source = with_tables(frame.name(), frame.text(), frame.folder())
    downloads.button(
        f"Job sheet{' with this bar' if chosen else ''}, HTML to print",
        f"{frame.name().rpartition('.')[0] or 'vehicle'}-job-sheet.html",
        "text/html",
        lambda: outcome.job_sheet_of(found, source),
        key="job-sheet",
    )
    downloads.button(
        "Picture to send to the owner, PNG",
        "before-and-after.png",
        "image/png",
        lambda: outcome.picture_of(found),
        key="picture-to-send",
    )


def cautions(found: Answer) -> None:
    """The weightiest cautions in sight, all of them behind a click; assumed and measured."""
    st.header(BEFORE_USE)
    st.warning(bullets(tables.short_cautions(found)))
    with st.expander("All cautions"):
        st.markdown(bullets(tables.all_cautions(found)))
    assumed = found.scenario.assumed
    if assumed:
        with st.expander(f"Assumed, not measured: {len(assumed)}"):
            st.markdown(said_bullets(map(fields.line_in_words, assumed)))
    measured = found.scenario.measured
    if measured:
        with st.expander(f"Measured in the bay: {len(measured)} values"):
            st.markdown(said_bullets(map(fields.line_in_words, measured)))
    notes = tables.notes(found)
    if notes:
        with st.expander("Notes"):
            st.markdown(said_bullets(notes))
