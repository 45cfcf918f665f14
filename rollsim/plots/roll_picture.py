"""The picture of `rollsim roll`: lean and wheel loads against lateral acceleration, transfer."""

import math
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from rollsim.drawing.gauges import TransferRow, transfer_rows
from rollsim.plots.canvas import INK, PAPER, SMALL, key, line_style, sheet, short
from rollsim.plots.lean_curves import (
    FRONT_LIFTS,
    HEAD_ROOM,
    LATERAL_TITLE,
    LEAN_TITLE,
    REAR_LIFTS,
    TIPS,
    LeanCurve,
    ends,
    lean_curve,
    wheel_curves,
)
from rollsim.plots.look import ON_LIGHT
from rollsim.reader_units import ReaderUnits, figure
from rollsim.roll import StateResult
from rollsim.tell.names import LEFT_BEND_WHEELS
from rollsim.tell.of_states import PARTS
from rollsim.units import to_unit

_MARKS = {TIPS: "^", REAR_LIFTS: "D", FRONT_LIFTS: "s"}
_WHEEL_COLOURS = (1, 1, 2, 2)  # front, rear
_WHEEL_LINES = ((0, (1.5, 1.2)), "-", (0, (4.0, 1.5)), (0, (7.0, 1.5, 1.5, 1.5)))
_PART_COLOURS, _HATCHES = ("#7db8f5", "#e0a64a", "#7fd6a0"), ("", "///", "...")
_LEAN_HEIGHT, _PANEL_HEIGHT, _ROW_HEIGHT = 4.4, 2.5, 0.36  # in
_KEY_LINE, _TRANSFER_REST = 0.2, 1.3  # in
_WORSE = "Marks: the worse of left and right bend"
_NARROW = 0.09  # of the axis: a part that has no room for its figure


def roll_picture(
    found: Sequence[StateResult], names: Sequence[str], title: str, *, units: ReaderUnits
) -> Figure:
    """Lean of every state, wheel loads of each, and weight transfer by its parts.

    Each state has its curve up to the tipping point, in a left bend. A line ends where the vehicle
    tips, and its name says where.
    """
    shown = [short(name) for name in names]
    rows = math.ceil(len(found) / 2)
    heights = (
        _LEAN_HEIGHT + _KEY_LINE * len(found),
        _PANEL_HEIGHT * rows + 0.8,
        _TRANSFER_REST + _ROW_HEIGHT * 2 * len(found),
    )
    picture = sheet(title, sum(heights) + 0.4)
    lean, wheels, transfer = picture.subfigures(3, 1, height_ratios=heights)
    curves = [lean_curve(name, one) for name, one in zip(shown, found, strict=True)]
    _draw_lean(lean, curves)
    _draw_wheels(wheels, found, shown, rows=rows, unit=units.force)
    _draw_transfer(transfer, found, shown, unit=units.force)
    return picture


def _draw_lean(part: SubFigure, curves: Sequence[LeanCurve]) -> None:
    """A line a state; wheel lift and tipping point marked, as on the page."""
    axes = part.subplots()
    floor, top, last = ends(curves)
    axes.set(xlabel=LATERAL_TITLE, ylabel=LEAN_TITLE, xlim=(0.0, last), ylim=(floor, top))
    axes.set_title("Lean in a left bend")
    handles = []
    for number, curve in enumerate(curves):
        style = line_style(number)
        handles += axes.plot(
            curve.lateral_acceleration_g, curve.lean_deg, label=curve.words, **style
        )
        spots = [(lift.which, lift.lateral_acceleration_g, lift.lean_deg) for lift in curve.lifts]
        if curve.tipping_point_g is not None:
            spots.append((TIPS, curve.tipping_point_g, floor))
        for which, at, lean in spots:
            _mark(axes, which, at, lean, colour=style["color"])
    there = {which for curve in curves for which in _marks_of(curve)}
    marks = [
        Line2D([], [], color=INK, marker=_MARKS[which], linestyle="", label=which)
        for which in _MARKS
        if which in there
    ]
    if marks:
        axes.legend(handles=marks, loc="upper left", title=_WORSE, alignment="left")
    key(part, handles, [curve.words for curve in curves], columns=1)


def _marks_of(curve: LeanCurve) -> list[str]:
    tips = [] if curve.tipping_point_g is None else [TIPS]
    return [*tips, *(lift.which for lift in curve.lifts)]


def _mark(axes: Axes, which: str, at: float, height: float, *, colour: str) -> None:
    axes.plot(
        [at],
        [height],
        marker=_MARKS[which],
        markersize=9,
        color=colour,
        markeredgecolor=PAPER,
        linestyle="",
        clip_on=False,
        zorder=3,
    )


