"""The vehicle from behind in a bend, to scale."""

import math
from collections.abc import Sequence
from html import escape

from rollsim.drawing.bodies import BODY, cg_mark, details, load_box, outline
from rollsim.drawing.records import Cargo, Pose, RearView
from rollsim.drawing.running_gear import (
    MIDDLE,
    PIXELS_PER_METRE,
    bar,
    pixel,
    suspension,
    tyres,
)
from rollsim.drawing.svg import AMBER, LINE, PAPER, RED, WIDTH, svg, text
from rollsim.reader_units import figure
from rollsim.tell.names import WHEELS

GROUND = 0  # y of the road
BELOW, ABOVE = 82, 4  # room for arrows and figures under the road, and over the highest thing
LONGEST_ARROW = 62.0
SMALLEST_SHOWN = 0.005  # deg
PALE = 0.45
NARROW = 1130  # px of the screen: below, three pictures in a row leave no room for their figures
LIFTED = 1.0  # N: a wheel that carries less is off the ground

_ROAD = (
    f'<path style="{LINE};stroke-width:1.5" d="M8 0H{WIDTH - 8}"/>'
    f'<path style="{LINE};stroke-width:1;stroke-opacity:0.35" d="M8 3H{WIDTH - 8}"/>'
)
_CARGO = f"fill:{AMBER};stroke:currentColor;stroke-width:1"
_GHOST = f"{LINE};stroke-width:1.4;stroke-dasharray:5 4"
_ROW_STYLE = (
    ".rear-views{display:flex;gap:8px;justify-content:space-evenly;align-items:flex-end}"
    ".rear-view{flex:1 1 0;min-width:0;max-width:460px;margin:0}"
    ".rear-view figcaption{font-size:15px;line-height:1.35;text-align:center}"
    ".rear-view .narrow{display:none}"
    f"@media (max-width:{NARROW}px){{.rear-view text{{display:none}}"
    ".rear-view figcaption{font-size:13px}.rear-view .narrow{display:block;font-size:12px}}"
)


def rear_view(view: RearView) -> str:
    """Draw the vehicle from behind: body, ghost, axle, springs, bar, tyres, CG, wheel loads.

    A `<figure>` with its caption and a text alternative.

    Notes
    -----
    Lean, track, heights, tyre squash, daylight under a lifted wheel, spring travel and spacings
    are to scale; the outline of the body and the width of the tyres are not data.

    Examples
    --------
    >>> from rollsim.drawing.records import RearAxle
    >>> from rollsim.vehicle import Suspension
    >>> axle = RearAxle(Suspension.SOLID_AXLE, Pose(0.0), 1.55, 1.09, 0.37, 0.39)
    >>> at_rest = (4900.0, 4900.0, 4200.0, 4200.0)
    >>> size = (9e3, 1.75, (0.0, 0.66), (0.0, 0.47), 1.8)
    >>> view = RearView("now", "left", Pose(0.0, 0.47), axle, at_rest, *size)
    >>> "lean 0.00 degrees to the right" in rear_view(view)
    True
    """
    size = (view.vehicle_class, view.axle.track, view.roof_height)
    shape = outline(*size, middle=MIDDLE, scale=PIXELS_PER_METRE)
    inside = details(*size, middle=MIDDLE, scale=PIXELS_PER_METRE)
    cargo = "".join(_cargo(item, roof=-view.roof_height * PIXELS_PER_METRE) for item in view.cargo)
    body = (
        f'<g class="body" transform="{_moved(view.body)}">'
        f'<g style="{BODY}">{shape}</g>{inside}{cargo}</g>'
    )
    still = view.ghost or Pose(0.0)
    ghost = f'<g class="ghost" transform="{_moved(still)}"><g style="{_GHOST}">{shape}</g></g>'
    above_axle = view.tray or view.body
    gear = suspension(view.axle, above_axle) + bar(view.axle, above_axle)
    vehicle = f"{tyres(view.axle)}{body}{gear}{_marks(view)}"
    if view.missing:
        parts = [_ROAD, f'<g style="opacity:{PALE}">{vehicle}</g>', ghost]
        words = under = view.missing
        narrow = ""
    else:
        parts = [_ROAD, vehicle, ghost, *_all_loads(view)]
        words = f"{_lean_words(view, ' degrees')}; {_load_words(view)}"
        under, narrow = _lean_words(view, "°"), _narrow(view)
    alternative = f"{view.title}, seen from behind in a {view.bend} bend: {words}"
    top = round(-view.height_shown * PIXELS_PER_METRE - ABOVE)
    drawn = svg(parts, alternative, (0, top, WIDTH, BELOW - top))
    caption = f"<b>{escape(view.title)}</b><br/>{escape(under)}{narrow}"
    return f'<figure class="rear-view"><figcaption>{caption}</figcaption>{drawn}</figure>'


def side_by_side(pictures: Sequence[str]) -> str:
    """Lay pictures from `rear_view` in one row; on a phone their figures stand in the captions.

    Examples
    --------
    >>> side_by_side(["<figure></figure>"]).count("<figure>")
    1
    """
    return f'<style>{_ROW_STYLE}</style><div class="rear-views">{"".join(pictures)}</div>'


