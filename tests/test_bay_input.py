"""Readings from the bay as inputs: what the full model was given comes back out of the file."""

import json
import math
import re
from dataclasses import replace

import numpy as np
import pytest

from rollsim.cli import main
from rollsim.cli.records import roll_record
from rollsim.cli.tables import check_report, roll_report
from rollsim.estimates import BAND, CONFIDENCE, Estimate, coverage_factor
from rollsim.measured import Unknown
from rollsim.roll import results
from rollsim.roll_centre import DoubleWishbone, PanhardRod, Point, roll_centre
from rollsim.scenario import ScenarioError
from rollsim.scenario.bay_tables import PutRight, Raised
from rollsim.springs import FrictionLoop, LinearSpring
from rollsim.tolerance import shifting
from rollsim.vehicle import STANDARD_GRAVITY, Place
from rollsim.weighing import CornerMasses, RaisedAxle, added_load, weighed_item
from tests.bad_input import TEXT
from tests.bad_input_bay import (
    ARMS,
    ARMS_TEXT,
    AXLE_LIFT_TEXT,
    CENTRE,
    CG,
    FRONT_CENTRE,
    LEAN_TEXT,
    LOAD_TEST,
    LOAD_TEST_TEXT,
    PLACE,
    REAR,
    ROD_TEXT,
    TANK_TEXT,
    WEIGHED_TEXT,
    bay_text,
)
from tests.bay_input import PLAIN, measured, read, tolerance
from tests.builders import ROOT
from tests.test_weighing import lifted_mass

DRAWS = 2000
G = STANDARD_GRAVITY


def test_words_of_the_file_are_those_of_the_tests():
    assert [one.value for one in PutRight] == [one.value for one in Unknown]
    assert [one.value for one in Raised] == [one.value for one in RaisedAxle]


# CG height by lifting an axle


def lift_text(raised, *, radii, heights=(0.5, 0.8), scale=""):
    """The crew-cab with exact readings of rigid-body statics in place of its CG height."""
    pairs = (
        float(
            lifted_mass(
                PLAIN.job.vehicle, lift, front_radius=radii[0], rear_radius=radii[1], raised=raised
            )
        )
        for lift in heights
    )
    lifts = ", ".join(
        f'{{ height = "{lift} m", mass = "{weight!r} kg{scale}" }}'
        for lift, weight in zip(heights, pairs, strict=True)
    )
    front, rear = radii
    return bay_text(
        (
            CG,
            f'cg_height_test = {{ raised_axle = "{raised.value}", front_loaded_radius = "{front} '
            f'm", rear_loaded_radius = "{rear} m", lift = [{lifts}] }}',
        )
    )


@pytest.mark.parametrize("raised", RaisedAxle)
@pytest.mark.parametrize("radii", [(0.37, 0.37), (0.34, 0.38)])
def test_axle_lift_gives_the_cg_height_back(raised, radii):
    found = read(lift_text(raised, radii=radii))
    assert found.job.vehicle.cg_height == pytest.approx(0.7, abs=1e-9)
    # Everything else is as without the test.
    vehicle = replace(found.job.vehicle, cg_height=0.7)
    assert vehicle == replace(PLAIN.job.vehicle, cg_height=0.7)
    assert f"2 lifts of the {raised.value} axle" in measured(found, "vehicle.cg_height")


def test_standard_error_of_the_lift_becomes_the_tolerance():
    # One lift by 600 mm: the difference of two readings moves the CG height by L Δm/(W tan θ);
    # the file's ± is a 90 % band, of both masses; a tape that is exact adds nothing.
    text = lift_text(RaisedAxle.REAR, radii=(0.37, 0.37), heights=(0.6,), scale=" ± 4 kg")
    text = text.replace("± 10 kg", "± 4 kg")
    found = tolerance(read(text), "vehicle.cg_height")
    tangent = 0.6 / math.sqrt(3.085**2 - 0.6**2)
    scales = math.sqrt(2.0) * 3.085 * 4.0 / (1990.0 * tangent)
    # radius, wheelbase and lift are good to 3 mm (standard error): the lift moves z − r = 0.33 m
    # in proportion, the radius all of it.
    tape = 1.645 * math.hypot(0.003 * 0.33 / 0.6, 0.003)
    assert found.tolerance == pytest.approx(math.hypot(scales, tape), rel=0.02)
    assert found.value == pytest.approx(0.7)
    (line,) = (note for note in read(text).notes if "4 kg on the scales" in note)
    assert "are 31 mm of CG height" in line


