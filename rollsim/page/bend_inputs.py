"""Radius and speed of the bend, typed or slid: one bend, whichever units it is read in."""

from collections.abc import Mapping
from dataclasses import dataclass

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from rollsim.page import address, bends, frame, numbers
from rollsim.page.numbers import Allowed

_STATE = "carry:bend"


@dataclass(frozen=True, slots=True)
class _Measure:
    """Radius or speed: its label, what may be typed, and at first [m or m/s]; ends of its slider.

    `slider` has the ends in each unit that it is read in.
    """

    label: str
    least: float
    most: float
    first: tuple[float, str]
    slider: Mapping[str, tuple[int, int]]


MEASURES = {
    "radius": _Measure(
        "Radius of the bend", 5.0, 300.0, (25.0, "m"), {"m": (10, 150), "ft": (30, 500)}
    ),
    "speed": _Measure(
        "Speed", 5.0 / 3.6, 130.0 / 3.6, (35.0, "km/h"), {"km/h": (10, 100), "mph": (5, 60)}
    ),
}


def choose() -> tuple[float, float]:
    """Ask for the bend; radius [m] and speed [m/s].

    What was typed stays as it was typed when the reader changes units: the figures stay the same.
    """
    if _STATE not in st.session_state:
        st.session_state[_STATE] = _asked_for(frame.asked())
    if address.went_back():
        st.session_state[_STATE] = _asked_for(st.query_params.to_dict())
    road = bends.road_units(frame.units())
    columns, below = st.columns(2), st.container()
    for name, unit, column in zip(MEASURES, (road.radius, road.speed), columns, strict=True):
        with column:
            _ask(name, unit, below)
    _keep_in_link()
    return tuple(_now(name) for name in MEASURES)


def refused() -> tuple[str, ...]:
    """What a link asks of the bend that no box takes, a sentence each."""
    return tuple(
        f'The link asks for the {name} "{text}"; this page takes '
        + " or ".join(_allowed(name, unit).words() for unit in measure.slider)
        + f', such as "{_in_link(measure.first)}".'
        for name, measure in MEASURES.items()
        if (text := frame.asked().get(name)) is not None and _read(name, text) is None
    )


def _ask(name: str, unit: str, below: DeltaGenerator) -> None:
    """A box and a slider for one of the two; either follows the other."""
    measure, (least, most) = MEASURES[name], MEASURES[name].slider[unit]
    value = _now(name) * bends.PER_SI[unit]
    box, slider = f"carry:{name}:{unit}", f"carry:{name}:slider:{unit}"
    numbers.hold(box, numbers.shown(value, 1), name)
    numbers.ask(
        f"{measure.label}, {unit}",
        _allowed(name, unit),
        key=box,
        value=None,
        tell=below,
        on_change=_typed,
        args=(name, unit, box),
    )
    st.session_state[slider] = min(max(round(value), least), most)
    st.slider(
        f"{measure.label}, by slider, {unit}",
        least,
        most,
        key=slider,
        label_visibility="collapsed",
        on_change=_slid,
        args=(name, unit, slider),
    )


def _typed(name: str, unit: str, box: str) -> None:
    value = numbers.taken(box, _allowed(name, unit), name)
    if value is not None:
        _put(name, value, unit)


def _slid(name: str, unit: str, slider: str) -> None:
    _put(name, float(st.session_state[slider]), unit)


def _put(name: str, value: float, unit: str) -> None:
    st.session_state[_STATE] = {**st.session_state[_STATE], name: (value, unit)}
    frame.leave_link()


def _now(name: str) -> float:
    """Radius [m] or speed [m/s] as it was last chosen."""
    value, unit = st.session_state[_STATE][name]
    return value / bends.PER_SI[unit]


def _allowed(name: str, unit: str) -> Allowed:
    """What may be typed; as wide in every unit, to the digit that is shown."""
    ends = (MEASURES[name].least, MEASURES[name].most)
    return Allowed(*(round(end * bends.PER_SI[unit], 1) for end in ends), unit, needed=True)


def _asked_for(query: Mapping[str, str]) -> dict[str, tuple[float, str]]:
    """The bend of an address; as at first where it has none that can be used."""
    return {
        name: _read(name, query.get(name, "")) or measure.first
        for name, measure in MEASURES.items()
    }


def _read(name: str, text: str) -> tuple[float, str] | None:
    """A radius or speed of an address with its unit; None where no box takes it."""
    for unit in MEASURES[name].slider:
        value = numbers.read(text.removesuffix(unit), _allowed(name, unit)).value
        if text.endswith(unit) and value is not None:
            return value, unit
    return None


def _keep_in_link() -> None:
    """The bend as it was chosen, in the unit it was chosen in."""
    now = st.session_state[_STATE]
    wanted = {n: _in_link(now[n]) for n, measure in MEASURES.items() if now[n] != measure.first}
    address.keep(wanted, among=tuple(MEASURES))


def _in_link(chosen: tuple[float, str]) -> str:
    return f"{chosen[0]:.6g}{chosen[1]}"
