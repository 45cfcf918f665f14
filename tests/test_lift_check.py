"""Wheels and dampers in every state: the demo's keys, each judged by hand from its own figures."""

import math
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from rollsim import scenario
from rollsim.lift_check import AngleVerdict, DamperFinding, LeafSign, lift_check
from rollsim.lift_wording import arm_length, damper_words, damping_words, leaf_words
from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem
from rollsim.spring_check import spring_checks
from rollsim.tell.of_lift import WHEEL
from rollsim.wheel_travel import Setting, pose
from rollsim.wheel_wording import one_arm_words, wheel_words

ROOT = Path(__file__).parents[1]
PLAIN = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text(encoding="utf-8")
CENTRE = 'roll_centre_height = "85 mm ± 30 mm"\nroll_centre_travel_ratio = 1.0\n'
LINKAGE = (
    'roll_centre = { double_wishbone = { upper_pivot = ["400 mm", "545 mm"], '
    'upper_ball_joint = ["640 mm", "560 mm"], lower_pivot = ["330 mm", "285 mm"], '
    'lower_ball_joint = ["690 mm", "255 mm"] } }\n'
)
STRUT = (
    'roll_centre = { strut = { top_mount = ["560 mm", "900 mm"], tube = ["640 mm", "420 mm"], '
    'lower_pivot = ["330 mm", "285 mm"], lower_ball_joint = ["690 mm", "255 mm"] } }\n'
)
ALIGNMENT = """
[front.alignment]
camber = ["-0.4 deg", "-0.2 deg"]
caster = ["3.1 deg", "2.9 deg"]
toe = ["0.1 deg", "0.1 deg"]
camber_adjustment = "0.3 deg"
caster_adjustment = "0.2 deg"
upper_axis = ["540 mm", "555 mm", "260 mm"]
lower_axis = ["290 mm", "280 mm", "320 mm"]
tie_rod = { inner_joint = ["350 mm", "330 mm"], outer_joint = ["670 mm", "315 mm"], \
inner_ahead = "-100 mm", outer_ahead = "-130 mm" }
"""
# Eyes 300 mm apart in plan and 400 mm in height: 500 mm long, 3-4-5.
FRONT_DAMPER = (
    'damper = { open_length = "560 mm", closed_length = "380 mm", length = "500 mm", '
    'mount_height = "400 mm", motion_ratio = 0.5 }\n'
)
REAR_DAMPER = (
    'damper = { open_length = "560 mm", closed_length = "380 mm", length = "500 mm", '
    'mount_height = "400 mm", base = "1000 mm" }\n'
)
_WANTED = ("caster_adj", 'wanted_camber = "0 deg"\ncaster_adj')
_NEARLY = ('camber = ["-0.4 deg", "-0.2 deg"]', 'camber = ["0.05 deg", "-0.05 deg"]')


def text_with(*changes: tuple[str, str]) -> str:
    """The demo with an alignment and dampers, then changed."""
    text = PLAIN.replace(CENTRE, LINKAGE + FRONT_DAMPER, 1)
    text = text.replace("\n[rear]\n", f"{ALIGNMENT}\n[rear]\n{REAR_DAMPER}", 1)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text


@cache
def checked(*changes: tuple[str, str]):
    job = scenario.loads(text_with(*changes), "a.toml").job
    springs = spring_checks(job)
    return job, {check.name: check for check in springs}, lift_check(job, springs)


def wheels(*changes):
    return dict(checked(*changes)[2].wheels[0][1])


NO_WHEELS = (ALIGNMENT, "")  # they take most of the time


def told(stand, units):
    return wheel_words(stand, units).text


def dampers(end, *changes):
    return dict(dict(checked(NO_WHEELS, *changes)[2].dampers)[end])


