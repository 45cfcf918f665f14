"""What an answer needs and is not installed: told in a sentence, before anything is computed."""

from importlib.util import find_spec


class MissingLibraryError(Exception):
    """A library that only this answer needs is not installed; which, and what to do."""


def need(what: str, *libraries: str) -> None:
    """Look for the libraries that `what` needs, without loading them.

    Raises MissingLibraryError where one is not installed.
    """
    missing = [name for name in libraries if find_spec(name) is None]
    if missing:
        raise MissingLibraryError(
            f"{what} needs {' and '.join(missing)}, not installed here; install it with: "
            f"pip install {' '.join(missing)}"
        )
