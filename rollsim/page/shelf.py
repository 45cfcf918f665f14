"""The shop's shelf on the page: opened once, then offered for every vehicle of this session."""

import streamlit as st

from rollsim.page import frame
from rollsim.page.frame import plain, said_bullets
from rollsim.scenario.bounds import LARGEST, parsed, too_large
from rollsim.scenario.editing import changed
from rollsim.scenario.shelf import in_lines, read_shelf, with_shelf
from rollsim.scenario.starting import rear_bar_text
from rollsim.vehicle import VehicleClass

_OPENED, _TAKEN = "shelf:opened", "shelf:taken"
_COLUMNS = (
    "A row each: part, section, material, and where known centre_length_mm, arm_holes_mm, "
    "arm_splay_deg, bend_radius_mm, link_rate_kN_per_mm, link_length_mm, mass_kg, price, currency, "
    "weeks. Inches and pounds do as well: centre_length_in."
)


def opened() -> str:
    """The shelf that this session has, as a scenario holds it; empty where none was opened."""
    return in_lines(st.session_state[_OPENED][1]) if _OPENED in st.session_state else ""


def is_used() -> bool:
    """Whether the bars of the scenario in work are those of a shelf."""
    return "shelf" in parsed(frame.text()).get("rear_bar", {})


def show() -> None:
    """Open a shelf, size from it, or leave it."""
    if is_used():
        st.caption("The bars are those of the shop's shelf; it goes with the link and the sheet.")
        st.button("Size from steel by the metre instead", key="shelf:leave", on_click=_leave)
    elif _OPENED in st.session_state:
        name, _ = st.session_state[_OPENED]
        st.button(f"Size from the shelf {plain(name)}", key="shelf:use", on_click=_use)
    given = st.file_uploader(
        "The shop's own bars, a CSV (the shelf)", type=["csv"], key="shelf:file", help=_COLUMNS
    )
    if given is None:
        return
    wrong = _refused(given.getvalue(), given.name)
    if wrong:
        st.error(f"{plain(given.name)} was not taken: mend these rows.\n{said_bullets(wrong)}")
    elif st.session_state.get(_TAKEN) != given.file_id:
        st.session_state[_TAKEN] = given.file_id
        st.session_state[_OPENED] = (given.name, given.getvalue().decode("utf-8-sig"))
        _use()
        st.rerun()


def _refused(data: bytes, name: str) -> tuple[str, ...]:
    """Every bad row of a shelf; empty where it can be used."""
    if len(data) > LARGEST:
        return (f"it {too_large(LARGEST)}; keep the bars that are in question",)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return ("it is not UTF-8 text; save it as CSV in UTF-8",)
    return read_shelf({name: text}, name).wrong


def _use() -> None:
    _, text = st.session_state[_OPENED]
    frame.put(with_shelf(frame.text(), text))


def _leave() -> None:
    """A usual steel and its sections in place of the shelf, and a usual shape if there is none."""
    usual = parsed(rear_bar_text(VehicleClass.CREW_CAB_TRUCK, independent=False))["rear_bar"]
    now, wanted = parsed(frame.text())["rear_bar"], ["material", "sections"]
    if not {"centreline", "arm_holes"} & now.keys():
        wanted += ["centre_length", "arm_holes", "arm_splay", "bend_radius"]
    stock = {f"rear_bar.{name}": usual[name] for name in wanted if name not in now}
    frame.put(changed(frame.text(), {"rear_bar.shelf": None, **stock}))
