"""The inputs of a scenario as fields of a page: what stands in them, what is wrong with them."""

import tomllib
from collections.abc import MutableMapping, Sequence
from dataclasses import replace

from rollsim.page.frame import folder
from rollsim.scenario import ScenarioError, loads
from rollsim.scenario.editing import Value, changed, value
from rollsim.scenario.inputs import Input, Kind, Mark, inputs, mark

GROUPS = {
    "vehicle": "On the scales",
    "front": "Front axle",
    "rear": "Rear axle",
    "load": "Load items",
    "change": "Lift and changes",
    "ratings": "Ratings",
    "target": "Target",
    "rear_bar": "Bar to be sized",
    "limits": "Limits",
}
_FOLDS = {  # part of a key: name of the fold
    "helical": "Spring from the dimensions of its coil",
    "leaf_pack": "Spring from the dimensions of its leaves",
    "front_spring": "Another front spring",
    "rear_spring": "Another rear spring",
    "material": "A steel of your own",
}
_LARGEST_UPLOAD = 2_000_000  # bytes
_WIDGET = "vehicle:field:"
_WORDS = {  # where the key alone does not tell; the shop's word first
    "vehicle.cg_height": "CG height (centre of gravity)",
    "roll_centre_height": "roll centre height",
    "roll_centre_travel_ratio": "roll centre travel ratio",
    "spring.second_stage.after": "helper leaves (second stage), gap",
    "spring.second_stage.rate": "helper leaves (second stage), rate",
    "rebound_limit": "full droop (rebound limit)",
    "rebound_limit.gap": "full droop (rebound limit), gap",
    "rebound_limit.rate": "full droop (rebound limit), rate",
    "rebound_limit.base": "full droop (rebound limit), base",
    "rebound_limit.motion_ratio": "full droop (rebound limit), motion ratio",
    "auxiliary_roll_stiffness": "bush and leaf twist (auxiliary roll stiffness)",
    "bar.link_end_rate": "bar stiffness at the link (link-end rate)",
    "target.roll_gradient": "lean per g wanted (roll gradient)",
}


class Errors:
    """Every error of a scenario, by the field that it belongs to.

    Parameters
    ----------
    lines : tuple of str
        As `ScenarioError` has them: file, key, what came, what is allowed, what to do.
    """

    def __init__(self, lines: tuple[str, ...]) -> None:
        self._found = [_split(line) for line in lines]

    def __bool__(self) -> bool:
        return bool(self._found)

    def at(self, key: str) -> tuple[str, ...]:
        """What is wrong with the field of one key."""
        return tuple(text for where, text in self._found if where == key)

    def count_under(self, prefix: str) -> int:
        """How many errors [-] lie under a prefix of keys."""
        return sum(where.startswith(prefix) for where, _ in self._found)

    def count_in(self, group: str) -> int:
        """How many errors [-] lie in a group of the file."""
        return sum(_group(where) == group for where, _ in self._found)

    def outside(self, keys: Sequence[str]) -> tuple[str, ...]:
        """Errors that belong to none of these keys, each with the key that it names."""
        return tuple(
            f"{where}: {text}" if where else text
            for where, text in self._found
            if where not in keys
        )


def _split(line: str) -> tuple[str, str]:
    """Key, counted from 0, and text of an error."""
    parts = line.split(": ", 2)
    if len(parts) < 3 or " " in parts[1]:
        return "", line.partition(": ")[2] or line
    key = parts[1]
    if key.startswith("load[") and "]" in key:
        number, rest = key[5:].split("]", 1)
        if number.isdigit():
            key = f"load[{int(number) - 1}]{rest}"
    return key, parts[2]


def _group(key: str) -> str:
    head = key.split(".")[0].split("[")[0]
    return "vehicle" if head == "title" else head


def of_group(group: str) -> tuple[Input, ...]:
    """The inputs of one group, the title with the vehicle."""
    plain = (one for one in inputs() if "[]" not in one.key)
    return tuple(one for one in plain if _group(one.key) == group)


