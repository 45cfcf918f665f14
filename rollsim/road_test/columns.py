"""Which column of a log is what, and in which unit? By its name."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from rollsim.vehicle import STANDARD_GRAVITY


class Role(Enum):
    """What a column of a log holds; the value is its name in options and JSON."""

    TIME = "time"
    LATERAL = "lateral"
    ROLL_RATE = "roll_rate"
    ROLL_ANGLE = "roll_angle"
    YAW_RATE = "yaw_rate"
    PITCH_RATE = "pitch_rate"
    LONGITUDINAL = "longitudinal"
    VERTICAL = "vertical"
    SPEED = "speed"
    EAST = "east"
    NORTH = "north"


_ACCELERATIONS = {"g": STANDARD_GRAVITY, "m/s2": 1.0}
_POSITIONS = {"deg": 1.0, "m": 1.0}  # degrees become metres where both are known
_RATES = {"deg/s": np.pi / 180.0, "rad/s": 1.0}
UNITS: Mapping[Role, Mapping[str, float]] = {
    Role.TIME: {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9, "clock": 1.0},
    Role.LATERAL: _ACCELERATIONS,
    Role.ROLL_RATE: _RATES,
    Role.ROLL_ANGLE: {"deg": np.pi / 180.0, "rad": 1.0},
    Role.YAW_RATE: _RATES,
    Role.PITCH_RATE: _RATES,
    Role.LONGITUDINAL: _ACCELERATIONS,
    Role.VERTICAL: _ACCELERATIONS,
    Role.SPEED: {"m/s": 1.0, "km/h": 1.0 / 3.6, "mph": 0.44704, "kn": 1852.0 / 3600.0},
    Role.EAST: _POSITIONS,
    Role.NORTH: _POSITIONS,
}
"""Units of each column and their size in SI; "clock" is ISO 8601, or hours:minutes:seconds; of
a position deg are longitude and latitude."""

KNOWN_NAMES: Mapping[str, tuple[Role, str]] = {
    "time_s": (Role.TIME, "s"),
    "speed_m_s": (Role.SPEED, "m/s"),
    "roll_angle_deg": (Role.ROLL_ANGLE, "deg"),
    "longitude_deg": (Role.EAST, "deg"),
    "latitude_deg": (Role.NORTH, "deg"),
    "position_x_m": (Role.EAST, "m"),
    "position_y_m": (Role.NORTH, "m"),
    **{
        f"{role.value}_{unit.replace('/', '_')}": (role, unit)
        for role in (Role.ROLL_RATE, Role.PITCH_RATE, Role.YAW_RATE)
        for unit in _RATES
    },
    **{
        f"{role.value}_acceleration_{unit.replace('/', '_')}": (role, unit)
        for role in (Role.LATERAL, Role.LONGITUDINAL, Role.VERTICAL)
        for unit in _ACCELERATIONS
    },
}
"""Names of columns that leave nothing to guess, and the unit that they tell."""

_UNIT_WORDS = (
    ("deg/s", r"(deg|degrees?|°)\s?(/|_|\bper\b|p|\s)\s?s(ec)?\b|dps\b"),
    ("rad/s", r"rad(ians?)?\s?(/|_|\bper\b|p|\s)\s?s(ec)?\b"),
    ("m/s2", r"m\s?(/|_)\s?s\s?(\^|\*\*)?\s?(2|²)|mps2"),
    ("km/h", r"km\s?(/|_)?\s?h\b|kph\b"),
    ("mph", r"mph\b"),
    ("kn", r"\b(kn|knots?)\b"),
    ("m/s", r"\bm\s?(/|_)\s?s\b(?!\s?(\^|\*\*)?[2²])|\bmps\b"),
    ("ms", r"\b(ms|msec|milliseconds?|millis)\b"),
    ("us", r"\b(us|µs|microseconds?|micros)\b"),
    ("ns", r"\b(ns|nanoseconds?|nanos)\b"),
    ("deg", r"\b(deg|degrees?)\b|°"),
    ("rad", r"\b(rad|radians?)\b"),
    ("s", r"\b(s|sec|seconds?)\b"),
    ("g", r"\bg\b"),
)
# The first that any name meets wins, so what is surer stands first.
_NAME_WORDS = {
    Role.TIME: (
        r"^time\b",
        r"^timestamp\b",
        r"^elapsed\b|^seconds\b",
        r"\btime\b",
        r"^t\b",
        r"\btimestamp\b",
    ),
    Role.LATERAL: (
        r"^lateral acc",
        r"\blat(eral)?\b.*\b(acc\w*|g)\b",
        r"\b(acc\w*|g)\b.*\blat(eral)?\b",
    ),
    Role.ROLL_RATE: (
        r"\broll\b.*\b(rate|velocity|speed)\b",
        r"\b(gyro\w*|rotation)\b.*\broll\b",
    ),
    Role.ROLL_ANGLE: (r"^roll angle\b", r"^roll\b", r"\blean\b", r"\btilt\b", r"\broll\b"),
    Role.YAW_RATE: (
        r"\byaw\b.*\b(rate|velocity|speed)\b",
        r"\b(gyro\w*|rotation)\b.*\byaw\b",
    ),
    Role.PITCH_RATE: (r"\bpitch\b.*\b(rate|velocity|speed)\b",),
    Role.LONGITUDINAL: (r"^longitudinal acc", r"\blong(itudinal)?\b.*\b(acc\w*|g)\b"),
    Role.VERTICAL: (r"^vertical acc", r"\bvert(ical)?\b.*\b(acc\w*|g)\b"),
    Role.SPEED: (r"\bspeed\b", r"\bvelocity\b", r"^v\b"),
    Role.EAST: (r"\blongitude\b", r"^(lon|lng)\b"),
    Role.NORTH: (r"\blatitude\b", r"^lat$"),
}


@dataclass(frozen=True, slots=True)
class Choice:
    """A column that was chosen for a role.

    Parameters
    ----------
    column : str
        Its name in the log.
    unit : str or None
        One of `UNITS` of the role; None: guessed.
    """

    column: str
    unit: str | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """A column as it was read.

    Parameters
    ----------
    role : Role
        What it holds.
    column, unit : str
        Its name in the log and its unit.
    guessed : bool
        The column or the unit was guessed.
    """

    role: Role
    column: str
    unit: str
    guessed: bool


def guess_columns(names: Sequence[str], blind: Sequence[int] = ()) -> dict[Role, int]:
    """Which column holds what, by the names.

    Parameters
    ----------
    names : sequence of str
        Of the columns, as the log has them.
    blind : sequence of int
        Positions that hold no numbers or times [-].

    Returns
    -------
    dict
        Position of the column of each role that was found; each column is used once.

    Examples
    --------
    >>> found = guess_columns(["Time (s)", "Lateral acc (g)", "Roll rate (deg/s)", "Speed"])
    >>> [(role.value, place) for role, place in found.items()]
    [('time', 0), ('lateral', 1), ('roll_rate', 2), ('speed', 3)]
    """
    plain = [_plain(name) for name in names]
    found: dict[Role, int] = {}
    for n, name in enumerate(names):
        if name in KNOWN_NAMES:
            found.setdefault(KNOWN_NAMES[name][0], n)
    for role, patterns in _NAME_WORDS.items():
        free = [n for n in range(len(plain)) if n not in found.values() and n not in blind]
        if role in found:
            continue
        hits = (n for pattern in patterns for n in free if re.search(pattern, plain[n]))
        place = next(hits, None)
        if place is not None:
            found[role] = place
    return found


def unit_in_name(name: str, role: Role) -> str | None:
    """The unit that a column's name tells.

    Parameters
    ----------
    name : str
        As the log has it.
    role : Role
        What the column holds.

    Returns
    -------
    str or None
        One of `UNITS` of the role; None where the name tells none.

    Examples
    --------
    >>> unit_in_name("lateral_acceleration_m_s2", Role.LATERAL), unit_in_name("ay", Role.LATERAL)
    ('m/s2', None)
    """
    if name in KNOWN_NAMES and KNOWN_NAMES[name][0] is role:
        return KNOWN_NAMES[name][1]
    text = name.lower().replace("acceleration_g", "acceleration g")
    spaced = re.sub(r"_(?=(deg|rad|g|s|ms|us|ns|km|mph|kn|m)(_|\b))", " ", text)
    for unit, pattern in _UNIT_WORDS:
        if unit in UNITS[role] and re.search(pattern, spaced):
            return unit
    return None


def _plain(name: str) -> str:
    """A name in lower case, words apart, without its unit."""
    text = re.sub(r"[(\[].*?[)\]]", " ", name)
    text = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text).lower()
    return " ".join(re.split(r"[^a-z0-9]+", text)).strip()


_FELT = r"\b(acc\w*)\b"
_GYRO = r"\b(gyr\w*|rotation|angular|omega|rot)\b"
_SHORT = (r"^(a|acc) ?{axis}$", r"^(w|g|gyro?|omega|rot) ?{axis}$")
_UNIT_AT_END = r" (g|m s ?2|ms2|mps2|(deg|rad|degrees|radians) (s|sec|per s)|dps|rps)$"
_NO_GRAVITY = r"\b(user|linear|lin|without)\b"


@dataclass(frozen=True, slots=True)
class Axes:
    """Columns of a sensor's own three axes.

    Parameters
    ----------
    force, rates : tuple of int
        Positions of acceleration and rate of turn along x, y, z [-].
    """

    force: tuple[int, int, int]
    rates: tuple[int, int, int]


def find_axes(names: Sequence[str]) -> Axes | None:
    """The six columns of a sensor that knows nothing of the vehicle.

    Parameters
    ----------
    names : sequence of str
        Of the columns.

    Returns
    -------
    Axes or None
        None where one is missing, or the columns are named after the vehicle. Acceleration with
        gravity in it goes before one without.

    Examples
    --------
    >>> find_axes(["t", "Acc X", "Acc Y", "Acc Z", "Gyro X", "Gyro Y", "Gyro Z"])
    Axes(force=(1, 2, 3), rates=(4, 5, 6))
    """
    plain = [_plain(name) for name in names]
    if any(re.search(r"^(lateral acc|roll rate)", one) for one in plain):
        return None
    force, rates = axes_seen(names)
    return Axes(force, rates) if len({*force, *rates}) == 6 else None


def axes_seen(names: Sequence[str]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Positions of the accelerations and the rates along axes of a sensor that there are [-].

    Examples
    --------
    >>> axes_seen(["t", "ay", "Gyro X"])
    ((1,), (2,))
    """
    plain = [re.sub(_UNIT_AT_END, "", _plain(name)) for name in names]
    free = [bool(re.search(_NO_GRAVITY, one)) for one in plain]

    def three(words: str, short: str) -> tuple[int, ...]:
        places = []
        for letter in "xyz":
            pattern = rf"{words}.*\b{letter}$|^{letter}\b.*{words}|{short.format(axis=letter)}"
            hits = [n for n, one in enumerate(plain) if re.search(pattern, one)]
            places += sorted(hits, key=lambda n: free[n])[:1]
        return tuple(places)

    return three(_FELT, _SHORT[0]), three(_GYRO, _SHORT[1])
