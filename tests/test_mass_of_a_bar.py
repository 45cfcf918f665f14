"""Where the mass of a bar on the chassis sits: over the rear axle, as high as its unsprung mass."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.mass import FittedBar
from rollsim.roll import TURN
from rollsim.roll.figures import cg_height
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Job, Suspension, Tyre, Vehicle

G = 9.80665
WHEELBASE, CG_HEIGHT, CG_LEFT = 3.0, 0.7, 0.02
FRONT = Axle(Suspension.SOLID_AXLE, 1.5, 1.1, 90.0, 0.33, 0.3, 0.5, LinearSpring(4e4), Tyre(25e4))
REAR = Axle(Suspension.SOLID_AXLE, 1.5, 1.1, 110.0, 0.36, 0.3, 0.5, LinearSpring(4e4), Tyre(25e4))
VEHICLE = Vehicle("invented", None, WHEELBASE, 1000.0, 800.0, CG_HEIGHT, CG_LEFT, FRONT, REAR)
HEAVY = 60.0  # kg: no bar weighs as much, so that nothing is lost in rounding


def models(*, on_axle: bool):
    job = Job(VEHICLE)
    plain = mass.model(job, mass.states(job)[0])
    return plain, mass.with_bar(plain, job, FittedBar(0.0, HEAVY, on_axle=on_axle))


def test_a_bar_on_the_chassis_by_hand():
    plain, barred = models(on_axle=False)
    # Sprung: 1600 kg, 690 of them over the rear axle; their CG as high as leaves 0.7 m in all.
    height = (1800.0 * 0.7 - 90.0 * 0.33 - 110.0 * 0.36) / 1600.0
    assert plain.sprung_mass[0] == pytest.approx(1600.0)
    assert plain.cg_height[0] == pytest.approx(height)
    assert barred.sprung_mass[0] == pytest.approx(1660.0)
    assert barred.cg_behind_front[0] == pytest.approx(WHEELBASE * 750.0 / 1660.0)
    assert barred.rear_share[0] == pytest.approx(750.0 / 1660.0)
    assert barred.cg_height[0] == pytest.approx((1600.0 * height + 60.0 * 0.36) / 1660.0)
    assert barred.cg_left[0] == pytest.approx(1800.0 * CG_LEFT / 1660.0)
    assert barred.unsprung_mass[:, 0] == pytest.approx([90.0, 110.0])


@pytest.mark.parametrize("on_axle", [True, False])
def test_the_rear_wheels_carry_all_of_it(on_axle):
    """Its place by what the scales would say: none of it on the front axle."""
    loads, heights = [], []
    for one in models(on_axle=on_axle):
        # Springs and tyres beyond all others: nothing settles, and no pitch moves the CG.
        rates = {name: np.full((2, 1), 1e12) for name in ("spring_rate", "tyre_rate")}
        model, rest = settle(replace(one, **rates), TURN)
        loads.append(TURN.balance(model, rest.x).wheel_loads.sum(axis=0)[:, 0] / G)
        heights.append(cg_height(model, rest.x)[1][0])
    assert loads[0] == pytest.approx([1000.0, 800.0], abs=1e-3)
    assert loads[1] == pytest.approx([1000.0, 800.0 + HEAVY], abs=1e-3)
    assert heights[0] == pytest.approx(CG_HEIGHT, abs=1e-5)
    assert heights[1] == pytest.approx((1800.0 * 0.7 + HEAVY * 0.36) / (1800.0 + HEAVY), abs=1e-5)
