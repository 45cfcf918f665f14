"""The invented demo scenarios: plausible, and each shows what its first comment says."""

import dataclasses
import math
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pytest

from rollsim import mass, roll, scenario
from rollsim.bar import Mount
from rollsim.cautions import BAR_CAUTIONS, NO_SAFETY
from rollsim.reader_units import METRIC
from rollsim.sizing import Obstacle, size
from rollsim.vehicle import STANDARD_GRAVITY, Suspension, VehicleClass
from rollsim.wording import choice_words, reasons
from tests.fit_cg_law import rows_of

FOLDER = Path(__file__).parents[1] / "scenarios"
FILES = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))
DEGREES_PER_G = math.degrees(STANDARD_GRAVITY)

NAMED = {
    "crew-cab-touring",
    "crew-cab-touring-imperial",
    "arrives-loaded-and-lifted",
    "balance-gate-binds",
    "wagon-roof-load",
    "high-roof-van",
    "independent-rear-with-bar",
    "low-car",
    "beyond-a-bar",
}
FITTED = (
    "crew-cab-touring",
    "arrives-loaded-and-lifted",
    "wagon-roof-load",
    "high-roof-van",
    "independent-rear-with-bar",
)

# K. Tse, evaluation of the NHTSA light-vehicle inertial database (SAE 1999-01-1336), seen: range
# of the static stability factor of 131 light trucks and of 73 cars.
LIGHT_TRUCK_SSF = (0.964, 1.478)
CAR_SSF = (1.220, 1.435)
# Walz, NHTSA DOT HS 809 868, 2005, seen: mean of pickups 1.18, of full-size vans 1.12. The width
# about the means, 0.08, is ours.
MEAN_SSF = {VehicleClass.CREW_CAB_TRUCK: 1.18, VehicleClass.VAN: 1.12}
ABOUT_THE_MEAN = 0.08
# Gillespie, Fundamentals of Vehicle Dynamics, Table 9.1, from memory: rollover threshold, g. It has
# no row for wagons.
THRESHOLD = {
    VehicleClass.CREW_CAB_TRUCK: (0.9, 1.1),
    VehicleClass.VAN: (0.8, 1.1),
    VehicleClass.CAR: (1.1, 1.5),
}
# [milliken] ch. 16, from memory: "extremely firm" 3.0 to
# "semi-soft" 7.0 deg/g.
ROLL_GRADIENT = (3.0, 7.0)
# Common practice: body frequencies of road vehicles, an empty truck's rear the highest.
BODY_FREQUENCY = (1.0, 2.0)


@lru_cache(maxsize=32)
def loaded(name):
    return scenario.load(FOLDER / f"{name}.toml")


@lru_cache(maxsize=32)
def states(name):
    return {state.name: state for state in roll.results(loaded(name).job)}


@lru_cache(maxsize=32)
def sized(name):
    return size(loaded(name).job, loaded(name).rear_bar)


def over(name, state):
    return {check.name for check in states(name)[state].ratings if check.over}


def assert_same(one, other, place=""):
    """Equal texts and counts, numbers within 1e-6 of each other."""
    if dataclasses.is_dataclass(one):
        for field in dataclasses.fields(one):
            where = f"{place}.{field.name}"
            assert_same(getattr(one, field.name), getattr(other, field.name), where)
    elif isinstance(one, tuple):
        assert len(one) == len(other), place
        for number, (a, b) in enumerate(zip(one, other, strict=True)):
            assert_same(a, b, f"{place}[{number}]")
    elif isinstance(one, float):
        # The absolute part is for what is zero by symmetry.
        assert other == pytest.approx(one, rel=1e-6, abs=1e-12, nan_ok=True), place
    else:
        assert one == other, place


def test_the_files_are_the_ones_tested_here():
    assert set(FILES) == NAMED


@pytest.mark.parametrize("name", FILES)
def test_first_comment_says_that_it_is_invented(name):
    first = (FOLDER / f"{name}.toml").read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("# Invented demo: ")
    assert loaded(name).job.vehicle.name.startswith("Demo ")


@pytest.mark.parametrize("name", FILES)
def test_every_state_has_its_figures(name):
    for state in states(name).values():
        assert math.isfinite(state.secant_roll_gradient)
        assert math.isfinite(state.tip_over_threshold)
        assert math.isfinite(state.tilt_table_ratio)


