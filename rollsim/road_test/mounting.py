"""How does a sensor sit in the vehicle? Up by gravity, left by the turns, forward by both."""

import numpy as np

from rollsim.road_test.log import Mounting
from rollsim.road_test.signals import TURNING, even_rows
from rollsim.vehicle import STANDARD_GRAVITY

LEAST_UP, MOST_UP = 0.8 * STANDARD_GRAVITY, 1.2 * STANDARD_GRAVITY  # of a reading with gravity
SIDEWAYS = 0.02 * STANDARD_GRAVITY  # that turning has to push on average
AGREES = 0.7  # cosine between what is stated and what gravity says
AXES = ("x", "y", "z")
_TOWARDS = {"forward": (0, 1), "back": (0, -1), "left": (1, 1), "right": (1, -1)}
_TOWARDS |= {"up": (2, 1), "down": (2, -1)}


def find_mounting(
    time: np.ndarray,
    force: np.ndarray,
    rates: np.ndarray,
    *,
    stated: tuple[str, str] | None = None,
) -> Mounting:
    """Find how the sensor sits from what it reads.

    Parameters
    ----------
    time : (n,) array
        [s].
    force, rates : (3, n) array
        Acceleration with gravity [m/s²] and rate of turn [rad/s] along x, y, z of the sensor, which
        are right-handed.
    stated : tuple of str or None
        Axis that points forward and axis that points left, such as "y" and "-x".

    Returns
    -------
    Mounting
        Level by gravity even where it is stated.

    Raises
    ------
    ValueError
        If gravity is not in the readings, nothing turns, or what is stated disagrees with gravity.

    Notes
    -----
    On straights the sensor reads gravity, upward. In bends it reads v r to the left where it turns
    left about up, whatever the driver does with the pedals: the horizontal reading times the yaw
    rate, summed over all bends, points left. Forward is what is left of a right-handed frame.
    """
    rows = even_rows(time, np.concatenate([force, rates]))
    force, rates = rows[:3], rows[3:]
    up = _unit(force.mean(axis=1))
    for _ in range(2):
        yaw = up @ rates
        straight = np.abs(yaw - np.median(yaw)) < TURNING
        if straight.any():
            up = _unit(force[:, straight].mean(axis=1))
    size = float(np.linalg.norm(force.mean(axis=1)))
    if not LEAST_UP <= size <= MOST_UP:
        raise ValueError(
            f"the three accelerations read {size / STANDARD_GRAVITY:.2f} g on average, and gravity "
            "alone is 1 g: record the accelerometer's own reading, not linear or user acceleration"
        )
    if stated is not None:
        return _by_hand(stated, up)
    yaw = up @ rates
    yaw = yaw - yaw[straight].mean() if straight.any() else yaw - np.median(yaw)
    level = force - np.outer(up, up @ force)
    pushed = (level - level.mean(axis=1)[:, None]) @ yaw / max(float(np.abs(yaw).sum()), 1e-9)
    if np.linalg.norm(pushed) < SIDEWAYS:
        raise ValueError(
            "no bend was found that tells which axis of the sensor points left; drive bends both "
            "ways, or state how it is mounted"
        )
    left = _unit(pushed)
    return Mounting(_vector(np.cross(left, up)), _vector(left), _vector(up))


def parse_mount(text: str) -> tuple[str, str]:
    """Axes of the sensor that point forward and left, from words for two of three directions.

    Parameters
    ----------
    text : str
        Two axes, each with its direction.

    Returns
    -------
    tuple of str
        Forward, left.

    Raises
    ------
    ValueError
        If it says anything else.

    Examples
    --------
    >>> parse_mount("y forward, z up")
    ('y', '-x')
    >>> parse_mount("x right, z down")
    ('-y', '-x')
    """
    wrong = f'found "{text}"; allowed are two axes of the sensor, such as "y forward, z up"'
    found: dict[int, np.ndarray] = {}
    for part in text.lower().replace("−", "-").split(","):
        words = part.split()
        if len(words) != 2 or words[1] not in _TOWARDS or words[0].lstrip("-+") not in AXES:
            raise ValueError(wrong)
        way, sign = _TOWARDS[words[1]]
        found[way] = sign * axis(words[0])
    if len(found) != 2 or abs(np.dot(*found.values())) > 0.5:
        raise ValueError(wrong)
    if 0 not in found:
        found[0] = np.cross(found[1], found[2])
    if 1 not in found:
        found[1] = np.cross(found[2], found[0])
    forward, left = (nearest_axis(_vector(found[way]))[0] for way in (0, 1))
    return forward, left


def axis(name: str) -> np.ndarray:
    """Unit vector of an axis of the sensor [-].

    Examples
    --------
    >>> axis("-x").tolist()
    [-1.0, -0.0, -0.0]
    """
    return (-1.0 if name.startswith("-") else 1.0) * np.eye(3)[AXES.index(name.lstrip("-+"))]


def nearest_axis(direction: tuple[float, float, float]) -> tuple[str, float]:
    """The axis of the sensor that points most nearly there, and how far it is off [rad].

    Examples
    --------
    >>> nearest_axis((0.0, -1.0, 0.0))
    ('-y', 0.0)
    """
    most = int(np.argmax(np.abs(direction)))
    sign = "-" if direction[most] < 0.0 else ""
    return sign + AXES[most], float(np.arccos(min(abs(direction[most]), 1.0)))


def _by_hand(stated: tuple[str, str], up: np.ndarray) -> Mounting:
    forward, left = (axis(name) for name in stated)
    if abs(forward @ left) > 0.5:
        raise ValueError(f"{stated[0]} cannot point forward and {stated[1]} left at once")
    told = np.cross(forward, left)
    if told @ up < AGREES:
        (seen, _), (told, _) = (nearest_axis(_vector(one)) for one in (up, told))
        raise ValueError(
            f"gravity shows that {seen} points up, not {told}; state it anew, or leave it out and "
            "it is found"
        )
    left = _unit(left - up * (left @ up))
    return Mounting(_vector(np.cross(left, up)), _vector(left), _vector(up), stated=True)


def _unit(vector: np.ndarray) -> np.ndarray:
    return vector / max(float(np.linalg.norm(vector)), 1e-12)


def _vector(values: np.ndarray) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in values)
    return x, y, z
