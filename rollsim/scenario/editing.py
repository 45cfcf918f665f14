"""A scenario as text: read and change single values, leave comments and order alone."""

import itertools
import re
from collections.abc import Callable, Collection, Iterator, Mapping

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array, InlineTable, Table

from rollsim.scenario.bounds import parsed

_BARE_END = re.compile(r"(?<!\r)\n")
_STEP = re.compile(r"([^.\[\]]+)(?:\[(\d+)\])?")

Value = str | bool | float | int | list


def value(text: str, key: str) -> Value | None:
    """What stands at a key, such as "load[0].mass", in a scenario (TOML).

    As the file has it, unit and all; None where the key is absent or holds a table. Raises
    ValueError where the text is not TOML.

    Examples
    --------
    >>> value('[front]\\ntrack = "1560 mm"', "front.track")
    '1560 mm'
    """
    here = parsed(text)  # far faster than tomlkit; a page asks this of every field
    for name, number in _steps(key):
        here = here.get(name) if isinstance(here, dict) else None
        if number is not None:
            here = here[number] if isinstance(here, list) and number < len(here) else None
        if here is None:
            return None
    tables = isinstance(here, list) and any(isinstance(one, dict) for one in here)
    if isinstance(here, dict) or tables:
        return None
    return list(here) if isinstance(here, list) else here


def changed(text: str, changes: Mapping[str, Value | None]) -> str:
    """Put values in, take values out; all else stays as it is, to the letter.

    Keys as in `value`; None takes the key out, a table with all in it. Missing tables are made, and
    a word that stands for a whole table ("class default") gives way to one. Raises ValueError where
    the text is not TOML, a key leads through a value that is no word, or the file is laid out so
    that the change would touch other values.

    Examples
    --------
    >>> changed('[front]\\ntrack = "1560 mm"  # taped', {"front.track": "1600 mm"})
    '[front]\\ntrack = "1600 mm"  # taped'
    """
    document, differs = _read(text), False
    for key, new in changes.items():
        if new is not None and value(text, key) == new:
            continue
        *path, (last, number) = _steps(key)
        if number is not None:
            raise ValueError(f"{key}: name a key of that table")
        table = _table_at(document, path, make=new is not None)
        if table is None or (new is None and last not in table):
            continue
        differs = True
        if new is None:
            del table[last]
        else:
            lines = isinstance(new, str) and "\n" in new
            table[last] = tomlkit.string(new, multiline=True) if lines else new
    if not differs:
        return text
    after = _ended_alike(text, tomlkit.dumps(document))
    return _proven(text, _below_no_remark(text, after), changes)


def added(text: str, name: str, table: Mapping[str, Value | Mapping]) -> str:
    """Add one table at the end of a list of tables, such as "load" or "rear_bar.stock".

    A table in the new one is written on one line. Raises ValueError where the text is not TOML, or
    is laid out so that other values would change.

    Examples
    --------
    >>> print(added('title = "Demo"', "load", {"name": "box", "mass": "20 kg"}))
    title = "Demo"
    <BLANKLINE>
    [[load]]
    name = "box"
    mass = "20 kg"
    <BLANKLINE>
    """
    document = _read(text)
    found = _list_in(document, name)
    if found is None and _is_inline(document, name):
        *above, (last, _) = _steps(name)
        inside = _table_at(document, above, make=True)
        found = inside[last] = tomlkit.array()
    if isinstance(found, Array):
        found.append(_inline(table))
        new = _ended_alike(text, tomlkit.dumps(document))
        return _proven_list(text, new, name, [*_plain(text, name), table])
    entry = tomlkit.table()
    for key, new in table.items():
        entry[key] = _inline(new) if isinstance(new, Mapping) else new
    line_end = _line_end(text)
    block = f"[[{name}]]\n{tomlkit.dumps(entry)}".rstrip().replace("\n", line_end)
    if found is None:
        before = text.rstrip()
        new = f"{before}{2 * line_end if before else ''}{block}{line_end}"
    else:
        lines = text.split(line_end)
        _, end = _lines_of(lines, name, len(found) - 1)
        new = line_end.join([*lines[:end], "", block, *lines[end:]])
    return _proven_list(text, new, name, [*_plain(text, name), table])


