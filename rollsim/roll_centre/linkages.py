"""The linkages that a fitter can measure with a tape: points and heights, frozen records.

Heights above level ground, vehicle at ride height; `across` is the distance from the centreline,
one side's for a wishbone or strut. Both sides count as alike.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Point:
    """A point in the plane of the axle, seen from behind.

    Parameters
    ----------
    across : float
        From the centreline; on wishbones and struts positive outward, on a rod positive left [m].
    height : float
        Above ground [m].
    """

    across: float
    height: float


@dataclass(frozen=True, slots=True)
class LeafSprings:
    """A solid axle that leaf springs alone hold sideways.

    Parameters
    ----------
    front_eye, rear_eye : float
        Height of the middles of the spring's eyes, at the shackle the spring's own eye [m].
    seat : float
        Height of the middle of the main leaf over the axle [m].
    eye_to_axle, axle_to_eye : float
        Along the vehicle, front eye to axle and axle to rear eye [m].
    """

    front_eye: float
    rear_eye: float
    seat: float
    eye_to_axle: float
    axle_to_eye: float


@dataclass(frozen=True, slots=True)
class PanhardRod:
    """A solid axle that one transverse rod holds sideways.

    Parameters
    ----------
    on_axle, on_body : Point
        Middles of its joints; on opposite sides of the centreline [m].
    """

    on_axle: Point
    on_body: Point


@dataclass(frozen=True, slots=True)
class DoubleWishbone:
    """Independent suspension with an upper and a lower arm.

    Parameters
    ----------
    upper_pivot, lower_pivot : Point
        On the body: the axis of the arm's bushes where it passes the plane of the axle [m].
    upper_joint, lower_joint : Point
        Ball joints on the knuckle [m].
    half_track : float
        Middle of the contact patch from the centreline [m].
    """

    upper_pivot: Point
    upper_joint: Point
    lower_pivot: Point
    lower_joint: Point
    half_track: float


@dataclass(frozen=True, slots=True)
class Strut:
    """Independent suspension with a strut and a lower arm.

    Parameters
    ----------
    top : Point
        Middle of the strut's top mount [m].
    tube : Point
        Another point on the line along which the strut slides, on its tube near the knuckle [m].
    lower_pivot, lower_joint : Point
        Ends of the arm [m].
    half_track : float
        Middle of the contact patch from the centreline [m].
    """

    top: Point
    tube: Point
    lower_pivot: Point
    lower_joint: Point
    half_track: float


Linkage = LeafSprings | PanhardRod | DoubleWishbone | Strut
