"""Every input error: one line that names file, key, what came, what is allowed, what to do."""

import copy
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rollsim import scenario
from rollsim.scenario import ScenarioError, meant
from rollsim.scenario import rear_bar as bar_loader
from rollsim.scenario.errors import Problems
from rollsim.units import Dimension, parse

DATA = Path(__file__).parent / "data"
MASS = 'mass = "85 kg"'
TRACK = 'track = "1560 mm"'
HOLES = 'arm_holes = ["230 mm", "260 mm", "290 mm"]'
MOUNT = 'mount = "axle"'
TEXT = (DATA / "crew_cab.toml").read_text(encoding="utf-8")
INDEPENDENT = (DATA / "independent_rear.toml").read_text(encoding="utf-8")

# What to replace, by what, and what the one line must hold after "crew_cab.toml: ".
ONE_ERROR = [
    # unknown and missing keys
    (
        'lateral_rate = "170 N/mm", ',
        'lateral_rat = "170 N/mm", ',
        'front.tyre.lateral_rat: unknown key; the nearest known key is "lateral_rate"; rename',
    ),
    (
        "[ratings]",
        "[rating]",
        'rating: unknown key; the nearest known key is "ratings"',
    ),
    (
        'wheelbase = "3085 mm"',
        "",
        "vehicle.wheelbase: missing; allowed 1500 mm to 6000 mm; add it (tape",
    ),
    (
        'title = "Crew-cab, touring load"',
        "",
        "title: missing",
    ),
    (
        'front_axle_mass = "1130 kg ± 10 kg"',
        "",
        "vehicle.front_axle_mass: missing; the masses",
    ),
    (
        'cg_height = "700 mm ± 25 mm"',
        "",
        "vehicle.cg_height: missing; allowed 200 mm",
    ),
    (
        'spring_base = "1090 mm"',
        "",
        "rear.spring_base: missing; a solid axle needs it",
    ),
    (
        'mount = "axle"',
        "",
        'rear_bar.mount: missing; allowed "axle" or "chassis"',
    ),
    (
        'centre_length = "940 mm"',
        "",
        "rear_bar.centre_length: missing; a bar needs",
    ),
    (
        'material = "51CrV4 quenched and tempered"',
        "",
        "rear_bar.material: missing; a bar needs",
    ),
    # how a quantity is written
    (
        'track = "1560 mm"',
        "track = 1560",
        "front.track: found the number 1560, without a unit; write it as text with its "
        'unit, "1560 mm"',
    ),
    (
        'track = "1560 mm"',
        'track = "1560"',
        'front.track: found "1560", without a unit; write it like',
    ),
    (
        'track = "1560 mm"',
        'track = "1560 kg"',
        'front.track: found "1560 kg", whose unit is not one of length',
    ),
    (
        'track = "1560 mm"',
        'track = "wide"',
        'front.track: found "wide", where no number stands',
    ),
    (
        'track = "1560 mm"',
        'track = "1560,5 mm"',
        'front.track: found "1560,5 mm", with a comma',
    ),
    (
        'track = "1560 mm"',
        'track = "61 1/2 in"',
        'front.track: found "61 1/2 in", with a fraction',
    ),
    (
        'track = "1560 mm"',
        'track = "10**9**9 mm"',
        'front.track: found "10**9**9 mm", which is not one',
    ),
    (
        'track = "1560 mm"',
        'track = ""',
        "front.track: found an empty text; write a number",
    ),
    (
        'track = "1560 mm"',
        'track = "nan mm"',
        'front.track: found "nan mm", where no number',
    ),
    (
        'track = "1560 mm"',
        "track = inf",
        "front.track: found the number inf, without a unit",
    ),
    (
        'track = "1560 mm"',
        "track = true",
        "front.track: found the word true; allowed 1000 mm",
    ),
    (
        'track = "1560 mm"',
        "track = [1]",
        "front.track: found a list of 1; allowed 1000 mm",
    ),
    (
        'track = "1560 mm"',
        'track = "class default"',
        'front.track: found "class default", which this key does not take; allowed 1000 mm to '
        "2500 mm; measure it",
    ),
    (
        'rate = "36 N/mm"',
        'rate = "1e308 N/mm"',
        'rear.spring.rate: found "1e308 N/mm", which is too large',
    ),
    (
        '"60 N*m/deg"',
        '"60 N*m"',
        'rear.auxiliary_roll_stiffness: found "60 N*m", whose unit is not one of roll stiffness',
    ),
    (
        'mass = "85 kg"',
        'mass = "85 g"',
        'load[1].mass: found "85 g", whose unit is not one of mass (g is',
    ),
    (
        "installation_ratio = 0.6",
        "installation_ratio = nan",
        "front.bar.installation_ratio: found the number nan; allowed 0.05 to 2",
    ),
    (
        "installation_ratio = 0.6",
        'installation_ratio = "0.6 mm"',
        'found "0.6 mm"; a ratio has no unit',
    ),
    # ranges
    (
        'track = "1560 mm"',
        'track = "16 m"',
        'front.track: found "16 m" (read as 16000 mm); allowed 1000 mm to 2500 mm; check '
        "the number and its unit",
    ),
    (
        'track = "1560 mm"',
        'track = "-1560 mm"',
        "(read as -1560 mm); allowed 1000 mm to 2500 mm",
    ),
    (
        'track = "1560 mm"',
        'track = "1560 mm ± 9 m"',
        'front.track: found "1560 mm ± 9 m" (tolerance read as 9000 mm)',
    ),
    (
        'rate = "36 N/mm"',
        'rate = "0 N/mm"',
        'rear.spring.rate: found "0 N/mm" (read as 0 N/mm); allowed 2 N/mm',
    ),
    (
        'mass = "85 kg"',
        'mass = "-85 kg"',
        'load[1].mass: found "-85 kg" (read as -85 kg); allowed 0 kg',
    ),
    (
        'rated_load = "1120 kg"',
        'rated_load = "1120 N"',
        "(read as 114.208 kg); allowed 150 kg to 5000 kg",
    ),
    (
        "installation_ratio = 0.6",
        "installation_ratio = 0",
        "installation_ratio: found the number 0 (read as 0)",
    ),
    # words and tables
    (
        'suspension = "solid axle"',
        'suspension = "beam"',
        'rear.suspension: found "beam"; allowed "independent" or "solid axle"; write one',
    ),
    (
        'place = "roof"',
        'place = "bonnet"',
        'load[1].place: found "bonnet"; allowed "roof" or "tray"',
    ),
    (
        "on_when_weighed = false",
        'on_when_weighed = "no"',
        'load[1].on_when_weighed: found "no"; allowed true',
    ),
    (
        'name = "roof rack and tent"',
        "name = 5",
        "load[1].name: found the number 5; write text",
    ),
    (
        'name = "roof rack and tent"',
        'name = "a\\nb"',
        'load[1].name: found "a\\nb", with a line break',
    ),
    (
        'cases = ["touring"]',
        "cases = []",
        "load[1].cases: found a list of 0; write a list of at least one",
    ),
    (
        "[[load]]",
        "[load]",
        "load: found a table; allowed a list of tables; head each with [[load]]",
    ),
    (
        "[target]",
        "[[target]]",
        "target: found a list of 1; allowed a table with roll_gradient, at, case",
    ),
    (
        'spring = { wheel_rate = "38 N/mm" }',
        'spring = "stiff"',
        'front.spring: found "stiff"; allowed a table',
    ),
    (
        'roll_gradient = "unladen"',
        'roll_gradient = "empty"',
        'target.roll_gradient: found "empty", where no number stands',
    ),
    # class defaults
    (
        'class = "crew-cab truck"',
        'class = "lorry"',
        'vehicle.class: found "lorry"; allowed "crew-cab truck"',
    ),
    # springs, stops and bars stated in ways that do not fit
    (
        '{ wheel_rate = "38 N/mm" }',
        "{ }",
        "front.spring: found no rate; allowed one of",
    ),
    (
        '{ wheel_rate = "38 N/mm" }',
        '{ wheel_rate = "38 N/mm", rate = "9 N/mm" }',
        "front.spring: found rate and wheel_rate; allowed one",
    ),
    (
        '{ wheel_rate = "38 N/mm" }',
        '{ rate = "38 N/mm" }',
        "front.spring.motion_ratio: missing; on independent",
    ),
    (
        '{ wheel_rate = "38 N/mm" }',
        '{ wheel_rate = "38 N/mm", motion_ratio = 0.6 }',
        "front.spring.motion_ratio: wheel_rate is at the wheel",
    ),
    (
        '{ wheel_rate = "38 N/mm" }',
        '{ wheel_rate = "38 N/mm", load = "400 kg" }',
        "front.spring.load: only a replaced spring",
    ),
    (
        '{ wheel_rate = "38 N/mm" }',
        "{ helical = { n = 5 } }",
        "front.spring.helical: found a table; not available",
    ),
    (
        '{ wheel_rate = "38 N/mm" }',
        "{ leaf_pack = { n = 5 } }",
        "front.spring.leaf_pack: found a table; not available",
    ),
    (
        'cg_height = "700 mm ± 25 mm"',
        "cg_height_test = { }",
        "vehicle.cg_height_test: found a table; not available",
    ),
    (
        'rear_spring = { rate = "44 N/mm" }',
        'rear_spring = { wheel_rate = "44 N/mm" }',
        "change.rear_spring.wheel_rate: on a solid axle",
    ),
    (
        'rear_spring = { rate = "44 N/mm" }',
        'rear_spring = { rate = "44 N/mm", at = "9 mm" }',
        "change.rear_spring.load: missing",
    ),
    (
        'rate = "200 N/mm", base = "1000 mm"',
        'rate = "200 N/mm", motion_ratio = 0.9',
        "rear.bump_stop.motion_ratio: a solid axle takes base",
    ),
    (
        'gap = "60 mm", rate = "150 N/mm"',
        'gap = "60 mm", rate = "150 N/mm", base = "900 mm"',
        "front.bump_stop.base: independent suspension takes motion_ratio",
    ),
    (
        ", installation_ratio = 0.6",
        "",
        "front.bar.installation_ratio: missing; link_end_rate on independent",
    ),
    (
        "installation_ratio = 0.6",
        'installation_ratio = 0.6, link_spacing = "900 mm"',
        "front.bar.link_spacing: independent suspension does not take it",
    ),
    (
        "installation_ratio = 0.6",
        'roll_stiffness = "9 N*m/deg"',
        "front.bar: found both; allowed",
    ),
    (
        'tyre_radius = "0 mm"',
        'body_lift = "50 mm"',
        "change.body_lift_mass: missing; body_lift and",
    ),
    (
        'tyre_radius = "0 mm"',
        'body_lift = "50 mm"\nbody_lift_mass = "1900 kg"',
        "change.body_lift_mass: found 1900 kg; allowed up to the sprung mass as weighed, 1695 kg",
    ),
    (
        'place = "roof"',
        'place = "tray"\nparked_only = true',
        'load[1].parked_only: found true with place "tray"',
    ),
    (
        'cg_height = "700 mm',
        'front_left_mass = "500 kg"\ncg_height = "700 mm',
        "vehicle.front_axle_mass: found beside front_left_mass; allowed two axle masses or four",
    ),
    # across keys
    (
        'spring_base = "1090 mm"',
        'spring_base = "1700 mm"',
        "rear.spring_base: found 1700 mm; allowed up to the track, 1550 mm; measure",
    ),
    (
        'unsprung_mass = "190 kg"',
        'unsprung_mass = "900 kg"',
        "rear.unsprung_mass: found 900 kg; allowed less than the axle's mass as weighed, 860 kg",
    ),
    (
        'mass = "85 kg"\nbehind_front_axle = "1750 mm"',
        'mass = "850 kg"\nbehind_front_axle = "9000 mm"',
        'load: the CG of "touring" lies outside the wheelbase, 3627.9 mm behind the front '
        "axle; allowed 0 mm to 3085 mm; check",
    ),
    (
        'mass = "85 kg"\nbehind_front_axle = "1750 mm"',
        'mass = "540 kg"\nbehind_front_axle = "9000 mm"',
        'load: the front axle of "touring" would carry',
    ),
    # the bar
    (
        'bush_spacing = "820 mm"',
        'bush_spacing = "960 mm"',
        "rear_bar.bush_spacing: bush spacing 960 mm: the bushes lie outside",
    ),
    (
        '["230 mm", "260 mm", "290 mm"]',
        '["100 mm"]\nbend_radius = "200 mm"',
        "rear_bar.bend_radius: bend radius 200 mm: the bends do not fit",
    ),
    (
        '"27 mm x 4 mm"]',
        '"27 mm x 14 mm"]',
        "rear_bar.sections[3]: wall 14 mm in a tube of 27 mm: it must",
    ),
    (
        '"27 mm x 4 mm"]',
        '"27 x 4"]',
        "rear_bar.sections[3]: section '27 x 4' cannot be read; write",
    ),
    (
        '"27 mm x 4 mm"]',
        '"22 mm solid"]',
        "rear_bar.sections[3]: 22 mm solid stands twice",
    ),
    (
        '["22 mm solid", "24 mm solid", "27 mm x 4 mm"]',
        '"EN 10305-1 tubes 20-36 mm"',
        "rear_bar.sections: section list 'EN 10305-1 tubes 20-36 mm': 51CrV4 quenched and "
        "tempered is not supplied as EN 10305-1 tubes, only as round bars",
    ),
    (
        '["22 mm solid", "24 mm solid", "27 mm x 4 mm"]',
        '"some tubes"',
        "rear_bar.sections: section list 'some tubes' cannot be read",
    ),
    (
        '"51CrV4 quenched and tempered"',
        '"51CrV4 quenched"',
        "rear_bar.material: no built-in steel '51CrV4 quenched'; did you mean '51CrV4 "
        "quenched and tempered'?",
    ),
    (
        '"51CrV4 quenched and tempered"',
        '{ name = "own" }',
        "rear_bar.material.allowable_stress: missing; allowed 20 MPa",
    ),
    (
        '["230 mm", "260 mm", "290 mm"]',
        '["230 mm", "230 mm"]',
        "rear_bar.arm_holes: 230 mm stands twice",
    ),
    (
        '["230 mm", "260 mm", "290 mm"]',
        "[]",
        "rear_bar.arm_holes: found a list of 0; write a list of 1",
    ),
    (
        '["230 mm", "260 mm", "290 mm"]',
        '["230 mm"]\ncentreline = [["0 mm"]]',
        "rear_bar.centreline: found a list of 1",
    ),
    (
        'mount = "axle"',
        'mount = "axle"\ninstallation_ratio = 0.7',
        "rear_bar.installation_ratio: a solid axle has none",
    ),
    (
        '["230 mm", "260 mm", "290 mm"]',
        '["230 mm"]\nlink_length = "20 mm"\narm_angle = "30 deg"',
        "rear_bar.link_length: the link goes over centre with the 230 mm arm within 130 mm "
        "of bump and 40 mm of droop",
    ),
    # case names
    (
        'cases = ["touring"]',
        'cases = ["unladen", "touring"]',
        'load[1].cases: found "unladen", a reserved name',
    ),
    (
        'cases = ["touring"]',
        'cases = ["touring", "As Used"]',
        'load[1].cases: found "As Used", a reserved name',
    ),
    (
        'cases = ["touring"]',
        'cases = ["touring", "Touring "]',
        'load[1].cases: found "Touring" beside "touring", doubled',
    ),
    (
        'cases = ["touring"]',
        'cases = ["touring", "touring"]',
        'load[1].cases: "touring" stands twice',
    ),
    (
        'case = "touring"',
        'case = "trip"',
        'target.case: found "trip", a case that no load names; allowed "touring"',
    ),
]

