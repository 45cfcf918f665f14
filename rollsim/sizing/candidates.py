"""What does each bar at hand do: roll, balance when empty, stress, and what it costs off road?"""

import math
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim import mass
from rollsim.balance import load_transfer_understeer
from rollsim.bar import (
    CandidateBars,
    Mount,
    RearBar,
    Section,
    Steel,
    candidates,
    link_end_force_independent,
    link_end_force_solid_axle,
)
from rollsim.equilibrium import Model, Solution, concatenate, settle
from rollsim.mass import FittedBar, State, model, with_bar
from rollsim.roll import (
    SECANT_AT,
    TURN,
    UNRESOLVED,
    follow,
    follow_to_tipping,
    inner_rear_lift,
    straight_ahead,
    turns,
)
from rollsim.sizing.articulation import lift_twist, spring_moments, stop_to_stop
from rollsim.sizing.stiffness import settle_bars, without_rear_bar
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Job, Limits, Suspension


class ObjectionKind(Enum):
    """What may stand against a candidate."""

    TIPS = "tips"
    UNRESOLVED = "unresolved"
    LEAN = "lean"
    STRENGTH = "strength"
    WHEEL_LIFT = "wheel lift"
    FRONT_SHARE = "front share"


@dataclass(frozen=True, slots=True)
class Objection:
    """One reason against a candidate.

    Parameters
    ----------
    kind : ObjectionKind
        Which limit.
    value : float
        What the candidate has [-] or [m/s²]; the lean as a share of the target above it.
    limit : float
        What is allowed, in the same unit [-] or [m/s²].
    """

    kind: ObjectionKind
    value: float
    limit: float


@dataclass(frozen=True, slots=True)
class Candidate:
    """One section in one hole. NaN marks what has no value.

    Parameters
    ----------
    section : Section
        Outer diameter and wall.
    steel : Steel
        What it is made of.
    hole : int
        Position of the hole in the file, from 0.
    lever : float
        Arm length square to the centre section [m].
    link_end_rate : float
        Force at one end per travel of that end [N/m].
    roll_stiffness : float
        Per axle [N·m/rad].
    lash_angle : float
        Dead band to either side [rad].
    roll_gradient : float
        As the target measures it, in the case sized for, the mean of both turns [rad/(m/s²)].
    front_load_transfer_share, front_share_drop : float
        In the emptiest state with this bar at work, lash taken up, and how much it falls there [-].
    inner_rear_lift : float
        In the emptiest state [m/s²].
    understeer_change, understeer_change_emptiest : float
        From load transfer alone at 0.4 g, in the case sized for and in the emptiest state, the
        worse of both turns [rad/(m/s²)].
    one_wheel_rate_increase : float
        That the bar adds when one wheel alone moves [N/m].
    articulation_lost : float
        Height between the wheels at full axle twist, without any rear bar less with this one [m].
    cornering_stress, twist_stress, normal_stress : float
        Peak von Mises: (a) at 0.8 g or tip-over, (b) at full axle twist with the dynamic factor,
        (c) amplitude at 0.4 g [Pa].
    peak_stress, allowable_stress : float
        The larger of (a) and (b), and what the steel allows [Pa].
    mass : float
        [kg].
    objections : tuple of Objection
        Why it is not accepted; empty where it is.
    """

    section: Section
    steel: Steel
    hole: int
    lever: float
    link_end_rate: float
    roll_stiffness: float
    lash_angle: float
    roll_gradient: float
    front_load_transfer_share: float
    front_share_drop: float
    inner_rear_lift: float
    understeer_change: float
    understeer_change_emptiest: float
    one_wheel_rate_increase: float
    articulation_lost: float
    cornering_stress: float
    twist_stress: float
    normal_stress: float
    peak_stress: float
    allowable_stress: float
    mass: float
    objections: tuple[Objection, ...]

    @property
    def safety_factor(self) -> float:
        """Allowable over peak stress [-]; infinite where the bar never takes load."""
        return self.allowable_stress / self.peak_stress if self.peak_stress else math.inf

    @property
    def accepted(self) -> bool:
        """No limit stands against it."""
        return not self.objections


@dataclass(frozen=True, slots=True)
class _Laden:
    """The case sized for with each bar, (N,) arrays."""

    gradient: np.ndarray
    understeer_change: np.ndarray
    cornering_moment: np.ndarray  # of the bar, at 0.8 g or tip-over
    normal_moment: np.ndarray  # of the bar, at 0.4 g
    twist: np.ndarray  # rear axle against body, the most that the ground can make
    bare_twist: float  # the same without any rear bar


@dataclass(frozen=True, slots=True)
class _Empty:
    """The emptiest state with each bar, (N,) arrays."""

    share: np.ndarray
    share_drop: np.ndarray
    inner_rear_lift: np.ndarray
    understeer_change: np.ndarray


