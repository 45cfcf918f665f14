"""Four corner masses: axles, cross weight, where the CG is in plan; and the payload left."""

from dataclasses import dataclass

import numpy as np

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.roll.figures import TURN
from rollsim.vehicle import Job


@dataclass(frozen=True, slots=True)
class CornerMasses:
    """What four scales on level ground show [kg].

    Parameters
    ----------
    front_left, front_right, rear_left, rear_right : float
        Bounced and rolled free before reading [kg].
    """

    front_left: float
    front_right: float
    rear_left: float
    rear_right: float

    @property
    def front(self) -> float:
        """On the front axle [kg]."""
        return self.front_left + self.front_right

    @property
    def rear(self) -> float:
        """On the rear axle [kg]."""
        return self.rear_left + self.rear_right

    @property
    def total(self) -> float:
        """Of the vehicle [kg]."""
        return self.front + self.rear


@dataclass(frozen=True, slots=True)
class Weighed:
    """What four corner masses tell.

    Parameters
    ----------
    total, front_axle, rear_axle : float
        [kg].
    cross_weight : float
        Share of the mass on right front and left rear together [-]; a half on a straight vehicle
        that stands level.
    front_share, left_share : float
        Of the mass on the front axle and on the left side [-].
    cg_behind_front_axle, cg_left : float
        CG of the whole vehicle [m].
    """

    total: float
    front_axle: float
    rear_axle: float
    cross_weight: float
    front_share: float
    left_share: float
    cg_behind_front_axle: float
    cg_left: float


@dataclass(frozen=True, slots=True)
class Payload:
    """What a state leaves of a rating.

    Parameters
    ----------
    state, rating : str
        Names of the state and of the rating.
    load, limit : float
        On it, and at most [kg].
    """

    state: str
    rating: str
    load: float
    limit: float

    @property
    def left(self) -> float:
        """Still to go [kg]; below zero where the rating is exceeded."""
        return self.limit - self.load


def corner_weights(
    corners: CornerMasses, wheelbase: float, front_track: float, *, rear_track: float
) -> Weighed:
    """Total, cross weight and the CG in plan from four corner masses.

    Parameters
    ----------
    corners : CornerMasses
        [kg].
    wheelbase, front_track, rear_track : float
        Between the middles of the tyres [m].

    Returns
    -------
    Weighed
        Masses [kg], shares [-] and CG [m].

    Raises
    ------
    ValueError
        If a mass is negative or a length not above zero.

    Notes
    -----
    Cross weight (right front + left rear) / total. CG: x = L m_r/m and
    y = Σ (m_left − m_right) t/2 / m. Exact with all four tyres on one level; a scale 3 mm out of
    level moves some kilograms from one diagonal to the other and leaves the CG alone.

    Examples
    --------
    >>> found = corner_weights(CornerMasses(560, 555, 440, 435), 3.65, 1.70, rear_track=1.69)
    >>> round(found.cross_weight, 4), round(found.cg_left * 1e3, 1)
    (0.5, 4.3)
    """
    each = (corners.front_left, corners.front_right, corners.rear_left, corners.rear_right)
    if min(each) < 0.0 or not corners.total > 0.0:
        raise ValueError(f"corner masses {each}: none may be negative, and not all zero")
    if not min(wheelbase, front_track, rear_track) > 0.0:
        raise ValueError("wheelbase and tracks must be above zero")
    total = corners.total
    left = 0.5 * (corners.front_left - corners.front_right) * front_track
    left += 0.5 * (corners.rear_left - corners.rear_right) * rear_track
    return Weighed(
        total=total,
        front_axle=corners.front,
        rear_axle=corners.rear,
        cross_weight=(corners.front_right + corners.rear_left) / total,
        front_share=corners.front / total,
        left_share=(corners.front_left + corners.rear_left) / total,
        cg_behind_front_axle=wheelbase * corners.rear / total,
        cg_left=left / total,
    )


def payload_left(job: Job) -> tuple[Payload, ...]:
    """Every rating in every state, and what may still go on.

    Parameters
    ----------
    job : Job
        Vehicle, loads, changes and ratings.

    Returns
    -------
    tuple of Payload
        State by state [kg]; NaN where a state does not stand. What is left is the least over the
        ratings that an item counts against, and an item between the axles or behind them loads
        both: see `rollsim.mass.rating_checks`.
    """
    chosen = mass.states(job)
    model, settled = settle(mass.models([(job, state) for state in chosen]), TURN)
    masses = np.where(settled.converged, model.axle_mass, np.nan)
    return tuple(
        Payload(state.name, check.name, check.load, check.limit)
        for n, state in enumerate(chosen)
        for check in mass.rating_checks(job, state, (float(masses[0, n]), float(masses[1, n])))
    )
