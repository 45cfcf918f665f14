"""Lists of tables of a scenario on a page: load items, steels, readings, other springs."""

import re
from dataclasses import replace
from functools import cache

from rollsim.scenario.bounds import parsed
from rollsim.scenario.editing import Value, value
from rollsim.scenario.inputs import Input, inputs

LISTS = tuple(
    dict.fromkeys(one.key.rpartition("[]")[0] for one in inputs() if one.key.count("[]") == 1)
)
WORDS = {  # last step of a list: the word for one of its tables
    "load": "item",
    "stock": "steel",
    "lift": "lift",
    "reading": "reading",
    "spring_option": "set of springs",
}
_NEW: dict[str, dict[str, Value]] = {  # readings start empty: what is typed there was measured
    "load": {
        "name": "new item",
        "mass": "20 kg",
        "behind_front_axle": "2000 mm",
        "height": "1000 mm",
    },
    "stock": {"material": "52CrMoV4 hardened and tempered", "sections": ["22 mm solid"]},
}


def word(name: str) -> str:
    """What one table of a list is called."""
    return WORDS[name.rpartition(".")[2]]


def new_table(name: str, number: int, text: str) -> dict[str, object]:
    """What a new table of a list, the `number`-th from 1 [-], holds before anything is typed.

    Other springs begin as those behind are, where the `text` states them by their rate.
    """
    last = name.rpartition(".")[2]
    if last != "spring_option":
        return dict(_NEW.get(last, {}))
    rates = {
        key: value(text, f"rear.spring.{key}") for key in ("rate", "wheel_rate", "motion_ratio")
    }
    rear = {key: rate for key, rate in rates.items() if rate is not None}
    start = {"rear": rear} if {"rate", "wheel_rate"} & rear.keys() else {}
    return {"name": f"springs {number}", **start}


def of_item(name: str, number: int) -> tuple[Input, ...]:
    """The inputs of one table of a list, counted from 0 [-]."""
    return tuple(
        replace(one, key=one.key.replace(f"{name}[]", f"{name}[{number}]"))
        for one in _of_list(name)
    )


@cache
def _of_list(name: str) -> tuple[Input, ...]:
    return tuple(
        one
        for one in inputs()
        if one.key.startswith(f"{name}[]") and one.key.count("[]") == 1 and not _of_a_test(one)
    )


def _of_a_test(one: Input) -> bool:
    """Springs that are not on the vehicle have no load test."""
    return one.key.startswith("spring_option[].") and ".load_test." in one.key


def tables_in(name: str, number: int) -> tuple[str, ...]:
    """The key of one table of a list, counted from 0 [-], and of the tables in it."""
    key = f"{name}[{number}]"
    return (key, f"{key}.front", f"{key}.rear") if name == "spring_option" else (key,)


def tables(text: str) -> tuple[str, ...]:
    """The keys of every table in every list of a text, counted from 0 [-]."""
    return tuple(
        key for name in LISTS for n in range(number_in(text, name)) for key in tables_in(name, n)
    )


def all_inputs(text: str) -> tuple[Input, ...]:
    """Every field that the page has for a text."""
    listed = (
        one for name in LISTS for n in range(number_in(text, name)) for one in of_item(name, n)
    )
    return (*(one for one in inputs() if "[]" not in one.key), *listed)


def number_in(text: str, name: str) -> int:
    """How many tables [-] a list of a text has; 0 where it cannot be read."""
    try:
        found = parsed(text)
    except ValueError:
        return 0
    for step in name.split("."):
        found = found.get(step) if isinstance(found, dict) else None
    return len(found) if isinstance(found, list) else 0


def counted_from_0(key: str) -> str:
    """A key with its list of tables counted as the text's keys are; errors count from 1."""
    for name in LISTS:
        found = re.match(rf"{re.escape(name)}\[(\d+)\]", key)
        if found:
            return f"{name}[{int(found[1]) - 1}]{key[found.end() :]}"
    return key
