"""A vehicle in the language of a general multibody engine: lengths, masses and springs.

Front and rear body are joined by a hinge along the vehicle at the frame's height, stiff or with a
torsion spring. Every mass stands where it is, on both bodies by its place between the axles and
wholly on the rear one behind them. They heave, pitch, yaw, roll and shift sideways together.

A solid axle hangs from its end by a slide along the body and one along the axle, both for one
travel in the shares of the roll centre's travel ratio, and a hinge at the roll centre between them;
with a track bar instead by that rod, hinged to the body and to the axle. Its springs and stops are
tendons to anchors far below, so that they push along the axle's own vertical.

Each wheel of an independent axle hangs from an arm of its own, hinged to the body along the
vehicle: where the vehicle stands at rest, the line from the patch through the hinge meets the
centreline at the roll centre, and the arm is so long that this point moves by the travel ratio. Its
springs and stops are tendons from the arm straight up, its bar turns the arms against each other.
"""

from dataclasses import dataclass, field

import numpy as np

from rollsim.equilibrium import Model
from rollsim.vehicle import TrackBar

DEEP = 20.0  # m: anchors of springs so far off that they push along one line
FAR = 1e6  # m: a tendon that never gets there
ENDS, SIDES = ("front", "rear"), (("left", 1.0), ("right", -1.0))
_ROOT = {"y": "slide", "z": "slide", "yaw": "hinge", "pitch": "hinge", "roll": "hinge"}
_AXES = {"y": "0 1 0", "z": "0 0 1", "yaw": "0 0 1", "pitch": "0 1 0", "roll": "1 0 0"}


@dataclass(frozen=True, slots=True)
class Told:
    """What the engine is told: lengths, masses and rates, and nothing that was solved for.

    `masses` are rows of kg and m behind the front axle, up and left. `frame` is the torsional
    stiffness [N·m/rad] and the height [m] of a frame that twists. `rest` is travel and rise of
    each axle where it stands at rest [m]: there an independent one has its track and its arms.
    """

    model: Model
    masses: np.ndarray
    frame: tuple[float, float] | None = None
    bars: tuple[TrackBar | None, TrackBar | None] = (None, None)
    rest: np.ndarray = field(default_factory=lambda: np.zeros((2, 2)))

    def of(self, name: str, n: int) -> float:
        """A number of an axle."""
        return float(getattr(self.model, name)[n, 0])

    @property
    def tyre_load(self) -> np.ndarray:
        return self.model.tyre_load[:, 0]

    @property
    def tyre_rate(self) -> np.ndarray:
        return self.model.tyre_rate[:, 0]

    @property
    def give(self) -> np.ndarray:
        """Lateral rate of one tyre [N/m]."""
        return self.model.tyre_lateral_rate[:, 0]

    @property
    def unsprung_moment(self) -> np.ndarray:
        """Of each axle's wheels, about the line between their patches [kg·m]."""
        height = self.model.unsprung_cg_height[:, 0] + self.rest[1]
        return self.model.unsprung_mass[:, 0] * height

    def arm(self, n: int) -> tuple[float, float]:
        """Length across of a wheel's arm, and height of its hinge, in the body."""
        half, (s, z), ratio = 0.5 * self.of("track", n), self.rest[:, n], self.of("travel_ratio", n)
        rise = (self.of("roll_centre_height", n) + ratio * s + z) / half
        # From the triangle of hinge, patch and roll centre, moved by a little.
        length = half * (1.0 + rise**2) / (ratio + rise**2)
        return float(length), float(rise * length - s - z)

    def seat(self, n: int) -> float:
        """Height of the springs' seats: in the body, of an independent axle on its arms.

        On an arm as much lower than the hinge as keeps a wheel's rate in roll what it is stated.
        """
        ratio = self.of("travel_ratio", n)
        if self.of("independent", n):
            hinge, patch = self.arm(n)[1], self.patch(n, 1.0)[1]
            return hinge - (hinge - patch) * (1.0 - 1.0 / ratio)
        return self.of("roll_centre_height", n) - (1.0 - ratio) * self.of("lift", n)

    def patch(self, n: int, sign: float) -> tuple[float, float]:
        """Where a tyre stands, left and up, in its carrier."""
        own = self.of("independent", n)
        return 0.5 * sign * self.of("track", n), -own * float(self.rest[:, n].sum())


