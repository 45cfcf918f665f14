"""What an input error suggests: the key and the value that were meant."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rollsim.scenario import meant
from rollsim.units import Dimension, parse
from tests.bad_input import HOLES, MASS, TEXT, TRACK, errors_of

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
