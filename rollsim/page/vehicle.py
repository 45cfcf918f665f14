"""Vehicle: every input of the scenario, how to measure it, and what is wrong with it."""

import itertools
from collections.abc import Callable, Sequence

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from rollsim.page import fields, frame, links, listed
from rollsim.page.fields import GROUPS, Errors
from rollsim.page.frame import plain, said_bullets
from rollsim.scenario import BYTE_ORDER_MARK, ScenarioError
from rollsim.scenario.editing import added, changed, removed, value
from rollsim.scenario.emptied import Emptied
from rollsim.scenario.inputs import Input, Kind

GROUP = "group"
Tables = dict[str, tuple[str, ...]]  # errors of whole tables, by where they stand
_COLUMNS = 3
_LIFTED = "change"  # the group where a lift and springs may say one thing twice
_FEW_PARTS = 3  # of one table: more are shown only where asked for
_STOCK = "rear_bar.stock"
_STEEL = ("rear_bar.material", "rear_bar.sections")
_TOLD = {
    "load": "What is on it or goes on it.",
    _STOCK: "**Several steels, each with its sections**: only where one steel is not enough; they "
    "stand instead of material and sections.",
    "lean_test.reading": "**Readings**, four or more, in the order they were taken: out to one "
    "side, back through the middle, out to the other.",
    "spring_option": "Springs to be held side by side with those that are on it. The page Springs "
    "and weights shows each in every state, with the bar it needs.",
}
_NOT_PUT, _EMPTIED, _FOLD = "vehicle:not put", "vehicle:emptied", "vehicle:fold:"


def show() -> None:
    """Lay out the page."""
    st.title("Vehicle")
    st.caption(
        "Every input, with its unit and range and how to measure it. Type values with their unit "
        f"and, where you know it, how well: {frame.said('1130 kg ± 10 kg')}. A number alone is in "
        "the unit of its range. What changes here changes every page."
    )
    with st.expander("Open or save a scenario file", icon=":material/folder_open:"):
        _show_files()
    _show_refused()
    for line in st.session_state.pop(_NOT_PUT, ()):
        st.error(plain(line), icon=":material/error:")
    wrong, notes = _errors_and_notes()
    keys = [one.key for one in listed.all_inputs(frame.text())]
    tables = wrong.of_tables(keys, listed.tables(frame.text()))
    if elsewhere := tables.pop("", ()):
        st.error(f"These errors belong to no field below:\n{said_bullets(elsewhere)}")
    if not fields.readable(frame.text()):
        _show_text()
        return
    for line in links.refused(frame.asked(), {GROUP: list(GROUPS.values())}):
        st.warning(plain(line))
    group = _choose_group(wrong)
    _show_group(group, wrong, tables)
    if notes:
        with st.expander(f"Notes: {len(notes)}", expanded=group == _LIFTED):
            st.markdown(said_bullets(notes))
    with st.expander("The whole scenario as text"):
        _show_text()


def _errors_and_notes() -> tuple[Errors, tuple[str, ...]]:
    """What is wrong with the scenario; where nothing is, what else is to be said of it."""
    try:
        found = frame.read()
    except ScenarioError as error:
        return Errors(error.errors, frame.name()), ()
    return Errors(()), found.scenario.notes


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
        "Open a scenario file (TOML) or a job sheet (HTML), at most 2 MB",
        type=["toml", "html"],
        max_upload_size=2,
        key="vehicle:file",
    )
    if given is None:
        st.session_state.pop("vehicle:refused", None)
        return
    if st.session_state.get("vehicle:taken") == given.file_id:
        return
    st.session_state["vehicle:taken"] = given.file_id
    data, name = fields.scenario_of(given.getvalue(), given.name)
    refused = fields.refuse_upload(data, name)
    if refused:
        st.session_state["vehicle:refused"] = (given.name, refused)
    else:
        st.session_state.pop("vehicle:refused", None)
        frame.put(fields.decoded(data), name)
        st.rerun()


def _show_refused() -> None:
    name, lines = st.session_state.get("vehicle:refused", ("", ()))
    if lines:
        st.error(
            f"{plain(name)} was not taken; you go on with what you had.\n{said_bullets(lines)}"
        )