TABLE = 'spring = { table = "NAME" }'
BAD_TABLES = [
    (
        "missing.csv",
        None,
        'found "missing.csv", but there is no such file; put the CSV beside',
    ),
    (
        "../outside.csv",
        "",
        'found "../outside.csv", outside the scenario\'s folder; put',
    ),
    (
        "/etc/hostname",
        None,
        "outside the scenario's folder",
    ),
    (
        "a.csv",
        "travel_mm,force_N\n0,1000\n50,4000\n40,9000\n",
        "is not monotonic: its travel does not rise between 50 mm",
    ),
    (
        "a.csv",
        "travel_mm,force_N\n0,1000\n50,900\n90,9000\n",
        "is not monotonic: its force does not rise",
    ),
    (
        "a.csv",
        "travel_mm,force_N\n0,1000\n",
        "has 1 rows of numbers; allowed 2 or more",
    ),
    (
        "a.csv",
        "0,1000\n50,9000\n",
        "has no header with units; head its columns travel_mm,force_N",
    ),
    (
        "a.csv",
        "travel_mm,force_mm\n0,1000\n50,9000\n",
        'header: found "1 mm", whose unit is not one of force',
    ),
    (
        "a.csv",
        "travel_mm,force_N\n0,1000\n50,\n",
        'row 3: force "" is not a number',
    ),
    (
        "a.csv",
        "travel_mm,force_N\n0,1000\n50,nan\n",
        'row 3: force "nan" is not a number',
    ),
    (
        "a.csv",
        "travel_mm,force_N\n0,100\n50,900\n",
        "reaches from 100 N to 900 N, but the spring carries 5026 N",
    ),
    (
        "a.csv",
        "",
        "has no header",
    ),
    (
        "a.csv",
        "x" * 2000001,
        "is larger than 2 MB",
    ),
]


