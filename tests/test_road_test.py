"""The road test's method: what a log of the full model says of the vehicle that made it."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from rollsim.road_test import Part, RollKind, Stated, Thrown, analyse, turn_round
from rollsim.road_test.fitting import Known, bend_of_the_line, fit_line
from rollsim.road_test.interval import steadied
from rollsim.road_test.result import DEGREES_PER_G
from rollsim.road_test.signals import corrected, prepare
from rollsim.road_test.stretches import find_stretches
from tests.builders import ROOT, job
from tests.road_logs import LEVELS, NONE, Flaws, G, drive, lean_of, logs

CREW_CAB = job(ROOT / "scenarios" / "crew-cab-touring.toml")
DRAWS = 100
QUIET = Flaws(friction=0.0, crossfall=0.0)


@lru_cache
def true_gradient(state="touring"):
    """Of the full model between the gentlest and the sharpest bend [deg/g]."""
    ends = np.array([LEVELS[0], LEVELS[-1]]) * G
    low, high = lean_of(CREW_CAB, state, ends)
    return (high - low) / (ends[1] - ends[0]) * DEGREES_PER_G


def one(seed=1, **how):
    return logs(CREW_CAB, "touring", seed, **how)[0]


def gradient(log):
    """Measured gradient [deg/g]; fails with the reason where it was refused."""
    found = analyse(log)
    assert found.refused is None, found.refused
    return found.line.gradient.value * DEGREES_PER_G


# The line


def points(per_g=6.0, friction_deg=0.0, noise=0.0, seed=0):
    """Lateral acceleration and roll of stretches with a lean of so many deg/g."""
    lateral = np.concatenate([[x, -x] for x in np.linspace(0.12, 0.38, 14)]) * G
    roll = np.radians(per_g * lateral / G + friction_deg * np.sign(lateral))
    return lateral, roll + noise * np.random.default_rng(seed).standard_normal(len(roll))


def test_uncorrected_reads_low_and_corrected_right():
    # Derived [body-fixed]: a true 6.00 deg/g read uncorrected appears as 5.44 deg/g; half the
    # last digit, and 0.01 for the sine of up to 2.3 deg, which bends the uncorrected line.
    lateral, roll = points()
    reading = lateral * np.cos(roll) + G * np.sin(roll)
    raw = np.degrees(np.polyfit(reading / G, roll, 1)[0])
    assert raw == pytest.approx(5.44, abs=0.01)
    back = corrected(reading, roll)
    assert back == pytest.approx(lateral, rel=1e-12)
    found = fit_line(back, roll, np.arange(len(roll)))
    assert found.gradient.value * DEGREES_PER_G == pytest.approx(6.0, abs=0.005)


def test_an_uncorrected_log_reads_low_and_the_test_corrects_it():
    # The touring crew-cab leans 7.52 deg/g: 7.52 / (1 + 7.52 π/180) = 6.65 uncorrected.
    log = one(flaws=NONE)
    found = find_stretches(prepare(log))
    uncorrected = found.lateral + G * found.roll
    raw = np.polyfit(uncorrected, found.roll, 1)[0] * DEGREES_PER_G
    expected = true_gradient() / (1.0 + np.radians(true_gradient()))
    assert raw == pytest.approx(expected, abs=0.05)
    assert gradient(log) == pytest.approx(true_gradient(), abs=0.05)


def test_leaving_friction_out_biases_the_line():
    # 0.3 deg of friction, lash or crossfall on 0.12 to 0.38 g is about 1 deg/g.
    lateral, roll = points(friction_deg=0.3)
    without = np.degrees(np.polyfit(lateral / G, roll, 1)[0])
    assert 0.8 < without - 6.0 < 1.3
    found = fit_line(lateral, roll, np.arange(len(roll)))
    assert found.gradient.value * DEGREES_PER_G == pytest.approx(6.0, abs=1e-6)
    assert np.degrees(found.friction.value) == pytest.approx(0.3, abs=1e-6)


def test_one_wild_stretch_hardly_moves_the_line():
    lateral, roll = points(noise=np.radians(0.05))
    clean = fit_line(lateral, roll, np.arange(len(roll))).gradient.value
    roll[-1] += np.radians(2.0)
    wild = fit_line(lateral, roll, np.arange(len(roll)))
    assert wild.weights[-1] == wild.weights.min() < 0.1
    columns = np.column_stack([np.ones_like(roll), np.sign(lateral), lateral])
    plain = np.linalg.lstsq(columns, roll, rcond=None)[0][2]
    moved = abs(wild.gradient.value / clean - 1.0)
    assert moved < 0.2 * abs(plain / clean - 1.0)  # what the robust fit saves


def test_stretches_of_one_bend_do_not_count_as_many():
    # Ten copies of each stretch tell no more than one. By hand, White's standard error with each
    # residual grown for its leverage (HC2), the robust fit's residuals over their mean slope.
    lateral, roll = points(noise=np.radians(0.05))
    alone = fit_line(lateral, roll, np.arange(len(roll)))
    many = fit_line(np.repeat(lateral, 10), np.repeat(roll, 10), np.repeat(np.arange(28), 10))
    grown = 1.0 + G * many.gradient.value
    columns = np.column_stack([lateral > 0.0, lateral < 0.0, lateral + G * roll])
    inverse = np.linalg.inv(columns.T @ columns)
    leverage = np.diag(columns @ inverse @ columns.T)
    weights, residuals = many.weights[::10], many.residuals[::10] / grown
    moved = inverse[-1] @ columns.T * weights * residuals / np.mean(weights**3)
    by_hand = grown**2 * np.sqrt((moved**2 / (1.0 - leverage)).sum())
    assert many.gradient.standard_error == pytest.approx(by_hand, rel=1e-9)
    assert many.gradient.degrees_of_freedom < alone.gradient.degrees_of_freedom == 25.0


def test_what_groups_say_of_the_difference_of_two_means():
    """Closed form of two samples, any textbook: s₁²/n₁ + s₂²/n₂; Satterthwaite for one scatter."""
    one, two = np.array([1.0, 2.0, 4.0, 9.0]), np.array([3.0, 5.0, 5.5, 6.0, 8.0, 8.5, 7.0])
    n, m = len(one), len(two)
    values = np.repeat(np.concatenate([one, two]), 2)  # each read twice, which tells nothing more
    second = np.repeat(np.arange(n + m) >= n, 2)
    means = np.where(second, two.mean(), one.mean())
    columns = np.column_stack([np.ones(2 * (n + m)), second])
    known = Known.by(columns, values - means, np.repeat(np.arange(n + m), 2))
    found = known.estimate(two.mean() - one.mean(), np.array([0.0, 1.0]))
    expected = one.var(ddof=1) / n + two.var(ddof=1) / m
    assert found.standard_error**2 == pytest.approx(expected, rel=1e-9)
    freedom = (n + m) ** 2 * (n - 1) * (m - 1) / (n**2 * (n - 1) + m**2 * (m - 1))
    assert found.degrees_of_freedom == pytest.approx(freedom, rel=1e-9)


def test_a_lean_that_bends_is_told():
    lateral, roll = points(noise=np.radians(0.01))
    group = np.arange(len(roll))
    assert not bend_of_the_line(fit_line(lateral, roll, group), lateral, group)[1]
    stiffer = np.sign(lateral) * np.radians(1.5) * np.maximum(np.abs(lateral) / G - 0.25, 0.0) / 0.1
    bent, sure = bend_of_the_line(fit_line(lateral, roll - stiffer, group), lateral, group)
    assert sure
    assert bent > np.radians(0.1)


def test_stretches_that_fix_no_line():
    lateral = np.array([0.3, -0.3, 0.3, -0.3]) * G
    with pytest.raises(ValueError, match="do not fix the line"):
        fit_line(lateral, np.radians(6.0) * lateral / G, np.arange(4))


def test_two_readings_of_lateral_acceleration_scatter_less_than_one():
    """The mean of two independent readings, by any textbook: a quarter of both variances."""
    rng = np.random.default_rng(5)
    true = np.resize([1.2, -1.2, 2.0, -2.0, 3.0, -3.0], 6000)
    one, two = (0.01 * rng.standard_normal(len(true)) for _ in range(2))
    found, shared = steadied(true + one, 1.03 * (true + two))
    assert shared == 0.5
    assert np.std(found - true) == pytest.approx(0.01 / np.sqrt(2.0), rel=0.03)
    assert found @ true / (true @ true) == pytest.approx(1.0, abs=2e-4)  # not the speed's scale
    rough = true + 0.06 * rng.standard_normal(len(true))  # over 0.005 g off
    for missing in (None, rough, np.where(true > 2.5, np.nan, true)):
        assert steadied(true, missing) == (true, 1.0)


# Logs of the full model


def test_the_interval_covers_the_true_gradient():
    # Noise, sway, offset, mounting in roll and pitch, gyro drift, friction loop, up to 2 % of
    # crossfall. A log that is refused as too noisy does not cover.
    truth, covered, values = true_gradient(), 0, []
    for log in logs(CREW_CAB, "touring", 7, count=DRAWS):
        found = analyse(log)
        if found.refused is None:
            low, high = (end * DEGREES_PER_G for end in found.line.gradient.interval)
            covered += low <= truth <= high
            values.append(found.line.gradient.value * DEGREES_PER_G)
    assert covered >= 0.94 * DRAWS
    assert np.mean(values) == pytest.approx(truth, abs=0.1)
    assert 0.3 < np.std(values) < 0.6  # the flaws are no trifle


@pytest.mark.parametrize(("slope", "answered"), [(0.01, 45), (0.02, 20)])
def test_a_place_that_is_one_tilted_plane_gives_no_wrong_figure(slope, answered):
    # It falls to the left on one straight and to the right on the next.
    truth, values, covered = true_gradient(), [], 0
    flaws = Flaws(plane=slope, crossfall=0.0)
    for log in logs(CREW_CAB, "touring", 11, count=60, flaws=flaws):
        found = analyse(log)
        if found.refused is not None:
            continue
        low, high = (end * DEGREES_PER_G for end in found.line.gradient.interval)
        covered += low <= truth <= high
        values.append(found.line.gradient.value * DEGREES_PER_G)
    assert len(values) >= answered
    assert covered >= 0.94 * len(values)
    assert 0.8 * truth < min(values) < max(values) < 1.3 * truth


def test_a_log_without_flaws_reads_the_model():
    found = analyse(one(flaws=NONE))
    assert found.line.gradient.value * DEGREES_PER_G == pytest.approx(true_gradient(), abs=0.02)
    assert abs(np.degrees(found.line.friction.value)) < 0.01
    assert found.bends == (8, 8)
    assert found.range[1] / G == pytest.approx(LEVELS[-1], abs=0.01)
    thrown = dict(found.stretches.thrown)
    whole = sum(thrown.values()) + sum(found.seconds)
    trimmed = 2 * 0.1 * 16  # s, at the ends of each stretch
    assert whole + trimmed == pytest.approx(one(flaws=NONE).time[-1], abs=0.3)


@pytest.mark.parametrize("pitch", [0.0, 3.0])
def test_a_sensor_that_stands_tilted_along_the_vehicle(pitch):
    # It takes yaw for roll: 3 deg of it in a bend of 0.3 g turn 16 deg/s into 0.9 deg/s of roll.
    log = one(flaws=NONE)
    wrong = replace(log, roll=log.roll + np.radians(pitch) * log.yaw_rate)
    assert gradient(wrong) == pytest.approx(true_gradient(), abs=0.05)


def test_no_drive_is_known_better_than_4_per_cent():
    found = analyse(one(flaws=NONE), Stated(gyro_scale=0.001))
    gradient = found.line.gradient
    assert gradient.interval[1] / gradient.value == pytest.approx(1.04, rel=1e-9)
    assert found.parts[Part.FLOOR] == pytest.approx(0.04 * gradient.value, rel=1e-9)


def test_the_scale_of_the_gyros_as_wide_as_it_is_stated():
    # Two standard deviations of 3 % read a true 1 for 1/(1 − 0.06 (1 + gG)) at most.
    found = analyse(one(flaws=NONE), Stated(gyro_scale=0.03))
    gradient = found.line.gradient.value
    most = 1.0 / (1.0 - 0.06 * (1.0 + G * gradient))
    assert 1.0 + found.parts[Part.SCALE] / gradient == pytest.approx(most, rel=1e-9)


def test_offset_and_drift_come_off():
    log = one(flaws=NONE)
    drift = np.radians(0.5 + 0.002 * log.time)
    moved = replace(log, lateral=log.lateral + 0.05 * G, roll=log.roll + drift)
    assert gradient(moved) == pytest.approx(true_gradient(), abs=0.05)


@pytest.mark.parametrize("rate", [25.0, 500.0])
def test_any_sampling(rate):
    log = one(flaws=NONE, rate=rate, levels=(0.12, 0.24, 0.36), laps=1)
    rng = np.random.default_rng(0)
    keep = rng.random(len(log.time)) > 0.2
    uneven = replace(
        log,
        time=log.time[keep],
        lateral=log.lateral[keep],
        roll=log.roll[keep],
        yaw_rate=log.yaw_rate[keep],
        speed=log.speed[keep],
    )
    assert gradient(uneven) == pytest.approx(true_gradient(), abs=0.08)


def without(log, first, last):
    """The log with a gap."""
    keep = (log.time < first) | (log.time > last)
    cut = {name: getattr(log, name)[keep] for name in ("time", "lateral", "roll")}
    return replace(log, **cut, yaw_rate=log.yaw_rate[keep], speed=log.speed[keep])


def test_a_gap_costs_its_bend_alone():
    log = one(flaws=NONE)
    whole, cut = analyse(log), analyse(without(log, 8.5, 11.0))
    assert cut.bends == (whole.bends[0] - 1, whole.bends[1])
    assert Thrown.MISSING in dict(cut.stretches.thrown)
    assert cut.line.gradient.value == pytest.approx(whole.line.gradient.value, rel=2e-3)


def test_missing_readings_are_the_reason_first():
    """A second in seven is missing: no bend is whole, which is no matter of straights."""
    log = one(flaws=NONE)
    gone = log.time % 7.0 < 1.0
    found = analyse(replace(log, roll=np.where(gone, np.nan, log.roll)))
    assert found.refused.endswith("most of the log outside straights: readings are missing")


def test_a_slow_ramp_counts():
    time, _ = drive(10.0, levels=(0.2,), laps=1)
    knots = [(0.0, 0.0)]
    for n in range(6):
        at = knots[-1][0]
        side = 0.38 * G * (1.0 if n % 2 else -1.0)
        knots += [(at + 6.0, 0.0), (at + 22.0, side), (at + 25.0, 0.0)]
    knots.append((knots[-1][0] + 6.0, 0.0))
    time = np.arange(0.0, knots[-1][0], 0.1)
    lateral = np.interp(time, *zip(*knots, strict=True))
    roll = lean_of(CREW_CAB, "touring", lateral)
    reading = lateral * np.cos(roll) + G * np.sin(roll)
    yaw = np.sign(lateral) * np.sqrt(np.abs(lateral) / 25.0)
    log = replace(
        one(flaws=NONE),
        time=time,
        lateral=reading,
        roll=np.gradient(roll, time),
        yaw_rate=yaw,
        speed=np.sqrt(np.maximum(np.abs(lateral), 0.03 * G) * 25.0),
    )
    found = analyse(log)
    assert found.bends == (3, 3)
    assert len(found.stretches.lateral) > 18
    # This log knows no dive, which the speed that rises in the bend would bring: so it is wide.
    low, high = (end * DEGREES_PER_G for end in found.line.gradient.interval)
    assert low < true_gradient() < high
    assert found.parts[Part.DIVE] > found.parts[Part.SCATTER]


def test_mirror():
    log = one()
    plain, mirrored = analyse(log), analyse(turn_round(log, lateral=True, roll=True))
    assert mirrored.line.gradient.value == pytest.approx(plain.line.gradient.value, rel=1e-6)
    assert mirrored.line.offset == pytest.approx(-plain.line.offset, abs=1e-9)
    assert mirrored.bends == plain.bends[::-1]


# What is refused


def test_a_true_angle_is_taken():
    for seed in range(8):
        log = one(seed, kind=RollKind.ANGLE, flaws=QUIET)
        assert "nothing says what made it" in analyse(log).refused
        named = replace(log, angle_by="inertial unit")
        assert gradient(named) == pytest.approx(true_gradient(), abs=1.5)
        stated = analyse(log, Stated(angle_by="inertial unit"))
        assert stated.line.gradient == analyse(named).line.gradient


@pytest.mark.parametrize("bias", [1.0, -0.3])
def test_what_a_gyro_reads_at_rest_changes_nothing(bias):
    log = one()
    still, drifting = (
        analyse(each) for each in (log, replace(log, roll=log.roll + np.radians(bias)))
    )
    assert drifting.line.gradient.value == pytest.approx(still.line.gradient.value, rel=1e-9)
    assert drifting.line.offset == pytest.approx(still.line.offset, abs=1e-9)


def fused(log, constant):
    """The angle that a filter shows which trusts the gyro for so long [s]."""
    step = log.time[1] - log.time[0]
    felt = np.arctan(log.lateral / G)
    if constant == 0.0:
        return replace(log, roll=felt)
    angle, shown = log.roll[0], []
    change = np.diff(log.roll, prepend=log.roll[0])
    for moved, tilt in zip(change, felt, strict=True):
        angle += moved + (tilt - angle) * step / constant
        shown.append(angle)
    return replace(log, roll=np.array(shown))


@pytest.mark.parametrize("reversed_roll", [False, True])
@pytest.mark.parametrize("constant", [0.0, 0.5, 3.0, 10.0, 30.0])
def test_a_fused_angle_is_recognised(constant, reversed_roll):
    log = fused(one(kind=RollKind.ANGLE), constant)
    found = analyse(turn_round(log, lateral=False, roll=reversed_roll))
    assert "as a pendulum would" in found.refused
    assert "gyro's roll rate" in found.refused
    assert found.line is None


REFUSED = {
    "one-sided": (lambda: one(sides=(1.0, 1.0)), "all steady bends go left: needs both directions"),
    "gentle": (lambda: one(levels=(0.1, 0.15, 0.2)), "needs 0.25 g both ways"),
    "all alike": (lambda: one(levels=(0.3, 0.31, 0.32), laps=1), "at least 0.1 g apart"),
    "few": (lambda: one(levels=(0.1, 0.3), laps=1), "needs at least 3 each way"),
    "still": (lambda: replace(one(), lateral=0.0 * one().time), "lateral acceleration does not"),
    "no roll": (lambda: replace(one(), roll=0.0 * one().time + 1.0), "roll rate does not change"),
    "noisy": (lambda: one(flaws=Flaws(sway=np.radians(1.5))), "too noisy"),
    "never straight": (
        lambda: replace(one(), lateral=np.where(one().time < 100.0, 0.3, -0.3) * G),
        "no straight was found",
    ),
    "far off level": (
        lambda: replace(one(flaws=NONE), lateral=one(flaws=NONE).lateral + 0.2 * G),
        "reads 0.20 g sideways, allowed up to 0.12",
    ),
    "speed in km/h": (
        lambda: replace(one(), speed=3.6 * one().speed),
        "one of the three columns has another unit",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_too_little_to_conclude(case):
    make, reason = REFUSED[case]
    found = analyse(make())
    assert reason in found.refused
    assert found.line is None


def test_a_log_that_is_corrected_already_is_refused():
    log, found = one(flaws=NONE), find_stretches(prepare(one(flaws=NONE)))
    assert found.turning == pytest.approx(found.lateral, rel=0.02)
    _, lateral = drive(10.0)
    log = replace(log, lateral=lateral)
    assert "seems to be taken out of the acceleration" in analyse(log).refused
    # Where the vertical axis shows gravity, the reading is believed, and the ratio told.
    up = np.full(len(log.time), G)
    assert analyse(replace(log, vertical=up)).refused is None
    assert "upward it reads 0.00 g" in analyse(replace(log, vertical=0.0 * up)).refused


def test_what_has_to_be_logged():
    log = one()
    assert "no yaw rate is recorded" in analyse(replace(log, yaw_rate=None)).refused
    assert "neither speed nor vertical" in analyse(replace(log, speed=None)).refused
    up = np.full(len(log.time), G)
    assert "misses the dive" in analyse(replace(log, speed=None, vertical=up)).refused


@pytest.mark.parametrize("which", ["lateral", "roll"])
def test_reversed_in_sign(which):
    wrong = turn_round(one(), lateral=which == "lateral", roll=which == "roll")
    found = analyse(replace(wrong, turned_round=()))
    assert "reversed in sign" in found.refused
    assert f"by the yaw rate it is {which}" in found.refused
    # Who just turned it round is not told to.
    assert analyse(wrong).refused.endswith(f": turn the sign of {which} round again")
    right = turn_round(wrong, lateral=which == "lateral", roll=which == "roll")
    assert gradient(right) == gradient(one())
