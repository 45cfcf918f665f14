"""A bar that is on a vehicle that is started: what was read of it by vernier and tape."""

import math
from dataclasses import replace

import streamlit as st

from rollsim.page import bay_fields, frame
from rollsim.page import bay_readings as bay
from rollsim.page.bay_readings import BayTest
from rollsim.page.bay_results import bar_keys
from rollsim.scenario.editing import Value
from rollsim.scenario.starting import USUAL_COUPLING, Bars
from rollsim.vehicle import VehicleClass

DONT_KNOW, READ = Bars.UNKNOWN.value, "by vernier and tape"
_AXLES = {Bars.FRONT: ("front",), Bars.BOTH: ("front", "rear")}
_RATIO = "ratio"  # the reading that only independent suspension has
_FIRST = ("diameter", "lever", _RATIO)
_WITHOUT = {  # by whether the suspension is independent
    True: "Without the arm length and the link travel per wheel travel the bar is no better known "
    "than for the class.",
    False: "Without the arm length the bar is known to no better than a third.",
}


def ask(kind: VehicleClass, bars: Bars) -> tuple[dict[str, dict[str, Value]], tuple[str, ...]]:
    """What was read of each bar, by its name in `Start`, and what is wrong with it."""
    read: dict[str, dict[str, Value]] = {}
    wrong: list[str] = []
    for axle in _AXLES.get(bars, ()):
        known = st.selectbox(
            f"How stiff the {axle} bar is",
            (DONT_KNOW, READ),
            key=f"start_{axle}_known",
            bind="query-params",
            help=" ".join(bay.BAR.steps),
        )
        if known == READ:
            found, why = _read(axle, independent=axle == "front" or kind is VehicleClass.CAR)
            read[f"{axle}_bar"] = found
            wrong += why
    return read, tuple(wrong)


def readings_of(axle: str, *, independent: bool) -> BayTest:
    """The bay's test of a bar for one axle: all but the diameter may be left empty.

    What counts most stands first.
    """
    wanted = [one for one in bay.BAR.readings if independent or one.key != _RATIO]
    wanted.sort(key=lambda one: _FIRST.index(one.key) if one.key in _FIRST else len(_FIRST))
    return replace(
        bay.BAR,
        key=f"start_{axle}_bar",
        choices=tuple(
            replace(
                one,
                options=(DONT_KNOW, *one.options[1:]),
                label=f"{axle.capitalize()}: {one.label.lower()}",
            )
            for one in bay.BAR.choices
            if one.key != "axle"
        ),
        readings=tuple(
            replace(one, label=f"{axle.capitalize()}: {one.label[:1].lower()}{one.label[1:]}")
            for one in wanted
        ),
    )


def _read(axle: str, *, independent: bool) -> tuple[dict[str, Value], tuple[str, ...]]:
    readings, chosen = bay_fields.ask(
        readings_of(axle, independent=independent), bay_fields.IN_A_FOLD
    )
    st.caption(
        f"{_WITHOUT[independent]} What is left empty is what a bar of this class usually has, "
        "marked as assumed and counted."
    )
    if any(one is not None and math.isnan(one) for one in readings.values()):
        return {}, (f"A reading of the {axle} bar cannot be used: why stands under its boxes.",)
    if readings["diameter"] is None:
        return {}, (
            f"Diameter of the {axle} bar: nothing is typed; read it by vernier, or choose "
            f'"{DONT_KNOW}".',
        )
    held = {key: USUAL_COUPLING[key] if word == DONT_KNOW else word for key, word in chosen.items()}
    return bar_keys(readings, held, frame.units()), ()
