"""Tolerances carried to the lean: against closed forms, against one input at a time."""

import math
import re
import shutil
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.bar import candidates
from rollsim.mass import FittedBar
from rollsim.roll import SECANT_AT, results
from rollsim.scenario import load, loads
from rollsim.scenario.editing import changed
from rollsim.scenario.inputs import Kind, inputs
from rollsim.sizing.stiffness import gradients
from rollsim.tolerance import (
    SIGMAS,
    OrderedBar,
    Tolerance,
    band,
    bar_shifting,
    chance_of_target,
    influences,
    lean_bands,
    lean_samples,
    shifting,
    without_effect,
)
from rollsim.tolerance.shifts import limited
from rollsim.vehicle import Suspension
from tests.builders import ROOT, SCENARIOS

TOURING = ROOT / "scenarios" / "crew-cab-touring.toml"
TEXT = TOURING.read_text("utf-8")


def secant(job, state):
    return next(r for r in results(job, ()) if r.name == state).secant_roll_gradient


def models_of(job):
    return [mass.model(job, state) for state in mass.states(job)]


def assert_alike(found, wanted):
    """The same in all that the equilibrium knows of them."""
    for one, other in zip(found, wanted, strict=True):
        for name in one.__dataclass_fields__:
            assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-9, abs=1e-12)


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
        ("rear.spring.second_stage.after", "40 mm"),
        ("change.suspension_lift_front", "60 mm"),
        ("change.suspension_lift_rear", "70 mm"),
        ("change.wheel_offset_front", "20 mm"),
        ("change.wheel_offset_rear", "-15 mm"),
    ],
)
def test_a_shift_is_what_the_file_with_that_value_gives(key, value):
    """Each input shifted as tolerances shift it, against the scenario read with the new value."""
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
    assert_alike(models_of(moved), models_of(new.job))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("frame_torsional_stiffness", "2400 N*m/deg"),
        ("frame_height", "700 mm"),
        ("cab_share_of_twist", 0.3),
    ],
)
def test_a_shift_of_the_frame_is_what_the_file_with_that_value_gives(name, value):
    twists = {
        "vehicle.frame_torsional_stiffness": "1800 N*m/deg ± 300 N*m/deg",
        "vehicle.frame_height": "560 mm ± 10 mm",
        "vehicle.cab_share_of_twist": "0.1 ± 0.05",
        "load[0].behind_front_axle": "3600 mm",  # behind the axle the frame's height counts
    }
    key = f"vehicle.{name}"
    typed = f"{value} ± 1 %" if isinstance(value, str) else f"{value} ± 0.05"
    old, new = (
        loads(changed(TEXT, twists | more), "a.toml", TOURING.parent) for more in ({}, {key: typed})
    )
    was, now = (next(t for t in one.tolerances if t.key == key) for one in (old, new))
    ((_, shift),) = shifting([was])
    assert_alike(models_of(shift(old.job, now.value - was.value)), models_of(new.job))


def _now(key, value):
    from rollsim.scenario.editing import value as stands

    now = stands(TEXT, key)
    if now is None:
        return "0 mm"
    return str(now).split("±")[0].strip()


@pytest.mark.parametrize(
    ("word", "old", "new"),
    [
        ("roll_stiffness", "420 N*m/deg", "480 N*m/deg"),
        ("link_end_rate", "28 N/mm", "33 N/mm"),
        ("installation_ratio", "0.6", "0.66"),
    ],
)
def test_a_shift_of_a_fitted_front_bar_is_what_the_file_gives(word, old, new):
    def read(value):
        bar = {"link_end_rate": "28 N/mm", "installation_ratio": "0.6"} if word[0] != "r" else {}
        table = ", ".join(f'{key} = "{x} ± 2 %"' for key, x in {**bar, word: value}.items())
        text = TEXT.replace("[change]", f"[change]\nfront_bar = {{ {table} }}")
        return loads(text, "bar.toml", TOURING.parent)

    key = f"change.front_bar.{word}"
    before, after = read(old), read(new)
    was, then = (next(t for t in one.tolerances if t.key == key) for one in (before, after))
    ((_, shift),) = shifting([was])
    moved = shift(before.job, then.value - was.value)
    assert_alike(models_of(moved), models_of(after.job))


