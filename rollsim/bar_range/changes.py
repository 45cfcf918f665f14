"""A CSV of changes: each row makes another vehicle of a scenario."""

import copy
from dataclasses import dataclass

from rollsim.scenario.table import MORE_CELLS, csv_rows
from rollsim.units import shown

NAME = "name"
MOST_CHANGES = 100_000
_FLAGS = {"true": True, "false": False}


@dataclass(frozen=True, slots=True)
class Change:
    """One row: its name, and the values that it puts in, by key."""

    name: str
    values: tuple[tuple[str, str], ...] = ()


def read_changes(text: str, file: str) -> tuple[Change, ...]:
    """Every row of a CSV whose headings are keys of a scenario, and `name`.

    Raises ValueError with every error, a line each. An empty cell leaves the value as it is.
    """
    try:
        rows = csv_rows(text)
    except ValueError as error:
        raise ValueError(f"{file}: {error}") from None
    keys = [cell.strip() for cell in rows[0][1]] if rows else []
    wrong = _wrong_heads(keys)
    if not wrong and not 2 <= len(rows) <= MOST_CHANGES + 1:
        wrong = [f"has {len(rows) - 1} rows; allowed 1 to {MOST_CHANGES}, one a vehicle"]
    if wrong:
        raise ValueError("\n".join(f"{file}: {words}" for words in wrong))
    changes, names = [], set()
    for number, cells in rows[1:]:
        values = dict(zip(keys, (cell.strip() for cell in cells), strict=False))
        name = values.pop(NAME, "") or f"row {number}"
        if name in names:
            wrong.append(f"row {number}: the name {shown(name)} stands twice; name each once")
        if any(cell.strip() for cell in cells[len(keys) :]):
            wrong.append(f"row {number}: {MORE_CELLS}")
        names.add(name)
        changes.append(Change(name, tuple((key, cell) for key, cell in values.items() if cell)))
    if wrong:
        raise ValueError("\n".join(f"{file}: {words}" for words in wrong))
    return tuple(changes)


def _wrong_heads(keys: list[str]) -> list[str]:
    wrong = []
    for key in keys:
        if key != NAME and len(key.split(".")) < 2:
            wrong.append(
                f"the heading {shown(key)} is no key; allowed {NAME}, and keys such as "
                "vehicle.cg_height, change.suspension_lift_rear or load.NAME.mass"
            )
        elif keys.count(key) > 1:
            wrong.append(f"the heading {shown(key)} stands twice; remove one of them")
    return list(dict.fromkeys(wrong)) if keys else ["is empty; head its columns with keys"]


def changed_data(data: dict, change: Change) -> dict:
    """The tables of a scenario with a change; ValueError where a key leads nowhere."""
    new = copy.deepcopy(data)
    for key, cell in change.values:
        table, last = _table(new, key)
        table[last] = _FLAGS.get(cell.lower(), cell)
    return new


def _table(data: dict, key: str) -> tuple[dict, str]:
    first, _, rest = key.partition(".")
    if first == "load":
        name, _, last = rest.rpartition(".")
        found = [one for one in data.get("load", []) if str(one.get("name", "")).strip() == name]
        if len(found) != 1:
            raise ValueError(f"{key}: {len(found)} load items are called {shown(name)}; allowed 1")
        return found[0], last
    here, steps = data, key.split(".")
    for step in steps[:-1]:
        here = here.setdefault(step, {})
        if not isinstance(here, dict):
            raise ValueError(f"{key}: {step} holds a value or a list, not a table")
    return here, steps[-1]
