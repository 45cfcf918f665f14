"""Frame-twist test against two bodies on four springs and a torsion spring, standing on blocks.

`twisting_statics` sums forces and moments of free bodies; it knows nothing of the program.
"""

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from rollsim import mass
from rollsim.cli import main
from rollsim.measured import Blocks, FrameTwist, TwistReading, frame_twist, twist_vehicle
from rollsim.measured.frame_twist import LEVEL_ERROR, SCALE_ERROR, TwistEnd, TwistVehicle
from rollsim.reader_units import METRIC
from rollsim.roll import results
from rollsim.scenario import loads
from rollsim.scenario.correcting import frame_as_tested
from rollsim.scenario.editing import changed
from rollsim.tell.of_tests import frame_notes
from rollsim.weighing import CornerMasses
from tests.builders import ROOT
from tests.reference.twisting_statics import End, G, stood
from tests.test_twist_by_hand import STATE, framed

FRONT = End(850.0, 0.75, 0.02, 130.0, 0.36, 1.56, 1.10, 60e3, 0.10, 250e3)
REAR = End(650.0, 0.95, -0.03, 190.0, 0.37, 1.54, 1.05, 40e3, 0.45, 250e3)
CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
CAB_SHARE, BLOCK = 0.2, 0.125
ZEROS = (0.004, -0.003, 0.010)  # rad, of the levels, and of a cab that sits askew


def vehicle_of(front: End = FRONT, rear: End = REAR) -> TwistVehicle:
    ends = (TwistEnd(e.track, e.above, e.below, e.tyre_rate) for e in (front, rear))
    return TwistVehicle(sum(e.mass + e.unsprung_mass for e in (front, rear)), *ends)


VEHICLE = vehicle_of()


@cache
def read(frame: float, blocks: Blocks = Blocks.DIAGONAL, height: float = BLOCK):
    """What scales and levels show both ways; `frame` in N·m/deg."""
    front = height if blocks is Blocks.DIAGONAL else 0.0
    ways = []
    for under in ((front, 0.0, 0.0, height), (0.0, front, height, 0.0)):
        loads, lean, tray, _ = stood(FRONT, REAR, np.degrees(frame), under)
        cab = lean + CAB_SHARE * (tray - lean)
        levels = (x + zero for x, zero in zip((lean, tray, cab), ZEROS, strict=True))
        ways.append(TwistReading(CornerMasses(*(x / G for x in loads)), *levels))
    return ways


def found(ways, **more) -> FrameTwist:
    return frame_twist(*ways, VEHICLE, **{"block": BLOCK, **more})


@pytest.mark.parametrize(
    ("frame", "blocks", "height"),
    [
        (600.0, Blocks.DIAGONAL, 0.10),
        (1200.0, Blocks.DIAGONAL, 0.15),
        (4000.0, Blocks.DIAGONAL, 0.15),
        (1200.0, Blocks.REAR, 0.125),
    ],
)
def test_it_gives_back_frame_and_cab(frame, blocks, height):
    """A load off centre, levels that are out and a cab that sits askew do no harm."""
    told = found(read(frame, blocks, height), blocks=blocks, block=height)
    assert np.radians(told.stiffness.value) == pytest.approx(frame, rel=5e-4)
    assert told.cab_share.value == pytest.approx(CAB_SHARE, abs=1e-9)
    assert told.rear_moment == pytest.approx(told.front_moment, rel=1e-3)


def test_a_stop_that_touches_is_on_the_scales():
    """A stiff bump stop, touched at 25 mm, carries a part and changes nothing."""
    stopped = replace(REAR, stop_gap=0.025)
    ways = []
    for under in ((BLOCK, 0.0, 0.0, BLOCK), (0.0, BLOCK, BLOCK, 0.0)):
        loads, lean, tray, _ = stood(FRONT, stopped, np.degrees(2000.0), under)
        ways.append(TwistReading(CornerMasses(*(x / G for x in loads)), lean, tray))
    told = found(ways)
    assert np.radians(told.stiffness.value) == pytest.approx(2000.0, rel=5e-4)
    assert told.front_moment > 1.05 * found(read(2000.0)).front_moment  # it does carry
    assert told.cab_share is None


def test_how_far_the_body_turns_over_its_axles():
    under = (BLOCK, 0.0, 0.0, BLOCK)
    _, lean, tray, axles = stood(FRONT, REAR, np.degrees(2000.0), under)
    turns = np.abs(np.array([lean, tray]) - axles)
    free = [replace(end, free_turn=turns[1] - 3e-3) for end in (VEHICLE.front, VEHICLE.rear)]
    told = frame_twist(*read(2000.0), TwistVehicle(VEHICLE.mass, *free), block=BLOCK)
    # Loads off centre and levels that are out stand in one way and not in half the difference.
    assert told.turns == pytest.approx(turns, abs=2e-3)
    assert told.touched
    said = frame_notes(told, METRIC)
    assert said[0].startswith("the body turned 4.75 deg over the rear axle, and a stop touches at")
    assert "front axle" not in said[0]
    assert not found(read(2000.0)).touched


