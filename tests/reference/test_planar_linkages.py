"""Side force through an independent axle's linkage, against vehicles whose linkage is moved.

Other equations for the same mechanics: `planar_linkages` knows joints, no roll centre and no travel
ratio, and both of these are taken from it. What the program leaves out of a linkage (camber, a
travel ratio that changes on the way) is in the bounds: 3 % of the lift of the inner wheel and of
the lean at 0.7 g, 6 % of that where the travel ratio exceeds 2.5.
"""

from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import settle, tip_over
from rollsim.roll import TURN, follow
from rollsim.roll.figures import spring_travel
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Job, Stop, Suspension, Tyre, Vehicle
from tests.reference.planar_linkages import Linkage, Planar

G = 9.80665


def wishbones(inner_lower: float, inner_upper: float, outer_upper: float) -> Linkage:
    return Linkage((0.35, inner_lower), (0.70, 0.22), (0.45, inner_upper), (0.66, outer_upper))


def strut(inner: float, outer: float) -> Linkage:
    return Linkage((0.36, inner), (0.70, outer), strut_top=(0.55, 0.85))


VEHICLES = {  # all invented: roll centres from 100 to 370 mm, travel ratios from 1.2 to 2.6
    "low wishbones": Planar(wishbones(0.24, 0.52, 0.53)),
    "high wishbones": Planar(wishbones(0.30, 0.50, 0.55)),
    "low struts": Planar(strut(0.23, 0.21)),
    "high struts": Planar(strut(0.29, 0.20), sprung=700.0, cg_height=0.62),
}


def program(of: Planar, **axle):
    """The same vehicle as the program sees it, settled."""
    height, ratio = of.roll_centre()
    one = Axle(
        Suspension.INDEPENDENT,
        *(of.track, of.track, of.unsprung, of.radius, height, ratio),
        LinearSpring(of.wheel_rate),
        Tyre(of.tyre_rate),
        bump_stop=Stop(of.bump_gap, of.bump_rate, of.track),
        bar_roll_stiffness=of.bar,
    )
    one = replace(one, **axle)
    whole = of.sprung + of.unsprung
    cg = (of.sprung * of.cg_height + of.unsprung * of.radius) / whole
    job = Job(Vehicle("invented", None, 3.0, whole, whole, cg, 0.0, one, one))
    return settle(mass.model(job, mass.named(job, "as_weighed")), TURN), ratio


@pytest.mark.parametrize("name", VEHICLES)
def test_lean_and_lift_of_the_inner_wheel(name):
    of = VEHICLES[name]
    (model, settled), ratio = program(of)
    point = of.solve(0.35 * G, np.zeros(4))
    point = of.solve(0.7 * G, 2.0 * point)
    (found,) = follow(model, settled, (0.7 * G,))
    bound = 0.06 if ratio > 2.5 else 0.03
    assert found.x[1, 0] == pytest.approx(point[1], rel=bound)
    lift = of.inner_lift(0.7 * G, point)
    assert np.nanmin(tip_over(model, settled, TURN).lift) == pytest.approx(lift, rel=0.03)
    # The wheels' own share of that: without it the lift comes much later than it does.
    held = replace(model, independent=np.zeros_like(model.independent))
    later = np.nanmin(tip_over(*settle(held, TURN), TURN).lift)
    assert later > lift * 1.02


@pytest.mark.parametrize("height", [-0.04, 0.09, 0.25])
def test_jacking_force(height):
    """Side forces differ by ΔF and lift the body with ΔF (h + s)/(t/2); by hand, stiff tyres.

    A line from the patch to the roll centre rises by h over half a track, so a side force F at the
    patch pushes up with F h/(t/2) on one side and down on the other. Pin on the body: ρ = 1.
    """
    of = VEHICLES["low wishbones"]
    axle = {"roll_centre_height": height, "roll_centre_travel_ratio": 1.0, "bump_stop": None}
    (model, settled), _ = program(of, **axle, tyre=Tyre(1e10))
    (found,) = follow(model, settled, (0.6 * G,))
    left, right = TURN.balance(model, found.x).wheel_loads[:, 0, 0]
    difference = (of.sprung + of.unsprung) * 0.6 * G * (right - left) / (right + left)
    pushed = of.wheel_rate * spring_travel(model, found.x)[:, 0, 0].sum()  # given back by springs
    travel = found.x[2, 0]
    assert abs(pushed) > 50.0
    assert pushed == pytest.approx(difference * (height + travel) / (0.5 * of.track), rel=1e-5)
    assert travel == pytest.approx(pushed / (2.0 * of.wheel_rate), rel=1e-9)