def errors_of(text, folder=DATA):
    with pytest.raises(ScenarioError) as caught:
        scenario.loads(text, "crew_cab.toml", folder)
    assert isinstance(caught.value, ValueError)
    for line in caught.value.errors:
        assert line.startswith("crew_cab.toml: ")
        assert "\n" not in line
    return caught.value.errors


# What came, by what name, and the key that is meant (None: none is near).
RENAMED = [
    (MASS, 'weight = "85 kg"', "load[1].weight", "mass"),
    (MASS, 'Mass = "85 kg"', "load[1].Mass", "mass"),
    ("vertical_rate", "rate", "front.tyre.rate", "vertical_rate"),
    ("vertical_rate", "stiffness", "front.tyre.stiffness", "vertical_rate"),
    (TRACK, 'width = "1560 mm"', "front.width", "track"),
    (TRACK, 'trak = "1560 mm"', "front.trak", "track"),
    ("unsprung_mass", "unsprung_weight", "front.unsprung_weight", "unsprung_mass"),
    ("front_axle_mass", "front_axle_weight", "vehicle.front_axle_weight", "front_axle_mass"),
    ("roll_centre_height", "roll_center_height", "front.roll_center_height", "roll_centre_height"),
    ("tyre = {", "tire = {", "front.tire", "tyre"),
    ("behind_front_axle", "position", "load[1].position", "behind_front_axle"),
    ("suspension_lift_front", "front_lift", "change.front_lift", "suspension_lift_front"),
    (TRACK, TRACK + '\ncolour = "red"', "front.colour", None),
    (MASS, MASS + '\nlevel = "9 mm"', "load[1].level", None),
]