def vehicle_xml(told: Told) -> str:
    """The vehicle in the engine's own language."""
    length = float(told.model.wheelbase[0])
    hinge = ""
    if told.frame is not None:
        stiffness, height = (float(x) for x in told.frame)
        hinge = _hinge("twist", (0.0, height), more=f'stiffness="{stiffness!r}"')
    root = "".join(
        f'<joint name="{name}" type="{kind}" axis="{_AXES[name]}"/>' for name, kind in _ROOT.items()
    )
    # Of each mass the share of its place turns with the rear end, all of it behind the axle.
    kg, behind, up, left = told.masses.T
    rear = np.clip(behind / length, 0.0, 1.0)
    front_mass, rear_mass = (
        _mass(share @ kg, *(float((share * kg) @ at / (share @ kg)) for at in (-x, left, up)))
        for share, x in ((1.0 - rear, behind), (rear, behind - length))
    )
    arms = told.model.independent[:, 0] > 0.0
    axles = [(_arms_xml if arms[n] else _axle_xml)(told, n) for n in (0, 1)]
    tendons = "".join(_tendons_xml(told, n) for n in (0, 1))
    return f"""<mujoco><compiler angle="radian"/><option gravity="0 0 -9.80665"/>
<worldbody><body name="front_body">{root}{front_mass}{axles[0]}
<body name="rear_body" pos="{-length!r} 0 0">{hinge}{rear_mass}{axles[1]}
</body></body></worldbody><tendon>{tendons}</tendon></mujoco>"""


def _mass(mass: float, forward: float, left: float, up: float) -> str:
    # The inertia does nothing at rest; the engine asks for one.
    at = f"{float(forward)!r} {left!r} {up!r}"
    return f'<inertial pos="{at}" mass="{float(mass)!r}" diaginertia="1 1 1"/>'


def _hinge(name: str, at: tuple[float, float], *, sense: int = 1, more: str = "") -> str:
    """A hinge along the vehicle at a place left and up."""
    place = f'axis="{sense} 0 0" pos="0 {at[0]!r} {at[1]!r}"'
    return f'<joint name="{name}" type="hinge" {place} {more}/>'


def _arms_xml(told: Told, n: int) -> str:
    """Both wheels of an independent axle, each on its arm, their mass where they stand."""
    end, mass, (length, height) = ENDS[n], 0.5 * told.of("unsprung_mass", n), told.arm(n)
    seat, found = told.seat(n), ""
    for side, sign in SIDES:
        name, (y, z) = f"{end}_{side}", told.patch(n, sign)
        # Positive where the wheel goes down.
        hinge = _hinge(name, (y - sign * length, height), sense=int(-sign))
        sites = _site(f"{name}_low", y, seat) + _site(f"{name}_patch", y, z)
        found += f'<body name="{name}">{hinge}{_mass(mass, 0.0, y, z)}{sites}</body>'
        found += _site(f"{name}_top", y, seat + DEEP)
    return found


def _axle_xml(told: Told, n: int) -> str:
    """A solid axle, and the sites of its springs on axle and body."""
    end, pin, seat, bar = ENDS[n], told.of("roll_centre_height", n), told.seat(n), told.bars[n]
    above, own = "", _mass(told.of("unsprung_mass", n), 0.0, 0.0, told.of("unsprung_cg_height", n))
    for side, sign in SIDES:
        own += _site(f"{end}_{side}_patch", *told.patch(n, sign))
        for name, base in _bases(told, n):
            y = 0.5 * sign * base
            above += _site(f"{end}_{name}_{side}_top", y, seat)
            own += _site(f"{end}_{name}_{side}_low", y, pin - DEEP)
    if bar is not None:
        link = _hinge(f"{end}_bar", (bar.body_left, bar.body_height)) + _mass(1e-9, 0.0, 0.0, 0.0)
        hinge = _hinge(f"{end}_bar_axle", (bar.axle_left, bar.axle_height))
        axle = f'<body name="{end}_axle">{hinge}{own}</body>'
        return f'{above}<body name="{end}_track_bar">{link}{axle}</body>'
    slide = '<joint name="{}" type="slide" axis="0 0 1" armature="1"/>'
    return f"""{above}<body name="{end}_axle">{slide.format(f"{end}_on_body")}
{_hinge(f"{end}_hinge", (0.0, pin))}{slide.format(f"{end}_on_axle")}{own}</body>"""


