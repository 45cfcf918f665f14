"""What the scales say: corners, CG height by axle lift with its error, load items, payload."""

import math

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.estimates import Estimate, coverage_factor, least_squares, propagated
from rollsim.roll.figures import TURN
from rollsim.vehicle import Place
from rollsim.weighing import (
    AxleLift,
    AxleLiftErrors,
    CornerMasses,
    Lift,
    RaisedAxle,
    Tank,
    added_load,
    cg_height,
    cg_height_of_lifts,
    corner_weights,
    lift_notes,
    lift_tangent,
    payload_left,
    tank_load,
    tow_ball_load,
)
from tests.builders import ROOT, SCENARIOS, job

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
DRAWS = 2000


def lifted_mass(vehicle, lift, *, front_radius, rear_radius, raised):
    """On the axle left on the scales: statics of a rigid body, turned point by point."""
    total = vehicle.front_axle_mass + vehicle.rear_axle_mass
    length = vehicle.wheelbase
    front, rear = np.array([0.0, front_radius]), np.array([length, rear_radius])
    cg = np.array([length * vehicle.rear_axle_mass / total, vehicle.cg_height])
    fixed, moving = (front, rear) if raised is RaisedAxle.REAR else (rear, front)
    low, high = 0.0, 1.2
    sense = 1.0 if raised is RaisedAxle.REAR else -1.0

    def turned(point, angle):
        cos, sin = math.cos(sense * angle), math.sin(sense * angle)
        return fixed + np.array([[cos, -sin], [sin, cos]]) @ (point - fixed)

    for _ in range(80):  # the angle at which the wheel centre has risen by the lift
        middle = 0.5 * (low + high)
        risen = turned(moving, middle)[1] - moving[1]
        low, high = (middle, high) if risen < lift else (low, middle)
    end, centre = turned(moving, low)[0], turned(cg, low)[0]
    return total * (end - centre) / (end - fixed[0])


def readings(vehicle, lifts, *, radii=(0.37, 0.37), raised=RaisedAxle.REAR):
    pairs = tuple(
        Lift(
            lift,
            lifted_mass(vehicle, lift, front_radius=radii[0], rear_radius=radii[1], raised=raised),
        )
        for lift in lifts
    )
    return AxleLift(
        vehicle.wheelbase,
        vehicle.front_axle_mass,
        vehicle.rear_axle_mass,
        front_radius=radii[0],
        rear_radius=radii[1],
        lifts=pairs,
        raised=raised,
    )


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
@pytest.mark.parametrize("raised", RaisedAxle)
@pytest.mark.parametrize("radii", [(0.37, 0.37), (0.33, 0.38), (0.38, 0.33)])
@pytest.mark.parametrize("lifts", [(0.6,), (0.4, 0.6, 0.9)])
def test_axle_lift_finds_the_cg_height(path, raised, radii, lifts):
    vehicle = job(path).vehicle
    test = readings(vehicle, lifts, radii=radii, raised=raised)
    assert cg_height(test).height.value == pytest.approx(vehicle.cg_height, abs=1e-9)


def test_axle_lift_to_4_kg_is_good_to_30_mm():
    # The figure of the trade: what 4 kg of the difference move at 600 mm, and √2 of it where both
    # readings carry 4 kg.
    vehicle = job(CREW_CAB).vehicle
    test = readings(vehicle, (0.6,))
    more = AxleLift(
        test.wheelbase,
        test.front_axle_mass,
        test.rear_axle_mass,
        front_radius=0.37,
        rear_radius=0.37,
        lifts=(Lift(0.6, test.lifts[0].mass + 4.0),),
    )
    moved = cg_height_of_lifts(more) - cg_height_of_lifts(test)
    by_hand = vehicle.wheelbase * 4.0 / (1990.0 * lift_tangent(3.085, 0.6))
    assert moved == pytest.approx(by_hand, rel=1e-9)
    assert moved == pytest.approx(0.030, abs=0.0015)
    scales_alone = AxleLiftErrors(mass=4.0, height=0.0, wheelbase=0.0, radius=0.0)
    assert lift_notes(cg_height(test))[0].startswith("4 kg on the scales are 31 mm of CG height")
    error = cg_height(test, scales_alone).height.standard_error
    # The total carries the error of both axles as well, which adds less than a per cent.
    assert error == pytest.approx(math.sqrt(2.0) * moved, rel=0.01)


