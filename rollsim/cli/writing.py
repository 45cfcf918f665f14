"""How does a command write a file? Whole or not at all, with the reason in words."""

from collections.abc import Iterable
from pathlib import Path

from rollsim import files
from rollsim.scenario import ScenarioError


def spare(path: Path, others: Iterable[Path | None], *, option: str) -> None:
    """Refuse to write over another file of the command; a folder stands for what is in it.

    Raises ScenarioError.
    """
    for other in others:
        if other is None:
            continue
        if other.is_dir() and path.parent.resolve() == other.resolve():
            words = f"{path} is in {other}, which this command reads; name another folder"
        elif _same_file(path, other):
            words = f"{path} is a file that this command reads or writes; name another"
        else:
            continue
        raise ScenarioError((f"{option}: {words}",))


def _same_file(one: Path, other: Path) -> bool:
    if one.exists() and other.exists():
        return one.samefile(other)
    return one.resolve() == other.resolve()


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
