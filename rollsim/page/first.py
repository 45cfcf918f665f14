"""The first page: how far does it lean, and which rear bar brings the lean back?"""

from pathlib import Path

import streamlit as st

from rollsim.charts import lean_chart
from rollsim.cli.tables import state_words
from rollsim.drawing import side_by_side
from rollsim.page import answers, tables
from rollsim.page.answers import Answer
from rollsim.scenario import ScenarioError

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"


@st.cache_data(max_entries=32, show_spinner="Computing …")
def _answered(text: str, name: str, folder: str) -> Answer:
    """Compute an answer once for each text of a file."""
    return answers.answer(text, name, Path(folder))


def show() -> None:
    """Lay out the page."""
    st.title("Lean and the rear bar")
    files = answers.scenario_files(SCENARIOS)
    if not files:
        st.error("There is no scenario file (TOML) in the folder scenarios.")
        return
    title = st.selectbox("Scenario", list(files), key="scenario", bind="query-params")
    path = files[title]
    try:
        found = _answered(path.read_text(encoding="utf-8"), path.name, str(path.parent))
    except (ScenarioError, UnicodeDecodeError) as wrong:
        lines = getattr(wrong, "errors", (f"{path.name}: is not UTF-8 text",))
        st.error("This file has errors:\n" + _bullets(lines))
        return
    _show_answer(found)
    case = _show_bend(found)
    _show_states(found)
    _show_curves(found, case)
    _show_bars(found)
    _show_cautions(found)


def _show_answer(found: Answer) -> None:
    """Over a rating first, then the answer in one sentence."""
    over = tables.over_ratings(found)
    if over:
        head = "**OVER A RATING.** Stiffer springs, a bar or a lift raise no rating: take load off."
        st.error(f"{head}\n{_bullets(over)}", icon=":material/warning:")
    st.info(f"**{_plain(answers.headline(found))}**")
    remarks = answers.remarks(found)
    if remarks:
        st.markdown(_bullets(remarks))


def _show_bend(found: Answer) -> str:
    """The same bend before and after, at the acceleration of the slider; the chosen state."""
    st.header("The same bend, before and after")
    left, right = st.columns(2)
    lateral = left.slider(
        "Lateral acceleration in a left bend, g",
        min_value=0.0,
        max_value=0.7,
        value=0.4,
        step=0.05,
        format="%.2f g",
        key="lateral",
        bind="query-params",
    )
    names = {state_words(name): name for name in answers.choices(found)}
    chosen = next(iter(names))
    if len(names) > 1:
        chosen = right.radio(
            "Loaded state", list(names), key="state", bind="query-params", horizontal=True
        )
    case = names[chosen]
    shown = answers.views(found, case, lateral)
    pictures = [answers.picture(found, view) for view in shown]
    st.markdown(side_by_side(pictures), unsafe_allow_html=True)
    st.caption(
        "Seen from behind, lean and heights to scale. Dashed: the body upright. Boxes: the load. "
        "Arrows: what the road carries at each wheel. The outline is not this vehicle's."
    )
    st.table(tables.wheel_table(shown))
    return case


def _show_states(found: Answer) -> None:
    """Every state side by side, now and with the chosen bar."""
    st.header("The states side by side")
    st.table(tables.states_table(found.before))
    if found.after:
        st.subheader("With the chosen bar")
        st.table(tables.states_table(found.after))
    ratings = tables.ratings_table(found.after or found.before)
    if len(ratings):
        st.subheader("Ratings, and what is on them" + (" with the bar" if found.after else ""))
        st.table(ratings)


def _show_curves(found: Answer, case: str) -> None:
    """Lean against lateral acceleration."""
    st.header("Lean against lateral acceleration")
    dark = st.context.theme.type == "dark"
    st.altair_chart(lean_chart(answers.lean_curves(found, case), dark=dark), theme=None)
    st.caption("Triangles on the axis: tipping points (tip-over thresholds).")


def _show_bars(found: Answer) -> None:
    """Every bar at hand, ranked."""
    if found.sizing is None:
        return
    st.header("Every bar at hand, ranked")
    accepted = tables.accepted_table(found.sizing.candidates)
    rejected = tables.rejected_table(found.sizing.candidates)
    st.subheader(f"Accepted: {len(accepted)}")
    if len(accepted):
        st.dataframe(accepted, alt="The accepted rear bars, the best first")
        st.caption(
            f"Empty: {state_words(found.sizing.emptiest)}. Lean per g is that of "
            f"{_plain(state_words(found.sizing.case))}, the state sized for."
        )
    st.subheader(f"Rejected: {len(rejected)}")
    if len(rejected):
        wide = {"why not": st.column_config.TextColumn(width="large")}
        st.dataframe(rejected, column_config=wide, alt="The rejected rear bars with the reasons")


def _show_cautions(found: Answer) -> None:
    """Short cautions in sight, all of them behind a click; assumed values and notes."""
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


def _bullets(lines: tuple[str, ...]) -> str:
    return "\n".join(f"- {_plain(line)}" for line in lines)


def _plain(text: str) -> str:
    """Text of a file as it stands, not as Markdown."""
    return "".join(f"\\{c}" if c in "\\`*_[]<>$#:~|" else c for c in " ".join(text.split()))


if __name__ == "__main__":
    show()
