"""Wrong readings from the bay and what must be said of each: the tables of `test_bay_bad_input`."""

from tests.bad_input import MASS, TEXT

CG = 'cg_height = "700 mm ± 25 mm"'
LIFTS = (
    'cg_height_test = { front_loaded_radius = "370 mm", rear_loaded_radius = "370 mm", lift = ['
    '{ height = "600 mm", mass = "1172 kg ± 4 kg" }, { height = "900 mm", mass = "1195 kg" }] }'
)
PLACE = 'behind_front_axle = "1750 mm"'
HEIGHT = 'height = "1980 mm"'
TANK = (
    'tank = { capacity = "80 l", fill = 0.5, density = "1000 kg/m^3", bottom = "500 mm", '
    'depth = "300 mm" }'
)
CORNERS = (
    '{{ front_left = "{} kg", front_right = "{} kg", rear_left = "{} kg", rear_right = "{} kg" }}'
)
BEFORE = CORNERS.format(565, 565, 430, 430)
WEIGHED = f"weighed = {{ before = {BEFORE}, after = {CORNERS.format(590, 580, 455, 450)} }}"
REAR = 'spring = { rate = "36 N/mm", second_stage = { after = "55 mm", rate = "60 N/mm" } }'
READINGS = (
    '{ added = "60 kg", drop = "6.7 mm", step = "loading" }, '
    '{ added = "120 kg", drop = "14.9 mm", step = "loading" }, '
    '{ added = "180 kg", drop = "22.9 mm", step = "loading" }, '
    '{ added = "120 kg", drop = "17.9 mm", step = "unloading" }, '
    '{ added = "0 kg", drop = "1.6 mm", step = "unloading" }'
)
LOAD_TEST = f"spring = {{ load_test = {{ reading = [{READINGS}] }} }}"
CENTRE = 'roll_centre_height = "470 mm"\nroll_centre_travel_ratio = 0.5'
ROD = (
    'roll_centre = { panhard_rod = { axle_end = ["500 mm", "440 mm"], '
    'body_end = ["-480 mm", "500 mm"] } }'
)
FRONT_CENTRE = 'roll_centre_height = "85 mm"\nroll_centre_travel_ratio = 1.0'
ARMS = (
    'roll_centre = { double_wishbone = { upper_pivot = ["430 mm", "560 mm"], '
    'upper_ball_joint = ["690 mm", "575 mm"], lower_pivot = ["380 mm", "300 mm"], '
    'lower_ball_joint = ["730 mm", "255 mm"] } }'
)
LEAN_TEST = """
[lean_test]
unknown = "rear roll stiffness"
aboard = { mass = "150 kg", behind_front_axle = "1600 mm", height = "1 m" }
reading = [
  { mass = "150 kg", right_of_centreline = "300 mm", lean = "0.37 deg", last_moved = "right" },
  { mass = "150 kg", right_of_centreline = "600 mm", lean = "0.77 deg", last_moved = "right" },
  { mass = "150 kg", right_of_centreline = "300 mm", lean = "0.43 deg", last_moved = "left" },
  { mass = "150 kg", right_of_centreline = "-300 mm", lean = "-0.37 deg", last_moved = "left" },
  { mass = "150 kg", right_of_centreline = "-600 mm", lean = "-0.78 deg", last_moved = "left" },
  { mass = "150 kg", right_of_centreline = "-300 mm", lean = "-0.43 deg", last_moved = "right" },
]
"""
for found in (CG, PLACE, HEIGHT, MASS, REAR, CENTRE, FRONT_CENTRE):
    assert found in TEXT, found


def bay_text(*pairs: tuple[str, str], end: str = "") -> str:
    """The crew-cab's text with parts replaced and a table at its end."""
    text = TEXT
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text + end


AXLE_LIFT_TEXT = bay_text((CG, LIFTS))
TANK_TEXT = bay_text((MASS, TANK), (HEIGHT, ""))
WEIGHED_TEXT = bay_text((MASS, WEIGHED), (PLACE, ""), ('left_of_centreline = "0 mm"', ""))
LOAD_TEST_TEXT = bay_text((REAR, LOAD_TEST))
ROD_TEXT = bay_text((CENTRE, ROD))
ARMS_TEXT = bay_text((FRONT_CENTRE, ARMS))
LEAN_TEXT = bay_text(end=LEAN_TEST)
FIRST_LEAN = 'lean = "0.37 deg"'
ARCHES = 'left_arch = "812 mm", right_arch = "799 mm"'