STAGED = """{ rate = "90 N/mm", motion_ratio = "0.6",
second_stage = { after = "0 mm", rate = "50 N/mm" }"""
COIL = """{ motion_ratio = "0.6", helical = { wire_diameter = "15 mm", active_coils = "6",
mean_coil_diameter = "110 mm", free_length = "400 mm", block_length = "120 mm",
shear_modulus = "79 GPa" }"""
PACK = """{ leaf_pack = { span = "1250 mm", inactive_length = "100 mm", youngs_modulus = "206 GPa",
full_length_thickness = ["7 mm", "7.1 mm"], full_length_width = ["60 mm"],
graduated_thickness = ["7 mm", "6.5 mm"], helper = { span = "900 mm", after = "50 mm",
contact_travel = "10 mm", full_length_thickness = ["11 mm"], full_length_width = ["55 mm"] } }"""
TABLE = '{ table = "spring.csv", motion_ratio = "0.8"'
NEW = ', load = "500 kg", at = "3 mm"'


def springs(place: str, spring: str, **table: str) -> str:
    """The touring crew-cab with another spring in one place."""
    spring = " ".join(spring.split())
    if place.startswith("change."):
        return TEXT.replace("[change]", f"[change]\n{place.partition('.')[2]} = {spring}")
    head, _, rest = TEXT.partition(f"[{place}]")
    return f"{head}[{place}]{re.sub('(?m)^spring = .*$', f'spring = {spring}', rest, count=1)}"


@pytest.mark.parametrize(
    ("place", "spring", "key", "old", "new"),
    [
        ("front", STAGED, "motion_ratio", "0.6", "0.7"),
        ("front", STAGED, "second_stage.after", "0 mm", "-12 mm"),
        ("front", STAGED, "second_stage.rate", "50 N/mm", "60 N/mm"),
        ("front", STAGED, "rate", "90 N/mm", "80 N/mm"),
        ("change.front_spring", STAGED + NEW, "motion_ratio", "0.6", "0.7"),
        ("change.front_spring", STAGED + NEW, "load", "500 kg", "560 kg"),
        ("change.front_spring", STAGED + NEW, "at", "3 mm", "-15 mm"),
        ("change.rear_spring", '{ rate = "44 N/mm"', "rate", "44 N/mm", "48 N/mm"),
        ("front", TABLE, "motion_ratio", "0.8", "0.85"),
        ("change.front_spring", TABLE + NEW, "at", "3 mm", "20 mm"),
        ("change.front_spring", COIL + NEW, "motion_ratio", "0.6", "0.65"),
        ("front", COIL, "helical.wire_diameter", "15 mm", "15.4 mm"),
        ("front", COIL, "helical.mean_coil_diameter", "110 mm", "113 mm"),
        ("front", COIL, "helical.active_coils", "6", "6.5"),
        ("front", COIL, "helical.free_length", "400 mm", "410 mm"),
        ("front", COIL, "helical.block_length", "120 mm", "118 mm"),
        ("front", COIL, "helical.shear_modulus", "79 GPa", "81 GPa"),
        ("rear", PACK, "leaf_pack.span", "1250 mm", "1280 mm"),
        ("rear", PACK, "leaf_pack.inactive_length", "100 mm", "80 mm"),
        ("rear", PACK, "leaf_pack.youngs_modulus", "206 GPa", "200 GPa"),
        ("rear", PACK, "leaf_pack.full_length_thickness[2]", "7.1 mm", "7.4 mm"),
        ("rear", PACK, "leaf_pack.full_length_width[1]", "60 mm", "63 mm"),
        ("rear", PACK, "leaf_pack.graduated_thickness[2]", "6.5 mm", "6.2 mm"),
        ("rear", PACK, "leaf_pack.helper.span", "900 mm", "950 mm"),
        ("rear", PACK, "leaf_pack.helper.after", "50 mm", "60 mm"),
        ("rear", PACK, "leaf_pack.helper.contact_travel", "10 mm", "12 mm"),
        ("rear", PACK, "leaf_pack.helper.full_length_thickness[1]", "11 mm", "11.5 mm"),
        ("rear", PACK, "leaf_pack.helper.full_length_width[1]", "55 mm", "57 mm"),
    ],
)
def test_a_shift_of_a_spring_is_the_spring_of_the_file_with_that_value(
    place, spring, key, old, new, tmp_path
):
    """All that the equilibrium knows of it, in every state, against the file read again."""
    shutil.copy(ROOT / "tests" / "data" / "spring.csv", tmp_path)

    def read(value: str):
        assert spring.count(f'"{old}"') == 1
        unit = value.partition(" ")[2]
        text = spring.replace(f'"{old}"', f'"{value} ± 0.01 {unit}"') + " }"
        return loads(springs(place, text), "new.toml", tmp_path)

    was, now = read(old), read(new)
    whole = f"{place}.{key}" if place.startswith("change") else f"{place}.spring.{key}"
    before, after = (next(t for t in f.tolerances if t.key == whole) for f in (was, now))
    ((_, shift),) = [pair for pair in shifting(was.tolerances) if pair[0].key == whole]
    moved = shift(was.job, after.value - before.value)
    found, wanted, plain = (models_of(which) for which in (moved, now.job, was.job))
    assert_alike(found, wanted)
    names = ("spring_rate", "spring_load", "hinge_start", "hinge_step")
    last, first = found[-1], plain[-1]
    assert any(not np.allclose(getattr(last, n), getattr(first, n), 1e-6) for n in names)