def _choose_group(wrong: Errors) -> str:
    """Which part of the vehicle to show."""
    counts = {words: wrong.count_in(group) for group, words in GROUPS.items()}
    if any(counts.values()):
        told = ", ".join(f"{words} ({count} wrong)" for words, count in counts.items() if count)
        st.warning(f"Put right first: {told}")
    chosen = st.radio(
        "Part",
        list(counts),
        key=GROUP,
        bind="query-params",
        horizontal=True,
        label_visibility="collapsed",
    )
    return next(group for group, words in GROUPS.items() if words == chosen)


def _show_group(group: str, wrong: Errors, tables: Tables) -> None:
    st.header(GROUPS[group])
    lists = fields.lists_of(group)
    for title, found in fields.parts(fields.of_group(group)).items():
        of_table = tables.get(fields.place(group, title), ())
        if not title:
            _show_errors(of_table)
            _show_fields(found, wrong)
            continue
        names = lists.pop(title, ())
        errors = len(of_table) + sum(len(wrong.at(one.key)) for one in found)
        errors += sum(wrong.count_under(f"{name}[") for name in names)
        with _fold(title, found, errors, key=f"{group}:{title}"):
            _show_errors(of_table)
            _show_usual_first(found, wrong, key=f"{group}:{title}")
            for name in names:
                _show_rows(name, wrong, tables)
    for name in itertools.chain.from_iterable(lists.values()):
        if name in _TOLD:
            st.markdown(_TOLD[name])
        _show_list(name, wrong, tables)


def _show_usual_first(found: Sequence[Input], wrong: Errors, *, key: str) -> None:
    """Fields of a fold; those seldom asked for behind a switch."""
    usual, others = fields.usual_first(found, frame.text(), wrong)
    _show_fields(usual, wrong)
    if others and st.toggle(f"{len(others)} more, seldom needed", key=f"vehicle:more:{key}"):
        _show_fields(others, wrong)


def _fold(title: str, found: Sequence[Input], errors: int, *, key: str) -> DeltaGenerator:
    """A fold that tells what is in it; it starts closed, and open while something is to mend.

    Streamlit takes a fold with another title for a new one, closed: so the page remembers.
    """
    kept, key = f"{_FOLD}{key}", f"{_FOLD}now:{key}"
    if errors:
        st.session_state[kept] = True
    st.session_state[key] = st.session_state.get(kept, False)
    told = fields.summary(found, frame.text())
    mend = f" · **{errors} to mend**" if errors else ""
    words = f"**{plain(title)}**{mend}{' · ' if told else ''}{plain(told)}"
    return st.expander(words, key=key, on_change=_keep_fold, args=(kept, key))


def _keep_fold(kept: str, key: str) -> None:
    st.session_state[kept] = st.session_state[key]


def _show_list(name: str, wrong: Errors, tables: Tables) -> None:
    """One fold for each table of a list, and a button for one more."""
    word = listed.word(name)
    for number in range(listed.number_in(frame.text(), name)):
        found = listed.of_item(name, number)
        own_name = fields.typed(frame.text(), f"{name}[{number}].name")
        title = str(own_name or f"{word} {number + 1}")
        errors = wrong.count_under(f"{name}[{number}]")
        with _fold(title, found[1:] if own_name else found, errors, key=f"{name}:{number}"):
            for table in listed.tables_in(name, number):
                _show_errors(tables.get(table, ()))
            for part, inside in _choose_parts(found, wrong, key=f"{name}:{number}").items():
                if part:
                    st.markdown(f"**{part}**")
                _show_fields(inside, wrong)
            _out_button(name, number)
    _add_button(name)


def _show_rows(name: str, wrong: Errors, tables: Tables) -> None:
    """A list inside a fold: its tables one below the other."""
    word = listed.word(name)
    for number in range(listed.number_in(frame.text(), name)):
        st.markdown(f"**{word.capitalize()} {number + 1}**")
        _show_errors(tables.get(f"{name}[{number}]", ()))
        _show_fields(listed.of_item(name, number), wrong)
        _out_button(name, number)
    _add_button(name)


def _choose_parts(
    found: Sequence[Input], wrong: Errors, *, key: str
) -> dict[str, tuple[Input, ...]]:
    """The parts of one table: all where they are few, else what is stated and what is chosen."""
    parts = fields.parts(found)
    if len(parts) <= _FEW_PARTS:
        return parts
    stated = [
        title
        for title, inside in parts.items()
        if any(
            fields.typed(frame.text(), one.key) is not None or wrong.at(one.key) for one in inside
        )
    ]
    others = [title for title in parts if title and title not in stated]
    chosen = st.pills("State by", others, selection_mode="multi", key=f"vehicle:parts:{key}")
    return {title: parts[title] for title in parts if title in stated or title in chosen}


