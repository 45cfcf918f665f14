"""A chart on a page, in the colours of its theme; one is built once for what it shows.

A page runs again with every input, and most charts then show what they did: to build one costs as
much as half a sizing.
"""

import json
import pickle
from collections.abc import Callable
from functools import lru_cache, partial

import streamlit as st

Chart = partial
"""A builder of `rollsim.charts` with what it is to show; it takes `dark` besides."""


def show_chart(chart: Chart, *, alt: str, **asked) -> None:
    """The chart as wide as its place; `alt` tells in words what it shows.

    `asked` goes to streamlit: a key, what a click does.
    """
    dark = st.context.theme.type == "dark"
    # Pickled, lists and tables are a key; as JSON, every session gets a chart of its own.
    built = _built(chart.func, pickle.dumps((chart.args, chart.keywords)), dark=dark)
    st.vega_lite_chart(json.loads(built), theme=None, alt=alt, **asked)


@lru_cache(maxsize=64)
def _built(builder: Callable, shown: bytes, *, dark: bool) -> str:
    args, named = pickle.loads(shown)
    return json.dumps(builder(*args, **named, dark=dark).to_dict(validate=False))
