"""`rollsim springs` and `rollsim weigh`: keys, tables of at most 100 columns, errors."""

import json
import math
import re
from dataclasses import replace

import pytest

from rollsim import mass
from rollsim.cli import main
from rollsim.cli.records import dumps
from rollsim.cli.spring_records import springs_record
from rollsim.cli.spring_tables import springs_report
from rollsim.measured import net_roll_stiffness
from rollsim.scenario import load
from rollsim.spring_check import spring_checks
from rollsim.vehicle import Load
from tests.builders import ROOT, SCENARIOS

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
BEYOND = ROOT / "scenarios" / "beyond-a-bar.toml"
FIXED = {
    "spring_load_N",
    "spring_rate_N_per_mm",
    "ride_height_change_mm",
    "second_stage",
    "bump_travel_left_mm",
    "rebound_travel_left_mm",
    "ride_frequency_Hz",
    "verdict",
    "reason",
}
LIFT = (
    *("weigh", "axle-lift", "--wheelbase", "3085 mm", "--total", "1990 kg", "--level", "1130 kg"),
    *("--lift", "600 mm", "--raised", "1172 kg", "--radius", "370 mm"),
)
LOAD = (
    *("weigh", "load-test", "--up", "50 kg", "2 mm", "--up", "100 kg", "9 mm"),
    *("--down", "50 kg", "5.8 mm", "--down", "0 kg", "-1 mm"),
)
LEAN = (
    *("weigh", "lean-test", "--right", "150 kg", "400 mm", "0.50 deg"),
    *("--right", "150 kg", "800 mm", "1.15 deg", "--left", "150 kg", "400 mm", "0.72 deg"),
    *("--left", "150 kg", "-800 mm", "-1.16 deg", "--right", "150 kg", "-400 mm", "-0.7 deg"),
)


def run(capsys, *arguments):
    code = main([str(argument) for argument in arguments])
    shown = capsys.readouterr()
    return code, shown.out, shown.err


def no_constant(text):
    raise AssertionError(f"{text} in JSON")


def answered(capsys, *arguments):
    code, out, err = run(capsys, *arguments)
    assert (code, err) == (0, "")
    return json.loads(out, parse_constant=no_constant)


# springs


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_springs_json_has_the_fixed_keys(capsys, path):
    record = answered(capsys, "springs", path, "--json")
    assert {"states", "assumed", "notes"} <= set(record)
    roll = answered(capsys, "roll", path, "--json")
    assert list(record["states"]) == list(roll["states"])
    for name, state in record["states"].items():
        for end in ("front", "rear"):
            axle = state[end]
            assert set(axle) >= FIXED
            assert axle["verdict"] in ("under-loaded", "suited", "over-loaded")
            assert axle["second_stage"] in ("none", "idle", "working", "fully in")
            assert axle["reason"]
            mass = roll["states"][name][f"{end}_axle_mass_kg"]
            assert axle["axle_mass_kg"] == pytest.approx(mass, rel=1e-9)
            for key, value in axle.items():
                if value is None:
                    assert any(key in note for note in record["notes"]), key


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_springs_table_is_at_most_100_columns_wide(capsys, path, units):
    code, out, err = run(capsys, "springs", path, "--units", units)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 100
    for words in ("Front axle", "Rear axle", "verdict", "helper leaves (second stage)"):
        assert words in out


def test_a_rating_exceeded_is_an_answer_that_cannot_be_missed(capsys):
    code, out, _ = run(capsys, "springs", BEYOND)
    assert code == 0
    assert out.count("!!! OVER A RATING: as used: rear axle") == 2
    assert "-73 OVER" in out
    record = answered(capsys, "springs", BEYOND, "--json")
    rear = record["states"]["as_used"]["rear"]
    assert rear["verdict"] == "over-loaded"
    assert "1723 kg on the axle, rated 1650 kg" in rear["reason"]
    left = {r["name"]: r["left_kg"] for r in record["states"]["as_used"]["payload_left"]}
    assert left["gross_vehicle_mass"] == pytest.approx(2850 - 2910)


def test_nothing_is_called_safe(capsys):
    for path in SCENARIOS:
        text = run(capsys, "springs", path)[1].lower()
        assert "safe" not in text
        assert "licensed engineer decide" in text.replace("\n  ", " ")


def test_a_state_that_does_not_stand():
    # The loader refuses such a file; a page may still ask for such a state.
    scenario = load(CREW_CAB)
    tower = Load("tower", 1500.0, 1.5, 20.0, cases=("touring",))
    top = replace(scenario, job=replace(scenario.job, loads=(*scenario.job.loads, tower)))
    found = spring_checks(top.job)
    text = dumps(springs_record(top, found))
    rear = json.loads(text, parse_constant=no_constant)["states"]["touring"]["rear"]
    assert rear["verdict"] is None
    assert rear["second_stage"] is None
    assert rear["spring_load_N"] is None
    assert "touring: no settled position" in text
    shown = springs_report(top, found)
    assert "unsettled" in shown
    assert "nan" not in shown.lower().split()
    assert max(map(len, shown.splitlines())) <= 100


