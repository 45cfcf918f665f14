"""Masses, centres of gravity and ratings: what does the vehicle weigh in each state, and where?

A state is the weighed vehicle with load items taken off or put on, and with its changes made or
undone. Each becomes one member of an equilibrium `Model`.
"""

from dataclasses import dataclass, replace

import numpy as np

from rollsim.equilibrium import Model
from rollsim.springs import Spring
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Change, Job, Load, Place, Stop, Suspension

ROUNDING = 1e-9  # a load that equals its limit is not over it
UNLADEN, AS_WEIGHED, AS_USED = "unladen", "as_weighed", "as_used"


@dataclass(frozen=True, slots=True)
class State:
    """One loading of the vehicle.

    Parameters
    ----------
    name : str
        "unladen", "as_weighed", or the name of a load case.
    loads : tuple of Load
        The items on the vehicle.
    changed : bool
        The changes (lift, tyres, springs) are made.
    """

    name: str
    loads: tuple[Load, ...]
    changed: bool


@dataclass(frozen=True, slots=True)
class FittedBar:
    """A rear bar in place of the one on the vehicle.

    Parameters
    ----------
    roll_stiffness : float
        Of the bar alone, per axle [N·m/rad].
    mass : float
        [kg].
    lash_angle : float
        Roll of the body over the axle before the bar takes load, to either side [rad].
    on_axle : bool
        The bar's body rides on the axle, so its mass is unsprung.
    """

    roll_stiffness: float
    mass: float = 0.0
    lash_angle: float = 0.0
    on_axle: bool = True


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


@dataclass(frozen=True, slots=True)
class RatingCheck:
    """A rating [kg] beside what the vehicle puts on it [kg]."""

    name: str
    load: float
    limit: float

    @property
    def over(self) -> bool:
        """More than the rating allows."""
        return self.load > self.limit * (1.0 + ROUNDING)


def spoken(name: str) -> str:
    """A state's name as it is said: a load case keeps the user's words."""
    return {AS_WEIGHED: "as weighed", AS_USED: "as used"}.get(name, name)


def case_names(job: Job) -> tuple[str, ...]:
    """The load cases in the order of the file; "as_used" where the file names none."""
    names = dict.fromkeys(case for load in job.loads for case in load.cases or ())
    return tuple(names) or (AS_USED,)


def states(job: Job) -> tuple[State, ...]:
    """Unladen, as weighed and every load case, in that order.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.

    Returns
    -------
    tuple of State
        Items that are only there when parked are in none of them.
    """
    driving = [load for load in job.loads if not load.parked_only]
    weighed = tuple(load for load in driving if load.on_when_weighed)
    found = [
        State(UNLADEN, (), changed=False),
        State(AS_WEIGHED, weighed, changed=job.change.on_when_weighed),
    ]
    for case in case_names(job):
        on_board = tuple(load for load in driving if load.cases is None or case in load.cases)
        found.append(State(case, on_board, changed=True))
    return tuple(found)


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
    made = _made(change, state)
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


def _made(change: Change, state: State) -> int:
    """Changes made since the scales: 1 made, 0 as weighed, −1 undone."""
    return int(state.changed) - int(change.on_when_weighed)


def raised(job: Job, state: State) -> float:
    """How much larger tyres have raised the whole vehicle since the scales [m]."""
    return _made(job.change, state) * job.change.tyre_radius


def sprung_load(job: Job) -> tuple[float, float]:
    """Load on one front and one rear spring as weighed [N]."""
    v = job.vehicle
    return (
        0.5 * STANDARD_GRAVITY * (v.front_axle_mass - v.front.unsprung_mass),
        0.5 * STANDARD_GRAVITY * (v.rear_axle_mass - v.rear.unsprung_mass),
    )


def springs(job: Job, state: State) -> tuple[Spring, Spring]:
    """Front and rear spring that the vehicle has in a state."""
    v, change = job.vehicle, job.change
    front = change.front_spring if state.changed else None
    rear = change.rear_spring if state.changed else None
    return front or v.front.spring, rear or v.rear.spring


