"""Bars that fill, stack and add up: ratings, weight transfer, contributions."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from rollsim.drawing.svg import (
    BLUE,
    LINE,
    PAPER,
    RED,
    TRACK,
    WIDTH,
    hatch,
    rectangle,
    svg,
    text,
)
from rollsim.mass import RatingCheck
from rollsim.reader_units import figure
from rollsim.roll import TransferParts
from rollsim.tell.ratings import over_figures

EDGE = 8.0
ROOM = WIDTH - 2 * EDGE
ROW, THICK, STAIR = 50.0, 18.0, 43.0
LIMIT_AT = 0.76  # of the room: the mark of the rating
FURTHEST = 0.98  # of the room: more than this over is not drawn longer
KEY = 30.0
SMALL = 1e-12

_SAND = "light-dark(#e0a64a,#c98f33)"
_GREEN = "light-dark(#1f7a5c,#57c79e)"
_EDGE = "stroke:currentColor;stroke-width:1"
PARTS = ("elastic", "geometric", "unsprung")


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One rating in the picture, its name in the user's words, load beside limit [kg]."""

    name: str
    check: RatingCheck


@dataclass(frozen=True, slots=True)
class MarginRow:
    """What a bend uses up of the push that lifts a wheel or tips it over, as a share of it [-]."""

    name: str
    used: float


@dataclass(frozen=True, slots=True)
class TransferRow:
    """One axle's weight transfer [N]; its name has the state in it where several are shown."""

    name: str
    parts: TransferParts


def transfer_rows(load_transfer: tuple[TransferParts, TransferParts]) -> tuple[TransferRow, ...]:
    """Front and rear axle; none where the weight transfer has no value [N]."""
    front, rear = load_transfer
    if not math.isfinite(front.total + rear.total):
        return ()
    return TransferRow("front axle", front), TransferRow("rear axle", rear)


@dataclass(frozen=True, slots=True)
class WaterfallStep:
    """The figure to start from, or what one thing adds to it, in SI; negative takes away."""

    name: str
    value: float


def load_bars(rows: Sequence[LoadRow], unit: str = "kg") -> str:
    """Ratings as bars that fill up to a mark, each on the scale of its own limit.

    `unit` is the reader's for mass. What is over a rating is hatched beyond the mark and says OVER.

    Examples
    --------
    >>> rows = [LoadRow("roof", RatingCheck("roof_load", 120.0, 100.0))]
    >>> "roof: 120 of 100 kg, OVER by 20 kg" in load_bars(rows)
    True
    """
    said, parts = [], []
    for n, row in enumerate(rows):
        check, top = row.check, n * ROW
        words = f"{figure(check.load, unit)} of {figure(check.limit, unit)} {unit}"
        over = ""
        if check.over:
            on, allowed, more = over_figures(check.load, check.limit, unit)
            words, over = f"{on} of {allowed} {unit}", f"OVER by {more} {unit}"
        said.append(f"{row.name}: {words}" + (f", {over}" if over else ""))
        parts.append(text(EDGE, top + 15, row.name))
        parts.append(
            text(WIDTH - EDGE, top + 15, words, anchor="end", bold=True)
            + _fill(_share(check), top + 21, over=over)
        )
    return svg(parts, "; ".join(said), (0, 0, WIDTH, max(len(rows), 1) * ROW))


def _share(check: RatingCheck) -> float:
    return check.load / check.limit if check.limit > 0.0 else float(check.load > 0.0) * 2.0


def margin_bars(rows: Sequence[MarginRow], until: str = "the first wheel lifts") -> str:
    """How much of a push a bend takes, and what is left; the mark is where it happens.

    Examples
    --------
    >>> margin_bars([MarginRow("now", 0.46)]).count("54 % left")
    2
    """
    said, parts = [], []
    for n, row in enumerate(rows):
        top, over = n * ROW, ""
        words = f"{100.0 * (1.0 - row.used):.0f} % left"
        if row.used >= 1.0:
            words = over = "a wheel is off the ground"
        said.append(f"{row.name}: {words}")
        parts.append(text(EDGE, top + 15, row.name))
        parts.append(text(WIDTH - EDGE, top + 15, words, anchor="end", bold=True))
        parts.append(_fill(row.used, top + 21, over=over))
    whole = f"Until {until} in this bend: {'; '.join(said)}"
    return svg(parts, whole, (0, 0, WIDTH, max(len(rows), 1) * ROW))