def test_what_is_wanted_is_how_it_stood_before_the_lift():
    job, springs, _ = checked()
    stands = wheels()
    for name in springs:
        stand = stands[name]
        assert stand.ride_height_change == springs[name].front.ride_height_change
        assert math.degrees(stand.wanted_camber) == pytest.approx(-0.3)
        moved = pose(job.vehicle.front.alignment.corner, stand.ride_height_change).camber
        assert stand.left_camber == pytest.approx(math.radians(-0.4) + moved)
        off = math.radians(-0.3) - stand.left_camber
        assert stand.left_camber_off == pytest.approx(off)
        assert stand.right_camber_off == pytest.approx(off - math.radians(0.2))
    unladen = stands["unladen"]  # where what is wanted was taken: nothing to judge
    verdicts = (unladen.verdict, unladen.caster_verdict, unladen.toe_verdict)
    assert set(verdicts) == {AngleVerdict.TAKEN}
    assert "right -0.2°, taken as wanted. Caster: left" in told(unladen, METRIC)
    touring = stands["touring"]
    assert touring.verdict is AngleVerdict.PARTS
    lacks = touring.right_camber_off + math.radians(0.3)
    assert touring.right_camber_missing == pytest.approx(lacks)
    moved = touring.caster_change + touring.pitch
    assert touring.caster_missing == pytest.approx(-moved + math.radians(0.1))
    assert "adjustable upper arms" in told(touring, METRIC)
    assert "shorter at the ball joint" in told(touring, METRIC)
    band = f"(± {math.degrees(touring.camber_band):.1f}° by the tape)"
    assert band in told(touring, METRIC)
    assert "wanted -0.3° as unladen" in told(touring, METRIC)


def test_the_caster_goes_with_the_pitch_of_the_body():
    """Lifted behind alone, by 60 mm over 3085 mm: the steering axis tips 1.11° to the front.

    The rack reads against the road, so that counts although the front linkage stays where it was;
    with the touring load the tyres give too, 250 N/mm each.
    """
    behind = [
        (f'suspension_lift_{end} = "40 mm"', f'suspension_lift_{end} = "{mm} mm"')
        for end, mm in (("front", 0), ("rear", 60))
    ]
    _, springs, _ = checked(*behind)
    stands = wheels(*behind)
    empty, touring = stands["driven_empty"], stands["touring"]
    assert abs(empty.ride_height_change) < 0.002
    tipped = empty.left_caster - stands["unladen"].left_caster
    assert tipped == pytest.approx(-math.atan(0.060 / 3.085), abs=math.radians(0.06))
    assert empty.caster_verdict is AngleVerdict.PARTS  # 1.1° off, and 0.2° on the adjusters
    rises = [
        axle.ride_height_change - (axle.axle_mass - weighed) * 9.80665 / 500e3
        for axle, weighed in ((springs["touring"].front, 1130.0), (springs["touring"].rear, 860.0))
    ]
    words = wheel_words(empty, METRIC, before=stands["unladen"])
    assert ", -1.1° of it as the body stands nose down, " in dict(words.rows)["caster"]
    assert touring.pitch == pytest.approx(math.atan((rises[0] - rises[1]) / 3.085), abs=1e-9)
    assert touring.left_caster == pytest.approx(
        math.radians(3.1) + touring.caster_change + touring.pitch
    )


def test_lifted_before_weighing_it_is_worked_back():
    """The same vehicle read once lifted: what is wanted is lower by what the lift has changed."""
    weighed = (
        'suspension_lift_rear = "40 mm"',
        'suspension_lift_rear = "40 mm"\non_when_weighed = true',
    )
    stands = wheels(weighed)
    assert stands["as_weighed"].camber_change == 0.0
    assert stands["unladen"].ride_height_change == pytest.approx(-0.04, abs=1e-3)
    assert stands["unladen"].camber_change < math.radians(-0.5)
    wanted = math.radians(-0.3) + stands["unladen"].camber_change
    assert stands["touring"].wanted_camber == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("takes", "verdict"),
    [
        ("2 deg", AngleVerdict.ADJUSTERS),
        ("0.85 deg", AngleVerdict.CLOSE),
        ("0 deg", AngleVerdict.PARTS),
    ],
)
def test_inside_what_the_tape_leaves_there_is_no_verdict(takes, verdict):
    stand = wheels(('camber_adjustment = "0.3 deg"', f'camber_adjustment = "{takes}"'))["touring"]
    said = {"2 deg": "2.0°", "0.85 deg": "0.85°", "0 deg": "0.0°"}[takes]
    assert f"the adjusters take {said}" in told(stand, METRIC)
    beyond = abs(stand.right_camber_off) - math.radians(float(takes.split()[0]))
    assert (abs(beyond) <= stand.camber_band) == (verdict is AngleVerdict.CLOSE)
    assert stand.verdict is verdict


