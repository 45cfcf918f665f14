"""Which bar does what? Lean per g against safety factor or front share, a mark to click each."""

import math
from dataclasses import dataclass

import altair as alt
import numpy as np
import pandas as pd

from rollsim.charts.look import as_told, styled, written
from rollsim.plots.bar_choice import (
    ACCEPTED,
    LEAN_TITLE,
    LEAST,
    REJECTED,
    TOO_WEAK,
    Against,
    BarChoice,
    BarDot,
    Ink,
)
from rollsim.plots.look import DARK, DASHES, LIGHT, ON_DARK, ON_LIGHT, SHADE_ON_DARK, SHADE_ON_LIGHT
from rollsim.reader_units import METRIC
from rollsim.tell.figures import Figure
from rollsim.tell.of_bars import BAR

CLICKED = "clicked"
"""Name of the selection; it holds the rank of the mark."""
_TO_ORDER, _SHOWN, _CORNER = "to order", "shown", "within the limits"
_CROSS = "M-0.9,-0.9L0.9,0.9M-0.9,0.9L0.9,-0.9"
_STAR = (
    "M0,-1L0.235,-0.324L0.951,-0.309L0.38,0.124L0.588,0.809L0,0.4"
    "L-0.588,0.809L-0.38,0.124L-0.951,-0.309L-0.235,-0.324Z"
)
_OTHERS, _CHOICE, _RING = 110, 340, 560  # px²
_SMALL = 55  # px²: bars as stiff as each other lie on one spot of the front share
_ONE_SPOT = 9  # px: marks nearer to each other have one label
_HEIGHT = 430  # px, with axes and legends
_BESIDE = ((1, -10), (-1, -10), (1, 10), (-1, 10))  # which side, px down
_APART, _DIGIT = 12, 7  # px: from the mark to the label, width of a letter
_ROOM = (8, 13)  # px across and down that a mark takes beside half a label
_WITHIN = (250, 240)  # px across and down within the axes, on a phone
_TOLD = {
    "lean": BAR["roll_gradient"],
    "safety": BAR["safety_factor"],
    "share": BAR["front_load_transfer_share"],
}
_LINE_DASHES = {Ink.TARGET: DASHES[0], Ink.PRESENT: DASHES[2], Ink.SHARE: DASHES[3]}


def choice_chart(
    choice: BarChoice, against: Against, *, shown: int, dark: bool = False
) -> alt.LayerChart:
    """Every bar at hand as a mark, the holes of a bar joined, limits as lines, one bar ringed.

    `shown` is the rank of the ringed one; there must be a mark at least. A click selects the rank
    of the nearest mark, under `CLICKED`. Marks differ in shape and lines in dashes as well.

    Examples
    --------
    >>> dots = (BarDot(1, "25 mm solid", "steel", "250 mm", 5.9, 1.4, 0.45, True, True),)
    >>> choice = BarChoice(dots, 0, 5.8, 7.5, 6.1, 1.2, 0.44)
    >>> len(choice_chart(choice, Against.SAFETY, shown=1).layer)
    7
    """
    ringed = next((dot for dot in choice.dots if dot.rank == shown), None)
    drawing = _Drawing(choice, against, ringed, dark)
    domains = list(choice.lean_range), list(against.range(choice))
    x = alt.X("lean:Q", title=LEAN_TITLE).scale(domain=domains[0], nice=False)
    y = alt.Y("height:Q", title=against.title).scale(domain=domains[1], nice=False)
    ink = drawing.ink
    joined = alt.Chart().mark_line(strokeWidth=1.5, opacity=0.45, color=ink)
    beside = {"dx": alt.expr("datum.right"), "dy": alt.expr("datum.down"), "fontSize": 12}
    chart = alt.layer(
        *drawing.corner(x, y),
        joined.encode(x, y, detail="bar:N", order="lean:Q"),
        *drawing.limits(x, y),
        drawing.marks(x, y),
        *written(alt.Chart(), x, y, alt.Text("beside:N"), dark=dark, **beside),
        data=drawing.table(),
    )
    return styled(chart, dark=dark, height=_HEIGHT)


