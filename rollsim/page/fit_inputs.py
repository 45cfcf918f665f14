"""What is typed on the page Fit a bar: a vehicle in a minute, then target, case and bar shape."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import streamlit as st

from rollsim.bar import STEELS
from rollsim.page import fields, frame, numbers, shelf, start_bars
from rollsim.page.bay_fields import IN_A_FOLD
from rollsim.page.fields import Errors
from rollsim.page.frame import plain
from rollsim.page.numbers import Allowed, Typed
from rollsim.page.things import HEAVIEST
from rollsim.reader_units import figure
from rollsim.scenario import ScenarioError, loads
from rollsim.scenario.bounds import parsed
from rollsim.scenario.editing import Value, changed
from rollsim.scenario.inputs import Input, Kind, inputs
from rollsim.scenario.keys import LEAST_LESS, MOST_LESS, bare
from rollsim.scenario.starting import (
    ROOF_HELP,
    TYPED_IS_WEIGHED,
    Bars,
    Start,
    implausible,
    lacking,
    rear_bar_text,
    scenario_text,
)
from rollsim.tell.names import WHEELS, state_words
from rollsim.typical import BODIES, ITEMS, Item, Where
from rollsim.units import to_unit
from rollsim.vehicle import VehicleClass

HEAVIEST_CORNER = 2500.0  # kg
USUAL_MIDDLE = 0.25  # m, of a thing above what it stands on: common practice, no source
HIGHEST_LIFT = 0.3  # m
TYRE_RATINGS = (150.0, 5000.0)  # kg
ROOFS = (1.0, 4.0)  # m
TARGET = ("target.roll_gradient", "target.at")
SHAPE = (
    "rear_bar.mount",
    "rear_bar.centre_length",
    "rear_bar.bush_spacing",
    "rear_bar.arm_holes",
    "rear_bar.arm_splay",
    "rear_bar.bend_radius",
)
STOCK = ("rear_bar.material", "rear_bar.sections")
INSTALLATION = (
    "rear_bar.installation_ratio",
    "rear_bar.bush_rate",
    "rear_bar.link_rate",
    "rear_bar.link_length",
    "rear_bar.arm_angle",
    "rear_bar.link_inclination",
    "rear_bar.lash",
)
STARTED = "fit:started"
"""Set once a vehicle was started from the form, which then closes."""
_CASE, _MOST = "target.case", "the one that leans most"
_IN_A_ROW = 2


def my_vehicle() -> None:
    """Class, what is on it now, four weights: enough for a provisional bar."""
    units = frame.units()
    left, right = st.columns(2)
    words = [one.value for one in VehicleClass]
    with left:
        chosen = VehicleClass(st.selectbox("Class", words, key="start_class", bind="query-params"))
    with right:
        on = _on_it()
    weights = _weigh_items(on, units.mass)
    masses = _masses(chosen, units.mass)
    wheels = tuple(numbers.in_si(mass.value, units.mass) for mass in masses)
    refused = () if any(mass.wrong for mass in masses) else implausible(wheels, units.mass)
    for line in refused:
        st.error(plain(line), icon=":material/error:")
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        lift, roof, bars = _lift(units.length), _roof(units.length), _bars()
    with right:
        rated = _tyre_rating(units.mass)
    read, unread = start_bars.ask(chosen, bars)
    boxes = (*(mass for _, mass in weights), *masses, lift, roof, rated)
    at_boxes, wrong = [one.wrong for one in boxes if one.wrong], list(unread)
    if st.button("Size a bar for it", type="primary", key="start"):
        if not (refused or wrong or at_boxes):
            start = Start(
                chosen,
                wheels,
                items=tuple(_weighed(item, mass, units.mass) for item, mass in weights),
                lift=numbers.in_si(lift.value, units.length),
                bars=bars,
                tyre_rated_load=numbers.in_si(rated.value, units.mass),
                roof_height=numbers.in_si(roof.value, units.length),
                **read,
            )
            wrong = lacking(start) or _started(start)
        frame.not_started((*refused, *wrong), at_boxes)
    st.caption(
        "Weigh it as it stands, with all of this on; from two axle weights give each side half. "
        "What is not known yet, and every number left as it is here, is what the class usually "
        "has, marked as assumed and counted."
    )


def _started(start: Start) -> tuple[str, ...]:
    """Put the vehicle in and show it; or say what of it cannot be."""
    text, name = scenario_text(start), "my-vehicle.toml"
    try:
        loads(text, name)
    except ScenarioError as wrong:
        return tuple(line.removeprefix(f"{name}: ") for line in wrong.errors)
    frame.put(text, name)
    st.session_state[STARTED] = True
    st.rerun()


def _on_it() -> list[str]:
    """What is on it now, by name: people, luggage, usual things, and what the reader types."""
    return st.multiselect(
        "What is on it now?",
        [item.name for item in ITEMS],
        key="start_on",
        bind="query-params",
        accept_new_options=True,
        placeholder="Choose, or type what it is",
        help="People, luggage and usual things, or type a name of your own. Each then has a box "
        "for its weight.",
    )


def _weigh_items(on: Sequence[str], unit: str) -> list[tuple[Item, Typed]]:
    """Each thing that is on it with the weight that was typed; left empty, the usual one."""
    usual, found = {item.name: item for item in ITEMS}, []
    row, below = st.container(horizontal=True, vertical_alignment="bottom"), st.container()
    with row:
        for name in on:
            item = usual.get(name)
            mass = numbers.ask(
                f"{name}, {'weighed, ' if item is None else ''}{unit}",
                Allowed(0.0, float(round(to_unit(HEAVIEST, unit))), unit, needed=item is None),
                key=f"start_item:{name}:{unit}",
                placeholder=None if item is None else f"usual {figure(item.mass, unit)}",
                tell=below,
                width=IN_A_FOLD,
            )
            if item is None:
                words = [where.value for where in Where]
                where = st.selectbox(
                    f"{plain(name)}: where", words, key=f"start_where:{name}", width=IN_A_FOLD
                )
                item = Item(name, 0.0, Where(where), USUAL_MIDDLE)
            found.append((item, mass))
    if on:
        st.caption(TYPED_IS_WEIGHED)
    return found


def _weighed(item: Item, typed: Typed, unit: str) -> Item:
    """The thing with the weight that was typed; as it is where nothing was."""
    if typed.value is None:
        return item
    return replace(item, mass=numbers.in_si(typed.value, unit), weighed=True)


def _masses(chosen: VehicleClass, unit: str) -> list[Typed]:
    """The four corner masses, at first what the class usually has."""
    body = BODIES[chosen]
    usual = (body.front_axle_mass, body.front_axle_mass, body.rear_axle_mass, body.rear_axle_mass)
    found = []
    for n, column in enumerate((*st.columns(2), *st.columns(2))):
        with column:
            found.append(_mass(WHEELS[n], usual[n] / 2.0, chosen.value, unit=unit))
    return found


def _lift(unit: str) -> Typed:
    """The suspension lift that it already has, in the reader's unit."""
    return numbers.ask(
        f"Lift that it has, {unit}",
        Allowed(0.0, round(to_unit(HIGHEST_LIFT, unit), 1), unit, needed=True),
        key=f"start_lift_{unit}",
        value="0",
        linked=True,
    )