def test_better_readings_tell_it_apart():
    """A tape good for 1 mm leaves a fifth of what one good for 5 mm leaves, of every angle."""
    close = ('camber_adjustment = "0.3 deg"', 'camber_adjustment = "0.75 deg"')
    sure = [
        (f'"{one} mm"', f'"{one} mm ± 1 mm"')
        for one in (400, 545, 640, 560, 330, 285, 690, 255, 540, 555, 260, 290, 280, 320, 350)
    ]
    sure += [(f'"{one} mm"', f'"{one} mm ± 1 mm"') for one in ("330", "670", "315", "-100", "-130")]
    coarse, fine = wheels(close)["touring"], wheels(close, *sure)["touring"]
    assert coarse.verdict is AngleVerdict.CLOSE
    assert fine.verdict is AngleVerdict.PARTS
    for word in ("camber_band", "caster_band", "toe_band", "bump_steer_band"):
        assert getattr(fine, word) == pytest.approx(getattr(coarse, word) / 5.0, rel=0.02), word
    # Toe: 0.0° changed, ± 0.4° by the coarse tape, ± 0.1° by the fine one, which a rack leaves too.
    assert coarse.toe_verdict is AngleVerdict.ROUGH
    assert {"left_toe", "toe_change", "left_toe_off", "bump_steer"} <= set(coarse.too_rough)
    assert not set(fine.too_rough)
    words = told(coarse, METRIC)
    assert re.search(
        r"Toe: the tape is too rough to tell \(± 0\.\d°\); set it anew on the r", words
    )
    assert re.search(r"Bump steer: the tape is too rough to tell \(± 0\.\d\d° for 10 mm\)", words)
    assert WHEEL["left_toe"].cell(coarse, METRIC) == "too rough"
    assert WHEEL["left_toe"].number(coarse) == pytest.approx(math.degrees(coarse.left_toe))
    # Caster and camber are told with what the tape leaves open.
    for word in ("camber", "caster"):
        band = math.degrees(getattr(coarse, f"{word}_band"))
        assert re.search(rf"{word}: left .*? off \(± {band:.1f}° by the tape\)", words, re.I)


def test_a_pivot_on_a_cam_and_larger_tyres():
    cam = (
        'camber_adjustment = "0.3 deg"',
        'pivot_adjustment = "3 mm"\nadjusted_pivot = "upper"',
    )
    tyres = ("[change]\n", '[change]\ntyre_radius = "15 mm"\n')
    plain, larger = wheels(cam)["touring"], wheels(cam, tyres)["touring"]
    # Upper arm about 300 mm above the lower one: 3 mm are some 0.6 degrees.
    assert math.degrees(plain.adjusters) == pytest.approx(math.degrees(0.003 / 0.305), rel=0.1)
    # By similar triangles: the arms' lines meet 15 mm higher, the patch stays on the ground.
    job = checked(cam)[0]
    moved = pose(job.vehicle.front.alignment.corner, plain.ride_height_change).linkage
    (a, b), (c, d) = (
        ((joint.height - pivot.height) / (joint.across - pivot.across), joint)
        for pivot, joint in (
            (moved.upper_pivot, moved.upper_joint),
            (moved.lower_pivot, moved.lower_joint),
        )
    )
    across = (d.height - b.height + a * b.across - c * d.across) / (a - c)
    meet = b.height + a * (across - b.across)
    higher = (meet + 0.015) / meet
    assert larger.roll_centre_height / plain.roll_centre_height == pytest.approx(higher, rel=5e-3)
    assert larger.camber_change == pytest.approx(plain.camber_change, abs=math.radians(0.05))


