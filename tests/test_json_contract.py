"""JSON of `roll` and `size`: the keys of the contract, real numbers, a reason for every null."""

import json
import math
from functools import cache
from pathlib import Path

import pytest

from rollsim import remedies, roll, scenario, sizing
from rollsim.cli import records, size_records
from rollsim.vehicle import STANDARD_GRAVITY

ROOT = Path(__file__).parents[1]
FILES = sorted([*(ROOT / "tests" / "data").glob("*.toml"), *(ROOT / "scenarios").glob("*.toml")])
WITH_BAR = [path for path in FILES if "[rear_bar]" in path.read_text(encoding="utf-8")]

STATE_NUMBERS = {
    "roll_gradient_deg_per_g",
    "secant_roll_gradient_deg_per_g",
    "right_turn_secant_roll_gradient_deg_per_g",
    "tray_secant_roll_gradient_deg_per_g",
    "right_turn_tray_secant_roll_gradient_deg_per_g",
    "tray_static_lean_deg",
    "suspension_roll_gradient_deg_per_g",
    "static_lean_deg",
    "cg_height_m",
    "total_mass_kg",
    "front_axle_mass_kg",
    "rear_axle_mass_kg",
    "front_load_transfer_share",
    "front_mass_share",
    "ssf",
    "tip_over_threshold_g",
    "tilt_table_ratio",
    "inner_rear_lift_g",
    "inner_front_lift_g",
}
PARTS = ("elastic_N", "geometric_N", "unsprung_N")
WHEELS = {"front_left", "front_right", "rear_left", "rear_right"}
CANDIDATE_NUMBERS = {
    "outer_diameter_mm",
    "arm_mm",
    "link_end_rate_N_per_mm",
    "roll_stiffness_Nm_per_deg",
    "lash_deg",
    "roll_gradient_deg_per_g",
    "front_load_transfer_share",
    "front_share_drop",
    "inner_rear_lift_g",
    "understeer_change_deg_per_g",
    "understeer_change_emptiest_deg_per_g",
    "one_wheel_rate_increase_N_per_mm",
    "articulation_lost_mm",
    "cornering_stress_MPa",
    "twist_stress_MPa",
    "stress_amplitude_MPa",
    "peak_stress_MPa",
    "allowable_stress_MPa",
    "safety_factor",
    "mass_kg",
}
CANDIDATE_KEYS = CANDIDATE_NUMBERS | {
    "section",
    "wall_mm",
    "steel",
    "hole",
    "governing_state",
    "governing_stress",
    "accepted",
    "reasons",
    "part",
}
SIZE_NUMBERS = {
    "target_deg_per_g",
    "present_deg_per_g",
    "limit_deg_per_g",
    "linear_target_deg_per_g",
    "linear_present_deg_per_g",
    "required_roll_stiffness_Nm_per_deg",
    "closed_form_roll_stiffness_Nm_per_deg",
    "without_rear_bar_deg_per_g",
    "front_weight_share",
    "at_g",
}
SIZE_TEXTS = {
    "case",
    "emptiest_state",
    "replaces",
    "sentence",
    "condition",
    "warning",
    "warning_driven_empty",
    "remark",
    "lost_in_cab",
    "new_front_bar",
}
SIZE_LISTS = {
    "candidates",
    "in_the_way",
    "what_else_helps",
    "what_else_not_counted",
    "ratings_not_checked",
    "cautions",
    "assumed",
    "measured",
    "notes",
}
OTHER_BARS = ("best", "stiffest_keeping_share")
HELP_KEYS = {
    "what",
    "text",
    "change",
    "with",
    "roll_gradient_deg_per_g",
    "gap_closed",
    "accepted",
    "reaches_target",
    "springs_suited",
    "to_buy",
}


def label(path):
    return path.stem


def read_back(record):
    def refuse(constant):
        raise AssertionError(f"{constant} in JSON")

    return json.loads(records.dumps(record), parse_constant=refuse)


@cache
def loaded(path):
    return scenario.load(path)


@cache
def rolled(path):
    found = loaded(path)
    return read_back(records.roll_record(found, roll.results(found.job)))


@cache
def sized(path):
    found = loaded(path)
    return read_back(size_records.size_record(found, sizing.size(found.job, found.rear_bar)))


def is_number(value):
    return isinstance(value, float) and math.isfinite(value)