def parts(found: Sequence[Input]) -> dict[str, tuple[Input, ...]]:
    """The inputs of a group by the fold that they stand in; those in sight under ""."""
    sorted_in: dict[str, list[Input]] = {}
    for one in found:
        folds = [words for part, words in _FOLDS.items() if f"{part}." in one.key]
        sorted_in.setdefault(": ".join(reversed(folds)), []).append(one)
    return {title: tuple(inside) for title, inside in sorted_in.items()}


def of_load(number: int) -> tuple[Input, ...]:
    """The inputs of one load item, counted from 0 [-]."""
    return tuple(
        replace(one, key=one.key.replace("load[]", f"load[{number}]"))
        for one in inputs()
        if one.group == "load"
    )


def all_inputs(text: str) -> tuple[Input, ...]:
    """Every field that the page has for a text."""
    loads_ = (one for n in range(number_of_loads(text)) for one in of_load(n))
    return (*(one for one in inputs() if "[]" not in one.key), *loads_)


def number_of_loads(text: str) -> int:
    """How many load items [-] a text has; 0 where it cannot be read."""
    try:
        found = tomllib.loads(text).get("load")
    except (ValueError, RecursionError):
        return 0
    return len(found) if isinstance(found, list) else 0


def readable(text: str) -> bool:
    """Whether a text is TOML at all, so that fields can be shown."""
    try:
        value(text, "title")
    except ValueError:
        return False
    return True


def refuse_upload(data: bytes, name: str) -> tuple[str, ...]:
    """Why an uploaded file cannot be used, every error; empty where it can."""
    if len(data) > _LARGEST_UPLOAD:
        return ("it is larger than 2 MB",)
    try:
        loads(data.decode("utf-8"), name, folder())
    except UnicodeDecodeError:
        return ("it is not UTF-8 text; save it as plain text in UTF-8",)
    except ScenarioError as wrong:
        return wrong.errors
    return ()


def typed(text: str, key: str) -> Value | None:
    """What stands at a key of the text."""
    return value(text, key)


def widget_key(key: str) -> str:
    """Name of the field of a key."""
    return f"{_WIDGET}{key}"


def forget(state: MutableMapping[str, object]) -> None:
    """Drop every field's own memory: the text alone counts."""
    for key in [key for key in state if str(key).startswith(_WIDGET)]:
        del state[key]


def shown(one: Input, now: Value | None) -> str | bool:
    """What a field shows for a value of the text."""
    if one.kind is Kind.FLAG:
        return now is True
    if now is None:
        return ""
    if isinstance(now, list):
        return ", ".join(str(part) for part in now)
    return str(now)


def label(one: Input, now: Value | None) -> str:
    """Name of a field in words, and where its value comes from."""
    inside = one.key.partition(".")[2] or one.key
    words = _WORDS.get(one.key) or _WORDS.get(inside)
    words = words or inside.replace("_", " ").replace(".", ", ")
    if now is None and one.required and "." not in inside:
        return f"{words} · needed"
    where = mark(now)
    if where is Mark.ABSENT or one.kind not in (Kind.QUANTITY, Kind.NUMBER):
        return words
    return f"{words} · {where.value}"


def how(one: Input) -> str:
    """How an input is measured, and what is allowed."""
    measure = f"{one.measure[:1].upper()}{one.measure[1:]}"
    return f"{measure}. Allowed: {one.allowed}. In the file: {one.key}"


def put_in(text: str, one: Input, now: str | bool) -> str:
    """The text with what was typed, right or wrong; an emptied field takes its key out."""
    return changed(text, {one.key: _written(one, now)})


def _written(one: Input, now: str | bool) -> Value | None:
    if isinstance(now, bool):
        return now or None
    now = now.strip()
    if not now:
        return None
    if one.kind is Kind.LIST:
        return [part.strip() for part in now.split(",")]
    if one.kind is Kind.NUMBER:
        try:
            return float(now)
        except ValueError:
            return now
    return now