def test_each_wheel_has_an_arm_of_its_own():
    """Cambers read apart: with its arm and its adjuster each wheel stands as wanted."""
    apart = ('camber = ["-0.4 deg", "-0.2 deg"]', 'camber = ["-0.9 deg", "0.9 deg"]')
    job, _, _ = checked(apart, _WANTED)
    corner = replace(job.vehicle.front.alignment.corner, tie_rod=None)  # its toe set anew
    stand = wheels(apart, _WANTED)["as_weighed"]
    assert stand.left_arm_longer > 0.0 > stand.right_arm_longer
    for read, longer in ((-0.9, stand.left_arm_longer), (0.9, stand.right_arm_longer)):
        turned = pose(corner, 0.0, Setting(upper_arm=longer)).camber
        assert abs(math.degrees(turned) + read) == pytest.approx(0.3, abs=1e-4)
    words = told(stand, METRIC)
    assert re.search(r"^order adj.*arms, left [\d.]+ mm longer, right [\d.]+ mm shorter at", words)
    assert re.search(r"toe changes \(.+°\): set it anew and see that the thread", words)
    alone = ('camber = ["-0.4 deg", "-0.2 deg"]', 'camber = ["0.0 deg", "0.9 deg"]')
    words = wheel_words(wheels(alone, _WANTED)["as_weighed"], METRIC)
    assert words.answer.startswith("order an adjustable upper arm, right")
    assert dict(words.rows)["camber"].endswith("which leaves right 0.6°")


@pytest.mark.parametrize(
    ("millimetres", "metric", "imperial"),
    [(2.43, "2.5", "0.10"), (2.46, "2.5", "0.10"), (-1.4, "-1.5", "-0.06"), (0.1, "0.5", "0.02")],
)
def test_an_arm_is_told_to_half_a_millimetre(millimetres, metric, imperial):
    """0.5 mm, and 0.02 in = 0.508 mm: so two states a tenth apart order one arm."""
    assert arm_length(millimetres / 1e3, METRIC) == metric
    assert arm_length(millimetres / 1e3, READER_UNITS[UnitSystem.IMPERIAL]) == imperial
    assert arm_length(math.nan, METRIC) == "–"


def test_caster_and_toe_are_told_beside_the_camber():
    """Wanted 6° with 2.9° read and 0.2° on the adjusters; toe wanted 2° with 0.1° read."""
    wanted = 'wanted_caster = "6 deg"\nwanted_toe = "2 deg"\nwanted_camber = "-0.3 deg"\n'
    stand = wheels(("caster_adj", f"{wanted}caster_adj"))["as_weighed"]
    assert stand.verdict is AngleVerdict.AS_WANTED
    assert stand.wants_parts
    words = told(stand, METRIC)
    assert "caster beyond its adjusters: arms or bushes that turn it" in words.partition(". ")[0]
    assert "Caster: left +3.1°, right +2.9°; wanted +6.0°: left 2.9° off, right 3.1° off, " in words
    assert "2.9° beyond the adjusters. Toe: left +0.1°, right +0.1°; wanted +2.0°: 1.9°" in words
    assert "Caster" not in told(replace(stand, caster_verdict=None), METRIC)
    assert not wheels()["as_weighed"].wants_parts


