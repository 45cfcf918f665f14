"""Lean against lateral acceleration in black and white, for paper."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rollsim.drawing.svg import INK, LINE, PAPER, WIDTH, svg, text

_LEFT, _RIGHT, _TOP, _FOOT = 34.0, 12.0, 26.0, 196.0
_ROW = 19.0  # height of a line of the key
_STYLES = (
    "stroke-width:1.6;stroke-dasharray:2 3",
    "stroke-width:1.8;stroke-dasharray:8 4",
    "stroke-width:3",
)
_GRID = f"{LINE};stroke-width:0.6;stroke-opacity:0.45"
_ROOM = 1.08  # times the largest lean
_FEWEST_STEPS = 5
_LATERAL_STEP = 0.1  # g


@dataclass(frozen=True, slots=True)
class LeanLine:
    """One state's lean.

    `lateral_acceleration` [g] and `lean` [deg] are of its points, from straight ahead on; `tips_at`
    is the tipping point [g], marked where the chart reaches as far, NaN where there is none.
    """

    name: str
    lateral_acceleration: tuple[float, ...]
    lean: tuple[float, ...]
    tips_at: float = math.nan


def lean_lines(lines: Sequence[LeanLine], *, reach: float, mark: float) -> str:
    """Draw lean curves that stay apart without colour: dotted, dashed and full.

    The chart ends at `reach` [g]. At `mark` [g] stands an upright line, with a dot on each curve
    that has a point there. The key stands below. Raises ValueError if there are no lines, or more
    than three.

    Examples
    --------
    >>> drawn = lean_lines([LeanLine("empty", (0.0, 0.3), (0.0, 1.7))], reach=0.7, mark=0.3)
    >>> "empty: 1.7 deg at 0.3 g" in drawn
    True
    """
    if not 1 <= len(lines) <= len(_STYLES):
        raise ValueError(f"{len(lines)} lines; allowed 1 to {len(_STYLES)}")
    most = max([lean for line in lines for lean in line.lean], default=0.0)
    least = min([0.0, *(lean for line in lines for lean in line.lean)])
    top = max(most * _ROOM, least + 1.0)
    x = _scale(0.0, reach, _LEFT, end=WIDTH - _RIGHT)
    y = _scale(least, top, _FOOT, end=_TOP)
    parts = _axes(reach, least, top, x=x, y=y)
    parts.append(f'<path style="{_GRID};stroke-width:1.2" d="M{x(mark):.1f} {_TOP}V{_FOOT}"/>')
    said = []
    styles = _STYLES[len(_STYLES) - len(lines) :]
    for n, (line, style) in enumerate(zip(lines, styles, strict=True)):
        parts += [*_curve(line, style, x, y=y, mark=mark), *_key(n, line, style)]
        said.append(f"{line.name}: {_at(line, mark)}")
    box = (0, 0, WIDTH, _FOOT + 44 + _ROW * len(lines))
    return svg(parts, f"Lean against lateral acceleration: {'; '.join(said)}", box)


def _scale(low: float, high: float, start: float, *, end: float) -> Callable[[float], float]:
    return lambda value: start + (value - low) / (high - low) * (end - start)


def _axes(
    reach: float,
    least: float,
    top: float,
    *,
    x: Callable[[float], float],
    y: Callable[[float], float],
) -> list[str]:
    step = next(s for s in (1.0, 2.0, 5.0, 10.0, 90.0) if (top - least) / s <= _FEWEST_STEPS + 3)
    parts = [
        text(2, 14, "lean, deg"),
        text(WIDTH - _RIGHT, _FOOT + 34, "lateral acceleration, g", anchor="end"),
    ]
    for n in range(math.ceil(least / step), math.floor(top / step) + 1):
        parts.append(f'<path style="{_GRID}" d="M{_LEFT} {y(n * step):.1f}H{WIDTH - _RIGHT}"/>')
        parts.append(text(_LEFT - 5, y(n * step) + 4, f"{n * step:g}", anchor="end"))
    for n in range(round(reach / _LATERAL_STEP) + 1):
        at = n * _LATERAL_STEP
        parts.append(f'<path style="{LINE};stroke-width:1" d="M{x(at):.1f} {_FOOT}v4"/>')
        if n % 2 == 0 or n == 3:
            parts.append(text(x(at), _FOOT + 17, f"{at:.1f}", anchor="middle"))
    frame = f"M{_LEFT} {_TOP - 4}V{_FOOT}H{WIDTH - _RIGHT}"
    return [*parts, f'<path style="{LINE};stroke-width:1.4" d="{frame}"/>']


def _curve(
    line: LeanLine, style: str, x: Callable[[float], float], *, y: Callable[[float], float], mark
) -> list[str]:
    points = list(zip(line.lateral_acceleration, line.lean, strict=True))
    if not points:
        return []
    way = "L".join(f"{x(at):.1f} {y(lean):.1f}" for at, lean in points)
    parts = [f'<path class="lean" style="{LINE};{style}" d="M{way}"/>']
    parts += [
        f'<circle cx="{x(at):.1f}" cy="{y(lean):.1f}" r="4" '
        f'style="fill:{PAPER};stroke:currentColor;stroke-width:2"/>'
        for at, lean in points
        if abs(at - mark) < 1e-9
    ]
    at, lean = points[-1]
    if line.tips_at - at < _LATERAL_STEP / 2.0:
        px, py = x(at), y(lean)
        parts.append(f'<path style="{INK}" d="M{px - 6:.1f} {py + 5:.1f}h12l-6 -11z"/>')
    return parts


def _key(n: int, line: LeanLine, style: str) -> list[str]:
    foot = _FOOT + 54 + _ROW * n
    tips = f", tips at {line.tips_at:.2f} g" if math.isfinite(line.tips_at) else ""
    return [
        f'<path style="{LINE};{style}" d="M2 {foot - 4:g}h34"/>',
        text(44, foot, f"{line.name}{tips}"),
    ]


def _at(line: LeanLine, mark: float) -> str:
    found = zip(line.lateral_acceleration, line.lean, strict=True)
    lean = next((lean for at, lean in found if abs(at - mark) < 1e-9), None)
    return f"tips before {mark:g} g" if lean is None else f"{lean:.1f} deg at {mark:g} g"
