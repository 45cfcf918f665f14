"""Method and limits: what is computed, from what, how far it holds, and what it does not say."""

import re
from pathlib import Path

import streamlit as st

from rollsim.cautions import (
    BAR_CAUTIONS,
    FRAME_LEFT_OUT,
    FRAME_TWISTS,
    NOT_COUNTED,
    ROLL_CAUTIONS,
)
from rollsim.page.frame import bullets
from rollsim.shipped import DOCS

COMPUTED = (
    "How far the body leans in a steady bend, and what each wheel then carries, from one balance "
    "of weight, springs, stops, bars, tyres and cornering force. Travel, tyres and the loads' "
    "heights count; no angle is taken as small.",
    "When an inner wheel lifts and when the vehicle tips over, in a bend and on a tilt table.",
    "How stiff a rear bar has to be to bring the lean per g back, which section, steel and hole "
    "that is, what stress it sees, and what the empty vehicle then does.",
)
HOLDS = (
    "For a steady bend on a level, smooth road with nothing in the way.",
    "Given good inputs, lean per g comes within a few per cent. CG height, spring rate and the "
    "spring base of a solid axle count most: measure those first.",
    "A class default is a guess with a band, not a measurement: every page lists them.",
    "Without the wheels' side rate (lateral_rate) the tipping point comes out too high; the notes "
    "then say where it would be with the usual one.",
)
LEFT_OUT = (
    FRAME_TWISTS,
    "Roll steer, and of the way into the bend all but how far a swerve throws the body.",
    "Camber in the bend.",
    "Welds, holes and flattened bends of a bar, shear in it, and fatigue where the steel has no "
    "figure for it.",
    "What the stability control makes of stiffer bars.",
)
ALL_CAUTIONS = (*ROLL_CAUTIONS, *BAR_CAUTIONS)
TOLD_ABOVE = (FRAME_TWISTS, FRAME_LEFT_OUT, NOT_COUNTED)  # what is left out, a line each
CHECKED = (
    "Printed worked examples of roll, load transfer and torsion, to the digits printed.",
    "A bar's rate against a general frame-analysis library, within 0.1 %.",
    "What must hold for any vehicle, on every example: loads sum to the weight, moments balance, "
    "left mirrors right, the textbook form in its limit.",
    "The same equations were held against three-dimensional rigid-body statics of 41 vehicles: "
    "lean per g within 0.15 %.",
)
WHOLE = {
    "The method, equation by equation": "method.md",
    "Words, symbols and signs": "nomenclature.md",
    "Sources, and how far to trust each": "references.md",
}


def show() -> None:
    """Lay out the page."""
    st.title("Method and limits")
    left, right = st.columns(2, gap="large")
    with left:
        st.header("What is computed")
        st.markdown(bullets(COMPUTED))
        st.header("How far it holds")
        st.markdown(bullets(HOLDS))
    with right:
        st.header("What is left out")
        st.markdown(bullets(LEFT_OUT))
        st.header("How it was checked")
        st.markdown(bullets(CHECKED))
    st.header("Cautions")
    st.warning(bullets(dict.fromkeys(c for c in ALL_CAUTIONS if c not in TOLD_ABOVE)))
    for title, name in WHOLE.items():
        with st.expander(title):
            st.markdown(_document(DOCS / name))


def _document(path: Path) -> str:
    """A page of the docs without its title and without links to other files."""
    text = path.read_text(encoding="utf-8").split("\n", 1)[1]
    return re.sub(r"\[([^\]]+)\]\([^)]*\)", r"\1", text)


if __name__ == "__main__":
    show()
