"""What does the body weigh in a state, and where is its centre of gravity?"""

from dataclasses import dataclass, replace

import numpy as np

from rollsim.mass.states import State
from rollsim.vehicle import STANDARD_GRAVITY, Change, Job, Load


@dataclass(frozen=True, slots=True)
class SprungMass:
    """The sprung mass [kg] and its CG in the as-weighed datum [m].

    Parameters
    ----------
    mass : float
        [kg].
    behind_front_axle, height, left : float
        CG behind the front axle, above ground, left of the centreline [m].
    """

    mass: float
    behind_front_axle: float
    height: float
    left: float


def sprung_mass(job: Job, state: State) -> SprungMass:
    """Sprung mass and CG of a state, from the scales and the load items.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    state : State
        Which items are on and whether the changes are made.

    Returns
    -------
    SprungMass
        In the as-weighed datum: suspension travel moves it later.

    Notes
    -----
    First moments add: m x = Σ m_i x_i, with items that were on when weighed taken off first.
    """
    v, change = job.vehicle, job.change
    total = v.front_axle_mass + v.rear_axle_mass
    front, rear = v.front.unsprung_mass, v.rear.unsprung_mass
    moments = np.array(
        [
            total - front - rear,
            (v.rear_axle_mass - rear) * v.wheelbase,
            total * v.cg_height
            - front * v.front.unsprung_cg_height
            - rear * v.rear.unsprung_cg_height,
            _moment_left(job),
        ]
    )
    for load in job.loads:
        if load.on_when_weighed:
            moments -= _first_moments(load)
    for load in state.loads:
        moments += _first_moments(load)
    made = changes_made(change, state)
    moments[2] += made * change.body_lift_mass * change.body_lift
    mass, x, z, y = (float(m) for m in moments)
    return SprungMass(mass, x / mass, z / mass + made * change.tyre_radius, y / mass)


def mirrored(job: Job) -> Job:
    """The same vehicle turned left for right: its left turn is a right turn of the real one.

    Parameters
    ----------
    job : Job
        Vehicle and loads.

    Returns
    -------
    Job
        With every distance left of the centreline [m] on the other side.
    """
    left = job.vehicle.cg_left
    return replace(
        job,
        vehicle=replace(job.vehicle, cg_left=None if left is None else -left),
        loads=tuple(
            replace(load, left_of_centreline=-load.left_of_centreline) for load in job.loads
        ),
    )


def _moment_left(job: Job) -> float:
    """First moment of the weighed vehicle left of the centreline [kg·m]."""
    v = job.vehicle
    if v.cg_left is not None:
        return (v.front_axle_mass + v.rear_axle_mass) * v.cg_left
    weighed = (load for load in job.loads if load.on_when_weighed)
    return sum(load.mass * load.left_of_centreline for load in weighed)


def _first_moments(load: Load) -> np.ndarray:
    position = (1.0, load.behind_front_axle, load.height, load.left_of_centreline)
    return load.mass * np.array(position)


def changes_made(change: Change, state: State) -> int:
    """Changes made since the scales: 1 made, 0 as weighed, −1 undone."""
    return int(state.changed) - int(change.on_when_weighed)


def raised(job: Job, state: State) -> float:
    """How much larger tyres have raised the whole vehicle since the scales [m]."""
    return changes_made(job.change, state) * job.change.tyre_radius


def sprung_load(job: Job) -> tuple[float, float]:
    """Load on one front and one rear spring as weighed [N]."""
    v = job.vehicle
    return (
        0.5 * STANDARD_GRAVITY * (v.front_axle_mass - v.front.unsprung_mass),
        0.5 * STANDARD_GRAVITY * (v.rear_axle_mass - v.rear.unsprung_mass),
    )
