"""Springs against weight: verdicts by a table checked by hand, every figure by its own sum."""

import math
from dataclasses import replace

import pytest

from rollsim.spring_check import (
    Finding,
    SecondStage,
    SpringLimits,
    Stage,
    Verdict,
    second_stage,
    spring_checks,
    spring_stress,
    verdict_of,
)
from rollsim.springs import (
    HelicalSpring,
    Helper,
    Leaf,
    LeafPack,
    Leaves,
    LinearSpring,
    TableSpring,
)
from rollsim.vehicle import Load, Stop
from tests.builders import ROOT, SCENARIOS, job

G = 9.80665
CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
BEYOND = ROOT / "scenarios" / "beyond-a-bar.toml"
SUITED, UNDER, OVER = Verdict.SUITED, Verdict.UNDER_LOADED, Verdict.OVER_LOADED
NONE, IDLE, WORKING = SecondStage.NONE, SecondStage.IDLE, SecondStage.WORKING

# Checked by hand from axle masses, rates and gaps of each file: compression is what the axle
# carries more than on the scales, over its spring rate; travel left is the gap, plus lift, less
# compression. A quarter of the travel is 33 to 45 mm in these files.
BY_HAND = {
    # file: state: (front verdict and stage, rear verdict and stage)
    "arrives-loaded-and-lifted": {
        "unladen": (SUITED, NONE, SUITED, IDLE),  # 195 kg less on the rear: 26 mm up, 1.6 Hz
        "as_weighed": (SUITED, NONE, SUITED, IDLE),  # front 45 of 145 mm left to droop
        "as_used": (SUITED, NONE, SUITED, IDLE),
    },
    "balance-gate-binds": {
        "unladen": (SUITED, NONE, SUITED, IDLE),
        "as_weighed": (SUITED, NONE, SUITED, IDLE),
        "as_used": (SUITED, NONE, SUITED, IDLE),  # rear sinks 40 of 85 mm: 45 of 180 left
    },
    "beyond-a-bar": {
        "unladen": (SUITED, NONE, UNDER, IDLE),  # 46 N/mm under 420 kg a side: 1.72 Hz
        "as_weighed": (SUITED, NONE, UNDER, IDLE),
        "as_used": (OVER, NONE, OVER, WORKING),  # 1723 of 1650 kg, 2910 of 2850 kg
    },
    "crew-cab-touring": {
        "unladen": (SUITED, NONE, SUITED, IDLE),
        "as_weighed": (SUITED, NONE, SUITED, IDLE),
        "work week": (SUITED, NONE, SUITED, IDLE),  # rear 29 mm down, 40 mm up by the lift
        "touring": (SUITED, NONE, SUITED, IDLE),
    },
    "high-roof-van": {
        "unladen": (SUITED, NONE, SUITED, NONE),
        "as_weighed": (SUITED, NONE, SUITED, NONE),
        "as_used": (SUITED, NONE, SUITED, NONE),  # left rear: 41 mm of 158 mm left
    },
    "independent-rear-with-bar": {
        "unladen": (SUITED, NONE, SUITED, NONE),
        "as_weighed": (SUITED, NONE, SUITED, NONE),
        "as_used": (SUITED, NONE, SUITED, NONE),
    },
    "low-car": {
        "unladen": (SUITED, NONE, SUITED, NONE),
        "as_weighed": (SUITED, NONE, SUITED, NONE),
        "as_used": (SUITED, NONE, SUITED, NONE),
    },
    "wagon-roof-load": {
        "unladen": (SUITED, NONE, SUITED, NONE),
        "as_weighed": (SUITED, NONE, SUITED, NONE),
        "as_used": (SUITED, NONE, SUITED, NONE),
    },
}
BY_HAND["crew-cab-touring-imperial"] = BY_HAND["crew-cab-touring"]


def checks(found_job, limits=None):
    return {check.name: check for check in spring_checks(found_job, limits)}


