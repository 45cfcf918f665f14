"""A leaf spring seen from the side: arch, eye distance and shackle angle at any travel."""

import math
from dataclasses import dataclass

MEASURED_BAND, TAPED_BAND = math.radians(3.0), math.radians(6.0)
"""Half the band of a change of the shackle's angle, with its angle as it stands measured or taped:
this project's own."""
_CLOSE = 1e-10  # m
_STEP = 0.010  # m of travel at a time
_NUDGE = 1e-6  # m
_ROUNDS = 40

Place = tuple[float, float]
"""Behind the fixed eye, and above ground as weighed, of the frame [m]."""


@dataclass(frozen=True, slots=True)
class LeafSeat:
    """A leaf spring as it stands, with a shackle that hangs from the frame.

    Parameters
    ----------
    fixed_eye, shackle_eye, seat : float
        Middles of both eyes and of the main leaf over the axle, above ground [m].
    fixed_to_axle, axle_to_shackle : float
        Along the vehicle, from eye to axle and from axle to eye [m].
    shackle_length : float
        From eye to eye [m].
    shackle_angle : float
        From square to the frame, the spring's eye further from the fixed one positive [rad].
    eye_offset : float
        Of an eye's middle over the middle of the main leaf: half the eye and half the leaf;
        turned down negative [m].
    angle_is_measured : bool
        By a level on the shackle, else worked out from the tape.
    shackle_at_rear : bool
        The fixed eye is in front of the axle.
    gaps : bool or None
        Gaps between the leaves at mid-length, as weighed; None: not looked at.
    """

    fixed_eye: float
    shackle_eye: float
    seat: float
    fixed_to_axle: float
    axle_to_shackle: float
    shackle_length: float
    shackle_angle: float
    eye_offset: float = 0.0
    angle_is_measured: bool = True
    shackle_at_rear: bool = True
    gaps: bool | None = None

    @property
    def hanger(self) -> Place:
        """The shackle's end on the frame [m]."""
        along = self.fixed_to_axle + self.axle_to_shackle
        return (
            along - self.shackle_length * math.sin(self.shackle_angle),
            self.shackle_eye + self.shackle_length * math.cos(self.shackle_angle),
        )


@dataclass(frozen=True, slots=True)
class LeafPose:
    """A leaf spring at one travel, in the frame.

    Parameters
    ----------
    arch : float
        Of the main leaf over the line of its ends, reversed negative [m].
    shackle_angle : float
        From square to the frame [rad].
    eye_distance : float
        [m].
    axle_shift : float
        Of the axle away from the fixed eye, from as weighed [m].
    shackle_eye, seat : tuple of float
        Places in the frame [m].
    """

    arch: float
    shackle_angle: float
    eye_distance: float
    axle_shift: float
    shackle_eye: Place
    seat: Place


@dataclass(frozen=True, slots=True)
class _Shape:
    """What the arch of a leaf of constant length gives [m, rad]."""

    arch: float
    eyes: float
    drop: float


def leaf_length(ends: float, arch: float) -> float:
    """Length along a parabola.

    Parameters
    ----------
    ends, arch : float
        Between its ends, and its height over them in the middle [m].

    Returns
    -------
    float
        [m].

    Notes
    -----
    (l/2) [√(1 + u²) + asinh(u)/u], u = 4 c/l; about l + 8 c²/(3 l).

    Examples
    --------
    >>> round(leaf_length(1.2, 0.1), 4), round(1.2 + 8.0 * 0.01 / 3.6, 4)
    (1.2219, 1.2222)
    """
    u = 4.0 * abs(arch) / ends
    if u < 1e-6:
        return ends
    return 0.5 * ends * (math.hypot(1.0, u) + math.asinh(u) / u)


def under_eyes(
    fixed_eye: float, shackle_eye: float, seat: float, fixed_to_axle: float, axle_to_shackle: float
) -> float:
    """How far the main leaf on the axle is under the line through the eyes.

    Parameters
    ----------
    fixed_eye, shackle_eye, seat : float
        Above ground [m].
    fixed_to_axle, axle_to_shackle : float
        Along the vehicle [m].

    Returns
    -------
    float
        Square to that line [m].

    Examples
    --------
    >>> round(under_eyes(0.50, 0.50, 0.40, 0.6, 0.6), 9)
    0.1
    """
    along, up = fixed_to_axle + axle_to_shackle, shackle_eye - fixed_eye
    return ((fixed_eye - seat) * along + fixed_to_axle * up) / math.hypot(along, up)


