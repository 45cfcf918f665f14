"""An owner's own vehicle: body type and size, and the weights off the papers."""

from dataclasses import replace

import streamlit as st

from rollsim.page import frame
from rollsim.page.frame import plain
from rollsim.scenario.editing import changed
from rollsim.scenario.starting import ROOF_HELP, Bars, Start, lacking, scenario_text
from rollsim.typical import BODIES, Body
from rollsim.units import to_unit
from rollsim.vehicle import VehicleClass

RATINGS = {
    "gross_vehicle_mass": "Whole vehicle, at most",
    "front_axle": "Front axle, at most",
    "rear_axle": "Rear axle, at most",
    "roof_load": "Roof, at most",
}
_LEAST = {"gross_vehicle_mass": 500.0, "front_axle": 200.0, "rear_axle": 200.0}  # kg
SIZES = {
    "wheelbase": "Front to rear wheel centre",
    "roof_height": "Bare roof above ground, by tape",
}

LONGEST = {"wheelbase": 6.0, "roof_height": 4.0}  # m
HELP = {"roof_height": ROOF_HELP}


def show() -> None:
    """Ask for it, and start from it on a button."""
    with st.expander("Your own vehicle: body type, size, weights off the papers"):
        kinds = {kind.value: kind for kind in VehicleClass}
        kind = kinds[st.selectbox("Body type", list(kinds), key="own:class")]
        body, roof = _ask_size(kind)
        total, share = _ask_weight(body)
        ratings = _ask_ratings()
        if st.button("Start from this", type="primary", key="own:start"):
            masses = (round(total * share, 1), round(total * (1.0 - share), 1))
            start = Start(kind, masses, bars=Bars.UNKNOWN, body=body, roof_height=roof)
            if lines := lacking(start):
                st.error(plain(" ".join(lines)), icon=":material/error:")
            else:
                frame.put(changed(scenario_text(start), ratings), "my-vehicle.toml")
                st.rerun()
        st.caption(
            "It takes the place of the vehicle above, with nothing on it; what is not asked for "
            "is assumed from the body type and marked."
        )


def _ask_size(kind: VehicleClass) -> tuple[Body, float | None]:
    """Usual lengths [m] where nothing is changed, and the roof [m] where it was taped."""
    unit, body = frame.units().length, BODIES[kind]
    usual = {"wheelbase": round(to_unit(body.wheelbase, unit), 1), "roof_height": None}
    with st.container(horizontal=True):
        typed = {
            name: st.number_input(
                f"{words}, {unit}",
                value=usual[name],
                min_value=round(to_unit(1.0, unit), 1),
                max_value=round(to_unit(LONGEST[name], unit), 1),
                step=10.0 if unit == "mm" else 0.5,
                format="%.0f" if unit == "mm" else "%.1f",
                key=f"own:{name}:{kind.value}:{unit}",
                help=HELP.get(name),
            )
            for name, words in SIZES.items()
        }
    roof = typed["roof_height"]
    body = replace(body, wheelbase=typed["wheelbase"] / to_unit(1.0, unit))
    return body, None if roof is None else roof / to_unit(1.0, unit)


def _ask_weight(body: Body) -> tuple[float, float]:
    """Weight empty, driver included [kg], and the share of it on the front wheels [-]."""
    unit, usual = frame.units().mass, body.front_axle_mass + body.rear_axle_mass
    with st.container(horizontal=True):
        total = st.number_input(
            f"Empty, with the driver, {unit}",
            value=float(round(to_unit(usual, unit))),
            min_value=float(round(to_unit(500.0, unit))),
            max_value=float(round(to_unit(6000.0, unit))),
            step=10.0,
            format="%.0f",
            key=f"own:total:{usual:g}:{unit}",
        )
        share = st.number_input(
            "Of that on the front wheels, %",
            value=float(round(100.0 * body.front_axle_mass / usual)),
            min_value=30.0,
            max_value=75.0,
            step=1.0,
            format="%.0f",
            key=f"own:share:{usual:g}",
        )
    return total / to_unit(1.0, unit), share / 100.0


def _ask_ratings() -> dict[str, str]:
    """Keys of the file and what the papers say; what is left empty stays out."""
    unit = frame.units().mass
    with st.container(horizontal=True):
        found = {
            name: st.number_input(
                f"{words}, {unit}",
                value=None,
                min_value=float(round(to_unit(_LEAST.get(name, 0.0), unit))),
                max_value=float(round(to_unit(8000.0, unit))),
                step=10.0,
                format="%.0f",
                key=f"own:{name}:{unit}",
            )
            for name, words in RATINGS.items()
        }
    return {
        f"ratings.{name}": f"{value:.6g} {unit}"
        for name, value in found.items()
        if value is not None
    }