def assess(
    job: Job, rear_bar: RearBar, case: State, *, emptiest: State, target: float
) -> tuple[Candidate, ...]:
    """Every section in every hole, in one batch.

    Parameters
    ----------
    job : Job
        Vehicle, limits and where the target is measured.
    rear_bar : RearBar
        Shape and stock.
    case : State
        The case sized for.
    emptiest : State
        The state that the balance gate looks at.
    target : float
        Roll gradient wanted [rad/(m/s²)].

    Returns
    -------
    tuple of Candidate
        Ranked, accepted ones first.
    """
    axle = mass.axles(job, case)[1]
    independent = axle.suspension is Suspension.INDEPENDENT
    bars = candidates(rear_bar, independent=independent, track=axle.track)
    fitted = FittedBar(
        bars.roll_stiffness, bars.mass, bars.lash_angle, on_axle=rear_bar.mount is Mount.AXLE
    )
    laden = _laden(job, case, fitted)
    empty = _empty(job, emptiest, fitted)
    stress = _stresses(job, rear_bar, bars, axle=axle, laden=laden)
    columns = {
        "section": bars.section,
        "steel": bars.steel,
        "hole": bars.hole.tolist(),
        "lever": bars.lever.tolist(),
        "link_end_rate": bars.link_end_rate.tolist(),
        "roll_stiffness": bars.roll_stiffness.tolist(),
        "lash_angle": bars.lash_angle.tolist(),
        "roll_gradient": laden.gradient.tolist(),
        "front_load_transfer_share": empty.share.tolist(),
        "front_share_drop": empty.share_drop.tolist(),
        "inner_rear_lift": empty.inner_rear_lift.tolist(),
        "understeer_change": laden.understeer_change.tolist(),
        "understeer_change_emptiest": empty.understeer_change.tolist(),
        "one_wheel_rate_increase": (bars.roll_stiffness / axle.track**2).tolist(),
        "articulation_lost": (
            axle.track * (np.sin(laden.bare_twist) - np.sin(laden.twist))
        ).tolist(),
        "cornering_stress": stress[0].tolist(),
        "twist_stress": stress[1].tolist(),
        "normal_stress": stress[2].tolist(),
        "peak_stress": np.where(np.isnan(stress[0]), np.nan, np.fmax(*stress[:2])).tolist(),
        "allowable_stress": bars.allowable_stress.tolist(),
        "mass": bars.mass.tolist(),
    }
    objections = _objections(columns, job.limits, target)
    lifts = columns["inner_rear_lift"]
    columns["inner_rear_lift"] = [math.nan if x == UNRESOLVED else x for x in lifts]
    found = tuple(map(Candidate, *columns.values(), objections))
    return tuple(found[n] for n in _ranking(columns, objections, target))


def _ranking(columns: dict, objections: list[tuple[Objection, ...]], target: float) -> list[int]:
    """Accepted first, then nearest to the target in whole per cent, then the lighter bar."""
    miss = np.abs(np.array(columns["roll_gradient"]) / target - 1.0)
    near = np.where(np.isfinite(miss), np.round(100.0 * miss), np.inf)
    against = np.array([len(why) for why in objections])
    stress = np.array(columns["peak_stress"]) / np.array(columns["allowable_stress"])
    return np.lexsort((stress, columns["mass"], against, near, against > 0)).tolist()


def _laden(job: Job, case: State, fitted: FittedBar) -> _Laden:
    many, settled = _as_it_is_and_with(job, case, fitted)
    sides = [_laden_turn(job, m, s, fitted=fitted) for m, s in turns(many, settled)]
    gradient, understeer, cornering, normal = (np.stack(kind) for kind in zip(*sides, strict=True))
    twist = _twist(job, case, fitted)
    return _Laden(
        gradient=gradient.mean(axis=0),
        understeer_change=understeer.min(axis=0),
        cornering_moment=cornering.max(axis=0),
        normal_moment=normal.max(axis=0),
        twist=twist[1:],
        bare_twist=float(twist[0]),
    )