def _draw_wheels(
    part: SubFigure, found: Sequence[StateResult], names: Sequence[str], *, rows: int, unit: str
) -> None:
    """Four lines a state, a panel each, all on the same axes."""
    part.suptitle(
        f"Wheel loads in a left bend, {unit}", fontsize=11, fontweight="bold", ha="left", x=0.01
    )
    columns = min(2, len(found))
    panels = part.subplots(rows, columns, sharex=True, sharey=True, squeeze=False)
    panels = list(panels.flat)
    curves = [wheel_curves(name, one, unit) for name, one in zip(names, found, strict=True)]
    last = ends([one.lean for one in curves])[2]
    handles: list[Line2D] = []
    for axes, one in zip(panels, curves, strict=False):
        lines = [
            axes.plot(
                one.lean.lateral_acceleration_g,
                loads,
                color=ON_LIGHT[_WHEEL_COLOURS[n]],
                linestyle=_WHEEL_LINES[n],
            )[0]
            for n, loads in enumerate(one.loads)
        ]
        handles = handles or lines
        axes.set_title(f"{short(one.lean.name, 28)}: {one.lean.end_words}", fontweight="normal")
    panels[0].set_xlim(0.0, last)
    most = [load for one in curves for loads in one.loads for load in loads]
    panels[0].set_ylim(0.0, HEAD_ROOM * max(most, default=1.0))
    for axes in panels[len(curves) :]:
        axes.set_axis_off()
    for axes in panels[-columns:]:
        axes.set_xlabel(LATERAL_TITLE)
    key(part, handles, LEFT_BEND_WHEELS, columns=4)


def _draw_transfer(
    part: SubFigure, found: Sequence[StateResult], names: Sequence[str], *, unit: str
) -> None:
    """Parts of the weight transfer stacked, an axle a row; what takes away goes left of zero."""
    axes = part.subplots()
    axes.set_title("Weight transfer (lateral load transfer) at 0.4 g")
    rows: list[tuple[str, TransferRow | str]] = []
    for name, one in zip(names, found, strict=True):
        both = transfer_rows(one.load_transfer) or (None, None)
        for end, row in zip(("front", "rear"), both, strict=True):
            rows.append((f"{short(name, 26)}, {end}", row if row else _why_none(one)))
    totals = [_values(row, unit) for _, row in rows if isinstance(row, TransferRow)]
    span = max([sum(map(abs, values)) for values in totals], default=1.0)
    for place, (_, row) in enumerate(rows):
        if isinstance(row, str):
            axes.text(0.0, place, f"  {row}", va="center", fontsize=SMALL)
            continue
        _stack(axes, place, row, span=span, unit=unit)
    axes.set_yticks(range(len(rows)), [name for name, _ in rows])
    axes.set_ylim(len(rows) - 0.4, -0.6)
    axes.axvline(0.0, color=INK, linewidth=1.2)
    axes.margins(x=0.12)
    axes.grid(axis="y", visible=False)
    axes.set_xlabel(f"weight transfer, {unit}")
    key(part, _part_patches(), [one.named() for one in PARTS], columns=3)


def _why_none(result: StateResult) -> str:
    tips = math.isfinite(result.tip_over_threshold)
    return "tips before 0.4 g" if tips else "no value: the way to 0.4 g was not resolved"


def _values(row: TransferRow, unit: str) -> list[float]:
    return [float(to_unit(getattr(row.parts, one.name), unit)) for one in PARTS]


def _stack(axes: Axes, place: int, row: TransferRow, *, span: float, unit: str) -> None:
    ends_at = {True: 0.0, False: 0.0}
    for n, value in enumerate(_values(row, unit)):
        up = value >= 0.0
        axes.barh(
            place,
            value,
            left=ends_at[up],
            height=0.68,
            color=_PART_COLOURS[n],
            hatch=_HATCHES[n],
            edgecolor=INK,
            linewidth=0.8,
        )
        if abs(value) > _NARROW * span:
            axes.text(
                ends_at[up] + value / 2.0,
                place,
                f"{value:.0f}",
                ha="center",
                va="center",
                fontsize=SMALL,
                bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.0, "alpha": 0.85},
            )
        ends_at[up] += value
    total = f"  {figure(row.parts.total, unit)} {unit}"
    axes.text(ends_at[True], place, total, va="center", fontsize=SMALL, fontweight="bold")


def _part_patches() -> list[Patch]:
    return [
        Patch(facecolor=colour, hatch=hatch, edgecolor=INK)
        for colour, hatch in zip(_PART_COLOURS, _HATCHES, strict=True)
    ]
