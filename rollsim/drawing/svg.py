"""Pieces of SVG that every picture uses: frame, text, hatching, colours for both themes.

Inks follow the page through `currentColor` and `light-dark(a, b)`. No element has an id, so that
pictures can stand together on one page.
"""

from collections.abc import Sequence
from html import escape

WIDTH = 340  # about the width of a phone, so that text keeps its size there
TEXT_SIZE = 13
SHORTEST = 0.2  # of a line worth drawing

INK = "fill:currentColor"
LINE = "fill:none;stroke:currentColor"
RED = "light-dark(#b3261e,#ff9d92)"
BLUE = "light-dark(#0b5cad,#7db8f5)"
TEAL = "light-dark(#006d5b,#4fd8c0)"
AMBER = "light-dark(#f2c38b,#8a5a1e)"
PAPER = "light-dark(#ffffff,#14181e)"
PALE_BLUE = "light-dark(#cfe1f5,#27425f)"
GLASS = "light-dark(#f4f8fc,#14181e)"
RUBBER = "light-dark(#3b424b,#98a3af)"
TRACK = "light-dark(#e6ebf0,#2b333d)"


def svg(parts: Sequence[str], words: str, box: tuple[float, float, float, float]) -> str:
    """Frame of one picture, as wide as its place.

    `words` are a text alternative with the figures; `box` is left, top, width, height [units of the
    drawing].

    Examples
    --------
    >>> 'aria-label="a &lt; b"' in svg([], "a < b", (0, 0, 340, 10))
    True
    """
    left, top, width, height = box
    return (
        f'<svg role="img" aria-label="{escape(words)}" '
        f'viewBox="{left:g} {top:g} {width:g} {height:g}" '
        'style="width:100%;height:auto;display:block;font-family:inherit" '
        f'xmlns="http://www.w3.org/2000/svg">{"".join(parts)}</svg>'
    )


def text(
    x: float,
    y: float,
    words: str,
    *,
    anchor: str = "start",
    bold: bool = False,
    colour: str = "currentColor",
    size: float = TEXT_SIZE,
) -> str:
    """One line of text.

    `x` and `y`, of the anchor on the base line, and `size` are in [units of the drawing]; `anchor`
    is "start", "middle" or "end". The words are not yet escaped.
    """
    weight = ";font-weight:600" if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" '
        f'style="fill:{colour};font-size:{size:g}px{weight}">{escape(words)}</text>'
    )


def rectangle(x: float, y: float, width: float, height: float, *, style: str) -> str:
    """A rectangle [units of the drawing]."""
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" style="{style}"/>'
    )


def hatch(
    x: float, y: float, width: float, height: float, *, step: float, rising: bool = True
) -> str:
    """Diagonal lines that fill a rectangle [units of the drawing].

    Path data, each line clipped to the rectangle; `step` is between two lines, along x. They go
    upward to the right where `rising`, else downward.

    Examples
    --------
    >>> hatch(0, 0, 10, 10, step=10)
    'M0.0 10.0L10.0 0.0'
    """
    lines = []
    for n in range(1, int((width + height) / step - 1e-9) + 1):
        along = n * step  # where the line, followed down to the lower edge, would meet it
        start, end = max(0.0, along - height), min(width, along)
        if end - start < SHORTEST:
            continue
        # The rectangle's y at both ends of a falling line; a rising one is its mirror image.
        first, last = height - along + start, height - along + end
        if rising:
            first, last = height - first, height - last
        lines.append(f"M{x + start:.1f} {y + first:.1f}L{x + end:.1f} {y + last:.1f}")
    return "".join(lines)


def smooth(points: Sequence[tuple[float, float]], radius: float) -> str:
    """A closed outline with rounded corners, as path data [units of the drawing].

    Each corner is cut back along its sides by `radius`, at most to the middle of a side.
    """
    found = []
    for n, (x, y) in enumerate(points):
        ends = []
        for px, py in (points[n - 1], points[(n + 1) % len(points)]):
            length = ((px - x) ** 2 + (py - y) ** 2) ** 0.5 or 1.0
            share = min(radius / length, 0.5)
            ends.append((x + share * (px - x), y + share * (py - y)))
        (ax, ay), (bx, by) = ends
        found.append(f"{'L' if found else 'M'}{ax:.1f} {ay:.1f}Q{x:.1f} {y:.1f} {bx:.1f} {by:.1f}")
    return "".join(found) + "Z"