def _site(name: str, y: float, z: float) -> str:
    return f'<site name="{name}" pos="0 {y!r} {z!r}"/>'


def _bases(told: Told, n: int) -> list[tuple[str, float]]:
    """Distances between left and right of the spring and of the stops that there are."""
    found = [("spring", told.of("spring_base", n))]
    for stop, name in enumerate(("bump", "rebound")):
        if told.model.stop_rate[stop, n, 0] > 0.0:
            found.append((name, float(told.model.stop_base[stop, n, 0])))
    return found


def _tendons_xml(told: Told, n: int) -> str:
    """Springs, helper leaves and stops of both sides, and what holds an axle against roll."""
    end, found = ENDS[n], ""
    arms = bool(told.of("independent", n))
    for name, k, low, high in _springs(told, n, DEEP - told.rest[0, n] if arms else _zero(told, n)):
        for side, _ in SIDES:
            at = f"{end}_{side}" if arms else f"{end}_{name}_{side}"
            path = f'<site site="{at}_top"/><site site="{at}_low"/>'
            found += _tendon("spatial", k, (low, high), path)
    stiffness = told.of("roll_stiffness", n)
    if stiffness > 0.0:
        turn = told.arm(n)[0] / told.of("track", n)
        ways = {f"{end}_left": turn, f"{end}_right": -turn}
        if not arms:
            names = (f"{end}_hinge",) if told.bars[n] is None else (f"{end}_bar", f"{end}_bar_axle")
            ways = dict.fromkeys(names, 1.0)
        path = "".join(f'<joint joint="{name}" coef="{x!r}"/>' for name, x in ways.items())
        found += _tendon("fixed", stiffness, (0.0, 0.0), path)
    return found


def _tendon(kind: str, stiffness: float, slack: tuple[float, float], path: str) -> str:
    ends = " ".join(repr(float(x)) for x in slack)
    return f'<{kind} stiffness="{float(stiffness)!r}" springlength="{ends}">{path}</{kind}>'


def _zero(told: Told, n: int) -> float:
    """Length of a tendon at as-weighed height: the spring's own counts from the lift."""
    return DEEP - (1.0 - told.of("travel_ratio", n)) * told.of("lift", n)


def _springs(told: Told, n: int, zero: float) -> list[tuple[str, float, float, float]]:
    """Of one side: name, rate, and the lengths between which it is slack."""
    m, lift = told.model, told.of("lift", n)
    rate, load = told.of("spring_rate", n), told.of("spring_load", n)
    hinges = list(zip(m.hinge_start[:, n, 0], m.hinge_step[:, n, 0], strict=True))
    load -= sum(float(step) * max(-float(start), 0.0) for start, step in hinges)
    found = [("spring", rate, zero + lift + load / rate, zero + lift + load / rate)]
    found += [("spring", float(step), zero + lift - float(start), FAR) for start, step in hinges]
    gaps, rates, ratios = (x[:, n, 0] for x in (m.stop_gap, m.stop_rate, m.stop_ratio))
    slack = ((zero - gaps[0] / ratios[0], FAR), (0.0, zero + gaps[1] / ratios[1]))
    for stop, name in enumerate(("bump", "rebound")):
        found.append((name, float(rates[stop] * ratios[stop] ** 2), *slack[stop]))
    return [one for one in found if one[1] > 0.0]
