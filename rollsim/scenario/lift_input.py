"""Alignment and dampers from the file's tables."""

import math
from collections.abc import Iterable
from dataclasses import replace

from rollsim.roll_centre import READING_ERROR, DoubleWishbone, Point, Strut, height_at
from rollsim.scenario.leaf_input import build_leaves
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.lift_tables import (
    AlignmentReadingTable,
    AlignmentTable,
    DamperLengthsTable,
    DamperTable,
    Pivot,
    TieRodTable,
)
from rollsim.scenario.linkage import taped_side
from rollsim.scenario.schema import Document
from rollsim.scenario.vehicle_tables import AxleTable, StopTable
from rollsim.units import Quantity
from rollsim.vehicle import Change, Suspension, Vehicle
from rollsim.wheel_travel import (
    Alignment,
    AlignmentReading,
    Corner,
    Damper,
    DamperLengths,
    TieRod,
    pose,
)

APART = 0.030  # m: more is no matter of reading; common practice, no source
_BY_LINKAGE = ("pivot_adjustment", "adjusted_pivot", "upper_axis", "lower_axis", "tie_rod")
_READINGS = ("camber", "caster", "toe")
_AXIS = '["300 mm", "280 mm", "320 mm"]'
_POINT = '["330 mm", "240 mm"]'


def build_alignment(ledger: Ledger, axle: str, table: AxleTable) -> Alignment | None:
    """The alignment of an axle; None where it has none or it was refused."""
    own, key = table.alignment, f"{axle}.alignment"
    if own is None:
        return None
    if table.suspension is Suspension.SOLID_AXLE:
        ledger.problems.add(
            key,
            "found on a solid axle, whose camber no lift moves; allowed on independent suspension; "
            "remove it",
        )
        return None
    side = _linkage(ledger, axle, table)
    for name in _BY_LINKAGE:
        if not _kinds(table) and getattr(own, name) is not None:
            ledger.problems.add(
                f"{key}.{name}",
                "found without its linkage; allowed beside double_wishbone or strut (by tape), "
                "here or under roll_centre; add one",
            )
    _check_adjustment(ledger, key, own)
    reading = _reading(ledger, key, own)
    after = AlignmentReading()
    if own.readings_after is not None:
        after = _reading(ledger, f"{key}.readings_after", own.readings_after)
    linkage, error = side or (None, READING_ERROR)
    corner = None
    if linkage is not None:
        caster = 0.0 if reading.caster is None else sum(reading.caster) / 2.0
        corner = Corner(
            linkage,
            caster,
            upper_slope=_slope(ledger, key, "upper_axis", own, strut=isinstance(linkage, Strut)),
            lower_slope=_slope(ledger, key, "lower_axis", own, strut=False),
            tie_rod=_tie_rod(ledger, f"{key}.tie_rod", own.tie_rod),
            slope_errors=(_slope_error(own.upper_axis), _slope_error(own.lower_axis)),
        )
        corner = _that_moves(ledger, key, corner)
    figures = ("wanted_camber", "wanted_caster", "wanted_toe")
    figures += ("camber_adjustment", "caster_adjustment", "pivot_adjustment")
    return Alignment(
        reading=reading,
        **{name: ledger.take_or_none(f"{key}.{name}", getattr(own, name)) for name in figures},
        upper_pivot=own.adjusted_pivot is Pivot.UPPER,
        corner=corner,
        reading_error=error,
        after=after,
    )


def _that_moves(ledger: Ledger, key: str, corner: Corner) -> Corner | None:
    """A corner whose linkage closes where it was measured; None where it was refused."""
    if ledger.problems.found:
        return None
    try:
        pose(corner, 0.0)
    except ValueError as wrong:
        ledger.problems.add(key, str(wrong))
        return None
    return corner


def _note_apart(ledger: Ledger, axle: str, corner: Corner, stated: float) -> None:
    """Where the linkage puts the roll centre elsewhere than the axle has it [m]."""
    taped = height_at(corner.linkage)
    if abs(taped - stated) > APART:
        ledger.notes.append(
            f"{axle}.alignment: its linkage puts the roll centre at {taped * 1e3:.0f} mm, the axle "
            f"has it at {stated * 1e3:.0f} mm; measure the linkage again, or give it as roll_centre"
        )


def _kinds(table: AxleTable) -> list[str]:
    """Where a linkage is taped, as the file has it."""
    places = {"alignment": table.alignment, "roll_centre": table.roll_centre}
    return [
        f"{place}.{kind}"
        for place, tape in places.items()
        for kind in ("double_wishbone", "strut")
        if getattr(tape, kind, None) is not None
    ]


