"""The vehicle from the left side at rest, to scale: ride height, axle loads and spring travel."""

import math
from dataclasses import dataclass

from rollsim.drawing.bodies import BODY, load_box
from rollsim.drawing.side_bodies import (
    ARCH,
    Place,
    overhangs,
    side_details,
    side_outline,
    top_at,
)
from rollsim.drawing.svg import AMBER, BLUE, INK, LINE, PAPER, RED, RUBBER, WIDTH, svg, text
from rollsim.drawing.travel import (
    HEIGHT,
    ROUNDS_TO_ZERO,
    Travel,
    signed,
    travel_gauge,
    travel_scale,
    travel_words,
)
from rollsim.reader_units import ReaderUnits, figure
from rollsim.vehicle import VehicleClass

EDGE = 8.0
ARROWS = 72.0  # room for arrows and figures under the road
LONGEST_ARROW = 58.0
HEAD = 24.0  # height of the gauges' headings
MARGIN = 10.0  # under the gauges
GAUGES = (EDGE, WIDTH / 2 + 8.0)  # left edges
ROUNDS_TO_NOTHING = 0.5  # kg
RIM = 0.58  # of the tyre's radius, for the picture only

_CARGO = f"fill:{AMBER};stroke:currentColor;stroke-width:1"
_GHOST = f"{LINE};stroke-width:1.4;stroke-dasharray:5 4"


@dataclass(frozen=True, slots=True)
class SideAxle:
    """One axle in the picture. NaN: not given.

    `wheel_centre` is its height above the road as weighed, `free_radius` that of a tyre that
    carries nothing, and `rise` how far the wheel centre has come up since the scales, by tyres and
    their squash [m]. `mass` is on the axle now, `mass_before` as weighed, `rating` what is allowed
    [kg], and `over` says that it is exceeded.
    """

    name: str
    wheel_centre: float
    free_radius: float
    rise: float
    mass: float
    mass_before: float
    rating: float
    over: bool
    travel: Travel


@dataclass(frozen=True, slots=True)
class SideCargo:
    """A load item: behind the front axle and above ground, as weighed [m], and its mass [kg]."""

    behind: float
    height: float
    mass: float


@dataclass(frozen=True, slots=True)
class SideView:
    """A vehicle at rest from its left side.

    Wheelbase and height of the roof are in [m]; the longest arrow stands for `full_mass` [kg]. With
    no class it is a plain box.
    """

    title: str
    vehicle_class: VehicleClass | None
    wheelbase: float
    roof: float
    front: SideAxle
    rear: SideAxle
    cargo: tuple[SideCargo, ...]
    full_mass: float
    units: ReaderUnits

    @property
    def axles(self) -> tuple[SideAxle, SideAxle]:
        """Front and rear."""
        return self.front, self.rear


def side_view(view: SideView) -> str:
    """Draw the vehicle from the side: body now and as weighed, axle loads, a gauge an axle.

    Notes
    -----
    Wheelbase, heights, tyres and ride height are to one scale, both gauges to another; the outline
    of the body and its overhangs are not data.

    Examples
    --------
    >>> from rollsim.reader_units import METRIC
    >>> travel = Travel(0.0, -0.06, 0.08, 0.06, 0.08, math.nan)
    >>> sizes = (0.37, 0.39, 0.0, 1000.0, 1000.0, 1300.0)
    >>> front, rear = (SideAxle(name, *sizes, False, travel) for name in ("front", "rear"))
    >>> size = (VehicleClass.WAGON, 2.8, 1.8)
    >>> drawn = side_view(SideView("now", *size, front, rear, (), 1300.0, METRIC))
    >>> "front axle 1000 kg of 1300 kg, ride height 0 mm, 60 mm to bump stop" in drawn
    True
    """
    place = _place(view)
    feet = (place.left, place.left + view.wheelbase * place.scale)
    parts = [_body(view, place), *_wheels(view, place, feet)]
    parts += [_road(), *(_rise(a, x, view, place) for a, x in zip(view.axles, feet, strict=True))]
    parts += [
        _load(axle, x, view=view, side=side)
        for axle, x, side in zip(view.axles, feet, (1, -1), strict=True)
    ]
    gauges, foot = _gauges(view)
    highest = max([view.roof, *(item.height for item in view.cargo)])
    rises = max(0.0, *(a.rise + a.travel.now for a in view.axles))
    top = -round((highest + rises + 0.25) * place.scale)
    alternative = f"{view.title}, seen from its left side: {_words(view)}"
    return svg([*parts, gauges], alternative, (0, top, WIDTH, round(foot) - top))


