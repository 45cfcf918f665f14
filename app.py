"""The page: `streamlit run app.py`. A frame only: set-up and navigation."""

import gc
from pathlib import Path

import streamlit as st

from rollsim.page import frame

PAGES = Path(frame.__file__).parent  # in a checkout and in an installed wheel


@st.cache_resource
def _settle_memory() -> None:
    """Keep the libraries out of every later garbage collection, which would slow each rerun."""
    gc.collect()
    gc.freeze()


st.set_page_config(page_title="rollsim: lean and the rear bar", layout="wide")
# The frame leaves 96 px free above the content; the row of pages needs 60 of them.
st.html('<style>[data-testid="stMainBlockContainer"] { padding-top: 4rem; }</style>')
page = st.navigation(
    [
        st.Page(PAGES / "fit.py", title="Fit a bar", default=True),
        st.Page(PAGES / "carry.py", title="Carry a load"),
        st.Page(PAGES / "springs_weights.py", title="Springs and weights"),
        st.Page(PAGES / "see_why.py", title="See why"),
        st.Page(PAGES / "vehicle.py", title="Vehicle"),
        st.Page(PAGES / "road_test.py", title="Road test"),
        st.Page(PAGES / "method.py", title="Method and limits"),
    ],
    position="top",
)
frame.start()
page.run()
_settle_memory()
