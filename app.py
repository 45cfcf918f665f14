"""The page: `streamlit run app.py`. A frame only: set-up and navigation."""

import gc

import streamlit as st

from rollsim.page import frame


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
        st.Page("rollsim/page/fit.py", title="Fit a bar", default=True),
        st.Page("rollsim/page/carry.py", title="Carry a load"),
        st.Page("rollsim/page/springs_weights.py", title="Springs and weights"),
        st.Page("rollsim/page/see_why.py", title="See why"),
        st.Page("rollsim/page/vehicle.py", title="Vehicle"),
        st.Page("rollsim/page/method.py", title="Method and limits"),
    ],
    position="top",
)
frame.start()
page.run()
_settle_memory()
