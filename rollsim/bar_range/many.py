"""All runs in several processes, in order; what is done is kept, and not done again."""

import gc
import json
import multiprocessing
import signal
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager
from multiprocessing.pool import Pool
from pathlib import Path

from rollsim.bar_range.runs import HEADS, Row, Run, answer
from rollsim.files import write

CHUNK = 4  # runs that a process takes at a time
_FOREIGN = "it is there and is none of this command's; remove it, or name another output"

Done = tuple[str, list[Row]]
"""Digest of a run, and its rows."""


def answer_all(
    runs: Iterable[Run],
    kept: Path,
    *,
    version: str = "",
    processes: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[list[Row]]:
    """The rows of every run, in the order of the runs, the same whatever the processes.

    `kept` is a file that each answer is added to as it comes: a run that is in it, to the letter of
    its files and by the same `version` of the program, is taken from there. `progress` is told how
    many of how many are done. Raises OSError where `kept` cannot be written, or is another file.
    """
    known = _known(kept, version)
    runs = list(runs)
    missing = [run for run in runs if run.digest not in known]
    with ExitStack() as stack:
        file = stack.enter_context(kept.open("a", encoding="utf-8"))
        if processes > 1 and missing:
            pool = stack.enter_context(_pool(processes))
            fresh = pool.imap(_done, missing, chunksize=CHUNK)
        else:
            fresh = map(_done, missing)
        for number, run in enumerate(runs, 1):
            rows = known.get(run.digest)
            if rows is None:
                digest, rows = next(fresh)
                file.write(f"{json.dumps([digest, rows])}\n")
                file.flush()
            if progress is not None:
                progress(number, len(runs))
            yield rows


def _pool(processes: int) -> Pool:
    # A fresh process each: a fork would copy whatever threads were at.
    context = multiprocessing.get_context("spawn")
    with _deaf():
        return context.Pool(processes, _seldom)


@contextmanager
def _deaf() -> Iterator[None]:
    """Processes that start meanwhile do not hear Ctrl-C: this one does, and ends them."""
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _seldom() -> None:
    """Look for garbage seldom: a run leaves little, and looking takes a tenth of its time."""
    gc.freeze()
    gc.set_threshold(100_000)


def _done(run: Run) -> Done:
    return run.digest, answer(run)


def _known(kept: Path, version: str) -> dict[str, list[Row]]:
    """What was answered before by this version; a line that was cut off goes out of the file."""
    head = json.dumps(["rollsim range", version])
    if kept.is_symlink():
        raise OSError(0, "it is a link to another file; remove it, or name another output")
    lines = []
    if kept.exists():
        lines = kept.read_text(encoding="utf-8", errors="replace").splitlines()
        if lines and not lines[0].startswith('["rollsim range", '):
            raise OSError(0, _FOREIGN)
    found = dict(filter(None, map(_answered, lines[1:]))) if lines[:1] == [head] else {}
    answers = (json.dumps(list(one)) for one in found.items())
    write(kept, "".join(f"{line}\n" for line in (head, *answers)))
    return found


def _answered(line: str) -> Done | None:
    """The answer that a line holds; None where it was cut off or is none."""
    try:
        digest, rows = json.loads(line)
        whole = isinstance(digest, str) and all(_is_row(row) for row in rows)
    except (ValueError, TypeError, RecursionError):
        return None
    return (digest, rows) if whole else None


def _is_row(row: object) -> bool:
    texts = isinstance(row, dict) and row.keys() <= set(HEADS) and "answer" in row
    return texts and all(isinstance(cell, str) for cell in row.values())