@pytest.mark.parametrize(("stated", "number"), [(('"60 mm"',), 1), (('"60 mm"', '"60 mm"'), 2)])
def test_a_width_moves_the_leaves_that_it_is_stated_for(stated, number, tmp_path):
    """One width for all leaves moves all; a width of its own moves that leaf."""
    spring = PACK.replace('["60 mm"]', f"[{', '.join(s[:-1] + ' ± 1 mm' + s[-1] for s in stated)}]")
    if number == 2:
        spring = spring.replace("helper =", 'graduated_width = ["60 mm"], helper =', 1)
    found = loads(springs("rear", spring + " }"), "new.toml", tmp_path)
    key = f"rear.spring.leaf_pack.full_length_width[{number}]"
    ((_, shift),) = [pair for pair in shifting(found.tolerances) if pair[0].key == key]
    main = shift(found.job, 0.003).vehicle.rear.spring.main
    widths = [leaf.width for leaf in (*main.full_length, *main.graduated)]
    moved = [0.063] * 4 if number == 1 else [0.06, 0.063, 0.06, 0.06]
    assert widths == pytest.approx(moved, abs=1e-12)


def test_every_measured_input_of_the_vehicle_is_drawn_or_has_a_reason():
    """Over the whole schema: no key is passed over without a word.

    Readings of a test end in the tolerance of what they measure, which is drawn.
    """
    readings = r"cg_height_test|roll_centre\.|load_test|tank|weighed|behind_rear_axle"
    stated = "roll_stiffness|link_end_rate|link_spacing|installation_ratio"
    readings += rf"|bar\.(?!(?:{stated})$)"  # its dimensions: see test_bar_by_dimensions
    keys = [
        one.key.replace("load[]", "load[1]") + ("[1]" if one.kind is Kind.LIST else "")
        for one in inputs()
        if one.kind in (Kind.QUANTITY, Kind.LIST)
        and one.group in ("vehicle", "front", "rear", "load", "change")
        and not one.key.endswith(".cases")  # names
        and not re.search(readings, one.key)
    ]
    every = [Tolerance(key, 1.0, 0.1) for key in keys]
    drawn = {one.key for one, _ in shifting(every)}
    assert [t.key for t in every if t.key not in drawn and not without_effect(t)] == []
    assert not [t.key for t in every if t.key in drawn and without_effect(t)]


@pytest.mark.parametrize(
    ("stem", "word", "to"),
    [
        ("high-roof-van", "bush_rate", 4e6),
        ("high-roof-van", "link_rate", 3e6),
        ("independent-rear-with-bar", "installation_ratio", 0.7),
        ("high-roof-van", "lash", 0.004),
        ("independent-rear-with-bar", "lash", 0.004),
    ],
)
def test_a_shift_of_the_bar_is_the_bar_worked_out_anew(stem, word, to):
    found = load(ROOT / "scenarios" / f"{stem}.toml")
    rear, last = found.job.vehicle.rear, len(found.rear_bar.shapes) - 1
    before = 0.0 if word == "lash" else 0.002
    hung = replace(found.rear_bar.installation, link_inclination=0.3, lash=before)
    hung = replace(found.rear_bar, installation=hung)

    def worked_out(rear_bar):
        independent = rear.suspension is Suspension.INDEPENDENT
        bars = candidates(rear_bar, independent=independent, track=rear.track)
        fitted = FittedBar(float(bars.roll_stiffness[last]), 5.0, float(bars.lash_angle[last]))
        return OrderedBar(fitted, rear_bar, last, float(bars.link_end_rate[last]))

    plain = worked_out(hung)
    if word == "lash":
        start, new = before, replace(hung, installation=replace(hung.installation, lash=to))
    else:
        start, new = getattr(hung, word), replace(hung, **{word: to})
    ((_, shift),) = bar_shifting([Tolerance(f"rear_bar.{word}", start, 1.0)])
    moved, wanted = shift(plain, to - start).fitted, worked_out(new).fitted
    assert moved.roll_stiffness == pytest.approx(wanted.roll_stiffness, rel=1e-12)
    assert moved.lash_angle == pytest.approx(wanted.lash_angle, rel=1e-12)
    assert wanted != plain.fitted


