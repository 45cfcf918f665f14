"""The vehicle as SVG: what does it look like from behind in that bend?

Plain shapes of our own. Colours follow the page's light or dark theme without a rerun.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

WIDTH = 340  # about the width of a phone, so that text keeps its size there
GROUND = 0  # y of the road
BELOW, ABOVE = 82, 4  # room for arrows and figures under the road, and over the highest thing
MIDDLE = WIDTH / 2
PIXELS_PER_METRE = 98.0
LONGEST_ARROW = 62.0
TYRE_WIDTH = 0.24  # m, for the picture only
BODY_BOTTOM = 0.45  # m, for the picture only
LOWEST_ROOF, USUAL_ROOF, HIGHEST_ROOF = 2.2, 2.65, 3.2  # times CG height, for the picture only
RACK = 0.15  # m from the roof to the middle of what lies on it, for the picture only
SMALLEST_SHOWN = 0.005  # deg
PALE = 0.45
NARROW = 1130  # px of the screen: below, three pictures in a row leave no room for their figures
LIFTED = 1.0  # N: a wheel that carries less is drawn as off the ground

_ROAD = f'<path style="fill:none;stroke:currentColor;stroke-width:1.5" d="M8 0H{WIDTH - 8}"/>'
_INK = "fill:currentColor"
_LINE = "fill:none;stroke:currentColor"
_BODY = "fill:light-dark(#cfe1f5,#27425f);stroke:currentColor;stroke-width:1.6"
_GLASS = "fill:light-dark(#f4f8fc,#14181e);stroke:currentColor;stroke-width:1"
_CARGO = "fill:light-dark(#f2c38b,#8a5a1e);stroke:currentColor;stroke-width:1"
_ROW_STYLE = (
    ".rear-views{display:flex;gap:8px;justify-content:space-evenly;align-items:flex-end}"
    ".rear-view{flex:1 1 0;min-width:0;max-width:460px;margin:0}"
    ".rear-view figcaption{font-size:15px;line-height:1.35;text-align:center}"
    f"@media (max-width:{NARROW}px){{.rear-view text{{display:none}}"
    ".rear-view figcaption{font-size:13px}}"
)
_ARROW = "fill:light-dark(#b3261e,#ff9d92)"


@dataclass(frozen=True, slots=True)
class Cargo:
    """A load item in the picture: where it is [m], and how heavy [kg]."""

    left: float
    height: float
    mass: float


@dataclass(frozen=True, slots=True)
class RearView:
    """One vehicle in a bend, seen from behind.

    Parameters
    ----------
    title : str
        Above the picture.
    bend : str
        "left" or "right".
    roll_angle, heave : float
        Of the body: lean to the right [rad], rise from as weighed [m].
    wheel_loads : tuple of float
        Front left, front right, rear left, rear right [N].
    full_load : float
        Wheel load of the longest arrow, the same for pictures that are compared [N].
    track, tyre_radius, roll_centre_height : float
        Of the rear axle [m].
    roof_height, cg_height : float
        Of the body as weighed, from `roof_height`, and of this state [m].
    height_shown : float
        From the road to the highest thing, the same for pictures that are compared [m].
    cargo : tuple of Cargo
        On the vehicle, heights as weighed.
    missing : str
        Why there is no equilibrium; the vehicle is then drawn pale, as it last stood.
    """

    title: str
    bend: str
    roll_angle: float
    heave: float
    wheel_loads: tuple[float, float, float, float]
    full_load: float
    track: float
    tyre_radius: float
    roll_centre_height: float
    roof_height: float
    cg_height: float
    height_shown: float
    cargo: tuple[Cargo, ...] = ()
    missing: str = ""


def roof_height(cg_height: float, roof_loads: Sequence[float]) -> float:
    """Guess where the roof is, for the outline.

    Parameters
    ----------
    cg_height : float
        Of the vehicle as weighed [m].
    roof_loads : sequence of float
        Heights of what lies on the roof [m].

    Returns
    -------
    float
        Under the lowest of them where that is plausible [m].

    Examples
    --------
    >>> round(roof_height(0.66, [1.98]), 2), round(roof_height(0.66, []), 2)
    (1.83, 1.75)
    """
    guess = min(roof_loads, default=USUAL_ROOF * cg_height + RACK) - RACK
    return min(max(guess, LOWEST_ROOF * cg_height), HIGHEST_ROOF * cg_height)


def rear_view(view: RearView) -> str:
    """Draw the vehicle from behind: body, where it stands upright, axle, tyres, wheel loads.

    Parameters
    ----------
    view : RearView
        In SI.

    Returns
    -------
    str
        A `<figure>` element with a text alternative.

    Notes
    -----
    Lean, track and heights are to scale; the outline of the body and the tyre width are not data.

    Examples
    --------
    >>> at_rest = (4900.0, 4900.0, 4200.0, 4200.0)
    >>> size = (1.55, 0.37, 0.47, 1.75, 0.66, 1.8)
    >>> view = RearView("now", "left", 0.0, 0.0, at_rest, 9e3, *size)
    >>> "lean 0.00° to the right" in rear_view(view)
    True
    """
    lean = math.degrees(view.roll_angle)
    pivot = f"{MIDDLE:.1f} {_y(view.roll_centre_height):.1f}"
    shift = -view.heave * PIXELS_PER_METRE
    outline = _outline(view)
    cargo = "".join(_cargo(item, roof=_roof(view)) for item in view.cargo)
    body = (
        f'<g transform="rotate({lean:.3f} {pivot})"><g transform="translate(0 {shift:.2f})">'
        f'<g style="{_BODY};fill-opacity:0.85">{outline}</g>{_window(view)}{cargo}</g>'
        f"{_cg(view.cg_height)}</g>"
    )
    upright = f'<g style="{_LINE};stroke-width:1.4;stroke-dasharray:5 4">{outline}</g>'
    if view.missing:
        parts = [_ROAD, f'<g style="opacity:{PALE}">{_axle(view)}{body}</g>', upright]
        words = under = view.missing
    else:
        parts = [_ROAD, _axle(view), upright, body, *_all_loads(view)]
        words = f"lean {_lean_words(lean, ' degrees')}; {_load_words(view.wheel_loads)}"
        under = f"lean {_lean_words(lean, '°')}"
    alternative = f"{view.title}, seen from behind in a {view.bend} bend: {words}"
    caption = f"<figcaption><b>{escape(view.title)}</b><br>{escape(under)}</figcaption>"
    drawn = _svg(parts, alternative, view.height_shown)
    return f'<figure class="rear-view">{caption}{drawn}</figure>'


def _load_words(loads: Sequence[float]) -> str:
    names = ("front left", "front right", "rear left", "rear right")
    found = (f"{name} {load:.0f} N" for name, load in zip(names, loads, strict=True))
    return f"wheel loads {', '.join(found)}"


def _all_loads(view: RearView) -> tuple[str, str]:
    """Arrows and figures under the left and the right wheels."""
    half = view.track / 2 * PIXELS_PER_METRE
    front_left, front_right, rear_left, rear_right = view.wheel_loads
    return (
        _loads(MIDDLE - half, front_left, rear_left, full=view.full_load),
        _loads(MIDDLE + half, front_right, rear_right, full=view.full_load),
    )


def side_by_side(pictures: Sequence[str]) -> str:
    """Lay pictures in one row, on a phone without the figures, which would be too small to read.

    Parameters
    ----------
    pictures : sequence of str
        From `rear_view`.

    Returns
    -------
    str
        HTML.

    Examples
    --------
    >>> side_by_side(["<figure></figure>"]).count("<figure>")
    1
    """
    return f'<style>{_ROW_STYLE}</style><div class="rear-views">{"".join(pictures)}</div>'


def _svg(parts: Sequence[str], words: str, height_shown: float) -> str:
    top = _head(height_shown)
    return (
        f'<svg role="img" aria-label="{escape(words)}" '
        f'viewBox="0 {top:.0f} {WIDTH} {BELOW - top:.0f}" '
        'style="width:100%;height:auto;display:block;font-family:inherit" '
        f'xmlns="http://www.w3.org/2000/svg">{"".join(parts)}</svg>'
    )


def _head(height_shown: float) -> float:
    """The upper edge of the picture."""
    return _y(height_shown) - ABOVE


def _y(height: float) -> float:
    return GROUND - height * PIXELS_PER_METRE


def _roof(view: RearView) -> float:
    return _y(view.roof_height)


def _text(x: float, y: float, words: str, *, anchor: str, bold: bool = False) -> str:
    weight = ";font-weight:600" if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" '
        f'style="{_INK};font-size:13px{weight}">{escape(words)}</text>'
    )


def _outline(view: RearView) -> str:
    """The body from behind, narrower towards the roof."""
    half = (view.track / 2 + 0.08) * PIXELS_PER_METRE
    bottom, roof = _y(BODY_BOTTOM), _roof(view)
    belt = bottom + 0.45 * (roof - bottom)
    top = 0.8 * half
    return (
        f'<path d="M{MIDDLE - half:.1f} {bottom:.1f}L{MIDDLE - half:.1f} {belt:.1f}'
        f"L{MIDDLE - top:.1f} {roof:.1f}L{MIDDLE + top:.1f} {roof:.1f}"
        f'L{MIDDLE + half:.1f} {belt:.1f}L{MIDDLE + half:.1f} {bottom:.1f}Z"/>'
    )


def _window(view: RearView) -> str:
    half = 0.68 * (view.track / 2) * PIXELS_PER_METRE
    bottom, roof = _y(BODY_BOTTOM), _roof(view)
    top, height = roof - 0.12 * (roof - bottom), -0.36 * (roof - bottom)
    return (
        f'<rect style="{_GLASS}" rx="4" x="{MIDDLE - half:.1f}" y="{top:.1f}" '
        f'width="{2 * half:.1f}" height="{height:.1f}"/>'
    )


def _lean_words(lean: float, unit: str) -> str:
    """Size and side; an off-centre load can lean the vehicle into the bend."""
    side = "left" if lean <= -SMALLEST_SHOWN else "right"
    return f"{abs(lean):.2f}{unit} to the {side}"


def _axle(view: RearView) -> str:
    half, tyre = view.track / 2 * PIXELS_PER_METRE, TYRE_WIDTH * PIXELS_PER_METRE
    centre = _y(view.tyre_radius)
    tyres = "".join(
        f'<rect style="{_INK};fill-opacity:0.75" rx="5" x="{x - tyre / 2:.1f}" '
        f'y="{_y(2 * view.tyre_radius):.1f}" width="{tyre:.1f}" '
        f'height="{2 * view.tyre_radius * PIXELS_PER_METRE:.1f}"/>'
        for x in (MIDDLE - half, MIDDLE + half)
    )
    return (
        f'<path style="{_LINE};stroke-width:5" d="M{MIDDLE - half:.1f} {centre:.1f}'
        f'H{MIDDLE + half:.1f}"/>{tyres}'
    )


def _cargo(item: Cargo, *, roof: float) -> str:
    """A box whose area goes with the mass, on posts where it stands above the roof."""
    width, height = 6.0 * math.sqrt(item.mass), 2.2 * math.sqrt(item.mass)
    x = MIDDLE - item.left * PIXELS_PER_METRE - width / 2
    top = _y(item.height) - height / 2
    posts = ""
    if top + height < roof:
        down = f"V{roof:.1f}"
        posts = (
            f'<path style="{_LINE};stroke-width:1.6" d="M{x + 5:.1f} {top + height:.1f}{down}'
            f'M{x + width - 5:.1f} {top + height:.1f}{down}"/>'
        )
    return (
        f'{posts}<rect style="{_CARGO}" rx="2" x="{x:.1f}" y="{top:.1f}" '
        f'width="{width:.1f}" height="{height:.1f}"/>'
    )


def _cg(height: float) -> str:
    y = _y(height)
    return (
        f'<circle style="{_BODY};fill:light-dark(#ffffff,#14181e)" cx="{MIDDLE}" cy="{y:.1f}" '
        f'r="7"/><path style="{_INK}" d="M{MIDDLE} {y:.1f}v-7a7 7 0 0 1 7 7z'
        f'M{MIDDLE} {y:.1f}v7a7 7 0 0 1 -7 -7z"/>'
    )


def _loads(x: float, front: float, rear: float, *, full: float) -> str:
    """Two arrows under one side's tyres, their lengths as the loads."""
    return "".join(
        _arrow(x + side * 9.0, load, full=full)
        + _text(x + side * 19.0, GROUND + 32, name, anchor=anchor)
        + _text(x + side * 19.0, GROUND + 50, f"{load:.0f} N", anchor=anchor, bold=True)
        for side, name, load, anchor in ((-1, "front", front, "end"), (1, "rear", rear, "start"))
    )


def _arrow(x: float, load: float, *, full: float) -> str:
    if load < LIFTED:
        return ""
    length = max(10.0, LONGEST_ARROW * load / full)
    tip, foot = GROUND + 4.0, GROUND + 4.0 + length
    return f'<path style="{_ARROW}" d="M{x:.1f} {tip}l6 9h-4V{foot:.1f}h-4V{tip + 9}h-4z"/>'
