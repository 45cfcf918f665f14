"""How do camber and toe of a wheel go with ride height?"""

from collections.abc import Sequence
from dataclasses import dataclass

import altair as alt
import pandas as pd

from rollsim.charts.look import as_told, line_legend, styled, written
from rollsim.plots.look import DARK, DASHES, LIGHT, ON_DARK, ON_LIGHT


@dataclass(frozen=True, slots=True)
class WheelCurve:
    """An angle [deg] of a wheel against ride height, in the reader's unit, up positive."""

    name: str
    height: tuple[float, ...]
    angle: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class WheelMark:
    """Where a state stands on the first curve, named; units as the curve's."""

    name: str
    height: float
    angle: float


def wheel_chart(
    curves: Sequence[WheelCurve], marks: Sequence[WheelMark], unit: str, *, dark: bool = False
) -> alt.LayerChart:
    """Camber, and caster and toe where they are known, against ride height; each state is marked.

    Examples
    --------
    >>> curve = WheelCurve("camber", (-10.0, 10.0), (-0.5, 0.1))
    >>> len(wheel_chart([curve], [WheelMark("touring", 5.0, 0.0)], "mm").layer)
    4
    """
    names = [curve.name for curve in curves]
    palette = (ON_DARK if dark else ON_LIGHT)[1:]
    legend = line_legend()
    colour = alt.Color("wheel:N", sort=names, legend=legend).scale(
        domain=names, range=palette[: len(names)]
    )
    dash = alt.StrokeDash("wheel:N", sort=names, legend=legend).scale(
        domain=names, range=list(DASHES[: len(names)])
    )
    lines = pd.DataFrame(
        (
            (curve.name, *row)
            for curve in curves
            for row in zip(curve.height, curve.angle, strict=True)
        ),
        columns=["wheel", "height", "angle"],
    )
    points = pd.DataFrame(
        ((one.name, one.height, one.angle) for one in marks), columns=["state", "height", "angle"]
    )
    x = alt.X("height:Q", title=f"ride height against as weighed, {unit}")
    x = x.scale(nice=False).axis(tickCount=8)
    y = alt.Y("angle:Q", title="deg")
    told = [
        alt.Tooltip("height:Q", format=as_told(unit), title=unit),
        alt.Tooltip("angle:Q", format=".1f", title="deg"),
    ]
    ink = (DARK if dark else LIGHT)[0]
    stands = alt.Chart(points)
    beside = {"align": "right", "dx": -10, "dy": -10, "fontSize": 13, "fontWeight": 600}
    chart = alt.layer(
        alt.Chart(lines)
        .mark_line(strokeWidth=2.5)
        .encode(x, y, colour, dash, tooltip=["wheel:N", *told]),
        stands.mark_point(size=150, filled=True, opacity=1.0, shape="diamond", color=ink).encode(
            x, y, tooltip=["state:N", *told]
        ),
        *written(stands, x, y, alt.Text("state:N"), dark=dark, **beside),
    )
    return styled(chart, dark=dark)
