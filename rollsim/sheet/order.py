"""The bar or bars to order, row by row, each as a drawing with its dimensions."""

import math
from dataclasses import dataclass

from rollsim.bar import (
    BarShape,
    Installation,
    LinkAngles,
    RearBar,
    ShelfBar,
    half_length,
    link_angles,
    link_spacing,
    stations,
)
from rollsim.drawing import BarDimensions, bar_order
from rollsim.reader_units import ReaderUnits, figure, in_units, with_unit
from rollsim.scenario.rear_bar import link_travel
from rollsim.sheet.work import Work
from rollsim.sizing import Candidate, NewFront
from rollsim.tell.names import clean
from rollsim.tell.of_bars import BAR, PART
from rollsim.wording import bar_words, section_words

Row = tuple[str, ...]
"""What it is, and that of each bar."""
PLANE = 1e-6  # m: less is flat
SQUARE = 0.05  # deg: less splay shows as none
NOT_SO = "–"
STRENGTH = (
    *("cornering_stress", "twist_stress", "allowable_stress", "safety_factor", "link_end_rate"),
    *("roll_stiffness", "mass"),
)


@dataclass(frozen=True, slots=True)
class Ordered:
    """A bar to order: which, where it hangs, what goes, and how far its links travel [m]."""

    end: str
    bar: Candidate
    hung: RearBar
    replaces: str
    travel: tuple[float, float] = (0.0, 0.0)

    @property
    def shape(self) -> BarShape:
        """In its hole."""
        return self.hung.shapes[self.bar.hole]


def bars(work: Work) -> tuple[Ordered, ...]:
    """The bars to order, a front one first; that of the changes is none that was sized."""
    found, job = [], work.scenario.job
    if work.pair is not None:
        # By [front.bar] it hangs as the one that is on; the length of its links is not asked for.
        off = job.vehicle.front.bar_description
        found.append(Ordered("front", work.pair.front, work.scenario.front_bar, off))
    if work.bar is not None:
        hung = work.scenario.rear_bar.hung_with(work.bar.part)
        travel = link_travel(job.vehicle.rear, job.change, hung.installation_ratio)
        found.append(Ordered("rear", work.bar, hung, work.sizing.replaces, travel))
    return tuple(found)


def drawings(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    """Each bar from above with its dimensions, as `<svg>`."""
    return tuple(_drawing(one, units) for one in bars(work))


def _drawing(one: Ordered, units: ReaderUnits) -> str:
    places = stations(one.shape, one.hung.bush_spacing).position
    half = tuple((float(back), float(out)) for back, out, _ in places)
    dimensions = BarDimensions(half, one.hung.bush_spacing, _centre(one.shape), one.shape.lever)
    title = clean(f"{one.end} bar: {bar_words(one.bar, units)}")
    return bar_order(dimensions, lambda x: with_unit(x, units.length), title=title)


def rows(work: Work, units: ReaderUnits) -> tuple[Row, ...]:
    """What to order and how it hangs, a value for each bar; empty where none is ordered."""
    columns = [dict(_rows(one, units)) for one in bars(work)]
    names = dict.fromkeys(name for column in columns for name in column)
    if work.new_front is not None:
        front = dict(_of_the_changes(work.new_front, units))
        columns.insert(0, front)
        names = names or front
    return tuple((name, *(column.get(name, NOT_SO) for column in columns)) for name in names)


def _of_the_changes(new: NewFront, units: ReaderUnits) -> list[tuple[str, str]]:
    """A front bar that the file puts in: what it says of it."""
    stiffness = BAR["roll_stiffness"]
    return [
        ("section", clean(in_units(new.words, units))),
        ("comes off", _comes_off(new.replaces, units)),
        (stiffness.words, stiffness.kind.with_unit(new.roll_stiffness, units)),
    ]


def _comes_off(words: str, units: ReaderUnits) -> str:
    return clean(in_units(words, units)) or "nothing: no bar was on"


def _rows(one: Ordered, units: ReaderUnits) -> list[tuple[str, str]]:
    part = one.bar.part
    return [
        *([] if part is None else _part(part, units)),
        ("section", section_words(one.bar.section, units)),
        ("steel", clean(one.bar.steel.name)),
        ("hole, both sides", _hole(one, units)),
        *_shape(one, units),
        *_hung(one, units),
        ("comes off", _comes_off(one.replaces, units)),
        *((BAR[name].words, BAR[name].with_unit(one.bar, units)) for name in STRENGTH),
    ]


def _part(part: ShelfBar, units: ReaderUnits) -> list[tuple[str, str]]:
    figures = ((name.words, name.cell(part, units)) for name in PART.values())
    return [("part number", clean(part.part)), *figures]


def _hole(one: Ordered, units: ReaderUnits) -> str:
    part = one.bar.part
    count = len(one.hung.shapes) if part is None else part.drilled
    words = with_unit(one.bar.lever, units.length)
    return f"{words}, hole {one.bar.hole_number} of {count}" if count > 1 else words


def _shape(one: Ordered, units: ReaderUnits) -> list[tuple[str, str]]:
    def length(value: float) -> str:
        return with_unit(value, units.length)

    found, shape = [], one.shape
    centre = _centre(shape)
    if centre is not None:
        end = shape.half_centreline[-1]
        splay = math.degrees(math.atan2(end[1] - centre / 2.0, end[0]))
        found.append(("centre, corner to corner", length(centre)))
        found.append(("arms splayed by", f"{splay:.1f}°" if abs(splay) >= SQUARE else "none"))
    else:
        count = len(shape.half_centreline)
        found.append(("centreline", f"{count} points a side, in the file"))
    return [
        *found,
        ("bend radius", length(shape.bend_radius) if shape.bend_radius else "not given"),
        ("bush to bush", f"{length(one.hung.bush_spacing)}, on the {one.hung.mount.value}"),
        ("link end to link end", length(link_spacing(shape))),
        ("length along the bar", length(2.0 * half_length(shape))),
    ]


def _centre(shape: BarShape) -> float | None:
    """Length between the corners of a flat straight U [m]; None where it is none."""
    points = shape.half_centreline
    if len(points) != 3 or any(abs(up) > PLANE for _, _, up in points):
        return None
    first, corner, _ = points
    return None if abs(first[0] - corner[0]) > PLANE else 2.0 * corner[1]


def _hung(one: Ordered, units: ReaderUnits) -> list[tuple[str, str]]:
    hung, (bump, droop) = one.hung.installation, one.travel
    angles = link_angles(hung, one.bar.lever, bump_travel=bump, droop_travel=droop)
    length = "not given" if hung.link_length is None else with_unit(hung.link_length, units.length)
    return [
        ("bush rate, each, radial", _rate(one.hung.bush_rate, units)),
        ("link length, joint to joint", length),
        ("link rate, each", _rate(one.hung.link_rate, units)),
        *_angles(angles, hung, travels=bump > 0.0 or droop > 0.0),
    ]


def _angles(angles: LinkAngles, hung: Installation, *, travels: bool) -> list[tuple[str, str]]:
    """At ride height, and over the travel where the stops and the link's length are known."""
    known = travels and hung.link_length is not None
    count = 3 if known else 1

    def shown(found: tuple[float, float, float]) -> str:
        return " / ".join(f"{figure(a, 'deg', 0)}°" for a in found[:count])

    return [
        ("arm off level", shown(angles.arm_angle)),
        ("link off upright", shown(angles.link_inclination)),
    ]


def _rate(rate: float | None, units: ReaderUnits) -> str:
    return "counted as rigid" if rate is None else with_unit(rate, units.rate, 0)
