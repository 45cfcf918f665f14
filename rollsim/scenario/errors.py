"""The one exception of a scenario file, and the list that collects all of a file's errors."""


class ScenarioError(ValueError):
    """A scenario file that cannot be used.

    Parameters
    ----------
    errors : tuple of str
        Every error of the file, one line each: file, key, what came, what is allowed, what to do.
    """

    def __init__(self, errors: tuple[str, ...]) -> None:
        self.errors = tuple(" ".join(error.splitlines()) for error in errors)
        super().__init__("\n".join(self.errors))


class Problems:
    """Collects the errors of one file, so that all are told at once.

    Parameters
    ----------
    file : str
        Name that stands first in each error.
    """

    def __init__(self, file: str) -> None:
        self._file = file
        self._found: dict[str, None] = {}
        self._keys: set[str] = set()

    def add(self, key: str, message: str) -> None:
        """Add one error at `key` ("rear.track"); an empty key stands for the whole file."""
        self._keys.add(key)
        self._found[": ".join(part for part in (self._file, key, message) if part)] = None

    def stop_if_any(self) -> None:
        """Raise a ScenarioError with all that was collected, if anything was."""
        if self._found:
            raise ScenarioError(tuple(self._found))

    def has(self, key: str) -> bool:
        """Whether an error at exactly this key was added."""
        return key in self._keys

    @property
    def found(self) -> tuple[str, ...]:
        """All errors so far."""
        return tuple(self._found)
