"""What every page shares: the scenario in work, the units of the reader, and the link to both.

The text of the scenario is the single truth: what a page changes, it changes there.
"""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

import pandas as pd
import streamlit as st

from rollsim.page import address, answers
from rollsim.page.answers import Sized
from rollsim.reader_units import READER_UNITS, ReaderUnits, UnitSystem, in_units
from rollsim.scenario import ScenarioError
from rollsim.scenario.editing import value
from rollsim.scenario.packing import packed, unpacked
from rollsim.shipped import SCENARIOS

EXAMPLE, PACKED, UNITS = "example", "scenario", "units"
_TEXT, _NAME, _ASKED, _CHOICE = "frame:text", "frame:name", "frame:asked", "frame:choice"
_OWN, _KEPT = "Your own: ", "frame:own"
_LENT = "frame:lent"
_MARKS = re.compile(r"[\\`*\[\]<$~]|(?<![^\W_])_|_(?![^\W_])|&(?=[#\w]+;)|:(?![ /]|$)")
_BLOCK = re.compile(r"^(\d*)([-+=.)#](?=[ =#-]|$)|>)")  # a list, a rule, a heading, a quote
_REPLACED = re.compile(  # marks or not, these become links, pictures and other signs
    r"(?<=:/)(?=/)|(?<=www)(?=\.)|(?<=[\w.+-])(?=@)"
    r"|(?<=:[\w+-])(?=[\w/+-]*:|aterial/)|(?<=[-<>~])(?=[-=>])",
    re.IGNORECASE,
)
_NOTHING = ":small[]"  # ends a text for what replaces parts of it; nothing of it is seen or copied


def start() -> None:
    """Take up what the link asks for, show the choice of vehicle and units, keep the link true."""
    st.session_state.setdefault(_ASKED, st.query_params.to_dict())
    files = answers.scenario_files(SCENARIOS)
    if _TEXT not in st.session_state:
        _open(files, asked())
        if not {UNITS, PACKED} & asked().keys():
            _lend_units()
    if address.went_back():
        _open(files, st.query_params.to_dict())
    left, right = st.columns([3, 1], vertical_alignment="bottom")
    with left:
        _choose_vehicle(files)
    with right:
        systems = [system.value for system in UnitSystem]
        st.radio(
            "Units", systems, key=UNITS, bind="query-params", horizontal=True, on_change=_keep_units
        )
    _keep_link(files)
    for note in _refused():
        st.warning(plain(note))


def text() -> str:
    """The scenario in work, TOML."""
    return st.session_state[_TEXT]


def name() -> str:
    """Its file name, for errors and downloads."""
    return st.session_state[_NAME]


def is_example() -> bool:
    """Whether an example is in work as it came, not a vehicle of the reader's own."""
    return _example(answers.scenario_files(SCENARIOS)) is not None


def folder() -> Path:
    """Where the CSV of a measured spring may stand."""
    return SCENARIOS


def put(new: str, file_name: str | None = None) -> None:
    """Work on another text from the next run of the page on; without a name it keeps its own.

    The text may have errors, which every page then shows.
    """
    st.session_state[_TEXT] = new
    if file_name is not None:
        st.session_state[_NAME] = file_name
    leave_link()


def read() -> Sized:
    """The scenario in work, read and sized; computed once for each text.

    Raises ScenarioError with every error of the text.
    """
    return _read(text(), name(), str(folder()))


def units() -> ReaderUnits:
    """The units that the reader has chosen."""
    return READER_UNITS[UnitSystem(units_chosen())]


def units_chosen() -> str:
    """What they are called."""
    return st.session_state.get(UNITS, UnitSystem.METRIC.value)


def said(line: str) -> str:
    """A sentence of what the pages stand on, its figures in the reader's units."""
    return in_units(line, units())


def link() -> str:
    """The end of an address that opens this page with this scenario."""
    found = st.query_params.to_dict()
    return "?" + "&".join(f"{key}={value}" for key, value in found.items())


def asked() -> dict[str, str]:
    """What the link asked for when the page was opened; empty once something was changed."""
    return st.session_state.get(_ASKED, {})


def leave_link() -> None:
    """What the link asked for is done with; for callbacks of inputs."""
    st.session_state[_ASKED] = {}
    address.changed()


def show_errors(wrong: ScenarioError) -> None:
    """Every error of the scenario in work, and where to mend it."""
    st.error(
        f"This scenario has errors. Mend them on the page Vehicle:\n{said_bullets(wrong.errors)}"
    )


def bullets(lines: Sequence[str]) -> str:
    """Lines as a list in Markdown, their own marks taken as text."""
    return "\n".join(f"- {plain(line)}" for line in lines)


def said_bullets(lines: Sequence[str]) -> str:
    """As `bullets`, figures in the reader's units."""
    return bullets([said(line) for line in lines])


def not_started(wrong: Sequence[str], at_boxes: Sequence[str] = ()) -> None:
    """What has to be mended before a vehicle of the reader's own takes the place of this one.

    What stands under its box already is told by the box's name alone.
    """
    boxes = [one.partition(": ")[0] for one in at_boxes]
    lines = [*wrong, *([f"{', '.join(boxes)}: what is wrong stands there"] if boxes else [])]
    st.error(
        "Not started: mend these first, the vehicle that is shown stays until then.\n"
        f"{said_bullets(lines)}",
        icon=":material/error:",
    )


