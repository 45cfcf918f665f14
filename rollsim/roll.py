"""How far does it lean, which wheels carry it, and when does it tip: the results of every state."""

from dataclasses import dataclass

import numpy as np

from rollsim import mass
from rollsim.equilibrium import (
    Course,
    Field,
    Model,
    Solution,
    concatenate,
    lift_before_tipping,
    roll_pivot,
    settle,
    solve_at_field,
    tangent,
    tip_over,
)
from rollsim.mass import FittedBar, RatingCheck
from rollsim.vehicle import STANDARD_GRAVITY, Job

TURN, TABLE = Course(Field.TURN), Course(Field.TILT)
SECANT_AT = 0.4 * STANDARD_GRAVITY
LARGEST_STEP = 0.2 * STANDARD_GRAVITY
DEFAULT_CURVE = tuple(0.1 * n * STANDARD_GRAVITY for n in range(8))
NUDGE = 1e-6  # m/s²: decides on which side of a kink each spring stands at straight ahead
FALLEN_OVER = np.radians(30.0)  # a step of roll that no vehicle on its wheels makes
SAME = 1e-9  # of a step: accelerations closer than this are one


@dataclass(frozen=True, slots=True)
class TransferParts:
    """Lateral load transfer of one axle [N]: half the change of outer − inner wheel load.

    Parameters
    ----------
    elastic : float
        Through springs, stops, bars and auxiliary roll stiffness.
    geometric : float
        Sprung mass through the roll centre.
    unsprung : float
        Of the axle's own mass.
    """

    elastic: float
    geometric: float
    unsprung: float

    @property
    def total(self) -> float:
        """All three [N]."""
        return self.elastic + self.geometric + self.unsprung


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One equilibrium of a left turn.

    Parameters
    ----------
    lateral_acceleration : float
        [m/s²].
    roll_angle : float
        Body against the road, static lean included [rad].
    heave : float
        Rise of the sprung CG from as weighed [m].
    wheel_loads : tuple of float
        Front left, front right, rear left, rear right [N]; left is inner.
    """

    lateral_acceleration: float
    roll_angle: float
    heave: float
    wheel_loads: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class StateResult:
    """What one state does in roll. NaN marks what has no value; `notes` say why.

    Parameters
    ----------
    name : str
        Of the state.
    roll_gradient, secant_roll_gradient, suspension_roll_gradient : float
        At straight ahead, at 0.4 g, and of the suspension alone at straight ahead (mean of both
        axles) [rad/(m/s²)].
    static_lean : float
        Roll at rest [rad].
    cg_height : float
        Of the whole vehicle, settled [m].
    total_mass, front_axle_mass, rear_axle_mass : float
        [kg].
    front_load_transfer_share : float
        Derivative at straight ahead [-].
    ssf : float
        Mean track over twice the CG height [-].
    tip_over_threshold, inner_front_lift, inner_rear_lift : float
        The worse of left and right turn [m/s²]; NaN where the vehicle tips first.
    tilt_table_ratio : float
        Tangent of the table angle at tip-over, the worse side [-].
    load_transfer : tuple of TransferParts
        Front and rear at 0.4 g.
    ratings : tuple of RatingCheck
        Those that are given.
    curve : tuple of CurvePoint
        Points past tip-over are left out.
    notes : tuple of str
        Reasons for missing values, cautions of this state.
    """

    name: str
    roll_gradient: float
    secant_roll_gradient: float
    suspension_roll_gradient: float
    static_lean: float
    cg_height: float
    total_mass: float
    front_axle_mass: float
    rear_axle_mass: float
    front_load_transfer_share: float
    ssf: float
    tip_over_threshold: float
    tilt_table_ratio: float
    inner_rear_lift: float
    inner_front_lift: float
    load_transfer: tuple[TransferParts, TransferParts]
    ratings: tuple[RatingCheck, ...]
    curve: tuple[CurvePoint, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StraightAhead:
    """Slopes at straight ahead, (N,) arrays.

    Parameters
    ----------
    roll_gradient, suspension_roll_gradient : (N,) arrays
        [rad/(m/s²)].
    front_share : (N,) array
        Front load-transfer share [-].
    """

    roll_gradient: np.ndarray
    suspension_roll_gradient: np.ndarray
    front_share: np.ndarray


@dataclass(frozen=True, slots=True)
class Thresholds:
    """The worse of left and right, (N,) arrays; NaN where there is none.

    Parameters
    ----------
    tip_over, inner_front_lift, inner_rear_lift : (N,) arrays
        [m/s²] in a turn, [rad] on a table.
    """

    tip_over: np.ndarray
    inner_front_lift: np.ndarray
    inner_rear_lift: np.ndarray


def unsettled(job: Job) -> tuple[tuple[str, bool], ...]:
    """States that do not stand: what no result can be shown for.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.

    Returns
    -------
    tuple of (str, bool)
        Name of each such state, and whether it has a position but topples out of it.
    """
    chosen = mass.states(job)
    _, settled = settle(concatenate([mass.model(job, state) for state in chosen]), TURN)
    return tuple(
        (state.name, bool(np.isfinite(settled.x[1, n])))
        for n, state in enumerate(chosen)
        if not settled.converged[n]
    )


def straight_ahead(model: Model, settled: Solution) -> StraightAhead:
    """Roll gradient, suspension roll gradient and front load-transfer share at a = 0.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.

    Returns
    -------
    StraightAhead
        One-sided into a left turn where a spring stands on a kink of its curve.

    Notes
    -----
    The implicit derivative of the equilibrium. An axle's share is k (t/2) p′ of both tyres.
    """
    slope = tangent(model, settled.x, TURN)
    nudged = settled.x + NUDGE * np.concatenate([np.zeros_like(slope[:1]), slope])
    slope = tangent(model, nudged, TURN)
    transfer = model.tyre_rate * model.track * slope[3:5]
    return StraightAhead(
        roll_gradient=slope[0],
        suspension_roll_gradient=slope[0] - slope[3:5].mean(axis=0),
        front_share=transfer[0] / transfer.sum(axis=0),
    )


def thresholds(model: Model, settled: Solution, course: Course) -> Thresholds:
    """Wheel lift and tip-over, the worse of left and right.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    course : Course
        Turn or tilt table.

    Returns
    -------
    Thresholds
        NaN where a path was not resolved, or where the vehicle tips before a wheel lifts.
    """
    found = [tip_over(model, settled, course)]
    if model.cg_left.any():
        found.append(tip_over(*_mirrored(model, settled), course))
    tip = np.min([t.threshold for t in found], axis=0)
    lift = np.min([np.where(np.isnan(t.lift), np.inf, t.lift) for t in found], axis=0)
    lift = np.where(lift <= tip, lift, np.nan)
    return Thresholds(tip, lift[0], lift[1])


def inner_rear_lift(model: Model, settled: Solution) -> np.ndarray:
    """Lateral acceleration at which the inner rear wheel lifts, the worse of left and right.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.

    Returns
    -------
    (N,) array
        [m/s²]; NaN where the vehicle tips first.
    """
    sides = [(model, settled)]
    if model.cg_left.any():
        sides.append(_mirrored(model, settled))
    found = [lift_before_tipping(m, s, TURN, axle=1) for m, s in sides]
    return np.fmin.reduce(found)


def _mirrored(model: Model, settled: Solution) -> tuple[Model, Solution]:
    """The same vehicles with left and right exchanged."""
    sign = np.array([1.0, -1.0, 1.0, 1.0, -1.0, -1.0, 1.0, 1.0])[:, None]
    return model.mirrored(), Solution(sign * settled.x, settled.converged)


def follow(model: Model, settled: Solution, lateral: tuple[float, ...]) -> list[Solution]:
    """Equilibria of a left turn at rising accelerations, each started from the one before.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    lateral : tuple of float
        Lateral accelerations, rising, not negative [m/s²].

    Returns
    -------
    list of Solution
        One for each acceleration; not converged where there is no stable equilibrium.
    """
    found = []
    x, ok, here = settled.x.copy(), settled.converged.copy(), 0.0
    slope = np.concatenate([np.ones((1, model.size)), tangent(model, settled.x, TURN)])
    for target in lateral:
        stops = int(np.ceil((target - here) / LARGEST_STEP - SAME))
        for a in np.linspace(here, target, stops + 1)[1:]:
            rows = np.flatnonzero(ok)
            old = x[:, rows]
            start = old + slope[:, rows] * (a - here)
            start[0] = a
            members = model if rows.size == model.size else model.take(rows)
            new = solve_at_field(members, start, TURN)
            near = new.converged & (np.abs(new.x[1] - old[1]) < FALLEN_OVER)
            slope[:, rows] = (new.x - old) / (a - here)
            x[:, rows], ok[rows], here = new.x, near, a
        ok &= roll_pivot(TURN.balance(model, x)) > 0.0
        found.append(Solution(np.where(ok, x, np.nan), ok.copy()))
    return found


def transfer_parts(model: Model, x: np.ndarray) -> np.ndarray:
    """Half of outer − inner wheel load by cause, in a left turn.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    x : (8, N) array
        Equilibria.

    Returns
    -------
    (3, 2, N) array
        Elastic, geometric, unsprung; front, rear [N]. They add up to half the difference.

    Notes
    -----
    The balance of the axle about its point on the ground, divided by t cos p. The contact shift
    of the tyres is shared by sprung and unsprung mass in proportion.
    """
    balance = TURN.balance(model, x)
    s, p, z = x[2:4], x[4:6], x[6:8]
    pin = model.roll_centre_height + model.travel_ratio * s
    arm = model.track * np.cos(p)

    def moment(m: np.ndarray, height: np.ndarray) -> np.ndarray:
        outward = height * np.sin(p) + balance.contact_shift
        return m * (x[0] * (z + height * np.cos(p)) + STANDARD_GRAVITY * outward)

    return (
        np.stack(
            [
                balance.suspension_moment,
                moment(model.sprung_share_mass, pin),
                moment(model.unsprung_mass, model.unsprung_cg_height),
            ]
        )
        / arm
    )


def cg_height(model: Model, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Height of the sprung CG and of the whole vehicle's CG at the points `x`, (N,) each [m]."""
    roll, s, p, z = x[1], x[2:4], x[4:6], x[6:8]
    share = model.sprung_share_mass / model.sprung_mass
    pin = model.roll_centre_height + model.travel_ratio * s
    above = model.cg_height - model.roll_centre_height + (1.0 - model.travel_ratio) * s
    sprung = (share * (z + pin * np.cos(p) + above * np.cos(roll))).sum(axis=0)
    sprung = sprung + model.cg_left * np.sin(roll)
    unsprung = (model.unsprung_mass * (z + model.unsprung_cg_height * np.cos(p))).sum(axis=0)
    return sprung, (model.sprung_mass * sprung + unsprung) / model.total_mass


