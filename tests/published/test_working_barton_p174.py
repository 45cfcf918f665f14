"""The hand working on D. Barton, J. Fieldhouse, Automotive Chassis Engineering, Springer 2018,
ch. 3, p. 174, Eq. (3.18) (SEEN). Inputs as in `test_roll_barton_p174`: rigid tyres, g = 9.81.
"""

import math

import pytest

from rollsim.teaching.board import Part
from rollsim.teaching.formula import steps
from rollsim.teaching.hand import HandAxle, HandNumbers, solve
from rollsim.teaching.slips import Slip, figures

G = 9.81
FRONT_STIFFNESS_SHARE = 0.6987  # not printed: fitted to the elastic parts, 1556 N of 2227 N


def axle(*, share, stiffness, unsprung, unsprung_height, roll_centre):
    """The book gives one roll stiffness: it stands here as auxiliary stiffness."""
    return HandAxle(
        solid=False,
        track=1.46,
        spring_base=1.46,
        spring_rate=0.0,
        bar_stiffness=0.0,
        auxiliary_stiffness=stiffness,
        tyre_rate=math.inf,
        roll_centre_height=roll_centre,
        unsprung_mass=unsprung,
        unsprung_cg_height=unsprung_height,
        share=share,
    )


NUMBERS = HandNumbers(
    1280.0,
    0.365 + 0.54 * 0.07 + 0.46 * 0.32,
    axle(
        share=0.54,
        stiffness=28650.0 * FRONT_STIFFNESS_SHARE,
        unsprung=140.0,
        unsprung_height=0.280,
        roll_centre=0.07,
    ),
    axle(
        share=0.46,
        stiffness=28650.0 * (1.0 - FRONT_STIFFNESS_SHARE),
        unsprung=180.0,
        unsprung_height=0.300,
        roll_centre=0.32,
    ),
    gravity=G,
)
FOUND = solve(NUMBERS, 0.6 * G)


def test_roll_gradient():
    assert FOUND.roll_gradient == pytest.approx(0.0194, abs=0.00005)  # printed: rad/(m/s²)
    assert math.degrees(FOUND.roll_gradient) * G == pytest.approx(10.9, abs=0.05)  # printed


def test_the_gravity_term_left_out_is_recognised():
    wrong = figures(NUMBERS)[Slip.GRAVITY_LEFT_OUT]
    # Not printed: 1280 × 0.365 / 28 650 rad/(m/s²), recomputed from the printed inputs.
    assert math.degrees(wrong) * G == pytest.approx(9.17, abs=0.005)


def test_lean():
    # Not printed: recomputed from the printed inputs, k φ = m d (a cos φ + g sin φ).
    assert math.degrees(FOUND.lean) == pytest.approx(6.50, abs=0.005)


@pytest.mark.parametrize(
    ("part", "front", "rear"),
    [("geometric", 195.0, 760.0), ("unsprung", 158.0, 218.0)],
)
def test_load_transfer_parts(part, front, rear):
    assert getattr(FOUND.front, part) == pytest.approx(front, abs=0.5)  # printed
    assert getattr(FOUND.rear, part) == pytest.approx(rear, abs=0.5)  # printed


def test_elastic_sum():
    # Printed: 1556 + 671 N; how it is shared was fitted, so only the sum is held.
    assert FOUND.front.elastic + FOUND.rear.elastic == pytest.approx(2227.0, abs=0.5)


def test_the_board_shows_the_printed_figures():
    board = {(s.part, s.iso): s.result for s in steps(NUMBERS, FOUND)}
    assert board[Part.MOMENT, "height of the sprung CG above the roll axis"] == "0.365 m"
    assert board[Part.TRANSFER, "front, geometric"] == "195 N"
    assert board[Part.TRANSFER, "rear, geometric"] == "760 N"
    assert board[Part.ANGLE, "roll angle"].split(" ≈ ")[0] == "6.50 deg"  # recomputed, as above