def heavier(ways, share):
    """The rear scales show so much more between left and right."""
    spread = [0.5 * share * (w.masses.rear_right - w.masses.rear_left) for w in ways]
    return [
        replace(
            way,
            masses=replace(
                way.masses,
                rear_left=way.masses.rear_left - more,
                rear_right=way.masses.rear_right + more,
            ),
        )
        for way, more in zip(ways, spread, strict=True)
    ]


def test_ends_that_disagree_widen_the_error_and_are_refused_at_last():
    plain, uneven = found(read(1200.0)), found(heavier(read(1200.0), 0.08))
    apart = 1.0 - uneven.rear_moment / uneven.front_moment
    assert abs(apart) > 0.04
    by_hand = np.hypot(plain.stiffness.standard_error, 0.5 * apart * plain.stiffness.value)
    assert uneven.stiffness.standard_error == pytest.approx(by_hand, rel=1e-3)
    with pytest.raises(ValueError, match="they must agree"):
        found(heavier(read(1200.0), 0.30))


def test_what_0_1_deg_leave_of_it():
    """± 6 to ± 20 % is what a level good to 0.1 deg leaves for 1200 to 4000 N·m/deg, both ways."""
    bands = [found(read(k)).stiffness for k in (1200.0, 4000.0)]
    shares = [one.tolerance / one.value for one in bands]
    assert shares[0] == pytest.approx(0.068, abs=0.002)
    assert shares[1] == pytest.approx(0.206, abs=0.005)
    one_block = found(read(1200.0, Blocks.REAR), blocks=Blocks.REAR).stiffness
    assert one_block.standard_error > 1.9 * bands[0].standard_error
    # By hand: a twist is four levels' difference, halved, so its error is that of one level.
    told = found(read(4000.0), mass_error=0.0)
    assert told.stiffness.standard_error / told.stiffness.value == pytest.approx(
        LEVEL_ERROR / told.twist, rel=0.02
    )


def test_the_intervals_hold_the_truth():
    """In 200 drawn tests: 95 % of them, give or take three standard errors of that count."""
    frame = 2000.0
    draws, ways = np.random.default_rng(16), read(frame)
    inside = np.zeros(2)
    for _ in range(200):
        told = found([drawn(way, draws) for way in ways])
        for n, (estimate, true) in enumerate(
            ((told.stiffness, np.degrees(frame)), (told.cab_share, CAB_SHARE))
        ):
            low, high = estimate.interval
            inside[n] += low <= true <= high
    assert ((inside > 0.904 * 200) & (inside < 0.996 * 200)).all(), inside


def drawn(way: TwistReading, draws: np.random.Generator) -> TwistReading:
    masses = (way.masses.front_left, way.masses.front_right)
    masses += (way.masses.rear_left, way.masses.rear_right)
    levels = np.array([way.front, way.rear, way.cab]) + LEVEL_ERROR * draws.standard_normal(3)
    masses = np.array(masses) + SCALE_ERROR * draws.standard_normal(4)
    return TwistReading(CornerMasses(*masses), *levels)


def swapped(ways):
    return [replace(way, front=way.rear, rear=way.front, cab=None) for way in ways]


def cab_askew(ways):
    """Four standard errors below what a cab can do."""
    return [replace(way, cab=way.front + 0.15 * (way.front - way.rear)) for way in ways]


def lighter(ways):
    masses = CornerMasses(500.0, 400.0, 420.0, 380.0)
    return [ways[0], replace(ways[1], masses=masses)]


def mirrored_rear(ways):
    """Rear scales read on the wrong sides."""
    turned = [(w.masses.rear_right, w.masses.rear_left) for w in ways]
    return [
        replace(w, masses=replace(w.masses, rear_left=left, rear_right=right))
        for w, (left, right) in zip(ways, turned, strict=True)
    ]


@pytest.mark.parametrize(
    ("frame", "spoilt", "more", "said"),
    [
        (1200.0, swapped, {}, "against its blocks; right side down is positive"),
        (1200.0, lambda w: w[::-1], {}, "the raised corners carry no more than the others"),
        (1200.0, lighter, {}, "kg together one way and"),
        (1200.0, mirrored_rear, {}, "they must agree: check the readings"),
        (1200.0, cab_askew, {}, "the cab takes -0.15 of the twist, which cannot be"),
        (60e3, lambda w: w, {}, "which their error hides"),
        (200.0, lambda w: w, {}, "the readings give 200 N·m/deg; allowed 300 N·m/deg to 100000"),
        (1200.0, lambda w: w, {"block": 1.25}, "blocks of 1250 mm: allowed 20 mm to 300 mm"),
        (1200.0, lambda w: w, {"level_error": 0.02}, "use higher blocks or a finer level"),
    ],
)
def test_bad_readings_are_refused_in_words(frame, spoilt, more, said):
    with pytest.raises(ValueError, match=re.escape(said)):
        found(spoilt(read(frame)), **more)


