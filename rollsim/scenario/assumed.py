"""Values that the file itself marks as assumed: told and counted as class defaults are."""

import re
from collections.abc import Iterator, Sequence
from typing import Any

from rollsim.scenario.keys import bare, is_assumed

_BAR = ".bar.roll_stiffness"
_SHAPE = ("rear_bar.centre_length = ", "rear_bar.arm_holes = ")
_FRONT_SHAPE = tuple(
    f"{table}.{key} = "
    for table in ("front_bar.shape", "change.front_bar")
    for key in ("section", "centre_length", "arm_holes")
)
_LOOK = "assumed, nobody looked whether it has one; look under the vehicle"


def assumed_lines(data: dict[str, Any]) -> tuple[str, ...]:
    """Say what a file marks, a line "key = value (why)" each, in the order of the file.

    `data` is that of a file that was checked. A list is one line. Text that is the user's own may
    end as it likes.

    Examples
    --------
    >>> assumed_lines({"front": {"track": "1560 mm ± 50 mm (assumed)"}})
    ('front.track = 1560 mm ± 50 mm (assumed in the file; tape: tyre centre to tyre centre at the \
ground)',)
    """
    marked = [(key, found) for key, found in leaves(data, "") if is_assumed(found)]
    if not marked:
        return ()
    from rollsim.scenario.inputs import inputs  # few files mark a value

    how = {one.key: one.measure for one in inputs() if one.takes_mark}
    lines = []
    for key, found in marked:
        name = re.sub(r"\[\d+\]", "[]", key)
        if name in how:
            why = _LOOK if key.endswith(_BAR) else f"assumed in the file; {how[name]}"
            lines.append(f"{key} = {_shown(found)} ({why})")
    return tuple(lines)


def to_look_at(assumed: Sequence[str]) -> tuple[str, ...]:
    """Say what one look under the vehicle tells: which bars it has, which shape fits.

    A sentence each.

    Examples
    --------
    >>> to_look_at(assumed_lines({"rear": {"bar": {"roll_stiffness": "0 N*m/deg (assumed)"}}}))
    ('That it has no rear bar is assumed: look under the vehicle.',)
    """
    found, bars = [], []
    if any(line.startswith(_SHAPE) for line in assumed):
        found.append("The shape of the new bar is assumed: lay it out before you order.")
    if any(line.startswith(_FRONT_SHAPE) for line in assumed):
        found.append(
            "The shape of the front bar is assumed: measure the one on it before you order."
        )
    for line in assumed:
        key, _, value = line.partition(" = ")
        if key.endswith(_BAR) and value.endswith(f"({_LOOK})"):
            number = "no" if float(value.split()[0]) == 0.0 else "a"
            bars.append(f"{number} {key.removesuffix(_BAR)} bar")
    if bars:
        found.append(f"That it has {' and '.join(bars)} is assumed: look under the vehicle.")
    return tuple(found)


def _shown(found: Any) -> str:
    parts = found if isinstance(found, list) else [found]
    return ", ".join(bare(str(part)).strip() for part in parts).replace("*", "·")


def leaves(here: Any, where: str, place: str = "[{}]") -> Iterator[tuple[str, Any]]:
    """Every value of a file with its key; places in a list of tables from 1, written as `place`."""
    if isinstance(here, dict):
        for name, inside in here.items():
            yield from leaves(inside, f"{where}.{name}" if where else name, place)
    elif isinstance(here, list) and any(isinstance(one, dict) for one in here):
        for number, inside in enumerate(here, 1):
            yield from leaves(inside, where + place.format(number), place)
    else:
        yield where, here
