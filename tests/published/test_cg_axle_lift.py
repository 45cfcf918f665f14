"""Lifting one axle: ISO 10392 and course notes (SEEN), and a note on the lifted wheelbase (SEEN).

z = r + L (F' − F)/(W tan θ), F on the axle left on the ground. A wheelbase of 110 in with one
axle 18 in up stands on a base of 108.5 in; 18/110 for the tangent would be off.
"""

import math

import pytest

from rollsim.weighing import AxleLift, Lift, RaisedAxle, cg_height_of_lifts, lift_tangent

INCH = 0.0254


def test_horizontal_base_of_110_inches_at_18():
    base = 18.0 * INCH / lift_tangent(110.0 * INCH, 18.0 * INCH) / INCH
    assert base == pytest.approx(108.5, abs=0.05)  # printed 108.5 in


def test_the_wheelbase_as_base_is_1_4_per_cent_off():
    ratio = lift_tangent(110.0 * INCH, 18.0 * INCH) / (18.0 / 110.0)
    # Not printed: recomputed from the printed 110 and 108.5 in.
    assert 100.0 * (ratio - 1.0) == pytest.approx(1.4, abs=0.05)


@pytest.mark.parametrize("raised", RaisedAxle)
def test_equation_with_equal_radii(raised):
    front, rear, wheelbase, radius, lift = 1130.0, 860.0, 3.085, 0.37, 0.9
    on_scales = front if raised is RaisedAxle.REAR else rear
    lifted = on_scales + 62.0
    tangent = math.tan(math.asin(lift / wheelbase))
    printed = radius + wheelbase * (lifted - on_scales) / ((front + rear) * tangent)
    test = AxleLift(
        wheelbase,
        front,
        rear,
        front_radius=radius,
        rear_radius=radius,
        lifts=(Lift(lift, lifted),),
        raised=raised,
    )
    assert cg_height_of_lifts(test) == pytest.approx(printed, rel=1e-12)
