"""Which passes of a drive went over the same bend? By radius, heading, order and position."""

from dataclasses import dataclass

import numpy as np

ALIKE = 0.10  # of the radius, about the middle one of a place
ALIKE_WITHOUT_SPEED = 0.20  # the radius then comes from the acceleration, which the bank is in
GAP = 0.05  # of the radius, between two places that are each driven at several speeds
TIGHT = 0.12  # of the heading change, about the middle one of a bend
SHARED = 0.15  # of the time: a circle that is driven for so many seconds at each speed
NEARLY_ALL = 0.8  # of the passes to one side have one radius: a circle, whatever they turn
APART, APART_BY_RADIUS = 15.0, 0.5  # m, and of the radius, between the centres of two places


@dataclass(frozen=True, slots=True, eq=False)
class Passes:
    """What tells the place of each stretch.

    Parameters
    ----------
    radius : (n,) array
        [m].
    lateral : (n,) array
        Left positive [m/s²].
    turned, seconds : (n,) array
        Change of heading of its bend from straight to straight [rad] and how long it takes [s].
    bend : (n,) array of int
        Number of its bend, in the order of the drive.
    centre : (n,) array of complex or None
        Of the circle that it is part of, east + i north [m]; NaN where it is not known.
    """

    radius: np.ndarray
    lateral: np.ndarray
    turned: np.ndarray
    seconds: np.ndarray
    bend: np.ndarray
    centre: np.ndarray | None = None


def radii(lateral: np.ndarray, yaw_rate: np.ndarray, speed: np.ndarray | None) -> np.ndarray:
    """Radius of the path of each stretch.

    Parameters
    ----------
    lateral : (n,) array
        [m/s²].
    yaw_rate : (n,) array
        [rad/s].
    speed : (n,) array or None
        [m/s]; None: from the other two.

    Returns
    -------
    (n,) array
        v/r, or a/r² without a speed [m].
    """
    turning = np.maximum(np.abs(yaw_rate), 1e-6)
    if speed is not None:
        return np.maximum(speed, 1e-3) / turning
    return np.abs(lateral) / turning**2


def places(passes: Passes, *, alike: float = ALIKE, apart: float) -> np.ndarray:
    """Number the places; left and right of one bend are two.

    Parameters
    ----------
    passes : Passes
        Of the drive.
    alike : float
        How far the radii of one place may lie from their middle [-]; infinite: all are one place.
    apart : float
        Lateral acceleration between the gentlest and the sharpest pass that tells a slope [m/s²].

    Returns
    -------
    (n,) array of int
        Even to the left, odd to the right; the same half of it is one bend.

    Notes
    -----
    Radii are halved at their widest gap until each group lies close about its median, and at gaps
    of 5 per cent as long as what falls apart is still driven at several speeds. Of one radius
    are told apart: bends whose centres lie apart, where position is logged; else bends that turn by
    another angle, unless it is a circle, which is driven for the same time at each speed or makes
    up nearly the whole drive; and bends that come in turn lap after lap, where the laps are driven
    at several speeds. Common practice has no rule for this; it is the project's own.

    Examples
    --------
    >>> passes = Passes(
    ...     radius=np.array([25.0, 25.5, 24.6, 40.0]),
    ...     lateral=np.array([1.0, 2.0, -2.0, 1.0]),
    ...     turned=np.full(4, 1.5),
    ...     seconds=np.full(4, 6.0),
    ...     bend=np.arange(4),
    ... )
    >>> places(passes, apart=1.0).tolist()
    [0, 0, 1, 2]
    """
    left = passes.lateral > 0.0
    if np.isinf(alike):
        return np.where(left, 0, 1)
    number, count = np.zeros(len(left), dtype=int), 0
    every = np.arange(len(left))
    radius = np.log(passes.radius)
    for alike_ones in _halved(radius, every, limit=np.log1p(alike)):
        for group in _at_gaps(radius, alike_ones, passes, apart):
            for part in _told_apart(group, passes):
                number[part] = count
                count += 1
    return _by_order(2 * number + ~left, passes, apart)


