"""A vehicle in a general multibody engine (MuJoCo), and where its forces balance.

The engine knows bodies, joints, springs between points and gravity; nothing of roll stiffness, load
transfer, jacking or the potential energy of docs/method.md. `multibody_xml` has what it is told. It
is asked for the forces on every joint at a position, and a Newton iteration with slopes by
differences finds where they vanish: a static solve by the engine's own forces, no stepping through
time.

What it is told of the ground: each tyre pushes up with its vertical rate while it is pressed, and
the tyres of an axle hold it back with their lateral rate, each by its load. Up to the lift of a
wheel its tyre may pull, so that the path is smooth as far as that.

x forward, y left, z up; the lateral field is gravity turned by its d'Alembert share.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import mujoco
import numpy as np

from tests.reference.multibody_xml import ENDS, SIDES, Told, vehicle_xml

G = 9.80665
LONGEST = 0.2  # m or rad, of a move of Newton's
SERVE = 0.3  # of the forces: slopes that leave more of them are worked out again
STEP = 1e-7  # m or rad, of the slopes
NO_TORQUE, UP_AND_DOWN = np.zeros(3), np.array([[1.0], [-1.0]])


@dataclass(frozen=True, slots=True)
class Point:
    """Where forces balance: roll of both ends [rad], wheel loads left, right; front, rear [N].

    Heights are those of the CG of the sprung mass and of the whole vehicle [m]; `progress` is how
    far on the path to tipping it is [rad].
    """

    lateral: float
    rolls: tuple[float, float]
    wheel_loads: np.ndarray
    freedoms: np.ndarray
    heights: tuple[float, float]
    progress: float

    def lean(self, share: float) -> float:
        """Roll of what takes up that share of the twist [rad]."""
        return self.rolls[0] + share * (self.rolls[1] - self.rolls[0])


class Multibody:
    """One vehicle; `turn` is to the left (1.0) or the right (-1.0), roll is positive outward."""

    def __init__(self, told: Told) -> None:
        self.told, self.turn = told, 1.0
        self.engine = mujoco.MjModel.from_xml_string(vehicle_xml(told))
        self.data = mujoco.MjData(self.engine)
        names = [self.engine.joint(j).name for j in range(self.engine.njnt)]
        self.names = [name for name in names if not name.endswith("_on_axle")]
        self.map = _freedoms(told, names)
        self.start = np.zeros(self.map.shape[1])
        self.roll = names.index("roll")
        self.twist = names.index("twist") if told.frame else None
        sites = [[f"{end}_{side}_patch" for end in ENDS] for side, _ in SIDES]
        self.tyres = np.array([[self.engine.site(name).id for name in row] for row in sites])
        self.carriers = self.engine.site_bodyid[self.tyres]
        self.arms = told.model.independent[:, 0] > 0.0
        self.weight = G * float(told.model.total_mass[0])
        self.pressed = np.array([2, 2])  # tyres that hold an axle sideways
        self.slopes: dict[int, np.ndarray] = {}
        self.patches = self.reach = np.zeros((2, 2))  # side, axle

    def at_rest(self) -> "Multibody":
        """The same with its arms as they are where it stands at rest."""
        start = self.balance(0.0).freedoms
        put = self.arms * self.told.rest[1]  # their patches are where the ground was
        rest = np.array([-put, self.patches[..., 2].mean(axis=0) + put])
        for n, end in enumerate(ENDS):
            body = self.engine.body(f"{end}_body").id
            frame, origin = self.data.xmat[body].reshape(3, 3), self.data.xpos[body]
            rest[0, n] -= ((self.patches[:, n] - origin) @ frame)[:, 2].mean()
        found = Multibody(replace(self.told, rest=rest))
        on_arms = [name.endswith(("_left", "_right")) for name in self.names]
        found.start = np.where(on_arms, 0.0, start)
        return found

    def unbalanced(self, freedoms: np.ndarray, lateral: float) -> tuple[np.ndarray, np.ndarray]:
        """Force on every freedom [N, N·m], and the wheel loads [N]."""
        d, e = self.data, self.engine
        d.qpos[:] = self.map @ freedoms
        e.opt.gravity[:] = (0.0, -lateral * self.turn, -G)
        mujoco.mj_fwdPosition(e, d)
        mujoco.mj_fwdVelocity(e, d)  # springs of joints and tendons; gravity
        force = d.qfrc_passive - d.qfrc_bias
        loads = self._ground(force)
        return self.map.T @ force, loads

    def _ground(self, force: np.ndarray) -> np.ndarray:
        """Add what the tyres push, at the ground; their loads [N], side and axle."""
        told, patches = self.told, self.data.site_xpos[self.tyres]
        self.patches = patches
        self.reach = told.tyre_load - told.tyre_rate * (patches[..., 2] + self.arms * told.rest[1])
        loads = np.where((self.pressed == 2) | (self.reach > 0.0), self.reach, 0.0)
        total, aside = loads[0] + loads[1], 0.5 * (patches[0, :, 1] + patches[1, :, 1])
        sideways = -told.give * aside * self.pressed * loads / np.maximum(total, 1.0)
        # The patch stays where it was, the wheel moves over it.
        at = patches - np.multiply.outer(~self.arms * aside, (0.0, 1.0, 0.0))
        at[..., 2] *= self.arms
        pair = self._upright((sideways * patches[..., 2]).sum(axis=0) - aside * total)
        pushed = np.zeros((2, 2, 3))
        pushed[..., 1], pushed[..., 2] = sideways, loads + UP_AND_DOWN * pair
        for push, where, body in zip(
            pushed.reshape(4, 3), at.reshape(4, 3), self.carriers.flat, strict=True
        ):
            mujoco.mj_applyFT(self.engine, self.data, push, NO_TORQUE, where, body, force)
        return loads

    def _upright(self, turning: np.ndarray) -> np.ndarray:
        """Force up at the left patch and down at the right one, from wheels that do not lean.

        As in the program the wheels of an independent axle stand square to the line between their
        patches. Their mass turns that line, and so does the ground where it is not at its ends.
        """
        across = self.patches[0] - self.patches[1]
        _, sideways, down = self.engine.opt.gravity
        leaning = (across[:, 2] * down + across[:, 1] * sideways) / np.hypot(*across[:, 1:].T)
        return self.arms * (turning - self.told.unsprung_moment * leaning) / across[:, 1]

    def balance(self, lateral: float, start: np.ndarray | None = None) -> Point:
        """The position at a lateral acceleration [m/s²]."""
        x = self.start if start is None else start
        for _ in range(3):
            found = self._newton(x, lambda q: self.unbalanced(q, lateral)[0])
            assert found is not None, "no balance"
            pressed = (self.reach > 0.0).sum(axis=0)
            if (pressed == self.pressed).all():
                break
            self.pressed, x = pressed, found
        return self._point(found, lateral)

    def onward(self, progress: float, start: Point) -> Point:
        """The position, and its lateral acceleration, as far on the path as `progress` says [rad].

        Roll of the body and three times that of the axles: it grows on through wheel lift.
        """
        return self._solved(lambda: self.weight * (self._progress() - progress), start)

    def _solved(self, missing: Callable[[], float], start: Point) -> Point:
        """The position, and its lateral acceleration, at which nothing is missing."""

        def at(x: np.ndarray) -> np.ndarray:
            return np.append(self.unbalanced(x[:-1], G * x[-1])[0], missing())

        found = self._newton(np.append(start.freedoms, start.lateral / G), at)
        assert found is not None, "no balance"
        return self._point(found[:-1], G * float(found[-1]))

    def _progress(self) -> float:
        left, right = self.patches[..., 2]
        leans = (left - right) / self.told.model.track[:, 0]
        return self.turn * float(self.data.qpos[self.roll] + 3.0 * leans.sum())

    def tips_at(self, start: Point, step: float = 0.09, last: float = 2.0) -> float:
        """Greatest lateral acceleration on the path from upright [m/s²].

        Where a wheel lifts, one tyre has to hold what two did and gives twice as far: the path
        breaks off there, and goes on from there at another acceleration.
        """
        self.pressed = np.array([2, 2])
        point, greatest = start, start.lateral
        inner = 0 if self.turn > 0.0 else 1
        while point.progress < last and point.lateral >= 0.8 * greatest:
            onward = self.onward(point.progress + step, point)
            lifted = np.flatnonzero((self.reach[inner] < 0.0) & (self.pressed == 2))
            if lifted.size:
                lifts = [
                    self._solved(lambda at=n: float(self.reach[inner, at]), point) for n in lifted
                ]
                first = np.argmin([lift.progress for lift in lifts])
                onward, self.pressed[lifted[first]] = lifts[first], 1
            elif self.reach[inner].max() <= 0.0 and onward.lateral < point.lateral:
                break  # on the outer wheels alone
            point, greatest = onward, max(greatest, onward.lateral)
        return greatest

    def _point(self, x: np.ndarray, lateral: float) -> Point:
        loads = self.unbalanced(x, lateral)[1]
        masses, at = self.engine.body_mass, self.data.xipos[:, 2]
        sprung = [self.engine.body(name).id for name in ("front_body", "rear_body")]
        front = self.turn * float(self.data.qpos[self.roll])
        twist = 0.0 if self.twist is None else self.turn * float(self.data.qpos[self.twist])
        return Point(
            lateral,
            (front, front + twist),
            loads if self.turn > 0.0 else loads[::-1],
            x,
            (np.average(at[sprung], weights=masses[sprung]), self._height(np.dot(at, masses))),
            self._progress(),
        )

    def _height(self, moment: float) -> float:
        """Of the whole; wheels on arms are carried at their patches and stand up from there."""
        across = self.patches[0] - self.patches[1]
        upright = self.arms * self.told.unsprung_moment * across[:, 1]
        moment += (upright / np.linalg.norm(across, axis=1)).sum()
        return float(moment / self.engine.body_mass.sum())

    def _newton(self, x: np.ndarray, forces: Callable[[np.ndarray], np.ndarray]):
        """Where the forces vanish, or None; slopes are kept for the next while they serve."""
        left, before = forces(x), np.inf
        slopes = self.slopes.get(len(x))
        for _ in range(60):
            far = np.abs(left).max()
            if far < 1e-7 * self.weight:
                return x
            if slopes is None or far > SERVE * before:
                slopes = np.array([(forces(x + d) - left) / STEP for d in STEP * np.eye(len(x))]).T
                self.slopes[len(x)] = slopes
            move = np.linalg.solve(slopes, -left)
            x, before = x + move * min(1.0, LONGEST / np.abs(move).max()), far
            left = forces(x)
        return None


def _freedoms(told: Told, joints: list[str]) -> np.ndarray:
    """From the freedoms to the engine's joints: both slides of an axle are one travel."""
    found = np.eye(len(joints))
    for n, end in enumerate(ENDS):
        if f"{end}_on_axle" in joints:
            own, other = joints.index(f"{end}_on_body"), joints.index(f"{end}_on_axle")
            ratio = told.of("travel_ratio", n)
            found[own, own], found[other, own] = ratio - 1.0, -ratio
    return found[:, [not name.endswith("_on_axle") for name in joints]]