# The text, what to replace, by what, and what the one line must hold.
ONE_BAY_ERROR = [
    # lifting an axle
    (
        AXLE_LIFT_TEXT,
        "cg_height_test",
        f"{CG}\ncg_height_test",
        "vehicle.cg_height: found beside cg_height_test, which measures it; remove one",
    ),
    (
        AXLE_LIFT_TEXT,
        'front_loaded_radius = "370 mm", ',
        "",
        "vehicle.cg_height_test.front_loaded_radius: missing; allowed 150 mm to 800 mm; add it",
    ),
    (
        AXLE_LIFT_TEXT,
        '"600 mm"',
        '"600 kg"',
        'vehicle.cg_height_test.lift[1].height: found "600 kg", whose unit is not one of length',
    ),
    (
        AXLE_LIFT_TEXT,
        '"1172 kg ± 4 kg"',
        "1172",
        "vehicle.cg_height_test.lift[1].mass: found the number 1172, without a unit",
    ),
    (
        AXLE_LIFT_TEXT,
        'height = "900 mm"',
        'height = "900 mm", angle = "17 deg"',
        "cg_height_test.lift[2].angle: unknown key; known keys here: height, mass; remove it",
    ),
    (
        AXLE_LIFT_TEXT,
        "front_loaded_radius",
        'raised_axle = "both", front_loaded_radius',
        'cg_height_test.raised_axle: found "both"; allowed "front" or "rear"; write one',
    ),
    (
        AXLE_LIFT_TEXT,
        LIFTS[LIFTS.index("[{") : -2],
        "[]",
        "vehicle.cg_height_test.lift: found no lift; allowed one or more; add each",
    ),
    (
        AXLE_LIFT_TEXT,
        LIFTS[LIFTS.index("[{") : -2],
        '"600 mm"',
        'cg_height_test.lift: found "600 mm"; allowed a list of tables',
    ),
    (
        AXLE_LIFT_TEXT,
        '"1172 kg ± 4 kg"',
        '"1992 kg"',
        "cg_height_test: 1992 kg on the axle left on the scales: allowed above 0 and below the "
        "whole 1990 kg; check the readings",
    ),
    (
        AXLE_LIFT_TEXT,
        '"1172 kg ± 4 kg"',
        '"600 kg"',
        "vehicle.cg_height_test: found readings that give",
    ),
    # load items
    (
        TANK_TEXT,
        TANK,
        f"{TANK}\n{MASS}",
        "load[1].mass: found beside tank, which says it already; remove one",
    ),
    (TANK_TEXT, "fill = 0.5", "fill = 1.5", "load[1].tank.fill: found the number 1.5"),
    (TANK_TEXT, '"80 l"', '"80 kg"', 'tank.capacity: found "80 kg", whose unit is not one of vol'),
    (TANK_TEXT, '"80 l"', '"80 gal"', 'load[1].tank.capacity: found "80 gal"; unknown unit'),
    (TANK_TEXT, '"1000 kg/m^3"', '"1 kg/m^3"', "load[1].tank.density: found"),
    (TANK_TEXT, ', depth = "300 mm"', "", "load[1].tank.depth: missing; allowed 20 mm to 2000 mm"),
    (TANK_TEXT, TANK, 'tank = "half full"', 'load[1].tank: found "half full"; allowed a table'),
    (
        TEXT,
        MASS,
        "",
        "load[1].mass: missing; allowed 0 kg to 5000 kg; add it (scale), or weighed or tank",
    ),
    (
        TEXT,
        PLACE,
        f'{PLACE}\nbehind_rear_axle = "1 m"',
        "load[1].behind_rear_axle: found beside behind_front_axle, which says it already",
    ),
    (TEXT, PLACE, 'behind_rear_axle = "-1 m"', "load[1].behind_rear_axle: found"),
    (
        TEXT,
        PLACE,
        "",
        "load[1].behind_front_axle: missing; allowed -3000 mm to 10000 mm; add it (tape: its "
        "middle behind the front axle, ahead negative), or behind_rear_axle",
    ),
    (TEXT, HEIGHT, "", "load[1].height: missing; allowed 0 mm to 4000 mm; add it (tape"),
    (
        WEIGHED_TEXT,
        WEIGHED,
        f"{WEIGHED}\n{MASS}",
        "load[1].mass: found beside weighed, which says it already; remove one",
    ),
    (
        WEIGHED_TEXT,
        f"before = {BEFORE}, ",
        "",
        "load[1].weighed.before: missing; needed front_left, front_right, rear_left, rear_right; "
        "add them, or the four corner masses in [vehicle]",
    ),
    (
        WEIGHED_TEXT,
        'front_left = "565 kg"',
        'front_left = "565"',
        'load[1].weighed.before.front_left: found "565", without a unit',
    ),
    (
        WEIGHED_TEXT,
        'front_left = "590 kg"',
        'front_left = "500 kg"',
        "load[1].weighed: the vehicle is -5 kg heavier after; scales good to 2.5 kg a corner tell "
        "no less than 14 kg; check which is before and which after",
    ),
    (
        WEIGHED_TEXT,
        'rear_left = "455 kg"',
        'rear_left = "380 kg"',
        # front 40 kg heavier, rear 30 kg lighter: no item stands so
        "load[1].weighed: the vehicle is 10 kg heavier after",
    ),
    (
        WEIGHED_TEXT,
        CORNERS.format(590, 580, 455, 450),
        CORNERS.format(650, 580, 400, 390),
        "load[1].weighed: found masses that put it -7198.3 mm behind the front axle and",
    ),
    # load test
    (
        LOAD_TEST_TEXT,
        "{ load_test",
        '{ rate = "36 N/mm", load_test',
        "rear.spring: found rate and load_test; allowed one of rate, wheel_rate, table, helical, "
        "leaf_pack, load_test; give exactly one",
    ),
    (
        LOAD_TEST_TEXT,
        "{ load_test",
        '{ loop_width = "300 N", load_test',
        "rear.spring.loop_width: found beside a load test with unloading, which measures it",
    ),
    (
        LOAD_TEST_TEXT,
        "{ load_test",
        '{ second_stage = { after = "10 mm", rate = "60 N/mm" }, load_test',
        "rear.spring.second_stage.after: found 10 mm, but the load test goes",
    ),
    (
        LOAD_TEST_TEXT,
        'step = "loading"',
        'step = "up"',
        'load_test.reading[1].step: found "up"; allowed "loading" or "unloading" or "bounced"',
    ),
    (LOAD_TEST_TEXT, '"6.7 mm"', '"6,7 mm"', 'reading[1].drop: found "6,7 mm", with a comma'),
    (LOAD_TEST_TEXT, '"60 kg"', '"6000 kg"', "allowed 0 kg to 5000 kg; check the number"),
    (
        LOAD_TEST_TEXT,
        READINGS,
        READINGS.split(", { added", 1)[0],
        "rear.spring.load_test: 1 readings do not fix 2 unknowns; take them at more",
    ),
    (LOAD_TEST_TEXT, READINGS, "", "rear.spring.load_test.reading: found no reading"),
    (
        LOAD_TEST_TEXT,
        READINGS,
        READINGS.replace(', { added = "120 kg", drop = "14.9 mm", step = "loading" }', "").replace(
            ', { added = "0 kg", drop = "1.6 mm", step = "unloading" }', ""
        ),
        "rear.spring.load_test: the readings leave no scatter to judge them by; take more, or give "
        "reading_error",
    ),
    (
        LOAD_TEST_TEXT,
        READINGS,
        READINGS.replace('"22.9 mm"', '"-22.9 mm"').replace('"17.9 mm"', '"-17.9 mm"'),
        "rear.spring.load_test: the readings do not grow with the load",
    ),
    (
        LOAD_TEST_TEXT,
        READINGS,
        READINGS.replace("kg", "lb").replace(".9 mm", ".9 cm").replace(".7 mm", ".7 cm"),
        "rear.spring.load_test: found readings that give",
    ),
    # roll centre by tape
    (
        ROD_TEXT,
        "roll_centre =",
        'roll_centre_height = "470 mm"\nroll_centre =',
        "rear.roll_centre_height: found beside roll_centre, which gives it; remove one",
    ),
    (
        ROD_TEXT,
        '["500 mm", "440 mm"]',
        '["500 mm"]',
        "rear.roll_centre.panhard_rod.axle_end: found 1 lengths; allowed two, [from the centreline",
    ),
    (
        ROD_TEXT,
        '["500 mm", "440 mm"]',
        '"500 mm"',
        'panhard_rod.axle_end: found "500 mm"; write a list',
    ),
    (
        ROD_TEXT,
        '"-480 mm"',
        '"480 mm"',
        "rear.roll_centre.panhard_rod: Panhard rod: its ends must stand on opposite sides",
    ),
    (ROD_TEXT, ROD, "roll_centre = { }", "rear.roll_centre: found no linkage; allowed one of leaf"),
    (
        ROD_TEXT,
        ROD,
        ARMS,
        "rear.roll_centre.double_wishbone: found on solid axle suspension; allowed leaf_springs or "
        "panhard_rod there",
    ),
    (
        ROD_TEXT,
        ROD,
        'roll_centre = "class default"',
        'rear.roll_centre: found "class default", which it does not take; allowed a table',
    ),
    (
        ARMS_TEXT,
        '["690 mm", "575 mm"]',
        '["690 mm", "300 mm"]',
        "front.roll_centre.double_wishbone: the linkage does not reach so far; check its points",
    ),
    (
        ROD_TEXT,
        '["500 mm", "440 mm"]',
        '["50 mm", "1200 mm"]',
        "rear.roll_centre.panhard_rod: found readings that give roll_centre_height 1134 mm; "
        "allowed -300 mm to 1000 mm; check each reading",
    ),
    # lean test
    (
        LEAN_TEXT,
        '"rear roll stiffness"',
        '"spring rate"',
        'lean_test.unknown: found "spring rate"; allowed "total roll stiffness" or "front roll',
    ),
    (LEAN_TEXT, 'unknown = "rear roll stiffness"', "", "lean_test.unknown: missing; allowed"),
    (
        LEAN_TEXT,
        "[lean_test]",
        '[lean_test]\nstate = "holiday"',
        'lean_test.state: found "holiday"; allowed "unladen", "as_weighed", "touring"; write one',
    ),
    (
        LEAN_TEXT,
        FIRST_LEAN,
        f"{FIRST_LEAN}, {ARCHES}",
        "lean_test.reading[1]: found lean and left_arch and right_arch; allowed lean, or left_arch",
    ),
    (LEAN_TEXT, f"{FIRST_LEAN}, ", "", "lean_test.reading[1]: found no lean; allowed lean, or"),
    (
        LEAN_TEXT,
        FIRST_LEAN,
        'left_arch = "812 mm"',
        "lean_test.reading[1]: found left_arch; allowed lean, or left_arch and right_arch",
    ),
    (
        LEAN_TEXT,
        FIRST_LEAN,
        ARCHES,
        "lean_test.arch_distance: missing; arch heights need it; add it",
    ),
    (
        LEAN_TEXT,
        "[lean_test]",
        '[lean_test]\narch_distance = "1650 mm"',
        "lean_test.arch_distance: found, but no reading has arch heights; remove it",
    ),
    (
        bay_text(end=LEAN_TEST.replace("[lean_test]", '[lean_test]\narch_distance = "600 mm"')),
        FIRST_LEAN,
        'left_arch = "812 mm", right_arch = "412 mm"',
        "lean_test.reading[1].left_arch: found 812 mm beside 412 mm on the right; allowed a diff",
    ),
    (LEAN_TEXT, FIRST_LEAN, 'lean = "0.45 mm"', 'reading[1].lean: found "0.45 mm", whose unit'),
    (LEAN_TEXT, 'last_moved = "right"', 'last_moved = "up"', 'reading[1].last_moved: found "up"'),
    (
        LEAN_TEXT,
        'aboard = { mass = "150 kg"',
        'aboard = { mass = "80 kg"',
        "lean_test.aboard.mass: found 80 kg, but a reading moves 150 kg; allowed that or more",
    ),
    (
        bay_text((CG, LIFTS), end=LEAN_TEST),
        '"rear roll stiffness"',
        '"CG height"',
        'lean_test.unknown: found "CG height" beside vehicle.cg_height_test, which measures it',
    ),
    (
        LEAN_TEXT,
        LEAN_TEST[LEAN_TEST.index("reading = [") :],
        "reading = []\n",
        "lean_test.reading: found no reading; allowed four or more; add them",
    ),
    (
        LEAN_TEXT,
        LEAN_TEST[LEAN_TEST.index("reading = [") :],
        "reading = [\n" + "".join(LEAN_TEST.splitlines(keepends=True)[5:8]) + "]\n",
        "lean_test: the readings leave no scatter to judge them by; take more",
    ),
    (
        LEAN_TEXT,
        LEAN_TEST,
        LEAN_TEST.replace('lean = "-', 'lean = "+').replace('lean = "0', 'lean = "-0'),
        "lean_test: the readings do not grow with the load; check their order and signs",
    ),
    (
        LEAN_TEXT,
        LEAN_TEST,
        LEAN_TEST.replace('"rear roll', '"front roll').replace(
            'mass = "150 kg", r', 'mass = "9 kg", r'
        ),
        "lean_test: found readings that need -",
    ),
    (
        LEAN_TEXT,
        LEAN_TEST,
        LEAN_TEST.replace("rear roll stiffness", "CG height").replace("0.", "0.1"),
        "lean_test: found readings that need a CG height of",
    ),
]
