"""The bay tests on Springs and weights: from a reading to the scenario, and their sheet."""

import json
import math
import random
import re
from dataclasses import replace
from functools import partial
from html import escape, unescape

import numpy as np
import pandas as pd
import pytest

from rollsim.cli import main
from rollsim.estimates import Estimate
from rollsim.mass import states
from rollsim.measured import Unknown, net_roll_stiffness
from rollsim.page import bay_lift, bay_sheet
from rollsim.page import bay_readings as bay
from rollsim.page import bay_results as results
from rollsim.page import bay_roll_centre as by_tape
from rollsim.page.bay_figures import attempted, written
from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem, in_units
from rollsim.scenario import load, loads
from rollsim.scenario.correcting import correction
from rollsim.scenario.editing import changed, value
from tests.springs_page import (
    AXLE_LIFT,
    BAR,
    BLOCKS,
    BOUNCE,
    CG,
    CORNERS_BEFORE,
    FRONT,
    FRONT_AXLE,
    HOLDS,
    ITEM,
    LOAD_TEST,
    NET,
    RIGID,
    ROOT,
    TEXT,
    TOURING,
    TWIST,
    WHEELBASE,
    G,
    fill_in,
    lean_readings,
    opened,
    page,
    said,
    si,
    table,
    text_of,
)


def test_bay_tests_from_reading_to_scenario():
    """One visit: every form filled in, every result put in."""
    app = page(TOURING)
    for test, values in (
        (bay.CORNER_WEIGHTS, CORNERS_BEFORE),
        (bay.AXLE_LIFT, AXLE_LIFT),
        (bay.LOAD_TEST, LOAD_TEST),
        (bay.LEAN_TEST, lean_readings()),
        (bay.BOUNCE, BOUNCE),
        (bay.FRAME_TWIST, TWIST),
        (bay.BAR, BAR),
        (bay.BEFORE_AFTER, ITEM),
    ):
        fill_in(app, test, values)
    app.text_input(key="bay:item:name").set_value("tool box")
    app.selectbox(key="bay:linkage").set_value("transverse rod").run()
    fill_in(app, by_tape.ROD, ROD)
    app.selectbox(key="bay:unknown").set_value("rear roll stiffness").run()
    assert not app.exception
    rows = pd.concat([t.value for t in app.table if t.value.columns[1] == "figure"])
    found = dict(zip(rows[""], rows["figure"], strict=True))
    assert found["CG height, whole vehicle, mm"] == "690"
    assert found["wheel rate, one side, N/mm"] == "36.0"
    assert found["friction, half the loop, N"] == "90"
    assert found["net roll stiffness, N·m/deg"] == "1500"
    assert found["friction, half the loop, N·m"] == "60"
    assert found["damping ratio in roll"] == "0.300"
    assert found["torsional stiffness of the frame, axle to axle, N·m/deg"] == "632"
    assert found["mass, kg"] == "30.0"
    assert found["cross weight (front right + rear left)"] == "50.3 %"  # 570 + 430 of 1990
    assert found["bar stiffness at the link (link-end rate), N/mm"] == "130.3"
    assert found["rear roll centre (transverse rod), height, mm"] == "420"
    offered = said(app.markdown)
    assert "For the scenario: rear, roll centre height: 420 mm ± 4 mm" in offered
    assert re.search(r"scenario: vehicle, CG height .*: 690\.0 mm ± [1-9]\d\.\d mm", offered)
    assert "For the scenario: rear, bush and leaf twist (auxiliary roll stiffness): " in offered
    assert re.search(r"front, .*section\): 28 mm solid.*installation ratio\): 0\.58", offered)
    for key in ("corner_weights", "load_test", "bounce", "frame_twist", "before_after"):
        before = text_of(app)
        app.button(key=f"bay:put:{key}").click().run()
        assert not app.exception
        assert "Put in: " in said(app.success)
        assert text_of(app) != before
    text = text_of(app)
    assert value(text, "rear.spring.rate") == "36.00 N/mm"
    assert value(text, "rear.spring.loop_width") == "180 N"
    assert value(text, "rear.spring.second_stage.rate") == "60 N/mm"
    assert value(text, "vehicle.roll_damping_ratio").startswith("0.300 ± 0.0")
    assert value(text, "vehicle.frame_torsional_stiffness") == "632 N*m/deg ± 59 N*m/deg"
    assert value(text, "vehicle.cab_share_of_twist") == "0.12 ± 0.04"
    assert value(text, "vehicle.front_axle_mass") is None
    assert value(text, "vehicle.front_right_mass") == "570 kg"
    assert value(text, "load[4].name") == "tool box"
    assert value(text, "load[4].mass") == "30.0 kg ± 5.7 kg"
    assert table(app, "rear axle").loc["spring rate there, N/mm", "unladen"] == "36.0"


