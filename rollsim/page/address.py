"""What the pages put into the address, so that the browser's Back undoes it.

Streamlit runs the page again with the address of then, and keeps the state of now.
"""

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from time import monotonic

import streamlit as st

SETTLES = 1.5  # s; so long after a change an address that differs from it may only be late
_KNOWN, _BACK = "address:known", "address:back"


@dataclass(frozen=True, slots=True)
class _Known:
    """The page's path and what was put into its address, None for what was left out; when [s]."""

    path: str = ""
    held: dict[str, str | None] = field(default_factory=dict)
    since: float = 0.0


@contextlib.contextmanager
def followed() -> Iterator[None]:
    """Follow the address through a run of a page; before anything is waited for.

    What stands there at the end of a run may be late in the browser, however long the run took.
    """
    _look()
    try:
        yield
    finally:
        _remember(_known().held)


def _look() -> None:
    """Find out whether this run comes of Back or Forward."""
    known = _known()
    if known.path != _path():
        _remember({})
    late = monotonic() - known.since < SETTLES
    differs = any(st.query_params.get(key) != value for key, value in _known().held.items())
    st.session_state[_BACK] = differs and not late


def went_back() -> bool:
    """Whether this run comes of the browser's Back or Forward: what a page holds is there again."""
    return st.session_state.get(_BACK, False)


def changed() -> None:
    """For callbacks of inputs: the run that follows is no step back."""
    _remember(_known().held)


def keep(wanted: Mapping[str, str], *, among: Sequence[str]) -> None:
    """Put what a page holds into the address, then take the rest of `among` out.

    Each of these is a step of Back, so that what stands between two must open the one or the other.
    """
    for key in among:
        if key in wanted and st.query_params.get(key) != wanted[key]:
            st.query_params[key] = wanted[key]
    for key in among:
        if key not in wanted and key in st.query_params:
            del st.query_params[key]
    held, mine = _known().held, {key: wanted.get(key) for key in among}
    if not mine.items() <= held.items():
        _remember({**held, **mine})


def _known() -> _Known:
    return st.session_state.get(_KNOWN, _Known())


def _remember(held: Mapping[str, str | None]) -> None:
    st.session_state[_KNOWN] = _Known(_path(), dict(held), monotonic())


def _path() -> str:
    return (st.context.url or "").split("?")[0]
