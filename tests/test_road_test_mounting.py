"""A sensor in any position: its axes found, what it reads turned into the vehicle's."""

import json

import numpy as np
import pytest

from rollsim.cli import main
from rollsim.drawing import mounting_view
from rollsim.road_test import LogError, Role, analyse, parse_log, parse_mount
from rollsim.road_test.columns import Axes, find_axes, unit_in_name
from rollsim.road_wording import mounting_words
from tests.builders import ROOT
from tests.road_drives import G, Pass, Place, World, drives, one_bend

# Headers of a phone's log as one was seen: units in brackets, axes of the phone, a clock in words,
# and beside the readings fused angles and acceleration without gravity.
PHONE = (
    "accelerometerTimestamp_sinceReboot(s)",
    *(f"accelerometerAcceleration{axis}(G)" for axis in "XYZ"),
    *(f"gyroRotation{axis}(rad/s)" for axis in "XYZ"),
    "locationSpeed(m/s)",
)
SIZES = (1.0, G, G, G, 1.0, 1.0, 1.0, 1.0)
MORE = (
    "gyroTimestamp_sinceReboot(s)",
    *(f"motion{word}(rad)" for word in ("Yaw", "Roll", "Pitch")),
    *(f"motion{word}{axis}(G)" for word in ("UserAcceleration", "Gravity") for axis in "XYZ"),
)


@pytest.fixture(scope="module")
def turned():
    """Four logs of the protocol, each with its sensor in another position."""
    return drives(one_bend(bank=(1.0, -0.5)), World(any_mounting=True), 500, 4)


def phone(drive, n):
    names, *rows = drive.csv(n, PHONE, SIZES).decode().splitlines()
    names = ",".join(("loggingTime(txt)", names.replace('"', ""), *MORE))
    rest = "0.02,1.3,0.01,0.02,0.001,0.002,0.003,0.9,0.1,0.2"
    rows = (f"1 May 10:00,{row},{rest}" for row in rows)
    return "\n".join((names, *rows)).encode()


def test_a_phones_log_gives_a_figure_without_a_word_on_its_axes(turned):
    for n in range(4):
        log = parse_log(phone(turned, n), "phone.csv")
        # The columns of the mounting are the sensor's axes in the vehicle, as the drive made them.
        assert np.abs(log.mounting.matrix @ turned.mount[n].T - np.eye(3)).max() < 0.03
        assert {one.column for one in log.columns} >= {PHONE[0], PHONE[-1], ", ".join(PHONE[1:4])}
        found = analyse(log)
        assert found.refused is None, found.refused
        low, high = (np.degrees(end * G) for end in found.line.gradient.interval)
        assert low < turned.gradient[n] < high


def test_from_a_phones_file_to_the_figure_without_a_flag(turned, tmp_path, capsys):
    file = tmp_path / "phone.csv"
    file.write_bytes(phone(turned, 0))
    scenario = ROOT / "scenarios" / "arrives-loaded-and-lifted.toml"
    assert main(["road-test", str(scenario), str(file), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    low, high = told["interval_95"]
    assert low < turned.gradient[0] < high
    assert told["refused"] is None


NAMES = (
    ("Acceleration {} (m/s^2)", "Gyroscope {} (rad/s)"),
    ("acceleration_{}_m_s2", "angular_rate_{}_deg_s"),
    ("Acc{}(g)", "Gyr{}(deg/s)"),
    ("acc_{}_g", "gyr_{}_dps"),
    ("a{}", "w{}"),
    ("{}_accel", "{}_rotation"),
)


def test_six_axes_under_any_usual_name():
    found = []
    for words in NAMES:
        for axes in ("xyz", "XYZ"):
            names = [word.format(axis) for word in words for axis in axes]
            found.append(find_axes(["Time (s)", *names, "Speed (m/s)"]))
    assert found == [Axes((1, 2, 3), (4, 5, 6))] * len(found)
    assert unit_in_name("angular_rate_x_deg_s", Role.ROLL_RATE) == "deg/s"


def test_a_mounting_that_is_stated(turned):
    flat = drives(one_bend(times=1), World(), 501, 1)
    found = parse_log(phone(flat, 0), "phone.csv").mounting
    stated = parse_log(phone(flat, 0), "phone.csv", mount=("x", "y")).mounting
    assert stated.stated
    assert not found.stated
    assert stated.up == pytest.approx(found.up)
    assert np.abs(stated.matrix - found.matrix).max() < 0.15  # 2 deg about each axis, drawn
    with pytest.raises(LogError, match="gravity shows that z points up, not -z"):
        parse_log(phone(flat, 0), "phone.csv", mount=parse_mount("x forward, z down"))
    with pytest.raises(LogError, match="--mount: needs columns of acceleration"):
        parse_log(
            b"time_s,lateral_acceleration_g,roll_rate_deg_s\n0,1,2\n1,2,3\n",
            "x.csv",
            mount=("x", "y"),
        )
    assert mounting_words(found).startswith("Sensor: its x forward (")
    assert mounting_words(stated).endswith("as stated, and level by gravity.")
    assert "z up" in mounting_view(found)


def test_words_that_are_no_mounting():
    for text in ("y", "y forward, -y back", "y forward, y left", "w up, x left", "forward y, up z"):
        with pytest.raises(ValueError, match="allowed are two axes of the sensor"):
            parse_mount(text)


def test_acceleration_without_gravity_finds_no_mounting(turned):
    free = drives(one_bend(times=1), World(gravity_free=True), 502, 1)
    with pytest.raises(LogError, match=r"0\.\d\d g on average, and gravity alone is 1 g"):
        parse_log(phone(free, 0), "phone.csv")


def test_a_phones_log_that_goes_straight_claims_nothing():
    straight = drives((Pass(Place(3000.0, 5.0), 1, 0.01),), World(any_mounting=True), 503, 1)
    with pytest.raises(LogError, match="no bend was found that tells which axis"):
        parse_log(phone(straight, 0), "phone.csv")


def test_a_log_that_goes_straight_claims_nothing():
    # An inertial unit at 100 Hz on a straight road, under the columns that one was seen to have.
    rng = np.random.default_rng(3)
    time = np.arange(0.0, 60.0, 0.01)
    noise = 0.02 * rng.standard_normal((5, len(time)))
    names = (
        "t,lateral acc body-fixed (m/s²),lateral acc horizontal (m/s²),roll_angle_deg,"
        "roll_rate_deg_s,yaw_rate_deg_s,v"
    )
    rows = np.column_stack([time, *noise, np.full(len(time), 20.0)])
    data = "\n".join((names, *(",".join(f"{x:.4f}" for x in row) for row in rows))).encode()
    found = analyse(parse_log(data, "straight.csv"))
    assert found.line is None
    assert "does not change: no bend was driven" in found.refused