def test_two_corners_make_one_axle():
    # A corner good to 7 kg makes an axle good to 7 √2 kg.
    axles = 'front_axle_mass = "1130 kg ± {0} kg"\nrear_axle_mass = "860 kg ± {0} kg"'
    corners = "\n".join(
        f'{end}_{side}_mass = "{half} kg ± 7 kg"'
        for end, half in (("front", 565), ("rear", 430))
        for side in ("left", "right")
    )
    plain = re.sub(r'(front|rear)_axle_mass = "[^"]*"', "", AXLE_LIFT_TEXT.partition("[front]")[0])
    rest = AXLE_LIFT_TEXT.partition("[front]")[1] + AXLE_LIFT_TEXT.partition("[front]")[2]
    one, two = (
        tolerance(
            read(plain.replace("[vehicle]", f"[vehicle]\n{masses}", 1) + rest), "vehicle.cg_height"
        ).tolerance
        for masses in (axles.format(7.0 * math.sqrt(2.0)), corners)
    )
    assert two == pytest.approx(one, rel=1e-3)


def test_one_low_lift_is_owned_up_to():
    notes = read(lift_text(RaisedAxle.REAR, radii=(0.37, 0.37), heights=(0.4,))).notes
    assert any("the test wants well above 15 deg" in note for note in notes)
    assert any("take a second, at another height" in note for note in notes)


def test_lifts_that_disagree_are_told():
    text = AXLE_LIFT_TEXT.replace('"1172 kg ± 4 kg"', '"1172 kg ± 1 kg"')
    text = text.replace("± 10 kg", "± 1 kg").replace('"1195 kg"', '"1240 kg ± 1 kg"')
    text = text.replace(
        '{ height = "900 mm"', '{ height = "700 mm", mass = "1160 kg" }, { height = "900 mm"'
    )
    found = read(text)
    assert any("something moved; lift again" in note for note in found.notes)
    # Three lifts and the level leave two degrees of freedom: the band is that of their scatter.
    said = next(note for note in found.notes if "something moved" in note)
    scatter = float(said.partition("by ")[2].split()[0]) / 1e3
    band = coverage_factor(2.0, BAND) * scatter
    assert tolerance(found, "vehicle.cg_height").tolerance == pytest.approx(band, rel=0.02)
    assert not any("something moved" in note for note in read(AXLE_LIFT_TEXT).notes)


# Load items


def test_tank_is_its_liquid():
    (tank,) = read(TANK_TEXT).job.loads
    assert (tank.mass, tank.height) == (pytest.approx(40.0), pytest.approx(0.575))
    assert tank.behind_front_axle == 1.75
    full = read(TANK_TEXT.replace("fill = 0.5", "fill = 1.0")).job.loads[0]
    assert (full.mass, full.height) == (pytest.approx(80.0), pytest.approx(0.65))
    assert any("counts as frozen" in note for note in read(TANK_TEXT).notes)


def test_tolerance_of_the_fill_is_one_of_mass_and_height():
    found = read(TANK_TEXT.replace("fill = 0.5", 'fill = "0.5 ± 0.1"'))
    assert tolerance(found, "load[1].mass").tolerance == pytest.approx(8.0)
    assert tolerance(found, "load[1].height").tolerance == pytest.approx(0.015)
    empty = read(TANK_TEXT.replace("fill = 0.5", 'fill = "0 ± 0.1"'))
    assert empty.job.loads[0].mass == 0.0


def test_tow_ball_by_its_lever():
    text = bay_text((PLACE, 'behind_rear_axle = "1200 mm ± 20 mm"'), ('"roof"', '"tow bar"'))
    found = read(text)
    (ball,) = found.job.loads
    assert ball.behind_front_axle == pytest.approx(3.085 + 1.2)
    assert ball.place is Place.TOW_BAR
    assert tolerance(found, "load[1].behind_front_axle").tolerance == pytest.approx(0.02)
    # 85 kg × 1200/3085 come off the front axle.
    (note,) = (note for note in found.notes if note.startswith("load[1]: behind the rear axle"))
    assert "puts 118.1 kg on the rear and takes 33.06 kg off the front" in note
    assert "pulls sideways at the ball" in note


