"""How far can an axle twist against the body, and what does a bar take away?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.bar import RearBar
from rollsim.equilibrium import Model, evaluate, settle
from rollsim.mass import FittedBar, State, with_parts
from rollsim.roll import TURN
from rollsim.sizing.records import ComesOff
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Job

FRONT, REAR = 0, 1

TWISTS = np.radians(np.linspace(0.0, 45.0, 721))  # fine enough for where a stop begins
SETTLING_STEPS = 20
SETTLED = 1e-9  # m
HALVINGS = 30  # of 45 degrees: to 1e-9 rad


@dataclass(frozen=True, slots=True)
class Twist:
    """Axle against body, the most that ground and stops allow, (N,) arrays [rad].

    Parameters
    ----------
    with_bar : (N,) array
        With each bar.
    bare : float
        Without any bar on that axle.
    """

    with_bar: np.ndarray
    bare: float

    def height_lost(self, track: float) -> np.ndarray:
        """Height between the wheels that each bar takes, on that track [m]."""
        return track * (np.sin(self.bare) - np.sin(self.with_bar))


def stop_to_stop(axle: Axle) -> float:
    """Roll of the body over the axle from one bump stop to the other side's rebound limit.

    Parameters
    ----------
    axle : Axle
        With its stops.

    Returns
    -------
    float
        [rad]; NaN where a stop is not given.

    Notes
    -----
    One side at full bump and the other at full droop, whatever the ride height: the sum of both
    gaps over the mean of both bases.
    """
    bump, rebound = axle.bump_stop, axle.rebound_limit
    if bump is None or rebound is None:
        return math.nan
    travel = bump.gap / bump.motion_ratio + rebound.gap / rebound.motion_ratio
    return math.asin(min(1.0, 2.0 * travel / (bump.base + rebound.base)))


def spring_moments(plain: Model, end: int = REAR, upto: int = TWISTS.size) -> np.ndarray:
    """Moment of springs, stops and auxiliary stiffness on an axle at the first of `TWISTS`.

    Parameters
    ----------
    plain : Model
        M vehicles with settled shares and without a bar on that axle.
    end : int
        0 front, 1 rear [-].
    upto : int
        How many twists T.

    Returns
    -------
    (M, T) array
        [N·m], the body carrying the same load at every twist.
    """
    twists = np.tile(TWISTS[:upto], plain.size)
    many = plain.take(np.repeat(np.arange(plain.size), upto))
    # The axle alone: no tyre pushes on its linkage.
    many = replace(many, independent=np.zeros_like(many.independent))
    normal, level = np.full(twists.size, STANDARD_GRAVITY), np.zeros(twists.size)
    q = np.zeros((8, twists.size))
    q[1 + end], q[3 + end] = many.lift[end], -twists
    for _ in range(SETTLING_STEPS):
        balance = evaluate(many, q, normal, lateral=level)
        step = balance.residual[1 + end] / balance.slopes().block[1, 1, end]
        if np.abs(step).max() < SETTLED:
            break
        q[1 + end] -= np.clip(step, -0.05, 0.05)
    return balance.suspension_moment[end].reshape(plain.size, upto)


def lift_twist(
    moments: np.ndarray, wheel_moment: float, stiffness: np.ndarray, lash_angle: np.ndarray
) -> np.ndarray:
    """Twist at which the lower wheel of the axle carries nothing.

    Parameters
    ----------
    moments : (T,) array
        From `spring_moments` [N·m]; past the last of them it stays what it is there.
    wheel_moment : float
        Axle load times half the track [N·m].
    stiffness, lash_angle : (N,) arrays
        Roll stiffness [N·m/rad] and dead band [rad] of the bars.

    Returns
    -------
    (N,) array
        [rad], at most the largest of `TWISTS`.
    """
    low, high = np.zeros(stiffness.size), np.full(stiffness.size, TWISTS[-1])
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        bar = stiffness * np.maximum(middle - lash_angle, 0.0)
        lifted = np.interp(middle, TWISTS[: moments.size], moments) + bar >= wheel_moment
        low, high = np.where(lifted, low, middle), np.where(lifted, middle, high)
    return high


def full_twists(
    job: Job,
    states: Sequence[State],
    fitted: FittedBar,
    bare: Model | None = None,
    *,
    end: int = REAR,
) -> list[Twist]:
    """Twist of an axle in each state, without a bar and with each.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    states : sequence of State
        Which loadings.
    fitted : FittedBar
        N bars.
    bare : Model or None
        The vehicle at rest in each state without a bar on their axle, where known [SI].
    end : int
        Their axle, 0 front, 1 rear [-].

    Returns
    -------
    list of Twist
        One of each state [rad].

    Notes
    -----
    From stop to stop, or less where the lower wheel carries nothing before; without stops the
    latter alone, which bounds it. Limit straps are fitted with the bar, in every state.
    """
    job = with_parts(job)
    if bare is None:
        none = FittedBar(0.0, front=0.0) if end == FRONT else FittedBar(0.0)
        bare, _ = settle(mass.models([(job, state) for state in states], none), TURN)
    axles = [mass.axles(job, state)[end] for state in states]
    stops = np.array([stop_to_stop(axle) for axle in axles])
    # A wheel that has not lifted from stop to stop is not asked for further on.
    upto = TWISTS.size if np.isnan(stops).any() else int(np.searchsorted(TWISTS, stops.max())) + 1
    moments = spring_moments(bare, end, min(upto, TWISTS.size))
    lash = np.concatenate([[0.0], fitted.lash_angle])
    found = []
    for n, axle in enumerate(axles):
        wheel_moment = 0.5 * axle.track * STANDARD_GRAVITY * float(bare.axle_mass[end, n])
        stiffness = np.concatenate([[0.0], fitted.at(axle.track).roll_stiffness])
        lifting = lift_twist(moments[n], wheel_moment, stiffness, lash)
        twist = np.fmin(lifting, stops[n])
        found.append(Twist(twist[1:], float(twist[0])))
    return found


def articulation_lost(hung: RearBar, twist: Twist, track: float) -> np.ndarray:
    """Height between the wheels at full twist that each bar takes.

    Parameters
    ----------
    hung : RearBar
        How the bars are hung.
    twist : Twist
        With each of N bars, and without [rad].
    track : float
        Of their axle [m].

    Returns
    -------
    (N,) array
        [m]; 0 where the links come off for it.
    """
    if hung.disconnected_off_road:
        return np.zeros(twist.with_bar.size)
    return twist.height_lost(track)


def comes_off(job: Job, state: State, end: int = REAR) -> ComesOff:
    """What the bar that an axle has does to one wheel and to flex, which ends when it comes off.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    state : State
        Which loading.
    end : int
        The axle, 0 front, 1 rear [-].

    Returns
    -------
    ComesOff
        In SI [N/m, m].
    """
    axle = mass.axles(job, state)[end]
    if not axle.bar_roll_stiffness:
        return ComesOff(0.0, 0.0)
    own = FittedBar(np.array([axle.bar_roll_stiffness]), lash_angle=np.zeros(1))
    return ComesOff(
        one_wheel_rate=axle.bar_roll_stiffness / axle.track**2,
        articulation_lost=float(
            full_twists(job, (state,), own, end=end)[0].height_lost(axle.track)[0]
        ),
    )
