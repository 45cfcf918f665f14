"""Roll-centre height at any ride height: lines drawn, and the linkage moved for the travel."""

import math
from dataclasses import replace

import numpy as np

from rollsim.roll_centre.linkages import (
    DoubleWishbone,
    LeafSprings,
    Linkage,
    PanhardRod,
    Point,
    Strut,
)

HALF_WAY = 0.5  # from seat to eyes: this project's own
CLAIMED = (1.0 / 3.0, 1.0)  # of the same: common practice, no source
TRAVEL = 0.010  # m, to either side: the body against the axle, for the travel ratio
_CLOSE = 1e-12  # m
_STEPS = 1e-7 * np.eye(2)  # rad, for the slope of the linkage


def height_at(linkage: Linkage, rise: float = 0.0) -> float:
    """Roll-centre height with the body raised over the axle.

    Parameters
    ----------
    linkage : LeafSprings, PanhardRod, DoubleWishbone or Strut
        Readings [m].
    rise : float
        Of the body, wheels staying on the ground [m].

    Returns
    -------
    float
        Above ground, on the centreline [m]; on a solid axle the centreline of the axle.

    Raises
    ------
    ValueError
        If the readings are no such linkage, or it does not reach so far.

    Notes
    -----
    Leaf springs: half way from the main leaf's seat to the line of the eyes over the axle. An
    even twist of a cambered leaf turns about a third of that way, and graduated leaves, which
    twist most near the eyes, about more; the line of the eyes alone is a rule of many shops.
    Half way is this project's own.

    Panhard rod: where it crosses the centreline.

    Wishbones: the arms' lines meet in the instant centre; the line from there to the contact
    patch crosses the centreline in the roll centre. Strut: as the upper line the perpendicular
    to the strut through its top mount. [roll-centre-geometry]
    """
    if isinstance(linkage, LeafSprings):
        return _of_leaves(linkage, rise)
    if isinstance(linkage, PanhardRod):
        return _of_rod(linkage, rise)
    return _of_side(linkage, rise)


def travel_ratio(linkage: Linkage) -> float:
    """Rise of the roll centre per rise of the body over the axle.

    Parameters
    ----------
    linkage : LeafSprings, PanhardRod, DoubleWishbone or Strut
        Readings [m].

    Returns
    -------
    float
        Mean over ± 10 mm [-].
    """
    return (height_at(linkage, TRAVEL) - height_at(linkage, -TRAVEL)) / (2.0 * TRAVEL)


def _of_leaves(leaves: LeafSprings, rise: float, share: float = HALF_WAY) -> float:
    length = leaves.eye_to_axle + leaves.axle_to_eye
    if not min(leaves.eye_to_axle, leaves.axle_to_eye) > 0.0:
        raise ValueError("leaf springs: the axle must stand between the eyes")
    slope = (leaves.rear_eye - leaves.front_eye) / length
    eyes = leaves.front_eye + slope * leaves.eye_to_axle + rise
    return leaves.seat + share * (eyes - leaves.seat)


def claimed_band(linkage: Linkage) -> tuple[float, float]:
    """How far apart the rules for a linkage are.

    Parameters
    ----------
    linkage : LeafSprings, PanhardRod, DoubleWishbone or Strut
        Readings [m].

    Returns
    -------
    tuple of float
        Half the span of what is claimed, for height [m] and travel ratio [-]; zero where the
        geometry leaves no choice.
    """
    if not isinstance(linkage, LeafSprings):
        return 0.0, 0.0
    low, high = (_of_leaves(linkage, 0.0, share) for share in CLAIMED)
    return 0.5 * abs(high - low), 0.5 * (CLAIMED[1] - CLAIMED[0])


def _of_rod(rod: PanhardRod, rise: float) -> float:
    axle, body = rod.on_axle, rod.on_body
    if not axle.across * body.across < 0.0:
        raise ValueError("Panhard rod: its ends must stand on opposite sides of the centreline")
    fall, reach = body.height - axle.height, body.across - axle.across
    square = reach**2 + fall**2 - (fall + rise) ** 2
    if not square > 0.0:
        raise ValueError("Panhard rod: it does not reach so far")
    # The rod keeps its length, so the body moves sideways; the axle's centreline stays.
    base = math.copysign(math.sqrt(square), reach)
    return axle.height - axle.across * (fall + rise) / base


