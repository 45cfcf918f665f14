"""The owner's picture: a bend from above, and the same vehicle leaning in it before and now."""

import math
from dataclasses import dataclass

from rollsim.drawing.bodies import BODY, details, load_box, outline
from rollsim.drawing.from_job import REAR, body_pose
from rollsim.drawing.records import Cargo, Pose
from rollsim.drawing.svg import AMBER, INK, LINE, RED, RUBBER, TRACK, WIDTH, svg, text
from rollsim.mass import State
from rollsim.reader_units import plain
from rollsim.roll import CurvePoint
from rollsim.vehicle import Job, Load, Place, VehicleClass

HEIGHT = 190.0
PLAN = 124.0  # width of the bend's part
ROAD = 30.0
RADIUS = 82.0
CENTRE = (4.0, 112.0)
ALONG = math.radians(38.0)  # where on the arc the vehicle is, from straight up
FLOOR = 136.0  # y of the road under the silhouettes
SCALE = 42.0  # units of the drawing per m, less for a tall vehicle
TYRE = 0.24  # m, width
PER_ROOT_KG = 0.11  # m of a block's width
WIDEST, NARROWEST = 1.3, 0.2  # m, of a block
TALLEST, LOWEST = 0.7, 0.1  # m, of a block

_LOOSE = f"{LINE};stroke-width:1.2;stroke-dasharray:4 3"
_BLOCK = f"fill:{AMBER};stroke:currentColor;stroke-width:1.2"


@dataclass(frozen=True, slots=True)
class Block:
    """All that is carried in one place: its middle, as weighed, and how large it is drawn [m]."""

    middle: Cargo
    width: float
    height: float

    @property
    def top(self) -> float:
        """Height of its upper edge above the road, as weighed [m]."""
        return self.middle.height + self.height / 2.0


@dataclass(frozen=True, slots=True)
class Standing:
    """One vehicle in the bend, seen from behind as in a left bend.

    `body` is the body over the rear axle, `axle` that axle's wheels; track, wheel centres and roof
    are as weighed [m]. With no class it is a plain box. Where it `tips` over in this bend, it is
    drawn as it last stood.
    """

    name: str
    body: Pose
    axle: Pose
    track: float
    wheel_height: float
    roof_height: float
    vehicle_class: VehicleClass | None = None
    blocks: tuple[Block, ...] = ()
    tips: bool = False


def standing(
    job: Job,
    state: State,
    point: CurvePoint,
    *,
    name: str,
    roof_height: float,
    tips: bool = False,
) -> Standing:
    """A state at a point of its curve as a silhouette.

    In SI. For a right bend `job` is its mirror image. `roof_height` is as weighed [m]; with `tips`
    the point is where the vehicle last stands. A block's width goes with the mass, its middle is
    where the mass is.
    """
    rear, blocks = job.vehicle.rear, []
    for place in Place:
        found = [load for load in state.loads if load.place is place and load.mass > 0.0]
        if found:
            blocks.append(_block(found, roof_height if place is Place.ROOF else None))
    return Standing(
        name,
        body_pose(job, state, point),
        Pose(point.axle_roll[REAR], rise=point.axle_rise[REAR]),
        track=rear.track,
        wheel_height=rear.unsprung_cg_height,
        roof_height=roof_height,
        vehicle_class=job.vehicle.vehicle_class,
        blocks=tuple(blocks),
        tips=tips,
    )


def _block(loads: list[Load], roof: float | None) -> Block:
    """Loads of one place as one block; on the roof it lies there, so that its middle is right."""
    mass = sum(load.mass for load in loads)
    left, height = (
        sum(load.mass * getattr(load, what) for load in loads) / mass
        for what in ("left_of_centreline", "height")
    )
    wide = PER_ROOT_KG * math.sqrt(mass)
    tall = wide / 2.5 if roof is None else 2.0 * (height - roof)
    return Block(
        Cargo(left, height, mass),
        width=min(max(wide, NARROWEST), WIDEST),
        height=min(max(tall, LOWEST), TALLEST),
    )


def roundabout(
    radius_words: str,
    speed_words: str,
    before: Standing,
    *,
    after: Standing,
    bend: str = "left",
    empty: Pose | None = None,
    decimals: int = 1,
) -> str:
    """Draw a bend from above with its radius and speed, and the lean before and now beside it.

    The words come with their units; `bend` is "left" or "right". Both vehicles stand as in a left
    bend, and a right one is drawn as the mirror image. `empty` is the body before it turns, dashed;
    None: upright as weighed. `decimals` are those of the lean.

    Notes
    -----
    Lean, height of the body, track, wheels off the ground and the middle of what is carried are to
    scale; bend, outline and the size of the blocks are no data.

    Examples
    --------
    >>> level = Standing("before", Pose(0.05), Pose(0.0), 1.55, 0.37, 1.8)
    >>> more = Standing("now", Pose(0.09), Pose(0.0), 1.55, 0.37, 1.8)
    >>> "2.9° before, 5.2° now" in roundabout("25 m", "35 km/h", level, after=more)
    True
    """
    turned = bend == "right"
    both = (before, after)
    scale = min(SCALE, (FLOOR - 4.0) / max(_tallest(one) for one in both))
    parts = [_plan(radius_words, speed_words, mirrored=turned)]
    room = (WIDTH - PLAN) / 2.0
    for n, one in enumerate(both):
        middle = PLAN + (n + 0.5) * room
        parts.append(_silhouette(one, empty or Pose(0.0), scale, middle=middle, mirrored=turned))
        parts.append(_under(one, middle, decimals))
    said = [f"{_lean(one, decimals)} {one.name}" for one in both if not one.tips]
    said = [f"lean {', '.join(said)}"] if said else []
    said += [f"{one.name} it tips over, drawn as it last stands" for one in both if one.tips]
    words = f"A {bend} bend of radius {radius_words} at {speed_words}: {'; '.join(said)}"
    drawn = svg(parts, words, (0, 0, WIDTH, HEIGHT))
    return f'<div class="bend" style="max-width:560px">{drawn}</div>'


