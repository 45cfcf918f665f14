"""The owner's picture: a bend from above, and the same vehicle leaning in it before and now."""

import math

from rollsim.drawing.bodies import BODY, BODY_BOTTOM, details, outline
from rollsim.drawing.svg import INK, LINE, RED, RUBBER, TRACK, WIDTH, svg, text
from rollsim.reader_units import plain
from rollsim.vehicle import VehicleClass

HEIGHT = 190.0
PLAN = 150.0  # width of the bend's part
ROAD = 30.0
RADIUS = 82.0
CENTRE = (4.0, 112.0)
ALONG = math.radians(38.0)  # where on the arc the vehicle is, from straight up
FLOOR = 132.0  # y of the road under the silhouettes
SCALE = 44.0  # units of the drawing per m
TRACK_SHOWN, ROOF_SHOWN, WHEEL = 1.55, 1.80, 0.37  # m
ROOFS = {VehicleClass.VAN: 2.25, VehicleClass.CAR: 1.45}

_LOOSE = f"{LINE};stroke-width:1.2;stroke-dasharray:4 3"


def roundabout(
    radius_words: str,
    speed_words: str,
    before_deg: float,
    *,
    after_deg: float,
    vehicle_class: VehicleClass | None = None,
    bend: str = "left",
    before: str = "before",
    after: str = "now",
    decimals: int = 1,
) -> str:
    """Draw a bend from above with its radius and speed, and the lean before and now beside it.

    Parameters
    ----------
    radius_words, speed_words : str
        With their units.
    before_deg, after_deg : float
        Lean, outward positive [deg].
    vehicle_class : VehicleClass or None
        Decides the outline; None: a plain box.
    bend : str
        "left" or "right".
    before, after : str
        What the two are called.
    decimals : int
        Of the lean.

    Returns
    -------
    str
        An `<svg>` element with a text alternative.

    Notes
    -----
    The leans are true; bend and vehicle are no data.

    Examples
    --------
    >>> drawn = roundabout("25 m", "35 km/h", 3.1, after_deg=5.04)
    >>> "3.1° before, 5.0° now" in drawn
    True
    """
    roof = ROOFS.get(vehicle_class, ROOF_SHOWN)
    turn = -1.0 if bend == "right" else 1.0
    parts = [_plan(radius_words, speed_words, mirrored=turn < 0.0)]
    room = (WIDTH - PLAN) / 2.0
    for n, (lean, name) in enumerate(((before_deg, before), (after_deg, after))):
        middle = PLAN + (n + 0.5) * room
        parts.append(_silhouette(vehicle_class, roof, turn * lean, middle=middle))
        parts.append(
            text(
                middle, FLOOR + 26, f"{plain(lean, decimals)}°", anchor="middle", bold=True, size=20
            )
        )
        parts.append(text(middle, FLOOR + 45, name, anchor="middle", size=14))
    leans = f"{plain(before_deg, decimals)}° {before}, {plain(after_deg, decimals)}° {after}"
    words = f"A {bend} bend of radius {radius_words} at {speed_words}: lean {leans}"
    drawn = svg(parts, words, (0, 0, WIDTH, HEIGHT))
    return f'<div class="bend" style="max-width:560px">{drawn}</div>'


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
        + text(8, FLOOR + 26, f"radius {radius_words}", bold=True)
        + text(8, FLOOR + 45, f"at {speed_words}", bold=True)
    )


def _from_above() -> str:
    """A vehicle that drives to the left, about its own middle."""
    return (
        f'<rect x="-20" y="-9.5" width="40" height="19" rx="5" style="{BODY};fill-opacity:1"/>'
        f'<path style="{LINE};stroke-width:1.2" d="M-10 -8Q-13 0 -10 8M12 -8Q14 0 12 8"/>'
        f'<path style="fill:{RED}" d="M-26 0l9 -5v10z"/>'
    )


def _silhouette(
    vehicle_class: VehicleClass | None, roof: float, lean_deg: float, *, middle: float
) -> str:
    size = (vehicle_class, TRACK_SHOWN, roof)
    shape = outline(*size, middle=0.0, scale=SCALE)
    inside = details(*size, middle=0.0, scale=SCALE)
    wide, tall = 0.24 * SCALE, 2.0 * WHEEL * SCALE
    wheels = "".join(
        f'<rect x="{x - wide / 2:.1f}" y="{-tall:.1f}" width="{wide:.1f}" height="{tall:.1f}" '
        f'rx="4" style="fill:{RUBBER}"/>'
        for x in (-TRACK_SHOWN / 2.0 * SCALE, TRACK_SHOWN / 2.0 * SCALE)
    )
    ends = TRACK_SHOWN / 2.0 * SCALE + 14.0
    return (
        f'<g transform="translate({middle:.1f} {FLOOR:g})">{wheels}'
        f'<g transform="rotate({lean_deg:.3f} 0 {-BODY_BOTTOM * SCALE:.1f})">'
        f'<g style="{BODY}">{shape}</g>{inside}</g>'
        f'<g style="{_LOOSE}">{shape}</g>'
        f'<path style="{LINE};stroke-width:1.5" d="M{-ends:.1f} 0H{ends:.1f}"/></g>'
    )
