"""What a road test's log is: a frozen record in SI, and the error of a log that cannot be used."""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from rollsim.road_test.columns import Found


class LogError(ValueError):
    """A log that cannot be read.

    Parameters
    ----------
    errors : tuple of str
        One line each: file, place, what came, what is allowed, what to do.
    """

    def __init__(self, errors: tuple[str, ...]) -> None:
        self.errors = tuple(" ".join(error.split()) for error in errors)
        super().__init__("\n".join(self.errors))


class RollKind(Enum):
    """What the roll column holds."""

    RATE = "roll rate"
    ANGLE = "roll angle"


@dataclass(frozen=True, slots=True)
class Mounting:
    """Directions of the vehicle in the axes of the sensor.

    Parameters
    ----------
    forward, left, up : tuple of float
        Unit vectors [-].
    stated : bool
        Forward and left were given, not found.
    """

    forward: tuple[float, float, float]
    left: tuple[float, float, float]
    up: tuple[float, float, float]
    stated: bool = False

    @property
    def matrix(self) -> np.ndarray:
        """Rows forward, left, up, (3, 3) [-]: times a reading of the sensor, one of the vehicle."""
        return np.array([self.forward, self.left, self.up])


@dataclass(frozen=True, slots=True, eq=False)
class Log:
    """A log in SI, ISO 8855 signs; what was not read is NaN.

    Parameters
    ----------
    time : (n,) array
        Not falling [s].
    lateral : (n,) array
        Lateral acceleration as a body-fixed sensor reads it, left positive [m/s²].
    roll : (n,) array
        Roll rate [rad/s] or roll angle [rad] of the body, right side down positive.
    kind : RollKind
        Which of them.
    yaw_rate, pitch_rate : (n,) array or None
        Left, and nose down, positive [rad/s].
    speed : (n,) array or None
        Forward [m/s].
    longitudinal, vertical : (n,) array or None
        Forward and upward acceleration as a body-fixed sensor reads it [m/s²].
    position : (n,) array of complex or None
        East + i north [m].
    angle_by : str
        What unit made the roll angle; empty where nothing says.
    columns : tuple of Found
        Where it was read from.
    mounting : Mounting or None
        How a sensor with axes of its own sits in the vehicle.
    turned_round : tuple of str
        What was turned round in sign: "lateral", "roll".
    """

    time: np.ndarray
    lateral: np.ndarray
    roll: np.ndarray
    kind: RollKind
    yaw_rate: np.ndarray | None = None
    speed: np.ndarray | None = None
    pitch_rate: np.ndarray | None = None
    longitudinal: np.ndarray | None = None
    vertical: np.ndarray | None = None
    position: np.ndarray | None = None
    angle_by: str = ""
    columns: tuple[Found, ...] = ()
    mounting: Mounting | None = None
    turned_round: tuple[str, ...] = ()