def _linkage(
    ledger: Ledger, axle: str, table: AxleTable
) -> tuple[DoubleWishbone | Strut, float] | None:
    """The linkage by tape, from the alignment or from the roll centre."""
    places = _kinds(table)
    if len(places) > 1:
        ledger.problems.add(
            f"{axle}.{places[0]}",
            f"found beside {axle}.{places[1]}; one linkage is enough; remove one of the two",
        )
        return None
    tape = table.alignment if places and places[0].startswith("alignment") else table.roll_centre
    key = f"{axle}.{places[0].partition('.')[0]}" if places else axle
    return taped_side(ledger, key, tape, track=table.track)


def _check_adjustment(ledger: Ledger, key: str, table: AlignmentTable) -> None:
    if table.pivot_adjustment is not None and table.camber_adjustment is not None:
        ledger.problems.add(
            f"{key}.pivot_adjustment",
            "found beside camber_adjustment, which says the same; remove one of the two",
        )
    given = {
        name: getattr(table, name) is not None or ledger.problems.has(f"{key}.{name}")
        for name in ("pivot_adjustment", "adjusted_pivot")
    }
    for name, is_given in given.items():
        if not is_given and any(given.values()):
            ledger.problems.add(
                f"{key}.{name}",
                "missing; pivot_adjustment and adjusted_pivot belong together; add it or remove "
                "the other",
            )


def _reading(ledger: Ledger, key: str, table: AlignmentReadingTable) -> AlignmentReading:
    pairs = {}
    for name in _READINGS:
        form = '[left, right]; write it like ["-0.4 deg", "-0.2 deg"]'
        values = _several(ledger, f"{key}.{name}", getattr(table, name), 2, form=form)
        pairs[name] = None if values is None else (values[0], values[1])
    return AlignmentReading(**pairs)


def _several(
    ledger: Ledger, key: str, found: tuple[Quantity, ...] | None, count: int, *, form: str
) -> tuple[float, ...] | None:
    """So many values [SI]; None where they are absent or refused."""
    if not found:
        return None
    if len(found) != count:
        words = {2: "two", 3: "three"}[count]
        ledger.problems.add(key, f"found {len(found)} values; allowed {words}, {form}")
        return None
    return tuple(one.value for one in found)


def _slope(
    ledger: Ledger, key: str, name: str, table: AlignmentTable, *, strut: bool
) -> float | None:
    """Rise of an arm's axis toward the front [rad]."""
    found = getattr(table, name)
    if found is not None and strut:
        ledger.problems.add(f"{key}.{name}", "found on a strut, which has no upper arm; remove it")
        return None
    form = f"[front bush, rear bush, between them]; write it like {_AXIS}"
    lengths = _several(ledger, f"{key}.{name}", found, 3, form=form)
    if lengths is None:
        return None
    front, rear, apart = lengths
    return math.atan((front - rear) / apart)


def _slope_error(axis: tuple[Quantity, ...] | None) -> float:
    """Half the band of an axis' slope [rad], of three readings each as well as the widest."""
    if axis is None or len(axis) != 3:
        return 0.0
    front, rear, apart = (one.value for one in axis)
    slope = (front - rear) / apart
    return _widest(axis) * math.hypot(1.0, 1.0, slope) / apart / (1.0 + slope**2)


def _widest(readings: Iterable[Quantity]) -> float:
    """The widest half band of readings [m]: the tape's where one states none."""
    return max(one.tolerance or READING_ERROR for one in readings)


def _tie_rod(ledger: Ledger, key: str, table: TieRodTable | None) -> TieRod | None:
    if table is None:
        return None
    form = f"[from the centreline, above ground]; write it like {_POINT}"
    ends = [
        _several(ledger, f"{key}.{name}", getattr(table, name), 2, form=form)
        for name in ("inner_joint", "outer_joint")
    ]
    ahead = [getattr(table, name) for name in ("inner_ahead", "outer_ahead")]
    if None in ends or None in ahead:
        return None
    if not ends[0][0] < ends[1][0]:
        ledger.problems.add(
            f"{key}.inner_joint",
            f"found {ends[0][0] * 1e3:.5g} mm from the centreline; allowed less than the outer "
            f"joint, {ends[1][0] * 1e3:.5g} mm; check which is which",
        )
        return None
    inner, outer = (Point(*end) for end in ends)
    error = _widest((*table.inner_joint, *table.outer_joint, *ahead))
    return TieRod(inner, outer, ahead[0].value, ahead[1].value, reading_error=error)


