"""Load test, lean test and calibration recover what the full model was given."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.correction_wording import BELOW_ZERO, NOT_PROVEN, calibration_notes
from rollsim.equilibrium import settle
from rollsim.estimates import Estimate
from rollsim.measured import (
    LeanStep,
    LoadStep,
    Unknown,
    arch_lean,
    calibrate,
    fit_lean,
    lean_test,
    load_test,
    net_roll_stiffness,
    pitch_softening,
    roll_gradient,
)
from rollsim.measured.branch import Branch, rubbing
from rollsim.measured.calibrate import moved
from rollsim.roll.figures import TURN, arch_rise
from rollsim.roll.hysteresis import half_width
from rollsim.springs import FrictionLoop
from rollsim.vehicle import Load
from tests.builders import ROOT, SCENARIOS, job

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
DRAWS = 2000
UP, DOWN = Branch.RISING, Branch.FALLING
G = 9.80665


def standing(found_job, *loads):
    state = mass.State("test", loads, changed=False)
    return settle(mass.model(found_job, state), TURN)


# Load test

MASSES = ((50.0, UP), (100.0, UP), (150.0, UP), (100.0, DOWN), (50.0, DOWN), (0.0, DOWN))


def load_readings(*, weighed, friction=0.0):
    """Masses put on over the rear axle of the crew-cab, and its drop on the full model."""
    found_job = job(CREW_CAB)
    start, before = standing(found_job)
    steps = []
    for added, branch in MASSES:
        on = Load("ballast", added, found_job.vehicle.wheelbase, 1.0)
        model, point = standing(found_job, on)
        drop = float(before.x[3, 0] - point.x[3, 0]) - branch.value * friction / 36e3
        on_axle = float(model.axle_mass[1, 0] - start.axle_mass[1, 0])
        steps.append(LoadStep(on_axle if weighed else added, drop, branch))
    return steps


@pytest.mark.parametrize("friction", [0.0, 180.0])
def test_load_test_recovers_rate_and_friction(friction):
    found = load_test(load_readings(weighed=True, friction=friction))
    assert found.wheel_rate.value == pytest.approx(36e3, rel=1e-8)
    assert found.friction.value == pytest.approx(friction, abs=1e-4)
    assert found.largest_residual < 1e-9


def test_masses_that_are_only_counted_need_the_pitch():
    steps = load_readings(weighed=False)
    assert 0.96 < load_test(steps).wheel_rate.value / 36e3 < 0.99
    model, _ = standing(job(CREW_CAB), Load("half", 75.0, job(CREW_CAB).vehicle.wheelbase, 1.0))
    arm = float(model.cg_height[0] - model.roll_centre_height[0, 0])
    softening = pitch_softening(float(model.sprung_mass[0]), arm, float(model.wheelbase[0]))
    corrected = load_test(steps, softening=softening).wheel_rate.value
    # What is left is the pitch of the tyres, about k/k_tyre of the correction: 36/250 × 1.6 %.
    assert corrected == pytest.approx(36e3, rel=0.004)


@pytest.mark.parametrize("stated", [False, True])
def test_standard_errors_of_the_load_test_cover_the_truth(stated):
    rate, friction, noise = 36e3, 180.0, 0.001
    readings = load_readings(weighed=True, friction=friction)
    true = np.array([step.drop for step in readings])
    draws = np.random.default_rng(11).standard_normal((DRAWS, len(MASSES)))
    covered = np.zeros(2)
    for drops in true + noise * draws:
        steps = [replace(step, drop=d) for step, d in zip(readings, drops, strict=True)]
        found = load_test(steps, reading_error=noise if stated else None)
        for n, (estimate, truth) in enumerate(
            ((found.wheel_rate, rate), (found.friction, friction))
        ):
            low, high = estimate.interval
            covered[n] += low <= truth <= high
    assert (covered / DRAWS >= 0.94).all(), covered / DRAWS
    assert (covered / DRAWS <= 0.96).all(), covered / DRAWS


def test_one_branch_says_nothing_of_friction():
    found = load_test([LoadStep(m, m * G / 2 / 36e3, UP) for m in (50.0, 100.0, 150.0)])
    assert found.wheel_rate.value == pytest.approx(36e3)
    assert math.isnan(found.friction.value)


def test_readings_of_the_wrong_sign():
    with pytest.raises(ValueError, match="do not grow with the load"):
        load_test([LoadStep(m, -m * 1e-4, UP) for m in (50.0, 100.0, 150.0)])


def test_a_stage_that_comes_in_shows():
    def drop(added):
        force = 0.5 * G * added
        return force / 36e3 if force < 500.0 else 500.0 / 36e3 + (force - 500.0) / 96e3

    bent = [LoadStep(m, drop(m), UP) for m in (0.0, 50.0, 100.0, 150.0, 200.0)]
    assert load_test(bent).largest_residual > 0.001


# Lean test

PEOPLE = 150.0
SWEEP = ((0.3, UP), (0.6, UP), (0.3, DOWN), (-0.3, DOWN), (-0.6, DOWN), (-0.3, UP))


def people(offset_right):
    return Load("people", PEOPLE, 1.6, 1.0, left_of_centreline=-offset_right)


def state_of_test():
    return mass.State("test", (people(0.0),), changed=False)


def lean_readings(found_job, *, half=0.0):
    steps = []
    for offset, branch in SWEEP:
        _, point = standing(found_job, people(offset))
        lean = float(point.x[1, 0]) - branch.value * half
        steps.append(LeanStep(PEOPLE * offset, lean, branch))
    return steps


PATHS = [path for path in SCENARIOS if job(path).vehicle.cg_left is None]


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_lean_test_recovers_the_net_roll_stiffness(path):
    found = lean_test(lean_readings(job(path)))
    expected = net_roll_stiffness(state_of_test())(job(path))
    assert found.net_roll_stiffness.value == pytest.approx(expected, rel=2e-3)
    assert found.lean_at_rest == pytest.approx(0.0, abs=1e-6)


def test_net_roll_stiffness_by_finite_difference():
    found_job = job(CREW_CAB)
    moved = [float(standing(found_job, people(d))[1].x[1, 0]) for d in (1e-3, -1e-3)]
    slope = (moved[0] - moved[1]) / (2e-3 * PEOPLE * G)
    expected = net_roll_stiffness(state_of_test())(found_job)
    assert 1.0 / slope == pytest.approx(expected, rel=1e-6)


def test_friction_of_the_springs_is_recovered():
    # Leaf springs that hold with 8 %: the loop that `roll.hysteresis` predicts comes back out.
    plain = job(CREW_CAB)
    spring = replace(plain.vehicle.rear.spring, loop=FrictionLoop(fraction=0.08))
    rear = replace(plain.vehicle.rear, spring=spring)
    rubbing_job = replace(plain, vehicle=replace(plain.vehicle, rear=rear))
    expected = half_width(rubbing_job, state_of_test())
    found = lean_test(lean_readings(rubbing_job, half=expected.half_width))
    assert found.half_width.value == pytest.approx(expected.half_width, rel=1e-3)
    by_hand = found.net_roll_stiffness.value * expected.half_width
    assert found.friction.value == pytest.approx(by_hand, rel=1e-3)


def test_standard_errors_of_the_lean_test_cover_the_truth():
    half, noise = math.radians(0.1), math.radians(0.02)
    stiffness = net_roll_stiffness(state_of_test())(job(CREW_CAB))
    readings = lean_readings(job(CREW_CAB), half=half)
    true = np.array([step.lean for step in readings])
    draws = np.random.default_rng(3).standard_normal((DRAWS, len(SWEEP)))
    covered = np.zeros(3)
    for leans in true + noise * draws:
        found = lean_test([replace(s, lean=one) for s, one in zip(readings, leans, strict=True)])
        for n, (estimate, truth) in enumerate(
            (
                (found.net_roll_stiffness, stiffness),
                (found.friction, half * stiffness),
                (found.half_width, half),
            )
        ):
            low, high = estimate.interval
            covered[n] += low <= truth <= high
    assert (covered / DRAWS >= 0.94).all(), covered / DRAWS
    assert (covered / DRAWS <= 0.96).all(), covered / DRAWS


def test_a_batch_of_leans_equals_its_members():
    steps = [LeanStep(PEOPLE * offset, 0.0, branch) for offset, branch in SWEEP]
    leans = np.random.default_rng(2).normal(0.0, 1e-3, (len(SWEEP), 3))
    leans += 9.81 * np.array([[step.moment] for step in steps]) / 8e4
    many = fit_lean(steps, leans)
    for n in range(3):
        one = fit_lean(steps, leans[:, n])
        assert many.coefficients[:, n] == pytest.approx(one.coefficients)
        assert many.reading_error[n] == pytest.approx(one.reading_error)
        assert rubbing(one).stiffness.value == pytest.approx(1.0 / many.coefficients[1, n])


def test_arches_show_the_lean_of_the_model():
    model, point = standing(job(CREW_CAB), people(0.6))
    rise = arch_rise(model, point.x)[:, 1, 0]
    found = arch_lean(rise[0], rise[1], job(CREW_CAB).vehicle.rear.track)
    assert found == pytest.approx(point.x[1, 0], abs=1e-12)
    assert found > 0.0  # people on the right, the right side lower


def test_arches_too_far_apart():
    with pytest.raises(ValueError, match="differ by more than they stand apart"):
        arch_lean(1.8, 0.1, 1.5)


# Calibration


def changed(found_job, unknown):
    """The vehicle as it really is."""
    vehicle = found_job.vehicle
    if unknown is Unknown.CG_HEIGHT:
        return replace(found_job, vehicle=replace(vehicle, cg_height=vehicle.cg_height + 0.04))
    end = "front" if unknown is Unknown.FRONT_ROLL_STIFFNESS else "rear"
    axle = getattr(vehicle, end)
    axle = replace(axle, auxiliary_roll_stiffness=axle.auxiliary_roll_stiffness + 3000.0)
    return replace(found_job, vehicle=replace(vehicle, **{end: axle}))


MOVES = {
    Unknown.FRONT_ROLL_STIFFNESS: 3000.0,
    Unknown.REAR_ROLL_STIFFNESS: 3000.0,
    Unknown.CG_HEIGHT: 0.04,
}


@pytest.mark.parametrize("unknown", MOVES)
@pytest.mark.parametrize("kind", ["lean test", "gradient", "secant"])
def test_calibration_recovers_the_unknown(unknown, kind):
    predict = {
        "lean test": net_roll_stiffness(state_of_test()),
        "gradient": roll_gradient(state_of_test()),
        "secant": roll_gradient(state_of_test(), 0.3 * G),
    }[kind]
    stated = job(CREW_CAB)
    true = changed(stated, unknown)
    measured = Estimate(predict(true), 0.01 * predict(true))
    found = calibrate(stated, unknown, measured, predict=predict)
    assert found.value.value - found.stated == pytest.approx(MOVES[unknown], rel=1e-5)
    assert predict(found.job) == pytest.approx(measured.value, rel=1e-8)
    assert found.predicted_before == predict(stated)
    assert not found.below_zero


def test_calibration_by_the_readings_of_a_lean_test():
    # Through the straight line of the readings, which bends a little at 0.6 m: within 3 % of the
    # 3000 N·m/rad, 0.1 % of the net roll stiffness.
    stated = job(CREW_CAB)
    found = lean_test(lean_readings(changed(stated, Unknown.REAR_ROLL_STIFFNESS)))
    calibration = calibrate(
        stated,
        Unknown.REAR_ROLL_STIFFNESS,
        found.net_roll_stiffness,
        predict=net_roll_stiffness(state_of_test()),
    )
    assert calibration.value.value == pytest.approx(3000.0, rel=0.03)


@pytest.mark.parametrize("unknown", Unknown)
def test_standard_error_is_the_move_that_one_of_the_test_makes(unknown):
    predict, stated = net_roll_stiffness(state_of_test()), job(CREW_CAB)
    value = 1.02 * predict(stated)
    error = 1e-3 * value
    at, more, less = (
        calibrate(stated, unknown, Estimate(v, error, 4.0), predict=predict).value
        for v in (value, value + error, value - error)
    )
    assert at.standard_error == pytest.approx(abs(more.value - less.value) / 2.0, rel=1e-3)
    assert at.degrees_of_freedom == 4.0


@pytest.mark.parametrize("unknown", MOVES)
def test_intervals_of_what_a_lean_test_puts_right_cover_the_truth(unknown):
    """Noisy readings of the full model through the test and the calibration, 2,000 times.

    The calibration itself is taken at nine stiffnesses and read between them: it is smooth.
    """
    stated, noise = job(CREW_CAB), math.radians(0.02)
    predict = net_roll_stiffness(state_of_test())
    readings = lean_readings(changed(stated, unknown))
    true = np.array([step.lean for step in readings])
    draws = true + noise * np.random.default_rng(5).standard_normal((DRAWS, len(SWEEP)))
    tests = [
        lean_test(
            [replace(s, lean=one) for s, one in zip(readings, leans, strict=True)],
            reading_error=noise,
        ).net_roll_stiffness
        for leans in draws
    ]
    values = np.array([one.value for one in tests])
    grid = np.linspace(values.min(), values.max(), 9)
    right = [calibrate(stated, unknown, Estimate(one, 1.0), predict=predict).value for one in grid]
    moved = np.interp(values, grid, [one.value for one in right])
    errors = np.interp(values, grid, [one.standard_error for one in right])
    errors *= [one.standard_error for one in tests]
    start = stated.vehicle.cg_height if unknown is Unknown.CG_HEIGHT else 0.0
    truth = MOVES[unknown] + start
    inside = [
        low <= truth <= high
        for low, high in (
            Estimate(value, error).interval for value, error in zip(moved, errors, strict=True)
        )
    ]
    assert 0.94 <= np.mean(inside) <= 0.96


def test_total_stiffness_keeps_the_proportion_of_the_ends():
    predict, stated = roll_gradient(state_of_test()), job(CREW_CAB)
    found = calibrate(
        stated, Unknown.TOTAL_ROLL_STIFFNESS, Estimate(0.95 * predict(stated), 0.0), predict=predict
    )
    added = [
        getattr(found.job.vehicle, end).auxiliary_roll_stiffness
        - getattr(stated.vehicle, end).auxiliary_roll_stiffness
        for end in ("front", "rear")
    ]
    # By hand: ½ k b² + bar + auxiliary: front ½ 38e3 1.56² + bar, rear ½ 36e3 1.09² + 60·57.3.
    front, rear = stated.vehicle.front, stated.vehicle.rear
    own_front = 0.5 * 38e3 * 1.56**2 + front.bar_roll_stiffness + front.auxiliary_roll_stiffness
    own_rear = 0.5 * 36e3 * 1.09**2 + 60.0 * 180.0 / math.pi
    assert rear.bar_roll_stiffness == 0.0
    assert added[0] / added[1] == pytest.approx(own_front / own_rear, rel=1e-9)
    assert sum(added) == pytest.approx(found.value.value, rel=1e-9)


def test_a_softer_vehicle_is_told():
    predict, stated = net_roll_stiffness(state_of_test()), job(CREW_CAB)
    found = calibrate(
        stated,
        Unknown.FRONT_ROLL_STIFFNESS,
        Estimate(0.95 * predict(stated), 1.0),
        predict=predict,
    )
    assert found.below_zero
    assert found.value.value < 0.0


@pytest.mark.parametrize(
    ("left", "error", "proven", "below"),
    [(-500.0, 50.0, True, True), (-500.0, 9e3, False, False), (500.0, 50.0, True, False)],
)
def test_softer_is_told_only_where_the_whole_interval_says_so(left, error, proven, below):
    """Of the total, so many N·m/rad left: the front alone, which has 0, goes below it always."""
    predict, stated = net_roll_stiffness(state_of_test()), job(CREW_CAB)
    has = sum(getattr(stated.vehicle, end).auxiliary_roll_stiffness for end in ("front", "rear"))
    true = moved(stated, Unknown.TOTAL_ROLL_STIFFNESS, left - has)
    assert true.vehicle.front.auxiliary_roll_stiffness < 0.0
    measured = Estimate(predict(true), error)
    found = calibrate(stated, Unknown.TOTAL_ROLL_STIFFNESS, measured, predict=predict)
    assert (found.is_proven, found.below_zero) == (proven, below)
    told = calibration_notes(found)
    assert (BELOW_ZERO in told, NOT_PROVEN in told) == (below, not proven)


def test_the_interval_holds_what_agrees_with_both_ends_of_the_test():
    """As lean per g goes with one over the stiffness, the stiffer end lies further off."""
    predict, stated = roll_gradient(state_of_test()), job(CREW_CAB)
    measured = Estimate(1.05 * predict(stated), 0.07 * predict(stated))
    found = calibrate(stated, Unknown.TOTAL_ROLL_STIFFNESS, measured, predict=predict)
    met = [predict(moved(stated, found.unknown, end)) for end in found.value.interval]
    assert sorted(met) == pytest.approx(measured.interval, rel=1e-8)
    low, high = found.value.interval
    assert high - found.value.value > 1.2 * (found.value.value - low)


@pytest.mark.parametrize("factor", [50.0, math.nan])
def test_what_no_value_can_meet(factor):
    # Fifty times as stiff is beyond what the tyres allow.
    predict, stated = net_roll_stiffness(state_of_test()), job(CREW_CAB)
    measured = Estimate(factor * predict(stated), 1.0)
    with pytest.raises(ValueError, match=r"something else is wrong|nothing to compare"):
        calibrate(stated, Unknown.REAR_ROLL_STIFFNESS, measured, predict=predict)
