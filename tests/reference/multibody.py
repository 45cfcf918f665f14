"""A vehicle in a general multibody engine (MuJoCo), and where its forces balance.

The engine knows bodies, joints, springs between points and gravity; nothing of roll centres, roll
stiffness, load transfer or the potential energy of docs/method.md. It is asked for the forces on
every joint at a position, and a Newton iteration with slopes by differences finds where they
vanish: a static solve by the engine's own forces, no stepping through time.

Two bodies, the sprung mass over each axle, are joined by a hinge along the vehicle, which `twist`
makes a torsion spring and which otherwise does not move. They heave, pitch, yaw, roll and shift
sideways together. From each hangs an axle: a slide along the body and one along the axle, both for
one travel in the shares of the roll centre's travel ratio, and a hinge at the roll centre between
them. Springs and stops are tendons to anchors far below, so that they push along the axle's own
vertical; bars and bushes are the hinge's stiffness. What the engine is told of the ground: each
tyre pushes up with its vertical rate while it is pressed, and back with its lateral rate at the
ground.

x forward, y left, z up; the lateral field is gravity turned by its d'Alembert share.
"""

from dataclasses import dataclass

import mujoco
import numpy as np

from rollsim.equilibrium import Model

G = 9.80665
DEEP = 20.0  # m: anchors of springs so far down that they push along the axle's vertical
FAR = 1e6  # m: a tendon that never gets there
STEP = 1e-7  # m or rad, of the slopes
_ROOT = ("y", "z", "yaw", "pitch", "roll")


@dataclass(frozen=True, slots=True)
class Point:
    """Where forces balance: roll [rad], wheel loads (2, 2) [N] left, right; front, rear.

    Heights are those of the CG of the sprung mass and of the whole vehicle [m].
    """

    lateral: float
    roll: float
    wheel_loads: np.ndarray
    freedoms: np.ndarray
    heights: tuple[float, float]