def _place(view: SideView) -> Place:
    """As large as the width allows, what sticks out behind included."""
    before, behind = overhangs(view.vehicle_class)
    furthest = max([view.wheelbase + behind, *(item.behind + 0.3 for item in view.cargo)])
    scale = (WIDTH - 2 * EDGE) / (before + furthest)
    return Place(EDGE + before * scale, view.wheelbase, view.roof, scale)


def _road() -> str:
    return (
        f'<path class="road" style="{LINE};stroke-width:1.5" d="M8 0H{WIDTH - 8}"/>'
        f'<path style="{LINE};stroke-width:1;stroke-opacity:0.35" d="M8 3H{WIDTH - 8}"/>'
    )


def _body(view: SideView, place: Place) -> str:
    """Body with its load where it stands now, the outline as weighed dashed."""
    shape = side_outline(view.vehicle_class, place)
    wheels = tuple((axle.wheel_centre, axle.free_radius) for axle in view.axles)
    inside = side_details(view.vehicle_class, place, wheels)
    cargo = "".join(_cargo(item, view, place) for item in view.cargo)
    moved = _moved(view, place)
    ghost = f'<g class="before" style="{_GHOST}">{shape}</g>' if moved else ""
    return f'<g class="body"{moved}><g style="{BODY}">{shape}</g>{inside}{cargo}</g>{ghost}'


def _moved(view: SideView, place: Place) -> str:
    """The shear that takes the body from as weighed to now: exact for the small angles of pitch."""
    front, rear = (axle.rise + axle.travel.now for axle in view.axles)
    if max(abs(front), abs(rear)) < ROUNDS_TO_ZERO:
        return ""
    slope = (front - rear) / view.wheelbase
    shift = -front * place.scale - slope * place.left
    return f' transform="matrix(1 {slope:.6f} 0 1 0 {shift:.3f})"'


def _wheels(view: SideView, place: Place, feet: tuple[float, float]) -> list[str]:
    """Tyres, flat where they stand."""
    found = []
    for axle, x in zip(view.axles, feet, strict=True):
        height = (axle.wheel_centre + axle.rise) * place.scale
        radius = max(axle.free_radius * place.scale, height)
        half = math.sqrt(radius * radius - height * height)
        found.append(
            f'<path class="wheel" style="fill:{RUBBER}" d="M{x - half:.2f} 0'
            f'A{radius:.2f} {radius:.2f} 0 1 1 {x + half:.2f} 0Z"/>'
            f'<circle cx="{x:.1f}" cy="{-height:.2f}" r="{RIM * radius:.1f}" '
            f'style="fill:{PAPER};stroke:currentColor;stroke-width:1"/>'
            f'<circle cx="{x:.1f}" cy="{-height:.2f}" r="2.4" style="{INK}"/>'
        )
    return found


def _cargo(item: SideCargo, view: SideView, place: Place) -> str:
    """A box whose area goes with the mass, on posts where it stands above the body."""
    width, height = 4.2 * math.sqrt(item.mass), 1.5 * math.sqrt(item.mass)
    x = place.left + item.behind * place.scale - width / 2
    top = -item.height * place.scale - height / 2
    posts = ""
    for foot in (x + 4.0, x + width - 4.0):
        stands_on = top_at(view.vehicle_class, place, foot)
        if top + height < stands_on < 0.0:
            posts += f"M{foot:.1f} {top + height:.1f}V{stands_on:.1f}"
    drawn = f'<path style="{LINE};stroke-width:1.4" d="{posts}"/>' if posts else ""
    return drawn + load_box(x, top, width, height, style=_CARGO)


