"""How much a scenario's text may hold, asked before any of it is parsed.

A parser's time and memory grow with the square of a key's depth, and a page reads a text many times
over; within these bounds every reader of it is quick. A job of a workshop needs a tenth of them.
"""

import functools
import re
import tomllib
from collections.abc import Iterator

from rollsim.units import shown

BYTE_ORDER_MARK = "\ufeff"  # some editors begin a file with it; it is no part of the text
LARGEST = 100_000  # bytes of a scenario, or of a CSV beside it
DEEPEST = 8  # parts of a key, and lists and tables inside each other
MOST_LINES = 5000
MOST_POINTS = 500  # of a measured spring
MOST_BARS = 2000  # sections times holes
MOST_CASES = 20
MOST_TABLES = {"load": 100, "spring_option": 20, "rear_bar.stock": 20}
"""Tables in each list of them."""

# Strings and comments, each to its end or, left open, to where a parser gives up: one pass.
_OPAQUE = re.compile(
    r'"""(?:[^\\"]++|\\[\s\S]|"(?!""))*+(?:"""|\\?\Z)'
    r"|'''(?:[^']++|'(?!''))*+(?:'''|\Z)"
    r'|"(?:[^"\\\n]++|\\.)*+"?'
    r"|'[^'\n]*+'?"
    r"|#[^\n]*+"
)
_DEEP_KEY = re.compile(rf"(?<![\w-])[\w-]++(?:[ \t]*+\.[ \t]*+[\w-]++){{{DEEPEST},}}+")
_COUNTED = (
    ("=", 2000, "keys"),
    ("[", 2000, "opening brackets"),
    ("{", 2000, "opening braces"),
    (",", 5000, "commas between values"),
)


def parsed(text: str) -> dict:
    """Read TOML, if it is no larger than a scenario may be.

    It is the same object for every reader: copy it before changing it. Raises ValueError in one
    sentence, with the line where there is one.

    Examples
    --------
    >>> parsed('title = "Demo"')
    {'title': 'Demo'}
    >>> parsed("a.b.c.d.e.f.g.h.i = 1")
    Traceback (most recent call last):
    ...
    ValueError: "a.b.c.d.e.f.g.h.i" is a key of 9 parts; allowed up to 8; shorten it
    """
    found = _parsed(text)
    if isinstance(found, str):
        raise ValueError(found)
    return found


@functools.lru_cache(maxsize=8)
def _parsed(text: str) -> dict | str:
    """The data, or why there is none; kept, since a page asks for every field of a text."""
    refused = _refused(text)
    if refused:
        return refused
    try:
        return tomllib.loads(text.removeprefix(BYTE_ORDER_MARK))
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", message)
        line = text.count("\n") + 1 if place is None or place[1] is None else int(place[1])
        reason = message[: place.start()] if place else message
        return f"line {line}: not readable as TOML ({reason}); check that line"
    except ValueError:
        return "not readable as TOML (a number too long)"


def too_large(largest: int) -> str:
    """What is said of a file of more than so many bytes."""
    size = f"{largest // 1000} kB" if largest < 1_000_000 else f"{largest // 1_000_000} MB"
    return f"is larger than {size}; allowed less"


def _refused(text: str) -> str:
    """What there is too much of; empty where all is within its bound."""
    if len(text) > LARGEST or len(text.encode(errors="replace")) > LARGEST:
        return f"{too_large(LARGEST)}; give a scenario file (TOML)"
    if text.count("\n") > MOST_LINES:
        return f"has more than {MOST_LINES} lines; keep what the job needs"
    plain = _OPAQUE.sub("_", text)
    for mark, most, words in _COUNTED:
        count = plain.count(mark)
        if count > most:
            return f"holds {count} {words}; allowed up to {most}; keep what the job needs"
    deep = _DEEP_KEY.search(plain)
    if deep:
        parts = deep[0].count(".") + 1
        return f"{shown(deep[0])} is a key of {parts} parts; allowed up to {DEEPEST}; shorten it"
    depth = deepest = 0
    for mark in re.findall(r"[\[\]{}]", plain):
        depth += 1 if mark in "[{" else -1
        deepest = max(deepest, depth)
    if deepest > DEEPEST:
        return (
            f"has tables or lists {deepest} deep; allowed up to {DEEPEST}; write them side by side"
        )
    return ""


def too_many(data: dict) -> Iterator[tuple[str, str]]:
    """Lists of tables in a scenario that are longer than allowed: key, and what is wrong with it.

    Examples
    --------
    >>> [key for key, _ in too_many({"load": [{}] * 101})]
    ['load']
    """
    for key, most in MOST_TABLES.items():
        here: object = data
        for step in key.split("."):
            here = here.get(step) if isinstance(here, dict) else None
        if isinstance(here, list) and len(here) > most:
            yield key, f"found {len(here)} tables [[{key}]]; allowed up to {most}; shorten the list"