def test_soft_bushes_widen_the_band_of_a_bar_to_be_ordered():
    found = load(ROOT / "scenarios" / "high-roof-van.toml")
    bars = candidates(found.rear_bar, independent=False, track=found.job.vehicle.rear.track)
    fitted = FittedBar(float(bars.roll_stiffness[-1]), float(bars.mass[-1]))
    hole = int(bars.hole[-1])
    bar = OrderedBar(fitted, found.rear_bar, hole, float(bars.link_end_rate[-1]))
    bushes = [one for one in found.tolerances if one.key == "rear_bar.bush_rate"]
    samples = lean_samples(found.job, bushes, "as_used", bar=bar)
    ((_, shift),) = bar_shifting(bushes)
    ends = [shift(bar, sign * bushes[0].tolerance).fitted for sign in (-1.0, 1.0)]
    soft, firm = (lean_samples(found.job, [], "as_used", bar=b, count=1)[0] for b in ends)
    spread = band(samples)
    assert firm < soft
    assert spread.high - spread.low == pytest.approx(soft - firm, rel=0.05)
    assert 0.5 * (spread.low + spread.high) == pytest.approx(0.5 * (soft + firm), rel=1e-4)


def test_samples_with_and_without_a_bar_to_be_ordered_belong_together():
    """Rigid bushes and links have no tolerance to feel: the same samples as of the bar alone."""
    found = load(ROOT / "scenarios" / "high-roof-van.toml")
    rigid = replace(found.rear_bar, bush_rate=None, link_rate=None)
    fitted = FittedBar(8e3, 5.0)
    ordered = OrderedBar(fitted, rigid, 0, 2e4)
    one, other = (
        lean_samples(found.job, found.tolerances, "as_used", bar=bar, count=16)
        for bar in (fitted, ordered)
    )
    assert np.array_equal(one, other)
    assert np.ptp(one) > 0.0
    plain = band(lean_samples(found.job, found.tolerances, "as_used", count=16))
    bands = {b.state: b.secant for b in lean_bands(found.job, found.tolerances, count=16)}
    assert bands["as_used"] == plain


def test_an_input_that_may_be_negative_is_not_cut():
    """A load 10 mm off the middle, within 60 mm: the draws lie on both sides of it alike."""
    aside = Tolerance("load[1].left_of_centreline", 0.01, 0.06)
    assert limited(aside, -0.06) == -0.06
    heavy = Tolerance("load[1].mass", 10.0, 60.0)
    assert limited(heavy, -60.0) == pytest.approx(-9.5)


def test_what_the_lean_does_not_hang_on_is_named_with_its_reason():
    pack = PACK.replace("span =", 'nip = "5 mm ± 1 mm", span =', 1) + ', friction = "0.07 ± 0.02" }'
    text = springs("rear", pack).replace('rated_load = "900 kg"', 'rated_load = "900 kg ± 9 kg"')
    found = loads(text, "new.toml")
    drawn = {one.key for one, _ in shifting(found.tolerances)}
    rest = [one for one in found.tolerances if one.key not in drawn]
    assert {one.key.rpartition(".")[2] for one in rest} == {"nip", "friction", "rated_load"}
    assert all(without_effect(one) for one in rest)
    lean = secant(found.job, "touring")
    for old, new in (("0.07 ±", "0.2 ±"), ('nip = "5', 'nip = "9'), ("900 kg ±", "980 kg ±")):
        assert secant(loads(text.replace(old, new), "new.toml").job, "touring") == lean


def test_the_mass_of_a_body_lift_is_carried():
    def read(kilograms: str):
        lift = {"change.body_lift": "50 mm", "change.body_lift_mass": f"{kilograms} ± 20 kg"}
        return loads(changed(TEXT, lift), "new.toml", TOURING.parent)

    light, heavy = read("400 kg"), read("460 kg")
    (shift,) = [s for one, s in shifting(light.tolerances) if one.key == "change.body_lift_mass"]
    assert_alike(models_of(shift(light.job, 60.0)), models_of(heavy.job))
    assert not np.array_equal(
        models_of(light.job)[-1].cg_height, models_of(heavy.job)[-1].cg_height
    )


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
        lean = 0.5 * (result.secant_roll_gradient + result.right_secant_roll_gradient)
        if not math.isfinite(lean):
            continue
        samples = lean_samples(scenario.job, scenario.tolerances, result.name, count=64)
        found = band(samples)
        assert found.low <= lean <= found.high
        assert bool(shifting(scenario.tolerances)) == (found.high > found.low)