def test_the_axle_lift_carries_the_error_of_the_scales():
    found = results.axle_lift(si(bay.AXLE_LIFT, AXLE_LIFT), "rear")
    assert found.height.value == pytest.approx(CG, abs=1e-9)
    one = {key: v for key, v in AXLE_LIFT.items() if not key.endswith("_2")}
    alone = results.axle_lift(si(bay.AXLE_LIFT, one), "rear").height
    assert alone.value == pytest.approx(CG, abs=1e-9)
    assert alone.standard_error > found.height.standard_error
    finer = results.axle_lift(si(bay.AXLE_LIFT, {**AXLE_LIFT, "mass_error": 1.0}), "rear").height
    assert finer.standard_error < found.height.standard_error
    assert results.least_lift(WHEELBASE) == pytest.approx(0.7985, abs=1e-4)


@pytest.mark.parametrize(
    ("spring", "keys"),
    [
        ({"wheel_rate": "40 N/mm"}, {"front.spring.wheel_rate": "36.00 N/mm"}),
        (
            {"rate": "90 N/mm", "motion_ratio": 0.6, "friction": 0.05},
            {"front.spring.rate": "100.00 N/mm", "front.spring.motion_ratio": 0.6},
        ),
    ],
)
def test_a_wheel_rate_goes_where_the_file_states_the_spring(spring, keys):
    text = changed(TEXT, {"front.spring.wheel_rate": None})
    text = changed(text, {f"front.spring.{key}": new for key, new in spring.items()})
    job = loads(text, "x.toml").job
    found = results.load(si(bay.LOAD_TEST, LOAD_TEST), job, "rear", put_on=False)
    new = changed(text, results.load_changes(found, "front", METRIC, text=text, job=job))
    for key, wanted in keys.items():
        assert str(value(new, key)).startswith(str(wanted))
    assert value(new, "front.spring.friction") is None
    at_wheel = loads(new, "x.toml").job.vehicle.front.spring.curve(5000.0)
    assert float(at_wheel.tangent_rate(0.0)) == pytest.approx(36e3, rel=2e-4)
    rub = loads(new, "x.toml").job.vehicle.front.spring.friction(np.array(5000.0))
    assert float(rub) == pytest.approx(90.0, abs=0.6)


def test_a_spring_given_by_its_dimensions_gives_way_to_the_measured_rate():
    text = changed(TEXT, {"rear.spring.rate": None, "rear.spring.second_stage": None})
    coil = {"wire_diameter": "14 mm", "mean_coil_diameter": "120 mm", "active_coils": 8}
    coil |= {"free_length": "420 mm", "block_length": "140 mm"}
    text = changed(text, {f"rear.spring.helical.{key}": new for key, new in coil.items()})
    job = loads(text, "x.toml").job
    found = results.load(si(bay.LOAD_TEST, LOAD_TEST), job, "rear", put_on=False)
    new = changed(text, results.load_changes(found, "rear", METRIC, text=text, job=job))
    assert loads(new, "x.toml").job.vehicle.rear.spring.rate == pytest.approx(36e3, rel=2e-4)


def test_readings_past_the_start_of_the_helper_are_refused():
    job = loads(TEXT, "x.toml").job
    rear = job.vehicle.rear
    early = replace(rear, spring=replace(rear.spring, stage_start=0.010, stage_rate=60e3))
    job = replace(job, vehicle=replace(job.vehicle, rear=early))
    with pytest.raises(ValueError, match="helper leaves come in 10 mm below as weighed"):
        results.load(si(bay.LOAD_TEST, LOAD_TEST), job, "rear", put_on=False)
    results.load(si(bay.LOAD_TEST, LOAD_TEST), job, "front", put_on=False)


def test_masses_that_are_only_put_on_are_put_right_for_pitch():
    job = loads(TEXT, "x.toml").job
    weighed, put_on = (
        results.load(si(bay.LOAD_TEST, LOAD_TEST), job, "rear", put_on=put_on)
        for put_on in (False, True)
    )
    more = put_on.wheel_rate.value - weighed.wheel_rate.value
    sprung = 1130.0 + 860.0 - 105.0 - 190.0
    height = ((1130.0 + 860.0) * 0.660 - 105.0 * 0.370 - 190.0 * 0.375) / sprung
    assert job.vehicle.front.roll_centre_height == 0.085
    assert more == pytest.approx(0.5 * sprung * G * (height - 0.085) / 3.085**2, rel=1e-9)


