"""`--shelf`: the bars of a CSV in place of the sections in the file."""

from dataclasses import replace
from pathlib import Path

from rollsim.files import TooLargeError, read_text
from rollsim.scenario import Opened, ScenarioError
from rollsim.scenario.bounds import LARGEST, parsed, too_large
from rollsim.scenario.shelf import read_shelf, with_shelf


def from_shelf(held: Opened, path: Path) -> Opened:
    """The scenario with the shelf put in; a ScenarioError names every bad row of the shelf."""
    text = _text(path)
    _, wrong = read_shelf({path.name: text}, path.name)
    if wrong:
        raise ScenarioError(tuple(f"--shelf: {words}" for words in wrong))
    try:
        if not isinstance(parsed(held.text).get("rear_bar"), dict):
            return held  # what is missing is told where it is read
        return replace(held, text=with_shelf(held.text, text))
    except ValueError as error:
        raise ScenarioError((f"{held.path}: {error}",)) from None


def _text(path: Path) -> str:
    try:
        return read_text(path, LARGEST)
    except FileNotFoundError:
        words = "no such file; check the name and the folder"
    except TooLargeError:
        words = f"{too_large(LARGEST)}; keep the bars that are in question"
    except UnicodeDecodeError:
        words = "is not UTF-8 text; save it as CSV in UTF-8"
    except OSError as error:
        words = f"cannot be read ({error.strerror})"
    raise ScenarioError((f"--shelf: {path}: {words}",))
