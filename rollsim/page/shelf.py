"""The shop's shelf on the page: opened once, then offered for every vehicle of this session."""

from dataclasses import dataclass

import streamlit as st

from rollsim.page import frame
from rollsim.page.frame import plain, said_bullets
from rollsim.scenario.bounds import LARGEST, parsed, too_large
from rollsim.scenario.editing import changed
from rollsim.scenario.shelf import Shelf, in_lines, read_shelf, with_shelf
from rollsim.scenario.starting import rear_bar_text
from rollsim.vehicle import VehicleClass

_OPENED, _TAKEN = "shelf:opened", "shelf:taken"
_COLUMNS = (
    "A row each: part, section, material, and where known centre_length_mm, arm_holes_mm, "
    "arm_splay_deg, bend_radius_mm, link_rate_kN_per_mm, link_length_mm, mass_kg, price, currency, "
    "weeks. Inches and pounds do as well: centre_length_in. Coils and leaf packs have a kind and "
    "an axle: docs/scenario-format.md."
)


def opened() -> str:
    """The bars that this session has, as a scenario holds them; empty where none were opened."""
    return in_lines(_opened().text) if _opened().has_bars else ""


def is_used() -> bool:
    """Whether the bars of the scenario in work are those of a shelf."""
    return "shelf" in parsed(frame.text()).get("rear_bar", {})


def show() -> None:
    """Open a shelf, size from it, or leave it."""
    if is_used():
        st.caption("The bars are those of the shop's shelf; it goes with the link and the sheet.")
        st.button("Size from steel by the metre instead", key="shelf:leave", on_click=_leave)
    elif _opened().has_bars:
        st.button(f"Size from the shelf {plain(_opened().name)}", key="shelf:use", on_click=_use)
    given = st.file_uploader(
        "The shop's own bars and springs, a CSV (the shelf)",
        type=["csv"],
        key="shelf:file",
        help=_COLUMNS,
    )
    if given is None:
        return
    held = _read(given.getvalue(), given.name)
    if wrong := held.wrong:
        st.error(f"{plain(given.name)} was not taken: mend these rows.\n{said_bullets(wrong)}")
    elif st.session_state.get(_TAKEN) != given.file_id:
        st.session_state[_TAKEN] = given.file_id
        text = given.getvalue().decode("utf-8-sig")
        st.session_state[_OPENED] = _Opened(given.name, text, bool(held.bars), bool(held.springs))
        if held.bars:
            _use()
            st.rerun()
    if held.springs and not held.wrong:
        st.caption("The springs of the shelf are offered on Springs and weights, Spring options.")


def show_springs() -> None:
    """Set the springs of the shelf side by side, or leave them."""
    if "spring_shelf" in parsed(frame.text()):
        st.button("Leave the springs of the shelf", key="shelf:no_springs", on_click=_leave_springs)
    elif _opened().has_springs:
        words = f"Set the springs of the shelf {plain(_opened().name)} side by side"
        st.button(words, key="shelf:springs", on_click=_use_springs)


@dataclass(frozen=True, slots=True)
class _Opened:
    """The shelf of this session."""

    name: str = ""
    text: str = ""
    has_bars: bool = False
    has_springs: bool = False


def _opened() -> _Opened:
    return st.session_state.get(_OPENED, _Opened())


def _read(data: bytes, name: str) -> Shelf:
    """What a file holds, and every bad row of it."""
    if len(data) > LARGEST:
        return Shelf(wrong=(f"it {too_large(LARGEST)}; keep the parts that are in question",))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return Shelf(wrong=("it is not UTF-8 text; save it as CSV in UTF-8",))
    return read_shelf({name: text}, name)


def _use() -> None:
    frame.put(with_shelf(frame.text(), _opened().text))


def _use_springs() -> None:
    frame.put(changed(frame.text(), {"spring_shelf": in_lines(_opened().text)}))


def _leave_springs() -> None:
    frame.put(changed(frame.text(), {"spring_shelf": None}))


def _leave() -> None:
    """A usual steel and its sections in place of the shelf, and a usual shape if there is none."""
    usual = parsed(rear_bar_text(VehicleClass.CREW_CAB_TRUCK, independent=False))["rear_bar"]
    now, wanted = parsed(frame.text())["rear_bar"], ["material", "sections"]
    if not {"centreline", "arm_holes"} & now.keys():
        wanted += ["centre_length", "arm_holes", "arm_splay", "bend_radius"]
    stock = {f"rear_bar.{name}": usual[name] for name in wanted if name not in now}
    frame.put(changed(frame.text(), {"rear_bar.shelf": None, **stock}))