def test_missing_stops_are_null_with_a_reason(capsys, tmp_path):
    lines = CREW_CAB.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith(("bump_stop", "rebound_limit"))]
    path = tmp_path / "bare.toml"
    path.write_text("\n".join(kept), encoding="utf-8")
    record = answered(capsys, "springs", path, "--json")
    assert record["states"]["unladen"]["rear"]["bump_travel_left_mm"] is None
    assert "rear: bump_travel_left_mm is null: its bump_stop is not given" in record["notes"]
    assert "bump travel not judged" in record["states"]["unladen"]["rear"]["reason"]


def test_a_wrong_file_is_code_2(capsys, tmp_path):
    path = tmp_path / "wrong.toml"
    path.write_text("title = 3", encoding="utf-8")
    code, out, err = run(capsys, "springs", path)
    assert (code, out) == (2, "")
    assert all(line.startswith("wrong.toml") for line in err.splitlines())


# weigh


def test_axle_lift_by_hand(capsys):
    # 0.370 + 3.085 × 42/(1990 × 0.19828) = 0.698 m.
    record = answered(capsys, *LIFT, "--json")
    assert record["cg_height_mm"] == pytest.approx(698.4, abs=0.1)
    low, high = record["interval_95_cg_height_mm"]
    assert (low + high) / 2.0 == pytest.approx(record["cg_height_mm"])
    assert (high - low) / 2.0 == pytest.approx(
        1.96 * record["standard_error_cg_height_mm"], rel=1e-3
    )


def test_axle_lift_of_the_front_axle_mirrors(capsys):
    mirrored = [{"1130 kg": "860 kg", "1172 kg": "902 kg"}.get(text, text) for text in LIFT]
    front = answered(capsys, *mirrored, "--end", "front", "--json")
    rear = answered(capsys, *LIFT, "--json")
    assert front["cg_height_mm"] == pytest.approx(rear["cg_height_mm"])


def test_tolerances_of_readings_are_90_per_cent_bands(capsys):
    wide = [text.replace("1172 kg", "1172 kg ± 16.45 kg") for text in LIFT]
    narrow = [text.replace("1172 kg", "1172 kg ± 1.645 kg") for text in LIFT]
    errors = [
        answered(capsys, *each, "--json")["standard_error_cg_height_mm"] for each in (wide, narrow)
    ]
    # 10 kg a reading against 1 kg: what scales make grows tenfold, tape and lift stay.
    assert errors[0] == pytest.approx(3.085e3 * 10 * 2**0.5 / (1990 * 0.19828), rel=0.02)
    assert 6.0 < errors[0] / errors[1] < 10.0


def test_several_lifts(capsys):
    more = (*LIFT, "--lift", "900 mm", "--raised", "1194 kg")
    record = answered(capsys, *more, "--json")
    alone = answered(capsys, *LIFT, "--json")
    assert record["standard_error_cg_height_mm"] < alone["standard_error_cg_height_mm"]
    assert any("scatter about their line" in note for note in record["notes"])


def test_load_test(capsys):
    record = answered(capsys, *LOAD, "--json")
    assert record["wheel_rate_N_per_mm"] == pytest.approx(35.53, abs=0.01)
    assert record["friction_N"] == pytest.approx(67.5, abs=0.1)
    pitch = ("--sprung-mass", "1800 kg", "--cg-arm", "650 mm", "--wheelbase", "3085 mm")
    corrected = answered(capsys, *LOAD, *pitch, "--json")
    assert corrected["wheel_rate_N_per_mm"] == pytest.approx(35.53 + 0.603, abs=0.01)


def test_load_test_without_scatter_says_so(capsys):
    two = LOAD[:2] + LOAD[2:8]
    record = answered(capsys, *two, "--json")
    assert record["standard_error_wheel_rate_N_per_mm"] is None
    assert record["friction_N"] is None
    assert any("--reading-error" in note for note in record["notes"])
    stated = answered(capsys, *two, "--reading-error", "1 mm", "--json")
    assert stated["standard_error_wheel_rate_N_per_mm"] > 0.0


def test_lean_test_by_angle_and_by_arches(capsys):
    by_angle = answered(capsys, *LEAN, "--json")
    arches = []
    for text in LEAN:
        if text.endswith("deg"):
            rise = 1.6e3 * math.sin(math.radians(float(text.split()[0])))
            text = f"{rise:.9f} mm"
        arches.append(text)
    by_arches = answered(capsys, *arches, "--track", "1.6 m", "--json")
    for key in ("net_roll_stiffness_Nm_per_deg", "friction_Nm", "friction_deg"):
        assert by_arches[key] == pytest.approx(by_angle[key], rel=1e-6)