def test_one_arm_serves_loaded_and_empty():
    """Half way between what the emptiest and the fullest state want, at each wheel."""
    _, springs, lift = checked()
    stands = wheels()
    empty = stands["driven_empty"]
    assert "driven_empty" not in springs
    assert empty.ride_height_change > stands["touring"].ride_height_change
    ((end, arm),) = lift.one_arm
    assert end == "front"
    assert set(arm.states) == set(stands) - {"unladen", "as_weighed"}
    offs = [stands[name].right_camber_off for name in arm.states]
    assert arm.within == pytest.approx(0.5 * (max(offs) - min(offs)))
    lengths = [stands[name].right_arm_longer for name in arm.states]
    assert arm.right_longer == pytest.approx(0.5 * (min(lengths) + max(lengths)), abs=5e-5)
    words = one_arm_words(end, arm, METRIC)
    assert words.startswith("Order for the front wheels: adjustable upper arms, left ")
    assert "Set once they serve work week, touring and driven empty, camber within 0.1°" in words
    alone = wheel_words(stands["touring"], METRIC, before=stands["unladen"], set_once=True)
    assert alone.answer.startswith("alone it would take adjustable upper arms")
    assert dict(alone.rows)["camber"].startswith("left -0.4 → +")


def test_a_strut_wants_a_lower_arm_and_its_toe_set_anew():
    """By tape and rack alone; the arm is held against the linkage moved with it."""
    upper = 'upper_axis = ["540 mm", "555 mm", "260 mm"]\n'
    wanted = ("caster_adj", 'wanted_camber = "-1.5 deg"\ncaster_adj')
    on_it = ((LINKAGE, STRUT), (upper, ""), wanted)
    job, _, _ = checked(*on_it)
    stand = wheels(*on_it)["touring"]
    corner, rise = job.vehicle.front.alignment.corner, stand.ride_height_change
    assert not stand.arm_is_upper
    straight, arm = replace(corner, tie_rod=None), Setting(lower_arm=stand.left_arm_longer)
    brought = pose(straight, rise, arm).camber - pose(straight, rise).camber
    assert brought == pytest.approx(stand.left_camber_missing, abs=1e-6)
    turned = pose(corner, rise, arm).toe - pose(corner, rise).toe
    assert turned == pytest.approx(stand.left_arm_toe, abs=1e-6)
    words = told(stand, METRIC)
    assert "adjustable lower arms, left" in words
    assert f"toe changes (left {math.degrees(turned):+.1f}°" in words
    none = replace(stand, right_arm_longer=math.nan)
    assert "right more than an arm gives" in told(none, METRIC)


def test_no_arm_is_ordered_where_none_is_called_for():
    """Too close to tell, as wanted with nothing on the adjusters, or a tape too rough to say."""
    takes = 'camber_adjustment = "0.3 deg"'
    close = wheels((takes, 'camber_adjustment = "0.85 deg"'))["touring"]
    right = wheels((takes, 'camber_adjustment = "0 deg"'), _WANTED, _NEARLY)["as_weighed"]
    rough = wheels(('"400 mm", "545 mm"', '"400 mm", "545 mm ± 120 mm"'))["touring"]
    assert close.verdict is AngleVerdict.CLOSE
    assert right.verdict is AngleVerdict.AS_WANTED
    assert rough.verdict is None
    assert "the tape is too rough to judge it" in told(rough, METRIC)
    for stand in (close, right, rough):
        assert math.isnan(stand.left_arm_longer)
        assert math.isnan(stand.right_arm_longer)


def test_readings_alone_are_judged_as_they_were_read():
    """No linkage, side view or tie rod: as weighed the rack's words stand, lifted nobody knows."""
    text = text_with().replace(LINKAGE, CENTRE)
    for name in ("upper_axis", "lower_axis", "tie_rod"):
        text = "\n".join(line for line in text.splitlines() if not line.startswith(f"{name} ="))
    text = text.replace(
        "caster_adj", 'wanted_camber = "0.5 deg"\nwanted_caster = "6 deg"\ncaster_adj'
    )
    job = scenario.loads(text, "a.toml").job
    stands = dict(lift_check(job, spring_checks(job)).wheels[0][1])
    assert stands["touring"].verdict is None
    assert math.isnan(stands["touring"].left_camber)
    unknown = replace(stands["as_weighed"], wanted_camber=math.nan, left_verdict=None)
    assert "right -0.2°; give wanted_camber" in told(unknown, METRIC)
    assert "its linkage is not taped" in told(stands["touring"], METRIC)
    read = stands["as_weighed"]
    found = [math.degrees(getattr(read, f"left_{word}")) for word in ("camber", "caster", "toe")]
    assert found == pytest.approx([-0.4, 3.1, 0.1])
    assert read.verdict is AngleVerdict.PARTS
    assert math.degrees(read.left_camber_missing) == pytest.approx(0.9 - 0.3)
    assert math.degrees(read.caster_missing) == pytest.approx(6.0 - 2.9 - 0.2)
    assert math.isnan(read.left_arm_longer)
    assert math.isnan(read.track_change)
    assert "the linkage by tape would tell" in told(read, METRIC)


