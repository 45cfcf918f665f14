"""An owner's own vehicle: body type and size, and the weights off the papers."""

import streamlit as st

from rollsim.page import frame, numbers
from rollsim.page.numbers import Allowed, Typed
from rollsim.reader_units import with_unit
from rollsim.scenario.cg_height import NEEDS_ROOF
from rollsim.scenario.editing import changed
from rollsim.scenario.starting import (
    ROOF_HELP,
    Bars,
    Start,
    lacking,
    rear_suspension,
    scenario_text,
)
from rollsim.typical import BODIES, Body
from rollsim.units import to_unit
from rollsim.vehicle import VehicleClass

RATINGS = {
    "gross_vehicle_mass": "Whole vehicle, at most",
    "front_axle": "Front axle, at most",
    "rear_axle": "Rear axle, at most",
    "roof_load": "Roof, at most",
}
_AXLES = {"solid axle": "solid rear axle", "independent": "independent rear wheels"}
_LEAST = {"gross_vehicle_mass": 500.0, "front_axle": 200.0, "rear_axle": 200.0}  # kg
WEIGHTS, SHARES = (500.0, 6000.0), (30.0, 75.0)  # kg, %: what boxes take
TOTAL, SHARE = "Empty, with the driver", "Of that on the front wheels"
_FORM, _STARTED = "own:vehicle", "own:started"  # the form closes once it was used
WHEELBASE, ROOF = "wheelbase", "roof_height"
SIZES = {WHEELBASE: "Front to rear wheel centre", ROOF: "Bare roof above ground, by tape"}
Boxes = dict[str, tuple[str, Allowed, str]]  # label: key, what it takes, what stands in it

LONGEST = {WHEELBASE: 6.0, ROOF: 4.0}  # m


def show() -> None:
    """Ask for it, and start from it on a button."""
    words = "Your own vehicle" if frame.is_example() else "Start another vehicle"
    if st.session_state.pop(_STARTED, False):
        st.session_state[_FORM] = False
    with st.expander(
        f"{words}: body type, size, weights from the papers", key=_FORM, on_change="rerun"
    ):
        kinds = {kind.value: kind for kind in VehicleClass}
        said = {word: meaning(kind) for word, kind in kinds.items()}
        chosen = st.selectbox(
            "Body type", list(kinds), key="own:class", format_func=said.__getitem__
        )
        kind = kinds[chosen]
        typed = _ask_all(kind)
        at_boxes, wrong = [one.wrong for one in typed.values() if one.wrong], ()
        if st.button("Start from this", type="primary", key="own:start"):
            if not at_boxes:
                wrong = _start(kind, {label: one.value for label, one in typed.items()})
            if not (wrong or at_boxes):
                st.session_state[_STARTED] = True
                st.rerun()
            frame.not_started(wrong, at_boxes)
        st.caption(
            "This opens your vehicle in place of the one shown, with nothing on it yet. What you "
            "are not asked for is assumed from the body type, and marked. Back in the browser "
            "brings the other vehicle back."
        )


def meaning(kind: VehicleClass) -> str:
    """A body type in words: how high its roof usually is, and which rear axle it has."""
    length = frame.units().length
    roof = f"roof about {with_unit(BODIES[kind].roof_height, length)} high"
    if kind in NEEDS_ROOF:
        roof = "low or high roof, to be taped"
    return f"{kind.value}: {roof}, {_AXLES[rear_suspension(kind)]}"


def lightest(rating: str, unit: str) -> float:
    """The least that a rating may be, in the reader's unit."""
    return float(round(to_unit(_LEAST.get(rating, 0.0), unit)))


def heaviest(unit: str) -> float:
    """The most that a rating may be, in the reader's unit."""
    return float(round(to_unit(8000.0, unit)))


def _ask_all(kind: VehicleClass) -> dict[str, Typed]:
    """Every box by its label, in the reader's units; usual values where nothing is taped."""
    body = BODIES[kind]
    found: dict[str, Typed] = {}
    for boxes in (_sizes(kind, body), _weights(body), _ratings()):
        row, below = st.container(horizontal=True), st.container()
        with row:
            for label, (key, allowed, first) in boxes.items():
                help_ = ROOF_HELP if label.startswith(SIZES[ROOF]) else None
                found[label] = numbers.ask(
                    label, allowed, key=key, value=first, tell=below, help_=help_
                )
    return found


def _sizes(kind: VehicleClass, body: Body) -> Boxes:
    unit = frame.units().length
    usual = numbers.shown(to_unit(body.wheelbase, unit), 0 if unit == "mm" else 1)
    first = {WHEELBASE: usual, ROOF: ""}  # a usual roof must not pass for a taped one
    return {
        _label(words, unit): (
            f"own:{name}:{kind.value}:{unit}",
            Allowed(
                round(to_unit(1.0, unit), 1),
                round(to_unit(LONGEST[name], unit), 1),
                unit,
                needed=name == WHEELBASE,
            ),
            first[name],
        )
        for name, words in SIZES.items()
    }


def _weights(body: Body) -> Boxes:
    """Weight empty, and the share of it on the front wheels."""
    unit, usual = frame.units().mass, body.front_axle_mass + body.rear_axle_mass
    within = (float(round(to_unit(end, unit))) for end in WEIGHTS)
    return {
        _label(TOTAL, unit): (
            f"own:total:{usual:g}:{unit}",
            Allowed(*within, unit, needed=True),
            numbers.shown(to_unit(usual, unit), 0),
        ),
        _label(SHARE, "%"): (
            f"own:share:{usual:g}",
            Allowed(*SHARES, "%", needed=True),
            numbers.shown(100.0 * body.front_axle_mass / usual, 0),
        ),
    }


def _ratings() -> Boxes:
    """What the papers say; what is left empty is not given."""
    unit = frame.units().mass
    return {
        _label(words, unit): (
            f"own:{name}:{unit}",
            Allowed(lightest(name, unit), heaviest(unit), unit),
            "",
        )
        for name, words in RATINGS.items()
    }


def _label(words: str, unit: str) -> str:
    return f"{words}, {unit}"


def _untouched(label: str, boxes: Boxes, typed: float) -> bool:
    """Whether a box still holds what it held at first."""
    return numbers.read(boxes[label][2]).value == typed


def _start(kind: VehicleClass, typed: dict[str, float | None]) -> tuple[str, ...]:
    """Put in what was typed, by the labels of the boxes [their units]; or say what is lacking."""
    mass, length = frame.units().mass, frame.units().length
    body, base = BODIES[kind], _label(SIZES[WHEELBASE], length)
    read = {n: typed[_label(words, length)] for n, words in SIZES.items()}
    sizes = {n: numbers.in_si(x, length) for n, x in read.items()}
    total = numbers.in_si(typed[_label(TOTAL, mass)], mass)
    share = typed[_label(SHARE, "%")] / 100.0
    masses = (round(total * share, 1), round(total * (1.0 - share), 1))
    start = Start(
        kind,
        masses,
        bars=Bars.UNKNOWN,
        weighed=not _untouched(_label(SHARE, "%"), _weights(body), typed[_label(SHARE, "%")]),
        wheelbase=None if _untouched(base, _sizes(kind, body), typed[base]) else sizes[WHEELBASE],
        roof_height=sizes[ROOF],
    )
    if lines := lacking(start):
        return lines
    given = {name: typed[_label(words, mass)] for name, words in RATINGS.items()}
    ratings = {
        f"ratings.{name}": f"{value:.6g} {mass}"
        for name, value in given.items()
        if value is not None
    }
    frame.put(changed(scenario_text(start), ratings), "my-vehicle.toml")
    return ()
