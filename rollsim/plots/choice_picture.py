"""The picture of `rollsim size`: lean against safety factor and against front share."""

import math
from collections.abc import Callable

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle
from matplotlib.patheffects import withStroke
from matplotlib.transforms import Bbox

from rollsim.plots.bar_choice import LEAN_TITLE, SAFETY_TITLE, SHARE_TITLE, BarChoice, BarDot
from rollsim.plots.canvas import INK, PAPER, SMALL, key, sheet
from rollsim.plots.look import ON_LIGHT

_HEIGHT = 6.2  # in
_ROOM = 0.08  # of the span beside the outermost dot
_WAYS = ((9.0, 0.0, "left"), (-9.0, 0.0, "right"), (0.0, 12.0, "center"), (0.0, -12.0, "center"))
_SHADE, _HOLES = "#cfe1f5", "#a9b4c0"
_REJECTED = {"marker": "x", "color": ON_LIGHT[1], "markersize": 7, "markeredgewidth": 1.8}
_ACCEPTED = {"marker": "o", "color": ON_LIGHT[2], "markersize": 8}
_CHOSEN = {"marker": "*", "color": ON_LIGHT[5], "markersize": 17, "markeredgecolor": PAPER}
_TARGET = {"color": ON_LIGHT[3], "linestyle": "-", "linewidth": 2.0}
_NOW = {"color": ON_LIGHT[0], "linestyle": ":", "linewidth": 2.0}
_LIMIT = {"color": INK, "linestyle": "--", "linewidth": 1.3}


def choice_picture(choice: BarChoice, title: str) -> Figure:
    """Every bar at hand as a dot in two panels, the holes of a bar joined, limits as lines.

    Dots are accepted, crosses are not, the star is the one to order; what keeps to the limits of a
    panel lies in its shaded corner.
    """
    picture = sheet(title, _HEIGHT)
    strength, balance = picture.subplots(1, 2, sharex=True)
    strength.set_title("Does it last?")
    balance.set_title("Does it keep the balance?")
    _draw(strength, choice, SAFETY_TITLE, least=choice.least_safety, value=_safety)
    _draw(balance, choice, SHARE_TITLE, least=choice.least_share, value=_share)
    handles = _handles(choice)
    key(picture, handles, [str(handle.get_label()) for handle in handles], columns=3)
    picture.draw_without_rendering()  # now every dot has its place, and names can find theirs
    _name_bars(strength, choice, _safety)
    _name_bars(balance, choice, _share)
    return picture


def _safety(dot: BarDot) -> float:
    return dot.safety_factor


def _share(dot: BarDot) -> float:
    return dot.front_share


def _draw(
    axes: Axes,
    choice: BarChoice,
    title: str,
    *,
    least: float,
    value: Callable[[BarDot], float],
) -> None:
    """One panel: shaded corner, lines, bars."""
    axes.set(xlabel=LEAN_TITLE, ylabel=title)
    lines = [choice.target, choice.present]
    axes.set_xlim(*_span([*(dot.lean_per_g for dot in choice.dots), *filter(math.isfinite, lines)]))
    axes.set_ylim(*_span([*map(value, choice.dots), least]))
    if math.isfinite(choice.most_lean):
        (left, _), (_, top) = axes.get_xlim(), axes.get_ylim()
        size = (choice.most_lean - left, top - least)
        axes.add_patch(Rectangle((left, least), *size, color=_SHADE, linewidth=0, zorder=0.5))
    axes.axhline(least, **_LIMIT)
    axes.axvline(choice.target, **_TARGET)
    if math.isfinite(choice.present):
        axes.axvline(choice.present, **_NOW)
    _draw_bars(axes, choice, value)


def _span(values: list[float]) -> tuple[float, float]:
    """From the least to the most, with room."""
    low, high = min(values), max(values)
    room = _ROOM * max(high - low, 0.05 * abs(high), 1e-6)
    return low - room, high + room


