"""How far a damper reaches: its stroke as a rail, and what the axle's travel takes of it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rollsim.drawing.svg import BLUE, INK, LINE, PAPER, RED, TRACK, WIDTH, hatch, rectangle, svg
from rollsim.drawing.svg import text as words_at
from rollsim.reader_units import figure

EDGE = 8.0
ROOM = WIDTH - 2.0 * EDGE
ROW, THICK = 112.0, 20.0
SMALL = 11.5
APART = 84.0  # of two labels on one line


@dataclass(frozen=True, slots=True)
class DamperRow:
    """One axle's damper, named, its verdict, lengths from eye to eye [m]; NaN: not given."""

    name: str
    verdict: str
    closed: float
    open: float
    at_bump: float
    at_droop: float
    now: float


def damper_rails(rows: Sequence[DamperRow], unit: str = "mm") -> str:
    """Dampers on one scale; what the travel wants beyond the stroke is hatched red.

    Examples
    --------
    >>> row = DamperRow("rear, touring", "reaches", 0.35, 0.56, 0.389, 0.535, 0.465)
    >>> "closed 350, bump stop 389, now 465, full droop 535, open 560 mm" in damper_rails([row])
    True
    """
    known = [x for row in rows for x in _lengths(row) if math.isfinite(x)]
    low, high = min(known), max(known)
    scale = ROOM / max(high - low, 1e-9)
    said, parts = [], []
    for n, row in enumerate(rows):
        told = zip(
            ("closed", "bump stop", "now", "full droop", "open"),
            (row.closed, row.at_bump, row.now, row.at_droop, row.open),
            strict=True,
        )
        each = ", ".join(f"{name} {figure(x, unit)}" for name, x in told if math.isfinite(x))
        said.append(f"{row.name}: {row.verdict}: {each} {unit}")
        parts.append(_row(row, n * ROW, low, scale, unit=unit))
    return svg(parts, "; ".join(said), (0, 0, WIDTH, len(rows) * ROW))


def _lengths(row: DamperRow) -> tuple[float, ...]:
    return row.closed, row.open, row.at_bump, row.at_droop, row.now


def _row(row: DamperRow, top: float, low: float, scale: float, *, unit: str) -> str:
    def x(length: float) -> float:
        return EDGE + (length - low) * scale

    rail = top + 42.0
    parts = [
        words_at(EDGE, top + 15, row.name),
        words_at(WIDTH - EDGE, top + 15, row.verdict, anchor="end", bold=True),
        rectangle(
            x(row.closed),
            rail,
            x(row.open) - x(row.closed),
            THICK,
            style=f"fill:{TRACK};stroke:currentColor;stroke-width:1.2",
        ),
        _label(x(row.closed), top + 35, f"closed {figure(row.closed, unit)}"),
        _label(x(row.open), top + 35, f"open {figure(row.open, unit)}"),
    ]
    known = [one for one in (row.at_bump, row.at_droop) if math.isfinite(one)]
    if len(known) == 2:
        start, end = (min(max(one, row.closed), row.open) for one in known)
        parts.append(rectangle(x(start), rail, x(end) - x(start), THICK, style=f"fill:{BLUE}"))
    ends = ((row.at_bump, row.closed, "bump stop"), (row.at_droop, row.open, "full droop"))
    for at, end, name in ends:
        if not math.isfinite(at):
            continue
        beyond = at < row.closed if end == row.closed else at > row.open
        parts.append(_beyond(x(min(at, end)), x(max(at, end)), rail) if beyond else "")
        parts.append(f'<path style="{LINE};stroke-width:3" d="M{x(at):.1f} {rail - 4:.1f}v28"/>')
        parts.append(_label(x(at), rail + 37, f"{name} {figure(at, unit)}"))
    if math.isfinite(row.now):
        here = x(row.now)
        tip = f"M{here:.1f} {rail + THICK - 3:.1f}l-7 14h14z"
        parts.append(f'<path style="fill:{RED};stroke:{PAPER};stroke-width:0.8" d="{tip}"/>')
        parts.append(_label(here, rail + 53, f"now {figure(row.now, unit)} {unit}", bold=True))
    return f'<g class="damper">{"".join(parts)}</g>'


def _beyond(left: float, right: float, top: float) -> str:
    """What the travel wants and the damper has not."""
    wide = max(right - left, 2.0)
    lines = hatch(left, top, wide, THICK, step=5.0)
    return (
        rectangle(left, top, wide, THICK, style=f"fill:{PAPER};stroke:{RED}")
        + f'<path class="over" style="fill:none;stroke:{RED};stroke-width:2" d="{lines}"/>'
    )


def _label(x: float, y: float, words: str, *, bold: bool = False) -> str:
    """Words at a mark, kept inside the picture."""
    colour = INK.removeprefix("fill:")
    anchor = "start" if x < APART / 2.0 else "end" if x > WIDTH - APART / 2.0 else "middle"
    return words_at(x, y, words, anchor=anchor, bold=bold, colour=colour, size=SMALL)
