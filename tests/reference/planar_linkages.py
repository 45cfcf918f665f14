"""A vehicle in the plane of its axles with real wishbones or struts: free bodies on links.

Independent mechanics for what side force does through a linkage: no roll centre, no travel ratio
and no energy. Body and both wheels are cut free, every link is a distance that a force of its own
keeps, and forces and moments of each body are summed. Outward (to the right of a left turn) and up
are positive, leaning outward too. Two axles alike, so that the plane is the whole vehicle.
Lengths in m, masses in kg, all invented.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import root

G = 9.80665
FOLLOWS = 0.5
"""How far a tyre's load moves across as the wheel leans, of what a thin disc's would: carcass and
crown take the rest. Half is a usual rule for the overturning moment of a tyre (from memory)."""
LEFT, RIGHT = np.array([-1.0, 1.0]), np.array([1.0, 1.0])


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


def turned(lean: float) -> np.ndarray:
    """From a body that leans to the right to the ground."""
    sine, cosine = np.sin(lean), np.cos(lean)
    return np.array([[cosine, sine], [-sine, cosine]])


def moment(at: np.ndarray, force: np.ndarray) -> float:
    return at[1] * force[0] - at[0] * force[1]


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
    rebound_gap: float = 0.12
    rebound_rate: float = 0.0

    @property
    def weight(self) -> float:
        return (self.sprung + self.unsprung) * G

    @property
    def centre(self) -> np.ndarray:
        """Of the right wheel at rest."""
        return np.array([0.5 * self.track, self.radius])

    def links(self, wheel: np.ndarray, side: np.ndarray, body: tuple[np.ndarray, np.ndarray]):
        """Of both links of a wheel: where they act on the wheel, which way, and how far off [m].

        `wheel` is y, z and lean of the wheel, `body` the body's place and turn.
        """
        (origin, frame), own = body, turned(wheel[2])

        def on_body(at: tuple[float, float]) -> np.ndarray:
            return origin + frame @ (side * at)

        def on_wheel(at: tuple[float, float]) -> np.ndarray:
            return wheel[:2] + own @ (side * (np.array(at) - self.centre))

        k = self.linkage
        lower = on_wheel(k.outer_lower)
        found = [_rod(lower, on_body(k.inner_lower), np.subtract(k.outer_lower, k.inner_lower))]
        if k.strut_top is None:
            length = np.subtract(k.outer_upper, k.inner_upper)
            found.append(_rod(on_wheel(k.outer_upper), on_body(k.inner_upper), length))
        else:  # the strut is one with the wheel and slides through its top
            top, along = on_body(k.strut_top), on_wheel(k.strut_top) - lower
            square = np.array([-along[1], along[0]]) / np.hypot(*along)
            found.append((top, square, (top - lower) @ square))
        return found

    def sums(self, x: np.ndarray, a: float, *, pulling: bool = False) -> np.ndarray:
        """Of forces and moments over the weight, and of what the links are too long [10 cm].

        x: height and lean of the body; y, z and lean of the left and right wheel; forces of the
        lower and upper link of each over the weight. Sideways the whole balances by itself.
        """
        (heave, lean), wheels, pulls = x[:2], x[2:8].reshape(2, 3), x[8:].reshape(2, 2)
        body = origin, frame = np.array([0.0, heave]), turned(lean)
        weight = self.sprung * np.array([a, -G])
        up, about = weight[1], moment(frame @ np.array([0.0, self.cg_height]), weight)
        loads, springs = self.loads(x, pulling=pulling), self.springs(x)
        sideways = -a / G * self.weight * loads / max(loads.sum(), 1.0)
        left, off = [], []
        for n, (wheel, side) in enumerate(zip(wheels, (LEFT, RIGHT), strict=True)):
            spring = springs[n] * frame[:, 1]
            push, turning = 0.5 * self.unsprung * np.array([a, -G]) - spring, 0.0
            up, about = up + spring[1], about + moment(wheel[:2] - origin, spring)
            # The ground touches below the wheel's middle, or beside it where the wheel leans.
            touching = np.array([-FOLLOWS * self.radius * np.sin(wheel[2]), -wheel[1]])
            ground = np.array([sideways[n], loads[n]])
            push, turning = push + ground, turning + moment(touching, ground)
            for pull, (at, way, gap) in zip(pulls[n], self.links(wheel, side, body), strict=True):
                force = pull * self.weight * way
                push, turning = push + force, turning + moment(at - wheel[:2], force)
                up, about = up - force[1], about - moment(at - origin, force)
                off.append(10.0 * gap)
            left += [*push, turning]
        return np.array([*np.array([up, about, *left]) / self.weight, *off])

    def loads(self, x: np.ndarray, *, pulling: bool = False) -> np.ndarray:
        """Left, right [N]; a tyre may pull where a lift is looked for."""
        reach = 0.5 * self.weight - self.tyre_rate * (x[[3, 6]] - self.radius)
        return reach if pulling else np.maximum(reach, 0.0)

    def springs(self, x: np.ndarray) -> np.ndarray:
        """Push of springs, stops and bar between body and each wheel, along the body's up [N]."""
        middles = (x[2:8].reshape(2, 3)[:, :2] - (0.0, x[0])) @ turned(x[1])
        travel = self.radius - middles[:, 1]  # extension
        push = 0.5 * self.sprung * G - self.wheel_rate * travel
        push += self.bump_rate * np.maximum(-travel - self.bump_gap, 0.0)
        push -= self.rebound_rate * np.maximum(travel - self.rebound_gap, 0.0)
        return push - self.bar * (travel[0] - travel[1]) / self.track**2 * np.array([1.0, -1.0])

    def at_rest(self) -> np.ndarray:
        y, z = self.centre
        return np.array([0.0, 0.0, -y, z, 0.0, y, z, 0.0, *np.zeros(4)])

    def solve(self, a: float, start: np.ndarray) -> np.ndarray | None:
        """Where all sums are zero; None where there is no such place."""
        found = root(lambda x: self.sums(x, a), start, tol=1e-10)
        return found.x if np.abs(found.fun).max() < 1e-8 else None

    def inner_lift(self, a: float, x: np.ndarray) -> float:
        """Lateral acceleration at which the left tyre carries nothing, looked for from `x` on."""

        def left(x: np.ndarray) -> np.ndarray:
            load = self.loads(x[:12], pulling=True)[0] / self.weight
            return np.append(self.sums(x[:12], x[12] * G, pulling=True), load)

        found = root(left, [*x, a / G], tol=1e-10)
        assert np.abs(found.fun).max() < 1e-8, found.message
        return found.x[12] * G

    def roll_centre(self) -> tuple[float, float]:
        """Height at rest, and its rise per rise of the body: from where the patches go."""

        def patch(travel: float) -> np.ndarray:
            def gaps(x: np.ndarray) -> list[float]:
                wheel = np.array([x[0], self.radius - travel, x[1]])
                return [gap for _, _, gap in self.links(wheel, RIGHT, (np.zeros(2), np.eye(2)))]

            found = root(gaps, [0.5 * self.track, 0.0], tol=1e-13)
            assert np.abs(found.fun).max() < 1e-9, found.message
            y, lean = found.x
            return np.array([y, self.radius - travel]) - self.radius * turned(lean)[:, 1]

        def height(travel: float) -> float:
            """Above the patch, along the line square to its way."""
            across, along = patch(travel + 1e-5) - patch(travel - 1e-5)
            return patch(travel)[0] * across / along

        rise = 1e-4
        return height(0.0), (height(rise) - height(-rise)) / (2.0 * rise)


def _rod(on_wheel: np.ndarray, on_body: np.ndarray, before: np.ndarray):
    way = on_wheel - on_body
    long = np.hypot(*way)
    return on_wheel, way / long, long - np.hypot(*before)