def test_one_block_is_not_enough_for_a_stiff_frame():
    told = found(read(1900.0, Blocks.REAR), blocks=Blocks.REAR)
    assert np.radians(told.stiffness.value) == pytest.approx(1900.0, rel=1e-3)
    with pytest.raises(ValueError, match="one block under a rear wheel gives 2100 N·m/deg"):
        found(read(2100.0, Blocks.REAR), blocks=Blocks.REAR)


def test_a_wheel_that_hangs_and_another_state_are_refused():
    ways = read(1200.0)
    hanging = replace(ways[0], masses=replace(ways[0].masses, rear_left=0.0))
    with pytest.raises(ValueError, match="a wheel carries nothing"):
        found([hanging, ways[1]])
    with pytest.raises(ValueError, match=r"1820 kg together, but in that state .* has 2100"):
        frame_twist(*ways, replace(VEHICLE, mass=2100.0), block=BLOCK)


def test_what_is_taken_of_a_vehicle():
    """First moments item by item, as in test_each_item_by_its_place; stops by hand."""
    height = (1950.0 * 0.72 - 300.0 * 0.36) / 1650.0
    whole = (height - 0.4) * 1650.0 + 250.0 * (1.1 - 0.4)
    ends = [twist_vehicle(framed(k), mass.named(framed(k), STATE)) for k in (None, 1e5)]
    for one, other in ((e.front, e.rear) for e in ends):
        assert one.above + other.above == pytest.approx(whole, rel=1e-9)
    # No stiffness has to be known before the test.
    assert ends[0].rear.above == pytest.approx(ends[1].rear.above, rel=1e-8)
    assert ends[0].mass == pytest.approx(1950.0 + 250.0)
    tools = 250.0 * (1.2 * (0.55 - 0.4) + 1.0 * (1.1 - 0.55))
    by_hand = 800.0 * (height - 0.4) + tools
    # The tools press the rear down: a pitch of 1 deg moves some 10 kg·m to it.
    assert ends[0].rear.above == pytest.approx(by_hand, rel=0.03)
    of_file = changed(CREW_CAB.read_text("utf-8"), {"front.bump_stop.motion_ratio": 0.9})
    job = loads(of_file, "a.toml").job
    taped = twist_vehicle(job, mass.named(job, mass.AS_WEIGHED))
    # Bump stops: 60 mm at 0.9 of half a track of 1560 mm, 80 mm on half of 1000 mm.
    assert np.sin(taped.front.free_turn) == pytest.approx(60.0 / 0.9 / 780.0, rel=1e-9)
    assert np.sin(taped.rear.free_turn) == pytest.approx(80.0 / 500.0, rel=1e-9)
    laden = twist_vehicle(job, mass.named(job, "touring"))
    up = results(job, (0.0,), only=("touring",))[0].curve[0].spring_travel[2]
    assert up > 0.01  # lifted by more than it sags, so full droop touches first
    assert np.sin(laden.rear.free_turn) == pytest.approx((0.090 - up) / 0.425, rel=1e-6)


def test_what_goes_into_the_file():
    told = found(read(1200.0))
    keys = frame_as_tested(told)
    assert keys["vehicle.frame_torsional_stiffness"] == "1200 N*m/deg ± 82 N*m/deg"
    assert keys["vehicle.cab_share_of_twist"] == "0.20 ± 0.06"
    below = replace(told, cab_share=replace(told.cab_share, value=-0.03))
    assert frame_as_tested(below)["vehicle.cab_share_of_twist"] == "0.00 ± 0.06"
    assert len(frame_as_tested(replace(told, cab_share=None))) == 1


WORDS = ["weigh", "frame-twist", str(CREW_CAB)]
FIRST = ["--first", "640 kg", "470 kg", "340 kg", "540 kg"]
SECOND = ["--second", "470 kg", "640 kg", "540 kg", "340 kg"]
LEVELS = ["--first-levels", "2.4 deg", "-0.2 deg", "--second-levels", "-2.2 deg", "0.4 deg"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--block", "12 m"], '--block: found "12 m"'),
        (["--block", "120 mm", "--first-levels", "2 deg"], "--first-levels: found 1; give two"),
        (
            ["--block", "120 mm", "--second-levels", "2 deg", "9 kg"],
            '--second-levels: found "9 kg"',
        ),
        (["--block", "120 mm", "--state", "empty"], "--state: found 'empty'; allowed unladen"),
        (["--block", "120 mm", "--reading-error", "9 deg"], "--reading-error: found"),
        (["--block", "120 mm", "--state", "touring"], "choose the state it stood in"),
    ],
)
def test_wrong_options_are_told(words, said, capsys):
    assert main([*WORDS, *FIRST, *SECOND, *LEVELS, *words]) == 2
    assert said in capsys.readouterr().err


def test_a_refusal_is_in_the_readers_units(capsys):
    words = ["--block", "125 mm", "--units", "imperial", "--first-levels", "0 deg", "2.4 deg"]
    assert main([*WORDS, *FIRST, *SECOND, *LEVELS, *words]) == 2
    told = capsys.readouterr().err
    assert "they must agree" in told
    assert "lbf·in" in told
    assert "N·m" not in told
