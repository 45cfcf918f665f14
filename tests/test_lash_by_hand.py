"""Lash lets the axle twist further before the lower wheel lifts, and takes that from the bar."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from rollsim.bar import Installation, Mount, RearBar, Section, Stock, find_steel, straight_u
from rollsim.roll import results
from rollsim.sizing import size
from rollsim.sizing.articulation import TWISTS, lift_twist
from rollsim.springs import LinearSpring
from rollsim.vehicle import Limits, Stop, Target
from tests.builders import ROOT, job

G = 9.80665
DIAMETER, LEVER, CENTRE, BUSHES = 0.025, 0.29, 0.94, 0.82
SPRING_RATE, SPRING_BASE, AUXILIARY = 36e3, 1.09, 2e3


def test_without_springs_the_twist_is_the_lash_and_what_the_bar_gives():
    wheel_moment, stiffness = 6000.0, np.array([3e4, 6e4])
    for lash in (0.0, 0.01, 0.03):
        found = lift_twist(np.zeros(TWISTS.size), wheel_moment, stiffness, np.full(2, lash))
        assert found == pytest.approx(lash + wheel_moment / stiffness, abs=1e-8)


def loaded():
    """The crew-cab, touring alone, with straight rear springs and stops that no twist reaches."""
    plain = job(ROOT / "scenarios" / "crew-cab-touring.toml")
    far = Stop(0.5, 100e3, 1.0)
    rear = replace(
        plain.vehicle.rear,
        spring=LinearSpring(SPRING_RATE),
        spring_base=SPRING_BASE,
        auxiliary_roll_stiffness=AUXILIARY,
        bump_stop=far,
        rebound_limit=far,
    )
    return replace(
        plain,
        vehicle=replace(plain.vehicle, rear=rear),
        loads=tuple(x for x in plain.loads if x.cases is None or "touring" in x.cases),
        change=replace(plain.change, suspension_lift_front=0.0, suspension_lift_rear=0.0),
        limits=replace(Limits(), dynamic_factor=1.0),
        target=Target(case="touring"),
    )


def sized(lash: float):
    shape = straight_u(centre_length=CENTRE, lever=LEVER, splay=0.2)
    stocks = (Stock(find_steel("52CrMoV4 hardened and tempered"), (Section(DIAMETER, None),)),)
    hung = Installation(lash=lash)
    bar = RearBar(Mount.AXLE, 1.0, BUSHES, (shape,), None, None, hung, stocks)
    return size(loaded(), bar).candidates[0]


def stress_by_hand(moment: float) -> float:
    """Von Mises [MPa] where a straight U is bent most or twisted most: arm root and bush."""
    spacing = CENTRE + 2.0 * LEVER * math.tan(0.2)
    force, modulus = moment / spacing, math.pi * DIAMETER**3 / 32.0
    at_root = force * LEVER / math.cos(0.2) / modulus
    bend, twist = force * (spacing - BUSHES) / 2.0 / modulus, force * LEVER / (2.0 * modulus)
    return max(at_root, math.sqrt(bend**2 + 3.0 * twist**2)) / 1e6


@pytest.mark.parametrize("lash", [0.0, 0.004, 0.012])
def test_twist_stress_with_lash(lash):
    c = sized(lash)
    laden = results(loaded(), (), only=("touring",))[0]
    # Half the lash at each end, over half the distance between the links.
    dead = lash / (CENTRE + 2.0 * LEVER * math.tan(0.2))
    wheel_moment = laden.rear_axle_mass * G * loaded().vehicle.rear.track / 2.0

    def left(twist: float) -> float:
        springs = SPRING_RATE * SPRING_BASE**2 / 2.0 * math.sin(twist) * math.cos(twist)
        bar = c.roll_stiffness * max(twist - dead, 0.0)
        return wheel_moment - springs - AUXILIARY * twist - bar

    twist = brentq(left, 0.0, 0.7)
    expected = stress_by_hand(c.roll_stiffness * (twist - dead))
    # 0.6 %: the springs are straightened out by the twist while they carry the same load.
    assert c.twist_stress / 1e6 == pytest.approx(expected, rel=0.006)


def test_more_lash_less_stress_and_more_flex():
    found = [sized(lash) for lash in (0.0, 0.004, 0.012)]
    stress = [c.twist_stress for c in found]
    lost = [c.articulation_lost for c in found]
    assert stress == sorted(stress, reverse=True)
    assert lost == sorted(lost, reverse=True)
    assert stress[-1] < 0.97 * stress[0]
