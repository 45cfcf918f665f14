"""A helper at work and a load off centre in the hand working, worked again by another route."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass, scenario
from rollsim.equilibrium import settle
from rollsim.mass import UNLADEN
from rollsim.reader_units import UnitSystem
from rollsim.roll import TURN, straight_ahead
from rollsim.springs import Helper, Leaf, LeafPack, Leaves, LinearSpring, StatedLoad, TableSpring
from rollsim.teaching import bay, slips, worksheet
from rollsim.teaching.bay import LeanTest
from rollsim.teaching.beyond import Beyond, missed
from rollsim.teaching.board import Part
from rollsim.teaching.hand import find_state, numbers_of, solve
from rollsim.teaching.slips import Slip
from rollsim.teaching.working import written
from rollsim.vehicle import STANDARD_GRAVITY as G
from rollsim.vehicle import Change, Job, Load
from tests.builders import ROOT, job
from tests.test_teaching import CREW_CAB, follow, linear, lines, work_again

CASE = scenario.load(ROOT / "tests" / "cases" / "helper-and-offset.toml").job
IN_DEG = math.degrees(1.0) * G
K1, K2 = 36e3, 60e3


def staged(start: float | None, *, load: Load | None = None, tyre: float = 1e13) -> Job:
    """Heights that settling leaves alone: the body takes both roll centres down with it."""
    given = linear(job(CREW_CAB).vehicle, tyre_rate=tyre)
    spring = LinearSpring(K1, stage_start=start, stage_rate=K2)
    front, rear = (
        replace(axle, roll_centre_height=0.2, roll_centre_travel_ratio=1.0)
        for axle in (given.vehicle.front, given.vehicle.rear)
    )
    vehicle = replace(given.vehicle, front=front, rear=replace(rear, spring=spring))
    return replace(given, vehicle=vehicle, loads=(load,) if load else ())


def tools(left: float = 0.0, *, weighed: bool = False) -> Load:
    """500 kg over the rear axle of 3.085 m: one rear spring carries 2452 N more, 68.1 mm at K1."""
    return Load("tools", 500.0, 3.085, height=1.0, left_of_centreline=left, on_when_weighed=weighed)


# What works on the left and on the right rear spring, for a stage that starts at `start`.
STAGED = {
    "both": (staged(0.030, load=tools()), "as_used", (K1 + K2, K1 + K2)),
    "both, off centre": (staged(0.030, load=tools(0.1)), "as_used", (K1 + K2, K1 + K2)),
    "not yet": (staged(0.080, load=tools()), "as_used", (K1, K1)),
    "left alone": (staged(0.066, load=tools(0.2)), "as_used", (K1 + K2, K1)),
    "left alone, mean short of it": (staged(0.070, load=tools(0.2)), "as_used", (K1 + K2, K1)),
    "right alone": (staged(0.066, load=tools(-0.2)), "as_used", (K1, K1 + K2)),
    "lets go": (staged(-0.010, load=tools(weighed=True)), UNLADEN, (K1, K1)),
    "right lets go": (staged(-0.001, load=tools(0.1, weighed=True)), "as_used", (K1 + K2, K1)),
    "touches as weighed": (staged(0.0), UNLADEN, (K1, K1 + K2)),
}
TWO_RATES = pytest.mark.parametrize(("given", "name", "rates"), STAGED.values(), ids=STAGED)


def rear_springs(lean: float, *, base: float, start: float, load: float) -> float:
    """Moment of two springs that carry 2 `load` above as weighed between them, by bisection."""

    def push(down):
        if start < 0.0:
            return (K1 + K2) * down if down > start else (K1 + K2) * start + K1 * (down - start)
        return K1 * down + K2 * max(down - start, 0.0)

    low, high = -1.0, 1.0
    for _ in range(100):
        mean = 0.5 * (low + high)
        left, right = push(mean + 0.5 * base * lean), push(mean - 0.5 * base * lean)
        low, high = (mean, high) if left + right < 2.0 * load else (low, mean)
    return 0.5 * base * (left - right)


@TWO_RATES
def test_two_springs_that_share_their_load_lean_as_far(given, name, rates):
    """The whole vehicle on rigid tyres, its springs by their force alone, bisected at each turn."""
    numbers = numbers_of(given, name)
    v, by_hand = given.vehicle, solve(numbers)
    on, off = (name == "as_used"), [one for one in given.loads if one.on_when_weighed]
    weight, arm = numbers.sprung_mass * G, numbers.cg_height - 0.2
    moved = sum(one.mass for one in given.loads if on) - sum(one.mass for one in off)
    load = 0.5 * G * moved
    side = sum(one.mass * one.left_of_centreline for one in given.loads if on) * G
    front = 0.5 * 40e3 * v.front.spring_base**2 + v.front.bar_roll_stiffness
    front += v.front.auxiliary_roll_stiffness
    beside = v.rear.bar_roll_stiffness + v.rear.auxiliary_roll_stiffness

    def stands(push):
        low, high = -0.5, 0.5  # to the left positive
        for _ in range(100):
            lean = 0.5 * (low + high)
            held = (front + beside - weight * arm) * lean
            held += rear_springs(
                lean, base=v.rear.spring_base, start=v.rear.spring.stage_start, load=load
            )
            low, high = (lean, high) if held < side + push else (low, lean)
        return lean

    # A left bend: the body leans to the right.
    gradient = (stands(0.0) - stands(-1e-3 * weight * arm)) / (1e-3 * G)
    assert by_hand.roll_gradient == pytest.approx(gradient, rel=1e-6)
    assert (numbers.rear.one_sided or (numbers.rear.spring_rate,) * 2) == pytest.approx(rates)
    if rates[0] == rates[1]:
        assert by_hand.lean_at_rest == pytest.approx(stands(0.0), abs=1e-9)


@TWO_RATES
def test_where_settling_moves_nothing_the_model_says_the_same(given, name, rates):
    by_hand = solve(numbers_of(given, name))
    model, settled = settle(mass.model(given, find_state(given, name)), TURN)
    gradient = straight_ahead(model, settled).roll_gradient[0]
    assert by_hand.roll_gradient == pytest.approx(gradient, rel=2e-3)
    if rates[0] == rates[1]:
        assert by_hand.lean_at_rest == pytest.approx(-settled.x[1, 0], rel=2e-3, abs=1e-9)


def test_the_case_worked_by_pencil():
    """660 kg at 3.0 of 3.085 m: 3147.03 N on one spring; (3147.03 + 60 × 55)/96 = 67.157 mm.

    K rear springs 96 000 × 1.09²/2 = 57 028.8, with the twist 60 466.5 N·m/rad.
    """
    numbers = numbers_of(CASE, "work week")
    sits = numbers.rear.sits
    assert sits.more_load == pytest.approx(3147.03, abs=0.005)
    assert sits.down == pytest.approx(0.067157, abs=5e-7)
    assert numbers.front.sits is None
    found = solve(numbers)
    assert found.rear.springs == pytest.approx(57028.8, abs=0.05)
    assert found.rear.suspension == pytest.approx(60466.5, abs=0.1)
    # 600 kg × 0.15 m × g over K net 106 439 N·m/rad = 8.292 mrad; the left spring 3.76 mm deeper.
    assert found.lean_at_rest == pytest.approx(90.0 * G / 106439.0, rel=1e-5)
    assert sits.apart == pytest.approx(0.545 * 0.008292 * 50332.0 / 60466.5, rel=1e-3)
    assert math.degrees(found.roll_gradient) * G == pytest.approx(7.48, abs=0.005)


def test_an_offset_alone_changes_no_gradient():
    upright, aside = (staged(None, load=tools(left)) for left in (0.0, 0.3))
    by_hand = [solve(numbers_of(one, "as_used")) for one in (upright, aside)]
    assert by_hand[0].roll_gradient == pytest.approx(by_hand[1].roll_gradient, rel=1e-12)
    assert by_hand[1].lean_at_rest == pytest.approx(
        500.0 * 0.3 * G / by_hand[1].net_stiffness, rel=1e-12
    )


def test_a_helper_that_comes_in_bit_by_bit_is_told_as_one():
    """Ten parts of k₂ from 30 to 50 mm push, once all are in, like k₂ from their middle, 40 mm."""
    leaf = Leaf(0.06, 0.007)
    main = Leaves(1.2, (leaf,), (leaf,) * 3, inactive_length=0.1)
    helper = Leaves(1.0, (Leaf(0.06, 0.009),), (Leaf(0.06, 0.009),), inactive_length=0.1)
    given = staged(None, load=tools())
    pack = LeafPack(main, Helper(helper, 0.030, contact_travel=0.020))
    rear = replace(given.vehicle.rear, spring=pack)
    packed = replace(given, vehicle=replace(given.vehicle, rear=rear))
    sits = numbers_of(packed, "as_used").rear.sits
    (stage,) = sits.stages
    assert stage.start == pytest.approx(0.040, rel=1e-12)
    assert stage.step == pytest.approx(helper.rate, rel=1e-12)
    down = (250.0 * G + helper.rate * 0.040) / (main.rate + helper.rate)
    assert sits.down == pytest.approx(down, rel=1e-9)


def test_a_bend_of_a_measured_spring_counts_like_a_helper():
    """30 N/mm up to 60 mm and 50 N/mm from there on; it stands at 40 mm or so as weighed."""
    given = staged(None, load=tools())
    rear = replace(given.vehicle.rear, spring=TableSpring((0.0, 0.15, 0.25), (0.0, 4500.0, 9500.0)))
    measured = replace(given, vehicle=replace(given.vehicle, rear=rear))
    numbers = numbers_of(measured, "as_used")
    carries = 0.5 * G * (given.vehicle.rear_axle_mass - rear.unsprung_mass) + 250.0 * G
    assert carries > 4500.0
    now, was = 0.15 + (carries - 4500.0) / 50e3, (carries - 250.0 * G) / 30e3
    assert numbers.rear.sits.down == pytest.approx(now - was, rel=1e-9)
    assert numbers.rear.spring_rate == pytest.approx(50e3)


def board_cases() -> dict[str, tuple[Job, str]]:
    stated = replace(
        CASE.vehicle.rear,
        spring=LinearSpring(K1, 0.055, K2, stated_load=StatedLoad(3600.0, extension=0.01)),
    )
    weighed = replace(tools(0.2, weighed=True), name="drawers", left_of_centreline=-0.3)
    scales = replace(CASE.vehicle, cg_left=0.012)
    return {
        "case": (CASE, "work week"),
        "case, touring": (CASE, "touring"),
        "own load": (replace(CASE, vehicle=replace(CASE.vehicle, rear=stated)), "work week"),
        "offset on the scales": (replace(CASE, vehicle=scales), "work week"),
        "load on the scales": (replace(CASE, loads=(*CASE.loads, weighed)), "work week"),
        **{name: (given, state) for name, (given, state, _) in STAGED.items()},
        **{
            f"{name}, soft tyres": (linear_tyres(given), state)
            for name, (given, state, _) in STAGED.items()
        },
    }


def linear_tyres(given: Job) -> Job:
    front, rear = (
        replace(axle, tyre=replace(axle.tyre, vertical_rate=250e3))
        for axle in (given.vehicle.front, given.vehicle.rear)
    )
    return replace(given, vehicle=replace(given.vehicle, front=front, rear=rear))


BOARDS = board_cases()


@TWO_RATES
def test_what_is_missed_holds_no_helper_at_straight_ahead(given, name, rates):
    for one in (given, linear_tyres(given)):
        for found in missed(one, name):
            if found.effect in (Beyond.RATE_CHANGE, Beyond.OFF_CENTRE):
                assert abs(found.roll_gradient) * IN_DEG < 0.02


def test_who_leaves_the_helper_out_is_told():
    known = slips.figures(numbers_of(CASE, "work week"))
    assert known[Slip.HELPER_LEFT_OUT] * IN_DEG == pytest.approx(9.61, abs=0.005)
    assert Slip.HELPER_LEFT_OUT not in slips.figures(numbers_of(CASE, "touring"))


def test_one_spring_counted_is_half_of_both_where_they_are_unlike():
    given, name, _ = STAGED["left alone"]
    numbers = numbers_of(given, name)
    halved = solve(
        replace(
            numbers,
            front=replace(numbers.front, spring_rate=20e3),
            rear=replace(numbers.rear, one_sided=(0.5 * (K1 + K2), 0.5 * K1)),
        )
    )
    assert slips.figures(numbers)[Slip.ONE_SPRING] == halved.roll_gradient


def test_a_test_mass_counts_its_weight_by_hand_and_not_its_place():
    """The mean of both sides is asked for: a mass on the left brings in no helper of its own."""
    given = staged(0.004)  # 2.6 mm by the weight alone, 4.7 mm on the left with the mass there
    found = bay.predict(given, UNLADEN, LeanTest(40.0, 0.8, 0.9, 1.5))
    numbers = numbers_of(given, UNLADEN)
    plain = solve(numbers)
    assert numbers.rear.one_sided is None
    moment = 40.0 * G * 0.8
    assert found.by_hand == pytest.approx(moment / plain.net_stiffness, rel=0.01)


@pytest.mark.parametrize("name", BOARDS)
def test_the_given_numbers_name_every_stage_and_every_offset(name):
    given, state = BOARDS[name]
    numbers = numbers_of(given, state)
    rows = worksheet.given(given, state)
    told = [row for row in rows if row.shop.startswith("helper")]
    assert len(told) == len(numbers.rear.sits.told)
    parts = [s.part for s in written(given, state, solve(numbers))]
    assert (Part.RIDE in parts) == (numbers.rear.sits.more_load != 0.0)


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize("name", BOARDS)
def test_a_pupil_gets_to_the_end_with_a_helper_or_an_offset(name, system):
    given, state = BOARDS[name]
    found = lines(given, state, system)
    assert len({step.iso for step in found}) == len(found)
    work_again(found)
    follow(given, state, system)


def test_lift_and_change_leave_a_helper_where_its_load_puts_it():
    """A lift raises body and spring seat alike: no spring is pressed further."""
    lifted = replace(CASE, change=Change(suspension_lift_rear=0.05))
    before = replace(CASE, change=Change())
    downs = [numbers_of(one, "work week").rear.sits.down for one in (lifted, before)]
    assert downs[0] == pytest.approx(downs[1], rel=1e-12)
    assert np.isfinite(downs).all()