# What stands for a value, and the example that the error writes.
MEANT = [
    (TRACK, 'track = "1560"', '"1560 mm"'),
    (TRACK, "track = 1560", '"1560 mm"'),
    (TRACK, 'track = "61.5"', '"61.5 in"'),
    (TRACK, "track = 61.5", '"61.5 in"'),
    (TRACK, 'track = "1.56"', '"1.56 m"'),
    (TRACK, 'track = "61 1/2 in"', '"61.5 in"'),
    (TRACK, 'track = "61-3/8 in"', '"61.375 in"'),
    (TRACK, 'track = "61 1/2 inches"', '"61.5 in"'),
    (TRACK, 'track = "5 ft 10 in"', '"70 in"'),
    (TRACK, 'track = "5 ft 10 1/2 in"', '"70.5 in"'),
    (TRACK, 'track = "5\' 10\\""', '"70 in"'),
    (TRACK, 'track = "61.5\\""', '"61.5 in"'),
    (TRACK, 'track = "1560,5 mm"', '"1560.5 mm"'),
    (TRACK, 'track = "1,560 mm"', '"1560 mm"'),
    (TRACK, 'track = "1,560 m"', '"1.560 m"'),
    (MASS, 'mass = "1,130 kg"', '"1.130 kg" or "1130 kg"'),
    (TRACK, 'track = "1560 MM"', '"1560 mm"'),
    (TRACK, 'track = "1560 ± 5 mm"', '"1560 mm ± 5 mm"'),
    ('left_of_centreline = "0 mm"', 'left_of_centreline = "−25,4 mm"', '"-25.4 mm"'),
    ('gap = "60 mm"', 'gap = "60"', '"60 mm" (or "class default")'),
    (MASS, 'mass = "85 kg +- 5"', '"85 kg ± 5 kg" or "85 kg ± 5 %"'),
    (MASS, 'mass = "85 kg ± 5"', '"85 kg ± 5 kg" or "85 kg ± 5 %"'),
    (MASS, 'mass = "0.085 t"', '"85 kg"'),
    (MASS, 'mass = "0.085 tonne"', '"85 kg"'),
    (MASS, 'mass = "0.1 ton"', '"85 kg" or "190 lb"'),
    (MASS, 'mass = "85 Kg"', '"85 kg"'),
    (MASS, 'mass = "85 kgs"', '"85 kg"'),
    ('"9 kN/mm"', '"9"', '"9 kN/mm" (or "rubber" or "polyurethane")'),
    (HOLES, 'arm_holes = "260 mm"', '["260 mm"]'),
    (HOLES, "arm_holes = 260", '["260 mm"]'),
    (HOLES, "arm_holes = [260]", '"260 mm"'),
    (HOLES, 'arm_holes = "10 1/4 in"', '["10.25 in"]'),
    ('cases = ["touring"]', 'cases = "touring"', '["touring"]'),
]


