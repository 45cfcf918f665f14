"""Names out of a file on their way to a reader: of states, and of anything typed."""

from rollsim.mass import spoken


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
