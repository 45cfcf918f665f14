"""What the inverse questions vary, and what they say of none and of the most, by vehicles so built.

Two items on a roof that grow together, and the figures at both ends of what was looked at.
"""

import math
from dataclasses import replace

import pytest

from rollsim import mass
from rollsim.roll import SECANT_AT, results
from rollsim.sizing.amounts import lift_amount, spring_amount
from rollsim.sizing.inverse import (
    Goal,
    Kept,
    Seek,
    greatest_load,
    solve,
)
from rollsim.sizing.variants import loaded
from rollsim.springs import LinearSpring
from rollsim.vehicle import Job, Load, Place
from tests.builders import ROOT, job

G = 9.80665
WAGON = ROOT / "scenarios" / "wagon-roof-load.toml"
RACK = Load("rack", 25.0, 1.2, 1.75, 0.0, Place.ROOF)
TENT = Load("tent", 75.0, 1.9, 1.95, 0.0, Place.ROOF)


def wagon(*loads: Load) -> Job:
    """The wagon with these loads alone, none of which was on the scales."""
    plain = job(WAGON)
    rear = replace(plain.vehicle.rear, spring=LinearSpring(38e3))
    return replace(plain, loads=loads, vehicle=replace(plain.vehicle, rear=rear))


def case(of: Job):
    return mass.states(of)[-1]


def figure(of: Job, kept: Kept) -> float:
    """What a goal of that kind keeps, of the vehicle as it is."""
    found = results(of, (SECANT_AT,))[-1]
    tip = found.tip_over_threshold
    lifts = [tip if math.isnan(x) else x for x in (found.inner_front_lift, found.inner_rear_lift)]
    return {
        Kept.ROLL_GRADIENT: found.secant_roll_gradient,
        Kept.TIP_OVER: tip,
        Kept.LEAN: found.curve[0].roll_angle,
        Kept.FRONT_LIFT: lifts[0],
        Kept.REAR_LIFT: lifts[1],
        Kept.FIRST_LIFT: min(lifts),
    }[kept]


@pytest.mark.parametrize("whole", [0.0, 60.0, 160.0])
def test_a_group_keeps_its_shares_and_places(whole):
    of = wagon(RACK, TENT)
    grown = loaded(of, case(of), (RACK, TENT))(whole)
    rack, tent = 0.25 * whole, 0.75 * whole
    by_hand = wagon(replace(RACK, mass=rack), replace(TENT, mass=tent))
    same = mass.model(by_hand, case(by_hand))
    bare = mass.model(wagon(), case(wagon()))
    total = bare.sprung_mass[0] + whole
    assert grown.sprung_mass[0] == pytest.approx(total, rel=1e-12)
    moments = bare.sprung_mass * bare.cg_height + rack * RACK.height + tent * TENT.height
    assert grown.cg_height[0] == pytest.approx(moments[0] / total, rel=1e-12)
    behind = bare.sprung_mass * bare.cg_behind_front
    behind = behind + rack * RACK.behind_front_axle + tent * TENT.behind_front_axle
    assert grown.cg_behind_front[0] == pytest.approx(behind[0] / total, rel=1e-12)
    for name in ("sprung_mass", "cg_height", "cg_behind_front", "rear_share"):
        assert getattr(grown, name) == pytest.approx(getattr(same, name), rel=1e-12)


def test_items_without_a_mass_get_the_same_each():
    empty = tuple(replace(item, mass=0.0) for item in (RACK, TENT))
    grown = loaded(wagon(*empty), case(wagon(*empty)), empty)(80.0)
    by_hand = wagon(replace(RACK, mass=40.0), replace(TENT, mass=40.0))
    same = mass.model(by_hand, case(by_hand))
    assert grown.cg_height == pytest.approx(same.cg_height, rel=1e-12)
    assert grown.cg_behind_front == pytest.approx(same.cg_behind_front, rel=1e-12)


@pytest.mark.parametrize("kept", Kept)
def test_the_greatest_mass_of_two_items_keeps_the_limit(kept):
    of = wagon(RACK, TENT)
    bare = figure(wagon(), kept)
    limit = 0.96 * bare if kept.is_threshold else 1.06 * bare
    found = greatest_load(of, case(of), (RACK, TENT), goal=Goal(kept, limit))
    rack, tent = (replace(x, mass=found.amount * x.mass / 100.0) for x in (RACK, TENT))
    assert 10.0 < found.amount < 400.0
    assert figure(wagon(rack, tent), kept) == pytest.approx(limit, rel=1e-5)


@pytest.mark.parametrize("kept", Kept)
def test_with_none_and_with_the_most_of_a_load(kept):
    of = wagon(RACK, TENT)
    goal = Goal(kept, figure(of, kept))
    found = greatest_load(of, case(of), (RACK, TENT), goal=goal, most=200.0)
    most = wagon(replace(RACK, mass=50.0), replace(TENT, mass=150.0))
    assert found.most == 200.0
    assert found.with_least[0] == pytest.approx(figure(wagon(), kept), rel=1e-7)
    assert found.with_most[0] == pytest.approx(figure(most, kept), rel=1e-7)


@pytest.mark.parametrize("kept", Kept)
def test_with_none_and_with_the_most_of_a_lift(kept):
    free = wagon(RACK, TENT)
    axles = [replace(axle, rebound_limit=None) for axle in (free.vehicle.front, free.vehicle.rear)]
    free = replace(free, vehicle=replace(free.vehicle, front=axles[0], rear=axles[1]))

    def lifted(by: float) -> Job:
        change = replace(free.change, suspension_lift_front=by, suspension_lift_rear=by)
        return replace(free, change=change)

    goal = Goal(kept, figure(lifted(0.04), kept))
    amount = lift_amount(free, case(free), (1.0, 1.0), most=0.1)
    found = solve(amount, Seek.MOST, (goal,))
    assert found.amount == pytest.approx(0.04, abs=1e-5)
    assert found.with_least[0] == pytest.approx(figure(lifted(0.0), kept), rel=1e-7)
    assert found.with_most[0] == pytest.approx(figure(lifted(0.1), kept), rel=1e-7)


@pytest.mark.parametrize("kept", Kept)
def test_with_the_present_and_with_the_stiffest_springs(kept):
    of = wagon(RACK, TENT)
    amount = spring_amount(of, case(of), 1, range_of=(1.0, 3.0))
    found = solve(amount, Seek.LEAST, (Goal(kept, figure(of, kept)),))
    rear = replace(of.vehicle.rear, spring=LinearSpring(3.0 * 38e3))
    stiff = replace(of, vehicle=replace(of.vehicle, rear=rear))
    assert found.with_least[0] == pytest.approx(figure(of, kept), rel=1e-7)
    assert found.with_most[0] == pytest.approx(figure(stiff, kept), rel=1e-7)