def recurs(number: np.ndarray, bend: np.ndarray) -> bool:
    """Whether places come again in the same order, as passes of one bend, or of laps, do.

    Parameters
    ----------
    number : (n,) array of int
        Place of each stretch, from `places`.
    bend : (n,) array of int
        Number of its bend, in the order of the drive.

    Returns
    -------
    bool
        Most bends have come before, or come again, between the same two; bends that happen to have
        one radius do not.

    Examples
    --------
    >>> recurs(np.array([0, 1, 0, 1, 0, 1]), np.arange(6))
    True
    >>> recurs(np.array([0, 3, 4, 0, 2, 7, 4, 2]), np.arange(8))
    False
    """
    _, first = np.unique(bend, return_index=True)
    course = (number[first] // 2).tolist()
    seen = list(zip(course, course[1:], course[2:], strict=False))
    return sum(seen.count(one) > 1 for one in seen) >= 0.5 * len(seen)


def centre(position: np.ndarray, heading: np.ndarray) -> complex:
    """Centre of the circle on which positions (east + i north) lie while the heading turns [m].

    Notes
    -----
    position = centre + z exp(i heading), of which a fit tells both: the gyro knows the turning far
    better than a receiver does.
    """
    known = np.isfinite(position)
    columns = np.column_stack([np.ones(known.sum()), np.exp(1j * heading[known])])
    if len(columns) < 3 or np.ptp(heading[known]) < 0.3:
        return complex(np.nan, np.nan)
    return complex(np.linalg.lstsq(columns, position[known], rcond=None)[0][0])


def _halved(values: np.ndarray, at: np.ndarray, *, limit: float) -> list[np.ndarray]:
    """Groups of indices, each within the limit of its median."""
    ordered = at[np.argsort(values[at], kind="stable")]
    inside = values[ordered]
    if np.abs(inside - np.median(inside)).max(initial=0.0) <= limit:
        return [ordered]
    cut = int(np.argmax(np.diff(inside))) + 1
    parts = (ordered[:cut], ordered[cut:])
    return [group for part in parts for group in _halved(values, part, limit=limit)]


def _at_gaps(radius: np.ndarray, at: np.ndarray, passes: Passes, apart: float) -> list[np.ndarray]:
    """A group of like radii at its widest gap, where both parts tell a slope."""
    ordered = at[np.argsort(radius[at], kind="stable")]
    steps = np.diff(radius[ordered])
    cut = int(np.argmax(steps)) + 1 if len(steps) else 0
    parts = (ordered[:cut], ordered[cut:])
    if not (cut and steps[cut - 1] > GAP and all(_tells(one, passes, apart) for one in parts)):
        return [ordered]
    return [group for part in parts for group in _at_gaps(radius, part, passes, apart)]


def _tells(at: np.ndarray, passes: Passes, apart: float) -> bool:
    """Whether these are driven at several speeds, each way that they are driven."""
    left = passes.lateral[at] > 0.0
    sides = [passes.lateral[at][side] for side in (left, ~left) if side.any()]
    return min(np.ptp(side) for side in sides) >= apart


def _told_apart(at: np.ndarray, passes: Passes) -> list[np.ndarray]:
    """Bends of one radius, by where they are, or by how far they turn."""
    if passes.centre is not None and np.isfinite(passes.centre[at]).all():
        return _by_position(at, passes)
    lasting = passes.seconds[at]
    of_all = len(set(passes.bend[at].tolist())) / len(set(passes.bend.tolist()))
    same_time = np.abs(lasting / np.median(lasting) - 1.0).max() <= SHARED
    groups = _halved(np.log(np.maximum(np.abs(passes.turned), 1e-6)), at, limit=np.log1p(TIGHT))
    several = all(len(set(passes.bend[group].tolist())) > 1 for group in groups)
    if same_time or (of_all >= NEARLY_ALL and not several):
        return [at]
    return groups


def _by_position(at: np.ndarray, passes: Passes) -> list[np.ndarray]:
    """Bends whose centres lie close to the first of them."""
    near = max(APART, APART_BY_RADIUS * float(np.median(passes.radius[at])))
    groups: list[list[int]] = []
    for n in at.tolist():
        for group in groups:
            if abs(passes.centre[n] - np.mean(passes.centre[group])) <= near:
                group.append(n)
                break
        else:
            groups.append([n])
    return [np.array(group) for group in groups]


def _by_order(number: np.ndarray, passes: Passes, apart: float) -> np.ndarray:
    """Places that come more than once a lap, told apart by when they come."""
    bends, first = np.unique(passes.bend, return_index=True)
    course = number[first]
    lap = next((p for p in range(1, len(course) // 2 + 1) if (course[p:] == course[:-p]).all()), 0)
    if lap <= len(set(course[:lap].tolist())):
        return number
    turn = np.searchsorted(bends, passes.bend) % lap
    split = 2 * (lap * (number // 2) + turn) + number % 2
    parts = (np.flatnonzero(split == one) for one in np.unique(split))
    return split if all(_tells(part, passes, apart) for part in parts) else number
