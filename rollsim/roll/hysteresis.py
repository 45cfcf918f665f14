"""Friction of the springs in roll: how far apart do leaning in and leaning back lie?

Springs that rub hold against roll on the way into a bend and against the return on the way out, so
lean comes as a pair, and a left and a right turn do not meet at zero.
"""

from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, Solution, settle, solve_arrow, tangent
from rollsim.mass import FittedBar, State
from rollsim.roll.figures import NUDGE, TURN, spring_travel
from rollsim.springs import Spring
from rollsim.vehicle import Job

STUCK = 1e13  # N·m/rad: roll stiffness of an axle whose springs do not slide


@dataclass(frozen=True, slots=True)
class Hysteresis:
    """Friction in roll at straight ahead.

    Parameters
    ----------
    friction_moment : tuple of float
        Greatest moment of friction between body and axle, front and rear [N·m].
    net_roll_stiffness : tuple of float
        Moment between body and that axle per body roll that it makes [N·m/rad]: springs, bars and
        tyres less what weight takes away.
    half_width : float
        Body roll by which leaning in falls short of the frictionless lean, and leaning back
        exceeds it [rad]; NaN where the vehicle does not stand.
    sliding_gradient, stuck_gradient : float
        Roll gradient with springs that slide, which is that of the frictionless vehicle, and with
        springs held by their friction, where the tyres alone give [rad/(m/s²)].
    """

    friction_moment: tuple[float, float]
    net_roll_stiffness: tuple[float, float]
    half_width: float
    sliding_gradient: float
    stuck_gradient: float

    @property
    def reversal(self) -> float:
        """Lateral acceleration given back before the springs slide the other way [m/s²]."""
        if not self.half_width > 0.0:
            return 0.0
        return 2.0 * self.half_width / (self.sliding_gradient - self.stuck_gradient)


@dataclass(frozen=True, slots=True)
class Branches:
    """Body roll of a left turn on the way in and on the way out.

    Parameters
    ----------
    loading, unloading : array
        With lateral acceleration rising and falling [rad]. In a right turn both are their mirror
        image.
    """

    loading: np.ndarray
    unloading: np.ndarray


def half_width(job: Job, state: State, bar: FittedBar | None = None) -> Hysteresis:
    """Friction in roll of a vehicle in one state.

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
    Hysteresis
        Moments, half width and gradients [N·m, rad, rad/(m/s²)].

    Notes
    -----
    Each spring holds with w(F) at half the spring base b: M_i = (w_left + w_right) b/2, so a
    fraction μ on both sides makes μ (F_left + F_right) b/2, the same in a bend as straight ahead.
    On independent suspension forces are at the wheel and b is the track. M is a couple −M on the
    body and +M on the axle, so the half width is h = Σ M_i ∂φ/∂M_i on the full tangent, for one
    axle and rigid tyres M / (K − m_s g h_arm).

    Linear, at straight ahead: both axles slide together, and friction in heave, of bushes and of
    dampers is left out. Where a stage or stop changes the rate in the bend the pair is as far
    apart as here.
    """
    model, settled = settle(mass.model(job, state, bar), TURN)
    return hysteresis(job, state, model, settled=settled)


def in_roll(
    job: Job, state: State, model: Model, *, settled: Solution, n: int
) -> Hysteresis | None:
    """Friction in roll of one state of a batch, where its springs have any.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    state : State
        Which loading.
    model : Model
        N vehicles with settled shares.
    settled : Solution
        Where they stand [m, rad].
    n : int
        Which of them, from 0 [-].

    Returns
    -------
    Hysteresis or None
        None where no spring rubs at the load that it carries as weighed [N·m, rad].
    """
    loads = zip(mass.springs(job, state), mass.sprung_load(job), strict=True)
    if not any(float(spring.friction(np.array(load))) > 0.0 for spring, load in loads):
        return None
    one = Solution(settled.x[:, [n]], settled.converged[[n]])
    return hysteresis(job, state, model.take(np.array([n])), settled=one)


def words(friction: Hysteresis) -> str:
    """What friction does to the lean, in a sentence."""
    half = np.degrees(friction.half_width)
    return (
        f"the springs rub: the lean is {half:.2f} deg less on the way into a bend and {half:.2f} "
        "deg more on the way out than the figures, which leave friction out; left and right "
        f"branches do not meet at zero: after a left bend it stands {2.0 * half:.2f} deg further "
        "right than after a right one"
    )


def hysteresis(job: Job, state: State, model: Model, *, settled: Solution) -> Hysteresis:
    """Friction in roll of a state that is solved already: see `half_width`.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    state : State
        Which loading.
    model : Model
        Of that state, of size 1.
    settled : Solution
        Where it stands [m, rad].

    Returns
    -------
    Hysteresis
        NaN where it does not stand [N·m, rad, rad/(m/s²)].
    """
    if not settled.converged[0]:
        nothing = (np.nan, np.nan)
        return Hysteresis(nothing, nothing, np.nan, sliding_gradient=np.nan, stuck_gradient=np.nan)
    moments = friction_moments(job, state, model, settled=settled)
    x = _nudged(model, settled.x)
    compliance = roll_by_couple(model, x)[:, 0]
    stuck = STUCK * (moments > 0.0)[:, None]
    held = replace(model, roll_stiffness=model.roll_stiffness + stuck)
    return Hysteresis(
        friction_moment=(float(moments[0]), float(moments[1])),
        net_roll_stiffness=(float(1.0 / compliance[0]), float(1.0 / compliance[1])),
        half_width=float(moments @ compliance),
        sliding_gradient=_gradient(model, x),
        stuck_gradient=_gradient(held, x),
    )