def check_state(state, notes):
    assert set(state) == STATE_NUMBERS | {"load_transfer", "ratings", "swerve", "curve"}
    for key in STATE_NUMBERS:
        assert is_number(state[key]) or (state[key] is None and notes), key
    swerve = state["swerve"]
    for band in (swerve["overshoot"], swerve["overshoot_worn_dampers"]):
        assert 0.0 < band[0] < band[1] < 1.0
    assert is_number(swerve["roll_frequency_Hz"])
    transfer = state["load_transfer"]
    assert set(transfer) == {"lateral_acceleration_g", "front", "rear"}
    assert transfer["lateral_acceleration_g"] == 0.4
    for axle in (transfer["front"], transfer["rear"]):
        assert set(axle) == {*PARTS, "total_N"}
        if axle["total_N"] is not None:
            assert axle["total_N"] == pytest.approx(sum(axle[part] for part in PARTS), rel=1e-9)
    for rating in state["ratings"]:
        assert set(rating) == {"name", "load_kg", "limit_kg", "over"}
        assert rating["over"] is (rating["load_kg"] > rating["limit_kg"])
    for point in state["curve"]:
        assert set(point) == {
            "lateral_acceleration_g",
            "roll_angle_deg",
            "tray_roll_angle_deg",
            "heave_mm",
            "wheel_loads_N",
        }
        assert all(is_number(point[key]) for key in set(point) - {"wheel_loads_N"})
        assert set(point["wheel_loads_N"]) == WHEELS


def check_candidate(candidate, notes):
    assert set(candidate) == CANDIDATE_KEYS
    for key in CANDIDATE_NUMBERS:
        assert is_number(candidate[key]) or any(note.startswith(key) for note in notes), key
    assert candidate["wall_mm"] is None or is_number(candidate["wall_mm"])
    assert ("solid" in candidate["section"]) is (candidate["wall_mm"] is None)
    assert type(candidate["hole"]) is int
    assert candidate["hole"] >= 1
    assert candidate["accepted"] is (candidate["reasons"] == [])
    assert candidate["governing_stress"] in {case.value for case in sizing.StressCase}


def test_there_are_files():
    assert WITH_BAR
    assert any(path.parent.name == "scenarios" for path in FILES)


@pytest.mark.parametrize("path", FILES, ids=label)
def test_roll_keys(path):
    record = rolled(path)
    scales = set() if loaded(path).corners is None else {"on_the_scales"}
    lists = {"ratings_not_checked", "assumed", "measured", "notes"}
    assert set(record) == {"states"} | lists | scales
    assert list(record["states"])[:2] == ["unladen", "as_weighed"]
    assert len(record["states"]) >= 3
    assert tuple(record["assumed"]) == loaded(path).assumed
    for name, state in record["states"].items():
        check_state(state, [n for n in record["notes"] if n.startswith(f"{name}: ")])


@pytest.mark.parametrize("path", FILES, ids=label)
def test_curve_is_0_to_0_7_g_as_far_as_the_vehicle_stands(path):
    for state in rolled(path)["states"].values():
        tip = state["tip_over_threshold_g"]
        shown = [point["lateral_acceleration_g"] for point in state["curve"]]
        assert shown == [g for g in (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7) if g <= tip]


@pytest.mark.parametrize("path", FILES, ids=label)
def test_figures_of_a_state_agree_with_each_other(path):
    for state in rolled(path)["states"].values():
        mass = state["front_axle_mass_kg"] + state["rear_axle_mass_kg"]
        assert mass == pytest.approx(state["total_mass_kg"], rel=1e-9)
        for point in state["curve"]:
            load = sum(point["wheel_loads_N"].values())
            assert load == pytest.approx(mass * STANDARD_GRAVITY, rel=1e-9)
        at = {point["lateral_acceleration_g"]: point for point in state["curve"]}
        assert at[0.0]["roll_angle_deg"] == pytest.approx(state["static_lean_deg"], abs=1e-9)
        if 0.4 not in at:
            assert state["secant_roll_gradient_deg_per_g"] is None
            continue
        lean = at[0.4]["roll_angle_deg"] - at[0.0]["roll_angle_deg"]
        assert lean / 0.4 == pytest.approx(state["secant_roll_gradient_deg_per_g"], rel=1e-9)
        for end in ("front", "rear"):
            outer, inner = f"{end}_right", f"{end}_left"
            still, turning = at[0.0]["wheel_loads_N"], at[0.4]["wheel_loads_N"]
            change = turning[outer] - turning[inner] - still[outer] + still[inner]
            total = state["load_transfer"][end]["total_N"]
            assert total == pytest.approx(0.5 * change, rel=1e-6)