@pytest.mark.parametrize("name", BY_HAND)
def test_verdicts_by_hand(name):
    found = checks(job(ROOT / "scenarios" / f"{name}.toml"))
    told = {
        state: (c.front.verdict, c.front.second_stage, c.rear.verdict, c.rear.second_stage)
        for state, c in found.items()
    }
    assert told == BY_HAND[name]


def test_every_demo_has_its_row():
    assert set(BY_HAND) == {path.stem for path in ROOT.glob("scenarios/*.toml")}


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_figures_hang_together(path):
    """Load from the axle's mass, height from the load, frequency and travel from both."""
    found_job = job(path)
    for check in spring_checks(found_job):
        for end in ("front", "rear"):
            own, found = getattr(found_job.vehicle, end), getattr(check, end)
            sprung = 0.5 * (found.axle_mass - own.unsprung_mass)
            stops = found.bump_travel_left < 0.0 or found.rebound_travel_left < 0.0
            if not stops:
                # The load's parts that lean along the body axis, cos φ, are below 1e-4 here.
                assert found.spring_load == pytest.approx(sprung * G, rel=1e-4)
                series = 1.0 / (1.0 / found.spring_rate + 1.0 / own.tyre.vertical_rate)
                by_hand = math.sqrt(series / sprung) / (2.0 * math.pi)
                assert found.ride_frequency == pytest.approx(by_hand, rel=1e-4)
            if own.bump_stop is not None:
                ratio = own.bump_stop.motion_ratio
                lean = abs(found.side_loads[0] - found.side_loads[1]) / 2.0 / found.spring_rate
                lean *= own.bump_stop.base / own.spring_base
                left = own.bump_stop.gap + ratio * (found.ride_height_change - lean)
                assert found.bump_travel_left == pytest.approx(left, abs=2e-6)
            assert found.tyre_load >= 0.5 * G * found.axle_mass * (1.0 - 1e-6)


def test_compression_of_the_crew_cab_by_hand():
    # Work week, rear: 1072.6 kg on the axle against 860 kg on the scales.
    rear = checks(job(CREW_CAB))["work week"].rear
    more = 0.5 * G * (rear.axle_mass - 860.0)
    assert rear.spring_load == pytest.approx(3285.23 + more, abs=0.01)
    assert rear.ride_height_change == pytest.approx(0.040 - more / 36e3, abs=1e-6)
    assert rear.spring_rate == 36e3
    assert rear.bump_share == pytest.approx(rear.bump_travel_left / 0.170, rel=1e-9)
    assert rear.bump_share + rear.rebound_share == pytest.approx(1.0)


def test_load_on_the_second_stage_by_hand():
    # Beyond a bar, rear: 46 N/mm to 55 mm, 106 N/mm from there.
    rear = checks(job(BEYOND))["as_used"].rear
    compression = 0.060 - rear.ride_height_change
    load = 0.5 * G * (840.0 - 190.0) + 46e3 * compression + 60e3 * (compression - 0.055)
    assert rear.spring_load == pytest.approx(load, rel=1e-6)
    assert rear.spring_rate == 106e3
    # Room of the second stage: 60 + 80 − 55 = 85 mm.
    assert rear.stage_used == pytest.approx((compression - 0.055) / 0.085, rel=1e-6)


# One axle's verdict at a time


def with_rear(found_job, **changes):
    vehicle = found_job.vehicle
    return replace(found_job, vehicle=replace(vehicle, rear=replace(vehicle.rear, **changes)))


def ballast(found_job, kilograms, height=0.9):
    item = Load("ballast", kilograms, found_job.vehicle.wheelbase, height)
    return replace(found_job, loads=(item,), change=replace(found_job.change, **NO_LIFT))


NO_LIFT = {"suspension_lift_front": 0.0, "suspension_lift_rear": 0.0}


