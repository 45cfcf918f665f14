"""The one exception of a scenario file, and the list that collects all of a file's errors."""

MOST_TOLD = 50
"""Errors that are told one by one; of more, how many."""


class ScenarioError(ValueError):
    """A scenario file that cannot be used.

    Its `errors` are one line each: file, key, what came, what is allowed, what to do.
    """

    def __init__(self, errors: tuple[str, ...]) -> None:
        self.errors = tuple(" ".join(error.splitlines()) for error in errors)
        super().__init__("\n".join(self.errors))


class Problems:
    """Collects the errors of one file, whose name stands first in each, to tell all at once."""

    def __init__(self, file: str) -> None:
        self._file = file
        self._found: dict[str, None] = {}
        self._untold = 0
        self._keys: set[str] = set()

    def add(self, key: str, message: str) -> None:
        """Add one error at `key` ("rear.track"); an empty key stands for the whole file."""
        self._keys.add(key)
        self._found[": ".join(part for part in (self._file, key, message) if part)] = None

    def stop_if_any(self) -> None:
        """Raise a ScenarioError with all that was collected, if anything was."""
        if self._found:
            raise ScenarioError(self.found)

    def add_untold(self, key: str) -> None:
        """Count one error more at `key`, in no words of its own: `is_full` told to."""
        self._keys.add(key)
        self._untold += 1

    def has(self, key: str) -> bool:
        """Whether an error at exactly this key was added."""
        return key in self._keys

    @property
    def is_full(self) -> bool:
        """Whether as many errors were added as are told one by one."""
        return len(self._found) >= MOST_TOLD

    @property
    def found(self) -> tuple[str, ...]:
        """All errors so far; beyond the first of many, how many more there are."""
        told = tuple(self._found)
        more = len(told[MOST_TOLD:]) + self._untold
        if not more:
            return told
        rest = f"{self._file}: and {more} more errors; mend these first"
        return (*told[:MOST_TOLD], rest)
