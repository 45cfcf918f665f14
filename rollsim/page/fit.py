"""The first page: how far does it lean, and which rear bar brings the lean back?"""

from collections.abc import Callable, Collection, Sequence
from pathlib import Path

import pandas as pd
import streamlit as st

from rollsim.charts import lean_chart
from rollsim.cli.tables import state_words
from rollsim.drawing import side_by_side
from rollsim.page import answers, bars, links, pictures, tables
from rollsim.page.answers import Answer, Bend, Sized
from rollsim.roll import StateResult
from rollsim.scenario import ScenarioError

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"
ROWS_IN_FULL = 30  # of a table; a longer one scrolls


@st.cache_data(max_entries=32, show_spinner="Computing …")
def _read(text: str, name: str, folder: str) -> Sized:
    """Read and size once for each text of a file."""
    return answers.read(text, name, Path(folder))


@st.cache_data(max_entries=128, show_spinner="Computing …")
def _states(
    text: str, name: str, folder: str, *, rank: int | None, bend: Bend
) -> tuple[StateResult, ...]:
    """Every state once for each bar, by its place in the ranking, and bend."""
    read = _read(text, name, folder)
    bar = None if rank is None else read.sizing.candidates[rank]
    return answers.states(read.scenario, bar, bend)


def _answered(file: tuple[str, str, str], rank: int | None, bend: Bend) -> Answer:
    """Put an answer together from what is computed once."""
    read = _read(*file)
    before = _states(*file, rank=None, bend=bend)
    if rank is None:
        return Answer(read.scenario, read.sizing, bend, before)
    after = _states(*file, rank=rank, bend=bend)
    return Answer(read.scenario, read.sizing, bend, before, read.sizing.candidates[rank], after)


def show() -> None:
    """Lay out the page."""
    st.session_state.setdefault("asked", st.query_params.to_dict())
    st.title("Lean and the rear bar")
    files = answers.scenario_files(SCENARIOS)
    if not files:
        st.error("There is no scenario file (TOML) in the folder scenarios.")
        return
    title = st.selectbox(
        "Scenario", list(files), key="scenario", bind="query-params", on_change=_start_anew
    )
    path, notes = files[title], st.container()
    allowed: dict[str, Collection[str]] = {"scenario": files, "bend": [b.value for b in Bend]}
    try:
        file = (path.read_text(encoding="utf-8"), path.name, str(path.parent))
        read = _read(*file)
    except (ScenarioError, UnicodeDecodeError) as wrong:
        lines = getattr(wrong, "errors", (f"{path.name}: is not UTF-8 text",))
        st.error("This file has errors:\n" + _bullets(lines))
    else:
        _show_all(file, read, allowed)
    for line in links.refused(st.session_state["asked"], allowed):
        notes.warning(_plain(line))


def _show_all(file: tuple[str, str, str], read: Sized, allowed: dict[str, Collection[str]]) -> None:
    """Everything under the choice of scenario; adds what a link may ask for to `allowed`."""
    changed = st.session_state.pop("changed", False)
    head = st.container()
    left, right = st.columns(2, gap="large")
    remarks = left.container()
    rank = None
    if read.sizing is not None and read.sizing.candidates:
        allowed["bar"] = bars.bar_names(read.sizing)
        with left:
            rank = _choose_bar(read, changed)
    found = _answered(file, rank, Bend.LEFT)
    allowed["state"] = [state_words(name) for name in answers.choices(found)]
    with head:
        _show_answer(found)
    if lines := answers.remarks(found):
        remarks.markdown(_bullets(lines))
    if rank is not None:
        left.markdown(_plain(bars.verdict(found)))
        right.markdown(f"**What gets worse with this bar**\n{_bullets(bars.costs(found))}")
    found, case = _show_bend(found, lambda bend: _answered(file, rank, bend), changed)
    _show_states(found)
    _show_curves(found, case)
    _show_bars(found)
    _show_cautions(found)


def _start_anew() -> None:
    """Another scenario: its own bar and bend come first, and the link is done with."""
    st.session_state["changed"] = True
    _leave_link()


def _leave_link() -> None:
    st.session_state["asked"] = {}


def _choose_bar(read: Sized, changed: bool) -> int:
    """The place of the bar to show in the ranking."""
    names = bars.bar_names(read.sizing)
    default = bars.default_rank(read.sizing)
    if changed:
        st.session_state["bar"] = names[default]
    chosen = st.selectbox(
        "Bar in the pictures and tables, by rank",
        names,
        index=default,
        key="bar",
        bind="query-params",
        on_change=_leave_link,
    )
    return names.index(chosen)


def _show_answer(found: Answer) -> None:
    """Over a rating first, then the answer in one sentence."""
    over = tables.over_ratings(found)
    if over:
        head = "**OVER A RATING.** Stiffer springs, a bar or a lift raise no rating: take load off."
        st.error(f"{head}\n{_bullets(over)}", icon=":material/warning:")
    st.info(f"**{_plain(answers.headline(found))}**")


