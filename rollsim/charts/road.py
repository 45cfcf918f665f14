"""How does measured lean lie about its line, and about the predicted one?"""

from collections.abc import Sequence

import altair as alt
import pandas as pd

from rollsim.charts.look import HEIGHT, as_told, line_legend, styled
from rollsim.plots.driven import LATERAL_TITLE, LEAN_TITLE, RESIDUAL_TITLE, DrivenBand, DrivenPoint
from rollsim.plots.lean_curves import LeanCurve
from rollsim.plots.look import DASHES, ON_DARK, ON_LIGHT


def road_chart(
    points: Sequence[DrivenPoint],
    lines: Sequence[LeanCurve],
    bands: Sequence[DrivenBand] = (),
    *,
    dark: bool = False,
) -> alt.LayerChart:
    """Lean of the steady stretches with the measured and the predicted lines and their bands.

    Each line is in two parts, left and right bend, under one name. What counts less than half
    stands hollow.

    Examples
    --------
    >>> line = LeanCurve("measured", (0.1, 0.3), (0.6, 1.8), None)
    >>> len(road_chart([DrivenPoint(0.2, 1.2, 0.0, 1.0)], [line]).layer)
    2
    """
    names = list(dict.fromkeys(line.name for line in lines))
    colours = (ON_DARK if dark else ON_LIGHT)[1:]
    legend = line_legend()
    legend.symbolOpacity = 1.0
    rows = [
        (line.name, number, g, lean)
        for number, line in enumerate(lines)
        for g, lean in zip(line.lateral_acceleration_g, line.lean_deg, strict=True)
    ]
    table = pd.DataFrame(rows, columns=["line", "part", "g", "lean"])
    x, y = _road_axes(LEAN_TITLE)
    drawn = (
        alt.Chart(table)
        .mark_line(strokeWidth=2.5)
        .encode(
            x,
            y,
            alt.Color("line:N", legend=legend).scale(domain=names, range=list(colours)),
            alt.StrokeDash("line:N", legend=legend).scale(domain=names, range=list(DASHES)),
            detail="part:N",
        )
    )
    layers = [drawn, _driven(points, "lean", x, y, dark=dark)]
    if bands:
        layers.insert(0, _bands(bands, x, names, colours[: len(names)]))
    return styled(alt.layer(*layers), dark=dark)


def _bands(
    bands: Sequence[DrivenBand], x: alt.X, names: Sequence[str], colours: Sequence[str]
) -> alt.Chart:
    rows = [
        (band.name, number, *point)
        for number, band in enumerate(bands)
        for point in zip(band.lateral_acceleration_g, band.low_deg, band.high_deg, strict=True)
    ]
    table = pd.DataFrame(rows, columns=["line", "part", "g", "low", "high"])
    return (
        alt.Chart(table)
        .mark_area(opacity=0.18)
        .encode(
            x,
            alt.Y("low:Q", title=LEAN_TITLE),
            alt.Y2("high:Q"),
            alt.Fill("line:N", legend=None).scale(domain=list(names), range=list(colours)),
            detail="part:N",
        )
    )


def residual_chart(points: Sequence[DrivenPoint], *, dark: bool = False) -> alt.LayerChart:
    """What the line leaves of each steady stretch: a flat cloud about zero where it fits."""
    x, y = _road_axes(RESIDUAL_TITLE, field="residual")
    zero = alt.Chart(pd.DataFrame({"residual": [0.0]})).mark_rule(strokeDash=[6, 3])
    zero = zero.encode(y="residual:Q", color=alt.value((ON_DARK if dark else ON_LIGHT)[0]))
    cloud = _driven(points, "residual", x, y, dark=dark)
    return styled(alt.layer(zero, cloud), dark=dark, height=HEIGHT // 2)


def _road_axes(title: str, field: str = "lean") -> tuple[alt.X, alt.Y]:
    x = alt.X("g:Q", title=LATERAL_TITLE)
    ticks = [n / 10 for n in range(-6, 7)]
    return x.axis(format=".1f", values=ticks), alt.Y(f"{field}:Q", title=title)


def _driven(
    points: Sequence[DrivenPoint], field: str, x: alt.X, y: alt.Y, *, dark: bool
) -> alt.Chart:
    rows = [
        (one.lateral_acceleration_g, one.lean_deg, one.residual_deg, one.counts) for one in points
    ]
    table = pd.DataFrame(rows, columns=["g", "lean", "residual", "counts"])
    colour = (ON_DARK if dark else ON_LIGHT)[0]
    tips = [
        alt.Tooltip("g:Q", format=as_told("g")),
        alt.Tooltip(f"{field}:Q", format=as_told("deg")),
    ]
    filled = alt.condition("datum.counts", alt.value(1.0), alt.value(0.0))
    marks = alt.Chart(table).mark_point(size=60, color=colour, fill=colour)
    return marks.encode(x, y, fillOpacity=filled, tooltip=tips)
