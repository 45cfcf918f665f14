"""A scenario as text: read and change single values, leave comments and order alone, link it."""

import base64
import re
import zlib
from collections.abc import Mapping

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, InlineTable, Table

LARGEST = 2_000_000  # characters of a scenario
_STEP = re.compile(r"([^.\[\]]+)(?:\[(\d+)\])?")

Value = str | bool | float | int | list


def value(text: str, key: str) -> Value | None:
    """What stands at a key.

    Parameters
    ----------
    text : str
        TOML.
    key : str
        With dots and numbers, such as "load[0].mass".

    Returns
    -------
    str, bool, number, list or None
        As the file has it, unit and all [as written]; None where the key is absent or holds a
        table.

    Raises
    ------
    ValueError
        If the text is not TOML.

    Examples
    --------
    >>> value('[front]\\ntrack = "1560 mm"', "front.track")
    '1560 mm'
    """
    here = _read(text)
    for name, number in _steps(key):
        here = here.get(name) if isinstance(here, Mapping) else None
        if number is not None:
            here = here[number] if isinstance(here, list) and number < len(here) else None
        if here is None:
            return None
    found = here.unwrap() if hasattr(here, "unwrap") else here
    tables = isinstance(found, list) and any(isinstance(one, dict) for one in found)
    return None if isinstance(found, dict) or tables else found


def changed(text: str, changes: Mapping[str, Value | None]) -> str:
    """Put values in, take values out; all else stays as it is, to the letter.

    Parameters
    ----------
    text : str
        TOML.
    changes : mapping
        New value for each key, as in `value`; None takes the key out. Missing tables are made, and
        a word that stands for a whole table ("class default") gives way to one.

    Returns
    -------
    str
        TOML; the same text where nothing changes.

    Raises
    ------
    ValueError
        If the text is not TOML, or a key leads through a value that is no word.

    Examples
    --------
    >>> changed('[front]\\ntrack = "1560 mm"  # taped', {"front.track": "1600 mm"})
    '[front]\\ntrack = "1600 mm"  # taped'
    """
    document, differs = _read(text), False
    for key, new in changes.items():
        if value(text, key) == new:
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
            table[last] = new
    return tomlkit.dumps(document) if differs else text


def added(text: str, name: str, table: Mapping[str, Value]) -> str:
    """Add one table to a list of tables, such as a load item.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        Of the list, "load".
    table : mapping
        Its keys and values.

    Returns
    -------
    str
        TOML, the new table after the last one of its list.

    Raises
    ------
    ValueError
        If the text is not TOML.

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
    document, alone, tables = _read(text), tomlkit.document(), tomlkit.aot()
    entry = tomlkit.table()
    for key, one in table.items():
        entry.add(key, one)
    tables.append(entry)
    alone.add(name, tables)
    block = tomlkit.dumps(alone)
    return _after_list(text, name, block) if name in document else f"{text.rstrip()}\n\n{block}"


def _after_list(text: str, name: str, block: str) -> str:
    """Put a table after the last one of its list, where a list of tables is written as such."""
    lines, last = text.split("\n"), None
    for number, line in enumerate(lines):
        if re.match(rf"\s*\[\[\s*{re.escape(name)}\s*\]\]", line):
            last = number
    if last is None:
        raise ValueError(f"{name}: write each of its tables as [[{name}]]")
    end = next((n for n in range(last + 1, len(lines)) if re.match(r"\s*\[", lines[n])), len(lines))
    while end > last + 1 and (not lines[end - 1].strip() or lines[end - 1].lstrip()[0] == "#"):
        end -= 1
    return "\n".join([*lines[:end], "", *block.rstrip().split("\n"), *lines[end:]])


def removed(text: str, name: str, number: int) -> str:
    """Take one table out of a list of tables.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        Of the list, "load".
    number : int
        Its place in the list, from 0 [-].

    Returns
    -------
    str
        TOML; the same where there is no such table.

    Raises
    ------
    ValueError
        If the text is not TOML.
    """
    document = _read(text)
    tables = document.get(name)
    if not isinstance(tables, AoT) or not 0 <= number < len(tables):
        return text
    if len(tables) == 1:
        del document[name]
    else:
        del tables[number]
    return tomlkit.dumps(document)


def packed(text: str) -> str:
    """Press a scenario into one parameter of a link.

    Parameters
    ----------
    text : str
        TOML.

    Returns
    -------
    str
        Letters that a link may hold.

    Examples
    --------
    >>> unpacked(packed('title = "Demo"'))
    'title = "Demo"'
    """
    return base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def unpacked(parameter: str) -> str:
    """Take a scenario out of a link.

    Parameters
    ----------
    parameter : str
        From `packed`.

    Returns
    -------
    str
        TOML, not yet checked.

    Raises
    ------
    ValueError
        If it is cut short, too long or something else.
    """
    padded = parameter + "=" * (-len(parameter) % 4)
    machine = zlib.decompressobj()
    try:
        data = machine.decompress(base64.b64decode(padded, altchars=b"-_", validate=True), LARGEST)
        text = data.decode()
    except (ValueError, zlib.error):
        raise ValueError("it is damaged or not a scenario; copy the whole link again") from None
    if not machine.eof:
        raise ValueError("it is cut short or longer than 2 MB; copy the whole link again")
    return text


def _read(text: str) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, RecursionError) as error:
        raise ValueError(f"not readable as TOML ({error})") from None


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
