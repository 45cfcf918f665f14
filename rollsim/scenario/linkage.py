"""Roll centre of an axle: stated, a class default, or from its linkage by tape."""

import math

from rollsim.estimates import Estimate
from rollsim.roll_centre import (
    READING_ERROR,
    DoubleWishbone,
    LeafSprings,
    Linkage,
    PanhardRod,
    Point,
    Strut,
    roll_centre,
)
from rollsim.scenario.defaults import axle_default
from rollsim.scenario.keys import CLASS_DEFAULT
from rollsim.scenario.ledger import Ledger, TapedRollCentre
from rollsim.scenario.linkage_tables import RollCentreTable
from rollsim.scenario.table_base import Table, missing
from rollsim.scenario.vehicle_tables import AxleTable
from rollsim.tolerance import SIGMAS
from rollsim.units import Quantity
from rollsim.vehicle import Suspension, TrackBar

_FITS = {
    "leaf_springs": Suspension.SOLID_AXLE,
    "panhard_rod": Suspension.SOLID_AXLE,
    "double_wishbone": Suspension.INDEPENDENT,
    "strut": Suspension.INDEPENDENT,
}
_STATED = ("roll_centre_height", "roll_centre_travel_ratio")
_ALLOWED = {"roll_centre_height": (-0.3, 1.0), "roll_centre_travel_ratio": (-1.0, 4.0)}
_FIELDS = {  # of the records in rollsim.roll_centre, by the key that they are read under
    "front_eye_height": "front_eye",
    "rear_eye_height": "rear_eye",
    "seat_height": "seat",
    "front_eye_to_axle": "eye_to_axle",
    "axle_to_rear_eye": "axle_to_eye",
    "axle_end": "on_axle",
    "body_end": "on_body",
    "upper_ball_joint": "upper_joint",
    "lower_ball_joint": "lower_joint",
    "top_mount": "top",
}
LEAST_APART = 0.030  # m: no arm, knuckle or strut is shorter; this project's own
_LINKS = {  # by the keys of their ends
    "double_wishbone": (
        ("upper_pivot", "upper_ball_joint"),
        ("lower_pivot", "lower_ball_joint"),
        ("upper_ball_joint", "lower_ball_joint"),
    ),
    "strut": (
        ("top_mount", "tube"),
        ("lower_pivot", "lower_ball_joint"),
        ("top_mount", "lower_ball_joint"),
    ),
}
_RECORDS = {
    "leaf_springs": LeafSprings,
    "panhard_rod": PanhardRod,
    "double_wishbone": DoubleWishbone,
    "strut": Strut,
}


def read_roll_centre(
    ledger: Ledger, axle: str, table: AxleTable, *, track: Quantity
) -> tuple[float, float]:
    """Roll-centre height [m] and travel ratio [-] of an axle; NaN where refused."""
    tape = table.roll_centre
    if tape is None:
        refused = ledger.problems.has(f"{axle}.roll_centre")
        both = (_stated(ledger, axle, table, name=name, refused=refused) for name in _STATED)
        return tuple(both)
    for name in _STATED:
        if getattr(table, name) is not None:
            ledger.problems.add(
                f"{axle}.{name}", "found beside roll_centre, which gives it; remove one of the two"
            )
    kinds = [kind for kind in _FITS if getattr(tape, kind) is not None]
    if _is_one_that_fits(ledger, f"{axle}.roll_centre", kinds, suspension=table.suspension):
        return _by_tape(ledger, axle, kinds[0], table=tape, track=track)
    return math.nan, math.nan


def taped_side(
    ledger: Ledger, key: str, tape: Table | None, *, track: Quantity
) -> tuple[DoubleWishbone | Strut, float] | None:
    """One side of an independent axle by tape, and half the band of its readings [m].

    `tape` holds a double_wishbone or a strut; None where neither is there or it was refused.
    """
    for kind in ("double_wishbone", "strut"):
        taped = getattr(tape, kind, None)
        if taped is None or not math.isfinite(track.value):
            continue
        readings = _readings(ledger, f"{key}.{kind}", taped)
        if readings is None:
            return None
        linkage = _linkage(kind, readings, track=track.value)
        if not _has_length(ledger, f"{key}.{kind}", kind, linkage):
            return None
        return linkage, max(_tolerances(readings).values())
    return None