def test_any_item_may_be_measured_from_the_rear_axle():
    tray = read(bay_text((PLACE, 'behind_rear_axle = "0.2 m"'), ('"roof"', '"tray"')))
    assert tray.job.loads[0].behind_front_axle == pytest.approx(3.285)
    assert not any("sideways at the ball" in note for note in tray.notes)


def test_weighed_item_is_what_the_scales_say():
    found = read(WEIGHED_TEXT)
    (item,) = found.job.loads
    # 25 + 15 kg in front, 25 + 20 kg behind; left surplus 10 × 0.78 + 5 × 0.775.
    assert item.mass == pytest.approx(85.0)
    assert item.behind_front_axle == pytest.approx(3.085 * 45.0 / 85.0)
    assert item.left_of_centreline == pytest.approx((10 * 0.78 + 5 * 0.775) / 85.0)
    assert item.height == 1.98
    # √8 of a corner's error, of which 2.5 kg is usual; the file's ± is a 90 % band.
    assert tolerance(found, "load[1].mass").tolerance == pytest.approx(
        1.645 * 8**0.5 * 2.5, rel=1e-3
    )
    assert "weighed without and with it" in measured(found, "load[1].mass")
    stated = read(WEIGHED_TEXT.replace('"590 kg"', '"590 kg ± 1 kg"'))
    assert tolerance(stated, "load[1].mass").tolerance == pytest.approx(8**0.5, rel=1e-3)


@pytest.mark.parametrize("on_when_weighed", [False, True])
def test_the_vehicles_own_corners_stand_for_one_weighing(on_when_weighed):
    own = 'front_left_mass = "565 kg"\nfront_right_mass = "565 kg"\n'
    own += 'rear_left_mass = "430 kg"\nrear_right_mass = "430 kg"'
    text = WEIGHED_TEXT.replace('front_axle_mass = "1130 kg ± 10 kg"', own)
    text = text.replace('rear_axle_mass = "860 kg ± 10 kg"', "")
    start, middle = text.index("weighed = { before"), text.index(", after = {")
    end = text.index("\n", start)
    with_it, without = text[middle + len(", after = ") : end - 2], '{ front_left = "540 kg", '
    without += 'front_right = "550 kg", rear_left = "405 kg", rear_right = "410 kg" }'
    one = f"before = {without}" if on_when_weighed else f"after = {with_it}"
    text = f"{text[:start]}weighed = {{ {one} }}{text[end:]}"
    flag = "on_when_weighed = false"
    assert flag in text
    text = text.replace(flag, f"on_when_weighed = {str(on_when_weighed).lower()}", 1)
    (item,) = read(text).job.loads
    assert item.mass == pytest.approx(85.0)
    assert item.behind_front_axle == pytest.approx(3.085 * 45.0 / 85.0)


def test_standard_errors_of_a_weighed_item_cover_the_truth():
    # Corner masses made by hand from an item's own mass and place, then 2 kg of scatter each.
    sizes = {"wheelbase": 3.0, "front_track": 1.6, "rear_track": 1.6}
    before = np.array([500.0, 500.0, 400.0, 400.0])
    front, rear = 200.0 * 1.2 / 3.0, 200.0 * 1.8 / 3.0
    moved = 0.1 * np.array([front, -front, rear, -rear]) / 1.6  # 100 mm left, as the axles share
    after = before + 0.5 * np.array([front, front, rear, rear]) + moved
    exact = added_load(CornerMasses(*before), CornerMasses(*after), height=1.0, **sizes)
    assert (exact.behind_front_axle, exact.left_of_centreline) == pytest.approx((1.8, 0.1))
    truth = (200.0, 1.8, 0.1)
    draws = np.random.default_rng(4).standard_normal((DRAWS, 2, 4))
    covered = np.zeros(3)
    for d in draws:
        noisy = (CornerMasses(*(w + 2.0 * e)) for w, e in zip((before, after), d, strict=True))
        found = weighed_item(*noisy, mass_error=2.0, **sizes)
        for n, name in enumerate(("mass", "behind_front_axle", "left_of_centreline")):
            low, high = getattr(found, name).interval
            covered[n] += low <= truth[n] <= high
    assert (covered / DRAWS >= 0.94).all(), covered / DRAWS
    assert (covered / DRAWS <= 0.96).all(), covered / DRAWS