def test_a_damper_by_hand():
    """Pythagoras: 300 mm apart in plan, 400 mm in height plus what the wheel's travel adds."""
    job, springs, _ = checked()
    found = dampers("front")["touring"]
    up = 0.5 * springs["touring"].front.ride_height_change
    assert found.length == pytest.approx(math.hypot(0.3, 0.4 + up))
    assert found.bump_length == pytest.approx(math.hypot(0.3, 0.4 - 0.5 * 0.060))
    assert found.droop_length == pytest.approx(math.hypot(0.3, 0.4 + 0.5 * 0.075))
    assert found.stroke_used == pytest.approx((found.length - 0.38) / 0.18)
    assert found.left_at_bump == pytest.approx(found.bump_length - 0.38)
    assert found.left_at_droop == pytest.approx(0.56 - found.droop_length)
    assert found.needed_closed == pytest.approx(found.bump_length - 0.015)
    assert found.needed_open == pytest.approx(found.droop_length + found.band)  # over the 5 mm
    assert math.isnan(found.twist_bump_length)
    assert not found.findings
    assert damper_words(found, METRIC).startswith("they reach: 96 mm left to close")
    assert "in left" in damper_words(found, READER_UNITS[UnitSystem.IMPERIAL])
    assert job.spring_limits.damper_bump == 0.015


def test_full_twist_by_hand():
    """Bump stops 1000 mm apart with 80 mm, straps 850 mm apart with 90 mm, dampers 1000 mm apart.

    The dampers stand over the bump stops, so one is at its 80 mm; the other is 1000 mm further
    along the same slope, 170 mm over the mean of both bases.
    """
    found = dampers("rear")["touring"]
    slope = 0.170 / 0.925
    assert found.twist_bump_length == pytest.approx(math.hypot(0.3, 0.4 - 0.080))
    assert found.twist_droop_length == pytest.approx(math.hypot(0.3, 0.4 - 0.080 + slope))
    assert found.left_at_droop == pytest.approx(0.56 - found.twist_droop_length)
    assert found.needed_open == pytest.approx(found.twist_droop_length + found.band)


@pytest.mark.parametrize(
    ("lengths", "finding"),
    [
        (("450 mm", "700 mm"), DamperFinding.CLOSES),
        (("300 mm", "520 mm"), DamperFinding.OPENS),
        (("435 mm", "700 mm"), DamperFinding.LITTLE_AT_BUMP),
        (("300 mm", "588 mm"), DamperFinding.LITTLE_AT_DROOP),
        (("300 mm", "593 mm"), DamperFinding.LITTLE_AT_DROOP),  # 7 mm, less than the tape's band
    ],
)
def test_what_speaks_against_a_damper(lengths, finding):
    """Rear: 439 mm long at full bump and 586 mm at full twist, by the tests above."""
    closed, opened = lengths
    new = f'[change]\nrear_damper = {{ open_length = "{opened}", closed_length = "{closed}" }}\n'
    found = dampers("rear", ("[change]\n", new))
    assert found["unladen"].open_length == 0.56  # the one that is on
    assert found["touring"].findings == (finding,)
    words = damper_words(found["touring"], METRIC)
    assert ("is needed" in words) == (finding in (DamperFinding.CLOSES, DamperFinding.OPENS))