def leaf_pose(leaf: LeafSeat, rise: float) -> LeafPose:
    """Move a leaf spring to another ride height.

    Parameters
    ----------
    leaf : LeafSeat
        As it stands [m, rad].
    rise : float
        Of the frame over the axle [m].

    Returns
    -------
    LeafPose
        [m, rad].

    Raises
    ------
    ValueError
        If the shackle does not reach so far.

    Notes
    -----
    The main leaf is a parabola of constant length between its ends, each eye's middle square to it
    there by the eye offset; fixed eye, leaf and shackle close a four-bar. The seat stands on the
    line of the eyes where it is taped, and turns with it: windup, bushes and leaves that lift off
    are left out. The arch is what closes it at that height, by Newton's method, 10 mm at a time.

    Examples
    --------
    >>> leaf = LeafSeat(0.50, 0.50, 0.40, 0.6, 0.6, shackle_length=0.1, shackle_angle=0.35)
    >>> lower = leaf_pose(leaf, -0.05)
    >>> round(lower.arch, 4), lower.shackle_angle > 0.35, lower.eye_distance > 1.2
    (0.0536, True, True)
    """
    arch, length = _as_weighed(leaf)
    steps = max(1, math.ceil(abs(rise) / _STEP))
    for n in range(1, steps + 1):
        arch = _closed(leaf, length, arch, rise * n / steps)
    shape = _shape(leaf, length, arch)
    eye = _shackle_eye(leaf, shape.eyes)
    hanger, seat = leaf.hanger, _seat(leaf, shape, eye)
    return LeafPose(
        arch=arch,
        shackle_angle=math.atan2(eye[0] - hanger[0], hanger[1] - eye[1]),
        eye_distance=shape.eyes,
        axle_shift=seat[0] - _start(leaf)[0],
        shackle_eye=eye,
        seat=seat,
    )


def _start(leaf: LeafSeat) -> Place:
    """The seat as weighed, along the line of the eyes."""
    arch, length = _as_weighed(leaf)
    shape = _shape(leaf, length, arch)
    return _seat(leaf, shape, _shackle_eye(leaf, shape.eyes))


def _on_line(leaf: LeafSeat) -> tuple[float, float, float]:
    """Eye distance, and the seat along and under the line of the eyes, as weighed [m]."""
    along, up = leaf.fixed_to_axle + leaf.axle_to_shackle, leaf.shackle_eye - leaf.fixed_eye
    eyes, down = math.hypot(along, up), leaf.fixed_eye - leaf.seat
    return (
        eyes,
        (leaf.fixed_to_axle * along - down * up) / eyes,
        under_eyes(
            *(leaf.fixed_eye, leaf.shackle_eye, leaf.seat),
            *(leaf.fixed_to_axle, leaf.axle_to_shackle),
        ),
    )


def _depth(leaf: LeafSeat) -> tuple[float, float]:
    """Share of the eye distance in front of the seat, and of the arch that is there [-]."""
    eyes, along, _ = _on_line(leaf)
    share = along / eyes
    return share, 4.0 * share * (1.0 - share)


def _as_weighed(leaf: LeafSeat) -> tuple[float, float]:
    """Arch, and length of the leaf, that the tape has [m]."""
    eyes, _, drop = _on_line(leaf)
    _, depth = _depth(leaf)
    ends, arch = eyes, drop / depth
    for _ in range(_ROUNDS):
        slope = math.atan(4.0 * arch / ends)
        ends = eyes + 2.0 * leaf.eye_offset * math.sin(slope)
        arch = (drop - leaf.eye_offset * math.cos(slope)) / depth
    return arch, leaf_length(ends, arch)


def _shape(leaf: LeafSeat, length: float, arch: float) -> _Shape:
    """Eye distance, and drop of the seat under the line of the eyes, by the arch alone."""
    ends = length
    for _ in range(_ROUNDS):
        gap = leaf_length(ends, arch) - length
        if abs(gap) < 0.01 * _CLOSE:
            break
        ends -= gap
    slope = math.atan(4.0 * arch / ends)
    _, depth = _depth(leaf)
    return _Shape(
        arch,
        ends - 2.0 * leaf.eye_offset * math.sin(slope),
        depth * arch + leaf.eye_offset * math.cos(slope),
    )


def _shackle_eye(leaf: LeafSeat, eyes: float) -> Place:
    """Where the spring's eye and the shackle meet: under the line from fixed eye to hanger."""
    (x, height), r = leaf.hanger, leaf.shackle_length
    up = height - leaf.fixed_eye
    base = math.hypot(x, up)
    along = (base**2 + eyes**2 - r**2) / (2.0 * base)
    square = eyes**2 - along**2
    if square < 0.0:
        raise ValueError("the shackle does not reach so far; check its length and its angle")
    below = math.sqrt(square)
    return (
        (along * x + below * up) / base,
        leaf.fixed_eye + (along * up - below * x) / base,
    )


def _seat(leaf: LeafSeat, shape: _Shape, eye: Place) -> Place:
    tilt = math.atan2(eye[1] - leaf.fixed_eye, eye[0])
    along = _depth(leaf)[0] * shape.eyes
    return (
        along * math.cos(tilt) + shape.drop * math.sin(tilt),
        leaf.fixed_eye + along * math.sin(tilt) - shape.drop * math.cos(tilt),
    )


def _closed(leaf: LeafSeat, length: float, arch: float, rise: float) -> float:
    """The arch at which the seat is as far under the frame as the rise asks for [m]."""

    def gap(one: float) -> float:
        shape = _shape(leaf, length, one)
        return _seat(leaf, shape, _shackle_eye(leaf, shape.eyes))[1] - (leaf.seat - rise)

    for _ in range(_ROUNDS):
        off = gap(arch)
        if abs(off) < _CLOSE:
            return arch
        arch -= off * _NUDGE / (gap(arch + _NUDGE) - off)
        if not abs(arch) < 0.4 * length:
            break
    raise ValueError("the shackle does not reach so far; check its length and its angle")
