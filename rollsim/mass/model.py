"""Vehicles in their states as an equilibrium batch: axles, springs, a bar in place of another."""

from collections.abc import Sequence
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
    return models([(job, state)], bar)


def models(
    members: Sequence[tuple[Job, State]], bars: Sequence[FittedBar] | FittedBar | None = None
) -> Model:
    """A batch of vehicles, each in a state of its own.

    Parameters
    ----------
    members : sequence of (Job, State)
        At least one.
    bars : sequence of FittedBar, FittedBar or None
        A rear bar for each, or one for all, in place of the one on the vehicle; its numbers are
        floats.

    Returns
    -------
    Model
        Of that size and in that order, pitch not yet settled; springs with fewer hinges than others
        have some of step 0.
    """
    if isinstance(bars, FittedBar):
        bars = [bars] * len(members)
    if bars is not None:
        members = [(with_parts(job), state) for job, state in members]
    fitted = [axles(*one) for one in members]
    rows = [_figures(*one, pair) for one, pair in zip(members, fitted, strict=True)]
    none = np.zeros((2, len(rows)))
    plain = Model(
        **{name: _stacked([row[name] for row in rows]) for name in rows[0]},
        **_spring_arrays(members),
        least_tyre_force=none,
        bar_stiffness=none,
        bar_lash=none,
        rest=np.zeros((2, 2, len(rows))),
    )
    if bars is None:
        return plain
    hung = [bar.at(rear.track) for bar, (_, rear) in zip(bars, fitted, strict=True)]
    each = list(zip((job for job, _ in members), fitted, hung, strict=True))
    return _hung(
        plain,
        np.array([(bar.roll_stiffness, bar.mass, bar.lash_angle) for bar in hung]).T,
        on_axle=np.array([bar.on_axle for bar in hung]),
        own=np.array([_own_stiffness(job, rear.track) for job, (_, rear), _ in each]),
        front=np.array([_front_gain(job, bar, front.track) for job, (front, _), bar in each]),
    )


def _figures(job: Job, state: State, fitted: tuple[Axle, Axle]) -> dict:
    """Numbers of one member by the names of `Model`'s fields; those of its springs apart."""
    v, change, made = job.vehicle, job.change, changes_made(job.change, state)
    body, radius = sprung_mass(job, state), raised(job, state)
    moment, offset = rear_end(job, state, body) if v.frame_torsional_stiffness else (0.0, 0.0)
    stops = [(_stop(a.bump_stop, a), _stop(a.rebound_limit, a)) for a in fitted]
    return {
        "sprung_mass": body.mass,
        "cg_height": body.height,
        "cg_left": body.left,
        "cg_behind_front": body.behind_front_axle,
        "wheelbase": v.wheelbase,
        "rear_share": body.behind_front_axle / v.wheelbase,
        "unsprung_mass": [a.unsprung_mass for a in fitted],
        "unsprung_cg_height": [a.unsprung_cg_height + radius for a in fitted],
        "track": [a.track for a in fitted],
        "roll_centre_height": [a.roll_centre_height + radius for a in fitted],
        "travel_ratio": [a.roll_centre_travel_ratio for a in fitted],
        "lift": [made * change.suspension_lift_front, made * change.suspension_lift_rear],
        "spring_base": [a.spring_base for a in fitted],
        **{name: [[stop[n] for stop in pair] for pair in stops] for n, name in _STOP},
        "tyre_load": [0.5 * STANDARD_GRAVITY * m for m in (v.front_axle_mass, v.rear_axle_mass)],
        "tyre_rate": [a.tyre.vertical_rate for a in fitted],
        "tyre_lateral_rate": [a.tyre.lateral_rate or np.inf for a in fitted],
        "roll_stiffness": [a.auxiliary_roll_stiffness + a.bar_roll_stiffness for a in fitted],
        "independent": [a.suspension is Suspension.INDEPENDENT for a in fitted],
        "frame_compliance": 1.0 / (v.frame_torsional_stiffness or np.inf),
        "rear_moment": moment,
        "rear_offset": offset,
        "cab_share": v.cab_share_of_twist,
        "track_bar": [_track_bar(a) for a in fitted],
    }


def _spring_arrays(members: Sequence[tuple[Job, State]]) -> dict[str, np.ndarray]:
    """Springs of all members; those with fewer hinges have some of step 0."""
    curves = [
        [spring.curve(w) for spring, w in zip(springs(job, state), sprung_load(job), strict=True)]
        for job, state in members
    ]
    count = max(len(curve.starts) for pair in curves for curve in pair)
    hinges = np.zeros((2, count, 2, len(members)))
    for n, pair in enumerate(curves):
        for axle, curve in enumerate(pair):
            hinges[0, : len(curve.starts), axle, n] = curve.starts
            hinges[1, : len(curve.steps), axle, n] = curve.steps
    return {
        "spring_load": _stacked([[curve.load for curve in pair] for pair in curves]),
        "spring_rate": _stacked([[curve.rate for curve in pair] for pair in curves]),
        "hinge_start": hinges[0],
        "hinge_step": hinges[1],
    }


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
    front, rear = (float(track) for track in plain.track[:, 0])
    bar = bar.at(rear)
    *bars, gain = np.broadcast_arrays(
        *np.atleast_1d(bar.roll_stiffness, bar.mass, bar.lash_angle, _front_gain(job, bar, front))
    )
    many = plain if gain.size == 1 else plain.take(np.zeros(gain.size, dtype=int))
    own = _own_stiffness(job, rear)
    return _hung(many, bars, on_axle=bar.on_axle, own=own, front=gain)


def _hung(
    many: Model,
    bars: Sequence[np.ndarray],
    *,
    on_axle: bool | np.ndarray,
    own: float | np.ndarray,
    front: np.ndarray,
) -> Model:
    """Each member with a rear bar of its own: its stiffness, mass and lash at that track, and `own`
    roll stiffness of the one that goes; `front` comes with it in front [N·m/rad]."""
    stiffness, mass, lash = bars
    none = np.zeros_like(stiffness)
    rigid = np.where(lash > 0.0, 0.0, stiffness)
    sprung = np.where(on_axle, 0.0, mass)
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


def _own_stiffness(job: Job, track: float) -> float:
    """Roll stiffness of the rear bar that goes, the wheels at a track [N·m/rad]."""
    rear = job.vehicle.rear
    return _moved_out(rear, 0.5 * (track - rear.track)).bar_roll_stiffness


def _front_gain(job: Job, bar: FittedBar, track: float) -> float | np.ndarray:
    """Roll stiffness that a front bar that comes with a rear one adds to the one on [N·m/rad]."""
    if bar.front is None:
        return 0.0
    front = with_parts(job).vehicle.front
    own = front.bar_roll_stiffness
    there = _moved_out(replace(front, bar_roll_stiffness=1.0), 0.5 * (track - front.track))
    return (bar.front - own) * there.bar_roll_stiffness


def _stacked(values: list) -> np.ndarray:
    """The numbers of all members, each of which has its axles first: turned round, (…, 2, N)."""
    return np.ascontiguousarray(np.array(values, dtype=float).T)


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


_STOP = tuple(enumerate(("stop_gap", "stop_rate", "stop_base", "stop_ratio")))
