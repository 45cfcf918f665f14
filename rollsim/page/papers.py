"""The papers' limits, and the vehicle's weights and sizes, put right with all that is on it."""

from collections.abc import Callable

import streamlit as st

from rollsim.page import frame, numbers, roof
from rollsim.page.carried import RATINGS
from rollsim.page.numbers import Allowed
from rollsim.page.own_vehicle import (
    LONGEST,
    SHARE,
    SHARES,
    SIZES,
    TOTAL,
    WEIGHTS,
    heaviest,
    lightest,
)
from rollsim.scenario import Scenario
from rollsim.scenario.editing import Value, changed, value
from rollsim.scenario.keys import ASSUMED, bare, is_assumed
from rollsim.typical import AXLE_MASS_SPREAD, ITEM_HEIGHT_SPREAD
from rollsim.units import Dimension, parse, to_unit
from rollsim.vehicle import Place

_TYPED = "papers:typed"  # which of the two came last, and what it made of the axles
_AXLES = ("vehicle.front_axle_mass", "vehicle.rear_axle_mass")
Changes = dict[str, Value | None]


def show(scenario: Scenario) -> None:
    """Every box holds what the scenario has; what is typed changes that alone."""
    with st.expander("Correct limits, weights and sizes; what is on it stays on"):
        _show_limits(scenario)
        _show_weights(scenario)
        _show_sizes(scenario)


def _show_limits(scenario: Scenario) -> None:
    unit = frame.units().mass
    boxes = {}
    for name, words in RATINGS.items():
        now, path = getattr(scenario.job.ratings, name), f"ratings.{name}"
        allowed = Allowed(lightest(name, unit), heaviest(unit), unit)
        shown = "" if now is None else numbers.shown(to_unit(now, unit), 1)
        label = f"{words[0].upper()}{words[1:]}, at most, {unit}"
        boxes[label] = (path, allowed, shown, _in_unit(path, unit))
    labels = list(boxes)
    for first in range(0, len(labels), 2):
        _ask({label: boxes[label] for label in labels[first : first + 2]})


def _show_weights(scenario: Scenario) -> None:
    """Weight and share in front, where the file has them so and nothing was on it on the scales."""
    job, texts = scenario.job, [value(frame.text(), axle) for axle in _AXLES]
    if job.change.on_when_weighed or any(load.on_when_weighed for load in job.loads):
        return
    if not all(isinstance(text, str) for text in texts):
        return
    unit = frame.units().mass
    front, rear = _masses()
    ends = (float(round(to_unit(end, unit))) for end in WEIGHTS)
    _ask(
        {
            f"{TOTAL}, {unit}": (
                "total",
                Allowed(*ends, unit, needed=True),
                numbers.shown(to_unit(front + rear, unit), 0),
                lambda typed: _axles(total=numbers.in_si(typed, unit)),
            ),
            f"{SHARE}, %": (
                "share",
                Allowed(*SHARES, "%", needed=True),
                numbers.shown(100.0 * front / (front + rear), 1),
                lambda typed: _axles(share=typed / 100.0),
            ),
        }
    )


def _masses() -> tuple[float, float]:
    """On both axles [kg], as the file has them."""
    front, rear = (parse(bare(value(frame.text(), a)), Dimension.MASS).value for a in _AXLES)
    return front, rear


def _axles(*, total: float | None = None, share: float | None = None) -> Changes:
    """What is typed of weight [kg] and share in front; both stay assumed until both were typed."""
    front, rear = _masses()
    before = [value(frame.text(), axle) for axle in _AXLES]
    what = "total" if share is None else "share"
    typed, left = st.session_state.get(_TYPED, ("", []))
    both = left == before and typed not in ("", what)
    total = front + rear if total is None else total
    share = front / (front + rear) if share is None else share
    guessed = is_assumed(before) and not both
    mark = f" ± {100.0 * AXLE_MASS_SPREAD:g} % {ASSUMED}" if guessed else ""
    parts = (total * share, total * (1.0 - share))
    found = {axle: f"{kg:.1f} kg{mark}" for axle, kg in zip(_AXLES, parts, strict=True)}
    st.session_state[_TYPED] = (what, list(found.values()))
    return found


def _show_sizes(scenario: Scenario) -> None:
    unit, vehicle, boxes = frame.units().length, scenario.job.vehicle, {}
    for name, words in SIZES.items():
        path, now = f"vehicle.{name}", getattr(vehicle, name)
        ends = (round(to_unit(end, unit), 1) for end in (1.0, LONGEST[name]))
        shown = "" if now is None else numbers.shown(to_unit(now, unit), 0 if unit == "mm" else 1)
        put = _in_unit(path, unit)
        if name == "roof_height":
            put = _roof(scenario, unit)
        boxes[f"{words}, {unit}"] = (path, Allowed(*ends, unit, needed=now is not None), shown, put)
    _ask(boxes)


def _in_unit(path: str, unit: str) -> Callable[[float | None], Changes]:
    return lambda typed: {path: None if typed is None else f"{typed:.6g} {unit}"}


def _roof(scenario: Scenario, unit: str) -> Callable[[float | None], Changes]:
    """A roof that was taped takes with it what stands on it at a height that was assumed."""

    def changes(typed: float | None) -> Changes:
        found = _in_unit("vehicle.roof_height", unit)(typed)
        if typed is None:
            return found
        higher = numbers.in_si(typed, unit) - roof.roof_of(scenario.job)
        for number, load in enumerate(scenario.job.loads):
            key = f"load[{number}].height"
            if load.place is Place.ROOF and is_assumed(value(frame.text(), key)):
                middle, spread = (1e3 * x for x in (load.height + higher, ITEM_HEIGHT_SPREAD))
                found[key] = f"{middle:.0f} mm ± {spread:.0f} mm {ASSUMED}"
        return found

    return changes


def _ask(boxes: dict[str, tuple[str, Allowed, str, Callable[[float | None], Changes]]]) -> None:
    """Boxes in a row by their labels: name, what each takes, what it holds, what typing changes."""
    row, below = st.container(horizontal=True), st.container()
    with row:
        for label, (name, allowed, now, put) in boxes.items():
            key = f"papers:{name}:{allowed.unit}"
            numbers.hold(key, now, name)
            numbers.ask(
                label,
                allowed,
                key=key,
                value=None,
                tell=below,
                on_change=_put,
                args=(key, allowed, name, put),
            )


def _put(key: str, allowed: Allowed, name: str, put: Callable[[float | None], Changes]) -> None:
    """What was typed into the text; an emptied box takes out what need not be there."""
    if numbers.read(st.session_state[key], allowed).wrong:
        numbers.taken(key, allowed, name)
        return
    frame.put(changed(frame.text(), put(numbers.read(st.session_state[key], allowed).value)))
