"""Invented vehicles at the edges of what a scenario may say, drawn from a seed."""

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, concatenate
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Change, Job, Load, Stop, Suspension, Tyre, Vehicle


def _edge(rng: np.random.Generator, low: float, high: float) -> float:
    """One of the ends three times in ten, else between them."""
    return float(rng.choice([low, high]) if rng.random() < 0.3 else rng.uniform(low, high))


def _wide(rng: np.random.Generator, low: float, high: float) -> float:
    """Every decade as likely."""
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def _axle(rng: np.random.Generator, carried: float) -> Axle:
    independent, track = rng.random() < 0.5, _edge(rng, 1.0, 2.0)
    base = track if independent else min(_edge(rng, 0.4, 1.3), track)

    def stop() -> Stop | None:
        if rng.random() < 0.4:
            return None
        return Stop(_edge(rng, 0.0, 0.15), _wide(rng, 2e4, 1e6), base)

    stage = (None, 0.0)
    if rng.random() < 0.4:
        stage = (float(rng.uniform(-0.01, 0.08)), _wide(rng, 5e3, 2e5))
    return Axle(
        Suspension.INDEPENDENT if independent else Suspension.SOLID_AXLE,
        track,
        base,
        carried * float(rng.uniform(0.05, 0.4)),
        float(rng.uniform(0.25, 0.45)),
        _edge(rng, -0.1, 0.6),
        _edge(rng, 0.0, 1.5),
        LinearSpring(_wide(rng, 8e3, 1.5e5), *stage),
        Tyre(_wide(rng, 1.2e5, 6e5), None if rng.random() < 0.4 else _wide(rng, 6e4, 4e5)),
        bump_stop=stop(),
        rebound_limit=stop(),
        auxiliary_roll_stiffness=_edge(rng, 0.0, 3e4),
        bar_roll_stiffness=_edge(rng, 0.0, 8e4),
    )


def edge_job(seed: int, *, higher: float = 0.0) -> Job:
    """Tiny tracks, soft springs, high CGs, lifts, and a load that may weigh and stand anywhere.

    `higher` raises that load alone [m].
    """
    rng = np.random.default_rng(seed)
    front, rear = (float(rng.uniform(500.0, 2500.0)) for _ in "fr")
    vehicle = Vehicle(
        "invented",
        None,
        float(rng.uniform(2.0, 4.5)),
        front,
        rear,
        _edge(rng, 0.4, 1.5),
        None,
        _axle(rng, front),
        _axle(rng, rear),
    )
    item = Load(
        "load",
        _wide(rng, 10.0, 0.9 * (front + rear)),
        float(rng.uniform(0.0, vehicle.wheelbase)),
        _edge(rng, 0.3, 3.5) + higher,
        _edge(rng, -1.2, 1.2) if rng.random() < 0.7 else 0.0,
    )
    lift = (_edge(rng, 0.0, 0.15), _edge(rng, 0.0, 0.15)) if rng.random() < 0.5 else (0.0, 0.0)
    return Job(vehicle, (item,), Change(*lift))


def loaded_models(jobs: list[Job]) -> Model:
    """Every job in its loaded state, as one batch."""
    return concatenate([mass.model(job, mass.states(job)[-1]) for job in jobs])
