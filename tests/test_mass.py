"""Masses and centres of gravity by hand."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.mass import FittedBar
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Change, Job, Load, Place, Ratings, Suspension, Tyre, Vehicle

G = 9.80665
AXLE = Axle(Suspension.SOLID_AXLE, 1.5, 1.1, 100.0, 0.35, 0.3, 0.5, LinearSpring(40e3), Tyre(250e3))
VEHICLE = Vehicle("Demo", None, 3.0, 1000.0, 800.0, 0.7, 0.0, AXLE, AXLE)
BOX = Load("box", 100.0, 2.0, 1.5, -0.2, Place.ROOF)


def state(job, name):
    return next(s for s in mass.states(job) if s.name == name)


def test_sprung_mass_of_the_weighed_vehicle():
    body = mass.sprung_mass(Job(VEHICLE), state(Job(VEHICLE), "as_weighed"))
    assert body.mass == 1600.0
    assert body.behind_front_axle == pytest.approx(700.0 * 3.0 / 1600.0)
    assert body.height == pytest.approx((1800.0 * 0.7 - 200.0 * 0.35) / 1600.0)
    assert body.left == 0.0


def test_a_load_moves_the_cg():
    job = Job(VEHICLE, (BOX,))
    bare, laden = (mass.sprung_mass(job, state(job, n)) for n in ("unladen", "as_used"))
    assert laden.mass == bare.mass + 100.0
    assert laden.height == pytest.approx((1600.0 * bare.height + 150.0) / 1700.0)
    assert laden.behind_front_axle == pytest.approx((700.0 * 3.0 + 200.0) / 1700.0)
    assert laden.left == pytest.approx(-20.0 / 1700.0)


def test_a_load_that_was_on_the_scales_is_taken_off_unladen():
    job = Job(VEHICLE, (replace(BOX, on_when_weighed=True),))
    names = ("unladen", "as_weighed", "as_used")
    masses = [mass.sprung_mass(job, state(job, n)).mass for n in names]
    assert masses == [1500.0, 1600.0, 1600.0]


def test_cases_hold_their_own_loads():
    loads = (
        replace(BOX, name="a", cases=("tour",)),
        replace(BOX, name="b", cases=("work",), on_when_weighed=True),
        replace(BOX, name="c"),
    )
    job = Job(VEHICLE, loads)
    assert mass.case_names(job) == ("tour", "work")
    held = {s.name: [load.name for load in s.loads] for s in mass.states(job)}
    assert held == {
        "unladen": [],
        "as_weighed": ["b"],
        "tour": ["a", "c"],
        "work": ["b", "c"],
    }


@pytest.mark.parametrize(
    ("on_scales", "lifts"), [(False, (0.0, 0.0, 0.04)), (True, (-0.04, 0.0, 0.0))]
)
def test_lift_is_counted_from_the_scales(on_scales, lifts):
    change = Change(suspension_lift_front=0.04, tyre_radius=0.02, on_when_weighed=on_scales)
    job = Job(VEHICLE, change=change)
    for s, lift in zip(mass.states(job), lifts, strict=True):
        model = mass.model(job, s)
        assert model.lift[0, 0] == lift
        assert model.roll_centre_height[0, 0] == pytest.approx(0.3 + lift / 2.0)
        assert model.unsprung_cg_height[1, 0] == pytest.approx(0.35 + lift / 2.0)


def test_body_lift_raises_its_mass():
    job = Job(VEHICLE, change=Change(body_lift=0.05, body_lift_mass=800.0))
    bare, raised = (mass.sprung_mass(job, s).height for s in mass.states(job)[1:])
    assert raised - bare == pytest.approx(800.0 * 0.05 / 1600.0)


def test_springs_carry_the_as_weighed_load_in_every_state():
    job = Job(VEHICLE, (BOX,), Change(rear_spring=LinearSpring(50e3)))
    for s in mass.states(job):
        model = mass.model(job, s)
        assert model.spring_load[:, 0] == pytest.approx([900.0 * G / 2, 700.0 * G / 2])
        assert model.spring_rate[1, 0] == (50e3 if s.changed else 40e3)


@pytest.mark.parametrize("on_axle", [True, False])
def test_a_bar_brings_its_mass_and_replaces_the_old_one(on_axle):
    rear = replace(AXLE, bar_roll_stiffness=9e3, auxiliary_roll_stiffness=2e3)
    job = Job(replace(VEHICLE, rear=rear))
    plain = mass.model(job, mass.states(job)[0])
    many = mass.with_bar(
        plain, job, FittedBar(np.array([0.0, 2e4]), np.array([0.0, 8.0]), on_axle=on_axle)
    )
    assert many.roll_stiffness[1] == pytest.approx([2e3, 22e3])
    assert many.total_mass == pytest.approx([1800.0, 1808.0])
    assert many.unsprung_mass[1] == pytest.approx([100.0, 108.0 if on_axle else 100.0])


def test_ratings():
    loads = (BOX, replace(BOX, name="two sleepers", mass=150.0, parked_only=True))
    ratings = Ratings(rear_axle=850.0, roof_load=100.0, roof_load_parked=200.0)
    job = Job(VEHICLE, loads, ratings=ratings)
    used = state(job, "as_used")
    checks = {c.name: c for c in mass.rating_checks(job, used, (1033.0, 867.0))}
    assert list(checks) == ["rear_axle", "roof_load", "roof_load_parked"]
    assert [c.over for c in checks.values()] == [True, False, True]
    assert checks["roof_load"].load == 100.0
    assert checks["roof_load_parked"].load == 250.0
    unladen = mass.rating_checks(job, state(job, "unladen"), (1000.0, 800.0))
    assert [c.load for c in unladen] == [800.0, 0.0, 0.0]


def test_an_off_centre_load_on_the_scales_leaves_the_unladen_vehicle_upright():
    # Axle scales say nothing of left and right: the vehicle itself counts as symmetrical.
    awning = replace(BOX, left_of_centreline=0.7, on_when_weighed=True)
    job = Job(replace(VEHICLE, cg_left=None), (awning,))
    unladen, weighed, used = (mass.sprung_mass(job, s).left for s in mass.states(job))
    assert unladen == pytest.approx(0.0, abs=1e-12)
    assert weighed == used == pytest.approx(70.0 / 1600.0)


def test_corner_scales_have_seen_the_off_centre_load():
    awning = replace(BOX, left_of_centreline=0.7, on_when_weighed=True)
    job = Job(replace(VEHICLE, cg_left=0.03), (awning,))
    unladen, weighed, _ = (mass.sprung_mass(job, s).left for s in mass.states(job))
    assert weighed == pytest.approx(1800.0 * 0.03 / 1600.0)
    assert unladen == pytest.approx((1800.0 * 0.03 - 70.0) / 1500.0)


def test_mirror_image():
    job = Job(replace(VEHICLE, cg_left=0.03), (BOX,))
    other = mass.mirrored(job)
    for s, t in zip(mass.states(job), mass.states(other), strict=True):
        assert mass.sprung_mass(other, t).left == -mass.sprung_mass(job, s).left
