"""Small vehicles for tests, made straight as arrays."""

import os
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model
from rollsim.scenario import load
from rollsim.vehicle import Job

ROOT = Path(__file__).parent.parent
EVERY = "ROLLSIM_EVERY" in os.environ  # all of a sample, of which else a part is taken
SCENARIOS = sorted([*ROOT.glob("scenarios/*.toml"), *ROOT.glob("tests/data/*.toml")])
RIGID = 1e12  # N/m: no travel to speak of


def pair(front: float, rear: float) -> np.ndarray:
    """A front and a rear number as one axle array."""
    return np.array([[front], [rear]], dtype=float)


def rigid_vehicle(
    *,
    sprung_mass: float,
    cg_height: float,
    rear_share: float,
    unsprung_mass: tuple[float, float],
    unsprung_cg_height: tuple[float, float],
    track: tuple[float, float],
    roll_centre_height: tuple[float, float],
    roll_stiffness: tuple[float, float],
    gravity: float = 9.80665,
) -> Model:
    """A vehicle with rigid tyres and no travel, whose roll stiffness is a rotational spring."""
    wheelbase = 3.0
    axle_mass = sprung_mass * np.array([1.0 - rear_share, rear_share]) + np.array(unsprung_mass)
    sprung = axle_mass - np.array(unsprung_mass)
    none = np.zeros((2, 2, 1))
    return Model(
        sprung_mass=np.array([sprung_mass]),
        cg_height=np.array([cg_height]),
        cg_left=np.zeros(1),
        cg_behind_front=np.array([rear_share * wheelbase]),
        wheelbase=np.array([wheelbase]),
        rear_share=np.array([rear_share]),
        unsprung_mass=pair(*unsprung_mass),
        unsprung_cg_height=pair(*unsprung_cg_height),
        track=pair(*track),
        roll_centre_height=pair(*roll_centre_height),
        travel_ratio=pair(0.0, 0.0),
        lift=pair(0.0, 0.0),
        spring_base=pair(0.0, 0.0),
        spring_load=pair(*(0.5 * gravity * sprung)),
        spring_rate=pair(RIGID, RIGID),
        hinge_start=np.zeros((0, 2, 1)),
        hinge_step=np.zeros((0, 2, 1)),
        stop_gap=none,
        stop_rate=none,
        stop_base=none,
        stop_ratio=none,
        tyre_load=pair(*(0.5 * gravity * axle_mass)),
        tyre_rate=pair(RIGID, RIGID),
        tyre_lateral_rate=pair(np.inf, np.inf),
        least_tyre_force=pair(0.0, 0.0),
        roll_stiffness=pair(*roll_stiffness),
        bar_stiffness=pair(0.0, 0.0),
        bar_lash=pair(0.0, 0.0),
        independent=pair(0.0, 0.0),
        rest=np.zeros((2, 2, 1)),
        frame_compliance=np.zeros(1),
        rear_moment=np.zeros(1),
        rear_offset=np.zeros(1),
        cab_share=np.zeros(1),
        track_bar=np.zeros((3, 2, 1)),
    )


@lru_cache
def job(path: Path) -> Job:
    """The job of a scenario file."""
    return load(path).job


def models(path: Path) -> list[Model]:
    """One model for each state of a scenario file."""
    return [mass.model(job(path), state) for state in mass.states(job(path))]


def without_stops(model: Model) -> Model:
    """The same vehicles with no bump stop and no rebound limit."""
    return replace(model, stop_rate=np.zeros_like(model.stop_rate))
