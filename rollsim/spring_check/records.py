"""What the spring check says, and where suited ends: records, enums and limits."""

from dataclasses import dataclass
from enum import Enum

from rollsim.mass import RatingCheck


class SecondStage(Enum):
    """What the second stage (helper leaves) does."""

    NONE = "none"
    IDLE = "idle"
    WORKING = "working"
    FULLY_IN = "fully in"


class Verdict(Enum):
    """Whether the springs suit the weight."""

    UNDER_LOADED = "under-loaded"
    SUITED = "suited"
    OVER_LOADED = "over-loaded"


class Finding(Enum):
    """What speaks for a verdict other than suited."""

    OVER_AXLE_RATING = "over the axle's rating"
    OVER_GROSS_MASS = "over the gross vehicle mass"
    OVER_TYRE_RATING = "a tyre over its rated load"
    COILS_CLOSED = "coils closed"
    ON_BUMP_STOP = "standing on the bump stop"
    LITTLE_BUMP_TRAVEL = "little bump travel left"
    SECOND_STAGE_USED_UP = "second stage used up"
    LOW_FREQUENCY = "low ride frequency"
    ON_REBOUND_LIMIT = "hanging in the rebound limit"
    LITTLE_REBOUND_TRAVEL = "near full droop"
    HIGH_FREQUENCY = "high ride frequency"


TOO_MUCH = frozenset(
    {
        Finding.OVER_AXLE_RATING,
        Finding.OVER_GROSS_MASS,
        Finding.OVER_TYRE_RATING,
        Finding.COILS_CLOSED,
        Finding.ON_BUMP_STOP,
        Finding.LITTLE_BUMP_TRAVEL,
        Finding.SECOND_STAGE_USED_UP,
        Finding.LOW_FREQUENCY,
    }
)
"""Findings of an over-loaded axle; the others are those of an under-loaded one."""


@dataclass(frozen=True, slots=True)
class AxleCheck:
    """The springs of one axle in one state; NaN marks what has no value.

    Parameters
    ----------
    spring_load : float
        On one side, the mean of both; at the wheel on independent suspension [N].
    side_loads : tuple of float
        Left and right [N].
    spring_rate : float
        Tangent rate there, mean of both sides [N/m].
    ride_height_change : float
        Of the body over the axle, hub to arch, from as weighed, up positive [m].
    second_stage : SecondStage
        What it does, at the side that is further in.
    stage_used : float
        Share of its room that the second stage has used [-]; NaN where it does not work.
    bump_travel_left, rebound_travel_left : float
        Measured at the stop, at the side with less [m]; below zero where the stop is at work or
        the coils are closed.
    bump_share, rebound_share : float
        The same as shares of the travel from stop to stop [-]; of the gap as weighed where the
        other stop is not given.
    coils_close : bool
        The coils of the spring end the travel, before a bump stop does.
    ride_frequency : float
        [Hz].
    spring_stress : float
        Greatest in the spring, where its dimensions are known [Pa].
    tyre_load, tyre_rated_load : float
        Of the more loaded tyre, and allowed [N].
    axle_mass, axle_rating : float
        On the axle, and allowed [kg].
    verdict : Verdict or None
        None where the state does not stand.
    findings : tuple of Finding
        What speaks for it, the gravest first; empty where suited.
    """

    spring_load: float
    side_loads: tuple[float, float]
    spring_rate: float
    ride_height_change: float
    second_stage: SecondStage
    stage_used: float
    bump_travel_left: float
    rebound_travel_left: float
    bump_share: float
    rebound_share: float
    coils_close: bool
    ride_frequency: float
    spring_stress: float
    tyre_load: float
    tyre_rated_load: float
    axle_mass: float
    axle_rating: float
    verdict: Verdict | None
    findings: tuple[Finding, ...]

    @property
    def left_spring_load(self) -> float:
        """On the left side [N]."""
        return self.side_loads[0]

    @property
    def right_spring_load(self) -> float:
        """On the right side [N]."""
        return self.side_loads[1]


@dataclass(frozen=True, slots=True)
class SpringCheck:
    """Both axles of one state.

    Parameters
    ----------
    name : str
        Of the state.
    front, rear : AxleCheck
        The axles.
    ratings : tuple of RatingCheck
        Those that are given.
    """

    name: str
    front: AxleCheck
    rear: AxleCheck
    ratings: tuple[RatingCheck, ...]