@pytest.mark.parametrize(("old", "new", "key", "known"), RENAMED)
def test_unknown_key_is_renamed_to_the_one_that_is_missing(old, new, key, known):
    assert old in TEXT
    lines = errors_of(TEXT.replace(old, new, 1))
    (line,) = (line for line in lines if line.startswith(f"crew_cab.toml: {key}: unknown key; "))
    if known is None:
        assert "nearest" not in line
        assert "rename" not in line
        assert "known keys here: " in line
    else:
        assert f'the nearest known key is "{known}"; rename' in line


def test_unknown_key_beside_the_one_that_it_resembles():
    (line,) = errors_of(TEXT.replace(TRACK, TRACK + '\ntrak = "1550 mm"'))
    assert 'front.trak: unknown key; "track" stands here already; remove one' in line


AMOUNT_PARTS = ("61", "1/2", "5,4", ".", "-", " ", "ft", "in", "kg", "Mm", "t", "±", "+-", "%", '"')


@settings(max_examples=300, deadline=None)
@given(
    st.one_of(st.text(max_size=70), st.lists(st.sampled_from(AMOUNT_PARTS)).map("".join)),
    st.sampled_from(list(Dimension)),
)
def test_what_is_suggested_can_be_read(text, dimension):
    for example in meant.quantity(text, dimension, lambda number: "mm"):
        assert parse(example, dimension).tolerance >= 0.0


