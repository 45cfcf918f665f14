"""One curve with a mark that moves along it: what does this input do to the lean?"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rollsim.drawing.svg import BLUE, LINE, RED, WIDTH, svg, text

_LEFT, _RIGHT, _TOP, _FOOT = 44.0, 14.0, 28.0, 208.0
_HEIGHT = 256.0
_TICKS = 5
ROOM = 0.08  # of the range, above and below the curve


@dataclass(frozen=True, slots=True)
class Axis:
    """Values along one axis, in the reader's unit.

    The title has the unit. A value of the curve is NaN where there is none; `decimals` are those of
    the figures on the axis.
    """

    title: str
    values: tuple[float, ...]
    decimals: int


def effect_curve(across: Axis, up: Axis, *, now: int, at: int) -> str:
    """A curve, the vehicle as it is, and the value chosen.

    `across` is the input, rising, and `up` what follows from it. `now` and `at` are places among
    the values: of the vehicle as it is, a ring, and of the chosen value, a filled mark.

    Examples
    --------
    >>> base = Axis("track, mm", (1400.0, 1500.0, 1600.0), 0)
    >>> "lean per g, deg/g 5.00 at 1600" in effect_curve(
    ...     base, Axis("lean per g, deg/g", (7.0, 6.0, 5.0), 2), now=1, at=2
    ... )
    True
    """
    x = _scale(across.values, _LEFT, WIDTH - _RIGHT, room=0.0)
    y = _scale(up.values, _FOOT, _TOP, room=ROOM)
    points = [
        (x(a), y(b)) for a, b in zip(across.values, up.values, strict=True) if math.isfinite(b)
    ]
    line = "L".join(f"{px:.1f} {py:.1f}" for px, py in points)
    parts = [*_ticks(across, up, x, y=y), f'<path style="{LINE};stroke-width:2.5" d="M{line}"/>']
    for n, style in ((now, f"{LINE};stroke:{BLUE};stroke-width:2.5"), (at, f"fill:{RED}")):
        if math.isfinite(up.values[n]):
            cx, cy = x(across.values[n]), y(up.values[n])
            parts.append(f'<circle cx="{cx:.1f}" cy="{cy:.1f}" r="7" style="{style}"/>')
    said = (
        f"{up.title} {up.values[at]:.{up.decimals}f} at "
        f"{across.values[at]:.{across.decimals}f} {across.title}; now "
        f"{up.values[now]:.{up.decimals}f} at {across.values[now]:.{across.decimals}f}"
    )
    parts += [
        text(4, 14, up.title),
        text((_LEFT + WIDTH - _RIGHT) / 2, _FOOT + 38, across.title, anchor="middle"),
    ]
    return svg(parts, said, (0, 0, WIDTH, _HEIGHT))


def _scale(
    values: Sequence[float], start: float, end: float, *, room: float
) -> Callable[[float], float]:
    finite = [v for v in values if math.isfinite(v)] or [0.0]
    low, high = min(finite), max(finite)
    more = room * (high - low) or 1e-3 * max(abs(high), 1.0) * (room > 0.0)
    low, high = low - more, high + more
    wide = (high - low) or 1.0
    return lambda v: start + (v - low) / wide * (end - start)


def _ticks(
    across: Axis, up: Axis, x: Callable[[float], float], *, y: Callable[[float], float]
) -> list[str]:
    """Two lines for the axes and a few figures along each."""
    parts = [
        f'<path style="{LINE};stroke-width:1" '
        f'd="M{_LEFT} {_TOP - 6}V{_FOOT + 6}H{WIDTH - _RIGHT}"/>'
    ]
    low, high = across.values[0], across.values[-1]
    for n in range(_TICKS):
        value = low + (high - low) * n / (_TICKS - 1)
        anchor = "end" if n == _TICKS - 1 else "middle"
        label = f"{value:.{across.decimals}f}"
        parts.append(text(x(value), _FOOT + 21, label, anchor=anchor, size=12))
    finite = [v for v in up.values if math.isfinite(v)]
    for value in sorted({min(finite), max(finite)} if finite else ()):
        label = f"{value:.{up.decimals}f}"
        parts.append(text(_LEFT - 5, y(value) + 4, label, anchor="end", size=12))
    return parts