def _tallest(one: Standing) -> float:
    tops = [one.roof_height, *(block.top for block in one.blocks)]
    return max(tops) + max(one.body.rise, 0.0)


def _lean(one: Standing, decimals: int) -> str:
    return f"{plain(math.degrees(one.body.roll_angle), decimals)}°"


def _under(one: Standing, middle: float, decimals: int) -> str:
    """The lean and what it is called; no figure where it tips."""
    words, size, colour = _lean(one, decimals), 20, "currentColor"
    if one.tips:
        words, size, colour = "tips over", 17, RED
    return text(
        middle, FLOOR + 25, words, anchor="middle", bold=True, size=size, colour=colour
    ) + text(middle, FLOOR + 44, one.name, anchor="middle", size=14)


def _plan(radius_words: str, speed_words: str, *, mirrored: bool) -> str:
    """Arc of road with the vehicle on it; a right bend is a left one mirrored."""
    cx, cy = CENTRE
    arc = f"M2 {cy - RADIUS:.1f}H{cx:.1f}A{RADIUS:g} {RADIUS:g} 0 0 1 {cx + RADIUS:.1f} {cy}v16"
    x, y = cx + RADIUS * math.sin(ALONG), cy - RADIUS * math.cos(ALONG)
    road = (
        f'<path style="fill:none;stroke:currentColor;stroke-width:{ROAD + 3:g}" d="{arc}"/>'
        f'<path style="fill:none;stroke:{TRACK};stroke-width:{ROAD:g}" d="{arc}"/>'
        f'<path style="{_LOOSE};stroke-opacity:0.6" d="{arc}"/>'
    )
    inner = RADIUS - 2.0
    line = (
        f'<path style="{LINE};stroke-width:1.4" d="M{cx + 4:.1f} {cy - 4:.1f}'
        f'L{cx + inner * math.cos(0.42):.1f} {cy - inner * math.sin(0.42):.1f}"/>'
        f'<circle style="{INK}" cx="{cx + 4:.1f}" cy="{cy - 4:.1f}" r="3"/>'
    )
    # Seen from above in a left bend the vehicle comes from the right below and goes up and left.
    marker = (
        f'<g transform="translate({x:.1f} {y:.1f}) rotate({math.degrees(ALONG):.1f})">'
        f"{_from_above()}</g>"
    )
    picture = f"{road}{line}{marker}"
    if mirrored:
        picture = f'<g transform="translate({PLAN - 14:g} 0) scale(-1 1)">{picture}</g>'
    return (
        picture
        + text(8, FLOOR + 25, f"radius {radius_words}", bold=True)
        + text(8, FLOOR + 44, f"at {speed_words}", bold=True)
    )


def _from_above() -> str:
    """A vehicle that drives to the left, about its own middle."""
    return (
        f'<rect x="-20" y="-9.5" width="40" height="19" rx="5" style="{BODY};fill-opacity:1"/>'
        f'<path style="{LINE};stroke-width:1.2" d="M-10 -8Q-13 0 -10 8M12 -8Q14 0 12 8"/>'
        f'<path style="fill:{RED}" d="M-26 0l9 -5v10z"/>'
    )


def _silhouette(one: Standing, empty: Pose, scale: float, *, middle: float, mirrored: bool) -> str:
    """Wheels, body with what is on it, and dashed where the empty body is before it turns."""
    size = (one.vehicle_class, one.track, one.roof_height)
    shape = outline(*size, middle=0.0, scale=scale)
    inside = details(*size, middle=0.0, scale=scale)
    wide, tall = TYRE * scale, 2.0 * one.wheel_height * scale
    wheels = "".join(
        f'<rect x="{side * one.track / 2.0 * scale - wide / 2:.1f}" y="{-tall:.1f}" '
        f'width="{wide:.1f}" height="{tall:.1f}" rx="4" style="fill:{RUBBER}"/>'
        for side in (-1, 1)
    )
    carried = "".join(
        load_box(
            (-block.middle.left - block.width / 2.0) * scale,
            -block.top * scale,
            block.width * scale,
            block.height * scale,
            style=_BLOCK,
        )
        for block in one.blocks
    )
    ends = one.track / 2.0 * scale + 12.0
    flip = " scale(-1 1)" if mirrored else ""
    return (
        f'<g transform="translate({middle:.1f} {FLOOR:g}){flip}">'
        f'<g transform="{_moved(one.axle, scale)}">{wheels}</g>'
        f'<g class="body" transform="{_moved(one.body, scale)}">'
        f'<g style="{BODY}">{shape}</g>{inside}{carried}</g>'
        f'<g style="{_LOOSE}" transform="{_moved(empty, scale)}">{shape}</g>'
        f'<path style="{LINE};stroke-width:1.5" d="M{-ends:.1f} 0H{ends:.1f}"/></g>'
    )


def _moved(pose: Pose, scale: float) -> str:
    """From as weighed to where the pose puts it; SVG turns clockwise: the top goes right."""
    return (
        f"translate({pose.right * scale:.2f} {0.0 - pose.rise * scale:.2f}) "
        f"rotate({math.degrees(pose.roll_angle):.3f} 0 {-pose.pivot_height * scale:.1f})"
    )