def _laden_turn(
    job: Job, many: Model, settled: Solution, *, fitted: FittedBar
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Roll gradient, understeer change, and the bar's moment at 0.8 g and at 0.4 g, each bar."""
    at, limit = job.target.at, job.limits.stress_acceleration
    wanted = tuple(sorted({SECANT_AT, limit, *([] if at is None else [at])}))
    followed, tipping = follow_to_tipping(many, settled, wanted)
    points = dict(zip(wanted, followed, strict=True))
    if at is None:
        gradient = straight_ahead(many, settled).roll_gradient
    else:
        lean = (points[at].x[1] - settled.x[1]) / at
        gradient = np.where(points[at].converged, lean, np.inf)
    understeer = _understeer(job, many, points[SECANT_AT])
    return (
        gradient[1:],
        understeer[1:] - understeer[0],
        _bar_moment(_at_or_tipping(points[limit], tipping)[:, 1:], fitted),
        _bar_moment(points[SECANT_AT].x[:, 1:], fitted),
    )


def _as_it_is_and_with(job: Job, state: State, fitted: FittedBar) -> tuple[Model, Solution]:
    """The state as it is, then with each bar: one settled batch of 1 + N."""
    plain = model(job, state)
    return settle_bars(concatenate([plain, with_bar(plain, job, fitted)]))


def _at_or_tipping(point: Solution, tipping: np.ndarray) -> np.ndarray:
    """Points (8, N) at the acceleration wanted, or at tip-over where that comes first."""
    return np.where(point.converged, point.x, tipping)


def _bar_moment(x: np.ndarray, fitted: FittedBar) -> np.ndarray:
    """Moment of the bar at the points x [N·m]."""
    return _moment_at(x[1] - x[5], fitted)


def _moment_at(twist: np.ndarray, fitted: FittedBar) -> np.ndarray:
    return fitted.roll_stiffness * np.maximum(np.abs(twist) - fitted.lash_angle, 0.0)


def _understeer(job: Job, many: Model, point: Solution) -> np.ndarray:
    rated = [axle.tyre.rated_load for axle in (job.vehicle.front, job.vehicle.rear)]
    if None in rated:
        return np.full(many.size, np.nan)
    return load_transfer_understeer(TURN.balance(many, point.x).wheel_loads, np.array(rated))


def _twist(job: Job, case: State, fitted: FittedBar) -> np.ndarray:
    """Twist without a bar, then with each: stop to stop, or less where a wheel lifts first."""
    bare, _ = settle(without_rear_bar(job, case), TURN)
    axle = mass.axles(job, case)[1]
    wheel_moment = 0.5 * axle.track * STANDARD_GRAVITY * float(bare.axle_mass[1, 0])
    stiffness = np.concatenate([[0.0], fitted.roll_stiffness])
    lash = np.concatenate([[0.0], fitted.lash_angle])
    lifting = lift_twist(spring_moments(bare), wheel_moment, stiffness, lash)
    return np.fmin(lifting, stop_to_stop(axle))


def _empty(job: Job, emptiest: State, fitted: FittedBar) -> _Empty:
    many, settled = _as_it_is_and_with(job, emptiest, fitted)
    # A bar with lash does nothing at straight ahead; the gate judges what it does once it works.
    engaged = many
    if many.constants.lash:
        engaged = replace(many, bar_lash=np.zeros_like(many.bar_lash))
    share = straight_ahead(engaged, settled).front_share
    points = [(m, follow(m, s, (SECANT_AT,))[0]) for m, s in turns(many, settled)]
    understeer = np.stack([_understeer(job, m, point) for m, point in points])
    with_bars = slice(1, None)
    ahead = points[0][1]
    lift = inner_rear_lift(many.take(with_bars), settled.take(with_bars), ahead.take(with_bars))
    return _Empty(
        share=share[1:],
        share_drop=share[0] - share[1:],
        inner_rear_lift=lift,
        understeer_change=(understeer[:, 1:] - understeer[:, :1]).min(axis=0),
    )


def _stresses(
    job: Job, rear_bar: RearBar, bars: CandidateBars, *, axle: Axle, laden: _Laden
) -> np.ndarray:
    """Peak stress in cases (a), (b) and (c), (3, N) [Pa]; (b) is NaN where no stops are given."""
    fitted = FittedBar(bars.roll_stiffness, lash_angle=bars.lash_angle)
    dynamic = job.limits.dynamic_factor * laden.twist
    twist_moment = _moment_at(dynamic, fitted)
    if np.isnan(stop_to_stop(axle)):
        twist_moment = np.full_like(twist_moment, np.nan)
    moments = np.stack([laden.cornering_moment, twist_moment, laden.normal_moment])
    if axle.suspension is Suspension.INDEPENDENT:
        ratio = rear_bar.installation_ratio
        force = link_end_force_independent(moments, installation_ratio=ratio, track=axle.track)
    else:
        force = link_end_force_solid_axle(moments, bars.link_spacing)
    return np.abs(force) * bars.stress_per_force


def _objections(columns: dict, limits: Limits, target: float) -> list[tuple[Objection, ...]]:
    """What stands against each candidate."""
    gradient = np.array(columns["roll_gradient"])
    miss = gradient / target - 1.0
    peak = np.array(columns["peak_stress"])
    safety = np.array(columns["allowable_stress"]) / np.where(peak > 0.0, peak, np.nan)
    lift, drop = np.array(columns["inner_rear_lift"]), np.array(columns["front_share_drop"])
    early = (lift != UNRESOLVED) & (lift < limits.inner_rear_lift)
    far = np.isfinite(miss) & (np.abs(miss) > limits.gradient_tolerance)
    kind = ObjectionKind
    checks = (
        (kind.TIPS, ~np.isfinite(gradient), gradient, target),
        (kind.LEAN, far, miss, limits.gradient_tolerance),
        (kind.STRENGTH, safety < limits.safety_factor, safety, limits.safety_factor),
        (kind.UNRESOLVED, (lift == UNRESOLVED) | np.isnan(peak), lift, limits.inner_rear_lift),
        (kind.WHEEL_LIFT, early, lift, limits.inner_rear_lift),
        (kind.FRONT_SHARE, drop > limits.front_share_drop, drop, limits.front_share_drop),
    )
    found: list[list[Objection]] = [[] for _ in gradient]
    for which, fails, values, limit in checks:
        for n in np.flatnonzero(fails):
            found[n].append(Objection(which, float(values[n]), limit))
    return [tuple(objections) for objections in found]
