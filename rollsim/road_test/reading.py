"""Read a log as people have them: any column names, units and sampling, with the guess shown."""

import io
from collections.abc import Mapping
from pathlib import Path
from typing import TextIO

import numpy as np

from rollsim.files import STANDARD_INPUT, TooLargeError, read_bytes
from rollsim.road_test.cells import (
    LARGEST_READING,
    LARGEST_TIME,
    Head,
    find_head,
    read_cells,
)
from rollsim.road_test.columns import (
    KNOWN_NAMES,
    UNITS,
    Choice,
    Found,
    Role,
    guess_columns,
    unit_by_size,
    unit_in_name,
)
from rollsim.road_test.log import Log, LogError, RollKind
from rollsim.units import shown

LARGEST_LOG = 64_000_000  # bytes
HEAD_BYTES = 65_536
SLOWEST, FASTEST = 10.0, 500.0  # Hz
SLACK = 1.1  # of these: clocks are not that true
LONGEST = 4.0 * 3600.0  # s
FEWEST_ROWS = 100
_SIGNATURES = {b"PK": "a spreadsheet workbook or an archive", b"\x1f\x8b": "compressed"}


def read_log(path: Path, choices: Mapping[Role, Choice] | None = None) -> Log:
    """Read a log from a file.

    Parameters
    ----------
    path : Path
        CSV; "-" is the standard input, and a pipe will do.
    choices : mapping or None
        Columns that are chosen; the others are guessed.

    Returns
    -------
    Log
        In SI [s, m/s², rad/s or rad, m/s].

    Raises
    ------
    LogError
        With what is wrong, one line each.
    """
    path = Path(path)
    name = path.name or str(path)
    try:
        if path != STANDARD_INPUT and path.is_dir():
            raise LogError((f"{name}: is a folder; give a log as CSV",))
        if path.is_file() and path.stat().st_size > LARGEST_LOG:
            raise LogError((_too_large(name, f"{path.stat().st_size / 1e6:.0f}"),))
        data = read_bytes(path, LARGEST_LOG)
    except TooLargeError:
        raise LogError((_too_large(name, f"over {LARGEST_LOG / 1e6:.0f}"),)) from None
    except FileNotFoundError:
        raise LogError((f"{name}: no such file; check the name and the folder",)) from None
    except OSError as error:
        raise LogError((f"{name}: cannot be read ({error.strerror})",)) from None
    return parse_log(data, name, choices)


def parse_log(data: bytes, name: str, choices: Mapping[Role, Choice] | None = None) -> Log:
    """Read a log from memory.

    Parameters
    ----------
    data : bytes
        CSV.
    name : str
        Of the file, for errors.
    choices : mapping or None
        Columns that are chosen; the others are guessed.

    Returns
    -------
    Log
        In SI [s, m/s², rad/s or rad, m/s].

    Raises
    ------
    LogError
        With what is wrong, one line each.

    Examples
    --------
    >>> parse_log(b"", "log.csv")
    Traceback (most recent call last):
    ...
    rollsim.road_test.log.LogError: log.csv: is empty; give a log as CSV with a line of column names
    """
    if len(data) > LARGEST_LOG:
        raise LogError((_too_large(name, f"{len(data) / 1e6:.0f}"),))
    _refuse_binary(data[:HEAD_BYTES], name)
    text = io.TextIOWrapper(io.BytesIO(data), "utf-8-sig", errors="replace", newline="")
    return _read(text, name, choices or {})


def column_names(data: bytes, name: str) -> tuple[str, ...]:
    """Names of the columns of a log.

    Parameters
    ----------
    data : bytes
        CSV.
    name : str
        Of the file, for errors.

    Returns
    -------
    tuple of str
        As the log has them.

    Raises
    ------
    LogError
        If there are none.
    """
    _refuse_binary(data[:HEAD_BYTES], name)
    return find_head(data[:HEAD_BYTES].decode("utf-8-sig", errors="replace"), name).names


def _too_large(name: str, size: str) -> str:
    return (
        f"{name}: is {size} MB; allowed {LARGEST_LOG / 1e6:.0f} MB, an hour of six columns at "
        "200 Hz; keep the test alone, drop other columns, or export at 100 Hz"
    )


def _refuse_binary(start: bytes, name: str) -> None:
    """A log is text; a spreadsheet workbook, an archive or another coding is told."""
    kind = next((words for mark, words in _SIGNATURES.items() if start.startswith(mark)), None)
    if start[:2] in (b"\xff\xfe", b"\xfe\xff"):
        kind = "text in UTF-16"
    odd = sum(byte < 9 or 13 < byte < 32 for byte in start[:4096])
    if kind is None and (b"\0" in start or odd > 8):
        kind = "not text"
    if kind:
        raise LogError((f"{name}: is {kind}; allowed is CSV in UTF-8; export the log as CSV",))