@pytest.mark.parametrize("name", FILES)
def test_stability_factor_unladen(name):
    vehicle_class = loaded(name).job.vehicle.vehicle_class
    low, high = CAR_SSF if vehicle_class is VehicleClass.CAR else LIGHT_TRUCK_SSF
    ssf = states(name)["unladen"].ssf
    assert low <= ssf <= high
    if name == "high-roof-van":  # vans of the mean are low; measured ones with a roof over 2.4 m
        vans = rows_of(VehicleClass.VAN)
        factors = vans.stability_factor[vans.roof > 2.4]
        assert factors.min() <= ssf <= factors.max()
    elif vehicle_class in MEAN_SSF:
        assert abs(ssf - MEAN_SSF[vehicle_class]) <= ABOUT_THE_MEAN


@pytest.mark.parametrize("name", FILES)
def test_roll_gradient_unladen(name):
    low, high = ROLL_GRADIENT
    unladen = states(name)["unladen"]
    assert low <= unladen.roll_gradient * DEGREES_PER_G <= high
    assert low <= unladen.secant_roll_gradient * DEGREES_PER_G <= high


@pytest.mark.parametrize("name", FILES)
def test_front_takes_more_of_the_load_transfer_than_of_the_weight(name):
    # Common practice: a few points above the front weight share; "a few" is taken as up to ten.
    unladen = states(name)["unladen"]
    weight_share = unladen.front_axle_mass / unladen.total_mass
    assert 0.0 < unladen.front_load_transfer_share - weight_share < 0.10


@pytest.mark.parametrize("name", FILES)
def test_tip_over_threshold_unladen(name):
    vehicle_class = loaded(name).job.vehicle.vehicle_class
    unladen = states(name)["unladen"]
    threshold = unladen.tip_over_threshold / STANDARD_GRAVITY
    assert threshold < unladen.ssf
    if vehicle_class in THRESHOLD:
        low, high = THRESHOLD[vehicle_class]
        if name == "high-roof-van":  # higher than that row's: its band by the SSF of the mean van
            share = unladen.ssf / MEAN_SSF[VehicleClass.VAN]
            low, high = low * share, high * share
        assert low <= threshold <= high


@pytest.mark.parametrize("name", FILES)
def test_body_frequencies_unladen(name):
    job = loaded(name).job
    unladen = mass.states(job)[0]
    sprung = mass.model(job, unladen).sprung_share_mass[:, 0] / 2.0
    loads = mass.sprung_load(job)
    low, high = BODY_FREQUENCY
    for axle, m, load in zip((job.vehicle.front, job.vehicle.rear), sprung, loads, strict=True):
        spring = float(axle.spring.curve(load).rate)
        ride_rate = 1.0 / (1.0 / spring + 1.0 / axle.tyre.vertical_rate)
        assert low <= math.sqrt(ride_rate / m) / (2.0 * math.pi) <= high


@pytest.mark.parametrize("name", [name for name in FILES if name != "high-roof-van"])
def test_measured_vehicles_assume_nothing(name):
    assert loaded(name).assumed == ()


@pytest.mark.parametrize("name", FITTED)
def test_a_bar_is_chosen_and_reaches_the_target(name):
    found, limits = sized(name), loaded(name).job.limits
    choice = found.choice
    assert found.reachable
    assert found.in_the_way == ()
    assert choice.accepted
    assert choice.roll_gradient <= found.target * (1.0 + limits.gradient_tolerance)
    assert choice.roll_gradient <= found.present * (1.0 - limits.least_gain)
    assert choice.safety_factor >= limits.safety_factor
    assert choice.front_share_drop <= limits.front_share_drop
    assert found.present > found.target * (1.0 + limits.gradient_tolerance)
    case = next(state for state in found.states if state.name == found.case)
    # The mean of both bends, which differ where a load is off centre.
    mean = 0.5 * (case.secant_roll_gradient + case.right_secant_roll_gradient)
    assert mean == pytest.approx(choice.roll_gradient, rel=1e-6)


def test_crew_cab_has_two_load_cases_and_understeer_figures():
    assert tuple(states("crew-cab-touring")) == ("unladen", "as_weighed", "work week", "touring")
    assert sized("crew-cab-touring").case == "touring"
    for name in ("crew-cab-touring", "arrives-loaded-and-lifted"):
        assert sized(name).choice.understeer_change < 0.0


def test_a_bar_moves_the_tipping_point_either_way_by_hundredths_of_a_g():
    """As the caution has it: what the sizing and a bare roll find, no bar being a safeguard."""
    moved = [
        (now.tip_over_threshold - states(name)[now.name].tip_over_threshold) / STANDARD_GRAVITY
        for name in FITTED
        for now in sized(name).states
        if now.name in states(name)
    ]
    assert min(moved) < -0.01
    assert max(moved) > 0.01
    assert max(map(abs, moved)) < 0.1
    assert NO_SAFETY in BAR_CAUTIONS
    assert "rise or fall by some hundredths of a g" in NO_SAFETY