def results(
    job: Job,
    lateral: tuple[float, ...] = DEFAULT_CURVE,
    bar: FittedBar | None = None,
    *,
    only: tuple[str, ...] | None = None,
) -> tuple[StateResult, ...]:
    """Every state of a job, side by side.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    lateral : tuple of float
        Lateral accelerations of the curve [m/s²], not negative.
    bar : FittedBar or None
        A rear bar in place of the one on the vehicle, in every state.
    only : tuple of str or None
        Names of the states wanted; None: all.

    Returns
    -------
    tuple of StateResult
        Unladen, as weighed, then the load cases.
    """
    chosen = [s for s in mass.states(job) if only is None or s.name in only]
    model = concatenate([mass.model(job, state, bar) for state in chosen])
    model, settled = settle(model, TURN)
    slopes = straight_ahead(model, settled)
    turn, table = thresholds(model, settled, TURN), thresholds(model, settled, TABLE)
    wanted = tuple(sorted({0.0, SECANT_AT, *lateral}))
    points = dict(zip(wanted, follow(model, settled, wanted), strict=True))
    secant = points[SECANT_AT]
    past = ~(turn.tip_over >= SECANT_AT)
    secant_x = np.where(past, np.nan, secant.x)
    parts = transfer_parts(model, secant_x) - transfer_parts(model, settled.x)
    heights = cg_height(model, settled.x)[1]
    curves = [_curve(model, points[a], a, limit=turn.tip_over) for a in lateral]
    found = []
    for n, state in enumerate(chosen):
        axles = tuple(float(m) for m in model.axle_mass[:, n])
        values = StateResult(
            name=state.name,
            roll_gradient=float(slopes.roll_gradient[n]),
            secant_roll_gradient=float((secant_x[1, n] - settled.x[1, n]) / SECANT_AT),
            suspension_roll_gradient=float(slopes.suspension_roll_gradient[n]),
            static_lean=float(settled.x[1, n]),
            cg_height=float(heights[n]),
            total_mass=float(model.total_mass[n]),
            front_axle_mass=axles[0],
            rear_axle_mass=axles[1],
            front_load_transfer_share=float(slopes.front_share[n]),
            ssf=float(model.track[:, n].mean() / (2.0 * heights[n])),
            tip_over_threshold=float(turn.tip_over[n]),
            tilt_table_ratio=float(np.tan(table.tip_over[n])),
            inner_rear_lift=float(turn.inner_rear_lift[n]),
            inner_front_lift=float(turn.inner_front_lift[n]),
            load_transfer=tuple(
                TransferParts(*(float(v) for v in parts[:, axle, n])) for axle in (0, 1)
            ),
            ratings=mass.rating_checks(job, state, axles),
            curve=tuple(curve[n] for curve in curves if curve[n] is not None),
            notes=_notes(job, turn, table, n=n, secant=bool(past[n])),
        )
        found.append(values)
    return tuple(found)