def friction_moments(job: Job, state: State, model: Model, *, settled: Solution) -> np.ndarray:
    """Greatest moment of spring friction between body and each axle.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    state : State
        Which loading.
    model : Model
        Of that state, of size 1.
    settled : Solution
        Where it stands.

    Returns
    -------
    (2,) array
        Front, rear [N·m].
    """
    compression = model.lift - spring_travel(model, settled.x)
    springs: tuple[Spring, ...] = mass.springs(job, state)
    found = np.zeros(2)
    for axle, (spring, load) in enumerate(zip(springs, mass.sprung_load(job), strict=True)):
        force = spring.curve(load).force(compression[:, axle, 0])
        found[axle] = spring.friction(force).sum() * 0.5 * model.spring_base[axle, 0]
    return found


def roll_by_couple(model: Model, x: np.ndarray) -> np.ndarray:
    """Lean of the cab per couple between body and axle.

    Parameters
    ----------
    model : Model
        N vehicles with settled shares.
    x : (9, N) array
        Equilibria.

    Returns
    -------
    (2, N) array
        By a couple on the front and on the rear axle, the body pushed outward [rad/(N·m)].

    Notes
    -----
    A couple M does the virtual work M δ(φ_i − p_i), so J dq/dM = e_φ − e_p,i, with e_τ behind.
    """
    balance = TURN.balance(model, x)
    found = np.empty((2, model.size))
    for axle in (0, 1):
        couple = np.zeros_like(balance.residual)
        couple[0], couple[3 + axle], couple[7] = 1.0, -1.0, axle
        moved = solve_arrow(balance, couple)
        found[axle] = moved[0] + model.cab_share * moved[7]
    return found


def branches(roll: np.ndarray, friction: Hysteresis) -> Branches:
    """The loading and unloading pair around a frictionless curve of a left turn.

    Parameters
    ----------
    roll : array
        Body roll without friction, lateral acceleration not negative [rad].
    friction : Hysteresis
        Of the same state.

    Returns
    -------
    Branches
        Of the same shape [rad].

    Notes
    -----
    Friction resists motion: φ − h with lateral acceleration rising, φ + h with it falling. At
    zero a vehicle that comes out of a left turn stands 2 h further right than out of a right turn.

    Examples
    --------
    >>> rubbing = Hysteresis((0.0, 300.0), (6e4, 6e4), 0.005,
    ...                      sliding_gradient=0.01, stuck_gradient=0.002)
    >>> pair = branches(np.array([0.0, 0.04]), rubbing)
    >>> [round(float(x), 3) for x in (*pair.loading, *pair.unloading)]
    [-0.005, 0.035, 0.005, 0.045]
    """
    roll = np.asarray(roll, dtype=float)
    return Branches(roll - friction.half_width, roll + friction.half_width)


def loop(friction: Hysteresis, reach: float) -> tuple[tuple[float, float], ...]:
    """The closed loop of one slow sweep, right turn to left turn and back.

    Parameters
    ----------
    friction : Hysteresis
        Of one state.
    reach : float
        Greatest lateral acceleration, to either side [m/s²].

    Returns
    -------
    tuple of (float, float)
        Corners: lateral acceleration [m/s²] and body roll from rest without friction [rad], the
        first again last. Two lines that coincide where the sweep is too small to make springs
        slide.

    Notes
    -----
    After each turning point the springs are stuck for `reversal`, then slide on the other branch.

    Examples
    --------
    >>> rubbing = Hysteresis((0.0, 300.0), (6e4, 6e4), 0.005,
    ...                      sliding_gradient=0.01, stuck_gradient=0.002)
    >>> [(round(a, 2), round(roll, 4)) for a, roll in loop(rubbing, 4.0)]
    [(-2.75, -0.0325), (4.0, 0.035), (2.75, 0.0325), (-4.0, -0.035), (-2.75, -0.0325)]
    """
    h, back = friction.half_width, friction.reversal
    if back >= 2.0 * reach:
        stuck = friction.stuck_gradient * reach
        return (-reach, -stuck), (reach, stuck), (-reach, -stuck)
    slide = friction.sliding_gradient
    turned = reach - back
    return (
        (-turned, -slide * turned - h),
        (reach, slide * reach - h),
        (turned, slide * turned + h),
        (-reach, -slide * reach + h),
        (-turned, -slide * turned - h),
    )


def _gradient(model: Model, x: np.ndarray) -> float:
    """Roll gradient of the cab of a single vehicle [rad/(m/s²)]."""
    slope = tangent(model, x, TURN)
    return float((slope[0] + model.cab_share * slope[7])[0])


def _nudged(model: Model, x: np.ndarray) -> np.ndarray:
    """A touch into a left turn, so that no spring stands on a kink."""
    slope = tangent(model, x, TURN)
    return x + NUDGE * np.concatenate([np.zeros_like(slope[:1]), slope])
