"""How does lean grow with lateral acceleration?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt
import pandas as pd

from rollsim.charts.look import DASHES, ON_DARK, ON_LIGHT, styled

HEAD_ROOM = 1.05  # times the largest lean
MARGIN = 0.05  # g to the right of the last tipping point
_TIPS = "tipping point"
REAR_LIFTS, FRONT_LIFTS = "inner rear wheel lifts", "inner front wheel lifts"
_SHAPES = {_TIPS: "triangle-up", REAR_LIFTS: "diamond", FRONT_LIFTS: "square"}


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
    numbers = [n % len(DASHES) for n in range(len(names))]
    colours = [(ON_DARK if dark else ON_LIGHT)[n] for n in numbers]
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
        domain=names, range=[DASHES[n] for n in numbers]
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
    return styled(alt.layer(drawn, *marks), dark=dark)


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
