"""The bar from above with its dimensions: what the maker of a bar needs to see."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rollsim.drawing.svg import INK, LINE, PAPER, WIDTH, svg, text

_SIDE = 46.0  # beside the link ends, for the arm's dimension
_OVER, _UNDER = 62.0, 46.0  # over the centre section and under the link ends
_BAR = 7.0
_THIN = f"{LINE};stroke-width:1"
_TICK = 4.0


@dataclass(frozen=True, slots=True)
class BarDimensions:
    """A bar from above, all in [m].

    `half` goes back and out along one half, from the middle to the link end; `bush_spacing` is
    between the middles of the bushes, `centre_length` between the corners of the centreline, None
    where the bar is no straight U; `lever` is the arm length square to the centre section.
    """

    half: tuple[tuple[float, float], ...]
    bush_spacing: float
    centre_length: float | None
    lever: float


def bar_order(bar: BarDimensions, length: Callable[[float], str], *, title: str) -> str:
    """Draw a bar from above with its dimensions, to scale but for its thickness.

    `length` writes a length [m] with the reader's unit; `title` says which bar.

    Examples
    --------
    >>> bar = BarDimensions(((0.0, 0.0), (0.0, 0.47), (0.26, 0.52)), 0.82, 0.94, 0.26)
    >>> "link ends 1040 mm" in bar_order(bar, lambda x: f"{x * 1e3:.0f} mm", title="24 mm")
    True
    """
    spread = max(out for _, out in bar.half)
    scale = (WIDTH - 2.0 * _SIDE) / (2.0 * spread)
    front = min(back for back, _ in bar.half)
    half = [(out * scale, _OVER + (back - front) * scale) for back, out in bar.half]
    foot, top = max(y for _, y in half), _OVER + (bar.half[0][0] - front) * scale
    ends = 2.0 * bar.half[-1][1]
    rows = [("bush to bush", bar.bush_spacing, 34.0)]
    if bar.centre_length is not None:
        rows.append(("centre", bar.centre_length, 12.0))
    parts = [_steel(half), _bushes(bar.bush_spacing * scale / 2.0, top), _joints(half[-1])]
    said = []
    for name, value, y in rows:
        words = f"{name} {length(value)}"
        parts.append(_across(value * scale / 2.0, y, words, down=top - 8.0))
        said.append(words)
    words = f"link ends {length(ends)}"
    parts.append(_across(ends * scale / 2.0, foot + 34.0, words, down=foot + 10.0))
    arm = f"arm {length(bar.lever)}"
    parts.append(_arm(half[-1], top, arm))
    alternative = f"{title} from above: {', '.join([*said, words, arm])}"
    return svg(parts, alternative, (-WIDTH / 2, -4, WIDTH, foot + _UNDER + 4))


def _steel(half: Sequence[tuple[float, float]]) -> str:
    there = [f"{x:.1f} {y:.1f}" for x, y in half]
    back = [f"{-x:.1f} {y:.1f}" for x, y in reversed(half)]
    way = "L".join([*back, *there])
    joined = "stroke-linejoin:round;stroke-linecap:round"
    outer = f'<path style="{LINE};stroke-width:{_BAR + 2:g};{joined}" d="M{way}"/>'
    paper = f"fill:none;stroke:{PAPER};stroke-width:{_BAR - 1:g};{joined}"
    return outer + f'<path style="{paper}" d="M{way}"/>'


def _bushes(x: float, y: float) -> str:
    return "".join(
        f'<rect x="{side * x - 6:.1f}" y="{y - 9:.1f}" width="12" height="18" style="{INK}"/>'
        for side in (-1, 1)
    )


def _joints(end: tuple[float, float]) -> str:
    x, y = end
    return "".join(
        f'<circle cx="{side * x:.1f}" cy="{y:.1f}" r="6" '
        f'style="fill:{PAPER};stroke:currentColor;stroke-width:2"/>'
        for side in (-1, 1)
    )


def _across(x: float, y: float, words: str, *, down: float) -> str:
    """A dimension across the vehicle, its ends carried over to the bar."""
    ends = "".join(
        f"M{side * x:.1f} {y - _TICK:.1f}V{down:.1f}"
        f"M{side * x - _TICK:.1f} {y + _TICK:.1f}l{2 * _TICK:g} {-2 * _TICK:g}"
        for side in (-1, 1)
    )
    line = f'<path style="{_THIN}" d="M{-x:.1f} {y:.1f}H{x:.1f}{ends}"/>'
    return line + text(0, y - 4, words, anchor="middle", bold=True)


def _arm(end: tuple[float, float], top: float, words: str) -> str:
    """The arm's length beside the right end, square to the centre section."""
    x, foot = end[0] + 16.0, end[1]
    ends = "".join(
        f"M{x - 8:.1f} {y:.1f}h{8 + _TICK:g}M{x - _TICK:.1f} {y + _TICK:.1f}"
        f"l{2 * _TICK:g} {-2 * _TICK:g}"
        for y in (top, foot)
    )
    line = f'<path style="{_THIN}" d="M{x:.1f} {top:.1f}V{foot:.1f}{ends}"/>'
    middle = (top + foot) / 2.0
    turned = (
        f'<g transform="rotate(-90 {x + 13:.1f} {middle:.1f})">'
        f"{text(x + 13, middle, words, anchor='middle', bold=True)}</g>"
    )
    return line + turned
