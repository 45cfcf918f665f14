"""How does a spring push with travel?"""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt
import pandas as pd

from rollsim.charts.look import as_told, styled, written
from rollsim.plots.look import DASHES, ON_DARK, ON_LIGHT


@dataclass(frozen=True, slots=True)
class RateCurve:
    """Force of one side of an axle against travel, with the point where it stands.

    All in units of the reader. `down` is body over axle from as weighed, down positive; `at` is
    travel and force where it stands, with the words beside it.
    """

    name: str
    down: tuple[float, ...]
    force: tuple[float, ...]
    rate: tuple[float, ...]
    at: tuple[float, float]
    words: str


def rate_chart(
    curves: Sequence[RateCurve], units: tuple[str, str, str], *, dark: bool = False
) -> alt.LayerChart:
    """Force against travel, a line an axle, the slope being its rate; where it stands is marked.

    `units` are for length, force and rate. Lines differ in style as well as in colour.

    Examples
    --------
    >>> curve = RateCurve("rear", (-10.0, 10.0), (3.6e3, 4.4e3), (40.0, 40.0), (0.0, 4e3), "40")
    >>> len(rate_chart([curve], ("mm", "N", "N/mm")).layer)
    4
    """
    length, force, rate = units
    names = [curve.name for curve in curves]
    palette = (ON_DARK if dark else ON_LIGHT)[1:]
    legend = alt.Legend(title=None, orient="bottom", symbolSize=400, symbolStrokeWidth=2.5)
    colour = alt.Color("axle:N", sort=names, legend=legend).scale(
        domain=names, range=palette[: len(names)]
    )
    dash = alt.StrokeDash("axle:N", sort=names, legend=legend).scale(
        domain=names, range=list(DASHES[: len(names)])
    )
    lines, points = _rate_frames(curves)
    x = alt.X("down:Q", title=f"body down over axle from as weighed, {length}")
    x = x.scale(nice=False).axis(tickCount=8)
    y = alt.Y("force:Q", title=f"force on one side, {force}")
    y = y.scale(domain=_force_range(curves), nice=False).axis(format="~f")
    figures = [
        "axle:N",
        alt.Tooltip("down:Q", format=as_told(length), title=length),
        alt.Tooltip("force:Q", format=as_told(force), title=force),
        alt.Tooltip("rate:Q", format=as_told(rate), title=rate),
    ]
    drawn = alt.Chart(lines).mark_line(strokeWidth=2.5, clip=True)
    marks = alt.Chart(points).mark_point(size=170, filled=True, opacity=1.0, shape="diamond")
    beside = {"align": "left", "dx": 10, "fontSize": 13, "fontWeight": 600}
    words = [
        one
        for n, dy in zip(range(len(points)), (-12, 14), strict=False)
        for one in written(
            alt.Chart(points.iloc[[n]]), x, y, alt.Text("words:N"), dark=dark, dy=dy, **beside
        )
    ]
    chart = alt.layer(
        drawn.encode(x, y, colour, dash, tooltip=figures),
        marks.encode(x, y, colour, tooltip=figures[:3]),
        *words,
    )
    return styled(chart, dark=dark)


def _force_range(curves: Sequence[RateCurve]) -> tuple[float, float]:
    """From nothing to well over where it stands: a stop's steep end would flatten the rest."""
    highest = max(curve.at[1] for curve in curves)
    return 0.0, max(1.0, *(min(max(curve.force), 2.2 * highest) for curve in curves))


def _rate_frames(curves: Sequence[RateCurve]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Points of the lines, and where each axle stands."""
    rows = [
        (curve.name, *row)
        for curve in curves
        for row in zip(curve.down, curve.force, curve.rate, strict=True)
    ]
    points = [(curve.name, *curve.at, curve.words) for curve in curves]
    return (
        pd.DataFrame(rows, columns=["axle", "down", "force", "rate"]),
        pd.DataFrame(points, columns=["axle", "down", "force", "words"]),
    )
