"""What the pages put into the address, so that the browser's Back undoes it.

Streamlit runs the page again with the address of then, and keeps the state of now.
"""

from collections.abc import Collection, Mapping
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


def look() -> None:
    """Find out whether this run comes of Back or Forward; once, before anything is put there."""
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


def keep(wanted: Mapping[str, str], *, among: Collection[str]) -> None:
    """Put what a page holds into the address, take the rest of `among` out: one step of Back."""
    now = st.query_params.to_dict()
    new = {key: value for key, value in now.items() if key not in among} | dict(wanted)
    if new != now:
        st.query_params.from_dict(new)
    held, mine = _known().held, {key: wanted.get(key) for key in among}
    if not mine.items() <= held.items():
        _remember({**held, **mine})


def _known() -> _Known:
    return st.session_state.get(_KNOWN, _Known())


def _remember(held: Mapping[str, str | None]) -> None:
    st.session_state[_KNOWN] = _Known(_path(), dict(held), monotonic())


def _path() -> str:
    return (st.context.url or "").split("?")[0]