def test_a_lean_by_tape_is_the_same_lean():
    job_free = lean_readings()
    tape = {
        key: 1550.0 * math.sin(math.radians(v)) if key.startswith("lean_") else v
        for key, v in job_free.items()
    }
    readings = si(bay.LEAN_TEST, {**tape, "apart": 1550.0})
    readings |= {k: v * 1e-3 for k, v in tape.items() if k.startswith("lean_")}
    by_tape = results.lean(readings, by_arches=True)
    by_angle = results.lean(si(bay.LEAN_TEST, job_free), by_arches=False)
    assert by_tape.net_roll_stiffness.value == pytest.approx(by_angle.net_roll_stiffness.value)
    assert by_angle.half_width.value == pytest.approx(math.radians(HOLDS / NET), rel=1e-9)
    assert by_angle.lean_at_rest == pytest.approx(math.radians(-0.1), rel=1e-9)


@pytest.mark.parametrize("unknown", list(Unknown))
def test_what_a_lean_test_puts_right_agrees_with_it_once_it_is_in_the_scenario(unknown):
    job = loads(TEXT, "x.toml").job
    stood = next(s for s in states(job) if s.name == "as_weighed")
    now = math.radians(net_roll_stiffness(stood)(job))
    net = now * (0.97 if unknown is Unknown.CG_HEIGHT else 1.04)
    found = results.lean(si(bay.LEAN_TEST, lean_readings(net)), by_arches=False)
    readings = si(bay.LEAN_TEST, lean_readings(net))
    read = loads(TEXT, "x.toml")
    fitted = results.calibrated(read, found, readings, unknown=unknown, state="as_weighed")
    new = changed(TEXT, correction(TEXT, read, fitted))
    again = loads(new, "x.toml").job
    stood = next(s for s in states(again) if s.name == "as_weighed")
    assert math.radians(net_roll_stiffness(stood)(again)) == pytest.approx(net, rel=2e-3)
    assert abs(net / now - 1.0) > 0.02


def test_an_item_weighed_before_and_after_is_where_moments_have_it():
    job = loads(TEXT, "x.toml").job
    found = results.item(si(bay.BEFORE_AFTER, ITEM), job)
    assert found.mass.value == pytest.approx(30.0)
    # Eight readings, each good to 2 kg as a 90 % band.
    assert found.mass.tolerance == pytest.approx(2.0 * math.sqrt(8.0), rel=1e-6)
    assert found.behind_front_axle.value == pytest.approx(3.085 * 32.0 / 30.0)
    left = (0.5 * (1.0 + 3.0) * 1.560 + 0.5 * (26.0 - 6.0) * 1.550) / 30.0
    assert found.left_of_centreline.value == pytest.approx(left)
    keys = results.item_keys(
        found, si(bay.BEFORE_AFTER, ITEM), METRIC, name="x", place="tray", on=True
    )
    assert keys["mass"] == "30.0 kg ± 5.7 kg"
    assert keys["on_when_weighed"] is True
    assert keys["height"] == "1250 mm"


def test_bad_readings_are_refused_in_words_and_nothing_that_breaks_the_scenario_goes_in():
    app = page(TOURING)
    low = {**AXLE_LIFT, "raised_1": FRONT - 60.0, "raised_2": FRONT - 75.0}  # CG under 200 mm
    fill_in(app, bay.AXLE_LIFT, low)
    app.run()
    app.button(key="bay:put:axle_lift").click().run()
    assert not app.exception
    assert "Not put in:" in said(app.error)
    assert "vehicle.cg_height" in said(app.error)
    assert text_of(app) == TEXT
    app.text_input(key="bay:axle_lift:raised_1:kg").set_value("5000").run()
    assert not app.exception
    assert "No result: 5000 kg on the axle left on the scales" in said(app.error)
    assert not [b for b in app.button if b.key == "bay:put:axle_lift"]


def test_a_bar_known_by_its_roll_stiffness_gives_way_to_the_measured_one():
    text = changed(TEXT, {"front.bar.link_end_rate": None, "front.bar.installation_ratio": None})
    text = changed(text, {"front.bar.roll_stiffness": "420 N*m/deg"})
    readings = si(bay.BAR, {key: v for key, v in BAR.items() if key != "ratio"})
    readings["ratio"] = 0.6
    for units in READER_UNITS.values():
        keys = results.bar_keys(readings, RIGID, units)
        found, across = results.bar(keys, FRONT_AXLE)
        assert found.value == pytest.approx(130.3e3, abs=50.0)
        assert across.value == pytest.approx(found.value * 0.6**2 * 1.560**2 / 2.0, rel=1e-9)
        new = changed(text, results.bar_changes(keys, "front", text=text))
        stiffness = loads(new, "x.toml").job.vehicle.front.bar_roll_stiffness
        assert stiffness == pytest.approx(found.value * 0.6**2 * 1.560**2 / 2.0, rel=1e-9)


