"""Tyres, axle or arms, springs and anti-roll bar from behind, each where its pose puts it."""

import math

from rollsim.drawing.records import BarInPlace, Pose, RearAxle
from rollsim.drawing.svg import LINE, PAPER, RED, RUBBER, TEAL, WIDTH
from rollsim.vehicle import Suspension

PIXELS_PER_METRE = 98.0
MIDDLE = WIDTH / 2.0
SIDES = (-1, 1)

# What no scenario tells, for the picture only [m].
TYRE_WIDTH = 0.24
TREAD_CORNER = 0.05
CONTACT = 0.88  # of the tyre's width
BEAM = 0.075
SEAT, SPRING, SPRING_WIDTH, COILS = 0.05, 0.27, 0.075, 5
HUB_INBOARD, ARM_APART, PIVOT_OUT = 0.13, 0.10, 0.26
BAR_BELOW = 0.09
BAR_BEND = 0.90  # of the link spacing

_HALO = f"fill:none;stroke:{PAPER};stroke-linecap:round;stroke-linejoin:round"
_BAR = f"fill:none;stroke:{TEAL};stroke-linecap:round;stroke-linejoin:round"
Point = tuple[float, float]


def pixel(point: Point) -> Point:
    """From [m] right of the middle and above the road to [units of the drawing]."""
    return MIDDLE + point[0] * PIXELS_PER_METRE, -point[1] * PIXELS_PER_METRE


def tyres(axle: RearAxle) -> str:
    """Both tyres: flat and bulging where they carry, clear of the road where they do not."""
    return "".join(_tyre(axle, side) for side in SIDES)


def suspension(axle: RearAxle, body: Pose) -> str:
    """Axle beam or arms, and the springs; what is fixed to the body goes with it."""
    links = _beam(axle) if axle.suspension is Suspension.SOLID_AXLE else _arms(axle, body)
    springs = "".join(_spring(*spring_ends(axle, body, side)) for side in SIDES)
    return links + springs


def spring_ends(axle: RearAxle, body: Pose, side: int) -> tuple[Point, Point]:
    """Lower and upper end of a spring.

    Right of the middle, above the road [m]; `side` is −1 left, 1 right. On a solid axle their
    distance is that as weighed plus the spring's travel, up to what the lean tilts it.
    """
    seat = axle.wheel_centre_height + SEAT
    out = axle.spring_base / 2.0
    if axle.suspension is not Suspension.SOLID_AXLE:
        out -= HUB_INBOARD  # a strut beside the wheel, not in it
    return axle.pose.at(side * out, seat), body.at(side * out, seat + SPRING)


def bar(axle: RearAxle, body: Pose) -> str:
    """The anti-roll bar with bushes and links; its arms twist where body and axle lean apart.

    Empty where there is no bar.
    """
    if axle.bar is None:
        return ""
    ends = bar_points(axle, body)
    middle, links = ends[:4], (ends[4], ends[5])
    centre = _path(middle)
    rods = _path((middle[0], links[0])) + _path((middle[3], links[1]))
    carrier = axle.pose if axle.bar.on_axle else body
    height = _bar_height(axle, axle.bar)
    bushes = "".join(
        _disc(carrier.at(side * axle.bar.bush_spacing / 2.0, height), 4.2, f"fill:{TEAL}")
        for side in SIDES
    )
    joints = "".join(
        _disc(p, 2.6, f"fill:{PAPER};stroke:{TEAL};stroke-width:1.6")
        for p in (middle[0], middle[3], *links)
    )
    return (
        f'<g class="bar"><path style="{_HALO};stroke-width:6" d="{centre}"/>'
        f'<path style="{_HALO};stroke-width:4.5" d="{rods}"/>'
        f'<path style="{_BAR};stroke-width:3.6" d="{centre}"/>'
        f'<path style="{_BAR};stroke-width:2" d="{rods}"/>{bushes}{joints}</g>'
    )


def bar_points(axle: RearAxle, body: Pose) -> tuple[Point, ...]:
    """Left arm end, left and right bend, right arm end, far end of the left and the right link.

    Right of the middle, above the road [m]. The axle must have a bar.
    """
    fitted = axle.bar
    carrier, other = (axle.pose, body) if fitted.on_axle else (body, axle.pose)
    height = _bar_height(axle, fitted)
    link = fitted.link_length if fitted.on_axle else -fitted.link_length
    out = fitted.link_spacing / 2.0
    far = [other.at(side * out, height + link) for side in SIDES]
    ends = [(x, y - link) for x, y in far]
    bends = [carrier.at(side * out * BAR_BEND, height) for side in SIDES]
    return ends[0], bends[0], bends[1], ends[1], far[0], far[1]


def _bar_height(axle: RearAxle, fitted: BarInPlace) -> float:
    """Under the axle, or as far above the arms as the links are long."""
    under = axle.wheel_centre_height - BAR_BELOW
    return under if fitted.on_axle else under + fitted.link_length