def removed(text: str, name: str, number: int) -> str:
    """Take one table out of a list of tables, such as "load" or "rear_bar.stock".

    `number` is its place, from 0; the text stays the same where there is no such table. Raises
    ValueError as `added` does.
    """
    document = _read(text)
    found = _list_in(document, name)
    if found is None or not 0 <= number < len(found):
        return text
    left = _plain(text, name)
    del left[number]
    if isinstance(found, Array):
        del found[number]
        if not found:
            _drop_empty(document, _steps(name))
        return _proven_list(text, tomlkit.dumps(document), name, left)
    # By lines: the comment above the next table is, to tomlkit, the end of this one.
    line_end = _line_end(text)
    lines = text.split(line_end)
    start, end = _lines_of(lines, name, number)
    if start and not lines[start - 1].strip():
        start -= 1
    return _proven_list(text, line_end.join(lines[:start] + lines[end:]), name, left)


def _read(text: str) -> tomlkit.TOMLDocument:
    parsed(text)  # refuses what tomlkit would take long over
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, RecursionError) as error:
        raise ValueError(f"not readable as TOML ({error})") from None


def _line_end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _ended_alike(before: str, after: str) -> str:
    """The text after a change, its new lines ended as all others are."""
    if _BARE_END.search(before) or "\r\n" not in before:
        return after
    return _BARE_END.sub("\r\n", after)


def _below_no_remark(before: str, after: str) -> str:
    """The text after a change, new keys above the remark on the next table, not between the two."""
    lines = after.split("\n")
    met = set(itertools.pairwise(before.split("\n")))
    for head in range(len(lines) - 1, -1, -1):
        if not lines[head].lstrip().startswith("["):
            continue
        end = _up(lines, head, lambda line: not line, most=1)
        keys = _up(lines, end, lambda line: line and line[0] not in "#[")
        remark = _up(lines, keys, lambda line: line.startswith("#"))
        new = (lines[keys - 1], lines[head]) in met and (lines[keys - 1], lines[keys]) not in met
        if remark < keys < end and new:
            start = _up(lines, remark, lambda line: not line)
            lines[start:head] = lines[keys:end] + lines[start:keys]
    return "\n".join(lines)


def _up(lines: list[str], end: int, alike: Callable[[str], object], most: int = 10**9) -> int:
    """First of the lines before `end` that are all alike."""
    start = end
    while start > max(end - most, 0) and alike(lines[start - 1].strip()):
        start -= 1
    return start


def _list_in(document: tomlkit.TOMLDocument, name: str) -> list | None:
    """The list of tables of a name, either way of writing it; None where there is none."""
    here = document
    for step, _ in _steps(name):
        here = here.get(step) if isinstance(here, Mapping) else None
    if here is not None and not isinstance(here, list):
        raise ValueError(f"{name} holds no list of tables; change it as text")
    return here


def _inline(table: Mapping[str, object]) -> InlineTable:
    """A table on one line."""
    inline = tomlkit.inline_table()
    for key, new in table.items():
        inline[key] = _inline(new) if isinstance(new, Mapping) else new
    return inline


def _is_inline(document: tomlkit.TOMLDocument, name: str) -> bool:
    """Whether a key stands in an inline table, which no header can add to."""
    here = document
    for step, _ in _steps(name):
        here = here.get(step) if isinstance(here, Mapping) else None
        if isinstance(here, InlineTable):
            return True
    return False


def _drop_empty(document: tomlkit.TOMLDocument, path: list[tuple[str, int | None]]) -> None:
    """Take an empty list out, and the inline tables that held nothing else."""
    *above, (last, _) = path
    here = _table_at(document, above, make=False)
    del here[last]
    if not here and isinstance(here, InlineTable):
        _drop_empty(document, above)