@pytest.mark.parametrize(
    ("added", "stage", "findings"),
    [
        (100.0, IDLE, ()),
        (350.0, IDLE, (Finding.LITTLE_BUMP_TRAVEL,)),
        (500.0, WORKING, (Finding.LITTLE_BUMP_TRAVEL,)),
        (850.0, SecondStage.FULLY_IN, (Finding.LITTLE_BUMP_TRAVEL, Finding.SECOND_STAGE_USED_UP)),
        (
            1000.0,
            SecondStage.FULLY_IN,
            (
                Finding.OVER_AXLE_RATING,
                Finding.OVER_TYRE_RATING,
                Finding.ON_BUMP_STOP,
                Finding.SECOND_STAGE_USED_UP,
            ),
        ),
    ],
)
def test_loading_up(added, stage, findings):
    # Pitch adds about 2 % to what stands over the axle. 36 N/mm: 350 kg take 48 of the 80 mm, and
    # 404 kg 55 mm; then 96 N/mm: the other 25 mm take 489 kg more, 850 kg nearly all of it. With
    # 1000 kg the axle carries over 1850 kg and a tyre over 900 kg.
    found = checks(ballast(job(CREW_CAB), added))["as_used"].rear
    assert (found.second_stage, found.findings) == (stage, findings)
    assert found.verdict is (OVER if findings else SUITED)


def test_a_tyre_over_its_rated_load():
    found_job = job(CREW_CAB)
    limit = 400.0 * G
    tyre = replace(found_job.vehicle.rear.tyre, rated_load=limit)
    rear = checks(with_rear(found_job, tyre=tyre))["unladen"].rear
    assert rear.findings == (Finding.OVER_TYRE_RATING,)
    equal = replace(tyre, rated_load=430.0 * G)
    assert checks(with_rear(found_job, tyre=equal))["unladen"].rear.findings == ()


def test_a_soft_spring_is_flat():
    # 17 N/mm under 335 kg: 1.08 Hz on the spring alone, 1.00 Hz needs 13.9 with a 250 N/mm tyre.
    near = Stop(gap=0.045, rate=2e5, base=1.0)  # 45 of 135 mm: a third of the travel
    soft = with_rear(job(CREW_CAB), spring=LinearSpring(13e3), bump_stop=near)
    found = checks(soft)["unladen"].rear
    assert (found.verdict, found.findings) == (OVER, (Finding.LOW_FREQUENCY,))
    firmer = with_rear(job(CREW_CAB), spring=LinearSpring(15e3), bump_stop=near)
    assert checks(firmer)["unladen"].rear.findings == ()
    # With 80 of 170 mm left it is soft, not overloaded.
    assert (
        checks(with_rear(job(CREW_CAB), spring=LinearSpring(13e3)))["unladen"].rear.findings == ()
    )


def test_a_stiff_spring_is_harsh_and_a_working_stage_is_not():
    stiff = with_rear(job(CREW_CAB), spring=LinearSpring(60e3))
    found = checks(stiff)["unladen"].rear
    assert (found.verdict, found.findings) == (UNDER, (Finding.HIGH_FREQUENCY,))
    staged = LinearSpring(30e3, stage_start=-0.005, stage_rate=30e3)
    found = checks(with_rear(job(CREW_CAB), spring=staged))["unladen"].rear
    assert (found.verdict, found.second_stage) == (SUITED, WORKING)
    # 36 + 60 N/mm under 335 kg with a 250 N/mm tyre: 2.29 Hz, a ninth of the helper's room used.
    early = LinearSpring(36e3, stage_start=-0.010, stage_rate=60e3)
    found = checks(with_rear(job(CREW_CAB), spring=early))["unladen"].rear
    assert (found.verdict, found.findings) == (UNDER, (Finding.HIGH_FREQUENCY,))
    assert found.stage_used == pytest.approx(0.010 / 0.090)