def _tyre(axle: RearAxle, side: int) -> str:
    x0, y0 = pixel(axle.pose.at(side * axle.track / 2.0, axle.wheel_centre_height))
    sine, cosine = math.sin(axle.pose.roll_angle), math.cos(axle.pose.roll_angle)
    half, tall = TYRE_WIDTH / 2.0 * PIXELS_PER_METRE, axle.free_radius * PIXELS_PER_METRE
    corner = TREAD_CORNER * PIXELS_PER_METRE

    def at(across: float, up: float) -> str:
        return f"{x0 + across * cosine + up * sine:.2f} {y0 + across * sine - up * cosine:.2f}"

    above = (
        f"M{at(-half, 0)}L{at(-half, tall - corner)}Q{at(-half, tall)} {at(corner - half, tall)}"
        f"L{at(half - corner, tall)}Q{at(half, tall)} {at(half, tall - corner)}L{at(half, 0)}"
    )
    gap = axle.gap(side) * PIXELS_PER_METRE
    if gap >= 0.0:
        below = (
            f"L{at(half, corner - tall)}Q{at(half, -tall)} {at(half - corner, -tall)}"
            f"L{at(corner - half, -tall)}Q{at(-half, -tall)} {at(-half, corner - tall)}Z"
        )
    else:
        foot = x0 - tall * sine
        bulge, patch = half - 1.2 * gap, CONTACT * half
        below = (
            f"Q{at(bulge, -0.6 * tall)} {foot + patch:.2f} 0.00L{foot - patch:.2f} 0.00"
            f"Q{at(-bulge, -0.6 * tall)} {at(-half, 0)}Z"
        )
    grooves = "".join(
        f"M{at(u * half, 0.9 * tall)}L{at(u * half, -0.8 * tall)}" for u in (-0.4, 0.4)
    )
    name = "left" if side < 0 else "right"
    return (
        f"{_clear(foot=x0 - tall * sine, half=half, gap=gap)}"
        f'<path class="tyre {name}" style="fill:{RUBBER}" d="{above}{below}"/>'
        f'<path style="fill:none;stroke:{PAPER};stroke-width:1.4" d="{grooves}"/>'
    )


def _clear(*, foot: float, half: float, gap: float) -> str:
    """Daylight under a lifted wheel."""
    if gap <= 0.0:
        return ""
    return (
        f'<rect class="daylight" style="fill:{RED}" x="{foot - half:.1f}" y="{-gap:.2f}" '
        f'width="{2 * half:.1f}" height="{gap:.2f}"/>'
    )


def _beam(axle: RearAxle) -> str:
    out = axle.track / 2.0 - TYRE_WIDTH / 2.0
    ends = [axle.pose.at(side * out, axle.wheel_centre_height) for side in SIDES]
    x, y = pixel(axle.pose.at(0.0, axle.wheel_centre_height))
    return (
        f'<path class="beam" style="{LINE};stroke-width:{BEAM * PIXELS_PER_METRE:.1f}" '
        f'd="{_path(ends)}"/><circle style="fill:currentColor" cx="{x:.1f}" cy="{y:.1f}" r="11"/>'
    )


def _arms(axle: RearAxle, body: Pose) -> str:
    """Upper and lower arm of each wheel, from a pivot on the body to the hub."""
    lines = carriers = ""
    for side in SIDES:
        hub = side * (axle.track / 2.0 - HUB_INBOARD)
        ends = []
        for up in (-ARM_APART, ARM_APART):
            height = axle.wheel_centre_height + up
            ends.append(axle.pose.at(hub, height))
            lines += _path((body.at(side * PIVOT_OUT, height), ends[-1]))
        carriers += _path(ends)
    return (
        f'<path class="arms" style="{LINE};stroke-width:4;stroke-linecap:round" d="{lines}"/>'
        f'<path style="{LINE};stroke-width:6;stroke-linecap:round" d="{carriers}"/>'
    )


def _spring(lower: Point, upper: Point) -> str:
    (x0, y0), (x1, y1) = pixel(lower), pixel(upper)
    length = math.hypot(x1 - x0, y1 - y0) or 1.0
    out = SPRING_WIDTH * PIXELS_PER_METRE
    across = (y0 - y1) / length * out, (x1 - x0) / length * out
    turns = 2 * COILS
    points = [f"M{x0:.2f} {y0:.2f}"]
    for n in range(turns):
        share, side = (n + 0.5) / turns, 1 if n % 2 else -1
        x = x0 + share * (x1 - x0) + side * across[0]
        y = y0 + share * (y1 - y0) + side * across[1]
        points.append(f"L{x:.2f} {y:.2f}")
    zigzag = "".join(points) + f"L{x1:.2f} {y1:.2f}"
    seats = "".join(
        f"M{x - 1.2 * across[0]:.2f} {y - 1.2 * across[1]:.2f}"
        f"L{x + 1.2 * across[0]:.2f} {y + 1.2 * across[1]:.2f}"
        for x, y in ((x0, y0), (x1, y1))
    )
    return (
        f'<path class="spring" style="{LINE};stroke-width:1.8;stroke-linejoin:round" '
        f'd="{zigzag}"/><path style="{LINE};stroke-width:2.6" d="{seats}"/>'
    )


def _path(points: tuple[Point, ...] | list[Point]) -> str:
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in map(pixel, points))


def _disc(point: Point, radius: float, style: str) -> str:
    x, y = pixel(point)
    return f'<circle style="{style}" cx="{x:.1f}" cy="{y:.1f}" r="{radius}"/>'
