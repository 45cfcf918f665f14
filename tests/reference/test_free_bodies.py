"""The balance against free bodies: forces and moments on body and axles, joints and all.

Independent mechanics, not another program: no energy, no generalised force and no derivative, but
three rigid bodies cut free (Newton and Euler in the plane of each axle), the force in every joint
an unknown of its own, solved by scipy. It holds what the energy form has no outside number for:
how wheel rates and spring bases become roll stiffness, how the elastic load transfer is shared, a
second stage, and the tyres' give sideways where a wheel lifts.

Outward (to the right of a left turn) and up are positive, moments that lean outward too.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.optimize import root

from rollsim import mass
from rollsim.equilibrium import settle, tip_over
from rollsim.roll import TURN, follow, transfer_parts
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Job, Suspension, Tyre, Vehicle

G = 9.80665
BOTH, INNER_LEFT_OUT = (True, True), (False, True)


@dataclass(frozen=True)
class End:
    """What one axle and its share of the body have, from the scales and the tape."""

    axle: Axle
    carried: float  # kg on the scales
    cg_height: float  # of the body, m

    @property
    def sprung(self) -> float:
        return self.carried - self.axle.unsprung_mass

    def spring_push(self, extension: float) -> float:
        """Of one spring [N]; it carries half of the sprung weight as weighed."""
        spring = self.axle.spring
        push = 0.5 * self.sprung * G - spring.rate * extension
        if spring.stage_start is not None:
            push += spring.stage_rate * max(-extension - spring.stage_start, 0.0)
        return push


def up(angle: float) -> np.ndarray:
    return np.array([np.sin(angle), np.cos(angle)])


def across(angle: float) -> np.ndarray:
    return np.array([np.cos(angle), -np.sin(angle)])


def moment(at: np.ndarray, force: np.ndarray) -> float:
    return at[1] * force[0] - at[0] * force[1]


def wheel_loads(end: End, p: float, z: float, pulling: bool) -> np.ndarray:
    """Inner, outer [N]; a tyre that `pulling` may, at the very point of lifting."""
    arm = 0.5 * end.axle.track * np.sin(p)
    loads = 0.5 * end.carried * G - end.axle.tyre.vertical_rate * np.array([z + arm, z - arm])
    return loads if pulling else np.maximum(loads, 0.0)


def cut_free(
    end: End, unknowns, *, phi: float, a: float, pulling: bool
) -> tuple[np.ndarray, float]:
    """What is left of the four balances of an end, and its moment on the body about the CG."""
    s, p, z, joint = unknowns
    axle, theta = end.axle, phi - p
    on_body = axle.roll_centre_travel_ratio == 1.0  # the pin belongs to the body, else the axle
    pin = np.array([0.0, z]) + (axle.roll_centre_height + (s if on_body else 0.0)) * up(p)
    raised = pin if on_body else pin + s * up(phi)  # the body's point that was at the pin
    cg = raised + (end.cg_height - axle.roll_centre_height) * up(phi)
    joint_force = joint * (across(p) if on_body else across(phi))

    twisting = (axle.auxiliary_roll_stiffness + axle.bar_roll_stiffness) * theta
    pushed, on_the_body, on_the_axle = np.zeros(2), -twisting, twisting
    for side in (-1.0, 1.0):
        seat = raised + side * 0.5 * axle.spring_base * across(phi)
        extension = (seat - np.array([0.0, z])) @ up(p) - axle.roll_centre_height
        force = end.spring_push(extension) * up(p)
        pushed += force
        on_the_body += moment(seat - cg, force)
        on_the_axle -= moment(seat, force)
    body = pushed + joint_force + end.sprung * np.array([a, -G])
    on_the_body += moment(pin - cg, joint_force)
    on_the_axle -= moment(pin, joint_force)

    loads = wheel_loads(end, p, z, pulling)
    on_ground = 2 if pulling else max(int((loads > 0.0).sum()), 1)
    give = end.carried * a / (on_ground * axle.tyre.lateral_rate)
    own = np.array([0.0, z]) + axle.unsprung_cg_height * up(p)
    on_the_axle += moment(own, axle.unsprung_mass * np.array([a, -G]))
    for side, load in zip((-1.0, 1.0), loads, strict=True):
        patch = np.array([side * 0.5 * axle.track * np.cos(p) - give, 0.0])
        on_the_axle += moment(patch, np.array([0.0, load]))
    # Up: the pushes of the body come down on the axle, whose joint force does too.
    vertical = loads.sum() - axle.unsprung_mass * G - pushed[1] - joint_force[1]
    return np.array([*body, vertical, on_the_axle]), on_the_body


def solve(ends, a: float, start, *, lifting: int | None = None) -> np.ndarray:
    """φ, then s, p, z and joint force of each end; with `lifting`, a last of all.

    `lifting` is the end whose inner wheel is to carry just nothing: `a` is where to start from.
    """
    weight = sum(end.carried for end in ends) * G
    scale = np.array([1.0, *[1.0, 1.0, 1.0, weight] * 2, *([] if lifting is None else [G])])

    def balances(x) -> np.ndarray:
        x = x * scale
        field = a if lifting is None else x[9]
        left, about = [], 0.0
        for n, end in enumerate(ends):
            forces, leaning = cut_free(
                end, x[1 + 4 * n : 5 + 4 * n], phi=x[0], a=field, pulling=lifting is not None
            )
            left.extend(forces)
            about += leaning
        if lifting is not None:
            _, p, z = x[1 + 4 * lifting : 4 + 4 * lifting]
            left.append(wheel_loads(ends[lifting], p, z, True)[0])
        return np.array([*left, about]) / weight

    found = root(balances, np.asarray(start) / scale, tol=1e-13)
    assert np.abs(found.fun).max() < 1e-10, found.message
    return found.x * scale


def vehicle(**rear) -> Vehicle:
    """Invented: a solid axle at each end, springs in front at the wheels; one pin on the body.

    What side force does through a linkage that moves the wheels is in test_planar_linkages.py.
    """
    front = Axle(
        Suspension.SOLID_AXLE,
        *(1.56, 1.56, 105.0, 0.37, 0.085, 1.0),
        LinearSpring(38e3),
        Tyre(260e3, 190e3),
        bar_roll_stiffness=21e3,
    )
    solid = Axle(
        Suspension.SOLID_AXLE,
        *(1.55, 1.09, 190.0, 0.37, 0.42, 0.0),
        LinearSpring(36e3, 0.012, 30e3),
        Tyre(250e3, 170e3),
        auxiliary_roll_stiffness=2.5e3,
    )
    return Vehicle(
        *("invented", None, 3.085, 1130.0, 860.0, 0.72, 0.0, front, replace(solid, **rear))
    )


def both_ways(of: Vehicle):
    """The ends to be cut free, and the model with its settled state."""
    job = Job(of)
    stood = next(state for state in mass.states(job) if state.name == "as_weighed")
    model, settled = settle(mass.model(job, stood), TURN)
    masses = (of.front_axle_mass, of.rear_axle_mass)
    unsprung = [(a.unsprung_mass, a.unsprung_cg_height) for a in (of.front, of.rear)]
    moments = sum(masses) * of.cg_height - sum(m * h for m, h in unsprung)
    height = moments / (sum(masses) - sum(m for m, _ in unsprung))
    ends = [End(a, m, height) for a, m in zip((of.front, of.rear), masses, strict=True)]
    return ends, model, settled


VEHICLES = {
    "as it is": vehicle(),
    "no second stage": vehicle(spring=LinearSpring(36e3)),
    "helper from the start": vehicle(spring=LinearSpring(24e3, 0.0, 45e3)),
    "pin on the body behind": vehicle(roll_centre_travel_ratio=1.0),
    "narrow springs": vehicle(spring_base=0.8),
    "bar behind": vehicle(bar_roll_stiffness=30e3),
}


@pytest.mark.parametrize("name", VEHICLES)
def test_lean_travel_and_wheel_loads(name):
    ends, model, settled = both_ways(VEHICLES[name])
    fields = tuple(x * G for x in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6))
    x = np.zeros(9)
    for a, point in zip(fields, follow(model, settled, fields), strict=True):
        x = solve(ends, a, x)
        q = point.x[:, 0]
        assert q[1] == pytest.approx(x[0], rel=1e-7, abs=1e-9)
        loads = TURN.balance(model, point.x).wheel_loads[..., 0]
        for n, end in enumerate(ends):
            s, p, z, _ = x[1 + 4 * n : 5 + 4 * n]
            assert (q[2 + n], q[4 + n], q[6 + n]) == pytest.approx((s, p, z), rel=1e-6, abs=1e-9)
            assert loads[:, n] == pytest.approx(wheel_loads(end, p, z, False), abs=0.01)


@pytest.mark.parametrize("name", VEHICLES)
def test_elastic_load_transfer_front_and_rear(name):
    """What springs and bars pass on of it, from the moments that they make."""
    ends, model, settled = both_ways(VEHICLES[name])
    (point,) = follow(model, settled, (0.4 * G,))
    x = solve(ends, 0.4 * G, np.zeros(9))
    elastic = transfer_parts(model, point.x)[0, :, 0]
    for n, end in enumerate(ends):
        s, p, _, _ = x[1 + 4 * n : 5 + 4 * n]
        theta, axle = x[0] - p, end.axle
        stiffness = axle.auxiliary_roll_stiffness + axle.bar_roll_stiffness
        middle = s if axle.roll_centre_travel_ratio == 1.0 else s * np.cos(theta)
        arm = 0.5 * axle.spring_base * np.sin(theta)
        inner, outer = end.spring_push(middle + arm), end.spring_push(middle - arm)
        couple = (outer - inner) * 0.5 * axle.spring_base * np.cos(theta) + stiffness * theta
        if axle.roll_centre_travel_ratio == 0.0:
            couple += (inner + outer) * s * np.sin(theta)  # the seats have moved across
        assert elastic[n] * axle.track * np.cos(p) == pytest.approx(couple, rel=1e-6)
    assert 0.1 < elastic[0] / elastic.sum() < 0.9


@pytest.mark.parametrize("name", VEHICLES)
def test_first_wheel_lift_with_tyres_that_give_sideways(name):
    ends, model, settled = both_ways(VEHICLES[name])
    lifts = tip_over(model, settled, TURN).lift[:, 0]
    first = int(np.nanargmin(lifts))
    near = solve(ends, 0.5 * G, np.zeros(9))
    found = solve(ends, 0.5 * G, [*near, 0.8 * G], lifting=first)
    assert lifts[first] == pytest.approx(found[9], rel=1e-6)


@pytest.mark.parametrize("lateral_rate", [80e3, 200e3, 1e9])
def test_tipping_with_tyres_that_give_sideways(lateral_rate):
    """Two axles alike lift at once, and that is where it tips."""
    plain = vehicle()
    same = replace(
        plain.rear, spring=LinearSpring(36e3), tyre=Tyre(250e3, lateral_rate), unsprung_mass=150.0
    )
    alike = replace(plain, front=same, rear=same, front_axle_mass=1000.0, rear_axle_mass=1000.0)
    ends, model, settled = both_ways(alike)
    near = solve(ends, 0.5 * G, np.zeros(9))
    found = solve(ends, 0.5 * G, [*near, 0.8 * G], lifting=0)
    loads = [wheel_loads(end, *found[2 + 4 * n : 4 + 4 * n], True) for n, end in enumerate(ends)]
    assert loads[1][0] == pytest.approx(0.0, abs=1e-3)
    threshold = tip_over(model, settled, TURN).threshold[0]
    assert threshold == pytest.approx(found[9], rel=1e-6)