def test_a_quantity_below_zero_needs_no_blank(capsys):
    apart = ["weigh", "lean-test", "--right", "150 kg", "600 mm", "0.9 deg"]
    apart += ["--left", "150 kg", "-600mm", "-0.9deg", "--left", "150kg", "-300mm", "-0.40deg"]
    apart += ["--right", "150kg", "300mm", "0.40deg", "--json"]
    record = answered(capsys, *apart)
    # From 0.3 to 0.6 m it leans 0.5 deg more, either way; what is left at none is friction.
    stiffness = 150.0 * 9.80665 * 0.3 / 0.5
    assert record["net_roll_stiffness_Nm_per_deg"] == pytest.approx(stiffness, rel=1e-6)
    assert record["friction_Nm"] == pytest.approx(0.1 * stiffness, rel=1e-6)


def test_lean_test_calibrates_a_scenario(capsys):
    extra = ("--scenario", CREW_CAB, "--unknown", "rear", "--aboard", "150 kg", "2 m", "1 m")
    record = answered(capsys, *LEAN, *extra, "--json")
    low, high = record["interval_95_added_roll_stiffness_Nm_per_deg"]
    added = record["added_roll_stiffness_Nm_per_deg"]
    assert low < added < high
    height = answered(capsys, *LEAN, *extra[:3], "cg-height", *extra[4:], "--json")
    # Either put right, the full model has the net roll stiffness that was measured.
    measured = record["net_roll_stiffness_Nm_per_deg"]
    people = Load("people", 150.0, 2.0, 1.0)
    vehicle = load(CREW_CAB).job.vehicle
    rear = vehicle.rear
    own = rear.auxiliary_roll_stiffness + math.degrees(added)
    calibrated = (
        replace(vehicle, rear=replace(rear, auxiliary_roll_stiffness=own)),
        replace(vehicle, cg_height=height["calibrated_cg_height_mm"] / 1e3),
    )
    for one in calibrated:
        job = replace(load(CREW_CAB).job, vehicle=one)
        stood = next(state for state in mass.states(job) if state.name == "as_weighed")
        net = net_roll_stiffness(replace(stood, loads=(*stood.loads, people)))(job)
        assert math.radians(net) == pytest.approx(measured, rel=1e-6)


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("test", [LIFT, LOAD, LEAN], ids=lambda test: test[1])
def test_weigh_text(capsys, test, units):
    code, out, err = run(capsys, *test, "--units", units)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 100
    assert "standard error" in out
    said, unsaid = {
        LIFT: (" mm", " in"),
        LOAD: (" N/mm", " lbf/in"),
        LEAN: (" N·m/deg", " lbf·in/deg"),
    }[test][:: 1 if units == "metric" else -1]
    assert re.search(rf"\d{re.escape(said)}\b", out)
    assert not re.search(rf"\d{re.escape(unsaid)}\b", out)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([*LIFT[:3], "3085", *LIFT[4:]], '--wheelbase: found "3085", without a unit'),
        ([*LIFT, "--lift", "700 mm"], "found 2 and 1; give one mass to each lift"),
        ([*LIFT[:-1], "370 kg"], '--radius: found "370 kg", whose unit is not one of length'),
        ([*LIFT[:9], "4 m", *LIFT[10:]], "allowed 50 mm to 2500 mm"),
        ([*LOAD, "--cg-arm", "0.6 m"], "give all three or none"),
        (["weigh", "load-test"], "found no reading"),
        (["weigh", "load-test", "--up", "50 kg", "2 mm"], "do not fix 2 unknowns"),
        ([*LOAD, "--reading-error", "0 mm"], "allowed 0.05 mm to 20 mm"),
        (["weigh", "lean-test"], "found no reading"),
        ([*LEAN, "--unknown", "rear"], "give both, or none"),
        ([*LEAN, "--scenario", CREW_CAB, "--unknown", "rear", "--state", "x"], "allowed unladen"),
        (
            [*LEAN, "--scenario", "none.toml", "--unknown", "rear"],
            "none.toml",
        ),
        ([*LEAN, "--left", "150 kg", "-400 mm", "12 mm"], "whose unit is not one of angle"),
        ([*LEAN, "--track", "1 mm"], "unit is not one of length"),
    ],
)
def test_wrong_readings_are_code_2_in_one_line_each(capsys, arguments, told):
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert told in err
    assert "Traceback" not in err


def test_all_errors_at_once(capsys):
    code, _, err = run(capsys, *LIFT[:3], "3085", *LIFT[4:-1], "370 kg")
    assert code == 2
    assert len(err.splitlines()) == 2


@pytest.mark.parametrize("arguments", [["weigh"], ["weigh", "axle-lift"], ["weigh", "other"]])
def test_a_wrong_command_line_is_code_2(capsys, arguments):
    assert run(capsys, *arguments)[0] == 2
