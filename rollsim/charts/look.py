"""Colours, line styles and sizes of every chart."""

import altair as alt

LIGHT = ("#10151c", "#d5dbe2", "#ffffff")  # text, grid, background
DARK = ("#f2f5f8", "#3a444f", "#14181e")
ON_LIGHT = ("#3d4854", "#a34700", "#0b5cad", "#1b7340", "#7a3e9d", "#9c1f4a")
ON_DARK = ("#c3ccd6", "#ffb066", "#7db8f5", "#7fd6a0", "#d3a6f0", "#ff9ab8")
HEIGHT = 380  # px
DASHES = ([1, 0], [6, 3], [2, 2], [10, 3, 2, 3], [12, 4], [4, 2, 1, 2])


def styled(chart: alt.LayerChart, *, dark: bool) -> alt.LayerChart:
    """In the colours of the page, text large enough to read."""
    text, grid, background = DARK if dark else LIGHT
    return (
        chart.properties(height=HEIGHT, background=background)
        .configure_axis(
            labelColor=text,
            titleColor=text,
            gridColor=grid,
            domainColor=text,
            tickColor=text,
            labelFontSize=13,
            titleFontSize=13,
        )
        .configure_legend(labelColor=text, labelFontSize=13)
        .configure_view(stroke=None)
    )
