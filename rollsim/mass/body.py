"""What does the body weigh in a state, and where is its centre of gravity?"""

from dataclasses import dataclass, replace

import numpy as np

from rollsim.mass.states import State
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Change, Job, Load


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
    moments = _bare_moments(job, state)
    for load in state.loads:
        moments += _first_moments(load)
    mass, x, z, y = (float(m) for m in moments)
    return SprungMass(mass, x / mass, z / mass + _tyre_rise(job, state), y / mass)


def _bare_moments(job: Job, state: State) -> np.ndarray:
    """Sprung mass without any load [kg], and its moments behind, up and left [kg·m]."""
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
    moments[2] += changes_made(change, state) * change.body_lift_mass * change.body_lift
    return moments


def _tyre_rise(job: Job, state: State) -> float:
    return changes_made(job.change, state) * job.change.tyre_radius


def rear_end(job: Job, state: State, body: SprungMass) -> tuple[float, float]:
    """What leans with the rear end of a frame that twists beyond its share of the whole.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    state : State
        Which items are on and whether the changes are made.
    body : SprungMass
        From `sprung_mass`.

    Returns
    -------
    tuple of float
        First moments of height and left of the centreline [kg·m].

    Notes
    -----
    Vehicle and items share themselves by x: w = x/L of the weight, which goes on behind an axle;
    r, w kept within 0 to 1, of the moment about the frame, since no torsion acts behind an axle.
    So an item has m (r (h − h_F) + w h_F) at the rear, and the whole has w m h of it already.
    """
    v = job.vehicle
    frame = v.frame_height
    if frame is None:
        frame = 0.5 * (v.front.unsprung_cg_height + v.rear.unsprung_cg_height)
    risen = _tyre_rise(job, state)
    frame += risen
    mass = body.mass * body.behind_front_axle / v.wheelbase
    up, left = -mass * body.height, -mass * body.left
    bare = _bare_moments(job, state)
    places = (bare[1] / bare[0], *(load.behind_front_axle for load in state.loads))
    parts = (bare, *map(_first_moments, state.loads))
    for place, (mass, _, z, y) in zip(places, parts, strict=True):
        weight = place / v.wheelbase
        turn = min(max(weight, 0.0), 1.0)
        up += turn * (z + mass * (risen - frame)) + weight * mass * frame
        left += turn * y
    return float(up), float(left)


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
    v = job.vehicle
    return replace(
        job,
        vehicle=replace(
            v,
            cg_left=None if v.cg_left is None else -v.cg_left,
            front=_bar_turned(v.front),
            rear=_bar_turned(v.rear),
        ),
        loads=tuple(
            replace(load, left_of_centreline=-load.left_of_centreline) for load in job.loads
        ),
    )


def _bar_turned(axle: Axle) -> Axle:
    bar = axle.track_bar
    if bar is None:
        return axle
    turned = replace(bar, axle_left=-bar.axle_left, body_left=-bar.body_left)
    return replace(axle, track_bar=turned)


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
