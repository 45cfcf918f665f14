"""Spring travel as an upright gauge: full droop above, bump stop below, the helper between."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rollsim.drawing.svg import (
    AMBER,
    BLUE,
    INK,
    LINE,
    PAPER,
    RED,
    TRACK,
    hatch,
    rectangle,
    text,
)
from rollsim.reader_units import figure

HEIGHT = 150.0  # of the longest gauge
THICK = 22.0
APART, SIZE = 16.0, 12.5  # of the lines of text
BEYOND = 0.02  # m past a stop that is drawn
OPEN = 0.08  # m drawn to a side where no stop is given
ROUNDS_TO_ZERO = 0.0005  # m
CAPTION = (
    "Gauges: body over axle, hub to arch, full droop above and bump stop below; filled: travel "
    "used, hatched: where the helper leaves (second stage) work. Dashed: as weighed."
)


@dataclass(frozen=True, slots=True)
class Travel:
    """Travel of one axle, the body over the axle from as weighed, up positive. NaN: not given.

    `now` is where it stands, `bump_stop` and `rebound_limit` are where these begin to work, and
    `second_stage` is where that comes in, all on this measure [m]. What is left to a stop is
    measured at the stop [m], below zero where it is at work. `coils_close`: what ends the travel
    below is the spring's coils, not a bump stop.
    """

    now: float
    bump_stop: float
    rebound_limit: float
    bump_left: float
    rebound_left: float
    second_stage: float
    coils_close: bool = False

    @property
    def lower_end(self) -> str:
        """What ends the travel below."""
        return "closed coils" if self.coils_close else "bump stop"

    @property
    def span(self) -> tuple[float, float]:
        """Lower and upper end of its gauge [m]."""
        low = self.bump_stop - BEYOND if math.isfinite(self.bump_stop) else -OPEN
        high = self.rebound_limit + BEYOND if math.isfinite(self.rebound_limit) else OPEN
        return min(low, self.now - BEYOND), max(high, self.now + BEYOND)


def travel_scale(travels: Sequence[Travel]) -> float:
    """Scale that gives the longest of some gauges the full height [units of the drawing per m]."""
    low = min(travel.span[0] for travel in travels)
    high = max(travel.span[1] for travel in travels)
    return HEIGHT / (high - low)


def travel_words(travel: Travel, unit: str) -> str:
    """The gauge in words for a text alternative, in the reader's unit of length.

    Examples
    --------
    >>> travel_words(Travel(-0.02, -0.06, 0.075, 0.04, 0.095, math.nan), "mm")
    'ride height -20 mm, 40 mm to bump stop, 95 mm to full droop'
    """
    parts = [
        f"ride height {signed(travel.now, unit)} {unit}",
        _to(travel.bump_left, travel.lower_end, unit),
        _to(travel.rebound_left, "full droop", unit),
    ]
    if math.isfinite(travel.second_stage):
        works = travel.now < travel.second_stage
        parts.append("helper leaves at work" if works else "helper leaves idle")
    return ", ".join(part for part in parts if part)


def left_words(travel: Travel, unit: str) -> tuple[str, str]:
    """What is left to the lower and to the upper end, or that an end is not given.

    Examples
    --------
    >>> left_words(Travel(-0.02, -0.06, math.nan, 0.04, math.nan, math.nan), "mm")
    ('40 mm to bump stop', 'full droop not given')
    """
    return (
        _to(travel.bump_left, travel.lower_end, unit) or f"{travel.lower_end} not given",
        _to(travel.rebound_left, "full droop", unit) or "full droop not given",
    )


def travel_gauge(travel: Travel, x: float, zero: float, *, scale: float, unit: str) -> str:
    """Draw the gauge of one axle.

    `x` is the left edge and `zero` the y of as weighed [units of the drawing], `scale` is from
    `travel_scale`, and `unit` is the reader's for length.
    """

    def y(rise: float) -> float:
        return zero - rise * scale

    low, high = travel.span
    top, foot, now = y(high), y(low), y(travel.now)
    parts = [
        rectangle(x, top, THICK, foot - top, style=f"fill:{TRACK}"),
        rectangle(x, top, THICK, now - top, style=f"fill:{BLUE};fill-opacity:0.75"),
        _helper(travel, x, y),
        *(_stop(x, y(at), end) for at, end in _ends(travel, top, foot)),
        f'<path style="{LINE};stroke-width:1.2;stroke-dasharray:4 3" '
        f'd="M{x - 4:.1f} {zero:.1f}h{THICK + 8:g}"/>',
        _pointer(x + THICK, now),
        _labels(travel, x + THICK, y, unit=unit),
    ]
    return f'<g class="travel">{"".join(parts)}</g>'


def signed(value: float, unit: str) -> str:
    """A change [m] in the reader's unit with its sign: plus marks a rise, none before a zero.

    Examples
    --------
    >>> signed(0.0358, "mm"), signed(0.0001, "mm"), signed(-0.012, "mm")
    ('+36', '0', '-12')
    """
    shown = figure(value, unit)
    rises = shown[0].isdigit() and float(shown) != 0.0
    return f"+{shown}" if rises else shown


def _ends(travel: Travel, top: float, foot: float) -> list[tuple[float, float]]:
    """Where each stop begins [m], and the end of the gauge beyond it [units of the drawing]."""
    stops = ((travel.rebound_limit, top), (travel.bump_stop, foot))
    return [(at, end) for at, end in stops if math.isfinite(at)]


def _stop(x: float, at: float, end: float) -> str:
    """A bar across the gauge, and what is behind it as a solid block."""
    top, tall = min(at, end), abs(end - at)
    block = rectangle(x, top, THICK, tall, style=f"{INK};fill-opacity:0.45")
    line = f"M{x - 4:.1f} {at:.1f}h{THICK + 8:g}"
    return f'{block}<path class="stop" style="{LINE};stroke-width:3" d="{line}"/>'


def _helper(travel: Travel, x: float, y: Callable[[float], float]) -> str:
    """Where the second stage works: a hatched strip, as far as the gauge goes."""
    low, high = travel.span
    if not travel.second_stage > low:
        return ""
    foot, start = y(low), y(min(travel.second_stage, high))
    wide = THICK / 2
    lines = hatch(x + wide, start, wide, foot - start, step=6.0)
    return (
        rectangle(x + wide, start, wide, foot - start, style=f"fill:{AMBER}")
        + f'<path class="helper" style="{LINE};stroke-width:1.1" d="{lines}"/>'
        + f'<path style="{LINE};stroke-width:1.6" d="M{x:.1f} {start:.1f}h{THICK:g}"/>'
    )


def _pointer(x: float, y: float) -> str:
    return (
        f'<path class="now" style="fill:{RED};stroke:{PAPER};stroke-width:0.8" '
        f'd="M{x - THICK:.1f} {y - 1.6:.1f}h{THICK - 2:g}l10 -6v15.2l-10 -6h-{THICK - 2:g}z"/>'
    )


def _labels(travel: Travel, x: float, y: Callable[[float], float], *, unit: str) -> str:
    """Names of the marks, none over another, each with a line to its mark."""
    found = []
    if math.isfinite(travel.rebound_limit):
        found.append((y(travel.rebound_limit), _to(travel.rebound_left, "full droop", unit), False))
    if math.isfinite(travel.bump_stop):
        found.append((y(travel.bump_stop), _to(travel.bump_left, travel.lower_end, unit), False))
    if math.isfinite(travel.second_stage) and travel.second_stage > travel.span[0]:
        found.append((y(travel.second_stage), "helper leaves start", False))
    here = f"now {signed(travel.now, unit)} {unit}"
    if abs(travel.now) < ROUNDS_TO_ZERO:
        here = "now, as weighed"
    else:
        found.append((y(0.0), "as weighed", False))
    found.append((y(travel.now), here, True))
    found.sort(key=lambda label: label[0])
    lines = _spread([at for at, _, _ in found])
    return "".join(
        f'<path style="{LINE};stroke-width:0.9;stroke-opacity:0.7" '
        f'd="M{x + 4:.1f} {at:.1f}L{x + 11:.1f} {line:.1f}h2"/>'
        + text(x + 15, line + 4.5, words, bold=bold, size=SIZE)
        for (at, words, bold), line in zip(found, lines, strict=True)
    )


def _spread(marks: Sequence[float]) -> list[float]:
    """Lines of text near their marks, none closer to the next than a line is high."""
    lines = list(marks)
    for _ in range(len(lines)):
        for n in range(1, len(lines)):
            short = APART - (lines[n] - lines[n - 1])
            if short > 0.0:
                lines[n - 1] -= short / 2.0
                lines[n] += short / 2.0
    for n in range(1, len(lines)):
        lines[n] = max(lines[n], lines[n - 1] + APART)
    return lines


def _to(left: float, name: str, unit: str) -> str:
    """How far it is to a stop, or how far into it."""
    if math.isnan(left):
        return ""
    if left < 0.0:
        return f"{figure(-left, unit)} {unit} into {name}"
    return f"{figure(left, unit)} {unit} to {name}"