def test_the_bars_form_the_command_and_the_file_give_one_rate(capsys):
    """A tube in rubber bushes, its arms told by where the links are."""
    readings = si(bay.BAR, {**BAR, "bore": 20.0, "links": 1010.0})
    keys = results.bar_keys(readings, {**RIGID, "bush_rate": "rubber"}, METRIC)
    assert keys["section"] == "28 mm x 4 mm"
    found, _ = results.bar(keys, FRONT_AXLE)
    options = {name: one for name, one in keys.items() if name != "arm_holes"}
    options |= {"arm_hole": keys["arm_holes"][0], "track": "1560 mm"}
    words = (w for k, one in options.items() for w in (f"--{k.replace('_', '-')}", str(one)))
    assert main(["weigh", "bar", "--json", *words]) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["link_end_rate_N_per_mm"] * 1e3 == pytest.approx(found.value, rel=1e-9)
    error = "standard_error_link_end_rate_N_per_mm"
    assert record[error] * 1e3 == pytest.approx(found.standard_error, rel=1e-9)
    new = changed(TEXT, results.bar_changes(keys, "front", text=TEXT))
    stiffness = loads(new, "x.toml").job.vehicle.front.bar_roll_stiffness
    assert stiffness == pytest.approx(found.value * 0.58**2 * 1.560**2 / 2.0, rel=1e-9)


ROD = {"on_axle_across": 500.0, "on_axle_height": 400.0, "on_body_across": -500.0}
ROD |= {"on_body_height": 440.0}  # crosses the middle half way: 420 mm


def test_a_roll_centre_by_tape_goes_in_with_its_tolerance():
    linkage = next(one for one in by_tape.LINKAGES if one.test is by_tape.ROD)
    centre = by_tape.found(linkage, si(by_tape.ROD, ROD))
    new = changed(TEXT, by_tape.changes(centre, "rear", METRIC, text=TEXT))
    rear = loads(new, "x.toml").job.vehicle.rear
    assert rear.roll_centre_height == pytest.approx(0.420)
    assert rear.roll_centre_travel_ratio == pytest.approx(0.5)
    # Half of either height's 5 mm, and a 1:25 slope of it for the places: 3.5 mm.
    assert value(new, "rear.roll_centre_height") == "420 mm ± 4 mm"
    table = by_tape.sensitivity_table(centre, by_tape.ROD, METRIC)
    assert list(table.iloc[:2, 1]) == ["2.5", "2.5"]


@pytest.mark.parametrize("linkage", by_tape.LINKAGES, ids=lambda one: one.test.key)
def test_every_reading_of_a_linkage_is_one_that_its_record_takes(linkage):
    sizes = {
        "leaf_springs": (600.0, 620.0, 480.0, 620.0, 650.0),
        "panhard_rod": (500.0, 400.0, -500.0, 440.0),
        "double_wishbone": (420.0, 560.0, 660.0, 600.0, 330.0, 270.0, 700.0, 230.0, 780.0),
        "strut": (580.0, 900.0, 640.0, 450.0, 350.0, 270.0, 700.0, 230.0, 780.0),
    }[linkage.test.key]
    values = {one.key: size for one, size in zip(linkage.test.readings, sizes, strict=True)}
    centre = by_tape.found(linkage, si(linkage.test, values))
    table = by_tape.sensitivity_table(centre, linkage.test, METRIC)
    assert sorted(table.iloc[:, 0]) == sorted(one.label for one in linkage.test.readings)
    assert 0.0 < centre.height < 0.6


