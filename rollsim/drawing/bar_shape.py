"""The bar from above, its steel drawn as hard as it works."""

import math
from collections.abc import Sequence
from itertools import pairwise

from rollsim.bar import StressAlong
from rollsim.drawing.svg import INK, LINE, PAPER, WIDTH, rectangle, svg, text

MARGIN = 34.0  # beside the link ends, for their names
ABOVE, BELOW = 34.0, 42.0  # for the peak's figure over the bar, and the names under it
FREE = 88.0  # from the middle: the peak's figure ends before it
KEY = 44.0  # height of the key
THIN, THICK = 2.5, 13.0  # width of the band at no stress and at the allowable stress
MOST = 1.25  # of the allowable stress: wider no band becomes
STEP = 0.012  # m: the band is drawn in pieces of about this length
EDGES = (0.25, 0.50, 0.75, 1.0)
COLOURS = (
    "light-dark(#b9c7d6,#4a5a6c)",
    "light-dark(#7aa6d6,#5f8fc4)",
    "light-dark(#2f6fb3,#9cc7f2)",
    "light-dark(#123a6b,#e3f0ff)",
    "light-dark(#c2410c,#ff9a5c)",
)
NAMES = ("to 25 %", "50 %", "75 %", "100 %", "OVER")


def bar_plan(
    points: Sequence[tuple[float, float]],
    stress: Sequence[float],
    *,
    allowable: float,
    bush_spacing: float,
    peak_words: str,
    title: str,
) -> str:
    """Draw a bar from above as a band, darker and wider the more its steel bears.

    `points` go back and out along one half, from the middle to the link end [m], with the `stress`
    at each [Pa]; `allowable` is the stress that makes the band full [Pa], `bush_spacing` the
    distance between the middles of the two bushes [m]. Raises ValueError if there are fewer than
    two points, or not as many stresses.

    Notes
    -----
    Lengths are to scale; the width of the band shows stress / allowable, not the section.

    Examples
    --------
    >>> half = ((0.0, 0.0), (0.0, 0.45), (0.25, 0.5))
    >>> drawn = bar_plan(half, (2e8, 4e8, 0.0), allowable=8e8, bush_spacing=0.8,
    ...                  peak_words="400 MPa", title="24 mm")
    >>> "peak 400 MPa, 50 % of the allowable stress" in drawn
    True
    """
    if len(points) < 2 or len(points) != len(stress):
        raise ValueError(
            f"{len(points)} points and {len(stress)} stresses: as many of each, two up"
        )
    scale = (WIDTH - 2 * MARGIN) / (2.0 * max(p[1] for p in points))
    front, rear = min(p[0] for p in points), max(p[0] for p in points)
    half = [(out * scale, ABOVE + (back - front) * scale) for back, out in points]
    share = [s / allowable for s in stress]
    peak = max(range(len(share)), key=lambda n: share[n])
    foot = ABOVE + (rear - front) * scale + BELOW
    bush = _at_bush(points, bush_spacing / 2.0)
    parts = [
        _axis(foot - BELOW),
        _bushes(bush_spacing / 2.0 * scale, ABOVE + (bush - front) * scale),
        _band(_thinned(half, share, STEP * scale)),
        _ends(*half[-1]),
        _peak(half[peak], peak_words, over=share[peak] > 1.0),
        _key(foot),
    ]
    worst = f"peak {peak_words}, {share[peak]:.0%} of the allowable stress".replace("%", " %")
    words = f"{title} from above, coloured by stress: {worst}" + (" – OVER" * (share[peak] > 1.0))
    return svg(parts, words, (-WIDTH / 2, 0, WIDTH, foot + KEY))


def bar_plan_of(
    along: StressAlong, bush_spacing: float, *, allowable: float, peak_words: str, title: str
) -> str:
    """Draw a bar from what `rollsim.bar.stress_along` found.

    `bush_spacing` [m], `allowable` [Pa] and the words are those of `bar_plan`.
    """
    points = [(float(back), float(out)) for back, out, _ in along.stations.position]
    return bar_plan(
        points,
        along.von_mises.tolist(),
        allowable=allowable,
        bush_spacing=bush_spacing,
        peak_words=peak_words,
        title=title,
    )


def stress_class(share: float) -> int:
    """Which colour a share of the allowable stress [-] gets; the last is over it."""
    return sum(share > edge for edge in EDGES)


def band_width(share: float) -> float:
    """Width of the band [units of the drawing] for a share of the allowable stress [-]."""
    return THIN + (THICK - THIN) * min(share, MOST)