def track_bar(table: AxleTable) -> TrackBar | None:
    """The rod of an axle that was taped, with the side on which it has its ends."""
    rod = table.roll_centre and table.roll_centre.panhard_rod
    ends = rod and [one.value for one in (*rod.axle_end, *rod.body_end)]
    if not ends or len(ends) != 4 or not all(map(math.isfinite, ends)) or ends[0] == ends[2]:
        return None
    return TrackBar(*ends)


def _has_length(ledger: Ledger, key: str, kind: str, linkage: Linkage) -> bool:
    """Whether every link is one: its ends apart."""
    fine = True
    for one, other in _LINKS[kind]:
        ends = [getattr(linkage, _FIELDS.get(name, name)) for name in (one, other)]
        apart = math.hypot(ends[0].across - ends[1].across, ends[0].height - ends[1].height)
        if apart < LEAST_APART:
            ledger.problems.add(
                f"{key}.{one}",
                f"found {apart * 1e3:.3g} mm from {other}; allowed {LEAST_APART * 1e3:.0f} mm or "
                "more; measure both again",
            )
            fine = False
    return fine


def _stated(ledger: Ledger, axle: str, table: AxleTable, *, name: str, refused: bool) -> float:
    key, quantity = f"{axle}.{name}", getattr(table, name)
    if quantity == CLASS_DEFAULT:
        return axle_default(ledger, axle, name, key=key, suspension=table.suspension)
    if quantity is None and not refused and not ledger.problems.has(key):
        ledger.problems.add(key, missing(AxleTable, name, "roll_centre (its linkage by tape)"))
    return ledger.take(key, quantity, math.nan)


def _is_one_that_fits(
    ledger: Ledger, key: str, kinds: list[str], *, suspension: Suspension | None
) -> bool:
    if any(ledger.problems.has(f"{key}.{kind}") for kind in _FITS):
        return False
    if len(kinds) != 1:
        came = " and ".join(kinds) if kinds else "no linkage"
        ledger.problems.add(key, f"found {came}; allowed one of {', '.join(_FITS)}; give one")
        return False
    needed = _FITS[kinds[0]]
    if suspension is not None and suspension is not needed:
        fitting = " or ".join(kind for kind, own in _FITS.items() if own is suspension)
        ledger.problems.add(
            f"{key}.{kinds[0]}",
            f"found on {suspension.value} suspension; allowed {fitting} there; give one of these",
        )
        return False
    return suspension is not None


