"""One member of an equilibrium batch for a state: axles, springs, a bar in place of another."""

from dataclasses import dataclass, replace

import numpy as np

from rollsim.equilibrium import Model
from rollsim.mass.body import changes_made, raised, rear_end, sprung_load, sprung_mass
from rollsim.mass.states import State, before_ordering
from rollsim.springs import Spring
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Change, Job, Stop, Suspension


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
    track : float or None
        That stiffness and lash angle hold at, on independent suspension [m]; None: they hang on no
        track, as across a solid axle.
    front : float or None
        Roll stiffness of a front bar that comes with it, in place of the one that is on, per axle,
        the wheels at the track as weighed [N·m/rad]; None: that one stays. Its mass counts as that
        of the bar it replaces.
    """

    roll_stiffness: float
    mass: float = 0.0
    lash_angle: float = 0.0
    on_axle: bool = True
    track: float | None = None
    front: float | None = None

    def at(self, track: float) -> "FittedBar":
        """The same bar with the wheels at another track [m]."""
        if self.track is None:
            return self
        out = track / self.track
        return replace(
            self,
            roll_stiffness=self.roll_stiffness * out**2,
            lash_angle=self.lash_angle / out,
            track=track,
        )


def springs(job: Job, state: State) -> tuple[Spring, Spring]:
    """Front and rear spring that the vehicle has in a state."""
    v, change = job.vehicle, job.change
    front = change.front_spring if state.changed else None
    rear = change.rear_spring if state.changed else None
    return front or v.front.spring, rear or v.rear.spring


def axles(job: Job, state: State) -> tuple[Axle, Axle]:
    """Front and rear axle as they are in a state: track, front bar, rear rebound limit.

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
    A wheel further out leaves springs and bar of a solid axle where they are. On independent
    suspension the spring base is the track and follows it, and wheel rates stay as stated: those of
    the springs and that of the bar, K/t² to either side, so K goes with the track's square.
    """
    v, change, made = job.vehicle, job.change, changes_made(job.change, state)
    front, rear = _with_parts(v.front, v.rear, change) if state.changed else (v.front, v.rear)
    return (
        _moved_out(front, made * change.wheel_offset_front),
        _moved_out(rear, made * change.wheel_offset_rear),
    )


def with_parts(job: Job) -> Job:
    """The job with its new front bar and limit straps on in every state.

    Parameters
    ----------
    job : Job
        Vehicle and changes.

    Returns
    -------
    Job
        Bars in [N·m/rad]. What is ordered with a rear bar stays on when load and lift are off.
    """
    v = job.vehicle
    front, rear = _with_parts(v.front, v.rear, job.change)
    if front is v.front and rear is v.rear:
        return job  # nothing comes, and there are many draws of a job
    return replace(job, vehicle=replace(v, front=front, rear=rear))


def without_parts(job: Job) -> Job:
    """The job without its new front bar and limit straps in any state.

    Parameters
    ----------
    job : Job
        Vehicle and changes.

    Returns
    -------
    Job
        Bars in [N·m/rad]: those that were on before anything was ordered.
    """
    return replace(job, change=before_ordering(job.change))


def _with_parts(front: Axle, rear: Axle, change: Change) -> tuple[Axle, Axle]:
    if change.front_bar_roll_stiffness is not None:
        stiffness, words = change.front_bar_roll_stiffness, change.front_bar_description
        front = replace(front, bar_roll_stiffness=stiffness, bar_description=words)
    if change.rear_rebound_limit is not None:
        rear = replace(rear, rebound_limit=change.rear_rebound_limit)
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
    return replace(
        axle,
        track=track,
        spring_base=track,
        bump_stop=bump,
        rebound_limit=rebound,
        bar_roll_stiffness=axle.bar_roll_stiffness * (track / axle.track) ** 2,
    )


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
    With a rear bar a new front bar and limit straps are on too. The mass of a bar on the chassis is
    put over the rear axle at the height of its unsprung mass.
    """
    job = job if bar is None else with_parts(job)
    v, fitted = job.vehicle, axles(job, state)
    made = changes_made(job.change, state)
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
    moment, offset = rear_end(job, state, body) if v.frame_torsional_stiffness else (0.0, 0.0)
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
        independent=_pair(*(a.suspension is Suspension.INDEPENDENT for a in fitted)),
        rest=np.zeros((2, 2, 1)),
        frame_compliance=_one(1.0 / (v.frame_torsional_stiffness or np.inf)),
        rear_moment=_one(moment),
        rear_offset=_one(offset),
        cab_share=_one(v.cab_share_of_twist),
        track_bar=np.array([[_track_bar(a)] for a in fitted]).transpose(2, 0, 1),
    )
    return plain if bar is None else with_bar(plain, job, bar)


