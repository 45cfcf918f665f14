"""The tests in the bay as forms: readings in the sheet's order, the result, and into the scenario.

Each form is a fragment: typing a reading runs it alone.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from functools import partial

import streamlit as st

from rollsim import mass
from rollsim.correction_wording import BELOW_ZERO, calibration_notes, replaced_words
from rollsim.measured import Replaced, Unknown, twist_vehicle
from rollsim.page import bay_fields, bay_lift, bay_sheet, downloads, fields, frame
from rollsim.page import bay_readings as bay
from rollsim.page import bay_results as results
from rollsim.page import bay_roll_centre as by_tape
from rollsim.page.bay_figures import Changes, Found, Readings, attempted, table
from rollsim.page.bay_readings import BayTest
from rollsim.page.bay_roll_centre import LINKAGES
from rollsim.page.frame import plain, said_bullets, show_table
from rollsim.reader_units import figure
from rollsim.scenario import Scenario, ScenarioError, loads
from rollsim.scenario.bounds import parsed
from rollsim.scenario.correcting import correction, frame_as_tested, replaced_by
from rollsim.scenario.editing import Value, added, changed
from rollsim.sentences import sentence
from rollsim.tell.names import state_words
from rollsim.tell.of_tests import (
    TRUST,
    Measured,
    bar_notes,
    bounce_notes,
    frame_notes,
    of_axle_lift,
    of_bar,
    of_bounce,
    of_calibration,
    of_frame_twist,
    of_item,
    of_lean_test,
    of_load_test,
    of_roll_centre,
    off_the_line,
    stop_words,
)
from rollsim.vehicle import Place, Suspension

_SAID, _REFUSED = "bay:said", "bay:refused"
_ALL = "every test but the roll centre, wheels, dampers and leaves"
_NOTHING = "nothing: the result alone"


def show(scenario: Scenario) -> None:
    """The sheet, then a form for each test."""
    st.header("Tests in the bay")
    for line in st.session_state.pop(_SAID, ()):
        st.success(plain(line), icon=":material/check:")
    for line in st.session_state.pop(_REFUSED, ()):
        st.error(plain(frame.said(line)), icon=":material/error:")
    st.caption(
        "Print the sheet, fill it in, and type it back: every field below has its blank there, in "
        "the same order and unit. A result goes into the scenario only on its button."
    )
    _show_sheet(scenario)
    forms = (_corners, _axle_lift, _load, _lean, _bounce, _twist, _bar, _item, _roll_centre, _lift)
    names = [test.title.partition(":")[0] for test in bay.TESTS]
    tabs = st.tabs([*names, "Roll centre", "Wheels, dampers, leaves"])
    for tab, form in zip(tabs, forms, strict=True):
        with tab:
            form(scenario)


@st.fragment
def _show_sheet(scenario: Scenario) -> None:
    """Which pages, and the file."""
    kindred = (*(one.test for one in LINKAGES), *bay_lift.LIFT_TESTS)
    single = {test.title: (test,) for test in (*bay.TESTS, *kindred)}
    every = {_ALL: bay.TESTS, **single}
    units = frame.units()
    pages = every[st.selectbox("Pages of the bay sheet, one a test", list(every), key="bay:pages")]
    downloads.button(
        "Bay sheet to print",
        "bay-sheet.html",
        "text/html",
        lambda: bay_sheet.sheet(scenario.job, units, title=scenario.title, tests=pages),
        key="bay:sheet",
    )


def _ask(test: BayTest) -> tuple[Readings, dict[str, str]]:
    """Choices and readings in the sheet's order, in SI, as `bay_fields.ask` has them."""
    st.markdown(f"**{plain(test.title)}.** {plain(frame.said(test.gives))}")
    st.warning(said_bullets(test.safety), icon=":material/front_hand:")
    with st.expander("How it is done"):
        st.markdown(said_bullets(test.steps))
    return bay_fields.ask(test)


def _still(test: BayTest, readings: Readings) -> bool:
    """Whether readings that the result needs are still missing, or wrong, and which."""
    missing = [one.label for one in test.readings if one.needed and readings[one.key] is None]
    if missing:
        st.caption(f"Still to type: {plain('; '.join(missing))}.")
    wrong = any(one is not None and math.isnan(one) for one in readings.values())
    return bool(missing) or wrong