def _roof(unit: str) -> Typed:
    """The bare roof above ground, in the reader's unit, where it was taped."""
    least, most = (float(round(to_unit(end, unit))) for end in ROOFS)
    return numbers.ask(
        f"Bare roof above ground, by tape, {unit}",
        Allowed(least, most, unit),
        key=f"start_roof_{unit}",
        linked=True,
        help_=ROOF_HELP,
    )


def _bars() -> Bars:
    """Which anti-roll bars are on it now."""
    words = [one.value for one in Bars]
    chosen = st.selectbox(
        "Anti-roll bars on it now",
        words,
        index=words.index(Bars.UNKNOWN.value),
        key="start_bars",
        bind="query-params",
        help="Their stiffness is then one that is usual for the class, and where you don't know, "
        "so is whether they are there at all; either is marked as assumed.",
    )
    return Bars(chosen)


def _tyre_rating(unit: str) -> Typed:
    """What one tyre is rated for, in the reader's unit, where it is known."""
    least, most = (float(round(to_unit(end, unit))) for end in TYRE_RATINGS)
    return numbers.ask(
        f"Load that one tyre is rated for, {unit} (if known)",
        Allowed(least, most, unit),
        key=f"start_tyre_{unit}",
        linked=True,
        help_="From the load index on the sidewall; change of understeer needs it.",
    )


def _mass(corner: str, usual: float, chosen: str, *, unit: str) -> Typed:
    """One corner mass, at first what the class usually has."""
    return numbers.ask(
        f"{corner.capitalize()}, {unit}",
        Allowed(0.0, float(round(to_unit(HEAVIEST_CORNER, unit))), unit, needed=True),
        key=f"start_{corner.replace(' ', '_')}_{chosen.replace(' ', '_')}_{unit}",
        value=numbers.shown(to_unit(usual, unit), 0),
        linked=True,
    )


def less_than_now() -> None:
    """How much less lean is wanted, where there is nothing to bring back."""
    row, below = st.container(horizontal=True, vertical_alignment="bottom"), st.container()
    with row:
        less = numbers.ask(
            "How much less is wanted, % of the lean now",
            Allowed(100.0 * LEAST_LESS, 100.0 * MOST_LESS, "%", needed=True),
            key="less",
            value="10",
            help_=f"Less than {100.0 * LEAST_LESS:.0f} % nobody feels.",
            tell=below,
        )
        if st.button("Size a bar for it", key="size-less") and less.value is not None:
            wanted = f"{less.value:g} % less than now"
            frame.put(changed(frame.text(), {TARGET[0]: wanted}))
            st.rerun()


