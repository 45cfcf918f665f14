"""`--shelf` and `--bars`: bars of a CSV in place of the sections in the file, or springs."""

from dataclasses import replace
from pathlib import Path

from rollsim.files import TooLargeError, read_text
from rollsim.scenario import Opened, ScenarioError
from rollsim.scenario.bounds import LARGEST, parsed, too_large
from rollsim.scenario.shelf import in_lines, read_shelf, with_shelf


def from_shelf(held: Opened, path: Path) -> Opened:
    """The scenario with the shelf put in; a ScenarioError names every bad row of the shelf."""
    text = shelf_text(path, option="--shelf")
    try:
        if not isinstance(parsed(held.text).get("rear_bar"), dict):
            return held  # what is missing is told where it is read
        return replace(held, text=with_shelf(held.text, text))
    except ValueError as error:
        raise ScenarioError((f"{held.path}: {error}",)) from None


def with_springs(held: Opened, path: Path) -> Opened:
    """The scenario with the springs of a shelf set side by side; errors as `from_shelf`."""
    from rollsim.scenario.editing import changed

    text = shelf_text(path, option="--shelf", springs=True)
    try:
        return replace(held, text=changed(held.text, {"spring_shelf": text}))
    except ValueError as error:
        raise ScenarioError((f"{held.path}: {error}",)) from None


def shelf_text(path: Path, *, option: str, springs: bool = False) -> str:
    """The lines of a shelf without an error; a ScenarioError names every bad row.

    `springs`: those are asked for, not bars.
    """
    text = csv_text(path, option=option, largest=LARGEST)
    held = read_shelf({path.name: text}, path.name)
    if held.wrong:
        raise ScenarioError(tuple(f"{option}: {words}" for words in held.wrong))
    if not (held.springs if springs else held.bars):
        what = "coil and no pack; add one" if springs else "bar; add the bars"
        raise ScenarioError((f"{option}: {path.name} holds no {what}",))
    return in_lines(text)


def csv_text(path: Path, *, option: str, largest: int) -> str:
    """The text of a CSV that an option names; a ScenarioError says why there is none."""
    try:
        return read_text(path, largest)
    except FileNotFoundError:
        words = "no such file; check the name and the folder"
    except TooLargeError:
        words = f"{too_large(largest)}; keep the rows that are in question"
    except UnicodeDecodeError:
        words = "is not UTF-8 text; save it as CSV in UTF-8"
    except OSError as error:
        words = f"cannot be read ({error.strerror})"
    raise ScenarioError((f"{option}: {path}: {words}",))
