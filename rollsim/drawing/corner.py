"""One wheel on its linkage from behind, to scale: as it stood, dashed, and as it stands now."""

import math
from dataclasses import dataclass

from rollsim.drawing.svg import BLUE, LINE, PAPER, RED, RUBBER, WIDTH, smooth, svg, text
from rollsim.lift_wording import degrees
from rollsim.roll_centre import DoubleWishbone, Point, Strut

EDGE = 10.0
ROW = 19.0  # of a line of words under the road
TYRE_WIDTH = 0.22  # m, for the picture only
CORNER = 9.0
MARGIN = 0.05  # m beyond pivots and tyre
_GHOST = f"{LINE};stroke-width:1.4;stroke-dasharray:5 4;stroke-opacity:0.75"


@dataclass(frozen=True, slots=True)
class CornerPose:
    """A wheel in one state, named: its linkage [m], and its camber with top out positive [rad]."""

    name: str
    linkage: DoubleWishbone | Strut
    camber: float


@dataclass(frozen=True, slots=True)
class CornerView:
    """One side of an axle, named, before and now; `radius` is from road to wheel centre [m]."""

    axle: str
    before: CornerPose
    now: CornerPose
    radius: float


class _Scale:
    """From [m] out of the centreline and above the road to [units of the drawing]."""

    def __init__(self, view: CornerView) -> None:
        poses = (view.before.linkage, view.now.linkage)
        ends = [end for one in poses for end in _ends(one)]
        out = max(one.half_track for one in poses) + TYRE_WIDTH / 2.0
        self.left = min(end.across for end in ends) - MARGIN
        self.per_metre = (WIDTH - 2.0 * EDGE) / (out + MARGIN - self.left)
        self.top = max(*(end.height for end in ends), 2.0 * view.radius) + MARGIN

    def at(self, point: Point) -> tuple[float, float]:
        return (
            EDGE + (point.across - self.left) * self.per_metre,
            (self.top - point.height) * self.per_metre,
        )

    def path(self, *points: Point) -> str:
        return "".join(
            f"{'L' if n else 'M'}{x:.1f} {y:.1f}" for n, (x, y) in enumerate(map(self.at, points))
        )


def corner_view(view: CornerView) -> str:
    """A wheel with its arms, from behind, at both heights.

    Examples
    --------
    >>> ends = [Point(*end) for end in ((0.4, 0.5), (0.6, 0.5), (0.3, 0.3), (0.7, 0.25))]
    >>> poses = [CornerPose(n, DoubleWishbone(*ends, 0.78), 0.0) for n in ("unladen", "touring")]
    >>> "touring: camber 0.0°" in corner_view(CornerView("front", *poses, radius=0.38))
    True
    """
    scale = _Scale(view)
    _, road = scale.at(Point(0.0, 0.0))
    said = [f"{one.name}: camber {degrees(one.camber)}" for one in (view.before, view.now)]
    parts = [
        f'<path style="{LINE};stroke-width:1.6" d="M0 {road:.1f}H{WIDTH}"/>',
        _wheel(view.before, view.radius, scale, style=_GHOST),
        _arms(view.before.linkage, scale, style=_GHOST),
        _wheel(
            view.now,
            view.radius,
            scale,
            style=f"fill:{RUBBER};fill-opacity:0.35;stroke:currentColor;stroke-width:1.6",
        ),
        _arms(view.now.linkage, scale, style=f"fill:none;stroke:{BLUE};stroke-width:3.6"),
        _joints(view.now.linkage, scale),
        _plumb(view.now, view.radius, scale),
        text(EDGE, road + ROW, f"dashed {said[0]}"),
        text(EDGE, road + 2.0 * ROW, f"now {said[1]}", bold=True),
    ]
    words = f"{view.axle} wheel from behind; {'; '.join(said)}"
    return svg(parts, words, (0, 0, WIDTH, road + 2.0 * ROW + 8.0))


def _ends(side: DoubleWishbone | Strut) -> tuple[Point, ...]:
    upper = (
        (side.upper_pivot, side.upper_joint)
        if isinstance(side, DoubleWishbone)
        else (side.top, side.tube)
    )
    return (*upper, side.lower_pivot, side.lower_joint)


def _on_wheel(pose: CornerPose, out: float, up: float) -> Point:
    """A point of the wheel, so far out of and above its contact patch along its own lean [m]."""
    sine, cosine = math.sin(pose.camber), math.cos(pose.camber)
    return Point(pose.linkage.half_track + out * cosine + up * sine, up * cosine - out * sine)


def _wheel(pose: CornerPose, radius: float, scale: _Scale, *, style: str) -> str:
    half = TYRE_WIDTH / 2.0
    corners = ((-half, 0.0), (-half, 2.0 * radius), (half, 2.0 * radius), (half, 0.0))
    outline = smooth([scale.at(_on_wheel(pose, *corner)) for corner in corners], CORNER)
    return f'<path class="wheel" style="{style}" d="{outline}"/>'


def _arms(side: DoubleWishbone | Strut, scale: _Scale, *, style: str) -> str:
    upper, knuckle, lower, joint = _ends(side)
    lines = scale.path(upper, knuckle) + scale.path(lower, joint) + scale.path(knuckle, joint)
    return f'<path class="arms" style="{style}" d="{lines}"/>'


def _joints(side: DoubleWishbone | Strut, scale: _Scale) -> str:
    style = f"fill:{PAPER};stroke:{BLUE};stroke-width:2"
    return "".join(
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.4" style="{style}"/>'
        for x, y in map(scale.at, _ends(side))
    )


def _plumb(pose: CornerPose, radius: float, scale: _Scale) -> str:
    """A plumb line through the contact patch, and the middle of the wheel beside it."""
    foot, tall = Point(pose.linkage.half_track, 0.0), 2.0 * radius
    plumb = scale.path(foot, Point(foot.across, tall))
    middle = scale.path(foot, _on_wheel(pose, 0.0, tall))
    return (
        f'<path style="{LINE};stroke-width:1;stroke-dasharray:8 3 2 3" d="{plumb}"/>'
        f'<path style="fill:none;stroke:{RED};stroke-width:1.8" d="{middle}"/>'
    )