@pytest.mark.parametrize(("old", "new", "example"), MEANT)
def test_example_is_what_came_written_well(old, new, example):
    assert old in TEXT
    (line,) = errors_of(TEXT.replace(old, new, 1))
    assert line.endswith(example)


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('rate = "36 N/mm"', 'rate = "class default"', "rear.spring.rate"),
        ('wheel_rate = "38 N/mm"', 'wheel_rate = "class default"', "front.spring.wheel_rate"),
    ],
)
def test_class_default_inside_a_spring(old, new, key):
    (line,) = errors_of(TEXT.replace(old, new, 1))
    assert line.startswith(f'crew_cab.toml: {key}: found "class default", which this key does not')
    assert line.endswith('write spring = "class default"')


def test_a_bar_has_no_class_default():
    old = 'bar = { link_end_rate = "28 N/mm", installation_ratio = 0.6 }'
    (line,) = errors_of(TEXT.replace(old, 'bar = "class default"'))
    assert 'front.bar: found "class default", which it does not take; allowed a table' in line


@pytest.mark.parametrize("kind", ["leaf", "solid", "Solid axle", "live axle", "other", None])
def test_an_axle_of_refused_kind_with_a_spring_base_is_checked_as_solid(kind):
    old = 'suspension = "solid axle"\n'
    assert old in TEXT
    text = TEXT.replace(old, "" if kind is None else f'suspension = "{kind}"\n')
    text = text.replace('rate = "36 N/mm"', 'wheel_rate = "36 N/mm"')
    text = text.replace('base = "1000 mm"', "motion_ratio = 0.9")
    assert [line.split(": ")[1] for line in errors_of(text)] == [
        "rear.suspension",
        "rear.spring.wheel_rate",
        "rear.bump_stop.motion_ratio",
    ]


def test_an_axle_of_misspelled_kind_is_checked_as_the_nearest():
    text = TEXT.replace('suspension = "independent"', 'suspension = "independant"')
    text = text.replace('wheel_rate = "38 N/mm"', 'rate = "38 N/mm"')
    assert [line.split(": ")[1] for line in errors_of(text)] == [
        "front.suspension",
        "front.spring.motion_ratio",
    ]


def test_loads_that_outweigh_the_vehicle_name_the_heaviest():
    more = '[[load]]\nname = "tools"\nmass = "45 kg"\nbehind_front_axle = "2 m"\nheight = "1 m"\n'
    text = TEXT.replace(MASS, 'mass = "1950 kg"').replace("[change]", more + "\n[change]")
    (line,) = errors_of(text)
    assert line == (
        'crew_cab.toml: load[1].mass: found 1950 kg, with which the loads of "touring" weigh '
        "1995 kg; allowed together up to the vehicle's own mass as weighed, 1990 kg; check the "
        "number and its unit"
    )


def test_a_load_that_outweighs_the_vehicle_is_told_once_for_all_cases():
    text = TEXT.replace(MASS, 'mass = "4500 kg"')
    text = text.replace('cases = ["touring"]', 'cases = ["touring", "work week"]')
    (line,) = errors_of(text)
    assert "load[1].mass: found 4500 kg" in line


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        (MOUNT, 'arm_angle = "90 deg"', "arm_angle"),
        (MOUNT, 'link_inclination = "-90 deg"', "link_inclination"),
        (MOUNT, 'link_length = "0 mm"', "link_length"),
        (MOUNT, 'lash = "-1 mm"', "lash"),
        (MOUNT, 'bend_radius = "-1 mm"', "bend_radius"),
        ('bush_rate = "9 kN/mm"', 'bush_rate = "0 kN/mm"', "bush_rate"),
        ('link_rate = "12 kN/mm"', 'link_rate = "-1 N/mm"', "link_rate"),
    ],
)
def test_bar_that_cannot_be_hung(old, new, key):
    assert old in TEXT
    (line,) = errors_of(TEXT.replace(old, f"{MOUNT}\n{new}" if old == MOUNT else new))
    assert line.startswith(f"crew_cab.toml: rear_bar.{key}: found ")
    assert "allowed" in line


def test_installation_ratio_of_zero():
    lines = errors_of(INDEPENDENT.replace("installation_ratio = 0.7", "installation_ratio = 0.0"))
    assert any("rear_bar.installation_ratio: found the number 0 (read as 0)" in x for x in lines)


@pytest.mark.parametrize("word", ["lash", "bend_radius"])
def test_rounding_below_zero_is_zero(word):
    # Within the slack of the range, which a length below zero must not leave it through.
    read = scenario.loads(TEXT.replace(MOUNT, f'{MOUNT}\n{word} = "-1e-11 mm"'), "a.toml")
    assert read.rear_bar.installation.lash == 0.0
    assert all(shape.bend_radius == 0.0 for shape in read.rear_bar.shapes)


