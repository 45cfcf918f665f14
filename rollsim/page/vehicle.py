"""Vehicle: every input of the scenario, how to measure it, and what is wrong with it."""

from collections.abc import Sequence

import streamlit as st

from rollsim.page import fields, frame
from rollsim.page.fields import GROUPS, Errors
from rollsim.page.frame import bullets, plain
from rollsim.scenario import ScenarioError
from rollsim.scenario.editing import added, removed
from rollsim.scenario.inputs import Input, Kind

GROUP = "group"
_COLUMNS = 3
_NEW_LOAD = {"name": "new item", "mass": "20 kg", "behind_front_axle": "2000 mm"}


def show() -> None:
    """Lay out the page."""
    st.title("Vehicle")
    st.caption(
        "Every input, with its unit and range and how to measure it. Type values with their unit "
        "and, where you know it, how well: 1130 kg ± 10 kg. What changes here changes every page."
    )
    with st.expander("Open or save a scenario file", icon=":material/folder_open:"):
        _show_files()
    _show_refused()
    wrong = _errors()
    elsewhere = wrong.outside([one.key for one in fields.all_inputs(frame.text())])
    if elsewhere:
        st.error(f"These errors belong to no field below:\n{bullets(elsewhere)}")
    if not fields.readable(frame.text()):
        _show_text()
        return
    group = _choose_group(wrong)
    _show_group(group, wrong)
    with st.expander("The whole scenario as text"):
        _show_text()


def _errors() -> Errors:
    try:
        frame.read()
    except ScenarioError as error:
        return Errors(error.errors)
    return Errors(())


def _show_files() -> None:
    """Import and export: the text exactly as it is."""
    st.download_button(
        "Save this scenario",
        frame.text(),
        file_name=frame.name(),
        mime="application/toml",
        icon=":material/download:",
    )
    given = st.file_uploader(
        "Open a scenario file (TOML, at most 2 MB)", type=["toml"], key="vehicle:file"
    )
    if given is None or st.session_state.get("vehicle:taken") == given.file_id:
        return
    st.session_state["vehicle:taken"] = given.file_id
    refused = fields.refuse_upload(given.getvalue(), given.name)
    if refused:
        st.session_state["vehicle:refused"] = (given.name, refused)
    else:
        st.session_state.pop("vehicle:refused", None)
        frame.put(given.getvalue().decode("utf-8"), given.name)
        st.rerun()


def _show_refused() -> None:
    name, lines = st.session_state.get("vehicle:refused", ("", ()))
    if lines:
        st.error(f"{plain(name)} was not taken; you go on with what you had.\n{bullets(lines)}")


def _choose_group(wrong: Errors) -> str:
    """Which part of the vehicle to show."""
    counts = {words: wrong.count_in(group) for group, words in GROUPS.items()}
    if any(counts.values()):
        told = ", ".join(f"{words} ({count})" for words, count in counts.items() if count)
        st.warning(f"To mend: {told}")
    chosen = st.radio(
        "Part",
        list(counts),
        key=GROUP,
        bind="query-params",
        horizontal=True,
        label_visibility="collapsed",
    )
    return next(group for group, words in GROUPS.items() if words == chosen)


def _show_group(group: str, wrong: Errors) -> None:
    st.header(GROUPS[group])
    if group == "load":
        _show_loads(wrong)
        return
    for title, found in fields.parts(fields.of_group(group)).items():
        if not title:
            _show_fields(found, wrong)
            continue
        used = any(fields.typed(frame.text(), one.key) is not None for one in found)
        with st.expander(title, expanded=used or any(wrong.at(one.key) for one in found)):
            _show_fields(found, wrong)


def _show_loads(wrong: Errors) -> None:
    """One block for each load item, and a button for one more."""
    count = fields.number_of_loads(frame.text())
    if not count:
        st.caption("Nothing is carried.")
    for number in range(count):
        found = fields.of_load(number)
        title = fields.typed(frame.text(), found[0].key) or f"item {number + 1}"
        errors = wrong.count_under(f"load[{number}].")
        mark = f" · {errors} to mend" if errors else ""
        with st.expander(f"{plain(str(title))}{mark}", expanded=bool(errors) or count <= 2):
            _show_fields(found, wrong)
            st.button(
                "Take this item out",
                key=f"vehicle:out:{number}",
                on_click=_take_out,
                args=(number,),
                icon=":material/delete:",
            )
    st.button("Add an item", on_click=_add_load, icon=":material/add:", key="vehicle:add")


def _take_out(number: int) -> None:
    frame.put(removed(frame.text(), "load", number))
    fields.forget(st.session_state)


def _add_load() -> None:
    frame.put(added(frame.text(), "load", {**_NEW_LOAD, "height": "1000 mm"}))


def _show_fields(found: Sequence[Input], wrong: Errors) -> None:
    for first in range(0, len(found), _COLUMNS):
        row = st.columns(_COLUMNS)
        for column, one in zip(row, found[first : first + _COLUMNS], strict=False):
            with column:
                _show_field(one)
                for line in wrong.at(one.key):
                    st.error(plain(line), icon=":material/error:")


def _show_field(one: Input) -> None:
    """One input: what stands there, its mark, and how to measure it."""
    key, now = fields.widget_key(one.key), fields.typed(frame.text(), one.key)
    st.session_state[key] = fields.shown(one, now)
    label = fields.label(one, now)
    shared = {"key": key, "help": fields.how(one), "on_change": _take, "args": (one,)}
    match one.kind:
        case Kind.FLAG:
            st.toggle(label, **shared)
        case Kind.CHOICE:
            words = ["", *one.choices]
            if st.session_state[key] not in words:
                words.append(st.session_state[key])
            st.selectbox(label, words, **shared)
        case _:
            st.text_input(label, placeholder=one.allowed, **shared)


def _take(one: Input) -> None:
    """Put what was typed into the text, right or wrong: nothing typed is lost."""
    typed = st.session_state[fields.widget_key(one.key)]
    frame.put(fields.put_in(frame.text(), one, typed))


def _show_text() -> None:
    st.session_state["vehicle:text"] = frame.text()
    st.text_area(
        "The file, TOML; changes count once you leave the box",
        key="vehicle:text",
        height=480,
        on_change=lambda state: frame.put(state["vehicle:text"]),
        args=(st.session_state,),
    )


if __name__ == "__main__":
    show()
