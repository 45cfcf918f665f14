"""Curves: how does lean grow with lateral acceleration, how does a spring push with travel?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt
import pandas as pd

_LIGHT = ("#10151c", "#d5dbe2", "#ffffff")  # text, grid, background
_DARK = ("#f2f5f8", "#3a444f", "#14181e")
_ON_LIGHT = ("#3d4854", "#a34700", "#0b5cad", "#1b7340", "#7a3e9d", "#9c1f4a")
_ON_DARK = ("#c3ccd6", "#ffb066", "#7db8f5", "#7fd6a0", "#d3a6f0", "#ff9ab8")
_HEIGHT = 380  # px
HEAD_ROOM = 1.05  # times the largest lean
MARGIN = 0.05  # g to the right of the last tipping point
_TIPS = "tipping point"
REAR_LIFTS, FRONT_LIFTS = "inner rear wheel lifts", "inner front wheel lifts"
_SHAPES = {_TIPS: "triangle-up", REAR_LIFTS: "diamond", FRONT_LIFTS: "square"}
_DASHES = ([1, 0], [6, 3], [2, 2], [10, 3, 2, 3], [12, 4], [4, 2, 1, 2])


@dataclass(frozen=True, slots=True)
class Lift:
    """Where a wheel lifts on a curve.

    Parameters
    ----------
    which : str
        `REAR_LIFTS` or `FRONT_LIFTS`.
    lateral_acceleration_g : float
        [g].
    lean_deg : float
        There [deg].
    """

    which: str
    lateral_acceleration_g: float
    lean_deg: float


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
        Towards the outside of the bend, static lean included [deg].
    tipping_point_g : float or None
        [g]; None where it was not resolved.
    lifts : tuple of Lift
        Wheels that lift before it [g, deg].
    """

    name: str
    lateral_acceleration_g: tuple[float, ...]
    lean_deg: tuple[float, ...]
    tipping_point_g: float | None
    lifts: tuple[Lift, ...] = ()


def lean_chart(curves: Sequence[LeanCurve], *, dark: bool = False) -> alt.LayerChart:
    """Lean against lateral acceleration, a line a state, wheel lift and tipping point marked.

    Parameters
    ----------
    curves : sequence of LeanCurve
        One for each state [g, deg].
    dark : bool
        Colours for a dark page.

    Returns
    -------
    altair.LayerChart
        Lines differ in style as well as in colour, marks in shape; tipping points on the axis.

    Examples
    --------
    >>> len(lean_chart([LeanCurve("unladen", (0.0, 0.4), (0.0, 2.3), 1.04)]).layer)
    3
    """
    names = [_words(curve) for curve in curves]
    numbers = [n % len(_DASHES) for n in range(len(names))]
    colours = [(_ON_DARK if dark else _ON_LIGHT)[n] for n in numbers]
    legend = alt.Legend(
        title=None,
        orient="bottom",
        columns=1,
        labelLimit=0,
        symbolSize=400,
        symbolType="stroke",
        symbolStrokeWidth=2.5,
    )
    colour = alt.Color("state:N", sort=names, legend=legend).scale(domain=names, range=colours)
    dash = alt.StrokeDash("state:N", sort=names, legend=legend).scale(
        domain=names, range=[_DASHES[n] for n in numbers]
    )
    lines, tips, lifts = _frames(curves)
    floor, last = _ends(curves)
    top = float(lines["lean"].max()) * HEAD_ROOM
    ticks = [n / 5 for n in range(math.floor(5 * last) + 1)]
    x = alt.X("g:Q", title="lateral acceleration, g", axis=alt.Axis(format=".1f", values=ticks))
    x = x.scale(domain=[0.0, last], nice=False)
    y = alt.Y("lean:Q", title="lean (roll angle) to the outside, deg")
    y = y.scale(domain=[floor, max(top, floor + 1.0)], nice=False)
    figures = ["state:N", alt.Tooltip("g:Q", format=".2f"), alt.Tooltip("lean:Q", format=".2f")]
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
    return _styled(alt.layer(drawn, *marks), dark=dark)


