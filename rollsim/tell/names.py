"""Names on their way to a reader: of wheels, of states, and of anything typed."""

from collections.abc import Collection

from rollsim.mass import DRIVEN_EMPTY, spoken

WHEELS = ("front left", "front right", "rear left", "rear right")
"""In the order in which wheel loads stand."""


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


def state_words(name: str) -> str:
    """Name of a state as it is said; a load case keeps the user's words."""
    return clean(spoken(name))


def driven_empty_words(names: Collection[str]) -> str:
    """What the state "driven empty" is, a sentence; empty where it is not among some names."""
    if DRIVEN_EMPTY not in names:
        return ""
    return "Driven empty: nothing loaded, every change (lift, tyres, springs) still on."
