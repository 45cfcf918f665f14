"""Outlines of vehicles from behind: plain shapes of our own, as wide and high as they are told.

The outline is for orientation only; track and roof come from the vehicle, the shape from its class.
"""

from dataclasses import dataclass
from functools import lru_cache

from rollsim.drawing.svg import GLASS, INK, LINE, PALE_BLUE, RED, rectangle, smooth
from rollsim.vehicle import VehicleClass

BODY_BOTTOM = 0.45  # m
OVER_TRACK = 0.13  # m from the middle of a tyre to the side of the body
CORNER = 0.07  # m
BODY = f"fill:{PALE_BLUE};fill-opacity:0.85;stroke:currentColor;stroke-width:1.6"
_GLASS = f"fill:{GLASS};stroke:currentColor;stroke-width:1"
_LIGHT = f"fill:{RED};stroke:none"
_SEAM = f"{LINE};stroke-width:1;stroke-opacity:0.6"


@dataclass(frozen=True, slots=True)
class _Look:
    """The right half, bottom to top, in shares of half the width and of sill to roof.

    `side` and `glass` are corners, `light` is the middle, lower and upper edge of the tail light,
    and `seams` are the lines of doors and tailgate, over both halves.
    """

    side: tuple[tuple[float, float], ...]
    glass: tuple[tuple[float, float], ...]
    light: tuple[float, float, float]
    seams: tuple[tuple[tuple[float, float], ...], ...] = ()


_BOX = _Look(
    side=((1.0, 0.0), (1.0, 1.0)),
    glass=((0.80, 0.56), (0.80, 0.90)),
    light=(0.90, 0.36, 0.50),
)
_LOOKS = {
    VehicleClass.CREW_CAB_TRUCK: _Look(
        side=((0.97, 0.0), (1.0, 0.06), (1.0, 0.50), (0.90, 0.52), (0.88, 0.60), (0.74, 1.0)),
        glass=((0.76, 0.58), (0.65, 0.90)),
        light=(0.92, 0.26, 0.46),
        seams=(((-0.84, 0.16), (-0.84, 0.50)), ((0.84, 0.16), (0.84, 0.50))),
    ),
    VehicleClass.WAGON: _Look(
        side=((0.96, 0.0), (1.0, 0.08), (1.0, 0.50), (0.96, 0.56), (0.83, 1.0)),
        glass=((0.82, 0.56), (0.72, 0.90)),
        light=(0.90, 0.30, 0.50),
        seams=(((-0.80, 0.16), (-0.80, 0.52)), ((0.80, 0.16), (0.80, 0.52))),
    ),
    VehicleClass.VAN: _Look(
        side=((0.96, 0.0), (1.0, 0.06), (1.0, 0.50), (0.90, 1.0)),
        glass=((0.78, 0.54), (0.74, 0.82)),
        light=(0.93, 0.24, 0.44),
        seams=(((0.0, 0.08), (0.0, 0.92)),),
    ),
    VehicleClass.CAR: _Look(
        side=((0.92, 0.0), (1.0, 0.14), (1.0, 0.50), (0.92, 0.60), (0.70, 1.0)),
        glass=((0.78, 0.62), (0.60, 0.91)),
        light=(0.86, 0.38, 0.52),
        seams=(((-0.74, 0.30), (-0.70, 0.57)), ((0.74, 0.30), (0.70, 0.57))),
    ),
}


@lru_cache(maxsize=64)
def outline(
    vehicle_class: VehicleClass | None, track: float, roof: float, *, middle: float, scale: float
) -> str:
    """Outline of a body that stands as weighed, without a style.

    `track` is that of the rear axle, `roof` its height [m]; `middle` is the x of the middle [units
    of the drawing], the road is at y = 0, and `scale` is in [units of the drawing per m]. With no
    class it is a plain box.
    """
    side = _LOOKS.get(vehicle_class, _BOX).side
    return f'<path d="{_closed(side, track, roof, middle=middle, scale=scale)}"/>'


@lru_cache(maxsize=64)
def details(
    vehicle_class: VehicleClass | None, track: float, roof: float, *, middle: float, scale: float
) -> str:
    """Rear window, tail lights and seams of a body that stands as weighed.

    Takes what `outline` takes.
    """
    look = _LOOKS.get(vehicle_class, _BOX)
    glass = _closed(look.glass, track, roof, middle=middle, scale=scale)
    at = _ruler(track, roof, middle, scale)
    where, low, high = look.light
    lights = ""
    for side in (-where, where):
        (x, top), (_, foot) = at(side, high), at(side, low)
        width = 0.09 * scale
        lights += rectangle(x - width / 2, top, width, foot - top, style=_LIGHT)
    lines = ("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in (at(*p) for p in s)) for s in look.seams)
    seams = f'<path style="{_SEAM}" d="{"".join(lines)}"/>'
    return f'{seams}<path style="{_GLASS}" d="{glass}"/>{lights}'


def load_box(x: float, y: float, width: float, height: float, *, style: str) -> str:
    """A box of cargo [units of the drawing]."""
    return (
        f'<rect class="cargo" rx="2" x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" '
        f'height="{height:.1f}" style="{style}"/>'
    )


def cg_mark(x: float, y: float, radius: float = 7.0) -> str:
    """The quartered circle that marks a centre of gravity [units of the drawing].

    It has a tip for the mouse.
    """
    r = radius
    return (
        f'<g class="cg"><title>centre of gravity</title><circle cx="{x:.1f}" cy="{y:.1f}" '
        f'r="{r:g}" style="fill:{GLASS};stroke:currentColor;stroke-width:1.4"/>'
        f'<path style="{INK}" d="M{x:.1f} {y:.1f}v-{r:g}a{r:g} {r:g} 0 0 1 {r:g} {r:g}z'
        f'M{x:.1f} {y:.1f}v{r:g}a{r:g} {r:g} 0 0 1 -{r:g} -{r:g}z"/></g>'
    )


def _ruler(track: float, roof: float, middle: float, scale: float):
    half, tall = track / 2.0 + OVER_TRACK, roof - BODY_BOTTOM

    def at(across: float, up: float) -> tuple[float, float]:
        return middle + across * half * scale, -(BODY_BOTTOM + up * tall) * scale

    return at


def _closed(
    side: tuple[tuple[float, float], ...], track: float, roof: float, *, middle: float, scale: float
) -> str:
    at = _ruler(track, roof, middle, scale)
    right = [at(u, v) for u, v in side]
    left = [at(-u, v) for u, v in reversed(side)]
    return smooth([*right, *left], CORNER * scale)
