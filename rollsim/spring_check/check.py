"""Both axles of every state: the settled vehicle, its springs, stops and tyres, and a verdict."""

import math
from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, Solution, concatenate, settle
from rollsim.mass import RatingCheck, State
from rollsim.roll.figures import TURN, spring_travel
from rollsim.roll.travel_left import travel_left
from rollsim.spring_check.records import (
    TOO_MUCH,
    AxleCheck,
    Finding,
    SecondStage,
    SpringCheck,
    Verdict,
)
from rollsim.spring_check.ride import ride_frequency, second_stage, spring_stress
from rollsim.springs import Spring
from rollsim.vehicle import Axle, Job, SpringLimits, Stop

AXLES = ("front", "rear")


def spring_checks(
    job: Job, limits: SpringLimits | None = None, states: tuple[State, ...] | None = None
) -> tuple[SpringCheck, ...]:
    """Springs against weight for both axles of every state.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    limits : SpringLimits or None
        Where suited ends; None: those of the job.
    states : tuple of State or None
        Which to look at; None: all of the job.

    Returns
    -------
    tuple of SpringCheck
        Unladen, as weighed, then the load cases.

    Notes
    -----
    All figures are those of the settled vehicle at rest, pitch and an off-centre load's lean
    included. A bar or damper changes none of them.
    """
    limits = limits or job.spring_limits
    chosen = states or mass.states(job)
    model, settled = settle(concatenate([mass.model(job, state) for state in chosen]), TURN)
    found = []
    for n, state in enumerate(chosen):
        one = np.array([n])
        member, point = model.take(one), Solution(settled.x[:, one], settled.converged[one])
        masses = (float(member.axle_mass[0, 0]), float(member.axle_mass[1, 0]))
        ratings = mass.rating_checks(job, state, masses) if point.converged[0] else ()
        front, rear = (
            _axle_check(job, state, axle, member=member, point=point, limits=limits)
            for axle in (0, 1)
        )
        front, rear = (
            _judged(a, name, ratings, limits=limits)
            for a, name in zip((front, rear), AXLES, strict=True)
        )
        found.append(SpringCheck(state.name, front, rear, ratings))
    return tuple(found)


def verdict_of(findings: tuple[Finding, ...]) -> Verdict:
    """What the findings add up to: too much load outweighs too little."""
    if any(finding in TOO_MUCH for finding in findings):
        return Verdict.OVER_LOADED
    return Verdict.UNDER_LOADED if findings else Verdict.SUITED


@dataclass(frozen=True, slots=True)
class _Travel:
    """Travel left at both stops, the lesser side [m], as shares [-], and their rate at work."""

    bump: float
    rebound: float
    bump_share: float
    rebound_share: float
    stop_rate: float


def _axle_check(
    job: Job,
    state: State,
    axle: int,
    *,
    member: Model,
    point: Solution,
    limits: SpringLimits,
) -> AxleCheck:
    own: Axle = mass.axles(job, state)[axle]
    spring, load = mass.springs(job, state)[axle], mass.sprung_load(job)[axle]
    standing = bool(point.converged[0])
    extension = np.where(standing, spring_travel(member, point.x)[:, axle, 0], np.nan)
    lift, curve = float(member.lift[axle, 0]), spring.curve(load)
    compression = lift - extension
    forces, rate = curve.force(compression), float(curve.tangent_rate(compression).mean())
    travel = _travel(own, (float(extension[0]), float(extension[1])))
    stage, used = _stage(own, spring, float(compression.max()), lift=lift, limits=limits)
    frequency = ride_frequency(
        rate + travel.stop_rate,
        own.tyre.vertical_rate,
        0.5 * float(member.sprung_share_mass[axle, 0]),
    )
    rating = (job.ratings.front_axle, job.ratings.rear_axle)[axle]
    return AxleCheck(
        spring_load=float(forces.mean()),
        side_loads=(float(forces[0]), float(forces[1])),
        spring_rate=_if(standing, rate),
        ride_height_change=float(extension.mean()),
        second_stage=stage,
        stage_used=used,
        bump_travel_left=travel.bump,
        rebound_travel_left=travel.rebound,
        bump_share=travel.bump_share,
        rebound_share=travel.rebound_share,
        ride_frequency=_if(standing, frequency),
        spring_stress=max(spring_stress(spring, float(c), load) for c in compression),
        tyre_load=_if(standing, _tyre_load(member, point, axle)),
        tyre_rated_load=own.tyre.rated_load or math.nan,
        axle_mass=_if(standing, float(member.axle_mass[axle, 0])),
        axle_rating=math.nan if rating is None else rating,
        verdict=None,
        findings=(),
    )