def _moved(pose: Pose) -> str:
    """From as weighed to where the pose puts it; SVG turns clockwise: the top goes right."""
    x, y = pose.right * PIXELS_PER_METRE, 0.0 - pose.rise * PIXELS_PER_METRE
    pivot = f"{MIDDLE:.1f} {-pose.pivot_height * PIXELS_PER_METRE:.1f}"
    lean = math.degrees(pose.roll_angle)
    return f"translate({x:.2f} {y:.2f}) rotate({lean:.3f} {pivot})"


def _lean_words(view: RearView, unit: str) -> str:
    """Size and side; an off-centre load can lean the vehicle into the bend.

    Cab and tray are told apart where the figures are.
    """
    cab, rear = view.body, view.tray
    if rear is None or _angle(rear, unit) == _angle(cab, unit):
        return f"lean {_angle(cab, unit)} to the {_side(cab)}"
    between = "" if _side(rear) == _side(cab) else f" to the {_side(cab)}"
    return f"lean: cab {_angle(cab, unit)}{between}, tray {_angle(rear, unit)} to the {_side(rear)}"


def _angle(pose: Pose, unit: str) -> str:
    return f"{abs(math.degrees(pose.roll_angle)):.2f}{unit}"


def _side(pose: Pose) -> str:
    return "left" if math.degrees(pose.roll_angle) <= -SMALLEST_SHOWN else "right"


def _load_words(view: RearView) -> str:
    found = (
        f"{name} {figure(load, view.force_unit)} {view.force_unit}"
        + (" (off the ground)" if load < LIFTED else "")
        for name, load in zip(WHEELS, view.wheel_loads, strict=True)
    )
    return f"wheel loads {', '.join(found)}"


def _narrow(view: RearView) -> str:
    """The figures for a narrow screen, left and right."""
    loads = [_shown(load, view.force_unit) for load in view.wheel_loads]
    lines = (
        f'<span class="narrow">{name} {escape(left)} | {escape(right)}</span>'
        for name, left, right in (("front", *loads[:2]), ("rear", *loads[2:]))
    )
    return f'{"".join(lines)}<span class="narrow">{escape(view.force_unit)}, left | right</span>'


def _shown(load: float, unit: str) -> str:
    return "lifted" if load < LIFTED else figure(load, unit)


def _all_loads(view: RearView) -> tuple[str, str]:
    """Arrows and figures under the left and the right wheels."""
    front_left, front_right, rear_left, rear_right = view.wheel_loads
    feet = [pixel(view.axle.pose.at(side * view.axle.track / 2.0, 0.0))[0] for side in (-1, 1)]
    return (
        _loads(feet[0], front_left, rear_left, view=view),
        _loads(feet[1], front_right, rear_right, view=view),
    )


def _loads(x: float, front: float, rear: float, *, view: RearView) -> str:
    """Two arrows under one side's tyres, their lengths as the loads; the front one is hollow."""
    found = ""
    for side, name, load, anchor in ((-1, "front", front, "end"), (1, "rear", rear, "start")):
        off = load < LIFTED
        figures = "lifted" if off else f"{figure(load, view.force_unit)} {view.force_unit}"
        edge = x + side * 19.0
        found += _arrow(x + side * 9.0, load, full=view.full_load, hollow=side < 0)
        found += text(edge, GROUND + 32, name, anchor=anchor)
        colour = RED if off else "currentColor"
        found += text(edge, GROUND + 50, figures, anchor=anchor, bold=True, colour=colour)
    return found


def _arrow(x: float, load: float, *, full: float, hollow: bool) -> str:
    if load < LIFTED:
        return ""
    length = min(max(10.0, LONGEST_ARROW * load / full), BELOW - 8.0)
    tip, foot = GROUND + 5.0, GROUND + 5.0 + length
    fill = PAPER if hollow else RED
    return (
        f'<path class="load" style="fill:{fill};stroke:{RED};stroke-width:1.2" '
        f'd="M{x:.1f} {tip}l6 9h-4V{foot:.1f}h-4V{tip + 9}h-4z"/>'
    )


def _marks(view: RearView) -> str:
    """Roll centre and CG, where they are now."""
    x, y = pixel(view.roll_centre)
    centre = (
        f'<g class="roll-centre"><title>roll centre</title>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" '
        f'style="fill:{PAPER};stroke:{RED};stroke-width:2"/>'
        f'<path style="fill:none;stroke:{RED};stroke-width:1.6" '
        f'd="M{x - 9:.1f} {y:.1f}h18M{x:.1f} {y - 9:.1f}v18"/></g>'
    )
    return centre + cg_mark(*pixel(view.cg))


def _cargo(item: Cargo, *, roof: float) -> str:
    """A box whose area goes with the mass, on posts where it stands above the roof."""
    width, height = 6.0 * math.sqrt(item.mass), 2.2 * math.sqrt(item.mass)
    x = MIDDLE - item.left * PIXELS_PER_METRE - width / 2
    top = -item.height * PIXELS_PER_METRE - height / 2
    posts = ""
    if top + height < roof:
        down = f"V{roof:.1f}"
        posts = (
            f'<path style="{LINE};stroke-width:1.6" d="M{x + 5:.1f} {top + height:.1f}{down}'
            f'M{x + width - 5:.1f} {top + height:.1f}{down}"/>'
        )
    return posts + load_box(x, top, width, height, style=_CARGO)