def test_samples_are_the_mean_of_both_turns_as_a_bar_is_sized_to():
    """With a load 0.4 m off the middle the turns differ; a mirror image has the same band."""
    scenario = load(TOURING)
    aside = tuple(replace(x, left_of_centreline=0.4) for x in scenario.job.loads)
    job = replace(scenario.job, loads=aside)
    state = next(r for r in results(job, ()) if r.name == "touring")
    left, right = state.secant_roll_gradient, state.right_secant_roll_gradient
    assert abs(left / right - 1.0) > 1e-3
    plain = lean_samples(job, [], "touring", count=1)[0]
    assert plain == pytest.approx(0.5 * (left + right), rel=1e-9)
    sized_for = gradients(mass.model(job, mass.states(job)[-1]), SECANT_AT)[0]
    assert plain == pytest.approx(sized_for, rel=1e-12)
    known = [t for t in scenario.tolerances if t.key.startswith(("front", "vehicle.cg"))]
    one, other = (lean_samples(j, known, "touring", count=16) for j in (job, mass.mirrored(job)))
    assert one == pytest.approx(other, rel=1e-9)


def test_samples_without_an_acceleration_are_linear():
    job = load(TOURING).job
    state = next(r for r in results(job, ()) if r.name == "touring")
    found = lean_samples(job, [], "touring", at=None, count=1)[0]
    assert found == pytest.approx(state.roll_gradient, rel=1e-9)
    assert found != pytest.approx(state.secant_roll_gradient, rel=1e-5)


def test_the_same_samples_every_time():
    scenario = load(TOURING)
    one, other = (lean_samples(scenario.job, scenario.tolerances, "touring") for _ in (0, 1))
    assert np.array_equal(one, other)


def test_nothing_uncertain_has_no_band_and_no_influence():
    job = load(TOURING).job
    samples = lean_samples(job, [], "touring", at=SECANT_AT, count=8)
    assert samples == pytest.approx(np.full(8, secant(job, "touring")), rel=1e-12)
    assert influences(job, [], "touring") == ()
    assert chance_of_target(samples, secant(job, "touring"), 0.05) == 1.0


def test_a_tolerance_is_the_90_percent_band():
    assert pytest.approx(1.6449, abs=5e-5) == SIGMAS  # normal tables, from memory


def test_many_inputs_are_screened_to_the_strongest():
    van = load(ROOT / "scenarios" / "high-roof-van.toml")
    found = influences(van.job, van.tolerances, "as_used")
    assert len(found) == 8
    assert found[0].share > found[-1].share
    assert {"front.spring.wheel_rate", "vehicle.cg_height"} <= {one.key for one in found}


def test_what_a_class_frame_leaves_open_is_drawn_and_ranked():
    """Half of a class default's stiffness is its band; with a rear bar on it is worth a test."""
    twists = {"vehicle.frame_torsional_stiffness": "class default"}
    found = loads(changed(TEXT, twists), "a.toml", TOURING.parent)
    known = {t.key: t for t in found.tolerances}
    frame, share = (
        known[f"vehicle.{key}"] for key in ("frame_torsional_stiffness", "cab_share_of_twist")
    )
    assert np.radians([frame.value, frame.tolerance]) == pytest.approx([3000.0, 1500.0])
    assert (share.value, share.tolerance) == (0.2, 0.2)
    bar = FittedBar(np.degrees(627.0))  # the one that it is sized to
    ranked = {i.key: i.share for i in influences(found.job, found.tolerances, "touring", bar=bar)}
    assert ranked[frame.key] > 0.02  # what the page lists
    assert ranked[share.key] > 0.02
    # Alone it moves the lean by so much of the variance; more where it acts with the cab's share.
    alone, whole = (
        lean_samples(found.job, some, "touring", bar=bar, count=64).var()
        for some in ([frame], found.tolerances)
    )
    assert 0.8 * alone / whole < ranked[frame.key] < 2.0 * alone / whole
    # Without the bar both ends lean nearly alike, and a frame matters little.
    bare = lean_samples(found.job, [frame], "touring", count=64).var()
    assert bare < 0.1 * alone
