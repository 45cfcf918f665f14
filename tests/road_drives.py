"""Drives of a rigid body with what a place, a driver, a phone and a road put on top.

Independent of the analysis: the attitude is a rotation matrix of heading, road, roll and pitch, the
gyros are what that matrix turns by from sample to sample, the accelerometers what gravity and the
path leave in the axes of the sensor. No formula of `rollsim.road_test` is used.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.signal import lfilter

from rollsim.road_test import Log, RollKind

G = 9.80665
DECELERATION = 0.3 * G  # m/s², of who brakes into a bend
ENTRY = 8.0  # m over which the bend tightens, and opens again
REST = 2.0  # s of standing at both ends of a log


@dataclass(frozen=True)
class Place:
    """A bend: radius [m], change of heading [deg], and bank towards its inside [deg] by side."""

    radius: float = 35.0
    turn: float = 150.0
    bank: tuple[float, float] = (0.0, 0.0)  # driven to the left, to the right


@dataclass(frozen=True)
class Pass:
    """Once through a place, at so many g to one side (left: 1)."""

    place: Place
    side: int
    level: float  # g
    ramp: float = 0.0  # g that it rises by within the bend


@dataclass(frozen=True)
class World:
    """What stands between the body and the log; standard deviations where drawn.

    Fixed before the rows were run, from memory, no source. A phone's gyro has 0.01 deg/s/√Hz and a
    scale true to 1 %; its accelerometer's 150 µg/√Hz vanishes in what the floor of a vehicle shakes
    on smooth asphalt, 0.3 m/s² to 25 Hz. Asphalt as even as ISO 8608 class A (16e-6 m³ at 0.1
    cycles a metre), left and right track half alike, rolls a body with 1.2 Hz and a damping ratio
    of 0.25 by 0.08 deg at 8 m/s. A wind that varies by 1.5 m/s adds 0.008 deg.
    """

    gradient: tuple[float, float] = (4.5, 8.0)  # deg/g, of the body on level ground
    dive: float = 4.0  # deg/g: 1.2° at 0.3 g
    faster: float = 0.0  # of the straights against the bends
    braking: str = "into"  # where the speed changes: into the bend, or at its "ends"
    straight: float = 6.0  # s before and after each bend
    standing: float = 0.0  # s between two passes; 0: it does not stop
    turn_round: bool = False  # between passes: U-turns of 6 m, so that one bend is driven both ways
    speed_scatter: float = 0.02  # of each pass
    line_scatter: float = 0.02  # of the radius of each pass
    bank_scatter: float = 0.01  # deg, of each pass: no two lines are the same
    friction: float = 0.15  # deg, greatest half loop
    sway: float = 0.08  # deg at the body's own frequency
    gusts: float = 0.008  # deg with a time constant of 2 s
    reading_noise: float = 0.03  # g a sample at 50 Hz, as its density
    rate_noise: float = 0.05  # deg/s likewise
    bias: float = 0.5  # deg/s
    bias_walk: float = 0.001  # deg/s a square root of a second
    scale: float = 0.01  # of each gyro
    scale_error: float = 0.0  # of all three, on top
    either_sign: bool = False  # that error, drawn for each log
    mounting: float = 2.0  # deg about each axis
    any_mounting: bool = False
    gravity_free: bool = False
    speed_noise: float = 0.05  # m/s
    speed_scale: float = 0.005
    rate: float = 10.0  # Hz


CLEAN = World(dive=0.0)


@dataclass
class Drive:
    """Sensors of many logs at once: (samples, logs), in the axes of the sensor; truth by log."""

    time: np.ndarray
    force: np.ndarray  # m/s², (samples, logs, 3)
    rates: np.ndarray  # rad/s, (samples, logs, 3)
    speed: np.ndarray  # m/s
    roll: np.ndarray  # rad, of the body against the level
    gradient: np.ndarray  # deg/g
    ends: np.ndarray  # samples of each log
    mount: np.ndarray = field(default_factory=lambda: np.eye(3))  # sensor to body, (logs, 3, 3)

    def log(self, n: int, *, speed=True, yaw=True, triad=True, angle=None) -> Log:
        """One of them with the columns of who logs so much."""
        end = self.ends[n]
        force, rates = self.force[:end, n], self.rates[:end, n]
        roll = rates[:, 0] if angle is None else angle[:end, n]
        log = Log(
            time=self.time[:end],
            lateral=force[:, 1],
            roll=roll,
            kind=RollKind.RATE if angle is None else RollKind.ANGLE,
            yaw_rate=rates[:, 2] if yaw else None,
            speed=self.speed[:end, n] if speed else None,
        )
        if not triad:
            return log
        return replace(log, pitch_rate=rates[:, 1], longitudinal=force[:, 0], vertical=force[:, 2])

    def csv(self, n: int, names: tuple[str, ...], units: tuple[float, ...]) -> bytes:
        """Time, three accelerations, three rates and speed under those names."""
        end = self.ends[n]
        columns = [self.time[:end], *self.force[:end, n].T, *self.rates[:end, n].T]
        columns.append(self.speed[:end, n])
        table = np.column_stack([c / u for c, u in zip(columns, units, strict=True)])
        rows = "\n".join(",".join(f"{x:.5f}" for x in row) for row in table)
        return (",".join(f'"{name}"' for name in names) + "\n" + rows + "\n").encode()


def one_bend(levels=(0.12, 0.2, 0.3), times=2, bank=(0.0, 0.0), place=None, ramp=0.0):
    """The protocol: one bend, speeds stepped up, both ways, so many times."""
    spot = replace(place or Place(), bank=bank)
    return tuple(Pass(spot, s, a, ramp) for _ in range(times) for a in levels for s in (1, -1))


def circle(levels=(0.12, 0.2, 0.28, 0.36), times=2, radius=25.0, seconds=7.0):
    """A circle, each speed held for the same time."""
    return tuple(
        Pass(Place(radius, np.degrees(seconds * np.sqrt(a * G / radius))), s, a)
        for _ in range(times)
        for a in levels
        for s in (1, -1)
    )


def many_bends(levels=(0.12, 0.2, 0.28, 0.36), times=2, bank=0.0, speed=9.0):
    """Bends of different places at one speed: the sharper, the more bank [deg at 0.3 g]."""
    return tuple(
        Pass(Place(speed**2 / (a * G), 150.0, (bank * a / 0.3,) * 2), s, a)
        for _ in range(times)
        for a in levels
        for s in (1, -1)
    )


def laps(radii=(20.0, 28.0, 40.0), levels=(0.12, 0.2, 0.3), bank=1.0):
    """A course of bends, the sharper the more bank [deg at 20 m], both ways at three speeds."""
    return tuple(
        Pass(Place(r, 120.0 + 3.0 * n, (bank * radii[0] / r,) * 2), s, a)
        for a in levels
        for s in (1, -1)
        for n, r in enumerate(radii)
    )


def road(seed: int, count=36, bank=1.0):
    """Bends as they come, each of them once, banked as sharp as they are driven [deg at 0.3 g]."""
    rng = np.random.default_rng(seed)
    levels = rng.permutation(np.linspace(0.1, 0.36, count))
    return tuple(
        Pass(Place(rng.uniform(25.0, 70.0), rng.uniform(100.0, 200.0), (bank * a / 0.3,) * 2), s, a)
        for a, s in zip(levels, np.resize((1, -1), count).tolist(), strict=True)
    )


def drives(plan, world: World, seed: int, count: int) -> Drive:
    """That many logs of one plan, each with a vehicle, a sensor and a day of its own."""
    rng = np.random.default_rng(seed)
    paths = [_path(plan, world, rng) for _ in range(count)]
    dt, most = 1.0 / world.rate, max(len(p[0]) for p in paths)
    speed, curve, bank = (
        np.stack([np.pad(p[k], (0, most - len(p[k]))) for p in paths], axis=1) for k in range(3)
    )
    gradient = rng.uniform(*world.gradient, count)
    ends = np.array([len(p[0]) for p in paths])
    heading = np.cumsum(speed * curve, axis=0) * dt
    along, across = np.gradient(speed, dt, axis=0), speed**2 * curve
    pushed = across * np.cos(bank) + G * np.sin(bank)  # along the road, as the body feels it
    roll = _body(np.radians(gradient) / G * pushed, world, rng, dt=dt)
    pitch = _second_order(np.radians(-world.dive * along / G), dt, hertz=1.4, damping=0.35)
    body = _axes(heading, bank + roll, pitch)
    felt = _turned((along, across, 0.0 if world.gravity_free else G), "z", heading)
    force = np.stack([_dot(axis, felt) for axis in body], axis=-1)
    rates = _turning(body) / dt
    mount = _mounting(world, rng, count)
    force, rates = (
        sum(one[..., i, None] * mount[:, i] for i in range(3)) for one in (force, rates)
    )
    _spoil(force, rates, world, rng, dt=dt)
    scale = 1.0 + world.speed_scale * rng.standard_normal(count)
    logged = np.maximum(speed * scale + world.speed_noise * rng.standard_normal(speed.shape), 0.0)
    time = np.arange(most) * dt
    return Drive(time, force, rates, logged, bank + roll, gradient, ends, mount)


def fused(drive: Drive, constant: float) -> np.ndarray:
    """The angle of a filter that trusts the gyro for so long [s]: (samples, logs) [rad]."""
    dt = drive.time[1]
    felt = np.arctan2(drive.force[..., 1], drive.force[..., 2])
    keep = np.exp(-dt / constant)
    driven = (1.0 - keep) * felt + keep * np.diff(drive.roll, axis=0, prepend=drive.roll[:1])
    return lfilter([1.0], [1.0, -keep], driven, axis=0)


def _path(plan, world: World, rng: np.random.Generator) -> tuple[np.ndarray, ...]:
    """Speed [m/s], curvature [1/m] and road roll [rad, right side down] at every sample."""
    legs = []
    for one in plan:
        if world.turn_round and legs:
            legs.append(_leg(Pass(Place(6.0, 180.0), 1, 0.1), replace(world, straight=3.0), rng))
        legs.append(_leg(one, world, rng))
    dt, parts, now = 1.0 / world.rate, [], 0.0
    for time, speed, curve, bank in legs:
        if world.standing and now > 0.0:
            parts += [_change(now, 0.0, dt), np.zeros((3, int(world.standing / dt)))]
            now = 0.0
        parts.append(_change(now, speed[0], dt))
        clock = np.arange(0.0, time[-1], dt)
        parts.append(np.stack([np.interp(clock, time, row) for row in (speed, curve, bank)]))
        now = speed[-1]
    parts.append(_change(now, 0.0, dt))
    whole = np.concatenate(parts, axis=1)
    rest = np.zeros((3, int(REST / dt)))
    return tuple(np.concatenate([rest, whole, rest], axis=1))


def _change(before: float, after: float, dt: float) -> np.ndarray:
    """Another speed on the straight, at 0.15 g with a soft begin and end."""
    steps = max(int((1.0 + 2.0 * abs(after - before) / (0.15 * G)) / dt), 1)
    soft = 0.5 - 0.5 * np.cos(np.linspace(0.0, np.pi, steps))
    return np.stack([before + (after - before) * soft, np.zeros(steps), np.zeros(steps)])


def _leg(one: Pass, world: World, rng: np.random.Generator) -> tuple[np.ndarray, ...]:
    """Straight, bend, straight over a fine grid of the way: time, speed, curvature, bank."""
    radius = one.place.radius * (1.0 + world.line_scatter * rng.standard_normal())
    slow = np.sqrt(one.level * G * radius) * (1.0 + world.speed_scatter * rng.standard_normal())
    fast = slow * (1.0 + world.faster)
    lead = fast * world.straight
    bend = radius * np.radians(one.place.turn) + ENTRY
    way = np.arange(0.0, 2.0 * lead + bend, 0.2)
    inside = np.minimum(way - lead, lead + bend - way)  # m from the nearer end of the bend
    share = np.clip(inside / ENTRY, 0.0, 1.0)
    brakes = (fast**2 - slow**2) / (2.0 * DECELERATION * min(1.0, world.faster / 0.1 + 1e-9))
    begins = 0.0 if world.braking == "into" else -brakes
    done = np.clip((inside - begins) / max(brakes, 1e-6), 0.0, 1.0)
    if world.faster == 0.0:
        done = np.ones_like(way)
    risen = np.clip((way - lead - ENTRY) / (bend - 2.0 * ENTRY), 0.0, 1.0) * one.ramp
    speed = np.sqrt(fast**2 + (slow**2 - fast**2) * done + risen * G * radius)
    time = np.concatenate([[0.0], np.cumsum(0.4 / (speed[1:] + speed[:-1]))])
    bank = one.place.bank[0 if one.side > 0 else 1] + world.bank_scatter * rng.standard_normal()
    return time, speed, one.side * share / radius, -one.side * np.radians(bank) * share


def _body(free: np.ndarray, world: World, rng: np.random.Generator, *, dt: float) -> np.ndarray:
    """Roll of the body on the road: its own dynamics, friction, sway and gusts [rad]."""
    half = np.radians(world.friction) * rng.uniform(0.0, 1.0, free.shape[1])
    held, now = np.empty_like(free), np.zeros(free.shape[1])
    for n, row in enumerate(free):
        now = np.minimum(np.maximum(now, row - half), row + half)
        held[n] = now
    roll = _second_order(held, dt, hertz=1.2, damping=0.25)
    shaken = _second_order(rng.standard_normal(free.shape), dt, hertz=1.2, damping=0.25)
    keep = np.exp(-dt / 2.0)
    gusts = lfilter([np.sqrt(1.0 - keep**2)], [1.0, -keep], rng.standard_normal(free.shape), axis=0)
    return roll + np.radians(world.sway * shaken / shaken.std() + world.gusts * gusts)


def _second_order(values: np.ndarray, dt: float, *, hertz: float, damping: float) -> np.ndarray:
    """A mass on spring and damper that follows the values, by the bilinear rule."""
    k = 2.0 / dt
    w = 2.0 * np.pi * hertz
    top = np.array([w * w, 2.0 * w * w, w * w])
    damped = 2.0 * damping * w * k
    low = np.array([k * k + damped + w * w, 2 * w * w - 2 * k * k, k * k - damped + w * w])
    return lfilter(top / low[0], low / low[0], values, axis=0)


def _turned(vector: tuple, axis: str, angle: np.ndarray) -> tuple:
    """A vector by its components, turned about one axis."""
    c, s = np.cos(angle), np.sin(angle)
    a, b = {"x": (1, 2), "y": (2, 0), "z": (0, 1)}[axis]
    found = list(vector)
    found[a], found[b] = c * vector[a] - s * vector[b], s * vector[a] + c * vector[b]
    return tuple(found)


def _axes(heading: np.ndarray, roll: np.ndarray, pitch: np.ndarray) -> list[tuple]:
    """Where forward, left and up of the body point: pitched, then rolled, then turned."""
    return [
        _turned(_turned(_turned(axis, "y", pitch), "x", roll), "z", heading)
        for axis in np.eye(3).tolist()
    ]


def _dot(one: tuple, other: tuple) -> np.ndarray:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def _turning(body: list[tuple]) -> np.ndarray:
    """By how much the body turns about its own axes from sample to sample (samples, logs, 3)."""
    before, after = ([tuple(c[k] for c in axis) for axis in body] for k in (np.s_[:-1], np.s_[1:]))
    pairs = ((2, 1), (0, 2), (1, 0))
    odd = [(_dot(before[i], after[j]) - _dot(before[j], after[i])) / 2.0 for i, j in pairs]
    found = np.stack(odd, axis=-1)
    return np.concatenate([found[:1], found])


def _mounting(world: World, rng: np.random.Generator, count: int) -> np.ndarray:
    """From the axes of the sensor to those of the body."""
    tilts = np.radians(world.mounting) * rng.standard_normal((3, count))
    small = np.stack(
        [
            np.stack(_turned(_turned(_turned(axis, "x", tilts[2]), "y", tilts[1]), "z", tilts[0]))
            for axis in np.eye(3).tolist()
        ],
        axis=-1,
    ).swapaxes(0, 1)
    if not world.any_mounting:
        return small
    whole, _ = np.linalg.qr(rng.standard_normal((count, 3, 3)))
    whole[np.linalg.det(whole) < 0.0, :, 0] *= -1.0
    return whole


def _spoil(
    force: np.ndarray, rates: np.ndarray, world: World, rng: np.random.Generator, *, dt: float
) -> None:
    """Scale, bias, drift, noise, in place."""
    logs = (1, *rates.shape[1:])
    wrong = world.scale_error * (
        rng.choice((-1, 1), logs[:2])[..., None] if world.either_sign else 1
    )
    rates *= 1.0 + world.scale * rng.standard_normal(logs) + wrong
    rates += np.radians(world.bias) * rng.standard_normal(logs)
    walk = np.radians(world.bias_walk) * np.sqrt(dt) * rng.standard_normal(rates.shape)
    rates += np.cumsum(walk, axis=0)
    less = np.sqrt(world.rate / 50.0)
    rates += less * np.radians(world.rate_noise) * rng.standard_normal(rates.shape)
    force += less * world.reading_noise * G * rng.standard_normal(force.shape)