# Load test


def test_load_test_gives_rate_and_friction_of_the_spring():
    # Readings made by hand for 36 N/mm and 60 N of friction, drops rounded to nothing.
    k, w = 36e3, 60.0
    rows = ", ".join(
        f'{{ added = "{m} kg", drop = "{(0.5 * G * m - s * w) / k!r} m", step = "{step}" }}'
        for m, step, s in (
            (60, "loading", 1),
            (120, "loading", 1),
            (180, "loading", 1),
            (120, "unloading", -1),
            (60, "unloading", -1),
            (0, "unloading", -1),
        )
    )
    text = TEXT.replace(
        REAR, f'spring = {{ load_test = {{ reading_error = "0.5 mm", reading = [{rows}] }} }}'
    )
    found = read(text)
    spring = found.job.vehicle.rear.spring
    assert isinstance(spring, LinearSpring)
    assert spring.rate == pytest.approx(k)
    assert spring.loop.half_width == pytest.approx(w)
    rate = tolerance(found, "rear.spring.rate")
    # Standard error of a slope among readings with two branches: s/√Σ(F − F̄ of its branch)².
    force = 0.5 * G * np.array([60, 120, 180, 120, 60, 0])
    spread = np.concatenate([force[:3] - force[:3].mean(), force[3:] - force[3:].mean()])
    assert rate.tolerance == pytest.approx(k**2 * 0.5e-3 / np.sqrt((spread**2).sum()), rel=1e-3)
    assert shifting([rate])
    assert results(found.job)[0].friction.friction_moment[1] == pytest.approx(2 * w * 0.545)


def test_tolerances_of_load_test_readings_count():
    text = LOAD_TEST_TEXT.replace("load_test = {", 'load_test = { reading_error = "0.5 mm",')
    band = tolerance(read(text), "rear.spring.rate").tolerance
    # One drop that is worse than the 0.5 mm stands for all.
    worse = re.sub(r'drop = "([^"]*)"', r'drop = "\1 ± 1.5 mm"', text, count=1)
    assert tolerance(read(worse), "rear.spring.rate").tolerance == pytest.approx(3.0 * band)
    # A mass that is off by m moves the drop by m g / 2k.
    heavy = re.sub(r'added = "([^"]*)"', r'added = "\1 ± 6 kg"', text)
    rate = read(text).job.vehicle.rear.spring.rate
    drop = 0.5 * STANDARD_GRAVITY * 6.0 / rate
    both = math.hypot(0.0005, drop) / 0.0005 * band
    assert tolerance(read(heavy), "rear.spring.rate").tolerance == pytest.approx(both)


def test_load_test_one_way_leaves_friction_to_the_file():
    text = LOAD_TEST_TEXT.replace('"unloading"', '"loading"')
    text = text.replace(
        "{ load_test",
        '{ friction = 0.07, second_stage = { after = "55 mm", rate = "60 N/mm" }, load_test',
    )
    spring = read(text).job.vehicle.rear.spring
    assert spring.loop == FrictionLoop(fraction=0.07)
    assert (spring.stage_start, spring.stage_rate) == (0.055, 60e3)


def test_loading_and_unloading_swapped_are_refused():
    text = LOAD_TEST_TEXT.replace('"unloading"', '"x"').replace('"loading"', '"unloading"')
    with pytest.raises(ScenarioError, match="check whether the two are swapped"):
        read(text.replace('"x"', '"loading"'))


def test_friction_below_zero_within_the_scatter_is_none():
    text = LOAD_TEST_TEXT.replace('"unloading"', '"x"').replace('"loading"', '"unloading"')
    text = text.replace('"x"', '"loading"').replace(
        "load_test = {", 'load_test = { reading_error = "5 mm",'
    )
    found = read(text)
    assert found.job.vehicle.rear.spring.loop == FrictionLoop()
    assert any("taken as no friction" in note for note in found.notes)


def test_load_test_in_front_is_a_wheel_rate_and_of_a_new_spring_too():
    front = 'spring = { wheel_rate = "38 N/mm" }'
    found = read(bay_text((front, LOAD_TEST)))
    assert tolerance(found, "front.spring.wheel_rate").value == found.job.vehicle.front.spring.rate
    change = 'rear_spring = { rate = "44 N/mm" }'
    swapped = read(bay_text((change, LOAD_TEST.replace("spring =", "rear_spring ="))))
    assert swapped.job.change.rear_spring.rate == found.job.vehicle.front.spring.rate


