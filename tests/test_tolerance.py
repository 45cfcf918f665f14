"""Tolerances carried to the lean: against closed forms, against one input at a time."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim.roll import SECANT_AT, results
from rollsim.scenario import load, loads
from rollsim.scenario.editing import changed
from rollsim.tolerance import (
    SIGMAS,
    Tolerance,
    band,
    chance_within,
    influences,
    lean_samples,
    shifting,
)
from tests.builders import ROOT, SCENARIOS

TOURING = ROOT / "scenarios" / "crew-cab-touring.toml"
TEXT = TOURING.read_text("utf-8")


def secant(job, state):
    return next(r for r in results(job, ()) if r.name == state).secant_roll_gradient


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("vehicle.cg_height", "690 mm"),
        ("vehicle.wheelbase", "3120 mm"),
        ("vehicle.front_axle_mass", "1150 kg"),
        ("vehicle.rear_axle_mass", "880 kg"),
        ("rear.track", "1590 mm"),
        ("front.unsprung_mass", "120 kg"),
        ("front.unsprung_cg_height", "380 mm"),
        ("front.roll_centre_height", "110 mm"),
        ("front.roll_centre_travel_ratio", 1.2),
        ("front.spring.wheel_rate", "40 N/mm"),
        ("front.tyre.vertical_rate", "260 N/mm"),
        ("front.tyre.lateral_rate", "190 N/mm"),
        ("front.bar.link_end_rate", "30 N/mm"),
        ("front.bar.installation_ratio", 0.65),
        ("front.bump_stop.gap", "5 mm"),
        ("rear.spring_base", "1150 mm"),
        ("rear.spring.rate", "40 N/mm"),
        ("rear.spring.second_stage.rate", "80 N/mm"),
        ("rear.auxiliary_roll_stiffness", "90 N*m/deg"),
        ("rear.rebound_limit.gap", "5 mm"),
        ("rear.rebound_limit.base", "900 mm"),
        ("load[1].mass", "140 kg"),
        ("load[1].height", "1500 mm"),
        ("load[1].behind_front_axle", "2500 mm"),
        ("load[1].left_of_centreline", "100 mm"),
        ("change.suspension_lift_front", "60 mm"),
        ("change.suspension_lift_rear", "70 mm"),
    ],
)
def test_a_shift_is_what_the_file_with_that_value_gives(key, value):
    """Each input shifted as tolerances shift it, against the scenario read with the new value."""
    state = load(TOURING).job
    names = [r.name for r in results(state, ())]
    in_file = key.replace("load[1]", "load[0]")
    typed = f"{value} ± 1 %" if isinstance(value, str) else f"{value} ± 0.01"
    new = loads(changed(TEXT, {in_file: typed}), "new.toml", TOURING.parent)
    there = next(t for t in new.tolerances if t.key == key)
    here = changed(TEXT, {in_file: typed.replace(str(value), _now(in_file, value))})
    old = loads(here, "old.toml", TOURING.parent)
    was = next((t for t in old.tolerances if t.key == key), None)
    start = was.value if was else 0.0
    ((_, shift),) = shifting([Tolerance(key, start, 1.0)])
    moved = shift(old.job, there.value - start)
    for name in names:
        assert secant(moved, name) == pytest.approx(secant(new.job, name), rel=1e-9), name


def _now(key, value):
    from rollsim.scenario.editing import value as stands

    now = stands(TEXT, key)
    if now is None:
        return "0 mm"
    return str(now).split("±")[0].strip()


def test_corner_masses_move_the_cg_sideways():
    van = load(ROOT / "scenarios" / "high-roof-van.toml")
    text = (ROOT / "scenarios" / "high-roof-van.toml").read_text("utf-8")
    heavier = loads(changed(text, {"vehicle.rear_left_mass": "450 kg ± 5 kg"}), "van.toml")
    ((_, shift),) = shifting([Tolerance("vehicle.rear_left_mass", 440.0, 5.0)])
    moved = shift(van.job, 10.0).vehicle
    assert moved.rear_axle_mass == heavier.job.vehicle.rear_axle_mass
    assert moved.cg_left == pytest.approx(heavier.job.vehicle.cg_left, abs=1e-6)


def test_one_linear_input_gives_the_normal_band():
    """One small tolerance: the band is the slope times the tolerance, by central difference."""
    job = load(TOURING).job
    small = Tolerance("vehicle.cg_height", job.vehicle.cg_height, 1e-4)

    def at(height):
        return secant(replace(job, vehicle=replace(job.vehicle, cg_height=height)), "touring")

    middle = job.vehicle.cg_height
    slope = (at(middle + 1e-4) - at(middle - 1e-4)) / 2e-4
    found = band(lean_samples(job, [small], "touring"))
    assert found.high - found.low == pytest.approx(2.0 * slope * 1e-4, rel=0.03)
    assert 0.5 * (found.low + found.high) == pytest.approx(secant(job, "touring"), rel=1e-4)


def test_two_inputs_share_the_variance_as_their_slopes_squared():
    job = load(TOURING).job
    inputs = [
        Tolerance("vehicle.cg_height", job.vehicle.cg_height, 0.002),
        Tolerance("rear.spring.rate", 36e3, 500.0),
    ]
    slopes = [np.std(lean_samples(job, [one], "touring")) for one in inputs]
    found = {one.key: one.share for one in influences(job, inputs, "touring")}
    whole = sum(s**2 for s in slopes)
    for one, slope in zip(inputs, slopes, strict=True):
        assert found[one.key] == pytest.approx(slope**2 / whole, abs=0.03)
    assert math.fsum(found.values()) == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
def test_every_scenario_has_a_band_around_its_lean(path):
    scenario = load(path)
    for result in results(scenario.job, ()):
        if not math.isfinite(result.secant_roll_gradient):
            continue
        samples = lean_samples(scenario.job, scenario.tolerances, result.name, count=64)
        found = band(samples)
        assert found.low <= result.secant_roll_gradient <= found.high
        assert bool(shifting(scenario.tolerances)) == (found.high > found.low)


def test_the_same_samples_every_time():
    scenario = load(TOURING)
    one, other = (lean_samples(scenario.job, scenario.tolerances, "touring") for _ in (0, 1))
    assert np.array_equal(one, other)


def test_nothing_uncertain_has_no_band_and_no_influence():
    job = load(TOURING).job
    samples = lean_samples(job, [], "touring", at=SECANT_AT, count=8)
    assert samples == pytest.approx(np.full(8, secant(job, "touring")), rel=1e-12)
    assert influences(job, [], "touring") == ()
    assert chance_within(samples, secant(job, "touring"), 0.05) == 1.0


def test_a_tolerance_is_the_90_percent_band():
    assert pytest.approx(1.6449, abs=5e-5) == SIGMAS  # normal tables, from memory


def test_many_inputs_are_screened_to_the_strongest():
    van = load(ROOT / "scenarios" / "high-roof-van.toml")
    found = influences(van.job, van.tolerances, "as_used")
    assert len(found) == 8
    assert found[0].share > found[-1].share
    assert {"front.spring.wheel_rate", "vehicle.cg_height"} <= {one.key for one in found}
