"""The shop's record as this session has it: the job sheets that were opened, and what they say."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

import streamlit as st

from rollsim.page.frame import plain
from rollsim.record import JobRecord, Record, Skipped, accuracy_of
from rollsim.record.folder import NO_SHEET
from rollsim.record.kept import age, job_in
from rollsim.record.words import accuracy_words
from rollsim.scenario import Source
from rollsim.scenario.embedded import extract

_SHEETS, _SAID = "record:sheets", "record:said"


class Opened(Protocol):
    """A file as the page has it."""

    name: str

    def getvalue(self) -> bytes:
        """Its content."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A job with its scenario."""

    job: JobRecord
    source: Source


def said() -> str:
    """How well the shop's predictions came true, for beside a band; empty where too few tell."""
    return st.session_state.get(_SAID, "")


def show() -> None:
    """Say it under a band, where the shop's sheets are open."""
    if words := said():
        st.caption(plain(words))


def sheets() -> tuple[Sheet, ...]:
    """Every sheet of this session, the oldest first: they stay while another page is looked at."""
    held = st.session_state.get(_SHEETS, {}).values()
    found = (one for one in held if isinstance(one, Sheet))
    return tuple(sorted(found, key=lambda one: age(one.job)))


def add(files: Iterable[Opened]) -> None:
    """Take files in, each content once, however often it is opened."""
    held = st.session_state.setdefault(_SHEETS, {})
    for file in files:
        content = file.getvalue()
        key = hashlib.sha256(content).hexdigest()
        if key not in held:
            held[key] = _read(content.decode("utf-8-sig", errors="replace"), file.name)
    told = accuracy_of(record().jobs)
    st.session_state[_SAID] = "" if told is None else accuracy_words(told)


def record() -> Record:
    """What the sheets say, the oldest first."""
    skipped = (
        one for one in st.session_state.get(_SHEETS, {}).values() if isinstance(one, Skipped)
    )
    return Record(tuple(one.job for one in sheets()), tuple(skipped))


def close() -> None:
    """Forget every sheet."""
    for key in (_SHEETS, _SAID):
        st.session_state.pop(key, None)


def _read(html: str, name: str) -> Sheet | Skipped:
    job, source = job_in(html, name), extract(html)
    return Skipped(name, NO_SHEET) if job is None or source is None else Sheet(job, source)
