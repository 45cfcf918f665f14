"""The states of a vehicle side by side: one batch, one record a state."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, Solution, settle
from rollsim.mass import FittedBar, RatingCheck
from rollsim.roll.figures import (
    TURN,
    Thresholds,
    cab_roll,
    cg_height,
    straight_ahead,
    transfer_parts,
    tray_roll,
    turn_and_table,
    turns,
)
from rollsim.roll.following import follow
from rollsim.roll.hysteresis import Hysteresis, in_roll, words
from rollsim.roll.points import CurvePoint, curve_points
from rollsim.roll.side_give import tipping_with_usual_give
from rollsim.roll.side_give import words as side_give_words
from rollsim.roll.swerve import Swerve, swerves
from rollsim.vehicle import STANDARD_GRAVITY, Job

SECANT_AT = 0.4 * STANDARD_GRAVITY
EARLY = 0.3 * STANDARD_GRAVITY  # project default: a tipping point to be warned of
FAR_DOWN = 0.15  # m, project default: more travel from as weighed than springs have
DEFAULT_CURVE = tuple(0.1 * n * STANDARD_GRAVITY for n in range(8))


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
class StateResult:
    """What one state does in roll. NaN marks what has no value; `notes` say why.

    Parameters
    ----------
    name : str
        Of the state.
    roll_gradient, secant_roll_gradient, suspension_roll_gradient : float
        At straight ahead, at 0.4 g, and of the suspension alone at straight ahead (mean of both
        axles) [rad/(m/s²)].
    right_secant_roll_gradient : float
        At 0.4 g of a right turn; other than that of a left turn where a load is off centre
        [rad/(m/s²)]. Neither is shown where one of the turns tips before.
    tray_secant_roll_gradient, right_tray_secant_roll_gradient : float
        The same of the body's rear end [rad/(m/s²)]; other than that of the cab, which all other
        leans are, where the frame twists.
    static_lean, tray_static_lean : float
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
    friction : Hysteresis or None
        How far friction of the springs parts leaning in from leaning back; all other figures are
        those of springs that do not rub. None where they do not.
    swerve : Swerve or None
        How much further it leans in a swerve; None where it does not stand.
    """

    name: str
    roll_gradient: float
    secant_roll_gradient: float
    suspension_roll_gradient: float
    right_secant_roll_gradient: float
    tray_secant_roll_gradient: float
    right_tray_secant_roll_gradient: float
    static_lean: float
    tray_static_lean: float
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
    friction: Hysteresis | None = None
    swerve: Swerve | None = None

    @property
    def front_mass_share(self) -> float:
        """Of the whole mass on the front axle [-]."""
        return self.front_axle_mass / self.total_mass

    @property
    def further_left(self) -> float:
        """How much further it leans at 0.4 g in a left turn than in a right one, at rest included.

        Of the lean at rest alone where it tips before [rad].
        """
        apart = SECANT_AT * (self.secant_roll_gradient - self.right_secant_roll_gradient)
        return 2.0 * self.static_lean + (apart if np.isfinite(apart) else 0.0)

    @property
    def friction_half_width(self) -> float:
        """How far friction parts leaning in from leaning back, to either side [rad]."""
        return 0.0 if self.friction is None else self.friction.half_width


def results(
    job: Job,
    lateral: tuple[float, ...] | Callable[[np.ndarray], tuple[float, ...]] = DEFAULT_CURVE,
    bar: FittedBar | None = None,
    *,
    only: tuple[str, ...] | None = None,
    mirrored: bool = False,
) -> tuple[StateResult, ...]:
    """Every state of a job, side by side.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    lateral : tuple of float, or callable
        Lateral accelerations of the curve [m/s²], not negative; or what gives them for the tipping
        points of all states (S,) [m/s²].
    bar : FittedBar or None
        A rear bar in place of the one on the vehicle, in every state.
    only : tuple of str or None
        Names of the states wanted, "driven_empty" among them; None: all, that one with a bar alone.
    mirrored : bool
        The vehicle turned left for right: the figures are those of a right turn, and left stands
        for its right side, the inner one there.

    Returns
    -------
    tuple of StateResult
        Unladen, as weighed, the load cases, driven empty.
    """
    job = mass.mirrored(job) if mirrored else job
    every = mass.states(job) if bar is None and only is None else mass.states_with_bar(job)
    chosen = [s for s in every if only is None or s.name in only]
    model, settled = settle(mass.models([(job, state) for state in chosen], bar), TURN)
    slopes = straight_ahead(model, settled)
    turn, table, tipping = turn_and_table(model, settled)
    giving = tipping_with_usual_give(model, settled)
    if callable(lateral):
        lateral = lateral(turn.tip_over)
    wanted = tuple(sorted({0.0, SECANT_AT, *lateral}))
    followed = follow(model, settled, wanted, tipping=tipping)
    points = dict(zip(wanted, followed, strict=True))
    secant = points[SECANT_AT]
    past = ~(turn.tip_over >= SECANT_AT)
    secant_x = np.where(past, np.nan, secant.x)
    right = np.where(past, np.nan, _right_secants(model, settled, secant_x))
    leans = np.stack([cab_roll(model, x) for x in (settled.x, secant_x)])
    trays = np.stack([tray_roll(x) for x in (settled.x, secant_x)])
    parts = transfer_parts(model, secant_x) - transfer_parts(model, settled.x)
    heights = cg_height(model, settled.x)[1]
    moved = np.abs(settled.x[2:4] - model.lift).max(axis=0)
    raised = np.array([mass.raised(job, state) for state in chosen])
    gaps = np.any([~points[a].converged & (a <= turn.tip_over) for a in wanted], axis=0)
    thrown = swerves(job, chosen, model, settled=settled)
    curves = curve_points(model, points, lateral, limit=turn.tip_over, raised=raised)
    found = []
    for n, state in enumerate(chosen):
        friction = in_roll(job, state, model, settled=settled, n=n)
        axles = tuple(float(m) for m in model.axle_mass[:, n])
        values = StateResult(
            name=state.name,
            roll_gradient=float(slopes.roll_gradient[n]),
            secant_roll_gradient=float((leans[1, n] - leans[0, n]) / SECANT_AT),
            tray_secant_roll_gradient=float((trays[1, n] - trays[0, n]) / SECANT_AT),
            suspension_roll_gradient=float(slopes.suspension_roll_gradient[n]),
            right_secant_roll_gradient=float(right[0, n]),
            right_tray_secant_roll_gradient=float(right[1, n]),
            static_lean=float(leans[0, n]),
            tray_static_lean=float(trays[0, n]),
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
            curve=curves[n],
            notes=_notes(
                job,
                turn,
                table,
                n=n,
                secant=bool(past[n]),
                gap=bool(gaps[n]),
                settled=float(moved[n]),
                friction=friction,
                giving=None if giving is None else giving[:, n],
                leans=(leans[:, n], trays[:, n]),
            ),
            friction=friction,
            swerve=thrown[n],
        )
        found.append(values)
    return tuple(found)


def _right_secants(model: Model, settled: Solution, left: np.ndarray) -> np.ndarray:
    """Secant roll gradients of a right turn, cab and tray, (2, N), given the left one's points."""
    one, rest, at = model, settled, left
    if model.is_lopsided:
        one, rest = turns(model, settled)[1]
        (found,) = follow(one, rest, (SECANT_AT,))
        at = np.where(found.converged, found.x, np.nan)
    apart = [cab_roll(one, at) - cab_roll(one, rest.x), tray_roll(at) - tray_roll(rest.x)]
    return np.stack(apart) / SECANT_AT


