"""How much of a long answer is done, as a bar where somebody looks on."""

import sys
from collections.abc import Callable

_WIDTH = 30


def progress(what: str, *, every: int = 1) -> Callable[[int, int], None] | None:
    """Tells how many of how many are done, each so many; None where the output is no terminal."""
    if not (sys.stderr and sys.stderr.isatty()):
        return None

    def tell(done: int, total: int) -> None:
        if done % every and done != total:
            return
        full = "#" * (_WIDTH * done // total)
        end = "\n" if done == total else ""
        sys.stderr.write(f"\r[{full:.<{_WIDTH}}] {done} of {total} {what}{end}")
        sys.stderr.flush()

    return tell
