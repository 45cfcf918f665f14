"""Roll centre and travel ratio with what errors of the tape do to them."""

import math
from dataclasses import dataclass, fields, is_dataclass, replace

from rollsim.roll_centre.geometry import claimed_band, height_at, travel_ratio
from rollsim.roll_centre.linkages import (
    DoubleWishbone,
    LeafSprings,
    Linkage,
    PanhardRod,
    Strut,
)

READING_ERROR = 0.005  # m, of a tape under a vehicle


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What an error of one reading does.

    Parameters
    ----------
    reading : str
        Which, such as "lower_joint.height".
    height_change : float
        Of the roll centre, with the reading 5 mm larger [m].
    ratio_change : float
        Of the travel ratio [-].
    """

    reading: str
    height_change: float
    ratio_change: float


@dataclass(frozen=True, slots=True)
class RollCentre:
    """A roll centre from tape measurements.

    Parameters
    ----------
    height : float
        Above ground, on the centreline [m].
    travel_ratio : float
        Its rise per rise of the body over the axle [-].
    sensitivities : tuple of Sensitivity
        Of every reading, the strongest first.
    height_tolerance, ratio_tolerance : float
        Half the 90 % bands with one of `reading_error` in each reading, and with how far apart
        the rules for that linkage are [m], [-].
    claimed : tuple of float
        The part of both that the rules make [m], [-].
    notes : tuple of str
        What a reader should know.
    """

    height: float
    travel_ratio: float
    sensitivities: tuple[Sensitivity, ...]
    height_tolerance: float
    ratio_tolerance: float
    claimed: tuple[float, float]
    notes: tuple[str, ...]


def roll_centre(linkage: Linkage, reading_error: float = READING_ERROR) -> RollCentre:
    """Roll-centre height and travel ratio, and what errors of the tape do to them.

    Parameters
    ----------
    linkage : LeafSprings, PanhardRod, DoubleWishbone or Strut
        Readings [m].
    reading_error : float
        Half the 90 % band of each reading [m].

    Returns
    -------
    RollCentre
        Height [m] and ratio [-] with their sensitivities.

    Raises
    ------
    ValueError
        If the readings are no such linkage.

    Notes
    -----
    The ratio by moving the body 10 mm up and down over the axle. [roll-centre-geometry]

    Examples
    --------
    >>> from rollsim.roll_centre.linkages import Point
    >>> rod = PanhardRod(Point(0.5, 0.40), Point(-0.5, 0.44))
    >>> found = roll_centre(rod)
    >>> round(found.height, 3), round(found.travel_ratio, 3)
    (0.42, 0.501)
    """
    height, ratio = height_at(linkage), travel_ratio(linkage)
    claimed = claimed_band(linkage)
    found = [
        Sensitivity(
            name,
            0.5 * (height_at(more) - height_at(less)),
            0.5 * (travel_ratio(more) - travel_ratio(less)),
        )
        for name, more, less in misread(linkage, reading_error)
    ]
    return RollCentre(
        height=height,
        travel_ratio=ratio,
        sensitivities=tuple(sorted(found, key=lambda s: -abs(s.height_change))),
        height_tolerance=math.hypot(claimed[0], *(s.height_change for s in found)),
        ratio_tolerance=math.hypot(claimed[1], *(s.ratio_change for s in found)),
        claimed=claimed,
        notes=_NOTES[type(linkage)],
    )


def misread(linkage: Linkage, error: float) -> list[tuple[str, Linkage, Linkage]]:
    """Each reading by name, with the linkage read too large and too small by `error` [m]."""
    found = []
    for field in fields(linkage):
        value = getattr(linkage, field.name)
        if not is_dataclass(value):
            both = (replace(linkage, **{field.name: value + s * error}) for s in (1.0, -1.0))
            found.append((field.name, *both))
            continue
        for inner in fields(value):
            reading = getattr(value, inner.name)
            points = (replace(value, **{inner.name: reading + s * error}) for s in (1.0, -1.0))
            both = (replace(linkage, **{field.name: point}) for point in points)
            found.append((f"{field.name}.{inner.name}", *both))
    return found


_TAPE = (
    "a wishbone's roll centre can move by 45 mm for a reading that is 15 mm off: measure pivots "
    "and ball joints from one level floor, each twice"
)
_NOTES: dict[type[Linkage], tuple[str, ...]] = {
    LeafSprings: (
        "leaf springs hold the axle sideways over their whole length: between a third and all of "
        "the way from seat to eyes is claimed; half way is taken here, and half of that span goes "
        "into the tolerances",
    ),
    PanhardRod: (
        "the rod moves the body sideways as it travels: the roll centre is where it crosses the "
        "axle's centreline, and left and right bends lean differently",
    ),
    DoubleWishbone: (_TAPE,),
    Strut: (_TAPE,),
}