def _lines_of(lines: list[str], name: str, number: int) -> tuple[int, int]:
    """First line of a table of a list, and the one after its last value."""
    steps = r"\s*\.\s*".join(re.escape(step) for step in name.split("."))
    heads = [n for n, line in enumerate(lines) if re.match(rf"\s*\[\[\s*{steps}\s*\]\]", line)]
    if number >= len(heads):
        raise ValueError(f"{name}: write each of its tables as [[{name}]]")
    start = heads[number]
    outside = rf"\s*\[(?!\[?\s*{steps}\s*\.)"  # [load.tank] is part of the [[load]] above it
    after = (n for n in range(start + 1, len(lines)) if re.match(outside, lines[n]))
    end = next(after, len(lines))
    while end > start + 1 and (not lines[end - 1].strip() or lines[end - 1].lstrip()[0] == "#"):
        end -= 1
    return start, end


def _proven(before: str, after: str, keys: Collection[str]) -> str:
    """The text after a change, if nothing but these keys differs: dotted keys mislead tomlkit."""
    try:
        same = _others(before, keys) == _others(after, keys)
    except ValueError:
        same = False
    put = keys.items() if isinstance(keys, Mapping) else ()
    if not same or any(repr(value(after, key)) != repr(new) for key, new in put):
        raise ValueError(f"{', '.join(keys)}: the file is laid out unusually; change it as text")
    return after


def _proven_list(before: str, after: str, name: str, wanted: list) -> str:
    """The text after a change of a list, if the list is as wanted and nothing else differs."""
    _proven(before, after, (name,))
    if repr(_plain(after, name)) != repr([dict(one) for one in wanted]):
        raise ValueError(f"{name}: the file is laid out unusually; change it as text")
    return after


def _plain(text: str, name: str) -> list:
    """The tables of a list, without their layout."""
    here = parsed(text)
    for step, _ in _steps(name):
        here = here.get(step, {})
    return list(here)


def _others(text: str, keys: Collection[str]) -> dict[str, str]:
    """Every value that stands neither at, in nor above these keys."""
    found = dict(_leaves(parsed(text), ""))
    return {
        where: leaf
        for where, leaf in found.items()
        if not any(
            where == key or where.startswith((f"{key}.", f"{key}[")) or key.startswith(f"{where}.")
            for key in keys
        )
    }


def _leaves(data: object, where: str) -> Iterator[tuple[str, str]]:
    if isinstance(data, dict):
        for name, inside in data.items():
            yield from _leaves(inside, f"{where}.{name}" if where else name)
    elif isinstance(data, list) and any(isinstance(one, dict) for one in data):
        for number, inside in enumerate(data):
            yield from _leaves(inside, f"{where}[{number}]")
    else:
        yield where, repr(data)


def _steps(key: str) -> list[tuple[str, int | None]]:
    """ "load[0].mass" as (("load", 0), ("mass", None))."""
    found = [_STEP.fullmatch(step) for step in key.split(".")]
    if None in found:
        raise ValueError(f"{key}: not a key")
    return [(step[1], None if step[2] is None else int(step[2])) for step in found]


def _table_at(
    document: tomlkit.TOMLDocument, path: list[tuple[str, int | None]], *, make: bool
) -> Mapping | None:
    """The table that a key stands in; a missing one is made, or None."""
    here = document
    for name, number in path:
        if name not in here or (make and isinstance(here[name], str)):
            if not make or number is not None:
                return None
            inside = isinstance(here, InlineTable | Table)
            here[name] = tomlkit.inline_table() if inside else tomlkit.table()
        here = here[name]
        if number is not None:
            if not isinstance(here, list) or number >= len(here):
                return None
            here = here[number]
        if not isinstance(here, Mapping) and not make:
            return None
        if not isinstance(here, Mapping):
            raise ValueError(f"{name} holds a value, not a table")
    return here
