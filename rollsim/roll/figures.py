"""Figures of roll on arrays: slopes at straight ahead, thresholds, load transfer, CG height."""

from dataclasses import dataclass

import numpy as np

from rollsim.equilibrium import (
    Course,
    Field,
    Model,
    Solution,
    TurnAndTable,
    concatenate,
    end_rolls,
    lift_before_tipping,
    tangent,
    tip_over,
)
from rollsim.vehicle import STANDARD_GRAVITY

TURN, TABLE = Course(Field.TURN), Course(Field.TILT)
NUDGE = 1e-6  # m/s²: decides on which side of a kink each spring stands at straight ahead
UNRESOLVED = -1.0  # m/s²: no acceleration, and below every limit


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
    The implicit derivative of the equilibrium. An axle's share is k (t/2) p′ of both tyres, with
    what travel and roll add on independent suspension.
    """
    slope = tangent(model, settled.x, TURN)
    nudged = settled.x + NUDGE * np.concatenate([np.zeros_like(slope[:1]), slope])
    slope = tangent(model, nudged, TURN)
    moved = np.concatenate([np.zeros_like(slope[:1]), slope])
    ends, spread = end_rolls(moved), TURN.balance(model, nudged).spread
    uneven = spread[0] * ends + spread[1] * slope[1:3] + spread[2] * slope[3:5]
    transfer = 2.0 * model.tyre_rate * uneven
    return StraightAhead(
        roll_gradient=cab_roll(model, moved),
        suspension_roll_gradient=(ends - slope[3:5]).mean(axis=0),
        front_share=transfer[0] / transfer.sum(axis=0),
    )


def cab_roll(model: Model, x: np.ndarray) -> np.ndarray:
    """Lean of the cab at the points `x` (9, N), (N,) [rad]: what a driver feels."""
    return x[1] + model.cab_share * x[8]


def tray_roll(x: np.ndarray) -> np.ndarray:
    """Lean of the body's rear end at the points `x` (9, N), (N,) [rad]."""
    return x[1] + x[8]


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
    found = [tip_over(m, s, course) for m, s in turns(model, settled)]
    return _worse(np.stack([t.threshold for t in found]), np.stack([t.lift for t in found]))