def with_bar(plain: Model, job: Job, bar: FittedBar) -> Model:
    """Put a rear bar in place of the one on the vehicle.

    Parameters
    ----------
    plain : Model
        Of size 1, with the vehicle's own bars; where a front bar comes too, with its new parts on.
    job : Job
        Tells which bar goes.
    bar : FittedBar
        Its numbers may be (N,) arrays.

    Returns
    -------
    Model
        Of size N.
    """
    rear, track = job.vehicle.rear, float(plain.track[1, 0])
    bar = bar.at(track)
    stiffness, mass, lash, front = np.broadcast_arrays(
        *np.atleast_1d(bar.roll_stiffness, bar.mass, bar.lash_angle, _front_gain(plain, job, bar))
    )
    many = plain if stiffness.size == 1 else plain.take(np.zeros(stiffness.size, dtype=int))
    none = np.zeros_like(stiffness)
    own = _moved_out(rear, 0.5 * (track - rear.track)).bar_roll_stiffness
    rigid = np.where(lash > 0.0, 0.0, stiffness)
    sprung = none if bar.on_axle else mass
    total = many.sprung_mass + sprung
    height = many.unsprung_cg_height[1]
    behind = (many.sprung_mass * many.cg_behind_front + sprung * many.wheelbase) / total
    at_rear = many.rear_share * many.sprung_mass
    now, share = at_rear * many.cg_height + sprung * height, behind / many.wheelbase
    left = many.sprung_mass * many.cg_left
    higher = (many.sprung_mass * many.cg_height + sprung * height) / total
    return replace(
        many,
        roll_stiffness=many.roll_stiffness + np.stack([front, rigid - own]),
        bar_stiffness=np.stack([none, stiffness - rigid]),
        bar_lash=np.stack([none, lash]),
        unsprung_mass=many.unsprung_mass + np.stack([none, mass - sprung]),
        sprung_mass=total,
        cg_height=higher,
        cg_left=left / total,
        rear_moment=many.rear_moment + now - share * total * higher,
        rear_offset=many.rear_offset + (many.rear_share - share) * left,
        cg_behind_front=behind,
        rear_share=share,
    )


def _front_gain(plain: Model, job: Job, bar: FittedBar) -> float | np.ndarray:
    """Roll stiffness that a front bar that comes with a rear one adds to the one on [N·m/rad]."""
    if bar.front is None:
        return 0.0
    front = with_parts(job).vehicle.front
    out = 0.5 * (float(plain.track[0, 0]) - front.track)
    own = front.bar_roll_stiffness
    there = _moved_out(replace(front, bar_roll_stiffness=1.0), out).bar_roll_stiffness
    return (bar.front - own) * there


def _one(value: float) -> np.ndarray:
    return np.array([value], dtype=float)


def _pair(front: float, rear: float) -> np.ndarray:
    return np.array([[front], [rear]], dtype=float)


def _track_bar(axle: Axle) -> tuple[float, float, float]:
    """Slope [-], bend [1/m] and turn [m] of the body's way to the left: docs/method.md §1."""
    bar = axle.track_bar
    if bar is None:
        return 0.0, 0.0, 0.0
    reach = bar.body_left - bar.axle_left
    slope = (bar.body_height - bar.axle_height) / reach
    return slope, 1.0 / reach, bar.body_left * (slope**2 - bar.axle_left / reach)


def _stop(stop: Stop | None, axle: Axle) -> tuple[float, float, float, float]:
    if stop is None:
        return 0.0, 0.0, axle.track, 1.0
    return stop.gap, stop.rate, stop.base, stop.motion_ratio