def plain(words: str) -> str:
    """Text as it stands, for all that takes Markdown: it makes no mark, link, picture or formula.

    One line; what is copied from the page has the letters of the text.

    Examples
    --------
    >>> print(plain("2 * 3: [m]"), plain("1. tent"), plain("www.example.org"))
    2 \\* 3: \\[m\\] 1\\. tent www:small[].example.org
    """
    whole = re.sub(r"[ \t\r\n]+", " ", words).strip(" ")  # no-break and em spaces stay
    pieces = [_MARKS.sub(r"\\\g<0>", piece) for piece in _REPLACED.split(whole)]
    return _BLOCK.sub(r"\1\\\2", _NOTHING.join(pieces))


def show_table(
    cells: pd.DataFrame, *, alt: str, hide_index: bool = False, hide_header: bool = False
) -> None:
    """A table, each of its texts as it stands; `alt` tells in words what it shows."""
    shown = cells.map(_as_it_stands).rename(index=_as_it_stands, columns=_as_it_stands)
    st.table(shown, alt=alt, hide_index=hide_index, hide_header=hide_header)


def show_drawing(drawn: str, style: str = "") -> None:
    """A picture of `rollsim.drawing`: SVG, or HTML with some in it; `style` is CSS of its place."""
    # A block of HTML in one line: in a paragraph, or after an empty line, texts are Markdown.
    whole = re.sub(r"[\r\n]+", " ", drawn).replace(":material/", "&#58;material/")
    st.markdown(f'<div style="{style}">{whole}</div>', unsafe_allow_html=True)


def _as_it_stands(cell: object) -> object:
    return plain(cell) if isinstance(cell, str) else cell


@st.cache_data(max_entries=32, show_spinner="Computing …")
def _read(scenario: str, file_name: str, csv_folder: str) -> Sized:
    return answers.read(scenario, file_name, Path(csv_folder))


def _lend_units() -> None:
    """A vehicle written in imperial units opens in them; the next one as the reader had it."""
    wheelbase = str(value(text(), "vehicle.wheelbase"))
    if wheelbase.split()[1:2] == ["in"]:
        st.session_state.setdefault(_LENT, units_chosen())
        st.session_state[UNITS] = UnitSystem.IMPERIAL.value
    elif _LENT in st.session_state:
        st.session_state[UNITS] = st.session_state.pop(_LENT)


def _keep_units() -> None:
    """The reader's own choice of units."""
    st.session_state.pop(_LENT, None)


def _open(files: dict[str, Path], link_asks: Mapping[str, str]) -> None:
    """The scenario that an address asks for, else the first example."""
    stems = {path.stem: path for path in files.values()}
    path = stems.get(link_asks.get(EXAMPLE, ""), next(iter(files.values())))
    st.session_state[_TEXT] = path.read_text(encoding="utf-8")
    st.session_state[_NAME] = path.name
    if PACKED in link_asks:
        try:
            st.session_state[_TEXT] = unpacked(link_asks[PACKED])
            _, kept = st.session_state.get(_KEPT, ("", "from-the-link.toml"))
            st.session_state[_NAME] = kept
        except ValueError:
            pass  # `_refused` says so


def _refused() -> tuple[str, ...]:
    """What of the link cannot be shown."""
    link_asks, found = asked(), []
    stems = [path.stem for path in answers.scenario_files(SCENARIOS).values()]
    if link_asks.get(EXAMPLE, stems[0]) not in stems and PACKED not in link_asks:
        found.append(
            f'The link asks for the example "{link_asks[EXAMPLE]}", which is not here: this is '
            "another one."
        )
    if PACKED in link_asks:
        try:
            unpacked(link_asks[PACKED])
        except ValueError as error:
            found.append(f"The scenario in the link cannot be read: {error}. This is an example.")
    if link_asks.get(UNITS, UnitSystem.METRIC.value) not in [s.value for s in UnitSystem]:
        found.append(f'The link asks for the units "{link_asks[UNITS]}": metric or imperial.')
    return tuple(found)


def _example(files: dict[str, Path]) -> Path | None:
    """The example that is in work unchanged."""
    same = (p for p in files.values() if p.name == name() and p.read_text("utf-8") == text())
    return next(same, None)


def _choose_vehicle(files: dict[str, Path]) -> None:
    """The examples, and the user's own scenario, which is kept while an example is looked at."""
    example = _example(files)
    titles = list(files)
    if example is None:
        st.session_state[_KEPT] = (text(), name())
    if _KEPT in st.session_state:
        titles.insert(0, _OWN + answers.title(*st.session_state[_KEPT]))
    st.session_state[_CHOICE] = titles[0]
    if example is not None:
        st.session_state[_CHOICE] = next(t for t, path in files.items() if path == example)
    st.selectbox("Vehicle and its load", titles, key=_CHOICE, on_change=_chosen, args=(files,))


def _chosen(files: dict[str, Path]) -> None:
    path = files.get(st.session_state[_CHOICE])
    if path is not None:
        put(path.read_text(encoding="utf-8"), path.name)
        _lend_units()
    else:
        put(*st.session_state[_KEPT])


def _keep_link(files: dict[str, Path]) -> None:
    """An example goes by its name, anything else travels whole, and counts before a name."""
    example = _example(files)
    if example is None:
        address.keep({PACKED: packed(text())}, among=(PACKED,))
        return
    first = example == next(iter(files.values()))
    address.keep({} if first else {EXAMPLE: example.stem}, among=(EXAMPLE, PACKED))
