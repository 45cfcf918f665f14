"""A front and a rear bar together, by hand and from the examples."""

import copy
import math
import tomllib

import numpy as np

from rollsim import scenario, sizing
from rollsim.bar import (
    Installation,
    Mount,
    RearBar,
    Section,
    Steel,
    Stock,
    straight_u,
)
from rollsim.springs import LinearSpring
from rollsim.vehicle import (
    STANDARD_GRAVITY,
    Axle,
    Job,
    Limits,
    Suspension,
    Target,
    Tyre,
    Vehicle,
)
from tests.builders import ROOT

G = STANDARD_GRAVITY
OWN = {
    "section": "28 mm solid",
    "centre_length": "800 mm",
    "bush_spacing": "700 mm",
    "arm_holes": ["250 mm"],
    "bush_rate": "5 kN/mm",
    "link_rate": "12 kN/mm",
    "installation_ratio": 0.62,
    "material": "51CrV4 spring temper",
}
SECTIONS = [f"{size} mm solid" for size in (26, 28, 30, 32, 34, 36)]
LESS = "35 % less than now"
STRONG = {"name": "strong", "allowable_stress": "2000 MPa"}
WITH_BAR = sorted(
    path.stem
    for path in (ROOT / "scenarios").glob("*.toml")
    if "[rear_bar]" in path.read_text(encoding="utf-8")
)


def data_of(stem: str, front_bar: dict | None = None, **own) -> dict:
    """A scenario with its front bar by dimensions, and sections to choose from."""
    data = tomllib.loads((ROOT / "scenarios" / f"{stem}.toml").read_text(encoding="utf-8"))
    bar = {**OWN, **own}
    if data["front"]["suspension"] != "independent":
        del bar["installation_ratio"]
    data["front"]["bar"] = {key: one for key, one in bar.items() if one is not None}
    data["front_bar"] = {"sections": SECTIONS, **(front_bar or {})}
    return data


def both_of(stem: str, front_bar: dict | None = None, **own) -> dict:
    """The same with a target that no front bar on the list reaches without a rear one."""
    data = data_of(stem, front_bar, **own)
    data.setdefault("target", {})["roll_gradient"] = LESS
    return data


def sized(data: dict) -> tuple[scenario.Scenario, sizing.Sizing]:
    found = scenario.from_data(copy.deepcopy(data), "pair.toml")
    return found, sizing.size(found.job, found.rear_bar, found.front_bar)


# By hand


def rigid_vehicle() -> Job:
    """Tyres that do not give, springs alone, nothing that curves: the closed form is exact."""
    tyre = Tyre(1e9)
    front = Axle(
        Suspension.SOLID_AXLE, 1.56, 1.10, 100.0, 0.36, 0.10, 1.0, LinearSpring(36e3), tyre,
        bar_roll_stiffness=14e3,
    )  # fmt: skip
    rear = Axle(
        Suspension.SOLID_AXLE, 1.50, 1.05, 180.0, 0.37, 0.42, 1.0, LinearSpring(34e3), tyre,
        bar_roll_stiffness=4e3,
    )  # fmt: skip
    vehicle = Vehicle("rigid", None, 3.0, 1100.0, 900.0, 0.70, None, front, rear)
    limits = Limits(inner_rear_lift=0.0, safety_factor=1.0)
    return Job(vehicle, target=Target(at=None), limits=limits)


class ByHand:
    """Textbook roll of a body on two axles: φ/a = m h/(K − m g h), ΔF t = K_i φ + m_i h_i + m_u z.

    The equations of every textbook on vehicle dynamics, from memory; nothing of rollsim in them.
    """

    def __init__(self, job: Job) -> None:
        v = job.vehicle
        self.axles = v.front, v.rear
        total = v.front_axle_mass + v.rear_axle_mass
        self.sprung = [m - a.unsprung_mass for m, a in zip(
            (v.front_axle_mass, v.rear_axle_mass), self.axles, strict=True)]  # fmt: skip
        self.m = sum(self.sprung)
        unsprung = sum(a.unsprung_mass * a.unsprung_cg_height for a in self.axles)
        height = (total * v.cg_height - unsprung) / self.m
        axis = sum(m * a.roll_centre_height for m, a in zip(self.sprung, self.axles, strict=True))
        self.h = height - axis / self.m
        self.springs = [a.spring.rate * a.spring_base**2 / 2.0 for a in self.axles]
        self.other = [
            m * a.roll_centre_height + a.unsprung_mass * a.unsprung_cg_height
            for m, a in zip(self.sprung, self.axles, strict=True)
        ]

    def lean(self, bars: tuple[float, float]) -> float:
        """Roll gradient [rad/(m/s²)] with bars [N·m/rad]."""
        return self.m * self.h / (sum(self.springs) + sum(bars) - self.m * G * self.h)

    def share(self, bars: tuple[float, float]) -> float:
        """Front share of load transfer [-]."""
        lean = self.lean(bars)
        front, rear = (
            ((k + b) * lean + o) / a.track
            for k, b, o, a in zip(self.springs, bars, self.other, self.axles, strict=True)
        )
        return front / (front + rear)

    def bars_for(self, lean: float, share: float) -> tuple[float, float]:
        """Both bars [N·m/rad]: the sum from the lean, then one linear equation for the share."""
        total = self.m * self.h / lean + self.m * G * self.h
        t_f, t_r = (a.track for a in self.axles)
        o_f, o_r = self.other
        left = lean * ((1.0 - share) / t_f + share / t_r)
        right = share * (total * lean + o_r) / t_r - (1.0 - share) * o_f / t_f
        front = right / left
        return front - self.springs[0], total - front - self.springs[1]


STEP = 0.01  # of the diameter
STEEL = Steel(name="strong and light", strengths=((math.inf, 1e12),), density=1e-6)


def dense(stiffness: float, *, most: int = 12) -> tuple[RearBar, float]:
    """Solid bars in steps of 1 % around the one with that roll stiffness; its diameter [m].

    Up to `most` steps thicker than that one.
    """
    shape = straight_u(centre_length=0.9, lever=0.25, splay=0.0)

    def bar(sections: tuple[Section, ...]) -> RearBar:
        stock = (Stock(STEEL, sections),)
        return RearBar(Mount.AXLE, 1.0, 0.8, (shape,), None, None, Installation(), stock)

    from rollsim.bar import candidates

    thick = candidates(bar((Section(0.03, None),)), independent=False, track=1.5)
    diameter = 0.03 * (stiffness / float(thick.roll_stiffness[0])) ** 0.25
    around = diameter * (1.0 + STEP * (np.arange(-12, most + 1) + 0.3))
    return bar(tuple(Section(float(d), None) for d in around)), diameter