def axles(job: Job, state: State) -> tuple[Axle, Axle]:
    """Front and rear axle as they are in a state: their track, and the front bar.

    Parameters
    ----------
    job : Job
        Vehicle and changes.
    state : State
        Whether the changes are made.

    Returns
    -------
    tuple of Axle
        Lengths [m], bars [N·m/rad]. The springs are the vehicle's own; see `springs`.

    Notes
    -----
    A wheel further out leaves the springs of a solid axle where they are. On independent
    suspension the spring base is the track and follows it; wheel rates and bars stay as stated.
    """
    v, change, made = job.vehicle, job.change, _made(job.change, state)
    front = _moved_out(v.front, made * change.wheel_offset_front)
    rear = _moved_out(v.rear, made * change.wheel_offset_rear)
    bar = change.front_bar_roll_stiffness
    if state.changed and bar is not None:
        words = change.front_bar_description
        front = replace(front, bar_roll_stiffness=bar, bar_description=words)
    return front, rear


def _moved_out(axle: Axle, offset: float) -> Axle:
    if not offset:
        return axle
    track = axle.track + 2.0 * offset
    if axle.suspension is Suspension.SOLID_AXLE:
        return replace(axle, track=track)
    bump, rebound = (
        replace(stop, base=track) if stop is not None else None
        for stop in (axle.bump_stop, axle.rebound_limit)
    )
    return replace(axle, track=track, spring_base=track, bump_stop=bump, rebound_limit=rebound)


def model(job: Job, state: State, bar: FittedBar | None = None) -> Model:
    """One member of an equilibrium batch for a state.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    state : State
        Which loading.
    bar : FittedBar or None
        A rear bar in place of the one on the vehicle.

    Returns
    -------
    Model
        Of size 1, pitch not yet settled.

    Notes
    -----
    The mass of a bar on the chassis is put over the rear axle at the height of its unsprung mass.
    """
    v, fitted = job.vehicle, axles(job, state)
    made = _made(job.change, state)
    body = sprung_mass(job, state)
    curves = [s.curve(w) for s, w in zip(springs(job, state), sprung_load(job), strict=True)]
    count = max(len(c.starts) for c in curves)
    hinges = np.zeros((2, count, 2, 1))
    for axle, curve in enumerate(curves):
        hinges[0, : len(curve.starts), axle, 0] = curve.starts
        hinges[1, : len(curve.steps), axle, 0] = curve.steps
    stops = np.array(
        [[_stop(a.bump_stop, a) for a in fitted], [_stop(a.rebound_limit, a) for a in fitted]]
    )
    radius = raised(job, state)
    plain = Model(
        sprung_mass=_one(body.mass),
        cg_height=_one(body.height),
        cg_left=_one(body.left),
        cg_behind_front=_one(body.behind_front_axle),
        wheelbase=_one(v.wheelbase),
        rear_share=_one(body.behind_front_axle / v.wheelbase),
        unsprung_mass=_pair(*(a.unsprung_mass for a in fitted)),
        unsprung_cg_height=_pair(*(a.unsprung_cg_height + radius for a in fitted)),
        track=_pair(*(a.track for a in fitted)),
        roll_centre_height=_pair(*(a.roll_centre_height + radius for a in fitted)),
        travel_ratio=_pair(*(a.roll_centre_travel_ratio for a in fitted)),
        lift=made * _pair(job.change.suspension_lift_front, job.change.suspension_lift_rear),
        spring_base=_pair(*(a.spring_base for a in fitted)),
        spring_load=_pair(*(c.load for c in curves)),
        spring_rate=_pair(*(c.rate for c in curves)),
        hinge_start=hinges[0],
        hinge_step=hinges[1],
        stop_gap=stops[..., 0, None],
        stop_rate=stops[..., 1, None],
        stop_base=stops[..., 2, None],
        stop_ratio=stops[..., 3, None],
        tyre_load=0.5 * STANDARD_GRAVITY * _pair(v.front_axle_mass, v.rear_axle_mass),
        tyre_rate=_pair(*(a.tyre.vertical_rate for a in fitted)),
        tyre_lateral_rate=_pair(*(a.tyre.lateral_rate or np.inf for a in fitted)),
        least_tyre_force=_pair(0.0, 0.0),
        roll_stiffness=_pair(*(a.auxiliary_roll_stiffness + a.bar_roll_stiffness for a in fitted)),
        bar_stiffness=_pair(0.0, 0.0),
        bar_lash=_pair(0.0, 0.0),
    )
    return plain if bar is None else with_bar(plain, job, bar)


