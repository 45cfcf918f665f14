"""The picture of `rollsim road-test`: readings, the measured and the predicted line."""

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from rollsim.plots.canvas import INK, PAPER, key, line_style, sheet
from rollsim.plots.driven import (
    LATERAL_TITLE,
    LEAN_TITLE,
    RESIDUAL_TITLE,
    DrivenPoint,
    driven_bands,
    driven_lines,
    driven_points,
)
from rollsim.road_answer import RoadAnswer

_HEIGHT = 7.4  # in
_READINGS = {True: "steady stretch", False: "steady stretch that lies far off and counts less"}


def road_picture(found: RoadAnswer, title: str) -> Figure:
    """Lean of the steady stretches about its lines, and what the measured line leaves of them.

    What counts less than half stands hollow. There must be a measured gradient.
    """
    points, lines = driven_points(found.test), driven_lines(found)
    picture = sheet(title, _HEIGHT)
    above, below = picture.subplots(2, 1, sharex=True, height_ratios=(2.6, 1.0))
    names = list(dict.fromkeys(line.name for line in lines))
    handles = {}
    for line in lines:
        style = line_style(1 + names.index(line.name))
        (handles[line.name],) = above.plot(line.lateral_acceleration_g, line.lean_deg, **style)
    for band in driven_bands(found):
        colour = handles[band.name].get_color()
        edges = (band.lateral_acceleration_g, band.low_deg, band.high_deg)
        above.fill_between(*edges, color=colour, alpha=0.18, linewidth=0.0)
    above.set_title("Steady stretches, measured and predicted line, each with its band")
    above.set_ylabel(LEAN_TITLE)
    _draw_points(above, points, [p.lean_deg for p in points])
    below.axhline(0.0, **line_style(1))
    below.set_title("What the measured line leaves of each stretch")
    below.set(xlabel=LATERAL_TITLE, ylabel=RESIDUAL_TITLE)
    _draw_points(below, points, [p.residual_deg for p in points])
    marks = [_dot(counts) for counts in (True, False) if counts in {p.counts for p in points}]
    labels = [*handles, *(str(mark.get_label()) for mark in marks)]
    key(picture, [*handles.values(), *marks], labels, columns=2)
    return picture


def _dot(counts: bool) -> Line2D:
    fill = INK if counts else PAPER
    return Line2D(
        [], [], marker="o", linestyle="", color=INK, markerfacecolor=fill, label=_READINGS[counts]
    )


def _draw_points(axes: Axes, points: Sequence[DrivenPoint], heights: Sequence[float]) -> None:
    for counts in (True, False):
        chosen = [n for n, point in enumerate(points) if point.counts is counts]
        axes.plot(
            [points[n].lateral_acceleration_g for n in chosen],
            [heights[n] for n in chosen],
            marker="o",
            markersize=5.5,
            linestyle="",
            color=INK,
            markerfacecolor=INK if counts else PAPER,
            label=_READINGS[counts],
        )
    axes.axvline(0.0, color=INK, linewidth=0.8)