def _notes(
    job: Job,
    turn: Thresholds,
    table: Thresholds,
    *,
    n: int,
    secant: bool,
    gap: bool,
    settled: float,
    friction: Hysteresis | None,
    giving: np.ndarray | None,
    leans: tuple[np.ndarray, np.ndarray],
) -> tuple[str, ...]:
    """Why a value is missing, and what a reader should know of this state."""
    tip, lifts = turn.tip_over[n], (turn.inner_front_lift[n], turn.inner_rear_lift[n])
    found = [
        (
            np.isnan(tip),
            "tip-over and wheel lift: the path from upright was not resolved, so none is shown",
        ),
        (
            secant and not np.isnan(tip),
            "lean per g at 0.4 g: the vehicle tips before that, so there is none",
        ),
        (
            gap,
            "curve: points below the tipping point that were not found are left out",
        ),
        (
            np.isnan(table.tip_over[n]),
            "tilt table: the path from upright was not resolved, so no ratio is shown",
        ),
        (
            np.isfinite(tip) and np.isnan(lifts[0]),
            "inner front wheel: the vehicle tips before it lifts",
        ),
        (
            np.isfinite(tip) and np.isnan(lifts[1]),
            "inner rear wheel: the vehicle tips before it lifts",
        ),
        (
            tip < EARLY,
            f"it tips at {tip / STANDARD_GRAVITY:.2f} g, which ordinary driving reaches: check "
            "masses and heights, and do not drive it so",
        ),
        (
            settled > FAR_DOWN,
            f"springs settle {settled * 1e3:.0f} mm from the height as weighed, more than springs "
            "have: check rates and loads, and give the bump stops",
        ),
        (
            np.tan(table.tip_over[n]) < tip / STANDARD_GRAVITY,
            "tilt table below the tipping point: on the table the springs carry less and lift the "
            "body",
        ),
    ]
    if job.vehicle.frame_torsional_stiffness is not None:
        cab, tray = (np.degrees((at - rest) / SECANT_AT) * STANDARD_GRAVITY for rest, at in leans)
        said = f"lean is the cab's, {cab:.2f} deg/g up to 0.4 g; the tray's is {tray:.2f} deg/g"
        found.append((np.isfinite(cab), f"the frame twists: {said}"))
    if giving is not None:
        found.append((True, side_give_words(tip, giving)))
    if friction is not None:
        found.append((np.isfinite(friction.half_width), words(friction)))
    return tuple(text for stands, text in found if stands)
