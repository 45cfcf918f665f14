"""Text with units to SI: what is right, and what must be refused in a clear sentence."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rollsim.units import Dimension, Quantity, from_unit, parse, to_unit

MM, IN, G = 1e-3, 0.0254, 9.80665
LB, LBF = 0.45359237, 0.45359237 * 9.80665
DEG = math.pi / 180.0


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("1550 mm", Dimension.LENGTH, 1.55),
        ("1550mm", Dimension.LENGTH, 1.55),
        ("61.5 in", Dimension.LENGTH, 61.5 * IN),
        ("5.1 ft", Dimension.LENGTH, 5.1 * 12.0 * IN),
        ("-25 mm", Dimension.LENGTH, -0.025),
        ("\N{MINUS SIGN}25 mm", Dimension.LENGTH, -0.025),
        ("1130 lb", Dimension.MASS, 1130.0 * LB),
        ("0.4 g", Dimension.ACCELERATION, 0.4 * G),
        ("3.9 m/s²", Dimension.ACCELERATION, 3.9),
        ("3.9 m/s^2", Dimension.ACCELERATION, 3.9),
        ("5.2 deg/g", Dimension.ROLL_GRADIENT, 5.2 * DEG / G),
        ("0.0194 rad/(m/s^2)", Dimension.ROLL_GRADIENT, 0.0194),
        ("685 lbf/in", Dimension.RATE, 685.0 * LBF / IN),
        ("685 lb/in", Dimension.RATE, 685.0 * LBF / IN),
        ("36 N/mm", Dimension.RATE, 36e3),
        ("9 kN/mm", Dimension.RATE, 9e6),
        ("420 N*m/deg", Dimension.ROLL_STIFFNESS, 420.0 / DEG),
        ("420 N·m/deg", Dimension.ROLL_STIFFNESS, 420.0 / DEG),
        ("420 Nm/deg", Dimension.ROLL_STIFFNESS, 420.0 / DEG),
        ("3700 lb*in/deg", Dimension.ROLL_STIFFNESS, 3700.0 * LBF * IN / DEG),
        ("3700 lbf-in/deg", Dimension.ROLL_STIFFNESS, 3700.0 * LBF * IN / DEG),
        ("4000 N", Dimension.FORCE, 4000.0),
        ("1120 kg", Dimension.FORCE, 1120.0 * G),
        ("900 lb", Dimension.FORCE, 900.0 * LBF),
        ("800 MPa", Dimension.STRESS, 800e6),
        ("116 ksi", Dimension.STRESS, 116e3 * LBF / IN**2),
        ("116 lb/in²", Dimension.STRESS, 116.0 * LBF / IN**2),
        ("7850 kg/m³", Dimension.DENSITY, 7850.0),
        ("12 deg", Dimension.ANGLE, 12.0 * DEG),
        ("12°", Dimension.ANGLE, 12.0 * DEG),
        ("0.62", Dimension.RATIO, 0.62),
        ("1.5e3 mm", Dimension.LENGTH, 1.5),
        ("190 lbs", Dimension.MASS, 190.0 * LB),
        ("190 pounds", Dimension.MASS, 190.0 * LB),
        ("685 lbs/in", Dimension.RATE, 685.0 * LBF / IN),
        ("1 inch", Dimension.LENGTH, IN),
        ("61.5 inches", Dimension.LENGTH, 61.5 * IN),
        ("1 foot", Dimension.LENGTH, 12.0 * IN),
        ("5.1 feet", Dimension.LENGTH, 5.1 * 12.0 * IN),
        ("12 degrees", Dimension.ANGLE, 12.0 * DEG),
        ("420 N*m/degree", Dimension.ROLL_STIFFNESS, 420.0 / DEG),
        ("300 foot-pounds/degree", Dimension.ROLL_STIFFNESS, 300.0 * 12.0 * LBF * IN / DEG),
    ],
)
def test_value(text, dimension, value):
    assert parse(text, dimension).value == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "tolerance"),
    [
        ("1130 kg", 0.0),
        ("1130 kg ± 10 kg", 10.0),
        ("1130 kg ± 22 lb", 22.0 * LB),
        ("1130 kg ± 5 %", 56.5),
        ("1130 kg ± 5%", 56.5),
        ("1130 kg +/- 10 kg", 10.0),
        ("1130 kg +- 10 kg", 10.0),
    ],
)
def test_tolerance(text, tolerance):
    quantity = parse(text, Dimension.MASS)
    assert quantity.value == 1130.0
    assert quantity.tolerance == pytest.approx(tolerance, rel=1e-14)


def test_percentage_of_a_negative_value_is_positive():
    assert parse("-40 mm ± 5 %", Dimension.LENGTH) == Quantity(-0.04, 0.002)


@pytest.mark.parametrize(
    ("text", "dimension", "fragments"),
    [
        ("420 N*m", Dimension.ROLL_STIFFNESS, ['"420 N*m"', "roll stiffness", "N*m/deg"]),
        ("25,4 mm", Dimension.LENGTH, ["comma", "decimal point"]),
        ("1,130 kg", Dimension.MASS, ["comma"]),
        ("61 1/2 in", Dimension.LENGTH, ["fraction", "decimal"]),
        ("61-1/2 in", Dimension.LENGTH, ["fraction", "decimal"]),
        ("1/2 in", Dimension.LENGTH, ['"1/2 in"', "fraction", "decimal"]),
        ("1/mm", Dimension.LENGTH, ["nothing is calculated"]),
        ("10**9**9 mm", Dimension.LENGTH, ["nothing is calculated"]),
        ("2*3 mm", Dimension.LENGTH, ["nothing is calculated"]),
        ("1_0 mm", Dimension.LENGTH, ["not one plain number"]),
        ("1e308 N/mm", Dimension.RATE, ["too large"]),
        ("1e999 mm", Dimension.LENGTH, ["too large"]),
        ("5 mm ± 1e999 mm", Dimension.LENGTH, ["too large"]),
        ("", Dimension.LENGTH, ["empty"]),
        ("   ", Dimension.LENGTH, ["empty"]),
        ("nan mm", Dimension.LENGTH, ["no number"]),
        ("inf mm", Dimension.LENGTH, ["no number"]),
        ("mm", Dimension.LENGTH, ["no number"]),
        ("5 g", Dimension.MASS, ["not one of mass", "not a gram", "kg"]),
        ("12", Dimension.LENGTH, ["without a unit", '"1550 mm"']),
        ("12 %", Dimension.LENGTH, ["unit cannot be read"]),
        ("12 mm ± 3", Dimension.LENGTH, ["tolerance without a unit"]),
        ("12 mm ± -3 mm", Dimension.LENGTH, ["negative tolerance"]),
        ("12 mm ± 3 kg", Dimension.LENGTH, ["not one of length"]),
        ("12 mm ± 3 mm ± 1 mm", Dimension.LENGTH, ["more than one tolerance"]),
        ("12 mm ±", Dimension.LENGTH, ["no number"]),
        ("12 furlong", Dimension.LENGTH, ['unknown unit "furlong"', "ft"]),
        ("1.2 t", Dimension.MASS, ['unknown unit "t"', "kg"]),
        ("1.2 ton", Dimension.MASS, ['unknown unit "ton"', "kg", "lb"]),
        ("12 Kg", Dimension.MASS, ['unknown unit "Kg"', "kg"]),
        ("12 kg +- 3", Dimension.MASS, ["tolerance without a unit", "a unit or %"]),
        ("12 kg*0", Dimension.MASS, ["unit cannot be read"]),
        ("12 m^9^9^9", Dimension.LENGTH, ["unit cannot be read"]),
        ("12 m**2**4**4", Dimension.LENGTH, ["unit cannot be read"]),
        ("12 (((((m)))))", Dimension.LENGTH, ["unit cannot be read"]),
        ("12 mm; import os", Dimension.LENGTH, ["unit cannot be read"]),
        ("12 " + "m*" * 30 + "m", Dimension.LENGTH, ["unit cannot be read"]),
        ("9" * 5000 + " mm", Dimension.LENGTH, ["5003 characters"]),
        ("0.6 deg", Dimension.RATIO, ["a ratio has no unit"]),
        ("38 N/mm", Dimension.ROLL_STIFFNESS, ["not one of roll stiffness"]),
        ("\N{FULLWIDTH DIGIT ONE}2 mm", Dimension.LENGTH, ["no number"]),
        (12.5, Dimension.LENGTH, ["the number 12.5", "text with its unit"]),
        (True, Dimension.LENGTH, ["the word true"]),
    ],
)
def test_refused(text, dimension, fragments):
    with pytest.raises(ValueError, match=r"^found") as caught:
        parse(text, dimension)
    message = str(caught.value)
    assert "\n" not in message
    for fragment in fragments:
        assert fragment in message


def test_refusal_shows_the_example_that_it_is_given():
    with pytest.raises(ValueError, match=r'found "60", without a unit; write it like "60 mm"$'):
        parse("60", Dimension.LENGTH, '"60 mm"')


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=40), st.sampled_from(list(Dimension)))
def test_any_text_is_a_finite_quantity_or_refused(text, dimension):
    try:
        quantity = parse(text, dimension)
    except ValueError:
        return
    assert math.isfinite(quantity.value)
    assert quantity.tolerance >= 0.0


@settings(max_examples=200, deadline=None)
@given(
    st.floats(-1e6, 1e6),
    st.sampled_from(
        [
            ("mm", Dimension.LENGTH),
            ("in", Dimension.LENGTH),
            ("lb", Dimension.MASS),
            ("lbf/in", Dimension.RATE),
            ("deg/g", Dimension.ROLL_GRADIENT),
            ("lbf*in/deg", Dimension.ROLL_STIFFNESS),
            ("ksi", Dimension.STRESS),
        ]
    ),
)
def test_to_unit_undoes_from_unit(value, unit):
    name, dimension = unit
    assert to_unit(from_unit(value, name, dimension), name) == pytest.approx(value, rel=1e-13)


def test_to_unit_refuses_an_unknown_unit():
    with pytest.raises(ValueError, match="unknown unit"):
        to_unit(1.0, "furlong")
