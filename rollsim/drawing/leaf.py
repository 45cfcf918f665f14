"""A leaf spring and its shackle from the side, to scale: unladen dashed, and as it stands."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rollsim.drawing.svg import BLUE, LINE, PAPER, RUBBER, TEAL, WIDTH, svg, text
from rollsim.lift_wording import degrees
from rollsim.reader_units import figure
from rollsim.wheel_travel.leaf import LeafPose, LeafSeat, Place

EDGE, ROW = 12.0, 19.0
ABOVE, BELOW = 0.06, 0.07  # m over the frame's line and under the axle
TUBE = 0.04  # m, half the axle's tube: for the picture only
POINTS = 24
Placed = Callable[[Place], tuple[float, float]]
_GHOST = f"{LINE};stroke-width:1.4;stroke-dasharray:5 4;stroke-opacity:0.8"


@dataclass(frozen=True, slots=True)
class LeafView:
    """A leaf spring of an axle, named, in two named states."""

    axle: str
    leaf: LeafSeat
    before: tuple[str, LeafPose]
    now: tuple[str, LeafPose]


def leaf_view(view: LeafView, unit: str = "mm") -> str:
    """Leaf, eyes and shackle in the frame, which stays where it is; the axle moves under it."""
    leaf, poses = view.leaf, [pose for _, pose in (view.before, view.now)]
    hanger = leaf.hanger
    right = max(hanger[0], *(pose.shackle_eye[0] for pose in poses)) + 0.05
    top = max(hanger[1], leaf.fixed_eye) + ABOVE
    low = min(pose.seat[1] for pose in poses) - TUBE - BELOW
    scale = (WIDTH - 2.0 * EDGE) / (right + 0.05)

    def at(place: tuple[float, float]) -> tuple[float, float]:
        x = EDGE + (place[0] + 0.05) * scale
        # The vehicle drives to the left: a fixed eye in front of the axle stands there.
        return (x if leaf.shackle_at_rear else WIDTH - x), (top - place[1]) * scale

    said = [
        f"{name}: arch {figure(pose.arch, unit)} {unit}, shackle {degrees(pose.shackle_angle)}"
        for name, pose in (view.before, view.now)
    ]
    foot = (top - low) * scale
    x, y = at(view.now[1].seat)
    parts = [
        _path([(-0.05, top - 0.02), (right, top - 0.02)], at, f"{LINE};stroke-width:5"),
        _path([(0.0, top - 0.02), (0.0, leaf.fixed_eye)], at, f"{LINE};stroke-width:2"),
        _path([(hanger[0], top - 0.02), hanger], at, f"{LINE};stroke-width:2"),
        _spring(leaf, view.before[1], at, _GHOST, _GHOST),
        f'<circle cx="{x:.1f}" cy="{y + TUBE * scale:.1f}" r="{TUBE * scale:.1f}" '
        f'style="fill:{RUBBER};fill-opacity:0.5;stroke:currentColor"/>',
        _spring(
            leaf,
            view.now[1],
            at,
            f"fill:none;stroke:{BLUE};stroke-width:4.5",
            f"fill:none;stroke:{TEAL};stroke-width:4",
        ),
        *(_eye(at(one)) for one in ((0.0, leaf.fixed_eye), hanger, view.now[1].shackle_eye)),
        text(EDGE, foot + ROW, f"dashed {said[0]}", size=12),
        text(EDGE, foot + 2.0 * ROW, f"now {said[1]}", bold=True, size=12),
    ]
    words = f"{view.axle} leaf spring from the side; {'; '.join(said)}"
    return svg(parts, words, (0, 0, WIDTH, foot + 2.0 * ROW + 8.0))


def _spring(leaf: LeafSeat, pose: LeafPose, at: Placed, style: str, shackle: str) -> str:
    """The main leaf through eye, seat and eye, and the shackle."""
    (x0, y0), (x1, y1), (xs, ys) = (0.0, leaf.fixed_eye), pose.shackle_eye, pose.seat
    share = xs / x1
    drop = y0 + share * (y1 - y0) - ys
    points = []
    for n in range(POINTS + 1):
        u = n / POINTS
        depth = drop * u * (1.0 - u) / (share * (1.0 - share))
        points.append((x0 + u * (x1 - x0), y0 + u * (y1 - y0) - depth))
    return _path(points, at, f"{style};fill:none") + _path(
        [pose.shackle_eye, leaf.hanger], at, shackle
    )


def _path(points: Sequence[Place], at: Placed, style: str) -> str:
    line = "".join(
        f"{'L' if n else 'M'}{x:.1f} {y:.1f}" for n, (x, y) in enumerate(map(at, points))
    )
    return f'<path style="{style}" d="{line}"/>'


def _eye(place: tuple[float, float]) -> str:
    return (
        f'<circle cx="{place[0]:.1f}" cy="{place[1]:.1f}" r="4.2" '
        f'style="fill:{PAPER};stroke:{BLUE};stroke-width:2"/>'
    )