def test_standard_error_covers_the_truth():
    vehicle = job(CREW_CAB).vehicle
    errors = AxleLiftErrors(mass=3.0, height=0.004, wheelbase=0.003, radius=0.003)
    true = readings(vehicle, (0.5, 0.7, 0.9))
    draws = np.random.default_rng(5).standard_normal((DRAWS, 11))
    inside = 0
    for d in draws:
        noisy = AxleLift(
            true.wheelbase + errors.wheelbase * d[0],
            true.front_axle_mass + errors.mass * d[1],
            true.rear_axle_mass + errors.mass * d[2],
            front_radius=true.front_radius + errors.radius * d[3],
            rear_radius=true.rear_radius + errors.radius * d[4],
            lifts=tuple(
                Lift(lift.height + errors.height * d[5 + n], lift.mass + errors.mass * d[8 + n])
                for n, lift in enumerate(true.lifts)
            ),
        )
        low, high = cg_height(noisy, errors).height.interval
        inside += low <= vehicle.cg_height <= high
    assert 0.94 <= inside / DRAWS <= 0.96


def test_scatter_of_the_lifts_is_told():
    test = readings(job(CREW_CAB).vehicle, (0.4, 0.6, 0.8))
    assert cg_height(test).scatter_error == pytest.approx(0.0, abs=1e-9)
    moved = [Lift(x.height, x.mass + d) for x, d in zip(test.lifts, (9, -9, 9), strict=True)]
    scattered = AxleLift(
        test.wheelbase, 1130.0, 860.0, front_radius=0.37, rear_radius=0.37, lifts=tuple(moved)
    )
    assert cg_height(scattered).scatter_error > 0.02
    assert math.isnan(cg_height(readings(job(CREW_CAB).vehicle, (0.6,))).scatter_error)


def test_a_low_lift_is_told():
    assert any(
        "15 deg" in n for n in lift_notes(cg_height(readings(job(CREW_CAB).vehicle, (0.6,))))
    )
    high = cg_height(readings(job(CREW_CAB).vehicle, (0.7, 0.9)))
    assert not any("15 deg" in note for note in lift_notes(high))


@pytest.mark.parametrize(
    ("lifts", "told"),
    [
        ((), "at least one"),
        ((Lift(3.5, 1200.0),), "below the wheelbase"),
        ((Lift(0.0, 1200.0),), "above 0"),
        ((Lift(0.6, 2400.0),), "below the whole 1990 kg"),
    ],
)
def test_lifts_that_cannot_be(lifts, told):
    with pytest.raises(ValueError, match=told):
        cg_height(AxleLift(3.085, 1130.0, 860.0, front_radius=0.37, rear_radius=0.37, lifts=lifts))


# Corners


def test_corners_by_hand():
    found = corner_weights(CornerMasses(500, 540, 430, 410), 3.0, 1.6, rear_track=1.5)
    assert found.total == 1880
    assert (found.front_axle, found.rear_axle) == (1040, 840)
    assert found.cross_weight == pytest.approx((540 + 430) / 1880)
    assert found.cg_behind_front_axle == pytest.approx(3.0 * 840 / 1880)
    assert found.cg_left == pytest.approx((-40 * 0.8 + 20 * 0.75) / 1880)


def test_mirror_of_corners():
    one = corner_weights(CornerMasses(500, 540, 430, 410), 3.0, 1.6, rear_track=1.5)
    other = corner_weights(CornerMasses(540, 500, 410, 430), 3.0, 1.6, rear_track=1.5)
    assert other.cg_left == -one.cg_left
    assert other.cross_weight == pytest.approx(1.0 - one.cross_weight)
    assert other.left_share == pytest.approx(1.0 - one.left_share)