def _draw_bars(axes: Axes, choice: BarChoice, value: Callable[[BarDot], float]) -> None:
    """A mark a hole, the holes of a bar joined."""
    for dots in _bars(choice).values():
        lean, height = [dot.lean_per_g for dot in dots], [value(dot) for dot in dots]
        axes.plot(lean, height, color=_HOLES, linewidth=1.5, zorder=1)
    for style, wanted in (
        (_REJECTED, lambda dot: not dot.accepted),
        (_ACCEPTED, lambda dot: dot.accepted and not dot.is_choice),
        (_CHOSEN, lambda dot: dot.is_choice),
    ):
        chosen = [dot for dot in choice.dots if wanted(dot)]
        lean, height = [dot.lean_per_g for dot in chosen], [value(dot) for dot in chosen]
        axes.plot(lean, height, linestyle="", zorder=3, **style)


def _bars(choice: BarChoice) -> dict[tuple[str, str], list[BarDot]]:
    """The holes of each bar, by section and steel, those that let it lean least first."""
    bars: dict[tuple[str, str], list[BarDot]] = {}
    for dot in sorted(choice.dots, key=lambda dot: dot.lean_per_g):
        bars.setdefault((dot.section, dot.steel), []).append(dot)
    return bars


def _name_bars(axes: Axes, choice: BarChoice, value: Callable[[BarDot], float]) -> None:
    """Each bar's section beside one of its holes, where there is room; else it goes without."""
    if not choice.dots:
        return
    spots = axes.transData.transform([(dot.lean_per_g, value(dot)) for dot in choice.dots])
    taken = [Bbox.from_bounds(x - 8.0, y - 8.0, 16.0, 16.0) for x, y in spots]
    for (section, _), dots in _bars(choice).items():
        places = ((dot, way) for dot in (dots[0], dots[-1], *dots[1:-1]) for way in _WAYS)
        for dot, (right, up, side) in places:
            name = axes.annotate(
                section,
                (dot.lean_per_g, value(dot)),
                (right, up),
                textcoords="offset points",
                ha=side,
                va="center",
                fontsize=SMALL,
                path_effects=[withStroke(linewidth=2.5, foreground=PAPER)],
            )
            box = name.get_window_extent()
            if (
                axes.bbox.containsx(box.x0)
                and axes.bbox.containsx(box.x1)
                and not any(box.overlaps(other) for other in taken)
            ):
                taken.append(box)
                break
            name.remove()


def _handles(choice: BarChoice) -> list[Line2D | Patch]:
    """What is there, in words."""
    chosen, dots = choice.choice, choice.dots
    found: list[Line2D | Patch] = []

    def mark(style: dict[str, object], label: str) -> None:
        found.append(Line2D([], [], label=label, **{"linestyle": "", **style}))

    if chosen is not None:
        mark(_CHOSEN, f"to order: {chosen.section}, {chosen.hole} hole")
    if any(dot.accepted and not dot.is_choice for dot in dots):
        mark(_ACCEPTED, "accepted")
    if any(not dot.accepted for dot in dots):
        mark(_REJECTED, "not accepted")
    mark(_TARGET, f"target, {choice.target:.2f} deg/g")
    if math.isfinite(choice.present):
        mark(_NOW, f"as it is now, {choice.present:.2f} deg/g")
    mark(_LIMIT, "least that is accepted")
    if math.isfinite(choice.most_lean):
        found.append(Patch(color=_SHADE, label="accepted corner of the panel"))
    for words in _notes(choice):
        mark({"marker": ""}, words)
    return found


def _notes(choice: BarChoice) -> list[str]:
    """What the two panels do not show."""
    said = []
    if not math.isfinite(choice.most_lean):
        said.append("nothing to bring back: none is accepted")
    others = sum(choice.in_corner(dot) and not dot.accepted for dot in choice.dots)
    if others:
        said.append(f"in both corners, not accepted for another reason: {others}")
    if choice.not_drawn:
        said.append(f"not drawn, it tips before or has no stress: {choice.not_drawn}")
    return said