def _fill(share: float, top: float, *, over: str) -> str:
    """Track, fill up to a share of the limit, mark of the limit, and what is beyond it."""
    full = LIMIT_AT * ROOM
    wide = min(max(share, 0.0), FURTHEST / LIMIT_AT) * full
    found = rectangle(EDGE, top, ROOM, THICK, style=f"fill:{TRACK}")
    found += rectangle(EDGE, top, min(wide, full), THICK, style=f"fill:{RED if over else BLUE}")
    if over:
        beyond = max(wide - full, 6.0)
        found += rectangle(EDGE + full, top, beyond, THICK, style=f"fill:{PAPER};stroke:{RED}")
        lines = hatch(EDGE + full, top, beyond, THICK, step=5.0)
        found += f'<path class="over" style="fill:none;stroke:{RED};stroke-width:2" d="{lines}"/>'
        found += text(EDGE + 6, top + 14, over, bold=True, colour=PAPER)
    mark = f"M{EDGE + full:.1f} {top:.1f}v{THICK + 4:g}"
    return found + f'<path class="limit" style="{LINE};stroke-width:2.5" d="{mark}"/>'


def transfer_bars(rows: Sequence[TransferRow], unit: str = "N") -> str:
    """Weight transfer as stacked parts, all rows on one scale; what takes away goes left of zero.

    `unit` is the reader's for force. Below stands a key; each part has a pattern of its own besides
    its colour.

    Examples
    --------
    >>> rows = [TransferRow("rear", TransferParts(900.0, 300.0, 100.0))]
    >>> "rear: 1300 N (elastic 900, geometric 300, unsprung 100)" in transfer_bars(rows)
    True
    """
    values = [_values(row) for row in rows]
    most = max([sum(v for v in row if v > 0.0) for row in values], default=0.0)
    least = min([sum(v for v in row if v < 0.0) for row in values], default=0.0)
    scale = ROOM / max(most - least, SMALL)
    zero = EDGE - least * scale
    said, parts = [], []
    for n, (row, shares) in enumerate(zip(rows, values, strict=True)):
        top = n * (ROW + 17.0)
        total = f"{_minus(figure(row.parts.total, unit))} {unit}"
        each = [_minus(figure(value, unit)) for value in shares]
        named = ", ".join(f"{name} {value}" for name, value in zip(PARTS, each, strict=True))
        said.append(f"{row.name}: {total} ({named})")
        parts += [
            text(EDGE, top + 15, row.name),
            text(WIDTH - EDGE, top + 15, total, anchor="end", bold=True),
            _stack(shares, zero, scale, top=top + 21),
            text(EDGE, top + 54, named, size=12),
        ]
    foot = len(rows) * (ROW + 17.0)
    parts.append(_transfer_key(foot))
    return svg(parts, "; ".join(said), (0, 0, WIDTH, foot + KEY))


def _values(row: TransferRow) -> tuple[float, float, float]:
    return row.parts.elastic, row.parts.geometric, row.parts.unsprung


def _stack(shares: Sequence[float], zero: float, scale: float, *, top: float) -> str:
    ends, found = {True: zero, False: zero}, ""
    for n, value in enumerate(shares):
        wide = abs(value) * scale
        up = value >= 0.0
        left = ends[up] if up else ends[up] - wide
        ends[up] += wide if up else -wide
        found += _part(n, left, top, wide)
    mark = f"M{zero:.1f} {top - 3:.1f}v{THICK + 6:g}"
    return found + f'<path class="zero" style="{LINE};stroke-width:2.2" d="{mark}"/>'


