"""Where the road test draws its lines: a little on either side of each, on readings by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim.estimates import Estimate, coverage_factor
from rollsim.road_test import Thrown, analyse, analysis
from rollsim.road_test.columns import UNITS, Found, Role
from rollsim.road_test.fitting import fit_line
from rollsim.road_test.interval import measured_line
from rollsim.road_test.signals import Signals, prepare
from rollsim.road_test.stretches import find_stretches
from tests.builders import ROOT, job
from tests.road_logs import NONE, G, logs

CREW_CAB = job(ROOT / "scenarios" / "crew-cab-touring.toml")
RATE = 10.0  # Hz


def clean(**how):
    return logs(CREW_CAB, "touring", 1, flaws=NONE, **how)[0]


def one_bend(lateral: np.ndarray) -> Signals:
    """One bend with that lateral acceleration at 10 Hz, a straight of 5 s on both sides."""
    straight = np.zeros(50)
    whole = np.concatenate([straight, lateral, straight])
    bend = np.where(np.arange(whole.size) < 50, -1, 0)
    bend[-50:] = -1
    none = np.zeros(whole.size, dtype=bool)
    return Signals(
        time=np.arange(whole.size) / RATE,
        reading=whole,
        roll=0.05 * whole,
        lateral=whole,
        yaw_rate=None,
        speed=None,
        bend=bend,
        missing=none,
        raw_roll=0.05 * whole,
        offset=0.0,
        plain=whole,
        exchanged=False,
        missed=0.0 * whole,
        held=0.0 * whole,
        vertical=None,
    )


def ramp(per_second: float, seconds: float = 12.0) -> np.ndarray:
    return 0.2 * G + per_second * np.arange(0.0, seconds, 1.0 / RATE)


@pytest.mark.parametrize(("rise", "several"), [(0.047, False), (0.053, True)])
def test_a_ramp_of_more_than_a_twentieth_of_g_is_cut(rise, several):
    # Of 12 s the first and the last half second change too fast, and 0.1 s more is trimmed.
    seconds = 12.0 - 1.0 - 2.0 * 0.1
    found = find_stretches(one_bend(ramp(rise * G / seconds)))
    assert (len(found.lateral) > 1) == several
    assert (found.seconds >= 3.0).all()
    assert found.roll == pytest.approx(0.05 * found.lateral)


@pytest.mark.parametrize(("rate", "counts"), [(0.048, True), (0.052, False)])
def test_a_ramp_faster_than_a_twentieth_of_g_a_second_does_not_count(rate, counts):
    found = find_stretches(one_bend(ramp(rate * G)))
    assert bool(len(found.lateral)) == counts
    changing = dict(found.thrown)[Thrown.CHANGING]
    # Only where bend and straight meet: half a second at each end.
    assert changing == pytest.approx(1.0 if counts else 12.0, abs=0.25)


@pytest.mark.parametrize(("seconds", "enough"), [(9.8, False), (10.2, True)])
def test_a_log_of_less_than_ten_seconds_is_refused(seconds, enough):
    log = clean()
    short = log.time <= seconds
    log = replace(
        log,
        **{name: getattr(log, name)[short] for name in ("time", "lateral", "roll")},
        yaw_rate=log.yaw_rate[short],
        speed=log.speed[short],
    )
    if enough:
        assert prepare(log).time[-1] < 10.3
    else:
        with pytest.raises(ValueError, match="record the whole test"):
            prepare(log)


@pytest.mark.parametrize(("share", "noisy"), [(0.245, False), (0.255, True)])
def test_an_interval_of_a_quarter_of_the_gradient_is_the_most(share, noisy, monkeypatch):
    def with_interval(*given):
        line, parts, shown = measured_line(*given)
        freedom = line.gradient.degrees_of_freedom
        error = share * line.gradient.value / coverage_factor(freedom)
        return replace(line, gradient=Estimate(line.gradient.value, error, freedom)), parts, shown

    monkeypatch.setattr(analysis, "measured_line", with_interval)
    refused = analyse(clean()).refused
    assert (refused is not None) == noisy
    assert not noisy or refused.startswith("too uncertain by scale of the gyro: ")


TURNING = {  # speed times yaw rate over the reading: what is said
    0.60: "refused",
    0.70: "does not agree",
    0.88: "does not agree",
    0.92: "agrees",
    1.08: "agrees",
    1.12: "does not agree",
    1.30: "does not agree",
    1.40: "refused",
}


@pytest.mark.parametrize("ratio", TURNING)
def test_speed_times_yaw_rate_is_held_against_the_sensor(ratio):
    log = clean()
    up = np.full(len(log.time), G)  # so that gravity is in the reading for sure
    found = analyse(replace(log, speed=log.speed * ratio, vertical=up))
    if TURNING[ratio] == "refused":
        assert "yaw rate" in found.refused
        return
    assert found.refused is None
    (told,) = (note for note in found.notes if note.startswith("speed times yaw rate is "))
    assert (" and agrees with it" in told) == (TURNING[ratio] == "agrees")
    assert told.startswith(f"speed times yaw rate is {ratio:.2f} times")


@pytest.mark.parametrize("unit", ["km/h", "mph", "kn"])
def test_a_speed_of_another_unit_is_told(unit):
    """The column tells no unit and was taken for m/s."""
    log = clean()
    column = Found(Role.SPEED, "Speed", "m/s", guessed=True)
    read = replace(log, speed=log.speed / UNITS[Role.SPEED][unit], columns=(column,))
    assert f"so the speed seems to be in {unit}: name it" in analyse(read).refused
    sure = replace(read, columns=(replace(column, guessed=False),))
    assert "another unit or is another axis" in analyse(sure).refused


def test_the_scatter_about_a_line_by_hand():
    """Residuals of ±r that no line, friction or offset can follow, four bends a side."""
    r, per_reading, friction = 1e-3, 0.01, 2e-3
    sign = np.array([1.0, -1.0, -1.0, 1.0] * 2)
    reading = np.array([1.0, 2.0, 3.0, 4.0, -1.0, -2.0, -3.0, -4.0])
    roll = friction * np.sign(reading) + per_reading * reading + r * sign
    found = fit_line(reading - G * roll, roll, np.arange(8))
    grown = 1.0 / (1.0 - G * per_reading)
    # Every residual is the median one, of 8 readings and 3 unknowns: all count alike.
    weight = (1.0 + (1.0 / (2.0 * 1.4826)) ** 2 * 5.0 / 8.0) ** -0.5
    assert found.gradient.value == pytest.approx(per_reading * grown, rel=1e-6)
    assert found.friction.value == pytest.approx(friction * grown, rel=1e-6)
    assert np.abs(found.residuals) == pytest.approx(np.full(8, r * grown), rel=1e-5)
    assert found.weights == pytest.approx(np.full(8, weight), rel=1e-5)
    # Eight readings less three coefficients.
    assert found.scatter == pytest.approx(math.sqrt(8.0 * weight / 5.0) * r * grown, rel=1e-5)


@pytest.mark.parametrize(("sharpest", "refused"), [(0.24, True), (0.26, False)])
def test_a_quarter_of_g_is_reached_on_both_sides(sharpest, refused):
    found = analyse(clean(levels=(0.1, 0.14, 0.18, sharpest)))
    assert ("needs 0.25 g both ways" in (found.refused or "")) == refused


@pytest.mark.parametrize(("apart", "refused"), [(0.095, True), (0.105, False)])
def test_gentle_and_sharp_bends_lie_a_tenth_of_g_apart(apart, refused):
    found = analyse(clean(levels=(0.26, 0.29, 0.32, 0.26 + apart)))
    assert ("at least 0.1 g apart" in (found.refused or "")) == refused