def _show_bend(
    found: Answer, in_bend: Callable[[Bend], Answer], changed: bool
) -> tuple[Answer, str]:
    """The same bend before and after, at the acceleration of the slider; the bend and state."""
    st.header("The same bend, before and after")
    columns = st.columns(3)
    with columns[0]:
        lateral = _choose_lateral()
    with columns[1]:
        case = _choose_state(found)
    harder = answers.harder_bend(found)
    if harder is not None:
        with columns[2]:
            found = in_bend(_choose_bend(harder, changed))
        st.caption(_plain(answers.bend_words(found)))
    shown = pictures.views(found, case, lateral)
    drawn = [pictures.picture(found, view) for view in shown]
    st.markdown(side_by_side(drawn), unsafe_allow_html=True)
    st.caption(
        "Seen from behind, lean and heights to scale. Dashed: the body upright. Boxes: the load. "
        "Arrows: what the road carries at each wheel. The outline is not this vehicle's."
    )
    st.table(tables.wheel_table(shown))
    return found, case


def _choose_lateral() -> float:
    """The slider; between its steps, where only a link can put it, it goes to the nearest."""
    if "step" in st.session_state:
        st.session_state[links.LATERAL] = st.session_state.pop("step")
    chosen = st.slider(
        "Lateral acceleration, g",
        min_value=0.0,
        max_value=answers.LARGEST_ON_SLIDER,
        value=0.4,
        step=0.05,
        format="%.2f g",
        key=links.LATERAL,
        bind="query-params",
        on_change=_leave_link,
    )
    if not links.on_a_step(chosen):
        st.session_state["step"] = links.nearest_step(chosen)
        st.rerun()
    return chosen


def _choose_state(found: Answer) -> str:
    """The state beside the unladen one; no question where there is only one."""
    names = {state_words(name): name for name in answers.choices(found)}
    if len(names) == 1:
        return next(iter(names.values()))
    chosen = st.radio(
        "Loaded state",
        list(names),
        key="state",
        bind="query-params",
        horizontal=True,
        on_change=_leave_link,
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
        on_change=_leave_link,
    )
    return Bend(chosen)


def _show_states(found: Answer) -> None:
    """Every state side by side, now and with the bar."""
    st.header("The states, now and with the bar" if found.after else "The states side by side")
    st.table(tables.states_table(found))
    if same := tables.twin_words(found):
        st.caption(_plain(same))
    ratings = tables.ratings_table(found)
    if len(ratings):
        st.subheader("Ratings, and what is on them" + (" with the bar" if found.after else ""))
        st.table(ratings)


def _show_curves(found: Answer, case: str) -> None:
    """Lean against lateral acceleration."""
    st.header("Lean against lateral acceleration")
    dark = st.context.theme.type == "dark"
    st.altair_chart(lean_chart(pictures.lean_curves(found, case), dark=dark), theme=None)
    st.caption("Triangles on the axis: tipping points (tip-over thresholds), where the line ends.")


def _show_bars(found: Answer) -> None:
    """Every bar at hand, ranked."""
    if found.sizing is None:
        return
    st.header("Every bar at hand, ranked")
    st.caption(bars.RANKING)
    accepted = bars.accepted_table(found.sizing.candidates)
    rejected = bars.rejected_table(found.sizing.candidates)
    st.subheader(f"Accepted: {len(accepted)}")
    if len(accepted):
        _show_table(accepted, "The accepted rear bars, the best first")
        st.caption(
            f"Bar: rank, section, hole. Empty: {state_words(found.sizing.emptiest)}. Lean per g is "
            f"that of {_plain(state_words(found.sizing.case))}, the state sized for."
        )
    st.subheader(f"Rejected: {len(rejected)}")
    if len(rejected):
        _show_table(rejected, "The rejected rear bars with the reasons")


def _show_table(table: pd.DataFrame, alternative: str) -> None:
    if len(table) <= ROWS_IN_FULL:
        st.table(table, hide_index=True, alt=alternative)
    else:
        st.dataframe(table, hide_index=True, alt=alternative)


def _show_cautions(found: Answer) -> None:
    """The weightiest cautions in sight, all of them behind a click; assumed values and notes."""
    st.header("Read this with the figures")
    st.warning(_bullets(tables.short_cautions(found)))
    with st.expander("All cautions"):
        st.markdown(_bullets(tables.all_cautions(found)))
    assumed = found.scenario.assumed
    if assumed:
        with st.expander(f"Assumed, not measured: {len(assumed)} values"):
            st.markdown(_bullets(assumed))
    notes = tables.notes(found)
    if notes:
        with st.expander("Notes"):
            st.markdown(_bullets(notes))


def _bullets(lines: Sequence[str]) -> str:
    return "\n".join(f"- {_plain(line)}" for line in lines)


def _plain(text: str) -> str:
    """Text of a file as it stands, not as Markdown."""
    return "".join(f"\\{c}" if c in "\\`*_[]<>$#:~|" else c for c in " ".join(text.split()))


if __name__ == "__main__":
    show()