def test_a_progressive_spring_in_its_stiff_part_is_not_under_loaded():
    # 20 N/mm up to 40 mm under as weighed, 70 N/mm beyond: loaded it rides at over 1.7 Hz.
    travel = (-0.100, 0.040, 0.120)
    force = tuple(G * 335.0 + f for f in (-2000.0, 800.0, 6400.0))
    loaded = ballast(with_rear(job(CREW_CAB), spring=TableSpring(travel, force)), 250.0)
    rear = checks(loaded)["as_used"].rear
    assert rear.spring_rate == pytest.approx(70e3)
    assert rear.ride_frequency > 1.7
    assert Finding.HIGH_FREQUENCY not in rear.findings


COIL = HelicalSpring(  # 79.3 GPa × 15⁴ / (8 × 120³ × 6.5) = 44.68 N/mm; 95 mm: closed at 4244 N
    0.015, 0.120, 6.5, free_length=0.220, block_length=0.125, shear_modulus=79.3e9
)


def test_coils_that_close_end_the_travel():
    closing = 4244.4
    rate = 79.3e9 * 0.015**4 / (8.0 * 0.120**3 * 6.5)
    coil = with_rear(job(CREW_CAB), spring=COIL)
    empty = checks(coil)["unladen"].rear
    left = (closing - empty.spring_load) / rate
    assert empty.bump_travel_left == pytest.approx(left, abs=2e-6)  # the bump stop is 80 mm away
    assert empty.bump_share == pytest.approx(left / (left + 0.090), rel=1e-4)
    assert empty.coils_close
    assert (empty.verdict, empty.findings) == (OVER, (Finding.LITTLE_BUMP_TRAVEL,))
    # 300 kg more on the axle: 4756 N on a spring; what is over 4244 N sits on solid coils.
    found = checks(ballast(coil, 300.0))["as_used"].rear
    assert found.findings[0] is Finding.COILS_CLOSED
    assert found.verdict is OVER
    assert -0.001 < found.bump_travel_left < 0.0
    # A bump stop that works first saves them.
    first = Stop(gap=0.015, rate=2e5, base=1.0)
    saved = checks(with_rear(job(CREW_CAB), spring=COIL, bump_stop=first))["unladen"].rear
    assert saved.bump_travel_left == pytest.approx(0.015)
    assert not saved.coils_close
    # With no bump stop the coils are the end, and of the travel as weighed all is left.
    bare = with_rear(job(CREW_CAB), spring=COIL, bump_stop=None, rebound_limit=None)
    only = checks(bare)["unladen"].rear
    assert only.bump_travel_left == pytest.approx(left, abs=2e-6)
    assert only.bump_share == pytest.approx(1.0)


def test_near_full_droop():
    short = Stop(gap=0.020, rate=4e5, base=0.85)
    found = checks(with_rear(job(CREW_CAB), rebound_limit=short))["unladen"].rear
    assert (found.verdict, found.findings) == (UNDER, (Finding.LITTLE_REBOUND_TRAVEL,))
    gone = Stop(gap=-0.010, rate=4e5, base=0.85)
    found = checks(with_rear(job(CREW_CAB), rebound_limit=gone))["unladen"].rear
    assert found.findings[0] is Finding.ON_REBOUND_LIMIT


def test_too_much_outweighs_too_little():
    assert verdict_of(()) is SUITED
    assert verdict_of((Finding.HIGH_FREQUENCY,)) is UNDER
    assert verdict_of((Finding.OVER_TYRE_RATING, Finding.LITTLE_REBOUND_TRAVEL)) is OVER


def test_no_stop_no_travel():
    bare = with_rear(job(CREW_CAB), bump_stop=None, rebound_limit=None)
    found = checks(bare)["work week"].rear
    assert math.isnan(found.bump_travel_left)
    assert math.isnan(found.bump_share)
    assert found.verdict is SUITED
    one = with_rear(job(CREW_CAB), rebound_limit=None)
    found = checks(one)["unladen"].rear
    assert found.bump_share == pytest.approx(1.0)  # of the gap, where the other stop is unknown


