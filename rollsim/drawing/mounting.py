"""How does a sensor sit in the vehicle, seen from above?"""

from rollsim.drawing.svg import BLUE, INK, LINE, PALE_BLUE, RED, TEAL, rectangle, svg, text
from rollsim.road_test import Mounting

LENGTH = 62.0  # of an axis that lies level
STEEP = 0.85  # of an axis that points up or down: drawn as a dot or a cross
_COLOURS = (RED, TEAL, BLUE)


def mounting_view(found: Mounting) -> str:
    """The vehicle from above, forward is up, with the axes of the sensor.

    An axis that stands upright is a dot where it points to the reader and a cross where it points
    away.
    """
    parts = [
        rectangle(-48, -92, 96, 184, style=f"{LINE};stroke-width:1.6").replace(
            "<rect", '<rect rx="22"'
        ),
        f'<path style="{INK}" d="M0 -86l9 14h-18z"/>',
        text(0, -98, "forward", anchor="middle"),
        rectangle(-13, -13, 26, 26, style=f"fill:{PALE_BLUE};stroke:currentColor"),
    ]
    for n, (name, colour) in enumerate(zip("xyz", _COLOURS, strict=True)):
        ahead, left, up = found.forward[n], found.left[n], found.up[n]
        parts.append(_axis(name, (-left, -ahead, up), colour))
    said = "Sensor in the vehicle from above: " + ", ".join(
        f"{name} {found.forward[n]:+.2f} forward, {found.left[n]:+.2f} left, {found.up[n]:+.2f} up"
        for n, name in enumerate("xyz")
    )
    view = svg(parts, said, (-120, -116, 240, 216))
    return f'<div style="max-width:240px">{view}</div>'


def _axis(name: str, way: tuple[float, float, float], colour: str) -> str:
    x, y, up = way
    if abs(up) > STEEP:
        ring = f'<circle cx="0" cy="0" r="8" style="fill:none;stroke:{colour};stroke-width:2"/>'
        mark = (
            f'<circle cx="0" cy="0" r="3" style="fill:{colour}"/>'
            if up > 0.0
            else f'<path style="stroke:{colour};stroke-width:2" d="M-5 -5L5 5M-5 5L5 -5"/>'
        )
        says = f"{name} up" if up > 0.0 else f"{name} down"
        return ring + mark + text(14, 26, says, colour=colour, bold=True)
    x, y = LENGTH * x, LENGTH * y
    size = max((x * x + y * y) ** 0.5, 1.0)
    dx, dy = x / size, y / size
    head = f"M{x:.1f} {y:.1f}L{x - 9 * dx + 5 * dy:.1f} {y - 9 * dy - 5 * dx:.1f}"
    head += f"L{x - 9 * dx - 5 * dy:.1f} {y - 9 * dy + 5 * dx:.1f}z"
    return (
        f'<path style="stroke:{colour};stroke-width:2.5" d="M0 0L{x:.1f} {y:.1f}"/>'
        f'<path style="fill:{colour}" d="{head}"/>'
        + text(x + 12 * dx, y + 12 * dy + 4, name, anchor="middle", colour=colour, bold=True)
    )
