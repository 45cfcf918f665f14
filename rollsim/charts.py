"""Curves: how does the lean grow with lateral acceleration, and where does each state tip?"""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt
import pandas as pd

_LIGHT = ("#10151c", "#d5dbe2", "#ffffff")  # text, grid, background
_DARK = ("#f2f5f8", "#3a444f", "#14181e")
_ON_LIGHT = ("#3d4854", "#a34700", "#0b5cad", "#1b7340", "#7a3e9d", "#9c1f4a")
_ON_DARK = ("#c3ccd6", "#ffb066", "#7db8f5", "#7fd6a0", "#d3a6f0", "#ff9ab8")
_HEIGHT = 380  # px
_TICKS = [n / 5 for n in range(11)]  # g
_DASHES = ([1, 0], [6, 3], [2, 2], [10, 3, 2, 3], [12, 4], [4, 2, 1, 2])


@dataclass(frozen=True, slots=True)
class LeanCurve:
    """Lean of one state against lateral acceleration.

    Parameters
    ----------
    name : str
        In the legend.
    lateral_acceleration_g : tuple of float
        [g].
    lean_deg : tuple of float
        Roll angle, static lean included [deg].
    tipping_point_g : float or None
        [g].
    """

    name: str
    lateral_acceleration_g: tuple[float, ...]
    lean_deg: tuple[float, ...]
    tipping_point_g: float | None


def lean_chart(curves: Sequence[LeanCurve], *, dark: bool = False) -> alt.LayerChart:
    """Lean against lateral acceleration, a line a state, tipping points marked on the axis.

    Parameters
    ----------
    curves : sequence of LeanCurve
        One for each state [g, deg].
    dark : bool
        Colours for a dark page.

    Returns
    -------
    altair.LayerChart
        Lines differ in style as well as in colour.

    Examples
    --------
    >>> len(lean_chart([LeanCurve("unladen", (0.0, 0.4), (0.0, 2.3), 1.04)]).layer)
    2
    """
    text, grid, background = _DARK if dark else _LIGHT
    names = [_words(curve) for curve in curves]
    numbers = [n % len(_DASHES) for n in range(len(names))]
    colours = [(_ON_DARK if dark else _ON_LIGHT)[n] for n in numbers]
    legend = alt.Legend(title=None, orient="bottom", columns=1, labelLimit=0, symbolSize=400)
    colour = alt.Color("state:N", sort=names, legend=legend).scale(domain=names, range=colours)
    dash = alt.StrokeDash("state:N", sort=names, legend=legend).scale(
        domain=names, range=[_DASHES[n] for n in numbers]
    )
    lines, tips = _frames(curves)
    x = alt.X("g:Q", title="lateral acceleration, g", axis=alt.Axis(format=".1f", values=_TICKS))
    y = alt.Y("lean:Q", title="lean (roll angle), deg")
    figures = ["state:N", alt.Tooltip("g:Q", format=".2f"), alt.Tooltip("lean:Q", format=".2f")]
    drawn = alt.Chart(lines).mark_line(strokeWidth=2.5).encode(x, y, colour, dash, tooltip=figures)
    marks = (
        alt.Chart(tips)
        .mark_point(shape="triangle-up", size=140, filled=True, opacity=1.0, yOffset=-7)
        .encode(x, alt.YValue(_HEIGHT), colour, tooltip=figures[:2])
    )
    return (
        alt.layer(drawn, marks)
        .properties(height=_HEIGHT, background=background)
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


def _words(curve: LeanCurve) -> str:
    tip = curve.tipping_point_g
    return curve.name if tip is None else f"{curve.name}: tips at {tip:.2f} g"


def _frames(curves: Sequence[LeanCurve]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Points of the lines, and the tipping points, in the long form that the chart wants."""
    points = [
        (_words(curve), g, lean)
        for curve in curves
        for g, lean in zip(curve.lateral_acceleration_g, curve.lean_deg, strict=True)
    ]
    tips = [
        (_words(curve), curve.tipping_point_g)
        for curve in curves
        if curve.tipping_point_g is not None
    ]
    return (
        pd.DataFrame(points, columns=["state", "g", "lean"]),
        pd.DataFrame(tips, columns=["state", "g"]),
    )
