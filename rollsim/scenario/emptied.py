"""Fields that were emptied: what is typed there again goes back to its old place and comment."""

from dataclasses import dataclass

from rollsim.scenario.bounds import parsed
from rollsim.scenario.editing import Value, changed, value


@dataclass(frozen=True, slots=True)
class Emptied:
    """The keys taken out of a text field by field, and the text with nothing taken out."""

    whole: str = ""
    keys: tuple[str, ...] = ()


def put_back(text: str, key: str, new: Value | None, *, emptied: Emptied) -> tuple[str, Emptied]:
    """Put a value in or take it out, as `changed` does, and remember where it stood.

    Gives the text, and what has been taken out of it until now; `emptied`, from the time before,
    counts only where it still fits the text. Raises ValueError as `changed` does.

    Examples
    --------
    >>> before = '[front]\\ntrack = "1560 mm"  # taped\\nname = "x"\\n'
    >>> text, emptied = put_back(before, "front.track", None, emptied=Emptied())
    >>> text
    '[front]\\nname = "x"\\n'
    >>> put_back(text, "front.track", "1500 mm", emptied=emptied)[0]
    '[front]\\ntrack = "1500 mm"  # taped\\nname = "x"\\n'
    """
    plain = changed(text, {key: new})
    if not emptied.keys or not _fits(text, emptied):
        emptied = Emptied(text)
    if new is None:
        taken = value(text, key) is not None
        return plain, Emptied(emptied.whole, (*emptied.keys, key)) if taken else emptied
    if not emptied.keys:
        return plain, Emptied(plain)
    keys = tuple(other for other in emptied.keys if other != key)
    try:
        whole = changed(emptied.whole, {key: new})
        found = changed(whole, dict.fromkeys(keys))
    except ValueError:
        return plain, Emptied(plain)
    same = parsed(found) == parsed(plain)
    return (found, Emptied(whole, keys)) if same else (plain, Emptied(plain))


def _fits(text: str, emptied: Emptied) -> bool:
    """Whether the text is the whole one less what was taken out of it."""
    try:
        return changed(emptied.whole, dict.fromkeys(emptied.keys)) == text
    except ValueError:
        return False