def _worked_out(work: Callable[[], Found]) -> Found | None:
    """A result, or why there is none."""
    found, why = attempted(work)
    if found is None:
        st.error(f"No result: {plain(frame.said(why))}.", icon=":material/error:")
    return found


def _show_figures(figures: Iterable[Measured], notes: Iterable[str] = ()) -> None:
    """Those that the readings tell."""
    told = [one for one in figures if math.isfinite(one.value.value)]
    cells = table(told, frame.units())
    show_table(cells, hide_index=True, alt="Measured figures with their errors")
    st.caption(plain(" ".join(map(sentence, (*notes, TRUST)))))


@st.fragment
def _corners(scenario: Scenario) -> None:
    test, units = bay.CORNER_WEIGHTS, frame.units()
    readings, _ = _ask(test)
    if _still(test, readings):
        return
    found = _worked_out(lambda: results.corners(readings, scenario.job))
    if found is None:
        return
    show_table(results.corners_table(found, units), hide_index=True, alt="What the scales tell")
    st.caption(
        "Cross weight is half on a straight vehicle that stands level; a twisted frame, a weak "
        "spring or a scale out of level moves it. CG height and ride heights of the scenario count "
        "from the same weighing."
    )
    _offer(test.key, results.corners_changes(readings, units, text=frame.text()))


@st.fragment
def _axle_lift(scenario: Scenario) -> None:
    test, units = bay.AXLE_LIFT, frame.units()
    readings, chosen = _ask(test)
    least = figure(results.least_lift(scenario.job.vehicle.wheelbase), units.length)
    st.caption(f"On this wheelbase 15 deg are {least} {units.length} of lift.")
    if _still(test, readings):
        return
    found = _worked_out(lambda: results.axle_lift(readings, chosen["end"]))
    if found is None:
        return
    notes = results.axle_lift_notes(found, units)
    if found.disagree:
        st.warning(plain(f"{notes[0]}."), icon=":material/warning:")
    _show_figures(of_axle_lift(found), notes)
    st.caption(
        "It is the height of the vehicle as it stood in the test: put it in where that is as it "
        "stood on the scales for this scenario."
    )
    replaced = replaced_by(frame.text(), Unknown.CG_HEIGHT, a_test_of_inputs=True)
    _offer(test.key, results.axle_lift_changes(found, units, text=frame.text()), replaced)


@st.fragment
def _load(scenario: Scenario) -> None:
    test, units = bay.LOAD_TEST, frame.units()
    readings, chosen = _ask(test)
    if _still(test, readings):
        return
    put_on = chosen["weighed"] == bay.PUT_ON
    found = _worked_out(lambda: results.load(readings, scenario.job, chosen["axle"], put_on=put_on))
    if found is None:
        return
    _show_figures(of_load_test(found), [off_the_line(found.largest_residual, units.length)])
    _offer(
        test.key,
        results.load_changes(found, chosen["axle"], units, text=frame.text(), job=scenario.job),
    )


@st.fragment
def _lean(scenario: Scenario) -> None:
    test, units = bay.LEAN_TEST, frame.units()
    readings, chosen = _ask(test)
    if _still(test, readings):
        return
    by_arches = chosen["read_by"] == bay.ARCHES
    found = _worked_out(lambda: results.lean(readings, by_arches=by_arches))
    if found is None:
        return
    _show_figures(of_lean_test(found), [off_the_line(found.largest_residual, "deg")])
    unknowns = {unknown.value: unknown for unknown in Unknown}
    states = {state_words(s.name): s.name for s in mass.states(scenario.job)}
    with st.container(horizontal=True):
        wrong = st.selectbox(
            "What it puts right in the scenario", [_NOTHING, *unknowns], key="bay:unknown"
        )
        stood = st.selectbox("As it stood", list(states), index=1, key="bay:stood")
    if wrong == _NOTHING:
        return
    if readings["behind"] is None or readings["height"] is None:
        st.caption(
            "The moved mass is taken to be in that state already. Where it came on top, type its "
            "place behind the front axle and its height."
        )
    put_right = partial(results.calibrated, scenario, found, readings, unknown=unknowns[wrong])
    fitted = _worked_out(lambda: put_right(state=states[stood]))
    if fitted is None:
        return
    notes = (one for one in calibration_notes(fitted) if one != BELOW_ZERO)
    _show_figures(of_calibration(fitted), notes)
    if fitted.below_zero:
        st.warning(sentence(BELOW_ZERO), icon=":material/warning:")
    replaced = replaced_by(frame.text(), fitted.unknown)
    _offer(test.key, correction(frame.text(), scenario, fitted, units), replaced)


