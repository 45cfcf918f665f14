"""What is on the vehicle, as an owner changes it: things with their weights, and a lift."""

from dataclasses import replace

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from rollsim.mass import AS_USED
from rollsim.page import carried, frame, numbers, roof
from rollsim.page.carried import Carried
from rollsim.page.frame import plain
from rollsim.page.numbers import Allowed
from rollsim.reader_units import figure
from rollsim.scenario import Scenario
from rollsim.scenario.editing import added, changed, removed, value
from rollsim.scenario.keys import is_assumed
from rollsim.scenario.starting import TYPED_IS_WEIGHED, load_table
from rollsim.typical import ITEMS, Item, Where, spot
from rollsim.units import to_unit
from rollsim.vehicle import Load

HEAVIEST = 3000.0  # kg
HIGHEST = 4.0  # m
SMALLEST_LIFT, LARGEST_LIFT = -0.15, 0.3  # m
_SEATS = (Where.FRONT_SEATS, Where.REAR_SEATS)
_LIFTS = {"front": "Lift in front", "rear": "Lift behind"}


def show(scenario: Scenario, found: Carried) -> None:
    """One more thing, every thing with its weight, and the lift.

    What adds stands above what grows, so that the focus stays where it is.
    """
    st.caption(
        f"Usual weights are common practice, not yours: weigh what you can. {TYPED_IS_WEIGHED} "
        "What you change here changes every page; Back in the browser undoes it."
    )
    _show_new(scenario, found)
    for number, load in enumerate(scenario.job.loads):
        if load in found.case.loads or load.parked_only:
            _show_thing(number, load)
    _show_lift(scenario)


def _show_thing(number: int, load: Load) -> None:
    """Its weight and height, and a button that takes it out."""
    unit = frame.units().mass
    key, allowed = f"carry:mass:{number}:{unit}", _up_to(HEAVIEST, unit)
    numbers.hold(key, numbers.shown(to_unit(load.mass, unit), 1), load.name)
    where = (
        "people asleep up there, only when parked"
        if load.parked_only
        else (carried.PLACES[load.place])
    )
    weighed = ", on it when it was weighed" if load.on_when_weighed else ""
    if is_assumed(value(frame.text(), f"load[{number}].mass")):
        weighed += ", usual weight assumed"
    row, below = st.container(horizontal=True, vertical_alignment="bottom"), st.container()
    with row:
        numbers.ask(
            f"{load.name} ({where}{weighed}), {unit}",
            allowed,
            key=key,
            value=None,
            tell=below,
            on_change=_put,
            args=(f"load[{number}].mass", key, allowed, load.name),
        )
        _show_height(number, load, below)
        if not load.on_when_weighed:
            st.button(
                "Take out",
                key=f"carry:out:{number}",
                icon=":material/delete:",
                on_click=_take_out,
                args=(number,),
            )


def _show_height(number: int, load: Load, below: DeltaGenerator) -> None:
    """How high it is, to be put right by tape; a tank's follows from its own measures."""
    if value(frame.text(), f"load[{number}].tank.capacity") is not None:
        return
    unit = frame.units().length
    key, allowed = f"carry:height:{number}:{unit}", _up_to(HIGHEST, unit)
    numbers.hold(key, numbers.shown(to_unit(load.height, unit), _places(unit)), load.name)
    numbers.ask(
        f"Its middle above ground, {unit}",
        allowed,
        key=key,
        value=None,
        tell=below,
        on_change=_put,
        args=(f"load[{number}].height", key, allowed, load.name),
        help_="As the vehicle stood when it was weighed.",
    )


def _places(unit: str) -> int:
    return 0 if unit == "mm" else 1


def _up_to(most: float, unit: str) -> Allowed:
    return Allowed(0.0, float(round(to_unit(most, unit))), unit, needed=True)