def job_inputs(wrong: Errors) -> None:
    """Target, load case, bar shape, sections and installation: they change the scenario's text.

    What is wrong in the scenario in work is shown beside the fields.
    """
    text = frame.text()
    about = {one.key: one for one in inputs()}
    _row([about[key] for key in TARGET], wrong, more=_choose_case)
    if _at(text, "rear_bar") is None:
        st.info("The scenario has no bar to size yet.")
        st.button("Add a usual shape for the class", key="fit:add", on_click=_add_bar)
        return
    st.markdown("**Shape of the bar**")
    points = _at(text, "rear_bar.centreline") is not None
    if points:
        st.caption("The shape is given as points of its centreline; change them in the file.")
    shape = [about[key] for key in SHAPE if not (points and key in SHAPE[1:2] + SHAPE[3:5])]
    _row(shape, wrong)
    st.markdown("**Steel and sections**")
    if _at(text, "rear_bar.stock") is not None:
        st.caption("Several steels are given, each with its sections; change them in the file.")
    elif not shelf.is_used():
        _row([about[key] for key in STOCK], wrong)
    shelf.show()
    st.markdown("**Installation**")
    _row([about[key] for key in INSTALLATION], wrong)


def _row(found: list[Input], wrong: Errors, *, more: Callable[[], None] | None = None) -> None:
    """Fields side by side, what is wrong with each under it; `more` is drawn after the last."""
    drawn = [*found, more] if more else found
    for first in range(0, len(drawn), _IN_A_ROW):
        part = drawn[first : first + _IN_A_ROW]
        for column, one in zip(st.columns(_IN_A_ROW), part, strict=False):
            with column:
                if one is more:
                    more()
                    continue
                _field(one)
                for line in wrong.at(one.key):
                    st.error(plain(frame.said(line)), icon=":material/error:")


def _field(one: Input) -> None:
    """One input as it stands in the text."""
    here = _at(frame.text(), one.key)
    now = None if isinstance(here, dict) else here
    key = _widget(one.key)
    fields.fill(st.session_state, key, fields.shown(one, now))
    label, shared = fields.label(one, now), {"key": key, "help": fields.how(one, frame.units())}
    shared |= {"on_change": _take, "args": (one,)}
    if one.key == STOCK[0] and isinstance(here, dict):
        st.caption(f"{label}: a steel of your own; change it in the file.")
    elif one.kind is Kind.CHOICE or one.key == STOCK[0]:
        words = list(one.choices) or [steel.name for steel in STEELS]
        if st.session_state[key] not in words:
            words.append(st.session_state[key])
        st.selectbox(label, words, **shared)
    else:
        st.text_input(label, placeholder=fields.allowed(one, frame.units()), **shared)


def _at(text: str, key: str) -> Value | dict | None:
    """What stands at a key: as `value` has it, but read once for all fields of a run."""
    here: Value | dict | None = parsed(text)
    for step in key.split("."):
        here = here.get(step) if isinstance(here, dict) else None
    return here


def _widget(key: str) -> str:
    return f"fit:{key}"


def _take(one: Input) -> None:
    """Put what was typed into the text, right or wrong: nothing typed is lost."""
    frame.put(fields.put_in(frame.text(), one, st.session_state[_widget(one.key)], frame.units()))


def _choose_case() -> None:
    """The load case to size for: those that the load items name."""
    found = _at(frame.text(), "load") or []
    lists = [load.get("cases") for load in found if isinstance(load, dict)]
    named = [case for cases in lists if isinstance(cases, list) for case in cases]
    cases = list(dict.fromkeys(case for case in named if isinstance(case, str)))
    now = _at(frame.text(), _CASE)
    options = [_MOST, *cases] if now in (None, *cases) else [_MOST, *cases, str(now)]
    fields.fill(st.session_state, _widget(_CASE), _MOST if now is None else now)
    st.selectbox(
        "Load case to size for",
        options,
        key=_widget(_CASE),
        format_func=state_words,
        on_change=_take_case,
    )


def _take_case() -> None:
    chosen = st.session_state[_widget(_CASE)]
    frame.put(changed(frame.text(), {_CASE: None if chosen == _MOST else chosen}))


def begin_a_bar() -> None:
    """The next step where no bar can be sized: a usual shape, and the page answers."""
    st.button("Size a usual bar for it", type="primary", key="size-usual", on_click=_add_bar)


def _add_bar() -> None:
    """The shape that a first scenario of this class has."""
    name = _at(frame.text(), "vehicle.class")
    known = [one.value for one in VehicleClass]
    chosen = VehicleClass(name) if name in known else VehicleClass.CREW_CAB_TRUCK
    independent = bare(str(_at(frame.text(), "rear.suspension"))) == "independent"
    usual = parsed(rear_bar_text(chosen, independent=independent))["rear_bar"]
    frame.put(changed(frame.text(), {f"rear_bar.{key}": one for key, one in usual.items()}))