def _part(n: int, x: float, y: float, wide: float) -> str:
    """Elastic plain, geometric with slanting lines, unsprung with upright ones."""
    colour = (BLUE, _SAND, _GREEN)[n]
    found = rectangle(x, y, wide, THICK, style=f"fill:{colour};{_EDGE}")
    lines = ""
    if n == 1:
        lines = hatch(x, y, wide, THICK, step=7.0)
    if n == 2:
        count = int(wide / 5.0)
        lines = "".join(f"M{x + (k + 0.5) * 5.0:.1f} {y:.1f}v{THICK:g}" for k in range(count))
    return found + (f'<path style="{LINE};stroke-width:1.1" d="{lines}"/>' if lines else "")


def _transfer_key(top: float) -> str:
    each = ROOM / len(PARTS)
    return "".join(
        _part(n, EDGE + n * each, top + 4, 24.0) + text(EDGE + n * each + 30, top + 18, name)
        for n, name in enumerate(PARTS)
    )


def waterfall(
    steps: Sequence[WaterfallStep], unit: str, *, end: str = "now", decimals: int | None = None
) -> str:
    """What adds up from one figure to another, one row a step.

    The first step is the figure to start from, the others are what is added to it, in SI; `end` is
    what the sum is called. With no `decimals` there are as many as suit the unit. Ends are plain;
    what adds is hatched upward and has a plus, what takes away is hatched downward and has a minus.
    Raises ValueError if there is no step to start from.

    Examples
    --------
    >>> import math
    >>> steps = [WaterfallStep("unladen", math.radians(3.0))]
    >>> steps += [WaterfallStep("roof", math.radians(0.5))]
    >>> "unladen 3.00 deg; roof +0.50; now 3.50 deg" in waterfall(steps, "deg")
    True
    """
    if not steps:
        raise ValueError("waterfall: a figure to start from is needed")
    levels = [0.0]
    for item in steps:
        levels.append(levels[-1] + item.value)
    low, high = min(levels), max(levels)
    scale = ROOM / max(high - low, SMALL)
    zero = EDGE - low * scale
    spans = [*pairwise(levels), (0.0, levels[-1])]
    rows = [*steps, WaterfallStep(end, levels[-1])]
    said, parts = [], []
    for n, (item, (start, stop)) in enumerate(zip(rows, spans, strict=True)):
        inner = 0 < n < len(rows) - 1
        amount = _amount(item.value, unit, signed=inner, decimals=decimals)
        said.append(f"{item.name} {amount}")
        top, x = n * STAIR, zero + min(start, stop) * scale
        parts.append(text(EDGE, top + 14, item.name, bold=not inner))
        parts.append(text(WIDTH - EDGE, top + 14, amount, anchor="end", bold=True))
        parts.append(_block(x, top + 19, abs(stop - start) * scale, value=item.value, inner=inner))
        if n < len(rows) - 1:
            parts.append(_joint(zero + stop * scale, top + 19 + THICK))
    return svg(parts, "; ".join(said), (0, 0, WIDTH, len(rows) * STAIR))


def _amount(value: float, unit: str, *, signed: bool, decimals: int | None) -> str:
    shown = _minus(figure(value, unit, decimals))
    if not signed:
        return f"{shown} {unit}".strip()
    return shown if shown.startswith("−") else f"+{shown}"


def _minus(shown: str) -> str:
    """A minus as long as a plus."""
    return shown.replace("-", "−")


def _joint(x: float, foot: float) -> str:
    """Where the next bar goes on; a whole line would cross its figure."""
    return f'<path style="{LINE};stroke-width:1.4" d="M{x:.1f} {foot:.1f}v5"/>'


def _block(x: float, y: float, wide: float, *, value: float, inner: bool) -> str:
    if not inner:
        return rectangle(x, y, wide, THICK, style=f"fill:{BLUE};{_EDGE}")
    colour = _SAND if value >= 0.0 else _GREEN
    found = rectangle(x, y, max(wide, 1.5), THICK, style=f"fill:{colour};{_EDGE}")
    lines = hatch(x, y, wide, THICK, step=6.0, rising=value >= 0.0)
    return found + (f'<path style="{LINE};stroke-width:1.1" d="{lines}"/>' if lines else "")
