"""From a spring check to a picture from the side: where are body, wheels and stops at rest?"""

import math

from rollsim import mass
from rollsim.drawing.from_job import drawn_roof
from rollsim.drawing.side import SideAxle, SideCargo, SideView
from rollsim.drawing.travel import Travel
from rollsim.mass import State
from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.spring_check import AXLES, AxleCheck, SpringCheck, second_stage
from rollsim.vehicle import STANDARD_GRAVITY, Job, Stop


def side_view_of(
    job: Job, check: SpringCheck, *, title: str, units: ReaderUnits = METRIC
) -> SideView:
    """A state of a job as a picture from the side.

    In SI; arrows are on the same scale for every state of a job. Raises ValueError if the job has
    no state of the check's name, or it does not stand.
    """
    state = next((state for state in mass.states(job) if state.name == check.name), None)
    if state is None:
        names = ", ".join(state.name for state in mass.states(job))
        raise ValueError(f"check: found {check.name!r}; allowed {names}")
    if check.front.verdict is None:
        raise ValueError(f"{check.name}: no settled position was found, so nothing can be drawn")
    front, rear = (
        _axle(job, state, number, found=found)
        for number, found in enumerate((check.front, check.rear))
    )
    return SideView(
        title=title,
        vehicle_class=job.vehicle.vehicle_class,
        wheelbase=job.vehicle.wheelbase,
        roof=drawn_roof(job),
        front=front,
        rear=rear,
        cargo=tuple(SideCargo(o.behind_front_axle, o.height, o.mass) for o in state.loads),
        full_mass=_full_mass(job),
        units=units,
    )


def travel_of(job: Job, state: State, number: int, *, found: AxleCheck) -> Travel:
    """Stops and second stage of an axle on the measure of its ride height [m].

    `number` is 0 front, 1 rear. A lift of the state moves the second stage.

    Notes
    -----
    A stop's gap at the stop is gap / motion ratio of ride height. The second stage belongs to the
    spring: it comes in at the lift less its compression (docs/method.md §3).
    """
    axle = mass.axles(job, state)[number]
    stage = second_stage(mass.springs(job, state)[number])
    lift = float(mass.model(job, state).lift[number, 0])
    return Travel(
        now=found.ride_height_change,
        bump_stop=_lower_end(axle.bump_stop, found),
        rebound_limit=_gap(axle.rebound_limit),
        bump_left=found.bump_travel_left,
        rebound_left=found.rebound_travel_left,
        second_stage=math.nan if stage is None else lift - stage.start,
        coils_close=found.coils_close,
    )


def _lower_end(stop: Stop | None, found: AxleCheck) -> float:
    """Ride height at which the bump stop begins to work, or the coils close before it."""
    if found.coils_close:
        ratio = 1.0 if stop is None else stop.motion_ratio
        return found.ride_height_change - found.bump_travel_left / ratio
    return -_gap(stop)


def _gap(stop: Stop | None) -> float:
    return math.nan if stop is None else stop.gap / stop.motion_ratio


def _axle(job: Job, state: State, number: int, *, found: AxleCheck) -> SideAxle:
    own = (job.vehicle.front, job.vehicle.rear)[number]
    weighed = (job.vehicle.front_axle_mass, job.vehicle.rear_axle_mass)[number]
    both = 2.0 * own.tyre.vertical_rate
    raised = mass.raised(job, state)
    return SideAxle(
        name=AXLES[number],
        wheel_centre=own.unsprung_cg_height,
        free_radius=own.unsprung_cg_height + raised + weighed * STANDARD_GRAVITY / both,
        rise=raised - (found.axle_mass - weighed) * STANDARD_GRAVITY / both,
        mass=found.axle_mass,
        mass_before=weighed,
        rating=found.axle_rating,
        over=found.axle_mass > found.axle_rating * (1.0 + mass.ROUNDING),
        travel=travel_of(job, state, number, found=found),
    )


def _full_mass(job: Job) -> float:
    """The heaviest axle or rating that an arrow may have to show [kg]."""
    ratings = (job.ratings.front_axle or 0.0, job.ratings.rear_axle or 0.0)
    weighed = (job.vehicle.front_axle_mass, job.vehicle.rear_axle_mass)
    on_top = max(sum(load.mass for load in state.loads) for state in mass.states(job))
    return max(*ratings, *weighed, 0.5 * (sum(weighed) + on_top))
