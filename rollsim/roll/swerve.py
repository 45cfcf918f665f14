"""How much further than in the steady bend does it lean in a swerve?

One freedom, body roll, its stiffness that of the state at straight ahead; the lateral acceleration
rises to its value in a stated time and stays there.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, Solution, evaluate, roll_pivot, settle
from rollsim.mass import State
from rollsim.roll.figures import TURN
from rollsim.vehicle import STANDARD_GRAVITY, Job

RISE_TIME = 0.3  # s, project default, no source: a wheel turned as fast as in an emergency
USUAL_DAMPING = (0.2, 0.4)  # of a vehicle as it was built, dampers in order; from memory
WORN = 0.5  # of what the dampers did when they were in order; project default
GYRATION = 0.415  # radius of gyration in roll over the track [tse-2020]
GYRATION_BAND = (0.381, 0.449)  # nine of ten, from the quartiles 0.399 and 0.427 there
GREATEST_DAMPING = 0.95  # [-]: one that does not swing at all has no period


@dataclass(frozen=True, slots=True)
class Swerve:
    """How much further it leans for a moment, as a share of the steady lean [-], as bands.

    Parameters
    ----------
    low, high : float
        With the dampers as they are [-].
    worn_low, worn_high : float
        With dampers that do half as much [-].
    frequency : float
        Of the body in roll, undamped, with the usual roll inertia [Hz].
    measured : bool
        The damping ratio is one that was measured; else the usual band is taken.
    """

    low: float
    high: float
    worn_low: float
    worn_high: float
    frequency: float
    measured: bool


def overshoot(
    damping_ratio: np.ndarray, frequency: np.ndarray, rise_time: np.ndarray | float
) -> np.ndarray:
    """Greatest lean over the steady one, less one, after a ramp of lateral acceleration.

    Parameters
    ----------
    damping_ratio : array
        Below 1 [-].
    frequency : array
        Undamped, as an angular frequency [rad/s].
    rise_time : array or float
        Of the ramp; 0: a step [s].

    Returns
    -------
    array
        Of the shape that the three have together [-].

    Notes
    -----
    φ'' + 2ζω φ' + ω² φ = ω² min(t/T, 1). With p = −ζω + iω√(1 − ζ²) and c = ζ/√(1 − ζ²) the answer
    past the ramp is 1 + Re[B G e^{pt}], B = −(1 − ic)/p, G = (1 − e^{−pT})/T; its first peak is
    where the slope Re[p B G e^{pt}] first turns. A step gives e^{−πζ/√(1 − ζ²)}. [vibration]

    Examples
    --------
    >>> round(float(overshoot(0.3, 10.0, 0.0)), 4), round(float(overshoot(0.3, 10.0, 0.3)), 4)
    (0.3723, 0.2514)
    """
    ratio, omega, rise = np.broadcast_arrays(damping_ratio, frequency, rise_time)
    root = np.sqrt(1.0 - ratio**2)
    pole = omega * (-ratio + 1j * root)
    ramp = np.where(rise > 0.0, -np.expm1(-pole * rise) / np.where(rise > 0.0, rise, 1.0), pole)
    start = -(1.0 - 1j * ratio / root) * ramp * np.exp(pole * rise)  # slope as the ramp ends
    later = (0.5 * np.pi - np.angle(start)) / (omega * root)
    return np.real(start / pole * np.exp(pole * later))


def roll_inertia(job: Job, state: State, gyration: float = GYRATION) -> float:
    """Roll inertia of the whole vehicle about its CG in a state.

    Parameters
    ----------
    job : Job
        Vehicle and loads.
    state : State
        Which items are on.
    gyration : float
        Radius of gyration of the vehicle without its items over its mean track [-].

    Returns
    -------
    float
        [kg·m²].

    Notes
    -----
    I = m (0.415 t)² of the vehicle without its items [tse-2020], and each item as a point mass.
    About the CG, since it is the side force that a driver commands: the mass drifts aside as the
    body rolls. What a lift does to it is left out.
    """
    v = job.vehicle
    body = mass.sprung_mass(job, mass.named(job, mass.UNLADEN))
    axles = [(a.unsprung_mass, a.unsprung_cg_height) for a in (v.front, v.rear)]
    own = body.mass + sum(m for m, _ in axles)
    height = (body.mass * body.height + sum(m * h for m, h in axles)) / own
    left = body.mass * body.left / own
    radius = gyration * 0.5 * (v.front.track + v.rear.track)
    items = np.array(
        [(i.mass, i.left_of_centreline - left, i.height - height) for i in state.loads]
    ).reshape(-1, 3)
    whole = own + items[:, 0].sum()
    moved = items[:, 0] @ items[:, 1:] / whole
    polar = float(items[:, 0] @ (items[:, 1:] ** 2).sum(axis=1))
    return float(own * radius**2 + polar - whole * (moved @ moved))


def swerves(
    job: Job, states: Sequence[State], model: Model, *, settled: Solution
) -> tuple[Swerve | None, ...]:
    """How much further each state leans in a swerve.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes.
    states : sequence of State
        Those of the batch, in its order.
    model : Model
        The batch, with any bar that is to be looked at.
    settled : Solution
        Where it settles.

    Returns
    -------
    tuple of Swerve or None
        None where a state does not stand or does not swing.

    Notes
    -----
    The damper constant C is the same in every state: a ratio that was measured is that of the
    vehicle as weighed, the usual band that of the vehicle without its loads and changes.
    """
    measured = job.vehicle.roll_damping_ratio
    name = mass.UNLADEN if measured is None else mass.AS_WEIGHED
    reference = mass.named(job, name)
    stiffness = _stiffness(*settle(mass.model(job, reference), TURN))[0]
    within = job.vehicle.roll_damping_tolerance
    band = USUAL_DAMPING if measured is None else (measured - within, measured + within)
    gyrations = np.array([GYRATION_BAND[0], GYRATION, GYRATION_BAND[1]])
    own = np.array([roll_inertia(job, reference, g) for g in gyrations])
    ratios = np.linspace(*band, 3)[:, None]
    constant = 2.0 * ratios * np.sqrt(stiffness * own)  # N·m·s/rad
    found = []
    for state, k in zip(states, _stiffness(model, settled), strict=True):
        inertia = np.array([roll_inertia(job, state, g) for g in gyrations])
        found.append(_swerve(k, inertia, constant, measured=measured is not None))
    return tuple(found)


def _swerve(
    stiffness: float, inertia: np.ndarray, constant: np.ndarray, *, measured: bool
) -> Swerve | None:
    """From the stiffness [N·m/rad], inertias (3,) [kg·m²] and dampers (3, 3) [N·m·s/rad]."""
    if not stiffness > 0.0 or not np.isfinite(constant).all():
        return None
    frequency = np.sqrt(stiffness / inertia)
    ratio = constant / (2.0 * np.sqrt(stiffness * inertia))

    def band(share: float) -> tuple[float, float]:
        damped = np.minimum(share * ratio, GREATEST_DAMPING)
        found = overshoot(damped, frequency, RISE_TIME)
        return float(found.min()), float(found.max())

    return Swerve(*band(1.0), *band(WORN), float(frequency[1]) / (2.0 * math.pi), measured)


def _stiffness(model: Model, settled: Solution) -> np.ndarray:
    """Roll stiffness at rest, all other freedoms giving way [N·m/rad]; NaN where it topples."""
    gravity = np.full(model.size, STANDARD_GRAVITY)
    found = roll_pivot(evaluate(model, settled.x[1:], gravity, lateral=np.zeros(model.size)))
    return np.where(settled.converged & (found > 0.0), found, np.nan)
