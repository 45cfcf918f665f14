"""Road test: the log that is put in, its columns, and what is worked out of both."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import streamlit as st

from rollsim.page import frame, numbers
from rollsim.page.answers import Sized
from rollsim.page.frame import bullets
from rollsim.page.numbers import Allowed
from rollsim.reader_units import with_unit
from rollsim.road_answer import RoadAnswer, answer, without_lean_test
from rollsim.road_test import (
    UNITS,
    Choice,
    Found,
    LogError,
    Mounting,
    Role,
    Sensor,
    Stated,
    column_names,
    parse_log,
    parse_mount,
    turn_round,
)
from rollsim.road_test.interval import GYRO_SCALE, LEVEL_AT, ON_A_CHECKED_PAD, ON_PUBLIC_BENDS
from rollsim.road_wording import ROLE_WORDS

DEMO_FILE = frame.SCENARIOS / "road-test-demo.csv"
LARGEST = 32  # MB of a log
DEMO_VEHICLE = "Crew-cab that arrives loaded and lifted"
AXES = ("x", "-x", "y", "-y", "z", "-z")
DEMO, FLIP_LATERAL, FLIP_ROLL = "demo_log", "flip_lateral", "flip_roll"
GUESS, NONE = "as guessed", "not used"
LEVELS = {
    f"{words}: {with_unit(bank, 'deg', 1)} of bank at {with_unit(LEVEL_AT, 'g', 1)}": bank
    for words, bank in (
        ("not checked, or public bends", ON_PUBLIC_BENDS),
        ("each checked with a level", ON_A_CHECKED_PAD),
    )
}
MOUNTS = (
    "found from the log",
    *(f"{a} forward, {b} up" for a in AXES for b in AXES if a[-1] != b[-1]),
)
COLUMNS_HERE, KNOWN_HERE = "Columns and units of the log", "What is known of the drive"
ONE_PLACE_HERE, _LEVEL = "All bends are one bend, whatever their radii", "How level the bends are"
_HERE = (
    (
        "give --flip roll or --flip lateral",
        f"switch on “Roll is reversed” or “Lateral is reversed” under “{COLUMNS_HERE}”",
    ),
    ("give --one-place", f"switch on “{ONE_PLACE_HERE}” under “{KNOWN_HERE}”"),
    ("give --level", f"choose “{_LEVEL}” under “{KNOWN_HERE}”"),
    ("give --gyro-scale", f"type how true its scale is under “{KNOWN_HERE}”"),
    ("name it with --angle-by NAME", f"name it under “{COLUMNS_HERE}”"),
    (
        r"(give|name it with) --[\w-]+( or --[\w-]+)* COLUMN( \w+)?",
        f"choose it under “{COLUMNS_HERE}”",
    ),
    (r"--([\w-]+): ", r"\1: "),
)


@dataclass(frozen=True, slots=True)
class Given:
    """A log (CSV) as it was put in.

    `choices` are the columns that were chosen by hand; `flip` tells whether lateral acceleration
    and roll are reversed in sign; `mount` how the sensor sits where that is not to be found;
    `stated` what is known of the drive beside it.
    """

    data: bytes
    name: str
    choices: tuple[tuple[Role, Choice], ...] = ()
    flip: tuple[bool, bool] = (False, False)
    mount: str = ""
    stated: Stated = field(default_factory=Stated)


@dataclass(frozen=True, slots=True)
class Read:
    """What was made of a log: an answer and the columns, or the errors."""

    answer: RoadAnswer | None
    columns: tuple[Found, ...] = ()
    mounting: Mounting | None = None
    errors: tuple[str, ...] = ()


def ask() -> Given | None:
    """Ask for the log; None where there is none yet."""
    given = st.file_uploader(
        f"Log of the drive (CSV, at most {LARGEST} MB; longer ones: the command rollsim road-test)",
        type=["csv", "txt", "log"],
        max_upload_size=LARGEST,
        key="road:file",
    )
    demo = st.toggle("Take the invented demo log instead", key=DEMO, bind="query-params")
    if demo:
        st.caption(f"Its vehicle is the example “{DEMO_VEHICLE}”, driven as weighed.")
        return Given(DEMO_FILE.read_bytes(), DEMO_FILE.name)
    return None if given is None else Given(given.getvalue(), given.name)


def ask_columns(given: Given, guessed: tuple[Found, ...]) -> Given:
    """Show the columns used now, and let them be changed."""
    try:
        names = column_names(given.data, given.name)
    except LogError:
        return given
    now = {one.role: one for one in guessed}
    with st.expander(COLUMNS_HERE, expanded=not guessed):
        rows = {role: _ask_column(role, names, now.get(role)) for role in Role}
        with st.container(horizontal=True):
            lateral = st.toggle("Lateral is reversed", key=FLIP_LATERAL, bind="query-params")
            roll = st.toggle("Roll is reversed", key=FLIP_ROLL, bind="query-params")
        mount = st.selectbox("How a sensor with axes of its own sits", MOUNTS, key="road:mount")
        angle_by = st.text_input(
            "Inertial unit that made the roll angle, if one is logged", key="road:angle_by"
        )
    chosen = tuple((role, choice) for role, choice in rows.items() if choice is not None)
    return replace(
        given,
        choices=chosen,
        flip=(lateral, roll),
        mount="" if mount == MOUNTS[0] else mount,
        stated=replace(_ask_drive(), angle_by=angle_by.strip()),
    )


def _ask_drive() -> Stated:
    """What is known of the drive beside its log."""
    with st.expander(KNOWN_HERE):
        level = st.selectbox(f"{_LEVEL}, where they differ", list(LEVELS), key="road:level")
        scale = numbers.ask(
            "How true the gyro's scale is, % (one standard deviation)",
            Allowed(0.0, 20.0, "%", needed=True),
            key="road:gyro_scale",
            value=numbers.shown(100.0 * GYRO_SCALE, 1),
        ).value
        one = st.toggle(ONE_PLACE_HERE, key="road:one_place")
        sensor = st.radio(
            "The sensor sat in the", [s.value for s in Sensor], key="road:sensor", horizontal=True
        )
    known = GYRO_SCALE if scale is None else scale / 100.0
    return Stated(level=LEVELS[level], gyro_scale=known, one_place=one, sensor=Sensor(sensor))


def here(text: str) -> str:
    """A sentence that names the command's options, with this page's own fields and switches."""
    for option, field_here in _HERE:
        text = re.sub(option, field_here, text)
    return text


def _ask_column(role: Role, names: tuple[str, ...], now: Found | None) -> Choice | None:
    """Column and unit of one role; None where the guess stands."""
    words = ROLE_WORDS[role]
    used = "" if now is None else f" (“{now.column}”, {now.unit})"
    left, right = st.columns([2, 1])
    column = left.selectbox(
        f"Column of the {words}", [f"{GUESS}{used}", *names], key=f"road:column:{role.value}"
    )
    unit = right.selectbox(
        f"Unit of the {words}", [GUESS, *UNITS[role]], key=f"road:unit:{role.value}"
    )
    named, unit = (column if column in names else None), (None if unit == GUESS else unit)
    if named is None and (unit is None or now is None):
        return None
    return Choice(named or now.column, unit)


def work_out(sized: Sized, given: Given | None, state: str, *, bar: int | None) -> Read:
    """The answer to a log, or before there is one, the rule of the drive alone.

    `state` is the one that was driven, `bar` the place in the ranking of the bar that was on. The
    errors of the log, if it has any, come with it.
    """
    return _worked_out(frame.text(), sized, given, state, bar=bar)


@st.cache_data(max_entries=16, show_spinner="Reading the log …")
def _worked_out(
    text: str, _sized: Sized, given: Given | None, state: str, *, bar: int | None
) -> Read:
    on = None if bar is None else _sized.sizing.candidates[bar]
    if given is None:
        return Read(answer(_sized.scenario, None, state, on))
    try:
        mount = parse_mount(given.mount) if given.mount else None
        log = parse_log(given.data, given.name, _as_mapping(given), mount=mount)
    except LogError as wrong:
        return Read(None, errors=wrong.errors)
    log = turn_round(log, lateral=given.flip[0], roll=given.flip[1])
    untested = without_lean_test(text, _sized.scenario.path, frame.folder())
    found = answer(_sized.scenario, log, state, on, stated=given.stated, untested=untested)
    return Read(found, log.columns, log.mounting)


def _as_mapping(given: Given) -> Mapping[Role, Choice]:
    return dict(given.choices)


def show_errors(found: Read, name: str) -> None:
    """What is wrong with the log."""
    st.error(f"{frame.plain(name)} cannot be read.\n{bullets(map(here, found.errors))}")
