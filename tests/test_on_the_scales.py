"""Weighed loaded and changed: as weighed it is what the scales saw, unladen what was stripped."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim.roll import StateResult, results
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Change, Job, Load, Place, Stop, Suspension, Tyre, Vehicle

G = 9.80665
FRONT_RATE, REAR_RATE, STAGE_AFTER = 40e3, 36e3, 0.055
FRONT = Axle(
    suspension=Suspension.INDEPENDENT,
    track=1.56,
    spring_base=1.56,
    unsprung_mass=105.0,
    unsprung_cg_height=0.40,
    roll_centre_height=0.14,
    roll_centre_travel_ratio=1.0,
    spring=LinearSpring(FRONT_RATE),
    tyre=Tyre(245e3, 170e3),
    bump_stop=Stop(0.11, 150e3, 1.56),
    rebound_limit=Stop(0.07, 400e3, 1.56),
    bar_roll_stiffness=24e3,
)
REAR = Axle(
    suspension=Suspension.SOLID_AXLE,
    track=1.55,
    spring_base=1.09,
    unsprung_mass=190.0,
    unsprung_cg_height=0.405,
    roll_centre_height=0.52,
    roll_centre_travel_ratio=0.5,
    spring=LinearSpring(REAR_RATE, STAGE_AFTER, 60e3),
    tyre=Tyre(250e3, 170e3),
    bump_stop=Stop(0.13, 200e3, 1.0),
    rebound_limit=Stop(0.08, 400e3, 0.85),
    auxiliary_roll_stiffness=3.4e3,
)
WEIGHED = Vehicle(
    name="weighed as it came",
    vehicle_class=None,
    wheelbase=3.1,
    front_axle_mass=1180.0,
    rear_axle_mass=1090.0,
    cg_height=0.83,
    cg_left=None,
    front=FRONT,
    rear=REAR,
)
# Lift alike at both ends, so that taking it out pitches nothing and moves no mass.
CHANGE = Change(
    suspension_lift_front=0.045,
    suspension_lift_rear=0.045,
    tyre_radius=0.02,
    body_lift=0.05,
    body_lift_mass=900.0,
    rear_spring=LinearSpring(47e3),
    on_when_weighed=True,
)
CANOPY = Load("canopy", 120.0, 2.7, 1.5, place=Place.TRAY, on_when_weighed=True)
RACK = Load("rack and tent", 80.0, 1.9, 2.1, place=Place.ROOF, on_when_weighed=True)
HARD = 1e8  # N/m: a tyre that gives by 5 hundredths of a millimetre


def state(of: Job, name: str) -> StateResult:
    return results(of, (0.0, 0.3 * G), only=(name,))[0]


def direct(of: Vehicle) -> StateResult:
    return state(Job(of), "unladen")


@pytest.mark.parametrize("loads", [(), (CANOPY, RACK)])
def test_as_weighed_is_what_the_scales_saw(loads):
    found = state(Job(WEIGHED, loads, CHANGE), "as_weighed")
    assert found.front_axle_mass == pytest.approx(1180.0, rel=1e-12)
    assert found.rear_axle_mass == pytest.approx(1090.0, rel=1e-12)
    assert found.cg_height == pytest.approx(0.83, rel=1e-12)
    at_rest = found.curve[0]
    assert at_rest.heave == pytest.approx(0.0, abs=1e-12)
    assert at_rest.spring_travel == pytest.approx((0.0,) * 4, abs=1e-12)
    assert at_rest.arch_rise == pytest.approx((0.0,) * 4, abs=1e-12)
    assert at_rest.roll_angle == pytest.approx(0.0, abs=1e-12)
    half = G / 2.0
    loads_on_the_ground = (1180.0 * half, 1180.0 * half, 1090.0 * half, 1090.0 * half)
    assert at_rest.wheel_loads == pytest.approx(loads_on_the_ground, rel=1e-12)


def test_as_weighed_has_the_spring_that_was_in_it():
    """The same as a job that knows of no change and has that spring."""
    rear = replace(REAR, spring=CHANGE.rear_spring)
    found = state(Job(WEIGHED, (CANOPY, RACK), CHANGE), "as_weighed")
    by_itself = direct(replace(WEIGHED, rear=rear))
    assert found.roll_gradient == pytest.approx(by_itself.roll_gradient, rel=1e-12)
    assert found.tip_over_threshold == pytest.approx(by_itself.tip_over_threshold, rel=1e-12)


def test_in_use_it_is_as_weighed():
    weighed, used = (
        state(Job(WEIGHED, (CANOPY, RACK), CHANGE), n) for n in ("as_weighed", "as_used")
    )
    assert used.curve == weighed.curve
    assert used.load_transfer == weighed.load_transfer
    assert used.tip_over_threshold == weighed.tip_over_threshold


def moved(axle: Axle, travel: float, *, rise: float, stage: float = 0.0) -> Axle:
    """An axle measured with the body so much higher over it and its wheel centres so much up.

    The pin goes with the body by its travel ratio; stops stay where they are on body and axle.
    """
    spring, bump, rebound = axle.spring, axle.bump_stop, axle.rebound_limit
    if spring.stage_start is not None:
        spring = replace(spring, stage_start=spring.stage_start + stage)
    pin = axle.roll_centre_height + rise + axle.roll_centre_travel_ratio * travel
    return replace(
        axle,
        unsprung_cg_height=axle.unsprung_cg_height + rise,
        roll_centre_height=pin,
        spring=spring,
        bump_stop=replace(bump, gap=bump.gap + travel),
        rebound_limit=replace(rebound, gap=rebound.gap - travel),
    )


def test_changes_taken_off_leave_the_vehicle_that_was_never_changed():
    """Nothing but changes: every height of the unchanged vehicle follows by adding up."""
    total = 1180.0 + 1090.0
    sprung = total - 105.0 - 190.0
    # The whole vehicle is down by the tyres, its body by the lift, part of it by the body lift.
    down = total * 0.02 + sprung * 0.045 + 900.0 * 0.05
    never = replace(
        WEIGHED,
        cg_height=0.83 - down / total,
        front=moved(FRONT, -0.045, rise=-0.02),
        rear=moved(REAR, -0.045, rise=-0.02),
    )
    alike(state(Job(WEIGHED, (), CHANGE), "unladen"), direct(never), rel=1e-9)


def alike(found: StateResult, by_hand: StateResult, *, rel: float) -> None:
    for name in (
        "total_mass",
        "front_axle_mass",
        "cg_height",
        "ssf",
        "roll_gradient",
        "secant_roll_gradient",
        "front_load_transfer_share",
        "inner_front_lift",
        "inner_rear_lift",
        "tip_over_threshold",
        "tilt_table_ratio",
    ):
        assert getattr(found, name) == pytest.approx(
            getattr(by_hand, name), rel=rel, nan_ok=True
        ), name
    wheels = found.curve[1].wheel_loads
    assert wheels == pytest.approx(by_hand.curve[1].wheel_loads, rel=rel)


def stripped(of: Vehicle) -> Vehicle:
    """That vehicle on the scales once load and changes are off, by hand.

    Sprung mass and CG by first moments; ride heights from the rates of the springs that were in
    it before; the pitch that they leave carries the high CG to and fro, so it is found in turns.
    """
    front, rear, span = of.front, of.rear, of.wheelbase
    total = of.front_axle_mass + of.rear_axle_mass
    loads = (of.front_axle_mass - front.unsprung_mass, of.rear_axle_mass - rear.unsprung_mass)
    body = sum(loads)
    high = (
        total * of.cg_height
        - front.unsprung_mass * front.unsprung_cg_height
        - rear.unsprung_mass * rear.unsprung_cg_height
    )
    left = body - 120.0 - 80.0
    back = (loads[1] * span - 120.0 * 2.7 - 80.0 * 1.9) / left
    height = (high - 120.0 * 1.5 - 80.0 * 2.1 - 900.0 * 0.05) / left - 0.02
    pin = front.roll_centre_height - 0.02
    at = back
    for _ in range(60):
        carried = np.array([left * (1.0 - at / span), left * at / span])
        off = (np.array(loads) - carried) * G / 2.0  # less on each spring and on each tyre
        travel = -0.045 + off / np.array([FRONT_RATE, REAR_RATE])
        rise = off / np.array([front.tyre.vertical_rate, rear.tyre.vertical_rate])
        nose_up = (travel + rise)[0] - (travel + rise)[1]
        at = back + (height - pin) * nose_up / span
    above = height + carried @ (travel + rise) / left
    masses = carried + np.array([front.unsprung_mass, rear.unsprung_mass])
    axles = (
        moved(front, travel[0], rise=rise[0] - 0.02),
        moved(rear, travel[1], rise=rise[1] - 0.02, stage=off[1] / REAR_RATE),
    )
    low = sum(x.unsprung_mass * x.unsprung_cg_height for x in axles)
    return replace(
        of,
        front_axle_mass=float(masses[0]),
        rear_axle_mass=float(masses[1]),
        cg_height=float((left * above + low) / masses.sum()),
        front=axles[0],
        rear=axles[1],
    )


def test_load_and_changes_taken_off_leave_the_stripped_vehicle():
    """Hard tyres and pins that go with the body: there no length depends on the datum."""
    of = replace(
        WEIGHED,
        front=replace(FRONT, tyre=Tyre(HARD, 170e3)),
        rear=replace(REAR, tyre=Tyre(HARD, 170e3), roll_centre_travel_ratio=1.0),
    )
    found = state(Job(of, (CANOPY, RACK), CHANGE), "unladen")
    alike(found, direct(stripped(of)), rel=1e-6)


def test_on_soft_tyres_only_the_datum_tells_them_apart():
    """Masses and heights as exact as before; roll differs by the rear springs' datum alone.

    Upright the springs of a half-way pin have no lever about it at as-weighed height; taking
    load off moves that height, by which the stripped vehicle's own datum differs: a moment of
    (1 − ρ) × sprung load × travel per roll of the suspension, which is less than the whole roll.
    """
    found = state(Job(WEIGHED, (CANOPY, RACK), CHANGE), "unladen")
    bare = stripped(WEIGHED)
    by_hand = direct(bare)
    for name in ("total_mass", "front_axle_mass", "rear_axle_mass", "cg_height", "ssf"):
        assert getattr(found, name) == pytest.approx(getattr(by_hand, name), rel=1e-9), name
    sprung = (bare.rear_axle_mass - 190.0) * G
    travel = (WEIGHED.rear_axle_mass - bare.rear_axle_mass) * G / 2.0 / REAR_RATE
    moment = (1.0 - 0.5) * sprung * travel
    # The sprung mass on an arm of 0.45 m at most gives the net stiffness at most.
    stiffness = (bare.front_axle_mass + bare.rear_axle_mass - 295.0) * 0.45 / found.roll_gradient
    miss = abs(found.roll_gradient / by_hand.roll_gradient - 1.0)
    assert miss < moment / stiffness < 0.0015
