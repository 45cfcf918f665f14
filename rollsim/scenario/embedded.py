"""A scenario inside a printed sheet: its text and the CSV files that it names, to the letter.

It stands in the sheet as base64 in one `<meta>`, which no text of the sheet can imitate, since all
of that is escaped.
"""

import base64
import binascii
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass

from rollsim.scenario.bounds import parsed
from rollsim.scenario.shelf import is_inline
from rollsim.scenario.table import Beside, table_text

SUFFIXES = (".html", ".htm")
LARGEST_SHEET = 10_000_000  # bytes: its scenario is base64, and CSV files may be with it
META = "rollsim-scenario"
_FOUND = re.compile(rf'<meta name="{META}" content="([A-Za-z0-9+/=]+)">')
_SPRINGS = ("front", "rear", "change", "spring_option")


@dataclass(frozen=True, slots=True)
class Source:
    """A scenario as text (TOML), with name and text of every CSV that it names."""

    name: str
    text: str
    tables: tuple[tuple[str, str], ...] = ()


def with_tables(name: str, text: str, folder: Beside) -> Source:
    """A scenario's text together with the CSV files that it names.

    Without a CSV that cannot be read: reading the scenario tells why.
    """
    found = {}
    for table in _tables_named(text):
        try:
            found[table] = table_text(folder, table)
        except ValueError:
            continue
    return Source(name, text, tuple(found.items()))


def embed(source: Source) -> str:
    """The `<meta>` element that holds a scenario in an HTML file.

    Examples
    --------
    >>> held = embed(Source("demo.toml", 'title = "<script>"'))
    >>> "script" in held, extract(held).text
    (False, 'title = "<script>"')
    """
    data = {"name": source.name, "text": source.text, "tables": dict(source.tables)}
    packed = base64.b64encode(json.dumps(data).encode("ascii")).decode("ascii")
    return f'<meta name="{META}" content="{packed}">'


def extract(html: str) -> Source | None:
    """Take a scenario out of an HTML file, to the letter.

    None where there is none, or not as `embed` writes it.
    """
    match = _FOUND.search(html)
    if match is None:
        return None
    try:
        data = json.loads(base64.b64decode(match[1], validate=True))
        name, text, tables = data["name"], data["text"], data["tables"]
        texts = [name, text, *tables.keys(), *tables.values()]
    except (binascii.Error, ValueError, RecursionError, KeyError, TypeError, AttributeError):
        return None
    if not all(isinstance(one, str) for one in texts):
        return None
    return Source(name, text, tuple(tables.items()))


def _tables_named(text: str) -> Iterator[str]:
    """Names of CSV files in the springs of a scenario, and of its shelves."""
    try:
        data = parsed(text)
    except ValueError:
        return
    bar = data.get("rear_bar")
    for shelf in (data.get("spring_shelf"), bar.get("shelf") if isinstance(bar, dict) else None):
        if isinstance(shelf, str) and not is_inline(shelf):
            yield shelf
    waiting = [data.get(part) for part in _SPRINGS]
    while waiting:
        here = waiting.pop()
        if isinstance(here, dict):
            name = here.get("table")
            if isinstance(name, str):
                yield name
            waiting += here.values()
        elif isinstance(here, list):
            waiting += here
