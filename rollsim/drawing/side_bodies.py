"""Outlines of vehicles from the left side: plain shapes of our own, as long and high as told.

Wheelbase and roof come from the vehicle; overhangs and shape from its class, for the picture only.
"""

from dataclasses import dataclass
from itertools import pairwise

from rollsim.drawing.bodies import BODY_BOTTOM, CORNER
from rollsim.drawing.svg import AMBER, GLASS, LINE, RED, TRACK, smooth
from rollsim.vehicle import VehicleClass

ARCH = 1.22  # radius of a wheel arch over that of its wheel
_GLASS = f"fill:{GLASS};stroke:currentColor;stroke-width:1"
_SEAM = f"{LINE};stroke-width:1;stroke-opacity:0.6"
_WELL = f"fill:{TRACK};stroke:currentColor;stroke-width:1"
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a body stands in a drawing.

    `left` is the x of the front axle [units of the drawing], the road is at y = 0; wheelbase and
    roof are in [m], `scale` in [units of the drawing per m].
    """

    left: float
    wheelbase: float
    roof: float
    scale: float


@dataclass(frozen=True, slots=True)
class _Look:
    """A body that faces left.

    Along it −1 is its front end, 0 the front axle, 1 the rear axle and 2 its rear end; upward 0 is
    the sill and 1 the roof. The overhangs, before the front axle and behind the rear one, are in
    [m].
    """

    overhangs: tuple[float, float]
    side: Points
    windows: tuple[Points, ...]
    seams: tuple[Points, ...] = ()


_BOX = _Look(
    overhangs=(0.80, 0.90),
    side=((-1.0, 0.0), (-1.0, 1.0), (2.0, 1.0), (2.0, 0.0)),
    windows=(((-0.7, 0.58), (-0.7, 0.88), (0.3, 0.88), (0.3, 0.58)),),
)
_LOOKS = {
    VehicleClass.CREW_CAB_TRUCK: _Look(
        overhangs=(0.85, 1.20),
        side=(
            *((-0.95, 0.02), (-1.0, 0.42), (-0.85, 0.53), (0.13, 0.61), (0.31, 0.98), (0.38, 1.0)),
            *((0.70, 1.0), (0.755, 0.96), (0.78, 0.62), (2.0, 0.62), (2.0, 0.10), (1.8, 0.04)),
        ),
        windows=(
            ((0.20, 0.62), (0.345, 0.92), (0.49, 0.92), (0.49, 0.62)),
            ((0.525, 0.62), (0.525, 0.92), (0.69, 0.92), (0.715, 0.62)),
        ),
        seams=(
            ((0.19, 0.58), (0.21, 0.06)),
            ((0.507, 0.94), (0.507, 0.06)),
            ((0.735, 0.62), (0.70, 0.30)),
            ((0.78, 0.62), (0.78, 0.06)),
            ((0.82, 0.54), (1.96, 0.54)),
        ),
    ),
    VehicleClass.WAGON: _Look(
        overhangs=(0.85, 0.95),
        side=(
            *((-0.95, 0.02), (-1.0, 0.42), (-0.85, 0.53), (0.14, 0.60), (0.33, 0.98), (0.40, 1.0)),
            *((1.70, 1.0), (1.82, 0.95), (2.0, 0.55), (2.0, 0.08), (1.9, 0.02)),
        ),
        windows=(
            ((0.21, 0.61), (0.36, 0.92), (0.50, 0.92), (0.50, 0.61)),
            ((0.535, 0.61), (0.535, 0.92), (0.80, 0.92), (0.86, 0.61)),
            ((0.91, 0.61), (0.86, 0.92), (1.55, 0.92), (1.72, 0.61)),
        ),
        seams=(
            ((0.20, 0.57), (0.22, 0.06)),
            ((0.517, 0.94), (0.517, 0.06)),
            ((0.87, 0.60), (0.76, 0.28)),
        ),
    ),
    VehicleClass.VAN: _Look(
        overhangs=(0.85, 1.05),
        side=(
            *((-0.95, 0.02), (-1.0, 0.32), (-0.85, 0.40), (-0.20, 0.50), (0.08, 0.92), (0.16, 1.0)),
            *((1.92, 1.0), (2.0, 0.90), (2.0, 0.06), (1.95, 0.02)),
        ),
        windows=(((-0.03, 0.52), (0.12, 0.78), (0.30, 0.78), (0.30, 0.50)),),
        seams=(
            ((-0.02, 0.46), (0.20, 0.06)),
            ((0.36, 0.92), (0.36, 0.06)),
            ((0.74, 0.92), (0.74, 0.06)),
            ((0.40, 0.46), (1.94, 0.46)),
        ),
    ),
    VehicleClass.CAR: _Look(
        overhangs=(0.85, 0.95),
        side=(
            *((-0.95, 0.04), (-1.0, 0.40), (-0.85, 0.50), (0.14, 0.61), (0.38, 0.97), (0.46, 1.0)),
            *((0.86, 1.0), (0.96, 0.95), (1.42, 0.66), (1.92, 0.62), (2.0, 0.50), (1.95, 0.06)),
        ),
        windows=(
            ((0.23, 0.63), (0.41, 0.91), (0.54, 0.92), (0.54, 0.63)),
            ((0.575, 0.63), (0.575, 0.92), (0.88, 0.91), (1.12, 0.66)),
        ),
        seams=(
            ((0.21, 0.58), (0.23, 0.08)),
            ((0.557, 0.94), (0.557, 0.08)),
            ((0.98, 0.60), (0.84, 0.30)),
        ),
    ),
}


def overhangs(vehicle_class: VehicleClass | None) -> tuple[float, float]:
    """How far a body of a class reaches past its axles, front and rear [m]."""
    return _LOOKS.get(vehicle_class, _BOX).overhangs


def side_outline(vehicle_class: VehicleClass | None, place: Place) -> str:
    """Outline of a body that stands as weighed, without a style; with no class a plain box.

    Examples
    --------
    >>> side_outline(None, Place(60.0, 3.0, 1.8, 60.0)).startswith('<path d="M')
    True
    """
    look = _LOOKS.get(vehicle_class, _BOX)
    return f'<path d="{_closed(look, look.side, place, CORNER)}"/>'


def top_at(vehicle_class: VehicleClass | None, place: Place, x: float) -> float:
    """The y of the upper edge, at an x, of a body that stands as weighed [units of the drawing].

    It is 0 where there is no body.
    """
    look = _LOOKS.get(vehicle_class, _BOX)
    corners = [_point(look, place, *corner) for corner in look.side]
    crossed = [0.0]
    for (x0, y0), (x1, y1) in pairwise([*corners, corners[0]]):
        if x0 != x1 and min(x0, x1) <= x <= max(x0, x1):
            crossed.append(y0 + (x - x0) / (x1 - x0) * (y1 - y0))
    return min(crossed)


def side_details(
    vehicle_class: VehicleClass | None, place: Place, wheels: tuple[tuple[float, float], ...]
) -> str:
    """Windows, seams, lights and wheel arches of a body that stands as weighed.

    `wheels` are height of the centre and free radius, front and rear [m].
    """
    look = _LOOKS.get(vehicle_class, _BOX)
    lines = ("M" + "L".join(_at(look, place, *p) for p in seam) for seam in look.seams)
    glass = "".join(_closed(look, window, place, 0.4 * CORNER) for window in look.windows)
    wells = "".join(
        _well(place.left + n * place.wheelbase * place.scale, centre, radius, scale=place.scale)
        for n, (centre, radius) in enumerate(wheels)
    )
    return (
        f'<path style="{_SEAM}" d="{"".join(lines)}"/><path style="{_GLASS}" d="{glass}"/>'
        f"{_lights(look, place)}{wells}"
    )


def _lights(look: _Look, place: Place) -> str:
    found = ""
    for along, up, colour in ((-0.93, 0.40, AMBER), (1.95, 0.44, RED)):
        x, y = _point(look, place, along, up)
        wide, tall = 0.10 * place.scale, 0.13 * place.scale
        found += (
            f'<rect rx="2" x="{x - wide / 2:.1f}" y="{y:.1f}" width="{wide:.1f}" '
            f'height="{tall:.1f}" style="fill:{colour}"/>'
        )
    return found


def _well(x: float, centre: float, radius: float, *, scale: float) -> str:
    """The opening over a wheel, down to the sill."""
    r = ARCH * radius * scale
    foot = min((BODY_BOTTOM - centre) * scale, 0.98 * r)
    half, y = (r * r - foot * foot) ** 0.5, -BODY_BOTTOM * scale
    large = 1 if foot < 0.0 else 0
    return (
        f'<path class="arch" style="{_WELL}" d="M{x - half:.1f} {y:.1f}'
        f'A{r:.1f} {r:.1f} 0 {large} 1 {x + half:.1f} {y:.1f}Z"/>'
    )


def _point(look: _Look, place: Place, along: float, up: float) -> tuple[float, float]:
    front, rear = look.overhangs
    behind = along * place.wheelbase
    if along < 0.0:
        behind = along * front
    elif along > 1.0:
        behind = place.wheelbase + (along - 1.0) * rear
    height = BODY_BOTTOM + up * (place.roof - BODY_BOTTOM)
    return place.left + behind * place.scale, -height * place.scale


def _at(look: _Look, place: Place, along: float, up: float) -> str:
    x, y = _point(look, place, along, up)
    return f"{x:.1f} {y:.1f}"


def _closed(look: _Look, corners: Points, place: Place, radius: float) -> str:
    return smooth([_point(look, place, *corner) for corner in corners], radius * place.scale)