class Multibody:
    """One vehicle; `twist` is the torsional stiffness of its frame [N·m/rad], at a height [m]."""

    def __init__(self, model: Model, *, twist: tuple[float, float] | None = None) -> None:
        self.m, self.twist = model, twist
        self.engine = mujoco.MjModel.from_xml_string(self._xml())
        self.data = mujoco.MjData(self.engine)
        self.axles = [self.engine.body(name).id for name in ("front_axle", "rear_axle")]
        names = [self.engine.joint(j).name for j in range(self.engine.njnt)]
        # Freedoms: those of the engine, the two slides of an axle taken as one travel.
        self.roll = names.index("roll")
        self.hinges = [names.index(f"{end}_hinge") for end in ("front", "rear")]
        self.weight = G * float(self.m.total_mass[0])
        columns = [_unit(names, {name: 1.0}) for name in _ROOT]
        if twist is not None:
            columns.append(_unit(names, {"twist": 1.0}))
        for end, ratio in zip(("front", "rear"), self.m.travel_ratio[:, 0], strict=True):
            travel = {f"{end}_on_body": ratio - 1.0, f"{end}_on_axle": -ratio}
            columns += [_unit(names, travel), _unit(names, {f"{end}_hinge": 1.0})]
        self.map = np.array(columns).T

    def _xml(self) -> str:
        m, length = self.m, float(self.m.wheelbase[0])
        rear = float(m.cg_behind_front[0]) / length
        height, left = float(m.cg_height[0]), float(m.cg_left[0])
        hinge = ""
        if self.twist is not None:
            at = f'pos="0 0 {self.twist[1]!r}" stiffness="{self.twist[0]!r}"'
            hinge = f'<joint name="twist" type="hinge" axis="1 0 0" {at}/>'
        masses = [float(m.sprung_mass[0]) * w for w in (1.0 - rear, rear)]
        root = "".join(
            f'<joint name="{name}" type="{kind}" axis="{axis}"/>'
            for name, kind, axis in (
                ("y", "slide", "0 1 0"),
                ("z", "slide", "0 0 1"),
                ("yaw", "hinge", "0 0 1"),
                ("pitch", "hinge", "0 1 0"),
                ("roll", "hinge", "1 0 0"),
            )
        )
        ends = [_axle_xml(m, n) for n in (0, 1)]
        tendons = "".join(_tendons_xml(m, n) for n in (0, 1))
        return f"""<mujoco><compiler angle="radian"/><option gravity="0 0 -9.80665"/>
<worldbody><body name="front_body">{root}{_mass(masses[0], left, height)}{ends[0]}
<body name="rear_body" pos="{-length!r} 0 0">{hinge}{_mass(masses[1], left, height)}{ends[1]}
</body></body></worldbody><tendon>{tendons}</tendon></mujoco>"""

    def unbalanced(self, freedoms: np.ndarray, lateral: float) -> tuple[np.ndarray, np.ndarray]:
        """Force on every freedom [N, N·m], and the wheel loads [N]."""
        d, e = self.data, self.engine
        d.qpos[:] = self.map @ freedoms
        e.opt.gravity[:] = (0.0, -lateral, -G)
        mujoco.mj_fwdPosition(e, d)
        mujoco.mj_fwdVelocity(e, d)  # springs of joints and tendons; gravity
        force = d.qfrc_passive - d.qfrc_bias
        loads = np.zeros((2, 2))
        for n, axle in enumerate(self.axles):
            self._ground(n, axle, force, loads)
        return self.map.T @ force, loads

    def _ground(self, n: int, axle: int, force: np.ndarray, loads: np.ndarray) -> None:
        """Add what the tyres of an axle push, at the ground."""
        d, half = self.data, 0.5 * float(self.m.track[n, 0])
        origin, across = d.xpos[axle], d.xmat[axle].reshape(3, 3)[:, 1]
        points = [origin + side * half * across for side in (1.0, -1.0)]
        rate, most = float(self.m.tyre_rate[n, 0]), float(self.m.tyre_load[n, 0])
        pushes = np.array([max(most - rate * point[2], 0.0) for point in points])
        pressed = pushes > 0.0
        sideways = -float(self.m.tyre_lateral_rate[n, 0]) * origin[1]
        loads[:, n] = pushes
        for point, push, on in zip(points, pushes, pressed, strict=True):
            if on:  # the patch stays where it was, the wheel moves over it
                patch = np.array([point[0], point[1] - origin[1], 0.0])
                pushed = np.array([0.0, sideways, push])
                mujoco.mj_applyFT(self.engine, d, pushed, np.zeros(3), patch, axle, force)

    def balance(self, lateral: float, start: np.ndarray | None = None) -> Point:
        """The position at a lateral acceleration [m/s²]."""
        x = np.zeros(self.map.shape[1]) if start is None else start.copy()
        found = self._newton(x, lambda q: self.unbalanced(q, lateral)[0])
        assert found is not None, "no balance"
        return self._point(found, lateral)

    def onward(self, progress: float, start: Point) -> Point:
        """The position, and its lateral acceleration, as far on the path as `progress` says [rad].

        Roll of the body and three times that of the axles: it grows on through wheel lift.
        """

        def at(x: np.ndarray) -> np.ndarray:
            far = self.weight * (self.progress(x[:-1]) - progress)
            return np.append(self.unbalanced(x[:-1], G * x[-1])[0], far)

        x = np.append(start.freedoms, start.lateral / G)
        found = self._newton(x, at)
        if found is None:  # a kink on the way: in two steps
            here = self.progress(start.freedoms)
            assert abs(progress - here) > 1e-4, "no balance"
            return self.onward(progress, self.onward(0.5 * (progress + here), start))
        return self._point(found[:-1], G * float(found[-1]))

    def progress(self, freedoms: np.ndarray) -> float:
        q = self.map @ freedoms
        axles = [q[self.roll] + q[hinge] for hinge in self.hinges]
        return float(q[self.roll] + 3.0 * sum(axles))

    def tips_at(self, start: Point, step: float = 0.06, last: float = 2.0) -> float:
        """Greatest lateral acceleration on the path from upright [m/s²].

        Where a wheel lifts, one tyre has to hold what two did and gives twice as far: the path
        breaks off there, and its end is looked for.
        """
        path, greatest = [start], start.lateral
        while self.progress(path[-1].freedoms) < last:
            path.append(self._next(path[-1], step))
            before, now = ((point.wheel_loads > 0.0).sum() for point in path[-2:])
            ends = [self._last_with(before, path[-2], step)] if now != before else []
            greatest = max(greatest, *(point.lateral for point in (path[-1], *ends)))
            if path[-1].lateral < 0.8 * greatest:
                break
        return greatest

    def _next(self, point: Point, step: float) -> Point:
        return self.onward(self.progress(point.freedoms) + step, point)

    def _last_with(self, pressed: int, point: Point, step: float) -> Point:
        """The last point of a step with so many wheels on the ground."""
        for _ in range(8):
            step *= 0.5
            further = self._next(point, step)
            if (further.wheel_loads > 0.0).sum() == pressed:
                point = further
        return point

    def _point(self, x: np.ndarray, lateral: float) -> Point:
        loads = self.unbalanced(x, lateral)[1]
        masses, at = self.engine.body_mass, self.data.xipos[:, 2]
        sprung = [self.engine.body(name).id for name in ("front_body", "rear_body")]
        heights = (np.average(at[sprung], weights=masses[sprung]), np.average(at, weights=masses))
        return Point(lateral, float(x[_ROOT.index("roll")]), loads, x, heights)

    def _newton(self, x: np.ndarray, forces) -> np.ndarray | None:
        weight, left = self.weight, forces(x)
        for _ in range(30):
            if np.abs(left).max() < 1e-7 * weight:
                return x
            slopes = np.array([(forces(x + d) - left) / STEP for d in STEP * np.eye(len(x))]).T
            move = np.linalg.solve(slopes, -left)
            move *= min(1.0, 0.05 / np.abs(move).max())
            x = x + move
            left = forces(x)
        return None


