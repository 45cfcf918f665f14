"""A vehicle in the plane of its axles with real wishbones or struts: rigid bodies that are moved.

Independent mechanics for what side force does through a linkage: no roll centre, no travel ratio.
Links turn about the joints where they are; virtual work by moving every part and looking where
the points go at which forces act. Outward (to the right of a left turn) and up are positive.
Two axles alike, so that the plane is the whole vehicle. Lengths in m, masses in kg, all invented.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import root

G = 9.80665
H = 1e-6  # of every movement: points by central differences
FOLLOWS = 0.5
"""How far a tyre's load moves across as the wheel leans, of what a thin disc's would: carcass and
crown take the rest. Half is a usual rule for the overturning moment of a tyre (from memory)."""


@dataclass(frozen=True)
class Linkage:
    """Joints of the right wheel: y outward from the centreline, z above ground, at rest.

    Either an upper arm goes from `inner_upper` to `outer_upper`, or a strut slides through its top.
    """

    inner_lower: tuple[float, float]
    outer_lower: tuple[float, float]
    inner_upper: tuple[float, float] | None = None
    outer_upper: tuple[float, float] | None = None
    strut_top: tuple[float, float] | None = None


@dataclass(frozen=True)
class Planar:
    """One axle's half of a vehicle."""

    linkage: Linkage
    track: float = 1.56
    radius: float = 0.36
    sprung: float = 900.0
    unsprung: float = 100.0
    cg_height: float = 0.72  # of the sprung mass
    wheel_rate: float = 32e3
    bar: float = 20e3  # N·m/rad, across the axle
    tyre_rate: float = 240e3
    bump_gap: float = 0.070
    bump_rate: float = 120e3

    def knuckle(self, angle: float) -> tuple[np.ndarray, float]:
        """Lower outer joint of the right wheel and how far the knuckle has turned, body fixed."""
        k = self.linkage
        lower, start = np.array(k.inner_lower), np.array(k.outer_lower)
        arm = start - lower
        sine, cosine = np.sin(angle), np.cos(angle)
        joint = lower + np.array([cosine * arm[0] - sine * arm[1], sine * arm[0] + cosine * arm[1]])
        if k.strut_top is not None:  # the knuckle is one with the strut
            top = np.array(k.strut_top)
            before, after = top - start, top - joint
        else:
            top, upright = np.array(k.inner_upper), np.array(k.outer_upper) - start
            reach = np.linalg.norm(np.array(k.outer_upper) - top)
            after = _meet(joint, np.linalg.norm(upright), top, reach, near=joint + upright) - joint
            before = upright
        turned = np.arctan2(after[1], after[0]) - np.arctan2(before[1], before[0])
        return joint, turned

    def wheel(self, angle: float) -> tuple[np.ndarray, np.ndarray]:
        """Centre of the right wheel and its own up, body fixed."""
        joint, turned = self.knuckle(angle)
        offset = np.array([0.5 * self.track, self.radius]) - np.array(self.linkage.outer_lower)
        sine, cosine = np.sin(turned), np.cos(turned)
        centre = joint + np.array(
            [cosine * offset[0] - sine * offset[1], sine * offset[0] + cosine * offset[1]]
        )
        return centre, np.array([-sine, cosine])

    def parts(self, q: np.ndarray) -> dict[str, np.ndarray]:
        """Body CG (y, z), wheels (y, z, own lean) and travel, at heave, lean and both arms."""
        heave, lean, *arms = q
        turn = np.array([[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]])
        up = turn @ np.array([0.0, self.cg_height]) + np.array([0.0, heave])
        wheels, travel = [], []
        for angle, sided in zip(arms, ((-1.0, 1.0), (1.0, 1.0)), strict=True):
            centre, own = self.wheel(angle)
            y, z = turn @ (centre * sided)
            across, along = turn @ (own * sided)
            wheels.append((y, z + heave, np.arctan2(across, along)))
            travel.append(self.radius - centre[1])  # extension
        return {"body": up, "wheels": np.array(wheels), "travel": np.array(travel)}

    def loads(self, parts: dict, *, pulling: bool = False) -> np.ndarray:
        """Left, right [N]; a tyre may pull where a lift is looked for."""
        static = 0.5 * (self.sprung + self.unsprung) * G
        raised = parts["wheels"][:, 1] - self.radius
        reach = static - self.tyre_rate * raised
        return reach if pulling else np.maximum(reach, 0.0)

    def balance(self, q: np.ndarray, a: float, *, pulling: bool = False) -> np.ndarray:
        """What is left of virtual work at each freedom [N, N·m]."""
        now = self.parts(q)
        loads, travel, wheels = self.loads(now, pulling=pulling), now["travel"], now["wheels"]
        side = -(self.sprung + self.unsprung) * a * loads / max(loads.sum(), 1.0)
        torsion = self.bar * (travel[0] - travel[1]) / self.track**2 * np.array([1.0, -1.0])
        springs = 0.5 * self.sprung * G - self.wheel_rate * travel - torsion
        springs += self.bump_rate * np.maximum(-travel - self.bump_gap, 0.0)
        # Where the ground touches each wheel, from its centre.
        aside, down = -FOLLOWS * self.radius * np.sin(wheels[:, 2]), -wheels[:, 1]
        found = np.zeros(4)
        for n in range(4):
            step = np.zeros(4)
            step[n] = H
            ahead, behind = self.parts(q + step), self.parts(q - step)
            body, wheel, travel = (
                (ahead[name] - behind[name]) / (2 * H) for name in ("body", "wheels", "travel")
            )
            touching = wheel[:, 0] + down * wheel[:, 2], wheel[:, 1] - aside * wheel[:, 2]
            found[n] = self.sprung * (a * body[0] - G * body[1])
            found[n] += 0.5 * self.unsprung * (a * wheel[:, 0] - G * wheel[:, 1]).sum()
            found[n] += (springs * travel + side * touching[0] + loads * touching[1]).sum()
        return found

    def solve(self, a: float, start: np.ndarray) -> np.ndarray | None:
        """Heave, lean and arm angles; None where there is no such place."""
        scale = (self.sprung + self.unsprung) * G
        found = root(lambda q: self.balance(q, a) / scale, start, tol=1e-9)
        return found.x if np.abs(found.fun).max() < 1e-7 else None

    def inner_lift(self, a: float, q: np.ndarray) -> float:
        """Lateral acceleration at which the left tyre carries nothing, looked for from `q` on."""
        weight = (self.sprung + self.unsprung) * G

        def left(x: np.ndarray) -> np.ndarray:
            reach = self.loads(self.parts(x[:4]), pulling=True)[0]
            return np.array([*self.balance(x[:4], x[4] * G, pulling=True), reach]) / weight

        found = root(left, [*q, a / G], tol=1e-9)
        assert np.abs(found.fun).max() < 1e-7, found.message
        return found.x[4] * G

    def roll_centre(self) -> tuple[float, float]:
        """Height at rest, and its rise per rise of the body: from where the patches go."""

        def height(travel: float) -> float:
            angle = root(lambda x: self.radius - self.wheel(x[0])[0][1] - travel, [0.0]).x[0]

            def patch(x: float) -> np.ndarray:
                centre, up = self.wheel(x)
                return centre - self.radius * up

            y, (dy, dz) = patch(angle), (patch(angle + H) - patch(angle - H)) / (2 * H)
            return y[0] * dy / dz  # above the patch, along the line square to its way

        rise = 1e-4
        ratio = (height(rise) - height(-rise)) / (2 * rise)
        return height(0.0), ratio


def _meet(a: np.ndarray, r: float, b: np.ndarray, s: float, *, near: np.ndarray) -> np.ndarray:
    """Where two circles meet, of both places the nearer one."""
    way = b - a
    d = np.linalg.norm(way)
    along = (r * r - s * s + d * d) / (2.0 * d)
    across = np.sqrt(r * r - along * along)
    foot, normal = a + along * way / d, np.array([-way[1], way[0]]) / d
    return min(
        (foot + across * normal, foot - across * normal), key=lambda p: np.sum((p - near) ** 2)
    )