def _put(path: str, key: str, allowed: Allowed, name: str) -> None:
    """What was typed for a thing into the file, at its place there."""
    typed = numbers.taken(key, allowed, name)
    if typed is not None:
        frame.put(changed(frame.text(), {path: f"{typed:.6g} {allowed.unit}"}))


def _take_out(number: int) -> None:
    frame.put(removed(frame.text(), "load", number))


def _show_new(scenario: Scenario, found: Carried) -> None:
    """The list of usual things, people first, and the weight of the one chosen."""
    unit = frame.units().mass
    words = {
        f"{item.name} · {item.where.value}": item
        for item in sorted(ITEMS, key=lambda item: item.where not in _SEATS)
    }
    row, below = st.container(horizontal=True, vertical_alignment="bottom"), st.container()
    with row:
        item = words[st.selectbox("Something more", list(words), key="carry:new", width=240)]
        key, allowed = (
            f"carry:new:{item.name}:{unit}",
            replace(_up_to(HEAVIEST, unit), needed=False),
        )
        numbers.ask(
            f"Weighed, {unit}",
            allowed,
            key=key,
            tell=below,
            placeholder=f"usual {figure(item.mass, unit)}",
            help_="Left empty, the usual weight is put in and marked as assumed.",
            width=140,
        )
        st.button(
            "Add it",
            icon=":material/add:",
            key="carry:add",
            on_click=_add,
            args=(item, key, allowed, scenario, found),
        )
    if refused := st.session_state.pop("carry:refused", ""):
        below.error(plain(refused))


def _add(item: Item, key: str, allowed: Allowed, scenario: Scenario, found: Carried) -> None:
    """Put it where it usually goes, as heavy as the box says at the click."""
    typed = numbers.read(st.session_state[key], allowed)
    if typed.wrong:
        return
    job, unit = scenario.job, frame.units().mass
    place = spot(
        item.where,
        item.middle,
        wheelbase=job.vehicle.wheelbase,
        roof_height=roof.roof_of(job),
        raised=roof.raised(job),
    )
    table: dict[str, str | list[str]] = {
        **load_table(item, place, roof_taped=job.vehicle.roof_height is not None),
        "name": _new_name(item.name, [load.name for load in job.loads]),
    }
    if typed.value is not None:
        table["mass"] = f"{typed.value:.6g} {unit}"
    if found.case.name != AS_USED:
        table["cases"] = [found.case.name]
    try:
        frame.put(added(frame.text(), "load", table))
    except ValueError as error:
        st.session_state["carry:refused"] = str(error)
    else:
        st.session_state[key] = ""


def _new_name(name: str, taken: list[str]) -> str:
    number, new = 2, name
    while new in taken:
        new, number = f"{name} {number}", number + 1
    return new


def _show_lift(scenario: Scenario) -> None:
    unit, change = frame.units().length, scenario.job.change
    lifts = {"front": change.suspension_lift_front, "rear": change.suspension_lift_rear}
    row, below = st.container(horizontal=True), st.container()
    with row:
        for axle, words in _LIFTS.items():
            key = f"carry:lift:{axle}:{unit}"
            numbers.hold(key, numbers.shown(to_unit(lifts[axle], unit), 2), axle)
            numbers.ask(
                f"{words}, {unit}",
                _lift_within(unit),
                key=key,
                value=None,
                tell=below,
                on_change=_lift,
                args=(axle, key, unit),
            )
    if change.on_when_weighed and any(lifts.values()):
        st.caption("The lift was on it when it was weighed: before means without it.")


def _lift_within(unit: str) -> Allowed:
    least, most = (round(to_unit(end, unit), 1) for end in (SMALLEST_LIFT, LARGEST_LIFT))
    return Allowed(least, most, unit, needed=True)


def _lift(axle: str, key: str, unit: str) -> None:
    height = numbers.taken(key, _lift_within(unit), axle)
    if height is None:
        return
    value = f"{height:.6g} {unit}" if height else None
    frame.put(changed(frame.text(), {f"change.suspension_lift_{axle}": value}))