@pytest.mark.parametrize("record", ["Installation", "RearBar"])
def test_what_the_bar_itself_refuses_is_an_error_line(record, monkeypatch):
    kind = getattr(bar_loader, record)

    def refuse(**stated):
        if stated:
            raise ValueError("it cannot be so")
        return kind()

    monkeypatch.setattr(bar_loader, record, refuse)
    assert errors_of(TEXT) == ("crew_cab.toml: rear_bar: it cannot be so",)


@pytest.mark.parametrize(("old", "new", "expected"), ONE_ERROR)
def test_one_error(old, new, expected):
    assert old in TEXT
    (line,) = errors_of(TEXT.replace(old, new, 1))
    assert expected in line


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            'class = "van"',
            "",
            'front.spring: found "class default" without vehicle.class; allowed classes',
        ),
        (
            'front_left_mass = "520 kg"',
            "",
            "vehicle.front_left_mass: missing; the masses",
        ),
        (
            "installation_ratio = 0.7\n",
            "",
            "rear_bar.installation_ratio: missing; independent",
        ),
        (
            'track = "1500 mm"',
            'track = "1500 mm"\nspring_base = "1000 mm"',
            "rear.spring_base: independent",
        ),
        (
            'table = "spring.csv"',
            'table = "spring.csv", second_stage = { after = "1 mm", rate = "9 N/mm" }',
            "rear.spring.second_stage: a measured table",
        ),
        (
            '["0 mm", "0 mm", "0 mm"]',
            '["0 mm", "5 mm", "0 mm"]',
            "rear_bar.centreline: centreline: the first point",
        ),
        (
            '["0 mm", "0 mm", "0 mm"], ',
            '["0 mm", "0 mm"], ',
            "rear_bar.centreline: found a list of 2 as a point",
        ),
        (
            'mass = "40 kg"',
            'mass = "2100 kg"',
            'load: the loads taken off for "unladen" weigh more',
        ),
        (
            'mass = "40 kg"',
            'mass = "1600 kg"',
            'load: the rear axle of "unladen" would carry 100 kg',
        ),
        (
            'name = "tools"',
            'name = "Ladder  rack"',
            'load[2].name: found "Ladder  rack", the name of load[1]',
        ),
        (
            'sections = "round bars 18-20 mm"',
            'sections = "EN 10305-1 tubes 20-36 mm"',
            "rear_bar.stock[1].sections: ",
        ),
        (
            'bush_rate = "rubber"',
            'bush_rate = "rubbery"',
            'where no number stands; write a number and its unit, like "36 N/mm" or "205 '
            'lbf/in" (or "rubber" or "polyurethane")',
        ),
    ],
)
def test_one_kind_of_error_in_the_other_file(old, new, expected):
    assert old in INDEPENDENT
    lines = errors_of(INDEPENDENT.replace(old, new, 1))
    assert any(expected in line for line in lines), lines


@pytest.mark.parametrize(("name", "content", "expected"), BAD_TABLES)
def test_spring_table(tmp_path, name, content, expected):
    folder = tmp_path / "inside"
    folder.mkdir()
    if content is not None:
        (folder / name).write_text(content, encoding="utf-8")
    text = TEXT.replace('spring = { wheel_rate = "38 N/mm" }', TABLE.replace("NAME", name))
    (line,) = errors_of(text, folder)
    assert line.startswith("crew_cab.toml: front.spring.table: ")
    assert expected in line


def test_spring_table_behind_a_link_out_of_the_folder(tmp_path):
    folder = tmp_path / "inside"
    folder.mkdir()
    (tmp_path / "outside.csv").write_text("travel_mm,force_N\n0,1000\n90,9000\n")
    (folder / "link.csv").symlink_to(tmp_path / "outside.csv")
    text = TEXT.replace('spring = { wheel_rate = "38 N/mm" }', TABLE.replace("NAME", "link.csv"))
    (line,) = errors_of(text, folder)
    assert "outside the scenario's folder" in line


def test_spring_table_without_a_folder():
    text = TEXT.replace('spring = { wheel_rate = "38 N/mm" }', TABLE.replace("NAME", "a.csv"))
    (line,) = errors_of(text, None)
    assert "a scenario without a folder reads no CSV" in line


def test_sprung_cg_below_the_ground():
    text = TEXT.replace('"700 mm ± 25 mm"', '"200 mm"').replace('"375 mm"', '"800 mm"')
    (line,) = errors_of(text.replace('unsprung_mass = "190 kg"', 'unsprung_mass = "800 kg"'))
    assert "vehicle.cg_height: found 200 mm, which puts the sprung CG at" in line


