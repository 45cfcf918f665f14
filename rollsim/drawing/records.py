"""What a picture of the vehicle from behind is made of: frozen records in SI, nothing drawn."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rollsim.vehicle import Suspension, VehicleClass

LOWEST_ROOF, USUAL_ROOF, HIGHEST_ROOF = 2.2, 2.65, 3.2  # times CG height, for the picture only
RACK = 0.15  # m from the roof to the middle of what lies on it, for the picture only


@dataclass(frozen=True, slots=True)
class Cargo:
    """A load item in the picture: where it is [m], and how heavy [kg]."""

    left: float
    height: float
    mass: float


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a rigid part (body, axle) has gone from where it was as weighed, seen from behind.

    `roll_angle` is the lean to the right [rad]. `right` and `rise` are how far the point on the
    part's centreline has moved that was `pivot_height` above the road as weighed [m].
    """

    roll_angle: float
    pivot_height: float = 0.0
    right: float = 0.0
    rise: float = 0.0

    def at(self, right: float, height: float) -> tuple[float, float]:
        """Where a point of the part is now: right of the middle and above the road [m].

        The point is given as weighed [m].

        Examples
        --------
        >>> Pose(0.0, 0.5, 0.1, 0.2).at(0.0, 1.0)
        (0.1, 1.2)
        """
        sine, cosine = math.sin(self.roll_angle), math.cos(self.roll_angle)
        above = height - self.pivot_height
        return (
            self.right + right * cosine + above * sine,
            self.pivot_height + self.rise - right * sine + above * cosine,
        )


@dataclass(frozen=True, slots=True)
class BarInPlace:
    """An anti-roll bar as it sits under the vehicle [m].

    `on_axle`: the bushes are on the axle and the links go up to the body; else the other way round.
    """

    on_axle: bool
    bush_spacing: float
    link_spacing: float
    link_length: float


@dataclass(frozen=True, slots=True)
class RearAxle:
    """The rear axle and its wheels [m].

    `pose` is that of the wheel centres, its pivot on the road; `wheel_centre_height` is as weighed,
    `free_radius` that of a tyre that carries nothing.
    """

    suspension: Suspension
    pose: Pose
    track: float
    spring_base: float
    wheel_centre_height: float
    free_radius: float
    bar: BarInPlace | None = None

    def gap(self, side: int) -> float:
        """Height of the tyre's tread above the road; below zero it is what the tyre is squashed.

        In [m]; `side` is −1 left, 1 right.
        """
        tread = self.wheel_centre_height - self.free_radius
        return self.pose.at(side * self.track / 2.0, tread)[1]


@dataclass(frozen=True, slots=True)
class RearView:
    """One vehicle in a bend, seen from behind.

    Parameters
    ----------
    title : str
        Above the picture.
    bend : str
        "left" or "right".
    body : Pose
        Of the body over the rear axle.
    axle : RearAxle
        With its wheels.
    wheel_loads : tuple of float
        Front left, front right, rear left, rear right [N].
    full_load : float
        Wheel load of the longest arrow, the same for pictures that are compared [N].
    roof_height : float
        As weighed, from `roof_height` [m].
    cg, roll_centre : tuple of float
        Of the whole vehicle and of the rear axle: right of the middle, above the road [m].
    height_shown : float
        From the road to the highest thing, the same for pictures that are compared [m].
    vehicle_class : VehicleClass or None
        None: a plain box.
    cargo : tuple of Cargo
        Heights as weighed.
    ghost : Pose or None
        Of the body to compare with, dashed; None: upright as weighed.
    missing : str
        Why there is no equilibrium; the vehicle is then drawn pale, as it last stood.
    force_unit : str
        For the wheel loads, as `rollsim.units` spells it.
    tray : Pose or None
        Of the rear end of a frame that twists, on its springs and bar; `body` is the cab's, and
        drawn. None: all of the body leans alike.
    """

    title: str
    bend: str
    body: Pose
    axle: RearAxle
    wheel_loads: tuple[float, float, float, float]
    full_load: float
    roof_height: float
    cg: tuple[float, float]
    roll_centre: tuple[float, float]
    height_shown: float
    vehicle_class: VehicleClass | None = None
    cargo: tuple[Cargo, ...] = ()
    ghost: Pose | None = None
    missing: str = ""
    force_unit: str = "N"
    tray: Pose | None = None


def roof_height(cg_height: float, roof_loads: Sequence[float], taped: float | None = None) -> float:
    """Where the roof is, for the outline: as taped, or guessed.

    All in [m]: `roof_loads` are the heights of what lies on the roof, `taped` is that of the bare
    roof as weighed, None where nobody taped it. The guess is just under the lowest load, where that
    is plausible.

    Examples
    --------
    >>> round(roof_height(0.66, [1.98]), 2), round(roof_height(0.66, []), 2)
    (1.83, 1.75)
    """
    if taped is not None:
        return taped
    guess = min(roof_loads, default=USUAL_ROOF * cg_height + RACK) - RACK
    return min(max(guess, LOWEST_ROOF * cg_height), HIGHEST_ROOF * cg_height)