def _by_tape(
    ledger: Ledger, axle: str, kind: str, *, table: RollCentreTable, track: Quantity
) -> tuple[float, float]:
    """Height and ratio from the readings, each reading's tolerance carried through."""
    key = f"{axle}.roll_centre"
    readings = _readings(ledger, f"{key}.{kind}", getattr(table, kind))
    nothing = (math.nan, math.nan)
    if readings is None or not math.isfinite(track.value):
        return nothing
    sized = kind in ("double_wishbone", "strut")
    try:
        linkage = _linkage(kind, readings, track=track.value if sized else None)
        found = roll_centre(linkage)
    except ValueError as wrong:
        ledger.problems.add(f"{key}.{kind}", str(wrong))
        return nothing
    tolerances = _tolerances(readings)
    if sized:
        tolerances["half_track"] = 0.5 * track.tolerance or READING_ERROR
    # A sensitivity is what READING_ERROR does, and the linkage is straight over some millimetres.
    shares = {one.reading: tolerances[one.reading] / READING_ERROR for one in found.sensitivities}
    values = {
        "roll_centre_height": (found.height, "height_change", found.claimed[0], "mm"),
        "roll_centre_travel_ratio": (found.travel_ratio, "ratio_change", found.claimed[1], ""),
    }
    if not _is_in_range(ledger, f"{key}.{kind}", {name: v[0] for name, v in values.items()}):
        return nothing
    worst = found.sensitivities[0]
    ledger.notes.append(
        f"{key}: {_key_of(worst.reading)} read 5 mm off moves the roll centre by "
        f"{abs(worst.height_change) * 1e3:.1f} mm, the most of all; where a reading has no "
        "tolerance of its own, ± 5 mm is taken"
    )
    ledger.notes.extend(f"{key}: {note}" for note in found.notes)
    how = f"{kind.replace('_', ' ')}, by tape"
    taken = []
    for name, (value, change, claimed, unit) in values.items():
        moves = (getattr(one, change) * shares[one.reading] for one in found.sensitivities)
        taken.append(Quantity(value, math.hypot(claimed, *moves)))
        ledger.measure(f"{axle}.{name}", taken[-1], unit, how=how)
    height, ratio = (Estimate(one.value, one.tolerance / SIGMAS) for one in taken)
    told = tuple(
        (_key_of(one.reading), one.height_change, one.ratio_change) for one in found.sensitivities
    )
    ledger.roll_centres.append(TapedRollCentre(axle, kind, height, ratio, readings=told))
    return height.value, ratio.value


def _readings(
    ledger: Ledger, key: str, table: Table
) -> dict[str, Quantity | tuple[Quantity, Quantity]] | None:
    """Readings by key; None where one was refused or a point is no pair."""
    found = {}
    for name in type(table).model_fields:
        value = getattr(table, name)
        if isinstance(value, tuple) and len(value) != 2:
            if value:
                ledger.problems.add(
                    f"{key}.{name}",
                    f"found {len(value)} lengths; allowed two, [from the centreline, above "
                    'ground]; write it like ["330 mm", "240 mm"]',
                )
            return None
        parts = value if isinstance(value, tuple) else (value,)
        if value is None or not all(math.isfinite(one.value) for one in parts):
            return None
        found[name] = value
    return found


def _linkage(
    kind: str, readings: dict[str, Quantity | tuple[Quantity, Quantity]], *, track: float | None
) -> Linkage:
    sizes = {
        _FIELDS.get(name, name): Point(*(one.value for one in read))
        if isinstance(read, tuple)
        else read.value
        for name, read in readings.items()
    }
    if track is not None:
        sizes["half_track"] = 0.5 * track
    return _RECORDS[kind](**sizes)


def _tolerances(
    readings: dict[str, Quantity | tuple[Quantity, Quantity]],
) -> dict[str, float]:
    """Half the band of every reading, by the name that its sensitivity has [m]."""
    found = {}
    for name, read in readings.items():
        field = _FIELDS.get(name, name)
        if isinstance(read, tuple):
            for part, one in zip(("across", "height"), read, strict=True):
                found[f"{field}.{part}"] = one.tolerance or READING_ERROR
        else:
            found[field] = read.tolerance or READING_ERROR
    return found


def _key_of(reading: str) -> str:
    """A reading in the words of the file."""
    field, _, part = reading.partition(".")
    name = next((key for key, own in _FIELDS.items() if own == field), field)
    where = {"across": " from the centreline", "height": " above ground"}
    return f"{name.replace('_', ' ')}{where.get(part, '')}"


def _is_in_range(ledger: Ledger, key: str, values: dict[str, float]) -> bool:
    for name, value in values.items():
        low, high = _ALLOWED[name]
        if not low <= value <= high:
            unit, factor = (" mm", 1e3) if name.endswith("height") else ("", 1.0)
            ledger.problems.add(
                key,
                f"found readings that give {name} {value * factor:.4g}{unit}; allowed "
                f"{low * factor:g}{unit} to {high * factor:g}{unit}; check each reading",
            )
            return False
    return True