def build_damper(
    ledger: Ledger, axle: str, table: AxleTable, on_it: DamperLengthsTable | None
) -> Damper | None:
    """The damper of an axle; None where it has none or it was refused.

    `on_it` is the one that was on when it was weighed, where that is another.
    """
    own, key = table.damper, f"{axle}.damper"
    if own is None:
        return None
    lengths = build_lengths(ledger, key, own)
    solid = table.suspension is Suspension.SOLID_AXLE
    other, needed = ("motion_ratio", "base") if solid else ("base", "motion_ratio")
    kind = "a solid axle" if solid else "independent suspension"
    if table.suspension is not None:
        if getattr(own, other) is not None:
            ledger.problems.add(f"{key}.{other}", f"found on {kind}; it takes {needed} instead")
        if getattr(own, needed) is None and not ledger.problems.has(f"{key}.{needed}"):
            ledger.problems.add(f"{key}.{needed}", f"missing; {kind} needs it; add it")
    height = ledger.take(f"{key}.mount_height", own.mount_height)
    length = ledger.take(f"{key}.length", own.length)
    if height > length:
        ledger.problems.add(
            f"{key}.mount_height",
            f"found {height * 1e3:.5g} mm; allowed up to the length as weighed, "
            f"{length * 1e3:.5g} mm; measure straight up from eye to eye",
        )
    read = [own.length, own.mount_height, own.open_length, own.closed_length]
    error = _widest(read)
    _check_stands(ledger, f"{key}.length", length, on_it or own, error=error)
    if ledger.problems.found:
        return None
    ratio = 1.0 if solid else ledger.take(f"{key}.motion_ratio", own.motion_ratio)
    base = ledger.take_or_none(f"{key}.base", own.base)
    return Damper(
        lengths,
        length,
        height,
        base=base,
        motion_ratio=ratio,
        reading_error=error,
        gap_errors=(_gap_error(table.bump_stop), _gap_error(table.rebound_limit)),
        ratio_error=0.0 if solid else own.motion_ratio.tolerance,
    )


def _gap_error(stop: StopTable | None) -> float:
    """Half the band of a stop's gap [m]: its tolerance, else that of a tape."""
    gap = None if stop is None else stop.gap
    return getattr(gap, "tolerance", 0.0) or READING_ERROR


def _check_stands(
    ledger: Ledger, key: str, length: float, table: DamperLengthsTable, *, error: float
) -> None:
    low, high = (one.value for one in (table.closed_length, table.open_length))
    if low < high and not low - error <= length <= high + error and math.isfinite(length):
        ledger.problems.add(
            key,
            f"found {length * 1e3:.5g} mm; allowed from closed_length, {low * 1e3:.5g} mm, to "
            f"open_length, {high * 1e3:.5g} mm; measure all three from eye to eye",
        )


def build_lengths(ledger: Ledger, key: str, table: DamperLengthsTable) -> DamperLengths:
    """What a damper can do [m], closed shorter than open."""
    low, high = table.closed_length.value, table.open_length.value
    if low >= high:
        ledger.problems.add(
            f"{key}.closed_length",
            f"found {low * 1e3:.5g} mm; allowed less than open_length, {high * 1e3:.5g} mm; check "
            "which is which",
        )
    ledger.take(f"{key}.open_length", table.open_length)
    ledger.take(f"{key}.closed_length", table.closed_length)
    return DamperLengths(open=high, closed=low)


def with_lift_parts(
    ledger: Ledger, document: Document, vehicle: Vehicle, change: Change
) -> tuple[Vehicle, Change]:
    """The vehicle with its alignment and dampers, and the change with the dampers that go in."""
    axles, fitted = {}, {}
    for name in ("front", "rear"):
        table, own = getattr(document, name), getattr(vehicle, name)
        new = getattr(document.change, f"{name}_damper", None)
        alignment = build_alignment(ledger, name, table)
        if alignment is not None and alignment.corner is not None:
            _note_apart(ledger, name, alignment.corner, own.roll_centre_height)
        on_it = new if change.on_when_weighed else None
        axles[name] = replace(
            own,
            alignment=alignment,
            damper=build_damper(ledger, name, table, on_it),
            leaves=build_leaves(ledger, name, table),
        )
        if new is not None:
            fitted[f"{name}_damper"] = _fitted(ledger, name, new, own=table.damper)
    return replace(vehicle, **axles), replace(change, **fitted)


def _fitted(
    ledger: Ledger, axle: str, table: DamperLengthsTable, *, own: DamperTable | None
) -> DamperLengths:
    """The damper that goes in; it needs to be known how the one that is in stands."""
    key = f"change.{axle}_damper"
    if own is None and not ledger.problems.has(f"{axle}.damper"):
        ledger.problems.add(
            key,
            f"found without {axle}.damper, which says how its mounts stand; add that, or remove "
            f"{axle}_damper",
        )
    return build_lengths(ledger, key, table)
