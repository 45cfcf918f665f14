"""Size and inks of every chart that is hovered; its colours are `rollsim.plots.look`."""

import altair as alt
from altair.utils import schemapi

from rollsim.plots.look import DARK, LIGHT
from rollsim.reader_units import decimals_of

# The charts are ours and tests hold each of them to the schema: a page need not, at half its cost.
schemapi.disable_debug_mode()
alt.theme.enable("none")  # all that a chart looks like stands here
alt.data_transformers.disable_max_rows()  # a long drive has more stretches than it lets through

HEIGHT = 380  # px


def as_told(unit: str) -> str:
    """Format of a tooltip: the decimals that tables have for this unit.

    Examples
    --------
    >>> as_told("N/mm")
    '.1f'
    """
    return f".{decimals_of(unit)}f"


def line_legend() -> alt.Legend:
    """Names of lines under a chart, one a row, each with a piece of its line."""
    return alt.Legend(
        title=None,
        orient="bottom",
        columns=1,
        labelLimit=0,
        symbolSize=400,
        symbolType="stroke",
    )


def written(chart: alt.Chart, *encoded: object, dark: bool, **mark: object) -> list[alt.Chart]:
    """Words that stay legible over lines: under them the same in the colour of the ground."""
    ink, _, ground = DARK if dark else LIGHT
    halo = chart.mark_text(
        **mark, color=ground, stroke=ground, strokeWidth=4, strokeJoin="round", aria=False
    )
    return [halo.encode(*encoded), chart.mark_text(**mark, color=ink).encode(*encoded)]


def styled(chart: alt.LayerChart, *, dark: bool, height: int = HEIGHT) -> alt.LayerChart:
    """In the colours of the page, text large enough to read; the chart itself, just built."""
    text, grid, chart.background = DARK if dark else LIGHT
    chart.height, chart.padding = height, {"top": 10, "left": 5, "right": 5, "bottom": 5}
    inks = dict.fromkeys(("labelColor", "titleColor", "domainColor", "tickColor"), text)
    chart.config = alt.Config(
        axis=alt.AxisConfig(**inks, gridColor=grid, labelFontSize=13, titleFontSize=13),
        legend=alt.LegendConfig(labelColor=text, labelFontSize=13),
        view=alt.ViewConfig(stroke=None),
    )
    return chart