def _of_side(side: DoubleWishbone | Strut, rise: float) -> float:
    """Wishbone or strut: instant centre, contact patch, centreline."""
    moved, contact = _raised(side, rise)
    lower = np.cross(_flat(moved.lower_pivot), _flat(moved.lower_joint))
    if isinstance(moved, DoubleWishbone):
        upper = np.cross(_flat(moved.upper_pivot), _flat(moved.upper_joint))
    else:
        top, tube = _flat(moved.top), _flat(moved.tube)
        along = top - tube
        upper = np.cross(top, np.array([-along[1], along[0], 0.0]))
    # Homogeneous coordinates: parallel arms meet at infinity and need no case of their own.
    through = np.cross(np.cross(upper, lower), _flat(contact))
    if abs(through[1]) < 1e-9 * np.linalg.norm(through):
        raise ValueError("the instant centre stands over the contact patch: no roll centre")
    return float(-through[2] / through[1])


def _flat(point: Point) -> np.ndarray:
    return np.array([point.across, point.height, 1.0])


def _raised(side: DoubleWishbone | Strut, rise: float) -> tuple[DoubleWishbone | Strut, Point]:
    """The linkage with its body raised and its tyre still on the ground, and the contact patch."""
    contact = Point(side.half_track, 0.0)
    if rise == 0.0:
        return side, contact
    pose = np.zeros(2)
    for _ in range(30):
        gap = _gap(side, rise, pose)
        if np.abs(gap).max() < _CLOSE:
            return _posed(side, rise, pose)
        slope = np.stack(
            [(_gap(side, rise, pose + step) - gap) / step.max() for step in _STEPS], axis=1
        )
        pose = pose - np.linalg.solve(slope, gap)
    raise ValueError("the linkage does not reach so far; check its points")


def _posed(
    side: DoubleWishbone | Strut, rise: float, pose: np.ndarray
) -> tuple[DoubleWishbone | Strut, Point]:
    """The linkage with its lower arm and its knuckle turned by `pose` [rad], the body raised."""
    arm, knuckle = pose
    pivot = _up(side.lower_pivot, rise)
    start = side.lower_joint
    joint = _up(_turned(start, side.lower_pivot, arm), rise)

    def carried(point: Point) -> Point:
        turned = _turned(point, start, knuckle)
        return Point(
            turned.across + joint.across - start.across, turned.height + joint.height - start.height
        )

    contact = carried(Point(side.half_track, 0.0))
    if isinstance(side, DoubleWishbone):
        moved = replace(
            side,
            lower_pivot=pivot,
            lower_joint=joint,
            upper_pivot=_up(side.upper_pivot, rise),
            upper_joint=carried(side.upper_joint),
        )
    else:
        moved = replace(
            side,
            lower_pivot=pivot,
            lower_joint=joint,
            top=_up(side.top, rise),
            tube=carried(side.tube),
        )
    return moved, contact


def _gap(side: DoubleWishbone | Strut, rise: float, pose: np.ndarray) -> np.ndarray:
    """What must be zero [m]: the upper link's length, or the strut's top off its line; the tyre."""
    moved, contact = _posed(side, rise, pose)
    if isinstance(side, DoubleWishbone) and isinstance(moved, DoubleWishbone):
        length = _distance(moved.upper_pivot, moved.upper_joint)
        return np.array([length - _distance(side.upper_pivot, side.upper_joint), contact.height])
    line = _turned(side.top, side.lower_joint, pose[1])
    shift_y = moved.lower_joint.across - side.lower_joint.across
    shift_z = moved.lower_joint.height - side.lower_joint.height
    along = (line.across + shift_y - moved.tube.across, line.height + shift_z - moved.tube.height)
    to_top = (moved.top.across - moved.tube.across, moved.top.height - moved.tube.height)
    off = (along[0] * to_top[1] - along[1] * to_top[0]) / math.hypot(*along)
    return np.array([off, contact.height])


def _turned(point: Point, about: Point, angle: float) -> Point:
    across, height = point.across - about.across, point.height - about.height
    cos, sin = math.cos(angle), math.sin(angle)
    return Point(
        about.across + across * cos - height * sin, about.height + across * sin + height * cos
    )


def _up(point: Point, rise: float) -> Point:
    return Point(point.across, point.height + rise)


def _distance(one: Point, other: Point) -> float:
    return math.hypot(one.across - other.across, one.height - other.height)
