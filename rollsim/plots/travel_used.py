"""How much travel does each axle use in each state? The gauges of the page, side by side."""

from collections.abc import Sequence
from dataclasses import dataclass

from rollsim import mass
from rollsim.drawing.side_from_job import travel_of
from rollsim.drawing.travel import Travel
from rollsim.spring_check import SpringCheck
from rollsim.vehicle import Job


@dataclass(frozen=True, slots=True)
class TravelUsed:
    """Both axles of one state, front and rear; None where no settled position was found."""

    name: str
    axles: tuple[Travel, Travel] | None


def travel_used(job: Job, checks: Sequence[SpringCheck]) -> tuple[TravelUsed, ...]:
    """Travel of both axles in every state."""
    return tuple(TravelUsed(check.name, _axles(job, check)) for check in checks)


def _axles(job: Job, check: SpringCheck) -> tuple[Travel, Travel] | None:
    if check.front.verdict is None:
        return None
    state = mass.named(job, check.name)
    return (
        travel_of(job, state, 0, found=check.front),
        travel_of(job, state, 1, found=check.rear),
    )
