"""A. Staniforth, Race and Rally Car Source Book: bar roll rate, as quoted.

Roll rate [lb·in/deg] = 1e4 T² K² (D⁴ − d⁴) / [R² (L/2)], inches: T track, K link travel per wheel
travel, R arm, L bar. Torsion alone, with a rounded constant.
"""

import math

import pytest

from rollsim.bar import Section, Steel, link_end_rate, roll_stiffness_independent, straight_u

INCH = 0.0254
POUND_FORCE = 4.4482216152605
PSI = POUND_FORCE / INCH**2

# A Young's modulus beyond all others leaves torsion alone.
TORSION_ONLY = Steel(
    "torsion only", strengths=((1.0, 1.0),), youngs_modulus=1e30, shear_modulus=11.5e6 * PSI
)


@pytest.mark.parametrize(
    ("outer", "wall", "arm", "length", "track", "ratio"),
    [(0.875, None, 10.0, 36.0, 60.0, 0.6), (1.25, 0.120, 8.5, 40.0, 56.0, 0.85)],
)
def test_roll_rate_in_pounds_and_inches(outer, wall, arm, length, track, ratio):
    section = Section(outer * INCH, wall and wall * INCH)
    shape = straight_u(centre_length=length * INCH, lever=arm * INCH, splay=0.0)
    rate = link_end_rate(shape, length * INCH, section.second_moment, steel=TORSION_ONLY)
    stiffness = roll_stiffness_independent(rate, installation_ratio=ratio, track=track * INCH)
    bore = outer - 2.0 * (wall or outer / 2.0)
    quoted = 1e4 * track**2 * ratio**2 * (outer**4 - bore**4) / (arm**2 * length / 2.0)
    ours = stiffness / (POUND_FORCE * INCH) * math.radians(1.0)
    # 1.5 %: the 1e4 is rounded from 9853, which G = 11.5e6 psi gives.
    assert quoted == pytest.approx(ours, rel=0.015)