def test_within_the_band_of_the_tape_nothing_reaches_for_sure():
    """439 mm long at full bump: 21 mm are left, over the 15 mm, and inside the tape."""
    sure = 'closed_length = "380 mm", length = "500 mm", mount_height = "400 mm", base'
    rough = sure.replace('"380 mm"', '"418 mm ± 15 mm"')
    found = dampers("rear", (sure, rough))["touring"]
    assert found.left_at_bump == pytest.approx(0.439 - 0.418, abs=5e-4)
    assert DamperFinding.LITTLE_AT_BUMP in found.findings
    assert "it closes about where the bump stop begins" in damper_words(found, METRIC)
    assert found.needed_closed == pytest.approx(found.shortest - found.band)


def test_a_damper_that_swings_through_level_is_shortest_there():
    """20 mm of height and half of 60 mm of bump: it passes level, where only its plan is left."""
    flat = ('mount_height = "400 mm", motion_ratio', 'mount_height = "20 mm", motion_ratio')
    found = dampers("front", flat)["touring"]
    assert found.bump_length == pytest.approx(math.sqrt(0.5**2 - 0.02**2 + 0.01**2))
    assert found.shortest == pytest.approx(math.sqrt(0.5**2 - 0.02**2))


def test_the_band_of_what_a_damper_has_left_by_hand():
    """Two readings of 5 mm, half of a gap of 60 mm ± 8 mm, and 10 % of 0.5 over 75 mm of droop."""
    plain = math.hypot(5.0, 5.0, 0.5 * 5.0) / 1e3
    assert dampers("front")["touring"].band == pytest.approx(plain)
    ratio = ("motion_ratio = 0.5", 'motion_ratio = "0.5 ± 10 %"')
    gap = ('bump_stop = { gap = "60 mm"', 'bump_stop = { gap = "60 mm ± 8 mm"')
    wide = math.hypot(5.0, 5.0, 0.5 * 8.0) / 1e3
    assert dampers("front", gap)["touring"].band == pytest.approx(wide)
    wide = math.hypot(5.0, 5.0, 0.5 * 5.0, 0.05 * 75.0) / 1e3
    assert dampers("front", ratio)["touring"].band == pytest.approx(wide)


def test_the_bounce_test_tells_worn_dampers():
    """By the ratio of a vehicle in order, 0.2 to 0.4, from memory."""
    measured = ("wheelbase =", 'roll_damping_ratio = "0.14 ± 0.03"\nwheelbase =')
    assert checked(NO_WHEELS, measured)[2].damping == (0.14, 0.03)
    assert "0.14 ± 0.03 by the bounce test: below the 0.2 to 0.4" in damping_words((0.14, 0.03))
    for ratio, told in ((0.3, "within"), (0.5, "above"), (0.19, "too close to tell")):
        assert told in damping_words((ratio, 0.02))
    assert checked(NO_WHEELS)[2].damping is None
    assert "count the swings" in damping_words(None)


def test_without_stops_a_damper_is_not_judged():
    gone = ('bump_stop = { gap = "60 mm", rate = "150 N/mm" }\n', "")
    found = dampers("front", gone)["touring"]
    assert math.isnan(found.left_at_bump)
    assert not found.findings
    assert "no bump_stop is given" in damper_words(found, METRIC)


# Its seat 82 mm under the line of the eyes, half way; the tray's load of the demo presses it flat.
LEAF = (
    'leaf_and_shackle = { fixed_eye_height = "560 mm", shackle_eye_height = "560 mm", '
    'seat_height = "478 mm", fixed_eye_to_axle = "650 mm", axle_to_shackle_eye = "650 mm", '
    'shackle_length = "110 mm", shackle_angle = "18 deg" }\n'
)


def leaves(*changes):
    return dict(checked(NO_WHEELS, (REAR_DAMPER, REAR_DAMPER + LEAF), *changes)[2].leaves[0][1])