def test_readings_of_any_kind_give_a_result_or_a_word_and_never_fall_over():
    job = loads(TEXT, "x.toml").job
    tests = [
        (bay.CORNER_WEIGHTS, lambda x: results.corners(x, job)),
        (bay.AXLE_LIFT, lambda x: results.axle_lift(x, "rear")),
        (bay.LOAD_TEST, lambda x: results.load(x, job, "rear", put_on=True)),
        (bay.LEAN_TEST, lambda x: results.lean(x, by_arches=True)),
        (bay.BOUNCE, results.bounced),
        (bay.FRAME_TWIST, lambda x: results.twisted(x, job, BLOCKS, state="as_weighed")),
        (bay.BAR, lambda x: results.bar(results.bar_keys(x, RIGID, METRIC), FRONT_AXLE)),
        (bay.BEFORE_AFTER, lambda x: results.item(x, job)),
        *((one.test, partial(by_tape.found, one)) for one in by_tape.LINKAGES),
    ]
    draw = random.Random(1)
    for test, work in tests:
        told = []
        for number in range(40):
            sizes = (0.0,) if number == 0 else (0.0, 1e-12, 0.3, 1.0, -5.0, 700.0, 1e7)
            readings = {one.key: draw.choice(sizes) for one in test.readings}
            found, why = attempted(partial(work, readings))
            assert (found is None) == bool(why)
            told.append(why)
        assert told[0], f"{test.key}: nothing but zeros gives no result"


def test_scales_and_levels_of_the_frame_test_count_as_the_command_has_them(capsys):
    words = ["weigh", "frame-twist", str(ROOT / "scenarios" / f"{TOURING}.toml"), "--json"]
    words += ["--block", "125 mm", "--reading-error", "0.2 deg"]
    for way in bay.WAYS:
        words += [f"--{way}", *(f"{TWIST[f'{way}_{one}']:g} kg ± 10 kg" for one in bay.CORNERS)]
        words += [
            f"--{way}-levels",
            *(f"{TWIST[f'{way}_{at}']:g} deg" for at in ("front", "rear", "cab")),
        ]
    assert main(words) == 0
    told = json.loads(capsys.readouterr().out)
    read = si(bay.FRAME_TWIST, TWIST | {"scale_error": 10.0, "level_error": 0.2})
    read = {one.key: read.get(one.key) for one in bay.FRAME_TWIST.readings}
    found = results.twisted(read, loads(TEXT, "x.toml").job, BLOCKS, state="as_weighed")
    error = told["standard_error_frame_torsional_stiffness_Nm_per_deg"]
    assert math.radians(found.stiffness.standard_error) == pytest.approx(error, rel=1e-9)
    plain = results.twisted(
        read | {"scale_error": None}, loads(TEXT, "x.toml").job, BLOCKS, state="as_weighed"
    )
    assert plain.stiffness.standard_error < 0.95 * found.stiffness.standard_error


@pytest.mark.parametrize(
    ("freedom", "wanted"),
    [(math.inf, "100 mm ± 16.4 mm"), (4.0, "100 mm ± 21.3 mm"), (0.0, "100 mm")],
)
def test_a_tolerance_is_half_the_90_percent_band(freedom, wanted):
    # Tables of the t distribution, 95 % one-sided: 2.132 for 4 degrees of freedom.
    found = written(Estimate(0.100, 0.010, freedom), "mm", decimals=1)
    assert found.replace("100.0", "100") == wanted


@pytest.mark.parametrize("system", list(UnitSystem))
def test_the_sheet_has_a_blank_for_every_field_in_its_order_and_nothing_from_outside(system):
    scenario, units = load(ROOT / "scenarios" / f"{TOURING}.toml"), READER_UNITS[system]
    tests = (*bay.TESTS, *(one.test for one in by_tape.LINKAGES), *bay_lift.LIFT_TESTS)
    html = bay_sheet.sheet(scenario.job, units, title=scenario.title, tests=tests)
    assert not re.search(r"https?:|src=|url\(|<script|<link", html)
    assert "@page" in html
    pages = re.findall(r'<section class="(\w+)">(.*?)</section>', html, re.DOTALL)
    assert [key for key, _ in pages] == [test.key for test in tests]
    for test, (_, body) in zip(tests, pages, strict=True):
        rows = re.findall(r"<td>([^<]*)</td><td class='blank'></td><td class='unit'>(.*?)<", body)
        assert [unescape(label) for label, _ in rows] == [one.label for one in test.readings]
        for one, (_, unit) in zip(test.readings, rows, strict=True):
            assert bay_sheet.unit_of(one, units, {}) in unit
        for line in (*test.safety, *test.steps):
            assert escape(in_units(line, units)) in body
        assert "jack alone" in body or test is not bay.AXLE_LIFT
        assert "local codes" in body


def test_the_form_has_the_sheets_fields_in_its_order():
    labels = [n.label for n in opened(TOURING).text_input if n.key != "bay:item:name"]
    expected = [
        ", ".join(filter(None, (one.label, bay_sheet.unit_of(one, METRIC, {}))))
        for test in (*bay.TESTS, by_tape.LINKAGES[0].test, bay_lift.LIFT_TESTS[0])
        for one in test.readings
    ]
    assert labels == expected
