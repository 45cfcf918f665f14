"""Checks a file's data against the schema and words what is refused."""

from collections.abc import Iterator
from typing import Any

from pydantic import ValidationError

from rollsim.scenario import meant
from rollsim.scenario.errors import Problems
from rollsim.scenario.keys import CLASS_DEFAULT, UNUSABLE
from rollsim.scenario.schema import Document
from rollsim.scenario.vehicle_tables import Table
from rollsim.units import shown


def validate(data: dict[str, Any], problems: Problems) -> Document | None:
    """Check a file's data against the schema; None where too little is left.

    The data is changed: refused values are marked unusable.
    """
    for repair in range(4):
        try:
            return Document.model_validate(data)
        except ValidationError as error:
            items = error.errors(include_url=False, include_context=False)
            for item in items:
                # After a repair only what the first pass could not reach is new.
                if repair > 0 and item["type"] == "missing":
                    continue
                if problems.is_full:
                    problems.add_untold(key_path(item["loc"]))
                else:
                    problems.add(key_path(item["loc"]), _message(item, data))
            for item in items:
                _repair(data, item["loc"], extra=item["type"] == "extra_forbidden")
    return None


def fields(model: type[Table]) -> Iterator[tuple[str, Any]]:
    """Names of the keys of a table as the file spells them, with pydantic's field."""
    for name, field in model.model_fields.items():
        yield field.alias or name, field


def about(field: Any) -> Any:
    """The class of `rollsim.scenario.keys` that describes a field: `measure` and `allowed()`."""
    return next(item for item in field.metadata if hasattr(item, "measure"))


def nested(field: Any) -> type[Table] | None:
    """The table that a field holds; None for a plain value."""
    pending = [field.annotation]
    while pending:
        kind = pending.pop()
        if isinstance(kind, type) and issubclass(kind, Table):
            return kind
        pending.extend(getattr(kind, "__args__", ()))
    return None


def key_path(location: tuple[str | int, ...]) -> str:
    """Write a location as a key: "load[2].mass" is the mass of the second [[load]].

    pydantic counts list positions from 0.

    Examples
    --------
    >>> key_path(("load", 1, "mass"))
    'load[2].mass'
    """
    path = ""
    for part in location:
        if isinstance(part, int):
            path += f"[{part + 1}]"
        else:
            path += f".{_plain(part)}" if path else _plain(part)
    return path


def _plain(name: str) -> str:
    """A key of the file, fit for one line."""
    return name if name.isprintable() and len(name) <= 60 else shown(name)


def _message(item: Any, data: dict[str, Any]) -> str:
    """One pydantic error in our words."""
    location, found = item["loc"], item["input"]
    if item["type"] == "rollsim":
        return item["msg"]
    if item["type"] == "missing":
        field = dict(fields(_table(location[:-1])))[location[-1]]
        allowed = about(field).allowed()
        return f"missing; allowed {allowed}; add it ({about(field).measure})"
    if item["type"] == "extra_forbidden":
        return _unknown(str(location[-1]), _table(location[:-1]), _at(data, location[:-1]))
    if item["type"] in ("tuple_type", "list_type"):
        name = key_path(location)
        return f"found {shown(found)}; allowed a list of tables; head each with [[{name}]]"
    keys = ", ".join(key for key, _ in fields(_table(location)))
    if isinstance(found, str) and found.strip().casefold() == CLASS_DEFAULT:
        found_text = f"{shown(found)}, which it does not take"
    else:
        found_text = shown(found)
    return f"found {found_text}; allowed a table with {keys}; write it so"


def _unknown(name: str, table: type[Table], given: dict[str, Any]) -> str:
    known = dict(fields(table))
    needed = [key for key, field in known.items() if field.is_required()]
    near = meant.key(name, known, given=given, needed=needed)
    if near:
        return f'unknown key; the nearest known key is "{near}"; rename or remove it'
    present = meant.key(name, [key for key in known if key in given], given=(), needed=())
    if present:
        return f'unknown key; "{present}" stands here already; remove one of the two'
    return f"unknown key; known keys here: {', '.join(known)}; remove it or write one of these"


def _at(data: Any, location: tuple[str | int, ...]) -> Any:
    """What stands at a location."""
    for part in location:
        data = data[part]
    return data


def _table(location: tuple[str | int, ...]) -> type[Table]:
    """The table that stands at a location."""
    table: type[Table] = Document
    for part in location:
        if isinstance(part, str):
            inner = nested(dict(fields(table))[part])
            table = inner if inner is not None else table
    return table


def _repair(data: Any, location: tuple[str | int, ...], *, extra: bool) -> None:
    """Drop an unknown key; mark any other refused or missing value as unusable."""
    for part, following in zip(location, (*location[1:], None), strict=True):
        ends_here = isinstance(following, int) and not _holds(data, part, following)
        if following is None or ends_here:
            if extra:
                data.pop(part, None)
            else:
                data[part] = _stand_in(data, part)
            return
        data = data[part]


def _stand_in(table: Any, key: str | int) -> object:
    """Unusable, but for a suspension: the rest of the axle can only be checked if it has one."""
    if key != "suspension":
        return UNUSABLE
    kind = meant.suspension(table.get(key), table)
    return UNUSABLE if kind is None else kind.value


def _holds(data: Any, part: str | int, index: int) -> bool:
    """Whether the list at `part` holds a table at `index` that can be repaired inside."""
    return isinstance(data[part], list) and isinstance(data[part][index], dict)