@st.fragment
def _bounce(_: Scenario) -> None:
    test = bay.BOUNCE
    readings, _chosen = _ask(test)
    if _still(test, readings):
        return
    found = _worked_out(lambda: results.bounced(readings))
    if found is None:
        return
    _show_figures(of_bounce(found), bounce_notes(found))
    _offer(test.key, results.bounced_changes(found))


@st.fragment
def _twist(scenario: Scenario) -> None:
    test, units, job = bay.FRAME_TWIST, frame.units(), scenario.job
    readings, chosen = _ask(test)
    states = {state_words(s.name): s.name for s in mass.states(job)}
    stood = states[st.selectbox("As it stood", list(states), index=1, key="bay:twist:stood")]
    stops = stop_words(twist_vehicle(job, mass.named(job, stood)), units)
    st.caption(plain(sentence(stops)))
    if _still(test, readings):
        return
    found = _worked_out(lambda: results.twisted(readings, job, chosen["blocks"], state=stood))
    if found is None:
        return
    if found.touched:
        st.warning(plain(sentence(frame_notes(found, units)[0])), icon=":material/warning:")
    _show_figures(of_frame_twist(found), frame_notes(found, units))
    _offer(test.key, frame_as_tested(found, units))


@st.fragment
def _bar(scenario: Scenario) -> None:
    test, units = bay.BAR, frame.units()
    readings, chosen = _ask(test)
    if _still(test, readings):
        return
    now = parsed(frame.text()).get(chosen["axle"], {}).get("bar", {})
    keys = results.bar_keys(readings, chosen, units, now)
    axle = getattr(scenario.job.vehicle, chosen["axle"])
    notes = [*bar_notes(units), *_link_travel(keys, now, axle.suspension)]
    found = _worked_out(lambda: results.bar(keys, axle))
    if found is None:
        return
    _show_figures(of_bar(*found, f"per axle, {chosen['axle']}"), notes)
    _offer(test.key, results.bar_changes(keys, chosen["axle"], text=frame.text()))


def _link_travel(keys: dict[str, Value], now: Mapping, suspension: Suspension) -> list[str]:
    """Which link travel per wheel travel counts; what the file has goes into the keys."""
    name, words = "installation_ratio", "link travel per wheel travel"
    if suspension is not Suspension.INDEPENDENT:
        return []
    if name in keys:
        return [f"{words}: {keys[name]:g}, as typed"]
    if name not in now:
        return [f"no roll stiffness yet: type the {words}, which independent suspension needs"]
    keys[name] = now[name]
    return [f"{words}: {now[name]}, as the scenario has it; measure it and type it above"]


@st.fragment
def _item(scenario: Scenario) -> None:
    test, units = bay.BEFORE_AFTER, frame.units()
    readings, _ = _ask(test)
    with st.container(horizontal=True):
        name = st.text_input("What it is", value="weighed item", key="bay:item:name")
        place = st.selectbox("Where it is", [p.value for p in Place], key="bay:item:place")
        on = st.toggle("It was on for the weights of this scenario", key="bay:item:on")
    if _still(test, readings):
        return
    found = _worked_out(lambda: results.item(readings, scenario.job))
    if found is None:
        return
    _show_figures(of_item(found), ["a light item's place is only as good as the scales"])
    keys = results.item_keys(found, readings, units, name=name, place=place, on=on)
    if st.button("Put into the scenario", key=f"bay:put:{test.key}", icon=":material/input:"):
        said = ", ".join(f"{fields.in_words(key)}: {_told(one)}" for key, one in keys.items())
        _put(lambda text: added(text, "load", keys), f"Put in: {said}")