@pytest.mark.parametrize("each", [(-1, 500, 400, 400), (0, 0, 0, 0)])
def test_corners_that_cannot_be(each):
    with pytest.raises(ValueError, match="corner masses"):
        corner_weights(CornerMasses(*each), 3.0, 1.6, rear_track=1.6)


# Load items


def settled_axles(found_job, loads):
    state = mass.State("x", loads, changed=False)
    model, settled = settle(mass.model(found_job, state), TURN)
    pitch = (settled.x[2] + settled.x[6] - settled.x[3] - settled.x[7])[0] / model.wheelbase[0]
    arm = model.cg_height[0] - model.roll_centre_height[0, 0]
    return model.axle_mass[:, 0], model.sprung_mass[0] * arm * pitch


def test_tow_ball_unloads_the_front_axle():
    found_job = job(CREW_CAB)
    ball = tow_ball_load(200.0, 1.2, wheelbase=found_job.vehicle.wheelbase, height=0.45)
    assert ball.place is Place.TOW_BAR
    before, _ = settled_axles(found_job, ())
    after, carried_back = settled_axles(found_job, (ball,))
    # By its lever, and by the vehicle's own CG that pitch carries back.
    lever = (200.0 * 1.2 + carried_back) / found_job.vehicle.wheelbase
    assert 0.0 < carried_back < 0.1 * 200.0 * 1.2
    assert after[0] - before[0] == pytest.approx(-lever, abs=1e-6)
    assert (after - before).sum() == pytest.approx(200.0)


@pytest.mark.parametrize(
    ("fill", "litres_of_water", "height"), [(1.0, 80.0, 0.65), (0.25, 20.0, 0.5375)]
)
def test_tank(fill, litres_of_water, height):
    found = tank_load(Tank(0.080, 1000.0, 0.5, 0.3), fill, 2.4, left_of_centreline=-0.3)
    assert found.mass == pytest.approx(litres_of_water)
    assert found.height == pytest.approx(height)
    assert found.left_of_centreline == -0.3


def test_an_empty_tank_weighs_nothing():
    assert tank_load(Tank(0.080, 840.0, 0.5, 0.3), 0.0, 2.4).mass == 0.0
    with pytest.raises(ValueError, match="allowed 0 to 1"):
        tank_load(Tank(0.080, 840.0, 0.5, 0.3), 1.1, 2.4)


def corners_of(found_job, loads):
    """Four corner masses from the wheel loads of the full model."""
    state = mass.State("x", loads, changed=False)
    model, settled = settle(mass.model(found_job, state), TURN)
    wheels = TURN.balance(model, settled.x).wheel_loads[..., 0] / 9.80665
    return CornerMasses(wheels[0, 0], wheels[1, 0], wheels[0, 1], wheels[1, 1])


def test_before_and_after_by_hand():
    # 160 kg at 1.0 m behind the front axle of 3.0 m and 0.25 m left of the middle, both tracks
    # 1.6 m: rear third; left surplus 160 × 0.25 / 0.8 = 50 kg, shared as the axles are.
    before = CornerMasses(500, 500, 400, 400)
    front, rear = 160 * 2 / 3, 160 / 3
    shift_front, shift_rear = 50 * 2 / 3, 50 / 3
    after = CornerMasses(
        500 + (front + shift_front) / 2,
        500 + (front - shift_front) / 2,
        400 + (rear + shift_rear) / 2,
        400 + (rear - shift_rear) / 2,
    )
    found = added_load(before, after, wheelbase=3.0, front_track=1.6, rear_track=1.6, height=1.2)
    assert found.mass == pytest.approx(160.0)
    assert found.behind_front_axle == pytest.approx(1.0)
    assert found.left_of_centreline == pytest.approx(0.25)
    assert found.height == 1.2


