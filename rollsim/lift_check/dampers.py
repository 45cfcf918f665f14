"""How far a damper reaches in every state, and which length is needed."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from rollsim import mass
from rollsim.mass import State
from rollsim.spring_check import AXLES, SpringCheck
from rollsim.vehicle import Axle, Job, SpringLimits, Stop
from rollsim.wheel_travel import Damper, length_at


class DamperFinding(Enum):
    """What speaks against a damper."""

    CLOSES = "it closes before the bump stop works"
    OPENS = "it opens before full droop"
    LITTLE_AT_BUMP = "little left to close where the bump stop begins"
    LITTLE_AT_DROOP = "little left to open at full droop"


@dataclass(frozen=True, slots=True)
class DamperReach:
    """One side's damper in one state; NaN marks what has no value.

    Parameters
    ----------
    open_length, closed_length : float
        Of the damper that is on in that state [m].
    length : float
        At rest [m].
    stroke_used : float
        At rest, from closed, as a share of its stroke [-].
    bump_length, droop_length : float
        Both wheels where the bump stops begin, and at full droop [m].
    twist_bump_length, twist_droop_length : float
        At full twist, one wheel at its bump stop and the other at full droop [m]; NaN on
        independent suspension, where each wheel moves on its own.
    shortest, longest : float
        The worst of these, or where it lies level in between [m].
    left_at_bump, left_at_droop : float
        To close and to open, at the worst of these [m]; below zero the damper ends the travel.
    band : float
        Half the 90 % band of both [m].
    needed_open, needed_closed : float
        Least length pulled out, greatest pushed in [m].
    findings : tuple of DamperFinding
        The gravest first; empty where it reaches.
    """

    open_length: float
    closed_length: float
    length: float
    stroke_used: float
    bump_length: float
    droop_length: float
    twist_bump_length: float
    twist_droop_length: float
    shortest: float
    longest: float
    left_at_bump: float
    left_at_droop: float
    band: float
    needed_open: float
    needed_closed: float
    findings: tuple[DamperFinding, ...]


def damper_reaches(
    job: Job, checks: Sequence[SpringCheck]
) -> dict[str, tuple[DamperReach | None, DamperReach | None]]:
    """How far the dampers reach in every state.

    Parameters
    ----------
    job : Job
        Vehicle and changes, an axle with its damper.
    checks : sequence of SpringCheck
        The states, with their ride heights [m].

    Returns
    -------
    dict of str to tuple of DamperReach or None
        Front and rear by the state's name [m]; None for an axle without a damper.

    Notes
    -----
    The bump stop has to work before the damper closes, and the rebound limit before it opens, with
    what `SpringLimits` leaves over, or the tape's band where that is more: a bump stop gives way. A
    spring lift moves where the vehicle stands, not where its stops are.
    """
    found = {}
    for check in checks:
        state = mass.named(job, check.name)
        found[check.name] = tuple(
            _reach(job, state, n, getattr(check, end).ride_height_change)
            for n, end in enumerate(AXLES)
        )
    return found


def _reach(job: Job, state: State, number: int, here: float) -> DamperReach | None:
    axle = mass.axles(job, state)[number]
    damper = axle.damper
    if damper is None:
        return None
    new = (job.change.front_damper, job.change.rear_damper)[number]
    if state.changed and new is not None:
        damper = replace(damper, lengths=new)
    limits, lengths = job.spring_limits, damper.lengths
    bump, droop = _gap(axle.bump_stop), _gap(axle.rebound_limit)
    low, high = _twist(axle, damper)
    shortest = [length_at(damper, travel) for travel in (-bump, low)]
    longest = [length_at(damper, travel) for travel in (droop, high)]
    level = -damper.mount_height / damper.motion_ratio  # where a damper that swings is shortest
    if any(one < level for one in (-bump, low)):
        shortest.append(length_at(damper, level))
    least, most = _worst(shortest, min), _worst(longest, max)
    length = length_at(damper, here)
    band = _band(damper, axle)
    left = (least - lengths.closed, lengths.open - most)
    return DamperReach(
        open_length=lengths.open,
        closed_length=lengths.closed,
        length=length,
        stroke_used=(length - lengths.closed) / (lengths.open - lengths.closed),
        bump_length=shortest[0],
        droop_length=longest[0],
        twist_bump_length=shortest[1],
        twist_droop_length=longest[1],
        shortest=least,
        longest=most,
        left_at_bump=left[0],
        left_at_droop=left[1],
        band=band,
        needed_open=most + max(limits.damper_droop, band),
        needed_closed=least - max(limits.damper_bump, band),
        findings=_findings(left, band, limits),
    )


def _gap(stop: Stop | None) -> float:
    return math.nan if stop is None else stop.gap / stop.motion_ratio


def _worst(each: Sequence[float], of: Callable[[list[float]], float]) -> float:
    known = [one for one in each if math.isfinite(one)]
    return of(known) if known else math.nan


def _twist(axle: Axle, damper: Damper) -> tuple[float, float]:
    """Travel at both dampers of a solid axle at full twist, bump negative [m].

    The same twist as `sizing.articulation.stop_to_stop`: a stop touched on either side.
    """
    bump, rebound = axle.bump_stop, axle.rebound_limit
    if damper.base is None or bump is None or rebound is None:
        return math.nan, math.nan
    sine = min(1.0, 2.0 * (_gap(bump) + _gap(rebound)) / (bump.base + rebound.base))
    middle = -_gap(bump) + 0.5 * bump.base * sine
    return middle - 0.5 * damper.base * sine, middle + 0.5 * damper.base * sine


def _band(damper: Damper, axle: Axle) -> float:
    """Half the band of what is left [m], of the end that is known less well.

    The damper's own length, its length as it stands, the gap and the motion ratio, which counts
    over the whole of the gap.
    """
    bands = []
    for stop, error in zip((axle.bump_stop, axle.rebound_limit), damper.gap_errors, strict=True):
        parts = [damper.reading_error] * 2
        if stop is not None:
            parts += [damper.motion_ratio * error / stop.motion_ratio]
            parts += [damper.ratio_error * _gap(stop)]
        bands.append(math.hypot(*parts))
    return max(bands)


def _findings(
    left: tuple[float, float], band: float, limits: SpringLimits
) -> tuple[DamperFinding, ...]:
    # Compared with NaN, a stop that is not given is never passed.
    at_bump, at_droop = left
    stands = (
        (DamperFinding.CLOSES, at_bump < -band),
        (DamperFinding.OPENS, at_droop < -band),
        (DamperFinding.LITTLE_AT_BUMP, -band <= at_bump < max(limits.damper_bump, band)),
        (DamperFinding.LITTLE_AT_DROOP, -band <= at_droop < max(limits.damper_droop, band)),
    )
    return tuple(finding for finding, there in stands if there)