def _out_button(name: str, number: int) -> None:
    st.button(
        f"Take this {listed.word(name)} out",
        key=f"vehicle:out:{name}:{number}",
        on_click=_take_out,
        args=(name, number),
        icon=":material/delete:",
    )


def _add_button(name: str) -> None:
    word = listed.word(name)
    st.button(
        f"Add {'an' if word[0] in 'aeiou' else 'a'} {word}",
        on_click=_add,
        args=(name,),
        icon=":material/add:",
        key=f"vehicle:add:{name}",
    )


def _take_out(name: str, number: int) -> None:
    _put(lambda: removed(frame.text(), name, number))
    fields.forget(st.session_state)
    for key in [key for key in st.session_state if str(key).startswith(f"{_FOLD}{name}:")]:
        del st.session_state[key]


def _add(name: str) -> None:
    """One more table of a list; what was just added is there to be typed in."""
    number = listed.number_in(frame.text(), name) + 1
    if name == _STOCK:
        _put(_with_one_more_steel)
    else:
        _put(lambda: added(frame.text(), name, listed.new_table(name, number, frame.text())))
    last = listed.number_in(frame.text(), name) - 1
    st.session_state[f"{_FOLD}{name}:{last}"] = True


def _with_one_more_steel() -> str:
    """The steel that stood alone becomes the first of the list."""
    text = frame.text()
    alone = {key.rpartition(".")[2]: value(text, key) for key in _STEEL}
    if None not in alone.values():
        text = added(changed(text, dict.fromkeys(_STEEL)), _STOCK, alone)
    return added(text, _STOCK, listed.new_table(_STOCK, 2, text))


def _put(change: Callable[[], str], typed: str = "") -> None:
    """Work on the changed text; where it cannot be changed, say so with what was typed."""
    try:
        frame.put(change())
    except ValueError as error:
        said = f'"{typed}" was not put in: ' if typed else ""
        st.session_state[_NOT_PUT] = (f"{said}{error}. The whole scenario as text is below.",)


def _show_fields(found: Sequence[Input], wrong: Errors) -> None:
    for first in range(0, len(found), _COLUMNS):
        row = st.columns(_COLUMNS)
        for column, one in zip(row, found[first : first + _COLUMNS], strict=False):
            with column:
                _show_field(one)
                _show_errors(wrong.at(one.key))


def _show_errors(lines: Sequence[str]) -> None:
    for line in lines:
        st.error(plain(frame.said(line)), icon=":material/error:")


def _show_field(one: Input) -> None:
    """One input: what stands there, its mark, and how to measure it."""
    key, now = fields.widget_key(one.key), fields.typed(frame.text(), one.key)
    fields.fill(st.session_state, key, fields.shown(one, now))
    label = fields.label(one, now)
    shared = {"key": key, "help": fields.how(one, frame.units())}
    shared |= {"on_change": _take, "args": (one,)}
    match one.kind:
        case Kind.FLAG:
            st.toggle(label, **shared)
        case Kind.CHOICE:
            words = ["", *one.choices]
            if st.session_state[key] not in words:
                words.append(st.session_state[key])
            st.selectbox(label, words, **shared)
        case _:
            st.text_input(label, placeholder=fields.allowed(one, frame.units()), **shared)


def _take(one: Input) -> None:
    """Put what was typed into the text, right or wrong: nothing typed is lost."""
    typed = st.session_state[fields.widget_key(one.key)]

    def new() -> str:
        emptied = st.session_state.get(_EMPTIED, Emptied())
        text, st.session_state[_EMPTIED] = fields.put_back(
            frame.text(), one, typed, emptied=emptied, units=frame.units()
        )
        return text

    _put(new, str(typed))


def _show_text() -> None:
    st.session_state["vehicle:text"] = frame.text()
    st.text_area(
        "The file, TOML; changes count once you leave the box",
        key="vehicle:text",
        height=480,
        on_change=lambda state: frame.put(state["vehicle:text"].removeprefix(BYTE_ORDER_MARK)),
        args=(st.session_state,),
    )


if __name__ == "__main__":
    show()