def _thinned(
    half: Sequence[tuple[float, float]], share: Sequence[float], step: float
) -> list[tuple[float, float, float]]:
    """Points no closer than `step`, but both ends, each with the greatest share since the last."""
    found = [(*half[0], share[0])]
    worst = share[0]
    for n, (x, y) in enumerate(half):
        worst = max(worst, share[n])
        last = n == len(half) - 1
        if math.dist((x, y), found[-1][:2]) >= step or last:
            found.append((x, y, worst))
            worst = share[n]
    return found


def _band(points: Sequence[tuple[float, float, float]]) -> str:
    """Both halves, the most stressed pieces on top."""
    pieces: list[list[str]] = [[] for _ in COLOURS]
    for (x0, y0, _), (x1, y1, share) in pairwise(points):
        width = f'style="stroke-width:{band_width(share):.1f}"'
        pieces[stress_class(share)] += [
            f'<path {width} d="M{side * x0:.1f} {y0:.1f}L{side * x1:.1f} {y1:.1f}"/>'
            for side in (-1, 1)
        ]
    return "".join(
        f'<g class="stress-{n}" style="fill:none;stroke:{COLOURS[n]};stroke-linecap:round">'
        f"{''.join(drawn)}</g>"
        for n, drawn in enumerate(pieces)
        if drawn
    )


def _at_bush(points: Sequence[tuple[float, float]], out: float) -> float:
    """How far back the centreline is at the bush [m]."""
    for (b0, o0), (b1, o1) in pairwise(points):
        if o0 <= out <= o1 and o1 > o0:
            return b0 + (out - o0) / (o1 - o0) * (b1 - b0)
    return points[0][0]


def _axis(foot: float) -> str:
    return (
        f'<path style="{LINE};stroke-opacity:0.4;stroke-dasharray:8 3 2 3" '
        f'd="M0 {ABOVE - 14:.1f}V{foot + 6:.1f}"/>'
    )


def _bushes(x: float, y: float) -> str:
    found = ""
    for side in (-1, 1):
        style = f"fill:{PAPER};stroke:currentColor;stroke-width:1.6"
        found += rectangle(side * x - 6, y - 11, 12, 22, style=style).replace(
            "<rect", '<rect rx="3"'
        )
        found += text(side * (x - 10), y + 26, "bush", anchor="start" if side < 0 else "end")
    return found


def _ends(x: float, y: float) -> str:
    return "".join(
        f'<circle class="link-end" cx="{side * x:.1f}" cy="{y:.1f}" r="6" '
        f'style="fill:{PAPER};stroke:currentColor;stroke-width:2"/>'
        f'<circle cx="{side * x:.1f}" cy="{y:.1f}" r="1.6" style="{INK}"/>'
        + text(side * (x + MARGIN - 4), y + 24, "link end", anchor="start" if side < 0 else "end")
        for side in (-1, 1)
    )


def _peak(point: tuple[float, float], words: str, *, over: bool) -> str:
    """A ring on both halves, the figure over the middle with a line to the right one."""
    x, y = point
    rings = "".join(
        f'<circle class="peak" cx="{side * x:.1f}" cy="{y:.1f}" r="10" '
        f'style="{LINE};stroke-width:1.6;stroke-dasharray:3 2"/>'
        for side in (-1, 1)
    )
    way = f"V13H{FREE:g}" if x > FREE else f"V{ABOVE - 11:g}"
    line = f'<path style="{LINE};stroke-width:1.2" d="M{x:.1f} {y - 10:.1f}{way}"/>'
    colour = COLOURS[-1] if over else "currentColor"
    said = f"peak {words}" + (" – OVER" if over else "")
    return rings + line + text(0, 17, said, anchor="middle", bold=True, colour=colour)


def _key(top: float) -> str:
    """Swatches as wide as the band is there."""
    each = (WIDTH - 20.0) / len(COLOURS)
    found = text(-WIDTH / 2 + 10, top + 4, "stress, share of the allowable")
    for n, (colour, name) in enumerate(zip(COLOURS, NAMES, strict=True)):
        x = -WIDTH / 2 + 10 + n * each
        wide = band_width(EDGES[n] if n < len(EDGES) else MOST)
        found += (
            f'<path style="fill:none;stroke:{colour};stroke-width:{wide:.1f}" '
            f'd="M{x:.1f} {top + 18:.1f}h{each - 6:.1f}"/>'
        )
        found += text(x, top + 39, name)
    return found