def test_all_errors_of_a_file_at_once():
    text = TEXT
    for old, new in (
        ('track = "1560 mm"', 'trak = "1560 mm"'),
        ('wheelbase = "3085 mm"', 'wheelbase = "3085"'),
        ('spring_base = "1090 mm"', 'spring_base = "1700 mm"'),
        ('unsprung_mass = "190 kg"', 'unsprung_mass = "900 kg"'),
        ('mass = "85 kg"', 'mass = "-85 kg"'),
        ('case = "touring"', 'case = "trip"'),
        ('bush_spacing = "820 mm"', 'bush_spacing = "960 mm"'),
        ('"27 mm x 4 mm"]', '"27 mm x 14 mm"]'),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    keys = [line.split(": ")[1] for line in errors_of(text)]
    assert sorted(keys) == [
        "front.track",
        "front.trak",
        "load[1].mass",
        "rear.spring_base",
        "rear.unsprung_mass",
        "rear_bar.bush_spacing",
        "rear_bar.sections[3]",
        "target.case",
        "vehicle.wheelbase",
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            'title = "a"\nvehicle = [1,\n',
            "crew_cab.toml: line 3: not readable as TOML",
        ),
        (
            'title = "a"\ntitle = "b"\n',
            "crew_cab.toml: line 2: not readable as TOML (Cannot overwrite",
        ),
        (
            "title 5\n",
            "crew_cab.toml: line 1: not readable as TOML (Expected '='",
        ),
        (
            "a = " + "[" * 20000,
            "crew_cab.toml: not readable as TOML",
        ),
        (
            "a = " + "9" * 10000,
            "crew_cab.toml: not readable as TOML",
        ),
        (
            "#" * 2000001,
            "crew_cab.toml: is larger than 2 MB",
        ),
        (
            "",
            "crew_cab.toml: title: missing",
        ),
    ],
)
def test_unreadable_text(text, expected):
    assert errors_of(text)[0].startswith(expected)


def test_unreadable_files(tmp_path):
    (tmp_path / "latin.toml").write_bytes('title = "caf\xe9"'.encode("latin-1"))
    (tmp_path / "large.toml").write_text("#" * 2_000_001)
    for name, expected in (
        ("absent.toml", "absent.toml: no such file"),
        (".", "is a folder"),
        ("latin.toml", "latin.toml: is not UTF-8 text"),
        ("large.toml", "large.toml: is larger than 2 MB"),
    ):
        with pytest.raises(ScenarioError) as caught:
            scenario.load(tmp_path / name)
        (line,) = caught.value.errors
        assert expected in line


def test_a_problem_is_told_once():
    problems = Problems("a.toml")
    problems.add("front.track", "missing")
    problems.add("front.track", "missing")
    assert problems.found == ("a.toml: front.track: missing",)


REFUSED = ("", 5, -1, True, [], {}, [{}], [1], float("nan"), float("inf"), 10**400, "x\ny")
WORDS = ("class default", "unladen", ["unladen"], ["a", "A"], "22 mm solid", "independent")
AMOUNTS = ("0 kg", "500 kg", "5 mm", "-5 mm", "900 mm", "40 N/mm", "9 kN/mm", "1e308 N/mm")
TABLES = ({"rate": "9 N/mm"}, {"table": "spring.csv"}, ["0 mm", "0 mm", "0 mm"])
VALUES = st.sampled_from((*REFUSED, *WORDS, *AMOUNTS, *TABLES, 0.5, "0.5"))
EDITS = st.lists(
    st.tuples(st.integers(0, 200), st.integers(0, 200), st.booleans(), VALUES),
    min_size=1,
    max_size=5,
)


@settings(max_examples=120, deadline=None)
@given(EDITS, st.booleans())
def test_random_edits_raise_nothing_but_scenario_errors(edits, other):
    data = tomllib.loads(INDEPENDENT if other else TEXT)
    for place, key, drop, value in edits:
        tables = list(_tables(data))
        table = tables[place % len(tables)]
        keys = list(table) or ["track"]
        if drop:
            table.pop(keys[key % len(keys)], None)
        else:
            table[keys[key % len(keys)]] = copy.deepcopy(value)
    try:
        read = scenario.from_data(data, "crew_cab.toml", DATA)
    except ScenarioError as refused:
        read = refused.errors
    assert read
    if isinstance(read, tuple):
        assert all("\n" not in line and len(line) < 1000 for line in read)
    else:
        assert "nan" not in repr(read)


def _tables(item):
    """Every table of the data, itself first."""
    if isinstance(item, dict):
        yield item
    if isinstance(item, dict | list):
        for part in item.values() if isinstance(item, dict) else item:
            yield from _tables(part)