def test_imperial_roll_figures_equal_the_metric_ones():
    metric, imperial = states("crew-cab-touring"), states("crew-cab-touring-imperial")
    assert_same(tuple(metric.values()), tuple(imperial.values()))


def test_imperial_sizing_equals_the_metric_one():
    assert_same(sized("crew-cab-touring"), sized("crew-cab-touring-imperial"))


def test_arrival_unladen_is_lighter_and_lower_than_weighed():
    found, job = states("arrives-loaded-and-lifted"), loaded("arrives-loaded-and-lifted").job
    unladen, weighed, used = found["unladen"], found["as_weighed"], found["as_used"]
    taken_off = sum(load.mass for load in job.loads)
    assert unladen.total_mass == pytest.approx(weighed.total_mass - taken_off, rel=1e-12)
    assert unladen.cg_height < weighed.cg_height - job.change.suspension_lift_front / 2.0
    assert unladen.secant_roll_gradient < weighed.secant_roll_gradient
    assert_same(replace(weighed, name="as_used"), used)


def test_arrival_is_sized_for_what_stood_on_the_scales():
    found = sized("arrives-loaded-and-lifted")
    assert found.case == "as_used"
    assert found.emptiest == "unladen"
    unladen = states("arrives-loaded-and-lifted")["unladen"]
    assert found.target == pytest.approx(unladen.secant_roll_gradient, rel=1e-9)


def test_balance_gate_binds():
    found, limits = sized("balance-gate-binds"), loaded("balance-gate-binds").job.limits
    assert found.reachable
    assert found.choice is None
    assert found.states == ()
    assert found.in_the_way == (Obstacle.BALANCE,)
    best = found.best
    assert best.front_share_drop <= limits.front_share_drop
    assert best.safety_factor >= limits.safety_factor
    assert best.roll_stiffness < found.required_roll_stiffness
    near = [c for c in found.candidates if c.roll_stiffness > best.roll_stiffness]
    assert any("front share" in reason for c in near for reason in reasons(c))
    assert best.section.label in choice_words(found, METRIC)


def test_wagon_has_a_solid_rear_axle_and_a_roof_load_within_its_rating():
    rear = loaded("wagon-roof-load").job.vehicle.rear
    assert rear.suspension is Suspension.SOLID_AXLE
    assert rear.roll_centre_travel_ratio == 0.5
    checks = {check.name: check for check in states("wagon-roof-load")["as_used"].ratings}
    assert checks["roof_load"].load == 75.0
    assert over("wagon-roof-load", "as_used") == set()
    assert sized("wagon-roof-load").replaces == "bar of 22 N/mm at the link, links 1000 mm apart"


def test_van_says_what_it_assumes():
    assumed = "\n".join(loaded("high-roof-van").assumed)
    for end in ("front", "rear"):
        for key in ("unsprung_mass", "roll_centre_height", "spring", "tyre", "bump_stop"):
            assert f"{end}.{key}" in assumed
    assert "rear.spring_base" in assumed
    assert "vehicle.cg_height = 871.1 mm ± " in assumed  # by roof height and track
    assert any(t.key == "vehicle.cg_height" for t in loaded("high-roof-van").tolerances)


def test_van_leans_to_the_side_of_its_shelves():
    lean = states("high-roof-van")["as_used"].static_lean
    assert loaded("high-roof-van").job.vehicle.cg_left > 0.0
    assert -2.0 < math.degrees(lean) < -0.3  # negative is left
    assert abs(states("high-roof-van")["unladen"].static_lean) < abs(lean)


def test_independent_rear_replaces_its_bar():
    name = "independent-rear-with-bar"
    found, rear = sized(name), loaded(name).job.vehicle.rear
    assert rear.suspension is Suspension.INDEPENDENT
    assert loaded(name).rear_bar.mount is Mount.CHASSIS
    assert found.replaces == "bar of 30 N/mm at the link, installation ratio 0.6"
    # The whole of the new bar, so more than the one that goes.
    assert found.required_roll_stiffness > rear.bar_roll_stiffness > 0.0


def test_low_car_tips_last():
    threshold = {name: states(name)["unladen"].tip_over_threshold for name in FILES}
    assert max(threshold, key=threshold.get) == "low-car"
    assert loaded("low-car").rear_bar is None


def test_beyond_a_bar():
    found = sized("beyond-a-bar")
    assert not found.reachable
    assert found.choice is None
    assert found.required_roll_stiffness == math.inf
    assert found.limit > found.target
    assert found.in_the_way == (Obstacle.STRENGTH, Obstacle.STIFFNESS)
    assert 0.0 < found.gap_closed(found.best) < 0.5
    assert {"rear_axle", "roof_load"} <= over("beyond-a-bar", "as_used")
    assert over("beyond-a-bar", "unladen") == set()