def _tyre_load(member: Model, point: Solution, axle: int) -> float:
    """Of the more loaded tyre [N]."""
    return float(TURN.balance(member, point.x).wheel_loads[:, axle, 0].max())


def _if(standing: bool, value: float) -> float:
    return value if standing else math.nan


def _travel(axle: Axle, extension: tuple[float, float]) -> _Travel:
    bump, rebound = travel_left(axle, extension)
    side = 0 if bump[0] <= bump[1] else 1
    other = 0 if rebound[0] <= rebound[1] else 1

    def share(left: float, stop: Stop | None, opposite: Stop | None, beyond: float) -> float:
        """Of the travel from stop to stop, both taken to the wheel."""
        if stop is None:
            return math.nan
        if opposite is None:
            return left / stop.gap if stop.gap > 0.0 else math.nan
        here, there = left / stop.motion_ratio, beyond / opposite.motion_ratio
        return here / (here + there)

    def at_work(stop: Stop | None, left: tuple[float, float]) -> float:
        if stop is None:
            return 0.0
        return stop.rate * stop.motion_ratio**2 * sum(x < 0.0 for x in left) / 2.0

    return _Travel(
        bump=bump[side],
        rebound=rebound[other],
        bump_share=share(bump[side], axle.bump_stop, axle.rebound_limit, rebound[side]),
        rebound_share=share(rebound[other], axle.rebound_limit, axle.bump_stop, bump[other]),
        stop_rate=at_work(axle.bump_stop, bump) + at_work(axle.rebound_limit, rebound),
    )


def _stage(
    axle: Axle, spring: Spring, compression: float, *, lift: float, limits: SpringLimits
) -> tuple[SecondStage, float]:
    """What the second stage does, and the share of its room that is used [-]."""
    stage = second_stage(spring)
    if stage is None:
        return SecondStage.NONE, math.nan
    if not compression > stage.start:
        return SecondStage.IDLE, math.nan
    room = limits.stage_travel
    stop = axle.bump_stop
    if stop is not None:
        room = lift + stop.gap / stop.motion_ratio - stage.start
    used = (compression - stage.start) / room if room > 0.0 else math.inf
    whole = compression >= stage.full and used >= limits.stage_used
    return (SecondStage.FULLY_IN if whole else SecondStage.WORKING), used


def _judged(
    found: AxleCheck, name: str, ratings: tuple[RatingCheck, ...], *, limits: SpringLimits
) -> AxleCheck:
    """The check with its verdict, none where the state does not stand."""
    if math.isnan(found.spring_rate):
        return found
    over = {check.name for check in ratings if check.over}
    # Compared with NaN, a limit that is not given is never passed.
    stands = (
        (Finding.OVER_AXLE_RATING, f"{name}_axle" in over),
        (Finding.OVER_GROSS_MASS, "gross_vehicle_mass" in over),
        (
            Finding.OVER_TYRE_RATING,
            found.tyre_load > found.tyre_rated_load * (1.0 + mass.ROUNDING),
        ),
        (Finding.ON_BUMP_STOP, found.bump_travel_left < 0.0),
        (Finding.LITTLE_BUMP_TRAVEL, 0.0 <= found.bump_share < limits.bump_share),
        (Finding.SECOND_STAGE_USED_UP, found.second_stage is SecondStage.FULLY_IN),
        (Finding.LOW_FREQUENCY, found.ride_frequency < limits.lowest_frequency),
        (Finding.ON_REBOUND_LIMIT, found.rebound_travel_left < 0.0),
        (Finding.LITTLE_REBOUND_TRAVEL, 0.0 <= found.rebound_share < limits.rebound_share),
        (
            Finding.HIGH_FREQUENCY,
            found.ride_frequency > limits.highest_frequency
            and found.second_stage in (SecondStage.NONE, SecondStage.IDLE)
            and found.bump_travel_left >= 0.0,
        ),
    )
    findings = tuple(finding for finding, there in stands if there)
    return replace(found, verdict=verdict_of(findings), findings=findings)