@dataclass(frozen=True, slots=True)
class _Drawing:
    """What every layer is drawn from; `ringed` is None where that bar has no place."""

    choice: BarChoice
    against: Against
    ringed: BarDot | None
    dark: bool

    @property
    def palette(self) -> tuple[str, ...]:
        return ON_DARK if self.dark else ON_LIGHT

    @property
    def ink(self) -> str:
        return (DARK if self.dark else LIGHT)[0]

    @property
    def shade(self) -> str:
        return SHADE_ON_DARK if self.dark else SHADE_ON_LIGHT

    def kind(self, dot: BarDot) -> str:
        if dot.is_choice:
            return _TO_ORDER
        if dot.accepted:
            return ACCEPTED
        weak = dot.safety_factor < self.choice.least_safety
        return TOO_WEAK if weak and self.against is Against.SHARE else REJECTED

    def table(self) -> pd.DataFrame:
        """A row a mark: the bar to order over the others, the ring over all."""
        bars = {dot: n for n, dots in enumerate(self.choice.bars.values()) for dot in dots}
        beside = _beside(self.choice, self.against)
        others = _SMALL if self.against is Against.SHARE else _OTHERS
        rows = [
            {
                "rank": dot.rank,
                "lean": dot.lean_per_g,
                "height": self.against.of(dot),
                "kind": self.kind(dot),
                "size": _CHOICE if dot.is_choice else others,
                "words": f"{dot.rank}: {dot.words}, {ACCEPTED if dot.accepted else REJECTED}",
                "steel": dot.steel,
                "bar": bars[dot],
                "safety": dot.safety_factor,
                "share": dot.front_share,
                **dict(
                    zip(("beside", "right", "down"), beside.get(dot.rank, ("", 0, 0)), strict=True)
                ),
            }
            for dot in sorted(self.choice.dots, key=lambda dot: dot.is_choice)
        ]
        shown = [row for row in rows if self.ringed and row["rank"] == self.ringed.rank]
        ring = {"kind": _SHOWN, "size": _RING, "beside": ""}
        return pd.DataFrame([*rows, *(row | ring for row in shown)])

    def corner(self, x: alt.X, y: alt.Y) -> list[alt.Chart]:
        """The shade over what keeps to both limits; none where no bar is accepted."""
        if math.isnan(self.choice.most_lean):
            return []
        (_, right), (_, top) = self.choice.lean_range, self.against.range(self.choice)
        corner = {
            "lean": self.choice.least_lean(self.against),
            "to": min(self.choice.most_lean, right),
        }
        corner |= {"height": self.against.least(self.choice), "top": top}
        chart = alt.Chart(pd.DataFrame([corner])).mark_rect(color=self.shade)
        return [chart.encode(x, y, x2="to:Q", y2="top:Q")]

    def limits(self, x: alt.X, y: alt.Y) -> list[alt.Chart]:
        """Target and lean as it is now upright, the limit of the other axis across."""
        upright = self.choice.lines
        names = [*(words for _, words in upright.values()), LEAST]
        colours = [*(self.palette[ink] for ink in upright), self.ink]
        dashes = [*(_LINE_DASHES[ink] for ink in upright), DASHES[1]]
        legend = alt.Legend(
            title=None, orient="top", columns=1, labelLimit=0, symbolSize=400, symbolType="stroke"
        )
        colour = alt.Color("line:N", legend=legend).scale(domain=names, range=colours)
        dash = alt.StrokeDash("line:N", legend=legend).scale(domain=names, range=dashes)
        least = pd.DataFrame({"height": [self.against.least(self.choice)], "line": [LEAST]})
        uprights = pd.DataFrame(list(upright.values()), columns=["lean", "line"])
        return [
            alt.Chart(rows).mark_rule(strokeWidth=2).encode(axis, colour, dash)
            for rows, axis in ((uprights, x), (least, y))
        ]

    def marks(self, x: alt.X, y: alt.Y) -> alt.Chart:
        """In the shape and colour of their kind, with what hovering tells."""
        kinds = self._kinds()
        shapes, fills, outlines = zip(*kinds.values(), strict=True)
        names = list(kinds)
        legend = alt.Legend(
            title=None, orient="bottom", columns=2, labelLimit=0, symbolSize=150, symbolOpacity=1
        )
        tips = [
            alt.Tooltip("words:N", title="bar, by rank"),
            alt.Tooltip("steel:N"),
            *(_tip(name, one) for name, one in _TOLD.items()),
        ]
        chart = alt.Chart().mark_point(strokeWidth=2, opacity=1.0, cursor="pointer")
        return chart.encode(
            x,
            y,
            alt.Shape("kind:N", legend=legend).scale(domain=names, range=list(shapes)),
            alt.Fill("kind:N", legend=legend).scale(domain=names, range=list(fills)),
            alt.Stroke("kind:N", legend=legend).scale(domain=names, range=list(outlines)),
            alt.Size("size:Q", scale=None, legend=None),
            alt.Description("words:N"),
            tooltip=tips,
        ).add_params(alt.selection_point(name=CLICKED, fields=["rank"], nearest=True, empty=False))

    def _kinds(self) -> dict[str, tuple[str, str, str]]:
        """Shape, fill and outline of each kind that is there, and of the shade, for the legend."""
        star, accepted, rejected = (
            self.palette[ink] for ink in (Ink.CHOICE, Ink.ACCEPTED, Ink.REJECTED)
        )
        looks = {
            _TO_ORDER: (_STAR, star, star),
            ACCEPTED: ("circle", accepted, accepted),
            REJECTED: (_CROSS, "transparent", rejected),
            TOO_WEAK: ("triangle-down", "transparent", rejected),
            _SHOWN: ("circle", "transparent", self.ink),
            _CORNER: ("square", self.shade, self.ink),
        }
        there = {*map(self.kind, self.choice.dots)}
        there |= {_SHOWN} if self.ringed else set()
        there |= set() if math.isnan(self.choice.most_lean) else {_CORNER}
        return {kind: look for kind, look in looks.items() if kind in there}