@pytest.mark.parametrize("path", WITH_BAR, ids=label)
def test_size_keys(path):
    record = sized(path)
    others = {"reachable", "nothing_to_bring_back", "choice", "driven_empty", "pair", *OTHER_BARS}
    assert set(record) == SIZE_NUMBERS | SIZE_TEXTS | SIZE_LISTS | others
    for key in SIZE_NUMBERS:
        explained = any(note.startswith(key) for note in record["notes"])
        assert is_number(record[key]) or (record[key] is None and explained), key
    assert all(isinstance(record[key], str) for key in SIZE_TEXTS)
    assert all(isinstance(record[key], list) for key in SIZE_LISTS)
    assert record["sentence"]
    assert record["reachable"] is (record["required_roll_stiffness_Nm_per_deg"] is not None)
    assert record["what_else_helps"] == []  # not asked for here
    assert record["candidates"]
    for candidate in record["candidates"]:
        check_candidate(candidate, record["notes"])


@pytest.mark.parametrize("path", WITH_BAR, ids=label)
def test_size_choice_is_the_first_accepted_candidate_with_its_states(path):
    record = sized(path)
    accepted = [candidate for candidate in record["candidates"] if candidate["accepted"]]
    if not accepted:
        assert record["choice"] is None
        return
    choice = dict(record["choice"])
    states = choice.pop("states")
    assert choice == record["candidates"][0] == accepted[0]
    assert list(states) == list(rolled(path)["states"])
    if record["driven_empty"] is not None:
        states["driven_empty"] = record["driven_empty"]
    for name, state in states.items():
        check_state(state, [n for n in record["notes"] if n.startswith(f"{name}: ")])


@pytest.mark.parametrize("path", WITH_BAR, ids=label)
def test_size_says_what_is_in_the_way_and_what_is_best(path):
    record = sized(path)
    states = [*rolled(path)["states"], "driven_empty"]
    assert all(c["governing_state"] in states for c in record["candidates"])
    assert 0.0 < record["front_weight_share"] < 1.0
    none = record["choice"] is None and not record["nothing_to_bring_back"]
    assert bool(record["in_the_way"]) is none
    assert set(record["in_the_way"]) <= {obstacle.value for obstacle in sizing.Obstacle}
    for key in OTHER_BARS:
        if record[key] is None:
            continue
        bar = dict(record[key])
        share = bar.pop("gap_closed")
        assert share is None or 0.0 <= share <= 1.0
        assert bar in record["candidates"]
    best = record["best"]
    if best is not None:
        accepted = [c["roll_gradient_deg_per_g"] for c in record["candidates"] if c["accepted"]]
        assert all(best["roll_gradient_deg_per_g"] <= lean for lean in accepted)
    if record["nothing_to_bring_back"]:
        assert record["choice"] is None
        assert record["best"] is None


GATE = next(path for path in WITH_BAR if path.stem == "balance-gate-binds")


def test_what_else_helps_keys():
    found = loaded(GATE)
    known = sizing.size(found.job, found.rear_bar)
    helps = remedies.what_else_helps(scenario.source(GATE), found, known)
    record = read_back(size_records.size_record(found, known, helps))
    assert record["what_else_helps"]
    leans = []
    for item in record["what_else_helps"]:
        assert set(item) == HELP_KEYS
        assert item["what"]
        assert item["text"]
        assert item["change"]
        assert 0.0 < item["gap_closed"] <= 1.0
        leans.append((not item["accepted"], -item["gap_closed"]))
        assert item["springs_suited"] in (None, True, False)
        if item["with"] is not None:
            check_candidate(item["with"], record["notes"])
            assert item["with"]["accepted"] is item["accepted"]
    assert leans == sorted(leans)


def test_twelve_digits_are_kept():
    assert records.number(0.1 + 0.2) == 0.3
    assert records.number(123456.789012345) == 123456.789012
    assert records.number(math.inf) is None
    assert records.number(math.radians(6.0) / STANDARD_GRAVITY, "deg/g") == 6.0


def test_nan_is_never_written():
    with pytest.raises(ValueError, match="not JSON compliant"):
        records.dumps({"lean": math.nan})
