"""Two bodies on four springs and a torsion spring, standing on blocks: free bodies, no energy.

Other equations than the program's: each spring is a strut between a point of the axle and one of
the body, each roll centre a pin that slides along its axle's middle line, and forces and moments of
every body are summed. Nothing is small.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import fsolve

G = 9.80665


@dataclass(frozen=True)
class End:
    """One end of the vehicle, right side down positive in roll [SI]."""

    mass: float
    cg_height: float
    cg_left: float
    unsprung_mass: float
    unsprung_height: float
    track: float
    spring_base: float
    spring_rate: float
    roll_centre: float
    tyre_rate: float
    stop_gap: float = np.inf

    @property
    def above(self) -> float:
        return self.mass * (self.cg_height - self.roll_centre)

    @property
    def below(self) -> float:
        return self.mass * self.roll_centre + self.unsprung_mass * self.unsprung_height


STOP_RATE = 200e3  # N/m
SEAT, LONG = 0.30, 0.35  # m: height of the lower seats over the ground, length of the struts


def turned(y: float, z: float, roll: float) -> np.ndarray:
    """A point (left, up) of a body that leans with its right side down by `roll`."""
    return np.array([y * np.cos(roll) - z * np.sin(roll), y * np.sin(roll) + z * np.cos(roll)])


def turning(at: np.ndarray, force: np.ndarray) -> float:
    """Moment of a force about the origin, positive where it leans to the right."""
    return at[0] * force[1] - at[1] * force[0]


def of_end(end: End, x: np.ndarray, blocks: tuple[float, float], torsion: float):
    """Six sums that are zero at rest, and the loads of the left and right tyre [N].

    x: axle's rise and roll, body's left, up and roll [m, rad], force of the pin [MN].
    """
    rise, axle_roll, left, up, roll, pin = x
    axle = np.array([0.0, rise])
    body = np.array([left, up])
    on_axle, on_body = np.zeros(3), np.zeros(3)

    def put(total: np.ndarray, at: np.ndarray, force: np.ndarray) -> None:
        total += (*force, turning(at, force))

    loads = []
    half_load = 0.5 * G * (end.mass + end.unsprung_mass)
    for side, block in zip((1.0, -1.0), blocks, strict=True):
        patch = axle + turned(side * 0.5 * end.track, 0.0, axle_roll)
        load = max(0.0, half_load + end.tyre_rate * (block - patch[1]))
        loads.append(load)
        put(on_axle, patch, np.array([0.0, load]))
        low = axle + turned(side * 0.5 * end.spring_base, SEAT, axle_roll)
        high = body + turned(side * 0.5 * end.spring_base, SEAT + LONG, roll)
        strut = high - low
        length = np.hypot(*strut)
        push = 0.5 * G * end.mass + end.spring_rate * (LONG - length)
        push += STOP_RATE * max(0.0, LONG - length - end.stop_gap)
        along = push * strut / length
        put(on_body, high, along)
        put(on_axle, low, -along)
    put(
        on_axle,
        axle + turned(0.0, end.unsprung_height, axle_roll),
        np.array([0.0, -G * end.unsprung_mass]),
    )
    put(on_body, body + turned(end.cg_left, end.cg_height, roll), np.array([0.0, -G * end.mass]))
    centre = body + turned(0.0, end.roll_centre, roll)
    across = turned(1.0, 0.0, axle_roll)
    put(on_body, centre, pin * 1e6 * across)
    put(on_axle, centre, -pin * 1e6 * across)
    on_body[2] += torsion
    return np.array([*on_axle[1:], *on_body, 1e5 * (centre - axle) @ across]), loads


def stood(front: End, rear: End, frame: float, blocks):
    """Loads of the four tyres [N], rolls of both ends and of both axles [rad].

    `blocks` as front left, front right, rear left, rear right [m], `frame` in N·m/rad.
    """

    def sums(x: np.ndarray) -> np.ndarray:
        torsion = frame * (x[10] - x[4])
        one, _ = of_end(front, x[:6], blocks[:2], torsion)
        other, _ = of_end(rear, x[6:], blocks[2:], -torsion)
        return np.concatenate([one, other])

    x, _, ended, why = fsolve(sums, np.zeros(12), full_output=True, xtol=1e-12)
    assert ended == 1, why
    assert np.abs(sums(x)).max() < 1e-5
    loads = of_end(front, x[:6], blocks[:2], 0.0)[1] + of_end(rear, x[6:], blocks[2:], 0.0)[1]
    return loads, x[4], x[10], x[[1, 7]]