def _read(file: TextIO, name: str, choices: Mapping[Role, Choice]) -> Log:
    head = find_head(file.read(HEAD_BYTES), name)
    file.seek(0)
    places = _places(head, name, choices)
    largest = [LARGEST_TIME if role is Role.TIME else LARGEST_READING for role in places]
    numbers, kinds = read_cells(file, head, list(places.values()), largest=largest, name=name)
    raw = dict(zip(places, numbers, strict=True))
    clock = dict(zip(places, kinds, strict=True))[Role.TIME]
    _refuse_blank(raw, head, places, name=name)
    found = []
    for role, place in places.items():
        wanted = choices.get(role)
        told = (wanted.unit if wanted else None) or unit_in_name(head.names[place], role)
        if role is Role.TIME:
            unit = clock or _time_unit(raw[role], told, name)
        else:
            unit = told or unit_by_size(raw[role], role)
        sure = wanted is not None and wanted.unit is not None
        known = head.names[place] in KNOWN_NAMES
        found.append(Found(role, head.names[place], unit, not (sure or known)))
    scaled = {one.role: raw[one.role] * UNITS[one.role][one.unit] for one in found}
    time = scaled[Role.TIME]
    keep = np.isfinite(time)
    time = time[keep] - time[keep][0]
    _check_time(time, name)
    kind = RollKind.RATE if Role.ROLL_RATE in scaled else RollKind.ANGLE
    roll = scaled[Role.ROLL_RATE if kind is RollKind.RATE else Role.ROLL_ANGLE]
    yaw, speed = (scaled.get(role) for role in (Role.YAW_RATE, Role.SPEED))
    return Log(
        time=time,
        lateral=scaled[Role.LATERAL][keep],
        roll=roll[keep],
        kind=kind,
        yaw_rate=None if yaw is None else yaw[keep],
        speed=None if speed is None else speed[keep],
        columns=tuple(found),
    )


def _places(head: Head, name: str, choices: Mapping[Role, Choice]) -> dict[Role, int]:
    """Position of each column that is used; what is missing is told all at once."""
    names = head.names
    listed = ", ".join(shown(column) for column in names[:20])
    wrong, chosen = [], {}
    for role, choice in choices.items():
        option = f"--{role.value.replace('_', '-')}"
        if choice.unit is not None and choice.unit not in UNITS[role]:
            allowed = ", ".join(UNITS[role])
            wrong.append(f"{option}: found the unit {shown(choice.unit)}; allowed {allowed}")
        if choice.column in names:
            chosen[role] = names.index(choice.column)
        else:
            wrong.append(f"{name}: {option}: no column {shown(choice.column)}; there are {listed}")
    guesses = {r: n for r, n in guess_columns(names).items() if n not in chosen.values()}
    found = {**guesses, **chosen}
    if Role.ROLL_RATE in chosen or (Role.ROLL_RATE in found and Role.ROLL_ANGLE not in chosen):
        found.pop(Role.ROLL_ANGLE, None)  # a rate is what a phone measures itself
    elif Role.ROLL_ANGLE in found:
        found.pop(Role.ROLL_RATE, None)
    needed = {"time": (Role.TIME,), "lateral acceleration": (Role.LATERAL,)}
    needed["roll rate or roll angle"] = (Role.ROLL_RATE, Role.ROLL_ANGLE)
    for words, roles in needed.items():
        if not any(role in found or role in choices for role in roles):
            options = " or ".join(f"--{role.value.replace('_', '-')}" for role in roles)
            wrong.append(
                f"{name}: found no column that looks like {words}; there are {listed}; name it "
                f"with {options} COLUMN UNIT"
            )
    if wrong:
        raise LogError(tuple(wrong))
    return found


def _refuse_blank(
    raw: Mapping[Role, np.ndarray], head: Head, places: Mapping[Role, int], *, name: str
) -> None:
    """Every column that is used holds enough numbers."""
    wrong = []
    for role, values in raw.items():
        count, least = int(np.isfinite(values).sum()), FEWEST_ROWS
        if role is Role.SPEED:
            least = 2
        if count < least:
            wrong.append(
                f"{name}: column {shown(head.names[places[role]])}: found {count} numbers; needed "
                f"at least {least}; record the whole test"
            )
    if wrong:
        raise LogError(tuple(wrong))


def _time_unit(values: np.ndarray, told: str | None, name: str) -> str:
    """The unit in which the log runs at 10 to 500 Hz: there is only one."""
    step = _step(values)
    fits = [
        unit
        for unit in ("s", "ms", "us", "ns")
        if SLOWEST / SLACK <= 1.0 / (step * UNITS[Role.TIME][unit]) <= FASTEST * SLACK
    ]
    if told is not None and told not in fits and fits:
        raise LogError(
            (
                f"{name}: time: in {told} the log runs at "
                f"{1.0 / (step * UNITS[Role.TIME][told]):.3g} Hz; allowed {SLOWEST:g} to "
                f"{FASTEST:g} Hz; it looks like {fits[0]}: give --time COLUMN {fits[0]}",
            )
        )
    return fits[0] if fits else told or "s"


def _step(values: np.ndarray) -> float:
    """Time from row to row, of those that differ."""
    steps = np.diff(values[np.isfinite(values)])
    steps = np.abs(steps[steps != 0.0])
    return float(np.median(steps)) if steps.size else 1e9


def _check_time(time: np.ndarray, name: str) -> None:
    """Time rises, at 10 to 500 Hz, and the log is no longer than four hours."""
    if not time.any():
        raise LogError(
            (
                f"{name}: time: is the same in every row; allowed is rising; give the column that "
                "counts with --time COLUMN UNIT, or record the log again",
            )
        )
    back = np.flatnonzero(np.diff(time) < 0.0)
    if back.size:
        at = int(back[0])
        raise LogError(
            (
                f"{name}: time: runs back after {time[at]:.3f} s of the log, {back.size} times in "
                "all; allowed is rising; sort the rows, or keep one run of the log",
            )
        )
    rate = 1.0 / _step(time)
    if not SLOWEST / SLACK <= rate <= FASTEST * SLACK:
        raise LogError(
            (
                f"{name}: time: the log runs at {rate:.3g} Hz; allowed {SLOWEST:g} to "
                f"{FASTEST:g} Hz, times with enough decimals; record or export it so",
            )
        )
    if time[-1] > LONGEST:
        raise LogError(
            (
                f"{name}: time: the log lasts {time[-1] / 3600.0:.1f} hours; allowed "
                f"{LONGEST / 3600.0:g}; keep the test alone",
            )
        )