def _rise(axle: SideAxle, x: float, view: SideView, place: Place) -> str:
    """Ride height against as weighed, over the wheel arch."""
    if abs(axle.travel.now) < ROUNDS_TO_ZERO:
        return ""
    arch = axle.wheel_centre + ARCH * axle.free_radius + axle.rise + axle.travel.now
    unit = view.units.length
    words = f"{signed(axle.travel.now, unit)} {unit}"
    halo = f"paint-order:stroke;stroke:{PAPER};stroke-width:3;stroke-linejoin:round"
    figures = text(x, -arch * place.scale - 6.0, words, anchor="middle", bold=True)
    return f'<g class="rise" style="{halo}">{figures}</g>'


def _load(axle: SideAxle, x: float, *, view: SideView, side: int) -> str:
    """What the road carries, as an arrow, with its rating as a bar across it."""
    unit = view.units.mass
    per = LONGEST_ARROW / view.full_mass
    long = max(axle.mass * per, 12.0) if math.isfinite(axle.mass) else 12.0
    colour = RED if axle.over else BLUE
    parts = [
        f'<path class="load{" over" * axle.over}" style="fill:{colour};stroke:currentColor;'
        f'stroke-width:0.8" d="M{x:.1f} 5l8 11h-4V{5 + long:.1f}h-8V16h-4z"/>'
    ]
    lines = [(f"{figure(axle.mass, unit)} {unit}", True)]
    if axle.over:
        lines[0] = (f"{lines[0][0]} OVER", True)
    if math.isfinite(axle.rating):
        mark = f"M{x - 11:.1f} {5 + axle.rating * per:.1f}h22"
        parts.append(f'<path class="rating" style="{LINE};stroke-width:2.5" d="{mark}"/>')
        lines.append((f"rated {figure(axle.rating, unit)} {unit}", False))
    if abs(axle.mass - axle.mass_before) >= ROUNDS_TO_NOTHING:
        lines.append((f"was {figure(axle.mass_before, unit)} {unit}", False))
    anchor = "start" if side > 0 else "end"
    parts += [
        text(
            x + side * 14.0,
            22.0 + 17.0 * n,
            words,
            anchor=anchor,
            bold=bold,
            colour=RED if axle.over and bold else "currentColor",
        )
        for n, (words, bold) in enumerate(lines)
    ]
    return "".join(parts)


def _gauges(view: SideView) -> tuple[str, float]:
    """Both gauges on one scale with as weighed on one level, and where they end."""
    travels = [axle.travel for axle in view.axles]
    scale = travel_scale(travels)
    zero = ARROWS + HEAD + 8.0 + max(travel.span[1] for travel in travels) * scale
    parts = [
        text(x, ARROWS + 14.0, f"{axle.name} travel", bold=True)
        + travel_gauge(axle.travel, x + 2.0, zero, scale=scale, unit=view.units.length)
        for axle, x in zip(view.axles, GAUGES, strict=True)
    ]
    return "".join(parts), ARROWS + HEAD + 8.0 + HEIGHT + MARGIN


def _words(view: SideView) -> str:
    """The picture in words."""
    mass, said = view.units.mass, []
    for axle in view.axles:
        load = f"{axle.name} axle {figure(axle.mass, mass)} {mass}"
        if math.isfinite(axle.rating):
            load += f" of {figure(axle.rating, mass)} {mass}" + (" – OVER" * axle.over)
        said.append(f"{load}, {travel_words(axle.travel, view.units.length)}")
    return "; ".join(said)
