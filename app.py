"""The page: `streamlit run app.py`. A frame only: set-up and navigation."""

import gc
import sys
from pathlib import Path

import streamlit as st

from rollsim.page import address, frame, looks, turns

PAGES = Path(frame.__file__).parent  # in a checkout and in an installed wheel


@st.cache_resource
def _share_the_interpreter(url_path: str) -> None:
    """Let no session hold up the others, once for each page, which loads libraries of its own.

    The libraries are kept out of every later garbage collection, and the interpreter is handed on
    fifty times as often as usual: an answer hands on many times, and waits each time.
    """
    sys.setswitchinterval(0.0001)  # s
    gc.collect()
    gc.freeze()


st.set_page_config(page_title="rollsim: lean and the rear bar", layout="wide")
page = st.navigation(
    [
        st.Page(PAGES / "fit.py", title="Fit a bar", default=True),
        st.Page(PAGES / "carry.py", title="Carry a load"),
        st.Page(PAGES / "springs_weights.py", title="Springs and weights"),
        st.Page(PAGES / "see_why.py", title="See why"),
        st.Page(PAGES / "vehicle.py", title="Vehicle"),
        st.Page(PAGES / "road_test.py", title="Road test"),
        st.Page(PAGES / "shop.py", title="The shop"),
        st.Page(PAGES / "method.py", title="Method and limits"),
    ],
    position="top",
)
looks.show(page.url_path)
with address.followed(), turns.taken():
    frame.start()
    page.run()
_share_the_interpreter(page.url_path)
