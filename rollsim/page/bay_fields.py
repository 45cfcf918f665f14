"""Readings of a test in the bay as boxes, in the sheet's order: in the bay and in a first start."""

import math
from collections.abc import Mapping

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from rollsim.page import frame, numbers
from rollsim.page.bay_figures import Readings
from rollsim.page.bay_readings import BayTest, Reading
from rollsim.page.bay_sheet import unit_of
from rollsim.page.numbers import Allowed

_WIDTH, IN_A_FOLD = 168, 152  # px: two beside each other on a phone


def ask(test: BayTest, width: int = _WIDTH) -> tuple[Readings, dict[str, str]]:
    """Readings in SI and what was chosen, by their keys; boxes are that wide, in pixels.

    A reading is None where nothing is typed, NaN where it cannot be used, which is then told.
    """
    chosen: dict[str, str] = {}
    with st.container(horizontal=True):
        for choice in test.choices:
            chosen[choice.key] = st.radio(
                choice.label, choice.options, key=f"bay:{test.key}:{choice.key}", horizontal=True
            )
    row, below = st.container(horizontal=True, vertical_alignment="bottom"), st.container()
    with row:
        return {
            one.key: _ask(test, one, chosen, below=below, width=width) for one in test.readings
        }, chosen


def _ask(
    test: BayTest, one: Reading, chosen: Mapping[str, str], *, below: DeltaGenerator, width: int
) -> float | None:
    unit = unit_of(one, frame.units(), chosen)
    typed = numbers.ask(
        f"{one.label}, {unit}" if unit else one.label,
        Allowed(unit=unit),
        key=field_key(test, one, unit),
        tell=below,
        width=width,
    )
    if typed.wrong:
        return math.nan
    if typed.value is None or not unit:
        return typed.value
    return numbers.in_si(typed.value, unit)


def field_key(test: BayTest, one: Reading, unit: str) -> str:
    """Name of the box of a reading."""
    return f"bay:{test.key}:{one.key}:{unit}"
