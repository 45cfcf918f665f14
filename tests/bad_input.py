"""Wrong scenario files and what must be said of each: the tables behind `test_bad_input`."""

from pathlib import Path

import pytest

from rollsim import scenario
from rollsim.scenario import ScenarioError

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
        'target.case: found "touring", a case that no load names; allowed "as_used"',
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
    (
        'roll_gradient = "unladen"',
        'roll_gradient = "2 % less than now"',
        'target.roll_gradient: found "2 % less than now"; allowed 3% to 90% less than now (less is '
        'not felt); write it as "12 % less than now"',
    ),
    (
        'roll_gradient = "unladen"',
        'roll_gradient = "12,5 % less than now"',
        'target.roll_gradient: found "12,5 % less than now"; allowed 3% to 90% less than now',
    ),
    (
        "[change]",
        '[change]\nrear_rebound_limit = { rate = "400 N/mm" }',
        "change.rear_rebound_limit.gap: missing; allowed 0 mm to 500 mm; add it (tape",
    ),
    (
        "[change]",
        '[change]\nrear_rebound_limit = { gap = "60 mm", motion_ratio = 0.8 }',
        "change.rear_rebound_limit.motion_ratio: a solid axle takes base instead",
    ),
    # class defaults
    (
        'class = "crew-cab truck"',
        'class = "lorry"',
        'vehicle.class: found "lorry"; allowed "crew-cab truck"',
    ),
    (
        'cg_height = "700 mm ± 25 mm"',
        'roof_height = "180 mm"\ncg_height = "700 mm ± 25 mm"',
        'vehicle.roof_height: found "180 mm" (read as 180 mm); allowed 1000 mm to 4000 mm',
    ),
    (
        'wheelbase = "3085 mm"',
        'wheelbase = "3085 mm"\nframe_torsional_stiffness = "30 N*m/deg"',
        'vehicle.frame_torsional_stiffness: found "30 N*m/deg" (read as 30 N*m/deg); allowed 300 ',
    ),
    (
        'wheelbase = "3085 mm"',
        'wheelbase = "3085 mm"\nframe_height = "560 mm"',
        "vehicle.frame_height: found without vehicle.frame_torsional_stiffness, and a rigid frame",
    ),
    (
        'wheelbase = "3085 mm"',
        'wheelbase = "3085 mm"\ncab_share_of_twist = 1.5',
        "vehicle.cab_share_of_twist: found the number 1.5 (read as 1.5); allowed 0 to 1",
    ),
    (
        'class = "crew-cab truck"',
        'frame_torsional_stiffness = "class default"',
        'vehicle.frame_torsional_stiffness: found "class default" without vehicle.class',
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
        'cg_height = "700 mm ± 25 mm"',
        "cg_height_test = true",
        "vehicle.cg_height_test: found the word true; allowed a table with raised_axle, front",
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
        "x" * 100001,
        "is larger than 100 kB",
    ),
    (
        "a.csv",
        "travel_mm,force_N\n" + "".join(f"{n / 5},{n}\n" for n in range(501)),
        "has 501 rows of numbers; allowed up to 500",
    ),
]


def errors_of(text, folder=DATA):
    """Errors of a scenario text, each one line that begins with the file."""
    with pytest.raises(ScenarioError) as caught:
        scenario.loads(text, "crew_cab.toml", folder)
    assert isinstance(caught.value, ValueError)
    for line in caught.value.errors:
        assert line.startswith("crew_cab.toml: ")
        assert "\n" not in line
    return caught.value.errors