def test_before_and_after_on_the_full_model():
    # The model squats and leans under the item, and its own CG moves with that: the shift in plan
    # is the sprung mass's moment arm times pitch and lean, which the docstring owns up to.
    found_job = job(CREW_CAB)
    item = tank_load(Tank(0.15, 1000.0, 0.9, 0.4), 1.0, 2.6, left_of_centreline=0.2)
    vehicle = found_job.vehicle
    found = added_load(
        corners_of(found_job, ()),
        corners_of(found_job, (item,)),
        wheelbase=vehicle.wheelbase,
        front_track=vehicle.front.track,
        rear_track=vehicle.rear.track,
        height=item.height,
    )
    assert found.mass == pytest.approx(150.0, abs=1e-6)
    back = settled_axles(found_job, (item,))[1] / 150.0
    assert 0.0 < back < 0.2
    assert found.behind_front_axle - back == pytest.approx(item.behind_front_axle, abs=1e-6)
    # It leans to the side of the item, and so reads further out than it stands.
    assert item.left_of_centreline < found.left_of_centreline < 1.2 * item.left_of_centreline


def test_nothing_added():
    same = CornerMasses(500, 500, 400, 400)
    with pytest.raises(ValueError, match="nothing was added"):
        added_load(same, same, wheelbase=3.0, front_track=1.6, rear_track=1.6, height=1.0)


# Payload


def test_payload_by_hand():
    # Crew-cab, unladen on its own scales: 1480 − 1130, 1850 − 860, 3150 − 1990, 100 − 0 kg.
    found = [p.left for p in payload_left(job(CREW_CAB)) if p.state == "unladen"]
    assert found == pytest.approx([350.0, 990.0, 1160.0, 100.0])


def test_payload_of_the_roof_by_hand():
    found = {(p.state, p.rating): p.left for p in payload_left(job(CREW_CAB))}
    assert found["touring", "roof_load"] == pytest.approx(100.0 - 62.0)
    assert found["touring", "gross_vehicle_mass"] == pytest.approx(3150 - 1990 - 60 - 62 - 80)


# Estimates


def test_least_squares_against_a_library():
    rng = np.random.default_rng(1)
    columns = np.stack([np.ones(9), np.arange(9.0), rng.standard_normal(9)])
    y = rng.standard_normal((9, 4))
    fit = least_squares(columns, y)
    for n in range(4):
        expected, squares, *_ = np.linalg.lstsq(columns.T, y[:, n], rcond=None)
        assert fit.coefficients[:, n] == pytest.approx(expected)
        assert fit.reading_error[n] == pytest.approx(math.sqrt(squares[0] / 6.0))
        spread = np.sqrt(np.diag(np.linalg.inv(columns @ columns.T)) * squares[0] / 6.0)
        for k, slope in enumerate(np.eye(3)):
            assert fit.combination(slope)[n] == pytest.approx(spread[k])


def test_readings_that_fix_nothing():
    with pytest.raises(ValueError, match="do not fix 2 unknowns"):
        least_squares(([1, 1, 1], [2, 2, 2]), np.array([1.0, 2.0, 3.0]))


def test_exact_readings_leave_no_scatter_to_judge_by():
    fit = least_squares(([1, 1], [0, 1]), np.array([1.0, 3.0]))
    assert np.isnan(fit.reading_error)
    assert math.isnan(coverage_factor(fit.degrees_of_freedom))


def test_interval_and_propagation():
    assert Estimate(10.0, 1.0).interval == pytest.approx((8.04, 11.96), abs=5e-3)
    assert coverage_factor(2.0) == pytest.approx(4.303, abs=5e-4)  # Student's t, any table
    product = propagated(lambda x: x[0] ** 2 * x[1], (2.0, 5.0), (0.1, 0.2))
    assert product.standard_error == pytest.approx(math.hypot(20.0 * 0.1, 4.0 * 0.2))
