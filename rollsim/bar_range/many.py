"""All runs in several processes, in order; what is done is kept, and not done again."""

import gc
import itertools
import json
import multiprocessing
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from pathlib import Path

from rollsim.bar_range.runs import Row, Run, answer

CHUNK = 4  # runs that a process takes at a time

Done = tuple[str, list[Row]]
"""Digest of a run, and its rows."""


def answer_all(
    runs: Iterable[Run],
    kept: Path,
    *,
    processes: int = 1,
    progress: Callable[[int], None] | None = None,
) -> Iterator[list[Row]]:
    """The rows of every run, in the order of the runs, the same whatever the processes.

    `kept` is a file that each answer is added to as it comes: a run that is in it, to the letter of
    its files, is taken from there. `progress` is told how many are done. Raises OSError where
    `kept` cannot be written.
    """
    known = _known(kept)
    asked, again = itertools.tee(runs)
    missing = (run for run in asked if run.digest not in known)
    with ExitStack() as stack:
        file = stack.enter_context(kept.open("a", encoding="utf-8"))
        if processes > 1:
            # A fresh process each: a fork would copy whatever threads were at.
            context = multiprocessing.get_context("spawn")
            pool = stack.enter_context(context.Pool(processes, _seldom))
            fresh = pool.imap(_done, missing, chunksize=CHUNK)
        else:
            fresh = map(_done, missing)
        for number, run in enumerate(again, 1):
            rows = known.get(run.digest)
            if rows is None:
                digest, rows = next(fresh)
                file.write(f"{json.dumps([digest, rows])}\n")
                file.flush()
            if progress is not None:
                progress(number)
            yield rows


def _seldom() -> None:
    """Look for garbage seldom: a run leaves little, and looking takes a tenth of its time."""
    gc.freeze()
    gc.set_threshold(100_000)


def _done(run: Run) -> Done:
    return run.digest, answer(run)


def _known(kept: Path) -> dict[str, list[Row]]:
    """What was answered before; a line that was cut off is taken out of the file."""
    if not kept.exists():
        return {}
    found, whole = {}, []
    for line in kept.read_text(encoding="utf-8", errors="replace").splitlines():
        try:
            digest, rows = json.loads(line)
        except ValueError:
            continue
        found[digest] = rows
        whole.append(line)
    kept.write_text("".join(f"{line}\n" for line in whole), encoding="utf-8")
    return found
