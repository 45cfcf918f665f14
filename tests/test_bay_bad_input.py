"""Wrong readings from the bay: one line each that names the key, what came and what to do."""

import pytest

from tests.bad_input import TEXT, errors_of
from tests.bad_input_bay import (
    AXLE_LIFT_TEXT,
    CENTRE,
    CG,
    FIRST_LEAN,
    LEAN_TEST,
    LEAN_TEXT,
    LIFTS,
    LOAD_TEST,
    MASS,
    ONE_BAY_ERROR,
    REAR,
    ROD,
    TANK,
    bay_text,
)


@pytest.mark.parametrize(("text", "old", "new", "expected"), ONE_BAY_ERROR)
def test_one_bay_error(text, old, new, expected):
    assert old in text
    assert old != new
    (line,) = errors_of(text.replace(old, new, 1))
    assert expected in line


def test_a_roll_centre_is_needed():
    lines = errors_of(TEXT.replace(CENTRE, ""))
    assert [line.split(": ")[1:3] for line in lines] == [
        [
            "rear.roll_centre_height",
            'missing; allowed -300 mm to 1000 mm or "class default"; add it (from the linkage',
        ],
        [
            "rear.roll_centre_travel_ratio",
            'missing; allowed -1 to 4 or "class default"; add it (its rise per body rise',
        ],
    ]
    assert all(line.endswith("or roll_centre (its linkage by tape)") for line in lines)


def test_no_second_error_follows_a_refused_table():
    for old, new, key in (
        (ROD, "roll_centre = 470", "rear.roll_centre"),
        (TANK, "tank = 40", "load[1].tank"),
        (LIFTS, "cg_height_test = 700", "vehicle.cg_height_test"),
        (LOAD_TEST, "spring = { load_test = 36 }", "rear.spring.load_test"),
    ):
        text = bay_text((CENTRE, ROD), (MASS, TANK), ('height = "1980 mm"', ""), (CG, LIFTS))
        text = text.replace(REAR, LOAD_TEST)
        (line,) = errors_of(text.replace(old, new, 1))
        assert line.startswith(f"crew_cab.toml: {key}: found the number"), line


def test_errors_of_all_tests_are_told_at_once():
    text = bay_text((CENTRE, ROD), (MASS, TANK), ('height = "1980 mm"', ""), (CG, LIFTS))
    text = text.replace(REAR, LOAD_TEST) + LEAN_TEST
    for old, new in (
        ('"-480 mm"', '"480 mm"'),
        ("fill = 0.5", "fill = 5"),
        ('"1172 kg ± 4 kg"', '"1992 kg"'),
        ('"6.7 mm"', '"6.7"'),
        (FIRST_LEAN, 'left_arch = "800 mm"'),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    assert {line.split(": ")[1] for line in errors_of(text)} == {
        "rear.roll_centre.panhard_rod",
        "load[1].tank.fill",
        "vehicle.cg_height_test",
        "rear.spring.load_test.reading[1].drop",
        "lean_test.reading[1]",
    }


def test_a_test_that_makes_the_vehicle_topple_is_named():
    # Ten times the lean: a tenth of the net roll stiffness, on which 800 kg on the roof topple.
    soft = LEAN_TEXT.replace('"rear roll stiffness"', '"total roll stiffness"')
    for lean in ("0.37", "0.77", "0.43", "0.78"):
        soft = soft.replace(f"{lean} deg", f"{float(lean) * 10:.3f} deg")
    (line,) = errors_of(soft.replace(MASS, 'mass = "800 kg"').replace('"1980 mm"', '"2500 mm"'))
    assert line.startswith('crew_cab.toml: lean_test: state "touring": the body topples at rest')


def test_a_radius_that_is_wrong_does_not_hide_a_wrong_lift():
    text = AXLE_LIFT_TEXT.replace('"370 mm"', '"37 mm"', 1).replace('"900 mm"', '"900"')
    keys = [line.split(": ")[1] for line in errors_of(text)]
    assert keys == [
        "vehicle.cg_height_test.front_loaded_radius",
        "vehicle.cg_height_test.lift[2].height",
    ]