def test_limits_are_used():
    strict = SpringLimits(bump_share=0.9)
    assert Finding.LITTLE_BUMP_TRAVEL in checks(job(CREW_CAB), strict)["unladen"].front.findings
    wide = SpringLimits(highest_frequency=2.0)
    assert checks(job(BEYOND), wide)["unladen"].rear.verdict is SUITED


def test_stop_at_work_stiffens_the_ride():
    found = checks(ballast(job(CREW_CAB), 1000.0))["as_used"].rear
    sprung = 0.5 * (found.axle_mass - 190.0)
    springs = 96e3 + 200e3
    by_hand = math.sqrt(springs * 250e3 / (springs + 250e3) / sprung) / (2.0 * math.pi)
    assert found.ride_frequency == pytest.approx(by_hand, rel=1e-6)


def test_off_centre_load_is_seen_at_the_worse_side():
    van = checks(job(ROOT / "scenarios" / "high-roof-van.toml"))["as_used"].rear
    assert van.side_loads[0] > van.side_loads[1]  # shelves on the left wall
    assert van.tyre_load > 0.5 * G * van.axle_mass


@pytest.mark.filterwarnings("error")
def test_a_state_that_does_not_stand_has_no_verdict():
    top = replace(job(CREW_CAB), loads=(Load("tower", 1500.0, 1.5, 20.0),))
    found = checks(top)["as_used"]
    assert found.ratings == ()
    for axle in (found.front, found.rear):
        assert axle.verdict is None
        assert math.isnan(axle.spring_load)
        assert math.isnan(axle.ride_frequency)
        assert axle.findings == ()


# Springs by dimensions


LEAF = Leaf(0.06, 0.007)
MAIN = Leaves(1.2, (LEAF,), (LEAF,) * 3, inactive_length=0.1)
HELPER = Helper(Leaves(0.9, (Leaf(0.06, 0.011),), inactive_length=0.1), 0.05, 0.01)


def test_stage_of_each_kind():
    assert second_stage(LinearSpring(36e3)) is None
    assert second_stage(LinearSpring(36e3, stage_start=0.05, stage_rate=6e4)) == Stage(0.05, 0.05)
    assert second_stage(LeafPack(MAIN)) is None
    found = second_stage(LeafPack(MAIN, HELPER, motion_ratio=0.5))
    assert (found.start, found.full) == pytest.approx((0.1, 0.12))


def test_leaf_pack_is_working_until_its_helper_is_in():
    # 38.2 N/mm to 50 mm, 166.7 N/mm from 60 mm on: 440 kg with pitch take 57 mm, and 1100 kg
    # 75 mm, 25 of the 30 mm from the first touch to the bump stop.
    pack = LeafPack(MAIN, HELPER)
    found_job = with_rear(job(CREW_CAB), spring=pack)
    stages = [
        checks(ballast(found_job, added))["as_used"].rear.second_stage
        for added in (100.0, 440.0, 1100.0)
    ]
    assert stages == [IDLE, WORKING, SecondStage.FULLY_IN]


def test_stress_of_each_kind():
    coil = HelicalSpring(0.014, 0.11, 6.0, free_length=0.4, block_length=0.1, shear_modulus=79.3e9)
    # 8 F D/(π d³) with Wahl's factor for w = 110/14.
    index = 0.11 / 0.014
    wahl = (4 * index - 1) / (4 * index - 4) + 0.615 / index
    assert spring_stress(coil, 0.0, 3000.0) == pytest.approx(
        wahl * 8 * 3000.0 * 0.11 / (math.pi * 0.014**3), rel=1e-12
    )
    assert math.isnan(spring_stress(LinearSpring(36e3), 0.0, 3000.0))
    pack = LeafPack(MAIN, HELPER)
    state = pack.at(0.08, 3285.0)
    assert spring_stress(pack, 0.08, 3285.0) == float(
        max(state.full_length_stress, state.graduated_stress, state.helper_stress)
    )
