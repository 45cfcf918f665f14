"""Which passes of a drive went over the same bend? By radius, side and change of heading."""

import numpy as np

ALIKE = 0.10  # of the radius, about the middle one of a place
ALIKE_WITHOUT_SPEED = 0.20  # the radius then comes from the acceleration, which the bank is in
TIGHT = 0.08  # of the heading change, within a bend of its own
APART = 0.25  # of the heading change, between two bends of one radius
SHARED = 0.15  # of the time: a circle that is driven for so many seconds at each speed


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


def places(
    radius: np.ndarray,
    left: np.ndarray,
    turned: np.ndarray,
    *,
    seconds: np.ndarray,
    alike: float = ALIKE,
) -> np.ndarray:
    """Number the places; left and right of one bend are two.

    Parameters
    ----------
    radius : (n,) array
        Of each stretch [m].
    left : (n,) array of bool
        Turns left.
    turned, seconds : (n,) array
        Change of heading from straight to straight [rad] and how long it takes [s].
    alike : float
        How far the radii of one place may lie from their middle [-]; infinite: all are one place.

    Returns
    -------
    (n,) array of int
        Even to the left, odd to the right; the same half of it is one bend.

    Notes
    -----
    Radii are halved at their widest gap until each group lies close about its median. Two bends of
    one radius are told apart where their changes of heading form two tight groups; a circle that is
    driven for the same time at each speed has many, and stays one place. Common practice has no
    rule for this; it is the project's own.

    Examples
    --------
    >>> radius = np.array([25.0, 25.5, 24.6, 40.0])
    >>> left = np.array([True, True, False, True])
    >>> places(radius, left, np.full(4, 1.5), seconds=np.full(4, 6.0)).tolist()
    [0, 0, 1, 2]
    """
    number = np.zeros(len(radius), dtype=int)
    count = 0
    for group in _halved(np.log(radius), np.arange(len(radius)), limit=np.log1p(alike)):
        for part in _by_heading(group, turned, seconds):
            number[part] = count
            count += 1
    return 2 * number + ~left


def _halved(values: np.ndarray, at: np.ndarray, *, limit: float) -> list[np.ndarray]:
    """Groups of indices, each within the limit of its median."""
    ordered = at[np.argsort(values[at], kind="stable")]
    inside = values[ordered]
    if np.abs(inside - np.median(inside)).max(initial=0.0) <= limit:
        return [ordered]
    cut = int(np.argmax(np.diff(inside))) + 1
    parts = (ordered[:cut], ordered[cut:])
    return [group for part in parts for group in _halved(values, part, limit=limit)]


def _by_heading(at: np.ndarray, turned: np.ndarray, seconds: np.ndarray) -> list[np.ndarray]:
    """Bends of one radius told apart by how far they turn."""
    size = np.abs(turned[at])
    lasting = seconds[at]
    if np.abs(lasting / np.median(lasting) - 1.0).max() <= SHARED:
        return [at]
    order = np.argsort(size, kind="stable")
    steps = np.diff(np.log(np.maximum(size[order], 1e-6)))
    cuts = np.flatnonzero(steps > np.log1p(APART)) + 1
    parts = np.split(order, cuts)
    tight = all(np.ptp(np.log(size[part])) <= 2.0 * TIGHT and len(part) > 1 for part in parts)
    return [at[part] for part in parts] if len(parts) > 1 and tight else [at]
