"""Logs of a drive that the full model makes, with what a phone and a road put on top."""

from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.road_test import Log, RollKind
from rollsim.roll import TURN, follow
from rollsim.vehicle import STANDARD_GRAVITY, Job

G = STANDARD_GRAVITY
LEVELS = (0.12, 0.2, 0.28, 0.36)  # g
STRAIGHT, ENTRY, STEADY = 6.0, 1.5, 5.5  # s
RADIUS = 25.0  # m


@dataclass(frozen=True)
class Flaws:
    """What stands between the vehicle and the log; standard deviations where random."""

    reading_noise: float = 0.03 * G  # m/s² a sample
    rate_noise: float = np.radians(0.15)  # rad/s a sample
    bias: float = np.radians(0.5)  # rad/s, gyro
    bias_walk: float = np.radians(0.002)  # rad/s a square root of a second
    mounting: float = np.radians(2.0)  # rad in roll, and as much in pitch
    friction: float = np.radians(0.15)  # rad, half the loop
    crossfall: float = 0.02  # of the pad, falling outward or inward
    plane: float = 0.0  # slope of a pad that is one tilted plane: it turns with the heading
    sway: float = np.radians(0.15)  # rad of body movement by the road


NONE = Flaws(*[0.0] * 9)


def lean_of(job: Job, state: str, lateral: np.ndarray) -> np.ndarray:
    """Lean of the full model [rad], either way."""
    chosen = next(s for s in mass.states(job) if s.name == state)
    model, settled = settle(mass.model(job, chosen), TURN)
    grid = np.linspace(0.0, 0.45 * G, 31)
    lean = [p.x[1, 0] - settled.x[1, 0] for p in follow(model, settled, tuple(grid))]
    return np.sign(lateral) * np.interp(np.abs(lateral), grid, lean)


def drive(rate: float, levels=LEVELS, laps: int = 2, sides=(1.0, -1.0)) -> tuple:
    """Time and lateral acceleration [m/s²]: straight, bend, straight, left and right in turn."""
    knots, at = [(0.0, 0.0)], 0.0
    for level in [x for _ in range(laps) for x in levels]:
        for side in sides:
            for lasts, value in ((STRAIGHT, 0.0), (ENTRY, side), (STEADY, side), (ENTRY, 0.0)):
                at += lasts
                knots.append((at, value * level * G))
    knots.append((at + STRAIGHT, 0.0))
    time = np.arange(0.0, knots[-1][0], 1.0 / rate)
    return time, np.interp(time, *zip(*knots, strict=True))


def speeds(rate: float, levels=LEVELS, laps: int = 2, sides=(1.0, -1.0)) -> np.ndarray:
    """Of that drive [m/s]: steady from straight to straight, another one between the bends."""
    lasting = STRAIGHT + 2.0 * ENTRY + STEADY
    passes = [level for _ in range(laps) for level in levels for _ in sides]
    at = np.arange(len(passes)) * lasting
    knots = np.column_stack([at + 0.3 * STRAIGHT, at + lasting]).ravel()
    time = np.arange(0.0, len(passes) * lasting + STRAIGHT, 1.0 / rate)
    return np.interp(time, knots, np.sqrt(np.repeat(passes, 2) * G * RADIUS))


def held_by_friction(lean: np.ndarray, half: np.ndarray) -> np.ndarray:
    """The lean (n,) as friction of each half width (m,) holds it, (n, m)."""
    held = np.empty((len(lean), len(half)))
    now = np.zeros(len(half))
    for n, free in enumerate(lean):
        now = np.clip(now, free - half, free + half)
        held[n] = now
    return held


def logs(
    job, state, seed, *, count=1, rate=10.0, flaws=None, kind=RollKind.RATE, speed=True, **path
):
    """A number of logs of the same drive, each with its own flaws."""
    flaws, rng = flaws or Flaws(), np.random.default_rng(seed)
    time, lateral = drive(rate, **path)
    shape = (len(time), count)

    def normal(size: float) -> np.ndarray:
        return size * rng.standard_normal(shape)

    def one(size: float) -> np.ndarray:
        return size * rng.standard_normal(count)

    # The pad falls outward or inward by up to its slope, and the lean grows with it.
    fall = (
        flaws.crossfall
        * rng.uniform(-1.0, 1.0, count)
        * np.clip(lateral / G / 0.05, -1, 1)[:, None]
    )
    fast = speeds(rate, **path)[: len(time)]
    yaw = lateral / fast
    if flaws.plane:
        heading = np.cumsum(yaw)[:, None] / rate + rng.uniform(0.0, 2.0 * np.pi, count)
        fall = fall + flaws.plane * np.sin(heading)
    held = held_by_friction(lean_of(job, state, lateral), flaws.friction * rng.uniform(0, 1, count))
    slope = float(lean_of(job, state, np.array([0.3 * G]))[0] / (0.3 * G))
    sway = normal(flaws.sway)
    for n in range(1, len(time)):  # a body that comes to rest within a second
        keep = np.exp(-1.0 / rate)
        sway[n] = keep * sway[n - 1] + np.sqrt(1.0 - keep**2) * sway[n]
    roll = held + fall * (1.0 + slope * G) + sway
    tilted = roll + one(flaws.mounting)
    across = lateral[:, None]
    reading = across * np.cos(tilted) + G * np.sin(tilted) + normal(flaws.reading_noise)
    true_rate = np.gradient(roll, time, axis=0)
    drift = np.cumsum(normal(flaws.bias_walk / np.sqrt(rate)), axis=0) + one(flaws.bias)
    rates = true_rate + drift + one(flaws.mounting) * yaw[:, None] + normal(flaws.rate_noise)
    values = rates if kind is RollKind.RATE else tilted
    first = Log(time, reading[:, 0], values[:, 0], kind, yaw, fast if speed else None)
    return [replace(first, lateral=reading[:, n], roll=values[:, n]) for n in range(count)]