@dataclass(frozen=True, slots=True)
class RateCurve:
    """Force of one side of an axle against travel, with the point where it stands.

    Parameters
    ----------
    name : str
        In the legend.
    down : tuple of float
        Body over axle from as weighed, down positive [unit of the reader].
    force, rate : tuple of float
        [unit of the reader].
    at : (float, float)
        Travel and force where it stands [unit of the reader].
    words : str
        Beside that point.
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

    Parameters
    ----------
    curves : sequence of RateCurve
        One for each axle [units of the reader].
    units : (str, str, str)
        For length, force and rate.
    dark : bool
        Colours for a dark page.

    Returns
    -------
    altair.LayerChart
        Lines differ in style as well as in colour.

    Examples
    --------
    >>> curve = RateCurve("rear", (-10.0, 10.0), (3.6e3, 4.4e3), (40.0, 40.0), (0.0, 4e3), "40")
    >>> len(rate_chart([curve], ("mm", "N", "N/mm")).layer)
    3
    """
    length, force, rate = units
    names = [curve.name for curve in curves]
    palette = (_ON_DARK if dark else _ON_LIGHT)[1:]
    legend = alt.Legend(title=None, orient="bottom", symbolSize=400, symbolStrokeWidth=2.5)
    colour = alt.Color("axle:N", sort=names, legend=legend).scale(
        domain=names, range=palette[: len(names)]
    )
    dash = alt.StrokeDash("axle:N", sort=names, legend=legend).scale(
        domain=names, range=list(_DASHES[: len(names)])
    )
    lines, points = _rate_frames(curves)
    x = alt.X("down:Q", title=f"body down over axle from as weighed, {length}")
    x = x.scale(nice=False).axis(tickCount=8)
    y = alt.Y("force:Q", title=f"force on one side, {force}")
    y = y.scale(domain=_force_range(curves), nice=False)
    figures = [
        "axle:N",
        alt.Tooltip("down:Q", format=".3~g", title=length),
        alt.Tooltip("force:Q", format=".0f", title=force),
        alt.Tooltip("rate:Q", format=".1f", title=rate),
    ]
    drawn = alt.Chart(lines).mark_line(strokeWidth=2.5, clip=True)
    marks = alt.Chart(points).mark_point(size=170, filled=True, opacity=1.0, shape="diamond")
    ink = (_DARK if dark else _LIGHT)[0]
    words = [
        alt.Chart(points.iloc[[n]])
        .mark_text(align="left", dx=10, dy=(-12, 14)[n % 2], fontSize=13, fontWeight=600, color=ink)
        .encode(x, y, alt.Text("words:N"))
        for n in range(len(points))
    ]
    chart = alt.layer(
        drawn.encode(x, y, colour, dash, tooltip=figures),
        marks.encode(x, y, colour, tooltip=figures[:3]),
        *words,
    )
    return _styled(chart, dark=dark)


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


def _styled(chart: alt.LayerChart, *, dark: bool) -> alt.LayerChart:
    """In the colours of the page, text large enough to read."""
    text, grid, background = _DARK if dark else _LIGHT
    return (
        chart.properties(height=_HEIGHT, background=background)
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
    where = "tipping point not resolved" if tip is None else f"tips at {tip:.2f} g"
    return f"{curve.name}: {where}"


def _marks_legend(curves: Sequence[LeanCurve]) -> alt.Legend:
    """What the shapes mean, of those that are there."""
    there = [_TIPS, *(lift.which for curve in curves for lift in curve.lifts)]
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
    floor, _ = _ends(curves)
    points = [
        (_words(curve), g, lean)
        for curve in curves
        for g, lean in zip(curve.lateral_acceleration_g, curve.lean_deg, strict=True)
    ]
    tips = [
        (_words(curve), curve.tipping_point_g, floor, _TIPS)
        for curve in curves
        if curve.tipping_point_g is not None
    ]
    lifts = [
        (_words(curve), lift.lateral_acceleration_g, lift.lean_deg, lift.which)
        for curve in curves
        for lift in curve.lifts
    ]
    columns = ["state", "g", "lean", "mark"]
    return (
        pd.DataFrame(points, columns=columns[:3]),
        pd.DataFrame(tips, columns=columns),
        pd.DataFrame(lifts, columns=columns),
    )


def _ends(curves: Sequence[LeanCurve]) -> tuple[float, float]:
    """The least lean, where the axis stands, and where the chart ends on the right."""
    floor = min([0.0, *(lean for curve in curves for lean in curve.lean_deg)])
    reach = [g for curve in curves for g in curve.lateral_acceleration_g]
    tips = [curve.tipping_point_g for curve in curves if curve.tipping_point_g is not None]
    return floor, max([MARGIN, *reach, *tips]) + MARGIN