# Roll centre by tape


def test_panhard_rod_by_hand():
    axle = read(ROD_TEXT).job.vehicle.rear
    # 440 mm at 500 mm left, 500 mm at 480 mm right: on the line between them.
    assert axle.roll_centre_height == pytest.approx(0.44 + 0.06 * 500.0 / 980.0)
    rod = PanhardRod(Point(0.5, 0.44), Point(-0.48, 0.5))
    assert axle.roll_centre_travel_ratio == pytest.approx(roll_centre(rod).travel_ratio)


def test_leaf_springs_and_strut_are_read():
    leaves = (
        'roll_centre = { leaf_springs = { front_eye_height = "500 mm", rear_eye_height = "560 mm", '
        'seat_height = "430 mm", front_eye_to_axle = "600 mm", axle_to_rear_eye = "650 mm" } }'
    )
    height = read(bay_text((CENTRE, leaves))).job.vehicle.rear.roll_centre_height
    assert height == pytest.approx(0.5 * (0.43 + 0.5 + 0.06 * 600 / 1250))
    strut = (
        'roll_centre = { strut = { top_mount = ["560 mm", "900 mm"], tube = ["640 mm", "420 mm"], '
        'lower_pivot = ["360 mm", "260 mm"], lower_ball_joint = ["700 mm", "220 mm"] } }'
    )
    found = read(ARMS_TEXT.replace(ARMS, strut))
    assert "strut, by tape" in measured(found, "front.roll_centre_height")


def test_tolerances_of_a_wishbone_are_those_of_its_readings():
    side = DoubleWishbone(
        upper_pivot=Point(0.43, 0.56),
        upper_joint=Point(0.69, 0.575),
        lower_pivot=Point(0.38, 0.3),
        lower_joint=Point(0.73, 0.255),
        half_track=0.78,
    )
    by_tape = roll_centre(side)
    found = read(ARMS_TEXT)
    height = tolerance(found, "front.roll_centre_height")
    assert height.value == pytest.approx(by_tape.height)
    # Each reading without a tolerance of its own is taken as good to 5 mm.
    assert height.tolerance == pytest.approx(by_tape.height_tolerance)
    assert tolerance(found, "front.roll_centre_travel_ratio").tolerance == pytest.approx(
        by_tape.ratio_tolerance
    )
    worst = by_tape.sensitivities[0]
    (note,) = (n for n in found.notes if n.startswith("front.roll_centre: lower"))
    assert worst.reading == "lower_pivot.height"
    assert "lower pivot above ground read 5 mm off" in note
    assert f"by {abs(worst.height_change) * 1e3:.1f} mm" in note
    assert any("45 mm for a reading that is 15 mm off" in n for n in found.notes)
    better = ARMS_TEXT.replace('["380 mm", "300 mm"]', '["380 mm", "300 mm ± 1 mm"]')
    less = by_tape.height_tolerance**2 - worst.height_change**2 * (1.0 - 0.2**2)
    found = tolerance(read(better), "front.roll_centre_height")
    assert found.tolerance == pytest.approx(math.sqrt(less), rel=1e-6)


