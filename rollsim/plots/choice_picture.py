"""The picture of `rollsim size`: lean against safety factor and against front share."""

import math

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle
from matplotlib.patheffects import withStroke
from matplotlib.transforms import Bbox

from rollsim.plots.bar_choice import (
    ACCEPTED,
    LEAN_TITLE,
    LEAST,
    REJECTED,
    Against,
    BarChoice,
    Ink,
    notes,
)
from rollsim.plots.canvas import INK, PAPER, SMALL, key, sheet
from rollsim.plots.look import ON_LIGHT, SHADE_ON_LIGHT

_HEIGHT = 6.2  # in
_WAYS = ((9.0, 0.0, "left"), (-9.0, 0.0, "right"), (0.0, 12.0, "center"), (0.0, -12.0, "center"))
_HOLES = "#a9b4c0"
_REJECTED = {"marker": "x", "color": ON_LIGHT[Ink.REJECTED], "markersize": 7}
_REJECTED |= {"markeredgewidth": 1.8}
_ACCEPTED = {"marker": "o", "color": ON_LIGHT[Ink.ACCEPTED], "markersize": 8}
_CHOSEN = {"marker": "*", "color": ON_LIGHT[Ink.CHOICE], "markersize": 17}
_CHOSEN |= {"markeredgecolor": PAPER}
_LINES = {
    ink: {"color": ON_LIGHT[ink], "linestyle": style, "linewidth": 2.0}
    for ink, style in ((Ink.TARGET, "-"), (Ink.PRESENT, ":"), (Ink.SHARE, "-."))
}
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
    _draw(strength, choice, Against.SAFETY)
    _draw(balance, choice, Against.SHARE)
    handles = _handles(choice)
    key(picture, handles, [str(handle.get_label()) for handle in handles], columns=3)
    picture.draw_without_rendering()  # now every dot has its place, and names can find theirs
    _name_bars(strength, choice, Against.SAFETY)
    _name_bars(balance, choice, Against.SHARE)
    return picture


def _draw(axes: Axes, choice: BarChoice, against: Against) -> None:
    """One panel: shaded corner, lines, bars."""
    axes.set(xlabel=LEAN_TITLE, ylabel=against.title)
    axes.set_xlim(*choice.lean_range)
    axes.set_ylim(*against.range(choice))
    least = against.least(choice)
    if math.isfinite(choice.most_lean):
        left, (_, top) = choice.least_lean(against), axes.get_ylim()
        size = (choice.most_lean - left, top - least)
        axes.add_patch(
            Rectangle((left, least), *size, color=SHADE_ON_LIGHT, linewidth=0, zorder=0.5)
        )
    axes.axhline(least, **_LIMIT)
    for ink, (at, _) in choice.lines.items():
        axes.axvline(at, **_LINES[ink])
    _draw_bars(axes, choice, against)


def _draw_bars(axes: Axes, choice: BarChoice, against: Against) -> None:
    """A mark a hole, the holes of a bar joined."""
    for dots in choice.bars.values():
        lean, height = [dot.lean_per_g for dot in dots], [against.of(dot) for dot in dots]
        axes.plot(lean, height, color=_HOLES, linewidth=1.5, zorder=1)
    for style, wanted in (
        (_REJECTED, lambda dot: not dot.accepted),
        (_ACCEPTED, lambda dot: dot.accepted and not dot.is_choice),
        (_CHOSEN, lambda dot: dot.is_choice),
    ):
        chosen = [dot for dot in choice.dots if wanted(dot)]
        lean, height = [dot.lean_per_g for dot in chosen], [against.of(dot) for dot in chosen]
        axes.plot(lean, height, linestyle="", zorder=3, **style)


def _name_bars(axes: Axes, choice: BarChoice, against: Against) -> None:
    """Each bar's section beside one of its holes, where there is room; else it goes without."""
    if not choice.dots:
        return
    spots = axes.transData.transform([(dot.lean_per_g, against.of(dot)) for dot in choice.dots])
    taken = [Bbox.from_bounds(x - 8.0, y - 8.0, 16.0, 16.0) for x, y in spots]
    for (section, _), dots in choice.bars.items():
        places = ((dot, way) for dot in (dots[0], dots[-1], *dots[1:-1]) for way in _WAYS)
        for dot, (right, up, side) in places:
            name = axes.annotate(
                section,
                (dot.lean_per_g, against.of(dot)),
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
    dots = choice.dots
    found: list[Line2D | Patch] = []

    def mark(style: dict[str, object], label: str) -> None:
        found.append(Line2D([], [], label=label, **{"linestyle": "", **style}))

    if choice.choice_words:
        mark(_CHOSEN, choice.choice_words)
    if any(dot.accepted and not dot.is_choice for dot in dots):
        mark(_ACCEPTED, ACCEPTED)
    if any(not dot.accepted for dot in dots):
        mark(_REJECTED, REJECTED)
    for ink, (_, words) in choice.lines.items():
        mark(_LINES[ink], words)
    mark(_LIMIT, LEAST)
    if math.isfinite(choice.most_lean):
        found.append(Patch(color=SHADE_ON_LIGHT, label="accepted corner of the panel"))
    for words in notes(choice):
        mark({"marker": ""}, words)
    return found
