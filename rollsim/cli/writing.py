"""How does a command write a file? Whole or not at all, with the reason in words."""

from pathlib import Path

from rollsim import files
from rollsim.scenario import ScenarioError


def write(path: Path, content: str | bytes, *, option: str) -> None:
    """Write what an option asked for; errors name the option.

    Raises ScenarioError where it cannot be written; what was there is then as it was.
    """
    try:
        files.write(path, content)
    except OSError as error:
        reason = error.strerror or error
        raise ScenarioError(
            (f"{option}: {path} cannot be written ({reason}); check name and folder",)
        ) from None
