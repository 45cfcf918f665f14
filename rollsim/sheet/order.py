"""The bar to order, row by row and as a drawing with its dimensions."""

import math

from rollsim.bar import (
    BarShape,
    Installation,
    LinkAngles,
    RearBar,
    half_length,
    link_angles,
    link_spacing,
    stations,
)
from rollsim.drawing import BarDimensions, bar_order
from rollsim.reader_units import ReaderUnits, figure
from rollsim.scenario.rear_bar import link_travel
from rollsim.sheet.work import Work
from rollsim.sizing import Candidate
from rollsim.tell.names import clean
from rollsim.tell.of_bars import BAR
from rollsim.wording import bar_words, section_words

Row = tuple[str, str]
PLANE = 1e-6  # m: less is flat
STRENGTH = (
    *("cornering_stress", "twist_stress", "allowable_stress", "safety_factor", "link_end_rate"),
    *("roll_stiffness", "mass"),
)


def drawing(work: Work, units: ReaderUnits) -> str:
    """The bar from above with its dimensions, as `<svg>`; empty where none is ordered."""
    if work.bar is None:
        return ""
    rear_bar = work.scenario.rear_bar
    shape = rear_bar.shapes[work.bar.hole]
    places = stations(shape, rear_bar.bush_spacing).position
    half = tuple((float(back), float(out)) for back, out, _ in places)
    dimensions = BarDimensions(half, rear_bar.bush_spacing, _centre(shape), shape.lever)
    return bar_order(
        dimensions, lambda x: _length(x, units), title=clean(bar_words(work.bar, units))
    )


def rows(work: Work, units: ReaderUnits) -> tuple[Row, ...]:
    """What to order and how it hangs; empty where no bar is ordered."""
    bar = work.bar
    if bar is None:
        return ()
    rear_bar = work.scenario.rear_bar
    shape = rear_bar.shapes[bar.hole]
    return (
        ("section", section_words(bar.section, units)),
        ("steel", clean(bar.steel.name)),
        ("hole, both sides", _hole(bar, rear_bar, units)),
        *_shape(shape, rear_bar, units),
        *_hung(work, rear_bar, units, lever=bar.lever),
        ("replaces", clean(work.sizing.replaces) or "no bar: there was none"),
        *_strength(bar, units),
    )


def _length(value: float, units: ReaderUnits) -> str:
    return f"{figure(value, units.length)} {units.length}"


def _hole(bar: Candidate, rear_bar: RearBar, units: ReaderUnits) -> str:
    count = len(rear_bar.shapes)
    words = f"{_length(bar.lever, units)}"
    return f"{words}, hole {bar.hole + 1} of {count}" if count > 1 else words


def _shape(shape: BarShape, rear_bar: RearBar, units: ReaderUnits) -> list[Row]:
    found = []
    centre = _centre(shape)
    if centre is not None:
        end = shape.half_centreline[-1]
        splay = math.degrees(math.atan2(end[1] - centre / 2.0, end[0]))
        found.append(("centre, corner to corner", _length(centre, units)))
        found.append(("arms splayed from square", f"{splay:.1f}°"))
    else:
        count = len(shape.half_centreline)
        found.append(("centreline", f"{count} points a side, in the scenario"))
    radius = _length(shape.bend_radius, units) if shape.bend_radius else "not given"
    carried = f"{_length(rear_bar.bush_spacing, units)}, on the {rear_bar.mount.value}"
    return [
        *found,
        ("bend radius, centreline", radius),
        ("bush to bush", carried),
        ("link end to link end", _length(link_spacing(shape), units)),
        ("length along the bar", _length(2.0 * half_length(shape), units)),
    ]


def _centre(shape: BarShape) -> float | None:
    """Length between the corners of a flat straight U [m]; None where it is none."""
    points = shape.half_centreline
    if len(points) != 3 or any(abs(up) > PLANE for _, _, up in points):
        return None
    first, corner, _ = points
    return None if abs(first[0] - corner[0]) > PLANE else 2.0 * corner[1]


def _hung(work: Work, rear_bar: RearBar, units: ReaderUnits, *, lever: float) -> list[Row]:
    job, hung = work.scenario.job, rear_bar.installation
    bump, droop = link_travel(job.vehicle.rear, job.change, rear_bar.installation_ratio)
    angles = link_angles(hung, lever, bump_travel=bump, droop_travel=droop)
    length = "not given" if hung.link_length is None else _length(hung.link_length, units)
    return [
        ("bushes, radial rate each", _rate(rear_bar.bush_rate, units)),
        ("links, joint to joint", length),
        ("links, rate each", _rate(rear_bar.link_rate, units)),
        *_angles(angles, hung, travels=bump > 0.0 or droop > 0.0),
    ]


def _angles(angles: LinkAngles, hung: Installation, *, travels: bool) -> list[Row]:
    """At ride height, and over the travel where the stops and the link's length are known."""
    known = travels and hung.link_length is not None
    named = ", over travel" if known else ""
    count = 3 if known else 1

    def shown(found: tuple[float, float, float]) -> str:
        return " / ".join(f"{figure(a, 'deg', 0)}°" for a in found[:count])

    return [
        (f"arm off level{named}", shown(angles.arm_angle)),
        (f"link off upright{named}", shown(angles.link_inclination)),
    ]


def _rate(rate: float | None, units: ReaderUnits) -> str:
    return "taken as rigid" if rate is None else f"{figure(rate, units.rate, 0)} {units.rate}"


def _strength(bar: Candidate, units: ReaderUnits) -> list[Row]:
    return [(BAR[name].words, BAR[name].with_unit(bar, units)) for name in STRENGTH]
