"""The page: `streamlit run app.py`. A frame only: set-up and navigation."""

import gc

import streamlit as st


@st.cache_resource
def _settle_memory() -> None:
    """Keep the libraries out of every later garbage collection, which would slow each rerun."""
    gc.collect()
    gc.freeze()


st.set_page_config(page_title="rollsim: lean and the rear bar", layout="wide")
# The frame leaves 96 px free above the answer, which a phone does not have.
st.html('<style>[data-testid="stMainBlockContainer"] { padding-top: 2.5rem; }</style>')
page = st.navigation([st.Page("rollsim/page/first.py", title="Lean and bar", default=True)])
page.run()
_settle_memory()
