"""The linkage moved in space: where its wheel goes while the body rises over it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from rollsim.roll_centre import DoubleWishbone, Point, Strut
from rollsim.roll_centre.geometry import height_at
from rollsim.wheel_travel.corner import AS_BUILT, Corner, Setting

STEP = 0.005  # m to either side: bump steer over 10 mm
_CLOSE = 1e-11  # m
_NEARLY = 1e-7  # m, where the difference to another corner is all that counts
_NUDGE = 1e-7  # rad, for the slope of the gaps
_ROUNDS = 40
_FURTHEST = 1.5  # rad
Angles = tuple[float, float, float]
_STILL = np.eye(3)
_AHEAD, _OUT = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])


@dataclass(frozen=True, slots=True)
class WheelPose:
    """How a wheel stands at one height, against as measured.

    Parameters
    ----------
    camber, caster, toe : float
        Change: top out, top of the steering axis back, and front in are positive [rad]; NaN where
        what they hang on is not measured.
    outward : float
        Way of the contact patch from the centreline [m].
    roll_centre_height : float
        Above ground [m].
    linkage : DoubleWishbone or Strut
        Its points now, seen from behind [m].
    """

    camber: float
    caster: float
    toe: float
    outward: float
    roll_centre_height: float
    linkage: DoubleWishbone | Strut

    @property
    def scrub_radius(self) -> float:
        """Of the patch outside the steering axis, on the ground and seen from behind [m]."""
        side = self.linkage
        top = side.upper_joint if isinstance(side, DoubleWishbone) else side.top
        low = side.lower_joint
        lean = (top.across - low.across) / (top.height - low.height)
        return side.half_track - (low.across - lean * low.height)


def pose(corner: Corner, rise: float, setting: Setting = AS_BUILT) -> WheelPose:
    """Move a corner to another ride height.

    Parameters
    ----------
    corner : Corner
        As measured [m, rad].
    rise : float
        Of the body over the wheel, which stays on the ground [m].
    setting : Setting
        Other arms or pivots [m].

    Returns
    -------
    WheelPose
        [rad, m].

    Raises
    ------
    ValueError
        If the linkage does not reach so far.

    Notes
    -----
    Rigid links and joints without play. The lower ball joint turns about its arm's axis, the
    knuckle about that joint; the upper joint stays on its own arc (or the strut's line goes through
    its top mount), the tie rod keeps its length, the middle of the contact patch stays on the
    ground. Four unknown angles, four gaps, closed by Newton's method. Without a tie rod the wheel
    is kept straight ahead. Bushes give way under load, which is left out.

    Examples
    --------
    >>> ends = [Point(*end) for end in ((0.38, 0.45), (0.66, 0.45), (0.38, 0.22), (0.66, 0.22))]
    >>> found = pose(Corner(DoubleWishbone(*ends, half_track=0.78)), 0.05)
    >>> abs(round(found.camber, 9)), round(found.outward * 1e3, 2)
    (0.0, -4.5)
    """
    linked = _Linked(corner, rise, setting)
    return linked.pose(_closed(linked, (np.zeros(4), None))[0])


def near_angles(corner: Corner, rise: float, others: Sequence[Corner]) -> Iterator[Angles]:
    """What a height changes on corners that are nearly the same, as with a tape misread.

    Parameters
    ----------
    corner : Corner
        As measured [m, rad].
    rise : float
        Of the body [m].
    others : sequence of Corner
        Close to it.

    Yields
    ------
    tuple of float
        Changes of camber, caster and toe of each other, in their order [rad].

    Raises
    ------
    ValueError
        If one of them does not reach so far.
    """
    start = _closed(_Linked(corner, rise, AS_BUILT), (np.zeros(4), None))
    for other in others:
        linked = _Linked(other, rise, AS_BUILT)
        yield linked.angles(linked.placed(_closed(linked, start, close=_NEARLY)[0]))


def _closed(
    linked: "_Linked", start: tuple[np.ndarray, np.ndarray | None], *, close: float = _CLOSE
) -> tuple[np.ndarray, np.ndarray | None]:
    """The angles that close the gaps, and their slope, from such a pair nearby."""
    (angles, slope), last = start, math.inf
    for _ in range(_ROUNDS):
        gap = linked.gaps(angles)
        size = float(np.abs(gap).max())
        if not math.isfinite(size) or np.abs(angles).max() > _FURTHEST:
            break
        if size < close:
            return angles, slope
        if slope is None or size > 0.1 * last:  # an old slope serves while it closes the gap well
            nudged = [(linked.gaps(angles + step) - gap) / _NUDGE for step in _NUDGE * np.eye(4)]
            slope = np.stack(nudged, axis=1)
        last = size
        try:
            angles = angles - np.linalg.solve(slope, gap)
        except np.linalg.LinAlgError:
            break
    raise ValueError("the linkage does not reach so far; check its points")


def bump_steer(corner: Corner, rise: float, setting: Setting = AS_BUILT) -> float:
    """Toe-in that 10 mm of bump add.

    Parameters
    ----------
    corner : Corner
        With its tie rod [m].
    rise : float
        Of the body, about which it is taken [m].
    setting : Setting
        Other arms or pivots [m].

    Returns
    -------
    float
        Of one wheel, front in positive, over ± 5 mm [rad]; NaN without a tie rod.
    """
    if corner.tie_rod is None:
        return math.nan
    up, down = (pose(corner, rise - side * STEP, setting).toe for side in (1.0, -1.0))
    return up - down


class _Linked:
    """The gaps of a corner with its body raised, and what it looks like once they are closed.

    Vectors are ahead, outward, up; the lower ball joint is at 0 ahead.
    """

    def __init__(self, corner: Corner, rise: float, setting: Setting) -> None:
        side, lift = corner.linkage, np.array([0.0, 0.0, rise])
        self.corner, self.rise, self.lift = corner, rise, lift
        self.lower = _at(side.lower_joint)
        self.pivot = _at(side.lower_pivot)
        self.axis = _axis(corner.lower_slope)
        arm = self.lower - self.pivot
        self.arm = arm * (1.0 + setting.lower_arm / np.linalg.norm(arm))
        self.foot = self.pivot + lift + setting.lower_pivot * _OUT
        self.patch = np.array([0.0, side.half_track, 0.0])
        back = -math.tan(corner.caster)
        if isinstance(side, DoubleWishbone):
            upper = side.upper_joint
            self.upper = _at(upper, back * (upper.height - side.lower_joint.height))
            start = _at(side.upper_pivot)
            self.head = start + lift + setting.upper_pivot * _OUT
            self.upper_axis = _axis(corner.upper_slope)
            reach = self.upper - start
            self.along = float(reach @ self.upper_axis)
            square = float(reach @ reach) - self.along**2
            self.reach = math.sqrt(square) + setting.upper_arm
        else:
            tall = side.top.height - side.lower_joint.height
            top = _at(side.top, back * tall)
            self.upper = _at(side.tube, back * (side.tube.height - side.lower_joint.height))
            self.head = top + lift + setting.upper_pivot * _OUT
            line = (top - self.upper) / np.linalg.norm(top - self.upper)
            self.line, self.across = line, np.cross(line, _AHEAD)
            self.other = np.cross(line, self.across)
        rod = corner.tie_rod
        if rod is not None:
            self.outer = _at(rod.outer, rod.outer_ahead)
            inner = _at(rod.inner, rod.inner_ahead)
            self.inner, self.rod = inner + lift, float(np.linalg.norm(self.outer - inner))

    def placed(self, angles: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Lower ball joint [m], and the turn of the knuckle [-]."""
        return self.foot + _turn(self.axis * angles[0]) @ self.arm, _turn(angles[1:])

    def carried(self, point: np.ndarray, placed: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
        """A point of the knuckle where it is now [m]."""
        joint, turn = placed
        return joint + turn @ (point - self.lower)

    def gaps(self, angles: np.ndarray) -> np.ndarray:
        """What must be zero [m], kept straight [-]."""
        placed = self.placed(angles)
        upper = self.carried(self.upper, placed)
        if isinstance(self.corner.linkage, DoubleWishbone):
            reach = upper - self.head
            along = float(reach @ self.upper_axis)
            radial = math.sqrt(max(float(reach @ reach) - along**2, 0.0))
            guide = (radial - self.reach, along - self.along)
        else:
            off = self.head - upper
            guide = (off @ (placed[1] @ self.across), off @ (placed[1] @ self.other))
        if self.corner.tie_rod is None:
            steer = (placed[1] @ _OUT)[0]
        else:
            steer = _length(self.carried(self.outer, placed) - self.inner) - self.rod
        return np.array([*guide, steer, self.carried(self.patch, placed)[2]])

    def angles(self, placed: tuple[np.ndarray, np.ndarray]) -> Angles:
        """Changes of camber, caster and toe [rad]; NaN where what they hang on is not measured."""
        spindle = placed[1] @ _OUT
        wishbone = isinstance(self.corner.linkage, DoubleWishbone)
        king = (self.carried(self.upper, placed) if wishbone else self.head) - placed[0]
        caster = math.atan2(-king[0], king[2]) - self.corner.caster
        return (
            0.0 - math.asin(spindle[2]),
            caster if self.corner.has_side_view else math.nan,
            math.nan if self.corner.tie_rod is None else math.atan2(spindle[0], spindle[1]),
        )

    def pose(self, angles: np.ndarray) -> WheelPose:
        """How the wheel stands once the gaps are closed."""
        placed = self.placed(angles)
        camber, caster, toe = self.angles(placed)
        upper = self.carried(self.upper, placed)
        wishbone = isinstance(self.corner.linkage, DoubleWishbone)
        patch = self.carried(self.patch, placed)
        names = ("upper_pivot", "upper_joint") if wishbone else ("top", "tube")
        moved = replace(
            self.corner.linkage,
            lower_pivot=_seen(self.foot),
            lower_joint=_seen(placed[0]),
            half_track=float(patch[1]),
            **dict(zip(names, (_seen(self.head), _seen(upper)), strict=True)),
        )
        return WheelPose(
            camber=camber,
            caster=caster,
            toe=toe,
            outward=float(patch[1]) - self.corner.linkage.half_track,
            roll_centre_height=height_at(moved),
            linkage=moved,
        )


def _at(point: Point, ahead: float = 0.0) -> np.ndarray:
    return np.array([ahead, point.across, point.height])


def _seen(point: np.ndarray) -> Point:
    return Point(float(point[1]), float(point[2]))


def _axis(slope: float | None) -> np.ndarray:
    slope = slope or 0.0
    return np.array([math.cos(slope), 0.0, math.sin(slope)])


def _turn(angles: np.ndarray) -> np.ndarray:
    """The turn about a vector, by its length [rad]."""
    angle = _length(angles)
    if angle == 0.0:
        return _STILL
    x, y, z = angles / angle
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return _STILL + math.sin(angle) * cross + (1.0 - math.cos(angle)) * (cross @ cross)


def _length(vector: np.ndarray) -> float:
    return math.sqrt(float(vector @ vector))
