"""Names on their way to a reader: of wheels, of states, of anything typed."""

import re
from collections.abc import Collection

from rollsim.mass import DRIVEN_EMPTY, spoken

WHEELS = ("front left", "front right", "rear left", "rear right")
"""In the order in which wheel loads stand."""

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?%?")
_MINUS = re.compile(r"\N{MINUS SIGN}(?=\d)")  # a spreadsheet takes it for text


def in_bend(inner: str) -> tuple[str, ...]:
    """The wheels in a bend to the "left" or "right", in the order of `WHEELS`.

    Examples
    --------
    >>> in_bend("left")[:2]
    ('front left, inner', 'front right, outer')
    """
    return tuple(f"{wheel}, {'inner' if inner in wheel else 'outer'}" for wheel in WHEELS)


LEFT_BEND_WHEELS = in_bend("left")


def clean(text: object) -> str:
    """A text or number from a file in one line, without control characters.

    Examples
    --------
    >>> clean("work\\nweek")
    'work week'
    """
    return "".join(c if c.isprintable() else " " for c in str(text))


def safe(cell: str) -> str:
    """A cell that a spreadsheet takes as text or as a number, never as a formula.

    An apostrophe stands in front where it begins as a formula does and is no plain number.

    Examples
    --------
    >>> safe("=1+1"), safe("-0.25"), safe("@home"), safe("touring"), safe("\N{MINUS SIGN}1.5")
    ("'=1+1", '-0.25', "'@home", 'touring', '-1.5')
    """
    text = _MINUS.sub("-", str(cell))
    bare = text.lstrip()
    if bare.startswith(_STARTS_A_FORMULA) or text.startswith(_STARTS_A_FORMULA):
        return text if _NUMBER.fullmatch(text) else f"'{text}"
    return text


def state_words(name: str) -> str:
    """Name of a state as it is said; a load case keeps the user's words."""
    return clean(spoken(name))


def driven_empty_words(names: Collection[str]) -> str:
    """What the state "driven empty" is, a sentence; empty where it is not among some names."""
    if DRIVEN_EMPTY not in names:
        return ""
    return "Driven empty: nothing loaded, every change (lift, tyres, springs) still on."