def _curve(
    model: Model, solution: Solution, lateral: float, *, limit: np.ndarray
) -> list[CurvePoint | None]:
    """The point at `lateral` of every vehicle that has one."""
    loads = TURN.balance(model, solution.x).wheel_loads
    heave = cg_height(model, solution.x)[0] - model.cg_height
    shown = solution.converged & (lateral <= limit)
    return [
        CurvePoint(
            lateral,
            float(solution.x[1, n]),
            float(heave[n]),
            tuple(float(loads[side, axle, n]) for axle in (0, 1) for side in (0, 1)),
        )
        if shown[n]
        else None
        for n in range(model.size)
    ]


def _notes(
    job: Job, turn: Thresholds, table: Thresholds, *, n: int, secant: bool
) -> tuple[str, ...]:
    notes = []
    if np.isnan(turn.tip_over[n]):
        notes.append("tip-over: the path from upright was not resolved, so no threshold is shown")
    elif secant:
        notes.append("secant roll gradient: the vehicle tips below 0.4 g, so there is none")
    if np.isnan(table.tip_over[n]):
        notes.append("tilt table: the path from upright was not resolved, so no ratio is shown")
    for end, lift in (("front", turn.inner_front_lift[n]), ("rear", turn.inner_rear_lift[n])):
        if np.isnan(lift):
            notes.append(f"inner {end} wheel: the vehicle tips before it lifts")
    axles = (job.vehicle.front, job.vehicle.rear)
    if any(axle.tyre.lateral_rate is None for axle in axles):
        notes.append(
            "tip-over is a few per cent optimistic: a tyre lateral_rate is not given, so the "
            "tyres do not give sideways"
        )
    return tuple(notes)
