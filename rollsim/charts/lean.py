"""How does lean grow with lateral acceleration?"""

import math
from collections.abc import Sequence

import altair as alt
import pandas as pd

from rollsim.charts.look import as_told, line_legend, styled
from rollsim.plots.lean_curves import (
    FRONT_LIFTS,
    LATERAL_TITLE,
    LEAN_TITLE,
    REAR_LIFTS,
    TIPS,
    LeanCurve,
    ends,
)
from rollsim.plots.look import DASHES, ON_DARK, ON_LIGHT, style_number

_SHAPES = {TIPS: "triangle-up", REAR_LIFTS: "diamond", FRONT_LIFTS: "square"}


def lean_chart(curves: Sequence[LeanCurve], *, dark: bool = False) -> alt.LayerChart:
    """Lean against lateral acceleration, a line a state, wheel lift and tipping point marked.

    Lines differ in style as well as in colour, marks in shape; tipping points stand on the axis.

    Examples
    --------
    >>> len(lean_chart([LeanCurve("unladen", (0.0, 0.4), (0.0, 2.3), 1.04)]).layer)
    3
    """
    names = [curve.words for curve in curves]
    numbers = [style_number(n) for n in range(len(names))]
    colours = [(ON_DARK if dark else ON_LIGHT)[n] for n, _ in numbers]
    legend = line_legend()
    legend.symbolStrokeWidth = 2.5
    colour = alt.Color("state:N", sort=names, legend=legend).scale(domain=names, range=colours)
    dash = alt.StrokeDash("state:N", sort=names, legend=legend).scale(
        domain=names, range=[DASHES[n] for _, n in numbers]
    )
    lines, tips, lifts = _frames(curves)
    floor, top, last = ends(curves)
    ticks = [n / 5 for n in range(math.floor(5 * last) + 1)]
    x = alt.X("g:Q", title=LATERAL_TITLE, axis=alt.Axis(format=".1f", values=ticks))
    x = x.scale(domain=[0.0, last], nice=False)
    y = alt.Y("lean:Q", title=LEAN_TITLE)
    y = y.scale(domain=[floor, top], nice=False)
    figures = [
        "state:N",
        alt.Tooltip("g:Q", format=as_told("g")),
        alt.Tooltip("lean:Q", format=as_told("deg")),
    ]
    drawn = alt.Chart(lines).mark_line(strokeWidth=2.5).encode(x, y, colour, dash, tooltip=figures)
    shape = alt.Shape("mark:N", legend=_marks_legend(curves)).scale(
        domain=list(_SHAPES), range=list(_SHAPES.values())
    )
    tooltip = ["mark:N", *figures[:2]]
    marks = [
        alt.Chart(frame)
        .mark_point(size=140, filled=True, opacity=1.0, yOffset=offset)
        .encode(x, y, colour, shape, tooltip=tooltip)
        for frame, offset in ((tips, -6), (lifts, 0))
    ]
    return styled(alt.layer(drawn, *marks), dark=dark)


def _marks_legend(curves: Sequence[LeanCurve]) -> alt.Legend:
    """What the shapes mean, of those that are there."""
    there = [TIPS, *(lift.which for curve in curves for lift in curve.lifts)]
    values = [which for which in _SHAPES if which in there]
    return alt.Legend(
        title=None,
        orient="top-left",
        offset=8,
        labelLimit=0,
        values=values,
        symbolFillColor="gray",
    )


def _frames(curves: Sequence[LeanCurve]) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """Points of the lines, tipping points on the axis, wheel lifts on the lines."""
    floor, _, _ = ends(curves)
    points = [
        (curve.words, g, lean)
        for curve in curves
        for g, lean in zip(curve.lateral_acceleration_g, curve.lean_deg, strict=True)
    ]
    tips = [
        (curve.words, curve.tipping_point_g, floor, TIPS)
        for curve in curves
        if curve.tipping_point_g is not None
    ]
    lifts = [
        (curve.words, lift.lateral_acceleration_g, lift.lean_deg, lift.which)
        for curve in curves
        for lift in curve.lifts
    ]
    columns = ["state", "g", "lean", "mark"]
    return (
        pd.DataFrame(points, columns=columns[:3]),
        pd.DataFrame(tips, columns=columns),
        pd.DataFrame(lifts, columns=columns),
    )