@st.fragment
def _roll_centre(scenario: Scenario) -> None:
    titles = {one.test.title.partition(": ")[2]: one for one in LINKAGES}
    linkage = titles[st.selectbox("What holds the axle sideways", list(titles), key="bay:linkage")]
    test, units = linkage.test, frame.units()
    readings, chosen = _ask(test)
    axle = getattr(scenario.job.vehicle, chosen["axle"])
    if axle.suspension is not linkage.suspension:
        st.error(
            f"In the scenario the {chosen['axle']} axle is of another kind: "
            f"{axle.suspension.value}. Choose its own linkage.",
            icon=":material/error:",
        )
        return
    if _still(test, readings):
        return
    centre = _worked_out(lambda: by_tape.found(linkage, readings))
    if centre is None:
        return
    height, ratio = by_tape.estimates(centre)
    words = linkage.test.title.partition(": ")[2]
    _show_figures(of_roll_centre(height, ratio, axle=chosen["axle"], linkage=words), centre.notes)
    moves = by_tape.sensitivity_table(centre, test, units)
    with st.expander("Which reading counts most"):
        show_table(moves, hide_index=True, alt="What an error of each reading does")
    text, end = frame.text(), chosen["axle"]
    points = bay_lift.linkage_changes(test, readings, end, units, text=text)
    _offer(test.key, {**by_tape.changes(centre, end, units, text=text), **points})


@st.fragment
def _lift(scenario: Scenario) -> None:
    titles = {test.title: test for test in bay_lift.LIFT_TESTS}
    test = titles[st.selectbox("What is measured", list(titles), key="bay:lift")]
    units = frame.units()
    readings, chosen = _ask(test)
    end = chosen["axle"]
    axle = getattr(scenario.job.vehicle, end)
    if bay_lift.unfit(test, axle):
        st.error(
            f"In the scenario the {end} axle is of another kind: {axle.suspension.value}.",
            icon=":material/error:",
        )
        return
    if _still(test, readings):
        return
    if test is bay_lift.DAMPER:
        changes = bay_lift.damper_changes(readings, end, axle, units, text=frame.text())
    elif test is bay_lift.LEAVES:
        changes = bay_lift.leaf_changes(readings, chosen, units, text=frame.text())
    else:
        changes = bay_lift.alignment_changes(readings, chosen, units, text=frame.text())
    st.caption("Once put in, Wheels, Dampers and Leaf packs above say what it comes to.")
    _offer(test.key, changes)


def _offer(key: str, changes: Changes, replaced: Iterable[Replaced] = ()) -> None:
    """What would change, what goes out of force by it, and the button that does it."""
    words = "; ".join(
        f"{fields.whole_words(name)}: {_told(new)}"
        for name, new in changes.items()
        if new is not None
    )
    gone = ", ".join(fields.whole_words(name) for name, new in changes.items() if new is None)
    st.markdown(plain(f"For the scenario: {words}" + (f"; without {gone}" if gone else "")))
    if why := replaced_words(replaced):
        st.markdown(plain(" ".join(why)))
    if st.button("Put into the scenario", key=f"bay:put:{key}", icon=":material/input:"):
        _put(lambda text: changed(text, changes), f"Put in: {words}")


def _told(new: Value) -> str:
    """A value as it goes into the scenario."""
    if new is True:
        return "yes"
    return ", ".join(map(str, new)) if isinstance(new, list | tuple) else str(new)


def _put(change: Callable[[str], str], said: str) -> None:
    """Work on the changed text where it can be read; else say why and leave it as it was."""
    try:
        new = change(frame.text())
        loads(new, frame.name(), frame.folder())
    except ScenarioError as wrong:
        st.session_state[_REFUSED] = ("Not put in:", *wrong.errors)
    except ValueError as error:
        st.session_state[_REFUSED] = (f"Not put in: {error}",)
    else:
        frame.put(new)
        st.session_state[_SAID] = (said,)
    st.rerun()