def test_command_tells_what_5_mm_of_each_reading_do(tmp_path, capsys):
    path = tmp_path / "a.toml"
    path.write_text(ROD_TEXT.replace(FRONT_CENTRE, ARMS), encoding="utf-8")
    assert main(["weigh", "roll-centre", str(path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    # 470.6 mm on the line between both ends: 480/980 of what the axle's end does, 500/980 of the
    # body's; ± 5 mm of both and their sides, as a 90 % band.
    assert found["rear_roll_centre_height_mm"] == pytest.approx(440.0 + 60.0 * 500.0 / 980.0)
    assert "rear: body end above ground 5 mm more: height +2.6 mm, ratio +0.000" in found["notes"]
    assert "rear: axle end above ground 5 mm more: height +2.4 mm, ratio -0.000" in found["notes"]
    slope = 60.0 / 980.0  # of the rod: a side read 5 mm off
    moves = (500 / 980, 480 / 980, slope * 480 / 980, slope * 500 / 980)
    error = 5.0 / 1.645 * math.hypot(*moves)
    assert found["standard_error_rear_roll_centre_height_mm"] == pytest.approx(error, rel=2e-3)
    assert len([note for note in found["notes"] if note.startswith("front: ")]) == 9
    path.write_text(TEXT, encoding="utf-8")
    assert main(["weigh", "roll-centre", str(path)]) == 2
    assert capsys.readouterr().err.startswith("a.toml: roll_centre: missing; allowed a table")


# What is shown


def test_what_was_measured_is_shown_in_json_and_text():
    found = read(LEAN_TEXT)
    answer = results(found.job)
    assert roll_record(found, answer)["measured"] == list(found.measured)
    text = roll_report(found, answer, (0.0,))
    assert "Measured in the bay\n- rear.auxiliary_roll_stiffness = " in text
    assert "Measured in the bay" in check_report(found, ("unladen",))
    assert roll_record(PLAIN, results(PLAIN.job))["measured"] == []
    assert "Measured in the bay" not in check_report(PLAIN, ("unladen",))


def test_cross_weight_is_shown_with_corner_masses():
    own = 'front_left_mass = "580 kg"\nfront_right_mass = "550 kg"\n'
    own += 'rear_left_mass = "425 kg"\nrear_right_mass = "435 kg"'
    text = TEXT.replace('front_axle_mass = "1130 kg ± 10 kg"', own)
    found = read(text.replace('rear_axle_mass = "860 kg ± 10 kg"', ""))
    record = roll_record(found, results(found.job))["on_the_scales"]
    assert record["cross_weight_share"] == pytest.approx((550.0 + 425.0) / 1990.0)
    assert record["left_share"] == pytest.approx((580.0 + 425.0) / 1990.0)
    left = (30.0 * 0.78 - 10.0 * 0.775) / 1990.0
    assert record["cg_left_mm"] == pytest.approx(1e3 * left)
    assert found.job.vehicle.cg_left == pytest.approx(left)
    text = roll_report(found, results(found.job), (0.0,))
    assert "cross weight (front right + rear left) 49.0 %, true only on level pads" in text
    assert "on_the_scales" not in roll_record(PLAIN, results(PLAIN.job))


# Estimates


def test_bands_by_normal_and_student_tables():
    # Normal and t tables, from memory: 1.645 and 1.960; t with 4 degrees of freedom 2.132, 2.776.
    assert coverage_factor(math.inf, BAND) == pytest.approx(1.645, abs=5e-4)
    assert coverage_factor(math.inf, CONFIDENCE) == pytest.approx(1.960, abs=5e-4)
    assert Estimate(1.0, 2.0, 4.0).tolerance == pytest.approx(2.0 * 2.132, abs=1e-3)
    assert math.isnan(Estimate(1.0, 2.0, 0.0).tolerance)


def documented():
    """TOML blocks of the documentation that are parts of a file."""
    text = (ROOT / "docs" / "scenario-format.md").read_text("utf-8")
    blocks = re.findall(r"^```toml\n(.*?)^```$", text, re.M | re.S)
    others = (
        "title",
        "[front.bar]",
        "[front.alignment]",
        "[rear.damper]",
        "[rear.leaf_and_shackle]",
    )
    return [block for block in blocks if not block.startswith(others)]


def test_documented_readings_are_read():
    lift, rod, load_test, items, lean = documented()
    own = {name: f"{mass} kg" for name, mass in (("front_left", 560), ("front_right", 560))}
    own |= {"rear_left": "445 kg", "rear_right": "440 kg"}
    corners = "\n".join(f'{name}_mass = "{mass}"' for name, mass in own.items())
    text = bay_text(
        ('front_axle_mass = "1130 kg ± 10 kg"', corners),
        ('rear_axle_mass = "860 kg ± 10 kg"', ""),
        (CG, ""),
        ("[front]", f"{lift.replace('1172', '1161').replace('1195', '1184')}\n[front]"),
        (CENTRE, rod),
        (REAR, load_test),
        ("[change]", f"{items}\n[change]"),
        end=lean,
    )
    found = read(text)
    assert [load.name for load in found.job.loads[1:]] == [
        "trailer on the ball",
        "water tank",
        "canopy",
    ]
    assert found.job.loads[3].mass == pytest.approx(109.0)
    assert len(found.measured) == 3 + 1 + 2 + 2 + 1