def _beside(choice: BarChoice, against: Against) -> dict[int, tuple[str, int, int]]:
    """What stands beside a mark, how many pixels right and below; those with room, best first.

    Ranks whose marks lie on one spot stand together. By the width of a phone, where it is tightest.
    """
    (left, right), (low, high) = choice.lean_range, against.range(choice)
    spots = {
        dot.rank: (
            (dot.lean_per_g - left) / (right - left) * _WITHIN[0],
            (high - against.of(dot)) / (high - low) * _WITHIN[1],
        )
        for dot in sorted(choice.dots, key=lambda dot: dot.rank)
    }
    at, widths, found = np.array(list(spots.values())).reshape(-1, 2), np.zeros(len(spots)), {}
    for rank, ranks in _on_one_spot(spots).items():
        label = ", ".join(map(str, ranks))
        half = 0.5 * _DIGIT * len(label)
        for side, down in _BESIDE:
            right = round(side * (_APART + half))
            spot = np.add(spots[rank], (right, down))
            if not np.any(
                np.all(
                    np.abs(at - spot)
                    < np.stack([widths + half + _ROOM[0], np.full(len(widths), _ROOM[1])], axis=1),
                    axis=1,
                )
            ):
                found[rank] = (label, right, down)
                at, widths = np.vstack([at, spot]), np.append(widths, half)
                break
    return found


def _on_one_spot(spots: dict[int, tuple[float, float]]) -> dict[int, list[int]]:
    """The ranks that lie where an earlier one does, by the first of them."""
    found: dict[int, list[int]] = {}
    for rank, (x, y) in spots.items():
        near = (
            first
            for first in found
            if max(abs(spots[first][0] - x), abs(spots[first][1] - y)) < _ONE_SPOT
        )
        found.setdefault(next(near, rank), []).append(rank)
    return found


def _tip(name: str, one: Figure) -> alt.Tooltip:
    """A figure of a bar; none of those told depends on the reader's units."""
    title = one.label(METRIC, iso=False)
    return alt.Tooltip(f"{name}:Q", title=title, format=as_told(one.kind.unit))
