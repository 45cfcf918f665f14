"""Readers of one server take turns: who works without pause leaves the others their time.

A part of a page that runs alone (a slider, a form of the bay) is not counted. Behind a proxy all
readers have its address and count as one, so that nobody waits.
"""

import contextlib
from collections.abc import Iterator
from threading import Lock
from time import monotonic, sleep, thread_time

import streamlit as st
from streamlit.runtime.scriptrunner import get_script_run_ctx

FREE = 2.0  # s of computing that a reader has at once
SHARE = 0.1  # of the time, that a reader may compute beyond that while others are at work
LONGEST = 2.0  # s; nobody waits longer for a page to begin
OTHERS = 5.0  # s; who has worked since is thought to be at work
_used: dict[str, tuple[float, float]] = {}  # reader: computing that still counts, at what time [s]
_counting = Lock()


@contextlib.contextmanager
def taken() -> Iterator[None]:
    """Work out a page: at once, or after the wait that is owed to others who are at work."""
    reader = _reader()
    if wait := _count(reader, 0.0):
        sleep(wait)
    begun = thread_time()
    try:
        yield
    finally:  # a page that is left half worked out counts too
        _count(reader, thread_time() - begun)


def left(used: float, since: float) -> float:
    """What still counts of the computing that a reader has used, so long after [s]."""
    return max(0.0, min(used, FREE + SHARE * LONGEST) - SHARE * since)


def owed(used: float) -> float:
    """How long the next page waits [s] for computing that counts [s]."""
    return max(0.0, left(used, 0.0) - FREE) / SHARE


def _reader() -> str:
    """Another computer on the network, or a session of this one."""
    running = get_script_run_ctx()
    return st.context.ip_address or (running.session_id if running else "")


def _count(reader: str, took: float) -> float:
    """Count what a page took; how long the next one waits [s], 0 where nobody else is at work."""
    with _counting:
        now = monotonic()
        used, when = _used.get(reader, (0.0, now))
        _used[reader] = (left(used, now - when) + took, now)
        for other, (_, when) in tuple(_used.items()):
            if now - when > max(OTHERS, FREE / SHARE + LONGEST):  # nothing of it counts
                del _used[other]
        others = any(one != reader and now - when < OTHERS for one, (_, when) in _used.items())
        return owed(_used[reader][0]) if others else 0.0