def _unit(names: list[str], parts: dict[str, float]) -> np.ndarray:
    return np.array([parts.get(name, 0.0) for name in names])


def _mass(mass: float, left: float, height: float) -> str:
    # The inertia does nothing at rest; the engine asks for one.
    return f'<inertial pos="0 {left!r} {height!r}" mass="{mass!r}" diaginertia="1 1 1"/>'


def _axle_xml(m: Model, n: int) -> str:
    """Sites of the springs on the body, and the axle."""
    end = ("front", "rear")[n]
    pin, ratio = float(m.roll_centre_height[n, 0]), float(m.travel_ratio[n, 0])
    seat = pin - (1.0 - ratio) * float(m.lift[n, 0])
    stiffness = float(m.roll_stiffness[n, 0])
    above = below = ""
    for name, base in _bases(m, n):
        for side, y in (("left", 0.5 * base), ("right", -0.5 * base)):
            above += f'<site name="{end}_{name}_{side}" pos="0 {y!r} {seat!r}"/>'
            below += f'<site name="{end}_{name}_{side}_low" pos="0 {y!r} {pin - DEEP!r}"/>'
    own = _mass(float(m.unsprung_mass[n, 0]), 0.0, float(m.unsprung_cg_height[n, 0]))
    return f"""{above}<body name="{end}_axle">
<joint name="{end}_on_body" type="slide" axis="0 0 1" armature="1"/>
<joint name="{end}_hinge" type="hinge" axis="1 0 0" pos="0 0 {pin!r}" stiffness="{stiffness!r}"/>
<joint name="{end}_on_axle" type="slide" axis="0 0 1" armature="1"/>
{own}{below}</body>"""


def _bases(m: Model, n: int) -> list[tuple[str, float]]:
    """Distances between left and right of the spring and of the stops that there are."""
    found = [("spring", float(m.spring_base[n, 0]))]
    for stop, name in enumerate(("bump", "rebound")):
        if m.stop_rate[stop, n, 0] > 0.0:
            found.append((name, float(m.stop_base[stop, n, 0])))
    return found


def _tendons_xml(m: Model, n: int) -> str:
    """Springs, helper leaves and stops of an axle: lengths at which each goes slack."""
    end, lift, ratio = ("front", "rear")[n], float(m.lift[n, 0]), float(m.travel_ratio[n, 0])
    # Extension is length − DEEP + (1 − ratio) lift; the spring's own counts from the lift.
    zero = DEEP - (1.0 - ratio) * lift
    rate, load = float(m.spring_rate[n, 0]), float(m.spring_load[n, 0])
    for start, step in zip(m.hinge_start[:, n, 0], m.hinge_step[:, n, 0], strict=True):
        load -= float(step) * max(-float(start), 0.0)
    found = [("spring", rate, 2 * (zero + lift + load / rate,))]
    for start, step in zip(m.hinge_start[:, n, 0], m.hinge_step[:, n, 0], strict=True):
        found.append(("spring", float(step), (zero + lift - float(start), FAR)))
    gaps, rates, ratios = (x[:, n, 0] for x in (m.stop_gap, m.stop_rate, m.stop_ratio))
    slack = ((zero - gaps[0] / ratios[0], FAR), (0.0, zero + gaps[1] / ratios[1]))
    for name, stop in (("bump", 0), ("rebound", 1)):
        if rates[stop] > 0.0:
            found.append((name, float(rates[stop] * ratios[stop] ** 2), slack[stop]))
    return "".join(
        f'<spatial stiffness="{k!r}" springlength="{float(low)!r} {float(high)!r}">'
        f'<site site="{end}_{name}_{side}"/><site site="{end}_{name}_{side}_low"/></spatial>'
        for name, k, (low, high) in found
        if k > 0.0
        for side in ("left", "right")
    )
