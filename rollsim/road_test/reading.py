"""Read a log as people have them: any column names, units and sampling, with the guess shown."""

import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TextIO

import numpy as np

from rollsim.files import STANDARD_INPUT, TooLargeError, read_bytes
from rollsim.road_test.cells import (
    LARGEST_READING,
    LARGEST_TIME,
    LONGEST_NAME,
    Head,
    find_head,
    is_number_or_time,
    read_cells,
)
from rollsim.road_test.clock import check_time, time_unit
from rollsim.road_test.columns import (
    KNOWN_NAMES,
    UNITS,
    Choice,
    Found,
    Role,
    axes_seen,
    find_axes,
    guess_columns,
    unit_in_name,
)
from rollsim.road_test.log import Log, LogError, RollKind
from rollsim.road_test.mounting import find_mounting
from rollsim.units import shown

LARGEST_LOG = 64_000_000  # bytes
HEAD_BYTES = 65_536
FEWEST_ROWS = 100
UNLIKE_G = 4.0  # three axes at rest read 1 g, or 9.8 m/s²
UNLIKE_RADIANS, SPIKES = 2.0, 98.0  # rad/s: no vehicle turns so fast; per cent, the rest is spikes
EARTH = 6.371e6  # m, radius
FURTHEST = 1e8  # m, of a position: a grid may count from far away
POSITION = (Role.EAST, Role.NORTH)
_OF_THE_BODY = set(Role) - {Role.TIME, Role.SPEED, *POSITION}
_MADE_BY = re.compile(r"[#;\s]*roll angle (?:by|made by)\s*[:=;]\s*(\S.*)", re.IGNORECASE)
_SIGNATURES = {b"PK": "a spreadsheet workbook or an archive", b"\x1f\x8b": "compressed"}


def read_log(
    path: Path,
    choices: Mapping[Role, Choice] | None = None,
    *,
    mount: tuple[str, str] | None = None,
) -> Log:
    """Read a log from a file.

    Parameters
    ----------
    path : Path
        CSV; "-" is the standard input, and a pipe will do.
    choices : mapping or None
        Columns that are chosen; the others are guessed.
    mount : tuple of str or None
        Axes of the sensor that point forward and left, such as "y" and "-x"; None: found.

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
    return parse_log(data, name, choices, mount=mount)


def parse_log(
    data: bytes,
    name: str,
    choices: Mapping[Role, Choice] | None = None,
    *,
    mount: tuple[str, str] | None = None,
) -> Log:
    """Read a log from memory.

    Parameters
    ----------
    data : bytes
        CSV.
    name : str
        Of the file, for errors.
    choices : mapping or None
        Columns that are chosen; the others are guessed.
    mount : tuple of str or None
        Axes of the sensor that point forward and left, such as "y" and "-x"; None: found.

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
    return _read(text, name, choices or {}, mount)


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


def _read(
    file: TextIO, name: str, choices: Mapping[Role, Choice], mount: tuple[str, str] | None
) -> Log:
    head = find_head(file.read(HEAD_BYTES), name)
    said = _angle_by(file, head.lines)
    file.seek(0)
    axes = None if set(choices) & _OF_THE_BODY else find_axes(head.names)
    if axes is None and mount is not None:
        wanted = "columns of acceleration and rate of turn along x, y and z of the sensor"
        raise LogError((f"{name}: --mount: needs {wanted}, and no column named after the vehicle",))
    places = _places(head, name, choices, sensor=axes is not None)
    at = [*places.values(), *((*axes.force, *axes.rates) if axes else ())]
    largest = [LARGEST_READING] * len(at)
    for n, role in enumerate(places):
        largest[n] = {Role.TIME: LARGEST_TIME, **dict.fromkeys(POSITION, FURTHEST)}.get(
            role, LARGEST_READING
        )
    numbers, kinds = read_cells(file, head, at, largest=largest, name=name)
    raw = dict(zip(places, numbers, strict=False))
    clock = dict(zip(places, kinds, strict=False))[Role.TIME]
    _refuse_blank(raw, head, places, name=name)
    found = _units(places, head.names, raw, choices, clock=clock, name=name)
    scaled = {one.role: raw[one.role] * UNITS[one.role][one.unit] for one in found}
    time = scaled.pop(Role.TIME)
    keep = np.isfinite(time)
    time = time[keep] - time[keep][0]
    check_time(time, name)
    columns = {role: values[keep] for role, values in scaled.items()}
    if axes is not None:
        six = numbers[len(places) :, keep]
        own = tuple(tuple(head.names[n] for n in three) for three in (axes.force, axes.rates))
        try:
            log = _of_sensor(time, six, own, mount=mount, found=found)
            return replace(log, speed=columns.get(Role.SPEED), position=_position(columns, found))
        except ValueError as error:
            raise LogError((f"{name}: mounting of the sensor: {error}",)) from None
    rated = Role.ROLL_RATE in columns
    return Log(
        time=time,
        lateral=columns[Role.LATERAL],
        roll=columns[Role.ROLL_RATE if rated else Role.ROLL_ANGLE],
        kind=RollKind.RATE if rated else RollKind.ANGLE,
        yaw_rate=columns.get(Role.YAW_RATE),
        speed=columns.get(Role.SPEED),
        pitch_rate=columns.get(Role.PITCH_RATE),
        longitudinal=columns.get(Role.LONGITUDINAL),
        vertical=columns.get(Role.VERTICAL),
        position=_position(columns, found),
        angle_by=said,
        columns=found,
    )


