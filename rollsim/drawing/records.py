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

    Parameters
    ----------
    roll_angle : float
        Lean to the right [rad].
    pivot_height : float
        Of the point on the part's centreline whose movement is given, as weighed [m].
    right, rise : float
        Movement of that point [m].
    """

    roll_angle: float
    pivot_height: float = 0.0
    right: float = 0.0
    rise: float = 0.0

    def at(self, right: float, height: float) -> tuple[float, float]:
        """Where a point of the part is now: right of the middle and above the road [m].

        Parameters
        ----------
        right, height : float
            The point as weighed [m].

        Returns
        -------
        tuple of float
            [m].

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
    """An anti-roll bar as it sits under the vehicle.

    Parameters
    ----------
    on_axle : bool
        The bushes are on the axle and the links go up to the body; else the other way round.
    bush_spacing, link_spacing, link_length : float
        [m].
    """

    on_axle: bool
    bush_spacing: float
    link_spacing: float
    link_length: float


@dataclass(frozen=True, slots=True)
class RearAxle:
    """The rear axle and its wheels.

    Parameters
    ----------
    suspension : Suspension
        Solid axle or independent.
    pose : Pose
        Of the wheel centres, pivot on the road.
    track, spring_base : float
        [m].
    wheel_centre_height : float
        As weighed [m].
    free_radius : float
        Of a tyre that carries nothing [m].
    bar : BarInPlace or None
        None where there is none.
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

        Parameters
        ----------
        side : int
            −1 left, 1 right.

        Returns
        -------
        float
            [m].
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
        Decides the outline; None: a plain box.
    cargo : tuple of Cargo
        On the vehicle, heights as weighed.
    ghost : Pose or None
        Of the body to compare with, dashed; None: upright as weighed.
    missing : str
        Why there is no equilibrium; the vehicle is then drawn pale, as it last stood.
    force_unit : str
        For the wheel loads, as `rollsim.units` spells it.
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


def roof_height(cg_height: float, roof_loads: Sequence[float], taped: float | None = None) -> float:
    """Where the roof is, for the outline: as taped, or guessed.

    Parameters
    ----------
    cg_height : float
        Of the vehicle as weighed [m].
    roof_loads : sequence of float
        Heights of what lies on the roof [m].
    taped : float or None
        Of the bare roof, as weighed [m]; None where nobody taped it.

    Returns
    -------
    float
        As taped, else under the lowest of them where that is plausible [m].

    Examples
    --------
    >>> round(roof_height(0.66, [1.98]), 2), round(roof_height(0.66, []), 2)
    (1.83, 1.75)
    """
    if taped is not None:
        return taped
    guess = min(roof_loads, default=USUAL_ROOF * cg_height + RACK) - RACK
    return min(max(guess, LOWEST_ROOF * cg_height), HIGHEST_ROOF * cg_height)
