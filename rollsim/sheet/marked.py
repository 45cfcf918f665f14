"""Every input of a scenario as it was typed, with its mark where it is measured or assumed."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from rollsim.scenario.assumed import leaves
from rollsim.scenario.bounds import parsed
from rollsim.scenario.inputs import Mark, mark
from rollsim.scenario.keys import CLASS_DEFAULT, bare, is_assumed
from rollsim.scenario.shelf import is_inline
from rollsim.tell.names import clean

LETTERS = {Mark.MEASURED: "M", Mark.GIVEN: "", Mark.ASSUMED: "A"}  # most are given: no mark
_MEASURED = "M measured, or given with a tolerance"
_ASSUMED = "A assumed, not measured"
_GROUPS = {
    "job": "for the shop's record",
    "vehicle": "vehicle, as weighed",
    "front": "front axle",
    "rear": "rear axle",
    "change": "lift, tyres, springs changed",
    "target": "target",
    "limits": "limits",
    "rear_bar": "rear bar to be sized",
    "front_bar": "front bar to go with it",
}
_BAND = re.compile(r"(\S+) (\S+) ± (\S+) \2(?=$|,)")
SCALES = (
    ("front_left_mass", "front_right_mass", "front_axle_mass"),
    ("rear_left_mass", "rear_right_mass", "rear_axle_mass"),
)
_ELSEWHERE = {"name", *SCALES[0], *SCALES[1]}  # of the vehicle: in the sheet's other tables
_LOAD = ("mass", "behind_front_axle", "height", "left_of_centreline")


@dataclass(frozen=True, slots=True)
class Entry:
    """One input: its name, what was typed, and the letter of its mark; empty: it is given."""

    name: str
    typed: str
    letter: str


@dataclass(frozen=True, slots=True)
class Group:
    """The inputs of one table of the file."""

    name: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class LoadEntry:
    """A load item as it was typed: name, its four figures, where it is.

    The figures are mass, behind the front axle, height, left of the centreline; the place is roof,
    tray, cabin or tow bar.
    """

    name: str
    figures: tuple[Entry, ...]
    place: str


def legend(assumed: Sequence[str]) -> str:
    """What the letters mean, and how many values are assumed.

    Examples
    --------
    >>> legend(("front.track = 1560 mm (assumed)",))
    'M measured, or given with a tolerance; A assumed, not measured: 1'
    """
    return f"{_MEASURED}; {_ASSUMED}: {len(assumed)}" if assumed else _MEASURED


def _every(_group: str, _key: str) -> bool:
    return True


def groups(
    text: str, assumed: Sequence[str], wanted: Callable[[str, str], bool] = _every
) -> tuple[Group, ...]:
    """Every input but what was on the scales, ratings and load items, table by table.

    `text` is a scenario that can be read; the lines "key = value (why)" of `assumed` stand in place
    of what is marked as such. `wanted` chooses among the inputs by table and key. Tables that the
    file has not are left out; what it leaves open and is assumed stands last in its table.

    Examples
    --------
    >>> found = groups('[front]\\ntrack = "1560 mm ± 5 mm"', ())
    >>> found[0].entries
    (Entry(name='track', typed='1560 mm ± 5 mm', letter='M'),)
    """
    data = parsed(text)
    found = []
    for key, name in _GROUPS.items():
        table = data.get(key)
        if not isinstance(table, dict):
            continue
        entries = [
            e
            for leaf in leaves(table, "", " {}")
            if wanted(key, leaf[0])
            for e in _entries(key, *leaf, assumed=assumed)
        ]
        entries += [
            _assumed(key, line, "") for line in assumed if _is_left_out(line, key, table, wanted)
        ]
        if entries:
            found.append(Group(name, tuple(entries)))
    return tuple(found)


def _is_left_out(line: str, group: str, table: Mapping, wanted: Callable[[str, str], bool]) -> bool:
    """Whether a value of that table is assumed without a word of it in the file."""
    head, _, name = line.partition(" = ")[0].partition(".")
    return head == group and name.partition(".")[0] not in table and wanted(group, name)


def loads(text: str) -> tuple[LoadEntry, ...]:
    """The load items as they were typed, in the order of the file.

    `text` is a scenario that can be read.
    """
    found = []
    for table in parsed(text).get("load", ()):
        figures = tuple(_entry(name, table.get(name)) for name in _LOAD)
        found.append(LoadEntry(clean(table.get("name", "")), figures, table.get("place", "cabin")))
    return tuple(found)


def typed(text: str, group: str, name: str) -> Entry | None:
    """One input of a table, or None where the file has it not.

    `text` is a scenario that can be read; `name` is the key.
    """
    table = parsed(text).get(group, {})
    return _entry(name, table[name]) if name in table else None


def _entries(group: str, key: str, found: object, *, assumed: Sequence[str]) -> list[Entry]:
    """One input; where nobody measured it, what is assumed for it."""
    whole = f"{group}.{key}"
    if group == "vehicle" and key in _ELSEWHERE:
        return []
    lines = [line for line in assumed if line.startswith((f"{whole} = ", f"{whole}."))]
    if lines:
        # A kind, such as polyurethane, is the user's word; the figure behind it is assumed.
        kind = "" if found == CLASS_DEFAULT or is_assumed(found) else f"{clean(found)}, "
        return [_assumed(group, line, kind) for line in lines]
    return [_entry(key, found)]


def _assumed(group: str, line: str, kind: str) -> Entry:
    key, _, rest = line.partition(" = ")
    figure = rest.partition(" (")[0]
    return Entry(
        _words(key.removeprefix(f"{group}.")), f"{kind}{_narrow(figure)}", LETTERS[Mark.ASSUMED]
    )


def _narrow(figure: str) -> str:
    """A band with its unit once: it stands in a narrow column."""
    return _BAND.sub(r"\1 ± \3 \2", figure)


def _entry(key: str, found: object) -> Entry:
    if found is None:
        return Entry(_words(key), "", "")
    if isinstance(found, bool):
        words = "yes" if found else "no"
    elif isinstance(found, str) and is_inline(found):
        words = f"{len(found.split(chr(10)))} lines, in the file"
    elif isinstance(found, list) and found and isinstance(found[0], list):
        words = f"{len(found)} points, in the file"
    elif isinstance(found, list):
        words = ", ".join(clean(bare(one) if isinstance(one, str) else one) for one in found)
    else:
        words = clean(bare(found) if isinstance(found, str) else found)
    if is_assumed(found):
        words = _narrow(words)
    plain = isinstance(found, str | list) and not is_assumed(found)
    return Entry(_words(key), words, LETTERS[mark(words if plain else found)])


def _words(key: str) -> str:
    return clean(key).replace("_", " ").replace(".", ", ")