def _of_sensor(
    time: np.ndarray,
    six: np.ndarray,
    names: tuple[tuple[str, ...], ...],
    *,
    mount: tuple[str, str] | None,
    found: tuple[Found, ...],
) -> Log:
    """A log in the axes of the vehicle, from a sensor that sits in any way."""
    parts, told = [], []
    for role, three, own in zip(
        (Role.LATERAL, Role.ROLL_RATE), (six[:3], six[3:]), names, strict=True
    ):
        if np.isfinite(three).sum(axis=1).min() < FEWEST_ROWS:
            raise ValueError(f"{', '.join(own)} need {FEWEST_ROWS} numbers each")
        size = np.linalg.norm(three, axis=0)
        unit = unit_in_name(own[0], role)
        if unit is None and role is Role.LATERAL:
            unit = "m/s2" if np.nanmedian(size) > UNLIKE_G else "g"
        if unit is None:
            fastest = np.nanpercentile(np.abs(size - np.nanmedian(size)), SPIKES)
            unit = "deg/s" if fastest > UNLIKE_RADIANS else "rad/s"
        parts.append(three * UNITS[role][unit])
        told.append(Found(role, ", ".join(own), unit, True))
    mounting = find_mounting(time, *parts, stated=mount)
    force, rates = (mounting.matrix @ part for part in parts)
    return Log(
        time=time,
        lateral=force[1],
        roll=rates[0],
        kind=RollKind.RATE,
        yaw_rate=rates[2],
        pitch_rate=rates[1],
        longitudinal=force[0],
        vertical=force[2],
        columns=(*found, *told),
        mounting=mounting,
    )


def _position(columns: Mapping[Role, np.ndarray], found: tuple[Found, ...]) -> np.ndarray | None:
    """East + i north [m]; None where one of them is not recorded."""
    units = {one.role: one.unit for one in found}
    if not all(role in columns and np.isfinite(columns[role]).sum() > 1 for role in POSITION):
        return None
    east, north = (columns[role] for role in POSITION)
    none = (east == 0.0) & (north == 0.0)  # as a receiver says before it knows
    east, north = (np.where(none, np.nan, one) for one in (east, north))
    if np.isfinite(east + north).sum() < 2:
        return None
    if units[Role.EAST] == "deg":
        middle = np.nanmedian(north)
        east = EARTH * np.cos(np.radians(middle)) * np.radians(east - np.nanmedian(east))
        north = EARTH * np.radians(north - middle)
    return east + 1j * north


def _angle_by(file: TextIO, lines: int) -> str:
    """What unit made a roll angle, where a line above the names of the columns says so."""
    file.seek(0)
    for _ in range(lines):
        found = _MADE_BY.match(file.readline().strip())
        if found:
            return found.group(1).strip()[:LONGEST_NAME]
    return ""


