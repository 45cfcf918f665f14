"""The picture of `rollsim springs`: travel used and left in each state, front and rear."""

import math
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from rollsim.drawing.travel import Travel, left_words
from rollsim.plots.canvas import GRID, INK, PAPER, SMALL, key, sheet, short
from rollsim.plots.look import ON_LIGHT
from rollsim.plots.travel_used import TravelUsed
from rollsim.reader_units import ReaderUnits
from rollsim.units import to_unit

AXLES = ("front axle", "rear axle")
_ROW, _REST = 0.62, 1.0  # in: a state, and what a panel needs besides
_TALL = 0.42  # of a row
_WORDS_ROOM = 0.4  # of the longest gauge
_USED, _HELPER = "#5b93cc", "#e0a64a"
_HELPER_WORDS = "where the helper leaves (second stage) work"
_AS_WEIGHED = "as weighed"


def travel_picture(
    states: Sequence[TravelUsed], names: Sequence[str], title: str, *, units: ReaderUnits
) -> Figure:
    """A gauge for each state on each axle, from bump stop (left) to full droop (right).

    Each gauge says what is left to both ends, or that an end is not given.
    """
    picture = sheet(title, 2.0 * (_ROW * len(states) + _REST) + 1.0)
    panels = picture.subplots(2, 1, sharex=True)
    for number, axes in enumerate(panels):
        axes.set_title(AXLES[number].capitalize())
        for place, state in enumerate(states):
            travel = None if state.axles is None else state.axles[number]
            _draw_gauge(axes, place, travel, unit=units.length)
        axes.axvline(0.0, color=INK, linewidth=1.0, linestyle="--", zorder=0.5)
        axes.set_yticks(range(len(states)), [short(name, 26) for name in names])
        axes.set_ylim(len(states) - 0.3, -0.6)
        axes.grid(axis="y", visible=False)
    _make_room(panels[0], states, units.length)
    panels[1].set_xlabel(f"body over axle from as weighed, up positive, {units.length}")
    handles = _handles(states)
    key(picture, handles, [str(handle.get_label()) for handle in handles], columns=3)
    return picture


def _make_room(axes: Axes, states: Sequence[TravelUsed], unit: str) -> None:
    """For the words at both ends of the longest gauges."""
    spans = [travel.span for state in states for travel in state.axles or ()]
    if not spans:
        return
    low, high = min(low for low, _ in spans), max(high for _, high in spans)
    room = _WORDS_ROOM * (high - low)
    axes.set_xlim(float(to_unit(low - room, unit)), float(to_unit(high + room, unit)))


def _draw_gauge(axes: Axes, place: int, travel: Travel | None, *, unit: str) -> None:
    """Track from end to end, what is used of it, both stops, where it stands, what is left."""
    if travel is None:
        axes.text(0.0, place, "  no settled position was found", va="center", fontsize=SMALL)
        return

    def x(rise: float) -> float:
        return float(to_unit(rise, unit))

    low, high = travel.span
    _draw_span(axes, place, (x(travel.now), x(travel.bump_stop), x(low)), colour=GRID)
    _draw_span(axes, place, (x(travel.now), x(travel.rebound_limit), x(high)), colour=_USED)
    foot = travel.bump_stop if math.isfinite(travel.bump_stop) else low
    if travel.second_stage > foot:
        axes.barh(
            place + _TALL / 4.0,
            x(min(travel.second_stage, high) - foot),
            left=x(foot),
            height=_TALL / 2.0,
            color=_HELPER,
            hatch="////",
            edgecolor=INK,
            linewidth=0.6,
        )
    for stop, end in ((travel.bump_stop, low), (travel.rebound_limit, high)):
        if math.isfinite(stop):
            axes.barh(place, x(end - stop), left=x(stop), height=_TALL, color=INK, alpha=0.45)
            axes.plot([x(stop)] * 2, [place - 0.3, place + 0.3], color=INK, linewidth=3)
    axes.plot([x(travel.now)], [place], **_NOW)
    _say_what_is_left(axes, place, travel, unit=unit)


def _draw_span(axes: Axes, place: int, ends: tuple[float, float, float], *, colour: str) -> None:
    """From where it stands to a stop, unless past it; open and dotted where no stop is given."""
    now, stop, open_end = ends
    if math.isnan(stop):
        dotted = {"color": "none", "edgecolor": INK, "linestyle": ":"}
        axes.barh(place, open_end - now, left=now, height=_TALL, **dotted)
    elif (stop - now) * (open_end - now) > 0.0:
        axes.barh(place, stop - now, left=now, height=_TALL, color=colour)


_NOW = {
    "marker": "D",
    "markersize": 8,
    "color": ON_LIGHT[5],
    "markeredgecolor": PAPER,
    "linestyle": "",
    "zorder": 3,
}


def _say_what_is_left(axes: Axes, place: int, travel: Travel, *, unit: str) -> None:
    """Beside each end of the gauge."""
    bump, rebound = left_words(travel, unit)
    low, high = travel.span
    for at, side, words in ((low, "right", bump), (high, "left", rebound)):
        axes.annotate(
            words,
            (float(to_unit(at, unit)), place),
            (-6.0 if side == "right" else 6.0, 0.0),
            textcoords="offset points",
            ha=side,
            va="center",
            fontsize=SMALL,
        )


def _handles(states: Sequence[TravelUsed]) -> list[Line2D | Patch]:
    """What is there, in words."""
    travels = [travel for state in states for travel in state.axles or ()]
    stops = [end for one in travels for end in (one.bump_stop, one.rebound_limit)]
    marks = [
        (True, Line2D([], [], label="where it stands", **_NOW)),
        (
            any(math.isfinite(one.rebound_limit) for one in travels),
            Patch(facecolor=_USED, label="travel used, from full droop"),
        ),
        (
            any(math.isfinite(one.bump_stop) for one in travels),
            Patch(facecolor=GRID, label="left to the bump stop"),
        ),
        (
            any(math.isfinite(one.second_stage) for one in travels),
            Patch(facecolor=_HELPER, hatch="////", edgecolor=INK, label=_HELPER_WORDS),
        ),
        (
            any(map(math.isfinite, stops)),
            Line2D([], [], color=INK, linewidth=3, label="stop begins to work"),
        ),
        (
            any(map(math.isnan, stops)),
            Patch(facecolor="none", edgecolor=INK, linestyle=":", label="end not given"),
        ),
        (True, Line2D([], [], color=INK, linewidth=1.0, linestyle="--", label=_AS_WEIGHED)),
    ]
    return [mark for there, mark in marks if there]
