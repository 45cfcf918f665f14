"""Both axles of every state: the settled vehicle, its springs, stops and tyres, and a verdict."""

import math
from dataclasses import replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, Solution, settle
from rollsim.mass import RatingCheck, State
from rollsim.roll.figures import TURN, spring_travel
from rollsim.spring_check.force_travel import OPEN
from rollsim.spring_check.records import (
    TOO_MUCH,
    AxleCheck,
    Finding,
    SecondStage,
    SpringCheck,
    Verdict,
)
from rollsim.spring_check.ride import (
    ride_frequency,
    second_stage,
    spring_stress,
    travel_to_bind,
)
from rollsim.spring_check.travel import travel_ends
from rollsim.springs import Spring
from rollsim.vehicle import Axle, Job, SpringLimits

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
    model, settled = settle(mass.models([(job, state) for state in chosen]), TURN)
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
        sprung = member.sprung_share_mass[:, 0]
        softest = (
            _softest_frequency(job, state, axle, found=a, sprung_mass=float(sprung[axle]))
            for axle, a in enumerate((front, rear))
        )
        front, rear = (
            _judged(a, name, ratings, softest=frequency, limits=limits)
            for a, name, frequency in zip((front, rear), AXLES, softest, strict=True)
        )
        found.append(SpringCheck(state.name, front, rear, ratings))
    return tuple(found)


def verdict_of(findings: tuple[Finding, ...]) -> Verdict:
    """What the findings add up to: too much load outweighs too little."""
    if any(finding in TOO_MUCH for finding in findings):
        return Verdict.OVER_LOADED
    return Verdict.UNDER_LOADED if findings else Verdict.SUITED


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
    ends = (float(extension[0]), float(extension[1]))
    travel = travel_ends(own, ends, travel_to_bind(spring, load) - lift)
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
        coils_close=travel.coils_close,
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
    used_up = used >= limits.stage_used
    whole = compression >= stage.full and (used_up or stage.full > stage.start)
    return (SecondStage.FULLY_IN if whole else SecondStage.WORKING), used


def _judged(
    found: AxleCheck,
    name: str,
    ratings: tuple[RatingCheck, ...],
    *,
    softest: float,
    limits: SpringLimits,
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
        (Finding.COILS_CLOSED, found.coils_close and found.bump_travel_left < 0.0),
        (Finding.ON_BUMP_STOP, not found.coils_close and found.bump_travel_left < 0.0),
        (Finding.LITTLE_BUMP_TRAVEL, 0.0 <= found.bump_share < limits.bump_share),
        (Finding.SECOND_STAGE_USED_UP, found.stage_used >= limits.stage_used),
        (
            Finding.LOW_FREQUENCY,
            found.ride_frequency < limits.lowest_frequency
            and not found.bump_share > limits.soft_bump_share,
        ),
        (Finding.ON_REBOUND_LIMIT, found.rebound_travel_left < 0.0),
        (Finding.LITTLE_REBOUND_TRAVEL, 0.0 <= found.rebound_share < limits.rebound_share),
        (
            Finding.HIGH_FREQUENCY,
            not found.bump_travel_left < 0.0 and _is_harsh(found, softest, limits),
        ),
    )
    findings = tuple(finding for finding, there in stands if there)
    return replace(found, verdict=verdict_of(findings), findings=findings)


def _is_harsh(found: AxleCheck, softest: float, limits: SpringLimits) -> bool:
    """Stiff for what stands on it, in the softest part that it came through or on the helper."""
    little_used = found.stage_used < 0.5
    return softest > limits.highest_frequency or (
        little_used and found.ride_frequency > limits.highest_on_helper
    )


def _softest_frequency(
    job: Job, state: State, axle: int, *, found: AxleCheck, sprung_mass: float
) -> float:
    """Ride frequency in the softest part of the spring from full droop to where it stands [Hz]."""
    if math.isnan(found.spring_rate):
        return math.nan
    own = mass.axles(job, state)[axle]
    curve = mass.springs(job, state)[axle].curve(mass.sprung_load(job)[axle])
    lift = float(mass.model(job, state).lift[axle, 0])
    here = lift - found.ride_height_change
    droop = own.rebound_limit
    free = here - OPEN if droop is None else lift - droop.gap / droop.motion_ratio
    kinks = [start for start in curve.starts if free < start < here]
    edges = np.array(sorted([min(free, here), here, *kinks]))
    rates = curve.tangent_rate(0.5 * (edges[1:] + edges[:-1])) if len(edges) > 1 else []
    softest = min([found.spring_rate, *(float(rate) for rate in rates)])
    return ride_frequency(softest, own.tyre.vertical_rate, 0.5 * sprung_mass)
