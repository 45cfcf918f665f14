"""Files to take away: tables as CSV, pictures and charts as SVG and PNG."""

import json
from collections.abc import Callable

import pandas as pd
import streamlit as st

from rollsim.drawing import png, standalone
from rollsim.page.shown_chart import Chart
from rollsim.reader_units import NO_FIGURE
from rollsim.tell.names import safe

_SHARPNESS = 2.0  # pixels of a PNG for each of the drawing
_CHART_WIDTH = 720  # px: on the page a chart takes what there is


def csv(table: pd.DataFrame) -> bytes:
    """A table as CSV that a spreadsheet opens; a named index is a column of its own.

    UTF-8 with a byte order mark, which spreadsheets need for ± and ·.
    """
    whole = table if isinstance(table.index, pd.RangeIndex) else table.reset_index()
    whole = whole.astype(object).where(whole.notna(), NO_FIGURE)
    whole = whole.map(safe)
    whole.columns = [safe(str(name)) for name in whole.columns]
    return whole.to_csv(index=False).encode("utf-8-sig")


def chart_svg(chart: Chart) -> str:
    """A chart in light colours as SVG."""
    import vl_convert  # 40 MB, and most visitors take no chart away

    return vl_convert.vegalite_to_svg(_as_json(chart))


def chart_png(chart: Chart) -> bytes:
    """A chart in light colours as PNG."""
    import vl_convert

    return vl_convert.vegalite_to_png(_as_json(chart), scale=_SHARPNESS)


def _as_json(chart: Chart) -> str:
    return json.dumps(chart().properties(width=_CHART_WIDTH).to_dict())


def button(
    label: str, file_name: str, mime: str, content: Callable[[], str | bytes], *, key: str
) -> None:
    """A button that makes its file when it is pressed, not before."""
    st.download_button(
        label,
        content,
        file_name=file_name,
        mime=mime,
        key=key,
        on_click="ignore",
        icon=":material/download:",
        type="tertiary",
    )


def table_button(table: pd.DataFrame, name: str) -> None:
    """A button for a table as CSV; `name`, in words, also names the file."""
    stem = name.replace(" ", "-")
    words = f"{name.capitalize()}, CSV"
    button(words, f"{stem}.csv", "text/csv", lambda: csv(table), key=f"csv:{stem}")


def chart_buttons(chart: Chart, name: str) -> None:
    """Buttons for a chart in light colours as SVG and PNG; `name` is in words."""
    stem = name.replace(" ", "-")
    words = name.capitalize()
    button(
        f"{words}, SVG", f"{stem}.svg", "image/svg+xml", lambda: chart_svg(chart), key=f"svg:{stem}"
    )
    button(f"{words}, PNG", f"{stem}.png", "image/png", lambda: chart_png(chart), key=f"png:{stem}")


def picture_buttons(picture: str, name: str) -> None:
    """Buttons for a picture of `rollsim.drawing` as SVG and PNG; `name` is in words."""
    stem = name.replace(" ", "-")
    words = name.capitalize()
    button(
        f"{words}, SVG",
        f"{stem}.svg",
        "image/svg+xml",
        lambda: standalone(picture),
        key=f"svg:{stem}",
    )
    button(
        f"{words}, PNG",
        f"{stem}.png",
        "image/png",
        lambda: png(standalone(picture)),
        key=f"png:{stem}",
    )
