"""Exercises of the trainer's page: own numbers for each apprentice, and the test in the bay."""

import math

import streamlit as st

from rollsim.page import downloads, frame, lesson, numbers
from rollsim.page.frame import bullets, plain
from rollsim.page.numbers import Allowed
from rollsim.teaching import bay, class_code, worksheet
from rollsim.teaching.bay import LeanPrediction, LeanTest
from rollsim.units import to_unit
from rollsim.vehicle import Job

CLASS = "class"
_NAME, _WORD, _MADE = "why_name", "why_new_word", "why_made"
PROTECTS = (
    "The passphrase keeps the key, and nothing else: whoever types the numbers of a sheet into "
    "the page Vehicle gets its answers here. So mark the lines of the working, not the last figure."
)
BAY_RULES = (
    "Level floor, wheels chocked, hand brake on, nobody under the vehicle or between it and a "
    "wall.",
    "Tyres at pressure, tank as weighed, suspension rocked once before each reading.",
    "Level across the door sills, not on the roof lining nor in the tray: read before, with the "
    "mass on the left, with the mass on the right.",
)


def show_class(job: Job) -> None:
    """Worksheets for a class code, and the key for its passphrase."""
    st.header("A class: own numbers for each")
    code = st.text_input(
        "Class code", key=CLASS, bind="query-params", on_change=frame.leave_link
    ).strip()
    first, last = st.slider(
        "Apprentices, first and last number", 1, class_code.LARGEST_NUMBER, (1, 12), key="why_class"
    )
    numbers = range(first, last + 1)
    st.caption(
        "One page each. The sheets vary the plain vehicle chosen above, with linear springs; no "
        "number is left as it is. A load and a helper come in with the further questions. The "
        "same code, vehicle and number give the same sheet everywhere."
    )
    if class_code.is_code(code):
        units = frame.units()
        downloads.button(
            "Worksheets to print",
            f"worksheets-{code}.html",
            "text/html",
            lambda: worksheet.worksheets(job, code, numbers, units=units),
            key="why_sheets",
        )
        _show_key(job, code, numbers)
    elif code:
        st.error("That is no class code. It is the name of the class, a dash and eight letters.")
    else:
        st.caption("No code yet? The trainer makes one below: a name and a passphrase are enough.")
    with st.expander("Trainer: make a class code"):
        _make_code()
    _show_made()


def show_one_page(job: Job, state: str) -> None:
    """A worksheet of the vehicle in work as it is loaded."""
    units = frame.units()
    downloads.button(
        "Worksheet of this vehicle, one page",
        "worksheet.html",
        "text/html",
        lambda: worksheet.one_page(job, state, units=units),
        key="why_one_page",
    )


def _show_key(job: Job, code: str, numbers: range) -> None:
    with st.expander("Trainer: the key"):
        word = st.text_input("Passphrase of this class", type="password", key="why_word")
        if not word:
            return
        if not class_code.opens(code, word):
            st.error("This is not the passphrase that the class code was made with.")
            return
        units = frame.units()
        downloads.button(
            "The key to these sheets",
            f"key-{code}.html",
            "text/html",
            lambda: worksheet.key(job, code, numbers, passphrase=word, units=units),
            key="why_key",
        )


def _make_code() -> None:
    st.caption(PROTECTS)
    with st.form("why_make", border=False):
        st.text_input("Name of the class", key=_NAME)
        st.text_input("Passphrase for the key", type="password", key=_WORD)
        st.form_submit_button("Make the code", on_click=_made)


def _show_made() -> None:
    """Outside the fold, which closes when the code brings buttons above it."""
    code, wrong = st.session_state.pop(_MADE, ("", ""))
    if wrong:
        st.error(plain(wrong))
    if code:
        st.code(code, language=None)
        st.caption(
            "It stands in the field above and in the address of this page now. Give either to the "
            "class, keep the passphrase to yourself: no link and no sheet holds it, and nobody can "
            "look it up again."
        )


def _made() -> None:
    """A new code goes into the field that makes the sheets."""
    try:
        code = class_code.issue(st.session_state[_NAME], st.session_state[_WORD])
    except ValueError as error:
        st.session_state[_MADE] = ("", str(error))
        return
    st.session_state[_MADE], st.session_state[CLASS] = (code, ""), code
    frame.leave_link()


def show_bay(job: Job, state: str, *, key: str) -> None:
    """The lean test: predict, measure, compare."""
    st.header("In the bay: lean test")
    st.markdown(bullets(BAY_RULES))
    test = _choose_test(job)
    guess = numbers.ask(
        "Your prediction first: lean towards the mass, deg",
        Allowed(least=0.0, unit="deg"),
        key=f"why_guess_{key}",
    )
    if guess.value is None or test is None:
        return
    found = bay.predict(job, state, test)
    if not math.isfinite(found.lean):
        st.error("With this mass the vehicle does not stand upright: choose a smaller one.")
        return
    if found.wheel_lifts:
        st.error(
            "With this mass there a wheel leaves the ground. Do not try it in the bay: choose a "
            "far smaller mass or offset.",
            icon=":material/block:",
        )
        return
    st.info(f"**Full model:** {plain(lesson.prediction_words(found, frame.units()))}")
    _compare(found, key)


def _choose_test(job: Job) -> LeanTest | None:
    """A mass and where it goes, in the reader's units; None where one cannot be used."""
    units, v = frame.units(), job.vehicle
    metric = units.mass == "kg"
    left, right = st.columns(2)

    def asked(place, label: str, value: float, *, unit: str, step: float) -> float | None:
        name = label.split(",", maxsplit=1)[0].replace(" ", "_").lower()
        typed = numbers.ask(
            f"{label}, {unit}",
            Allowed(least=step, unit=unit, needed=True),
            key=f"why_{name}_{unit}",
            value=numbers.shown(round(to_unit(value, unit) / step) * step, 1),
            place=place,
        )
        return numbers.in_si(typed.value, unit)

    length = {"unit": units.length, "step": 10.0 if metric else 0.5}
    weight = {"unit": units.mass, "step": 5.0 if metric else 10.0}
    typed = {
        "mass": asked(left, "Known mass", 160.0, **weight),
        "offset": asked(right, "Off the centreline", 0.45 * v.rear.track, **length),
        "height": asked(left, "Its height", 0.9, **length),
        "behind_front_axle": asked(right, "Behind the front axle", 0.5 * v.wheelbase, **length),
    }
    return None if None in typed.values() else LeanTest(**typed)


def _compare(found: LeanPrediction, key: str) -> None:
    left, right = st.columns(2)
    measured = [
        numbers.ask(
            f"Measured, mass on the {side}, deg",
            Allowed(unit="deg"),
            key=f"why_{side}_{key}",
            place=place,
        ).value
        for place, side in ((left, "left"), (right, "right"))
    ]
    if None in measured:
        st.caption("Type both readings, each as the change towards the mass.")
        return
    try:
        result = bay.compare(found, *(math.radians(m) for m in measured))
    except ValueError as error:
        st.error(plain(str(error)))
        return
    st.info(f"**Measured:** {plain(lesson.result_words(result, frame.units()))}")
    if causes := bay.likely_causes(result):
        st.markdown(f"**Where to look**\n{bullets(causes)}")