def _in_case(load: Load, state: State) -> bool:
    in_use = state.name not in (UNLADEN, AS_WEIGHED)
    return in_use and (load.cases is None or state.name in load.cases)


def _one(value: float) -> np.ndarray:
    return np.array([value], dtype=float)


def _pair(front: float, rear: float) -> np.ndarray:
    return np.array([[front], [rear]], dtype=float)


def _stop(stop: Stop | None, axle: Axle) -> tuple[float, float, float, float]:
    if stop is None:
        return 0.0, 0.0, axle.track, 1.0
    return stop.gap, stop.rate, stop.base, stop.motion_ratio


def with_bar(plain: Model, job: Job, bar: FittedBar) -> Model:
    """Put a rear bar in place of the one on the vehicle.

    Parameters
    ----------
    plain : Model
        Of size 1, with the vehicle's own bars.
    job : Job
        Tells which bar goes.
    bar : FittedBar
        Its numbers may be (N,) arrays.

    Returns
    -------
    Model
        Of size N.
    """
    stiffness, mass, lash = np.broadcast_arrays(
        *np.atleast_1d(bar.roll_stiffness, bar.mass, bar.lash_angle)
    )
    many = plain.take(np.zeros(stiffness.size, dtype=int))
    none = np.zeros_like(stiffness)
    own = job.vehicle.rear.bar_roll_stiffness
    rigid = np.where(lash > 0.0, 0.0, stiffness)
    sprung = none if bar.on_axle else mass
    total = many.sprung_mass + sprung
    height = many.unsprung_cg_height[1]
    behind = (many.sprung_mass * many.cg_behind_front + sprung * many.wheelbase) / total
    return replace(
        many,
        roll_stiffness=many.roll_stiffness + np.stack([none, rigid - own]),
        bar_stiffness=np.stack([none, stiffness - rigid]),
        bar_lash=np.stack([none, lash]),
        unsprung_mass=many.unsprung_mass + np.stack([none, mass - sprung]),
        sprung_mass=total,
        cg_height=(many.sprung_mass * many.cg_height + sprung * height) / total,
        cg_left=many.sprung_mass * many.cg_left / total,
        cg_behind_front=behind,
        rear_share=behind / many.wheelbase,
    )


def rating_checks(
    job: Job, state: State, axle_masses: tuple[float, float]
) -> tuple[RatingCheck, ...]:
    """Every rating that is given, beside what the state puts on it.

    Parameters
    ----------
    job : Job
        Ratings and load items.
    state : State
        Which items are on.
    axle_masses : tuple of float
        Front and rear axle, settled [kg].

    Returns
    -------
    tuple of RatingCheck
        Rack and fittings count as roof load; what is up there only when parked counts only then.
    """
    roof = sum(load.mass for load in state.loads if load.place is Place.ROOF)
    sleepers = (load for load in job.loads if load.parked_only and _in_case(load, state))
    parked = sum(load.mass for load in sleepers)
    r = job.ratings
    found = (
        ("front_axle", axle_masses[0], r.front_axle),
        ("rear_axle", axle_masses[1], r.rear_axle),
        ("gross_vehicle_mass", sum(axle_masses), r.gross_vehicle_mass),
        ("roof_load", roof, r.roof_load),
        ("roof_load_off_road", roof, r.roof_load_off_road),
        ("roof_load_parked", roof + parked, r.roof_load_parked),
    )
    return tuple(
        RatingCheck(name, float(load), limit) for name, load, limit in found if limit is not None
    )
