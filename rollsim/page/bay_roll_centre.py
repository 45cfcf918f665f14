"""The roll centre by tape: a sheet and a form for each linkage, and what the readings say."""

from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd

from rollsim.estimates import Estimate
from rollsim.page.bay_figures import Changes, Readings, gone, written
from rollsim.page.bay_readings import CHOCKS, FRONT, GROUND, REAR, BayTest, Choice, Kind, Reading
from rollsim.reader_units import ReaderUnits, figure
from rollsim.roll_centre import (
    READING_ERROR,
    DoubleWishbone,
    LeafSprings,
    Linkage,
    PanhardRod,
    Point,
    RollCentre,
    Strut,
    roll_centre,
)
from rollsim.tolerance import SIGMAS
from rollsim.vehicle import Suspension

_GIVES = "Height of the roll centre and how it travels, with what 5 mm of tape do to it."
_OUT = "from the vehicle's middle"
_STEPS = (
    *GROUND,
    "At ride height, wheels straight. All heights from one level floor, each reading twice.",
)
_JOINTS = "Middles of joints, not their edges; a pivot where its axis passes the plane of the axle."


def _point(key: str, words: str, out: str = _OUT) -> tuple[Reading, Reading]:
    return (
        Reading(f"{key}_across", f"{words}: {out}", Kind.LENGTH),
        Reading(f"{key}_height", f"{words}: above ground", Kind.LENGTH),
    )


_LEFT = "left of the middle, right with a minus"
LEAVES = BayTest(
    "leaf_springs",
    "Roll centre: leaf springs",
    _GIVES,
    (CHOCKS,),
    (*_STEPS, "At the shackle the spring's own eye counts."),
    (Choice("axle", "Axle", (REAR, FRONT)),),
    (
        Reading("front_eye", "Front eye above ground", Kind.LENGTH),
        Reading("rear_eye", "Rear eye above ground", Kind.LENGTH),
        Reading("seat", "Main leaf over the axle, above ground", Kind.LENGTH),
        Reading("eye_to_axle", "Front eye to axle, along", Kind.LENGTH),
        Reading("axle_to_eye", "Axle to rear eye, along", Kind.LENGTH),
    ),
)
ROD = BayTest(
    "panhard_rod",
    "Roll centre: transverse rod",
    _GIVES,
    (CHOCKS,),
    (*_STEPS, _JOINTS),
    (Choice("axle", "Axle", (REAR, FRONT)),),
    (*_point("on_axle", "End on the axle", _LEFT), *_point("on_body", "End on the body", _LEFT)),
)
WISHBONES = BayTest(
    "double_wishbone",
    "Roll centre: two wishbones",
    _GIVES,
    (CHOCKS,),
    (*_STEPS, _JOINTS),
    (Choice("axle", "Axle", (FRONT, REAR)),),
    (
        *_point("upper_pivot", "Upper pivot"),
        *_point("upper_joint", "Upper ball joint"),
        *_point("lower_pivot", "Lower pivot"),
        *_point("lower_joint", "Lower ball joint"),
        Reading("half_track", f"Middle of the tyre: {_OUT}", Kind.LENGTH),
    ),
)
STRUT = BayTest(
    "strut",
    "Roll centre: strut and lower arm",
    _GIVES,
    (CHOCKS,),
    (*_STEPS, _JOINTS),
    (Choice("axle", "Axle", (FRONT, REAR)),),
    (
        *_point("top", "Top mount"),
        *_point("tube", "Strut's tube, low down"),
        *_point("lower_pivot", "Lower pivot"),
        *_point("lower_joint", "Lower ball joint"),
        Reading("half_track", f"Middle of the tyre: {_OUT}", Kind.LENGTH),
    ),
)


def _at(readings: Readings, key: str) -> Point:
    return Point(readings[f"{key}_across"], readings[f"{key}_height"])


def _leaves(r: Readings) -> Linkage:
    return LeafSprings(*(r[reading.key] for reading in LEAVES.readings))


def _rod(r: Readings) -> Linkage:
    return PanhardRod(_at(r, "on_axle"), _at(r, "on_body"))


def _wishbones(r: Readings) -> Linkage:
    keys = ("upper_pivot", "upper_joint", "lower_pivot", "lower_joint")
    return DoubleWishbone(*(_at(r, key) for key in keys), half_track=r["half_track"])


def _strut(r: Readings) -> Linkage:
    keys = ("top", "tube", "lower_pivot", "lower_joint")
    return Strut(*(_at(r, key) for key in keys), half_track=r["half_track"])


@dataclass(frozen=True, slots=True)
class Kindred:
    """A linkage: its sheet, its record, and the suspension that has it."""

    test: BayTest
    read: Callable[[Readings], Linkage]
    suspension: Suspension


LINKAGES = (
    Kindred(LEAVES, _leaves, Suspension.SOLID_AXLE),
    Kindred(ROD, _rod, Suspension.SOLID_AXLE),
    Kindred(WISHBONES, _wishbones, Suspension.INDEPENDENT),
    Kindred(STRUT, _strut, Suspension.INDEPENDENT),
)


def found(linkage: Kindred, readings: Readings) -> RollCentre:
    """The roll centre from the readings of a linkage's sheet [SI]."""
    return roll_centre(linkage.read(readings))


def estimates(centre: RollCentre) -> tuple[Estimate, Estimate]:
    """Height [m] and travel ratio [-]."""
    return (
        Estimate(centre.height, centre.height_tolerance / SIGMAS),
        Estimate(centre.travel_ratio, centre.ratio_tolerance / SIGMAS),
    )


def sensitivity_table(centre: RollCentre, test: BayTest, units: ReaderUnits) -> pd.DataFrame:
    """What each reading does when it is 5 mm too large, the strongest first."""
    labels = {reading.key: reading.label for reading in test.readings}
    error = f"{figure(READING_ERROR, units.length, 1)} {units.length}"
    return pd.DataFrame(
        (
            (
                labels[one.reading.replace(".", "_")],
                figure(one.height_change, units.length, 1 if units.length == "mm" else 2),
            )
            for one in centre.sensitivities
        ),
        columns=[f"read {error} too large", f"moves it by, {units.length}"],
    )


def changes(centre: RollCentre, axle: str, units: ReaderUnits, *, text: str) -> Changes:
    """Height and travel ratio with their tolerances, in place of an earlier linkage."""
    height, ratio = estimates(centre)
    return {
        f"{axle}.roll_centre_height": written(height, units.length),
        f"{axle}.roll_centre_travel_ratio": written(ratio, ""),
        **gone(text, f"{axle}.roll_centre"),
    }