def turn_and_table(model: Model, settled: Solution) -> tuple[Thresholds, Thresholds, np.ndarray]:
    """Thresholds in a turn and on a tilt table, in one batch.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.

    Returns
    -------
    tuple of Thresholds, Thresholds and (9, N) array
        Of the turn [m/s²] and of the table [rad], as `thresholds` gives them; and where a left turn
        tips [m/s²; rad, m].
    """
    sides = turns(model, settled)
    many = concatenate([m for m, _ in sides] * 2)
    x = np.concatenate([s.x for _, s in sides] * 2, axis=1)
    start = Solution(x, np.concatenate([s.converged for _, s in sides] * 2))
    tilting = np.repeat([False, True], many.size // 2)
    found = tip_over(many, start, TurnAndTable(tilting))
    shape = (2, len(sides), model.size)
    tip, lift = found.threshold.reshape(shape), found.lift.reshape(2, *shape)
    turn, table = (_worse(tip[n], lift[:, n].swapaxes(0, 1)) for n in (0, 1))
    return turn, table, found.point[:, : model.size]


def _worse(tip: np.ndarray, lift: np.ndarray) -> Thresholds:
    """The lesser of the turns in the first axis: tip-over (S, N) and lifts (S, 2, N)."""
    least = tip.min(axis=0)
    first = np.where(np.isnan(lift), np.inf, lift).min(axis=0)
    first = np.where(first <= least, first, np.nan)
    return Thresholds(least, first[0], first[1])


def inner_rear_lift(model: Model, settled: Solution, ahead: Solution | None = None) -> np.ndarray:
    """Lateral acceleration at which the inner rear wheel lifts, the worse of left and right.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`.
    ahead : Solution or None
        Equilibria of a left turn, where known: symmetrical vehicles with all wheels on the ground
        there are followed from them on.

    Returns
    -------
    (N,) array
        [m/s²]; NaN where the vehicle tips first, `UNRESOLVED` where the path was not followed so
        far.
    """
    if model.is_lopsided:
        found = thresholds(model, settled, TURN)
        return np.where(np.isnan(found.tip_over), UNRESOLVED, found.inner_rear_lift)
    start = settled if ahead is None else _further(model, settled, ahead)
    lift, resolved = lift_before_tipping(model, start, TURN, axle=1)
    return np.where(resolved, lift, UNRESOLVED)


def _further(model: Model, settled: Solution, ahead: Solution) -> Solution:
    """The points ahead where they stand on all wheels, else the settled ones."""
    loads = TURN.balance(model, ahead.x).tyre_reach
    standing = ahead.converged & (loads > 0.0).all(axis=(0, 1))
    return Solution(np.where(standing, ahead.x, settled.x), settled.converged)


def turns(model: Model, settled: Solution) -> list[tuple[Model, Solution]]:
    """A left turn, and where a load is off centre the right turn as the left one of a mirror image.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    settled : Solution
        From `settle`, or other equilibria; lengths [m], angles [rad].

    Returns
    -------
    list of (Model, Solution)
        One or two.
    """
    both = [(model, settled)]
    return [*both, _mirrored(model, settled)] if model.is_lopsided else both


def _mirrored(model: Model, settled: Solution) -> tuple[Model, Solution]:
    """The same vehicles with left and right exchanged."""
    sign = np.array([1.0, -1.0, 1.0, 1.0, -1.0, -1.0, 1.0, 1.0, -1.0])[:, None]
    return model.mirrored(), Solution(sign * settled.x, settled.converged)


def transfer_parts(model: Model, x: np.ndarray) -> np.ndarray:
    """Half of outer − inner wheel load by cause, in a left turn.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    x : (9, N) array
        Equilibria.

    Returns
    -------
    (3, 2, N) array
        Elastic, geometric, unsprung; front, rear [N]. They add up to half the difference.

    Notes
    -----
    The balance of the axle about its point on the ground, divided by t cos p, the track as the
    wheels stand. The contact shift of the tyres is shared by sprung and unsprung mass in
    proportion. What the linkage of an independent axle passes on counts as geometric.
    """
    balance = TURN.balance(model, x)
    s, p, z = x[2:4], x[4:6], x[6:8]
    pin = model.roll_centre_height + model.travel_ratio * s
    arm = 2.0 * balance.half_track * np.cos(p)

    def moment(m: np.ndarray, height: np.ndarray) -> np.ndarray:
        outward = height * np.sin(p) + balance.contact_shift
        return m * (x[0] * (z + height * np.cos(p)) + STANDARD_GRAVITY * outward)

    return (
        np.stack(
            [
                balance.suspension_moment,
                moment(model.sprung_share_mass, pin) + balance.linkage_moment,
                moment(model.unsprung_mass, model.unsprung_cg_height),
            ]
        )
        / arm
    )


def cg_height(model: Model, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Height of the sprung CG and of the whole vehicle's CG at the points `x`, (N,) each [m]."""
    ends, s, p, z = end_rolls(x), x[2:4], x[4:6], x[6:8]
    c = model.constants
    pin = model.roll_centre_height + model.travel_ratio * s
    above = (c.above + c.body * s) * np.cos(ends) + c.offset * np.sin(ends)
    sprung = (c.sprung * (z + pin * np.cos(p)) + above).sum(axis=0) / model.sprung_mass
    unsprung = (model.unsprung_mass * (z + model.unsprung_cg_height * np.cos(p))).sum(axis=0)
    return sprung, (model.sprung_mass * sprung + unsprung) / model.total_mass


def spring_travel(model: Model, x: np.ndarray) -> np.ndarray:
    """Extension of each spring from as weighed at the points `x` (9, N).

    Parameters
    ----------
    model : Model
        N vehicles.
    x : (9, N) array
        Equilibria.

    Returns
    -------
    (2, 2, N) array
        Left, right; front, rear [m]. Gaps of the stops are counted on this scale.

    Notes
    -----
    e of docs/method.md §1: lift + (s − lift) [ρ + (1 − ρ) cos(φ − p)] ± (b/2) sin(φ − p).
    """
    theta = end_rolls(x) - x[4:6]
    ratio = model.travel_ratio + (1.0 - model.travel_ratio) * np.cos(theta)
    centre = model.lift + (x[2:4] - model.lift) * ratio
    arm = 0.5 * model.spring_base * np.sin(theta)
    return np.stack([centre + arm, centre - arm])


def arch_rise(model: Model, x: np.ndarray) -> np.ndarray:
    """Rise of the body over each wheel from as weighed at the points `x` (9, N).

    Parameters
    ----------
    model : Model
        N vehicles.
    x : (9, N) array
        Equilibria.

    Returns
    -------
    (2, 2, N) array
        Left, right; front, rear, above the ground [m].
    """
    s, p, z = x[2:4], x[4:6], x[6:8]
    pin = model.roll_centre_height + model.travel_ratio * s
    above = (1.0 - model.travel_ratio) * s
    ends = end_rolls(x)
    middle = z + pin * np.cos(p) + above * np.cos(ends) - model.roll_centre_height
    arm = 0.5 * model.track * np.sin(ends)
    return np.stack([middle + arm, middle - arm])