def test_a_leaf_pack_goes_by_its_load_and_not_by_the_lift():
    job, springs, _ = checked(NO_WHEELS, (REAR_DAMPER, REAR_DAMPER + LEAF))
    stands = leaves()
    assert stands["unladen"].arch == pytest.approx(0.082)  # as weighed: empty and stock
    for name in springs:
        stand = stands[name]
        lifted = 0.04 * (name not in ("unladen", "as_weighed"))
        assert stand.spring_rise == pytest.approx(
            springs[name].rear.ride_height_change - lifted, abs=1e-9
        )
        # Flatter by about what the frame came down; the shackle swings out as the eyes part.
        assert stand.arch - 0.082 == pytest.approx(stand.spring_rise, rel=0.12)
        assert (stand.shackle_angle > math.radians(18.001)) == (stand.arch < 0.0819)
    assert stands["unladen"].sign is LeafSign.RIGHT
    assert job.vehicle.rear.leaves.angle_is_measured


@pytest.mark.parametrize(
    ("angle", "seat", "seen", "sign"),
    [
        ("6 deg", "478 mm", "", LeafSign.LITTLE),
        ("9 deg", "478 mm", "", LeafSign.CLOSE),
        ("9 deg", "478 mm", ', leaves_at_mid_length = "gaps"', LeafSign.LITTLE),
        ("14 deg", "478 mm", "", LeafSign.RIGHT),
        ("56 deg", "478 mm", "", LeafSign.RIGHT),
        ("61 deg", "478 mm", "", LeafSign.CLOSE),
        ("72 deg", "478 mm", "", LeafSign.MUCH),
        ("30 deg", "556 mm", "", LeafSign.MUCH),
        ("30 deg", "575 mm", "", LeafSign.MUCH),
    ],
)
def test_signs_of_the_load(angle, seat, seen, sign):
    stand = leaves(("18 deg", angle), ("478 mm", seat), (f'"{angle}"', f'"{angle}"{seen}'))[
        "unladen"
    ]
    assert stand.sign is sign
    words = leaf_words(stand, METRIC)
    assert words.startswith(sign.value)
    # The spring check finds it suited empty: a pack that looks otherwise has that said beside it.
    told = {LeafSign.RIGHT: True, LeafSign.CLOSE: None}.get(sign, False)
    assert stand.agrees is told
    assert ("The spring check says suited" in words) == (told is False)
    assert ("bent back by 15 mm" in words) == (seat == "575 mm")
    assert ("the shackle swung out to its end" in words) == (angle == "72 deg")
    assert ("free to swing both ways" in words) == (sign is LeafSign.RIGHT)
    if sign is LeafSign.CLOSE:
        assert ("can still swing out" in words) == (angle == "61 deg")


def test_what_was_seen_between_the_leaves_is_told():
    def seen(angle, what):
        looked = f'"{angle}", leaves_at_mid_length = "{what}"'
        stand = leaves(('"18 deg"', looked))["unladen"]
        return stand.sign, leaf_words(stand, METRIC)

    sign, words = seen("12 deg", "touching")
    assert sign is LeafSign.CLOSE
    assert "the leaves touch at mid-length" in words
    assert "look for gaps" not in words
    sign, words = seen("14 deg", "gaps")
    assert sign is LeafSign.RIGHT
    assert "though gaps were seen between the leaves at mid-length" in words


def test_a_stop_close_by_is_a_sign_of_too_much_load():
    gap = 'bump_stop = { gap = "80 mm"'
    found = leaves((gap, gap.replace("80", "12")))["unladen"]
    assert found.sign is LeafSign.MUCH
    assert "82 mm of arch left, 12 mm to the bump stop" in leaf_words(found, METRIC)


def test_another_spring_has_an_arch_of_its_own():
    new = ("[change]\n", '[change]\nrear_spring = { rate = "44 N/mm" }\n')
    stands = leaves(new)
    assert stands["unladen"].sign is LeafSign.RIGHT
    assert stands["touring"].sign is None
    assert math.isnan(stands["touring"].arch)
    assert "another spring is on then" in leaf_words(stands["touring"], METRIC)
