"""Wheels, dampers and leaf packs of every axle that has them, state by state."""

from collections.abc import Sequence
from dataclasses import dataclass

from rollsim import mass
from rollsim.lift_check.dampers import DamperReach, damper_reaches
from rollsim.lift_check.leaves import LeafStand, leaf_stands
from rollsim.lift_check.one_arm import OneArm, one_arm
from rollsim.lift_check.wheels import WheelStand, wheel_stands
from rollsim.spring_check import AXLES, SpringCheck, spring_checks
from rollsim.vehicle import Job


@dataclass(frozen=True, slots=True)
class LiftCheck:
    """What a lift asks of wheels, dampers and leaf packs.

    Parameters
    ----------
    wheels : tuple of (str, tuple of (str, WheelStand))
        By axle, each by state; only of an axle with an alignment.
    dampers : tuple of (str, tuple of (str, DamperReach))
        The same of an axle with a damper.
    leaves : tuple of (str, tuple of (str, LeafStand))
        The same of an axle whose leaf and shackle are taped.
    damping : tuple of float or None
        Roll damping ratio by the bounce test and half its 90 % band [-]; None where it was not
        measured.
    one_arm : tuple of (str, OneArm)
        By axle, the arms that serve every state with the changes made; only where one calls for
        them.
    """

    wheels: tuple[tuple[str, tuple[tuple[str, WheelStand], ...]], ...]
    dampers: tuple[tuple[str, tuple[tuple[str, DamperReach], ...]], ...]
    leaves: tuple[tuple[str, tuple[tuple[str, LeafStand], ...]], ...] = ()
    one_arm: tuple[tuple[str, OneArm], ...] = ()
    damping: tuple[float, float] | None = None


def lift_check(job: Job, checks: Sequence[SpringCheck]) -> LiftCheck:
    """Look at wheels, dampers and leaf packs in every state.

    Parameters
    ----------
    job : Job
        Vehicle and changes.
    checks : sequence of SpringCheck
        The states, with their ride heights [m]; the unladen one among them.

    Returns
    -------
    LiftCheck
        [rad, m]; with the vehicle driven empty, where that is none of the states.
    """
    empty = mass.driven_empty(job)
    if empty.name not in [check.name for check in checks]:
        checks = (*checks, *spring_checks(job, states=(empty,)))
    axles = (job.vehicle.front, job.vehicle.rear)
    aligned = [end for end, axle in zip(AXLES, axles, strict=True) if axle.alignment is not None]
    damped = [end for end, axle in zip(AXLES, axles, strict=True) if axle.damper is not None]
    wheels = wheel_stands(job, checks) if aligned else {}
    dampers = damper_reaches(job, checks) if damped else {}
    changed = [check.name for check in checks if mass.named(job, check.name).changed]
    arms = ((end, one_arm([(n, wheels[n][AXLES.index(end)]) for n in changed])) for end in aligned)
    return LiftCheck(
        tuple(
            (end, tuple((name, both[AXLES.index(end)]) for name, both in wheels.items()))
            for end in aligned
        ),
        tuple(
            (end, tuple((name, both[AXLES.index(end)]) for name, both in dampers.items()))
            for end in damped
        ),
        tuple(
            (AXLES[n], leaf_stands(job, checks, n))
            for n, axle in enumerate(axles)
            if axle.leaves is not None
        ),
        tuple((end, arm) for end, arm in arms if arm is not None),
        None
        if job.vehicle.roll_damping_ratio is None
        else (job.vehicle.roll_damping_ratio, job.vehicle.roll_damping_tolerance),
    )
