"""H. Heisler, Advanced Vehicle Technology, §10.3 (SEEN text, attribution from memory).

With the front twice as stiff in roll as the rear, the front takes 2/3 of the roll couple.
"""

import pytest

from rollsim.equilibrium import settle, solve_at_field
from rollsim.roll import TURN, transfer_parts
from tests.builders import rigid_vehicle


def test_front_takes_two_thirds():
    model = rigid_vehicle(
        sprung_mass=1500.0,
        cg_height=0.6,
        rear_share=0.45,
        unsprung_mass=(100.0, 100.0),
        unsprung_cg_height=(0.3, 0.3),
        track=(1.5, 1.5),
        roll_centre_height=(0.1, 0.1),
        roll_stiffness=(40e3, 20e3),
    )
    model, settled = settle(model, TURN)
    start = settled.x.copy()
    start[0] = 4.0
    elastic = transfer_parts(model, solve_at_field(model, start, TURN).x)[0, :, 0]
    assert elastic[0] / elastic.sum() == pytest.approx(2.0 / 3.0, rel=1e-6)