def _units(
    places: Mapping[Role, int],
    names: Sequence[str],
    raw: Mapping[Role, np.ndarray],
    choices: Mapping[Role, Choice],
    *,
    clock: str,
    name: str,
) -> tuple[Found, ...]:
    """The unit of each column by its name, or as chosen; never by the size of its readings."""
    found, wrong = [], []
    for role, place in places.items():
        column, wanted = names[place], choices.get(role)
        sure = wanted is not None and wanted.unit is not None
        unit = (wanted.unit if wanted else None) or unit_in_name(column, role)
        if role is Role.TIME:
            unit = clock or time_unit(raw[role], unit, name)
        if unit is None and role in (Role.SPEED, *POSITION):
            unit = next(iter(UNITS[role]))
        if unit is None:
            option = role.value.replace("_", "-")
            wrong.append(
                f"{name}: column {shown(column)}: its name tells no unit; allowed "
                f"{', '.join(UNITS[role])}; name it with --{option} COLUMN UNIT"
            )
        found.append(Found(role, column, unit, not (sure or column in KNOWN_NAMES)))
    if wrong:
        raise LogError(tuple(wrong))
    return tuple(found)


def _places(
    head: Head, name: str, choices: Mapping[Role, Choice], *, sensor: bool
) -> dict[Role, int]:
    """Position of each column that is used; what is missing is told all at once.

    Of a `sensor` with axes of its own only time and speed are.
    """
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
    blind = [n for n, cell in enumerate(head.first) if not is_number_or_time(cell)]
    guesses = guess_columns(names, blind)
    if sensor:
        guesses = {r: n for r, n in guesses.items() if r not in _OF_THE_BODY}
    found = {**{r: n for r, n in guesses.items() if n not in chosen.values()}, **chosen}
    if Role.ROLL_RATE in chosen or (Role.ROLL_RATE in found and Role.ROLL_ANGLE not in chosen):
        found.pop(Role.ROLL_ANGLE, None)  # a rate is what a phone measures itself
    elif Role.ROLL_ANGLE in found:
        found.pop(Role.ROLL_RATE, None)
    if len({found.get(role) for role in POSITION}) < 2:
        found = {role: n for role, n in found.items() if role not in POSITION}
    wrong += _missing(found, choices, names, sensor=sensor, name=name)
    if wrong:
        raise LogError(tuple(wrong))
    return found


def _missing(
    found: Mapping[Role, int],
    choices: Mapping[Role, Choice],
    names: Sequence[str],
    *,
    sensor: bool,
    name: str,
) -> list[str]:
    """Columns without which there is no test; axes of a sensor are not taken for the vehicle's."""
    listed, wrong = ", ".join(shown(column) for column in names[:20]), []
    needed = {"time": (Role.TIME,), "lateral acceleration": (Role.LATERAL,)}
    needed["roll rate or roll angle"] = (Role.ROLL_RATE, Role.ROLL_ANGLE)
    for words, roles in needed.items() if not sensor else [("time", (Role.TIME,))]:
        if not any(role in found or role in choices for role in roles):
            options = " or ".join(f"--{role.value.replace('_', '-')}" for role in roles)
            wrong.append(
                f"{name}: found no column that looks like {words}; there are {listed}; name it "
                f"with {options} COLUMN UNIT"
            )
    axes = [shown(names[n]) for n in sum(axes_seen(names), ())]
    if wrong and axes and not sensor:
        wrong.append(
            f"{name}: {', '.join(axes)}: axes of a sensor; all six tell how it sits, three "
            "accelerations and three rates of turn: record them, or name those that count"
        )
    return wrong


def _refuse_blank(
    raw: Mapping[Role, np.ndarray], head: Head, places: Mapping[Role, int], *, name: str
) -> None:
    """Every column that is used holds enough numbers."""
    wrong = []
    for role, values in raw.items():
        count, least = int(np.isfinite(values).sum()), FEWEST_ROWS
        if role in (Role.SPEED, *POSITION):
            least = 2 if role is Role.SPEED else 0
        if count < least:
            wrong.append(
                f"{name}: column {shown(head.names[places[role]])}: found {count} numbers; needed "
                f"at least {least}; record the whole test"
            )
    if wrong:
        raise LogError(tuple(wrong))
