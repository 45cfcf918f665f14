"""Plausible vehicles as arrays, from numbers between 0 and 1: hypothesis or a seed gives these.

Invented ranges, as wide as light trucks, wagons and vans are, laden and lifted; independent and
solid axles, second stages, stops, off-centre loads and lifts come and go.
"""

import numpy as np

from rollsim.equilibrium import Model

G, DEGREE = 9.80665, np.pi / 180.0
_WHOLE = {  # of the vehicle: low, high, SI
    "sprung": (1000.0, 2800.0),
    "cg_height": (0.62, 1.05),
    "cg_left": (-0.04, 0.04),
    "wheelbase": (2.4, 3.9),
    "rear_share": (0.38, 0.62),
    "laden": (0.0, 0.25),  # part of the sprung mass that came after the scales
    "twist": (-1e-5, 1e-5),  # rad/(N·m); below 0: a rigid frame
}
_AXLE = {  # of an axle, front and rear each
    "solid": (-1.0, 1.0),
    "track": (1.42, 1.75),
    "base": (0.85, 1.15),
    "unsprung": (80.0, 200.0),
    "unsprung_height": (0.32, 0.40),
    "roll_centre": (0.0, 0.35),
    "ratio": (0.0, 1.0),
    "lift": (-0.08, 0.06),  # below 0: none
    "frequency": (1.05, 1.6),  # Hz, of the sprung mass on its springs as weighed
    "stage": (-0.05, 0.06),  # below 0: none
    "stage_rate": (10e3, 60e3),
    "gap": (0.05, 0.12),
    "stop_rate": (-1e5, 4e5),  # below 0: no stops
    "tyre": (2.0e5, 3.2e5),
    "lateral": (0.6e5, 2.2e5),
    "roll_stiffness": (0.0, 900.0 / DEGREE),
}
UNITS = len(_WHOLE) + 2 * len(_AXLE)
"""How many numbers make a vehicle."""


def vehicles(units: np.ndarray) -> Model:
    """N vehicles of (UNITS, N) numbers between 0 and 1."""
    head, tail = units[: len(_WHOLE)], units[len(_WHOLE) :].reshape(len(_AXLE), 2, -1)
    v = {
        name: low + (high - low) * x
        for (name, (low, high)), x in zip(_WHOLE.items(), head, strict=True)
    }
    e = {
        name: low + (high - low) * x
        for (name, (low, high)), x in zip(_AXLE.items(), tail, strict=True)
    }
    solid = e["solid"] > 0.0
    share = np.stack([1.0 - v["rear_share"], v["rear_share"]])
    weighed = 0.5 * G * (1.0 - v["laden"]) * v["sprung"] * share  # on one spring
    base = np.where(solid, e["base"], e["track"])
    stops = np.where(e["stop_rate"] > 0.0, e["stop_rate"], 0.0)
    staged = np.where(e["stage"] > 0.0, e["stage_rate"], 0.0)
    none = np.zeros_like(base)
    return Model(
        sprung_mass=v["sprung"],
        cg_height=v["cg_height"],
        cg_left=v["cg_left"],
        cg_behind_front=v["rear_share"] * v["wheelbase"],
        wheelbase=v["wheelbase"],
        rear_share=v["rear_share"],
        unsprung_mass=e["unsprung"],
        unsprung_cg_height=e["unsprung_height"],
        track=e["track"],
        roll_centre_height=np.where(solid, 0.35, 0.0) + 0.5 * e["roll_centre"],
        travel_ratio=e["ratio"],
        lift=np.maximum(e["lift"], 0.0),
        spring_base=base,
        spring_load=weighed,
        spring_rate=weighed / G * (2.0 * np.pi * e["frequency"]) ** 2,
        hinge_start=np.maximum(e["stage"], 0.0)[None],
        hinge_step=staged[None],
        stop_gap=np.stack([e["gap"], e["gap"]]),
        stop_rate=np.stack([stops, 2.0 * stops]),
        stop_base=np.stack([base, base]),
        stop_ratio=np.ones((2, *base.shape)),
        tyre_load=weighed + 0.5 * G * e["unsprung"],
        tyre_rate=e["tyre"],
        tyre_lateral_rate=e["lateral"],
        least_tyre_force=none,
        roll_stiffness=e["roll_stiffness"],
        bar_stiffness=none,
        bar_lash=none,
        independent=np.where(solid, 0.0, 1.0),
        frame_compliance=np.maximum(v["twist"], 0.0),
        rear_moment=none[0],
        rear_offset=none[0],
        cab_share=np.full_like(none[0], 0.2),
        rest=np.zeros((2, *none.shape)),
        track_bar=np.zeros((3, *none.shape)),
    )


def drawn(count: int, seed: int) -> Model:
    """As many vehicles, evenly over the ranges."""
    return vehicles(np.random.default_rng(seed).random((UNITS, count)))
