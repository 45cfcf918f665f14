"""One instrumented vehicle: what was printed, what was chosen, and the band. [salaani-2000]

A 1997 sport utility on two solid axles, leaf springs behind, steered slowly ever more at 11 m/s;
points read off printed curves. Its parameters are incomplete. Known, each from another source:
mass, CG height and track of the same model year [tse-2022]; wheelbase, place of the CG, springs of
25 N/mm (rounded) and the rear spring base as quoted in an open library. Everything else is chosen
here from what such vehicles have, as wide as that is (from memory, no source), and nothing is
tuned: the answer is a band, and the shape is what is held.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from scipy.stats import qmc

from rollsim import mass
from rollsim.equilibrium import Model, settle
from rollsim.roll import TURN, follow, straight_ahead
from rollsim.roll.swerve import GYRATION_BAND, RISE_TIME, USUAL_DAMPING, _stiffness, overshoot
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Job, Suspension, Tyre, Vehicle

G, DEGREE = 9.80665, np.pi / 180.0
FIELDS = (0.2, 0.3, 0.4, 0.5, 0.6)  # g
FRONT = np.array([0.73, 1.10, 1.52, 1.85, 2.19])  # deg, at the front sensor
REAR = np.array([0.61, 0.93, 1.35, 1.58, 1.88])  # deg, at the rear sensor
GRADIENTS = (3.62, 3.18)  # deg/g, over 1 to 4 and 4 to 6 m/s²
OVERSHOOT = 0.06  # of a step of 5.54 m/s², about
RISES = (0.2, 0.6)  # s: how fast the side force came is not printed
DRAWS = 256
UNKNOWN = {  # chosen: (front low, high), (rear low, high), SI
    "spring_rate": ((24.5e3, 25.5e3), (24.5e3, 25.5e3)),  # stated 25 N/mm, rounded
    "spring_base": ((0.75, 1.05), (1.10, 1.108)),  # rear stated: 2 × 0.552 m
    "unsprung_mass": ((100.0, 170.0), (110.0, 180.0)),
    "roll_centre_height": ((0.35, 0.55), (0.35, 0.55)),
    "travel_ratio": ((0.2, 0.8), (0.3, 0.7)),
    "tyre_rate": ((170e3, 250e3), (170e3, 250e3)),
    "auxiliary": ((0.0, 40.0 / DEGREE), (40.0 / DEGREE, 200.0 / DEGREE)),
    # From a thin bar to a stout one across a solid axle, where no link ratio softens it.
    "bar": ((100.0 / DEGREE, 2000.0 / DEGREE), (0.0, 1e-9)),
}


@dataclass(frozen=True, slots=True)
class Band:
    """Lean over the unknown inputs: (DRAWS,) and (fields, DRAWS) arrays.

    Gradients in [deg/g] against the road and against the axles, leans in [deg], overshoot as a
    share of the steady lean over rise times, damping ratios and inertias too.
    """

    to_ground: np.ndarray
    to_axle: np.ndarray
    leans: np.ndarray
    overshoots: np.ndarray
    at_the_stated_rise: np.ndarray


def drawn() -> Model:
    """As many vehicles as draws, each unknown evenly between its ends."""
    axle = Axle(
        Suspension.SOLID_AXLE,
        *(1.468, 1.0, 130.0, 0.34, 0.42, 0.5),
        LinearSpring(25e3),
        Tyre(210e3, 120e3),
    )
    rear = 1662.7 * 1.147 / 2.578
    job = Job(Vehicle("one", None, 2.578, 1662.7 - rear, rear, 0.682, None, axle, axle))
    one = mass.model(job, mass.named(job, mass.AS_WEIGHED))
    model = one.take(np.zeros(DRAWS, dtype=int))
    low, high = np.array([ends for pair in UNKNOWN.values() for ends in pair]).T
    at = qmc.scale(qmc.Sobol(len(low), rng=1).random(DRAWS), low, high + 1e-12).T
    of = dict(zip(UNKNOWN, at.reshape(len(UNKNOWN), 2, DRAWS), strict=True))
    stiffness = of.pop("auxiliary") + of.pop("bar")
    whole = model.axle_mass.copy()
    unsprung = of["unsprung_mass"]
    sprung = whole - unsprung
    body = sprung.sum(axis=0)
    height = (1662.7 * 0.682 - 0.34 * unsprung.sum(axis=0)) / body
    share = sprung[1] / body
    return replace(
        model,
        **of,
        roll_stiffness=stiffness,
        sprung_mass=body,
        cg_height=height,
        rear_share=share,
        cg_behind_front=share * model.wheelbase,
        spring_load=0.5 * G * sprung,
    )


@cache
def band() -> Band:
    """The answer over all that is not known."""
    model, settled = settle(drawn(), TURN)
    slopes = straight_ahead(model, settled)
    points = follow(model, settled, tuple(a * G for a in FIELDS))
    inertia = 1662.7 * (np.array(GYRATION_BAND) * 1.468) ** 2
    omega = np.sqrt(_stiffness(model, settled) / inertia[:, None, None, None])
    ratios = np.array(USUAL_DAMPING)[:, None, None]
    rises = np.linspace(*RISES, 9)[:, None]
    return Band(
        slopes.roll_gradient * G / DEGREE,
        slopes.suspension_roll_gradient * G / DEGREE,
        np.array([point.x[1] for point in points]) / DEGREE,
        overshoot(ratios, omega, rises),
        overshoot(ratios, omega, RISE_TIME),
    )


def over_its_line(leans: np.ndarray) -> np.ndarray:
    """Leans (fields, …) over the straight line through nothing that fits them best [-]."""
    a = np.array(FIELDS).reshape(-1, *[1] * (leans.ndim - 1))
    return leans / (a * (a * leans).sum(axis=0) / (a * a).sum())
