"""SAE HS-796 / AE-21, stabiliser bar deflection (from memory).

One end's deflection, in the reading that a frame analysis confirms:
P/(3EI) [l1³ − a³ + (L/2)(a + b)² + 4 l2² (b + c)], L = 2 (a + b + c); a: link end to bend,
b: bend to bush, c: half the bush spacing, all across the vehicle; l1: arm; l2: lever.
Its 4 stands for 1.5 E/G (it takes G = 0.375 E, the first shear modulus below).
"""

import math

import pytest

from rollsim.bar import Section, Steel, link_end_rate, straight_u

SECTION = Section(0.024, None)


def sae_rate(*, a: float, b: float, c: float, lever: float, steel: Steel) -> float:
    arm = math.hypot(a, lever)
    length = 2.0 * (a + b + c)
    torsion_factor = 1.5 * steel.youngs_modulus / steel.shear_modulus
    bracket = arm**3 - a**3 + length / 2.0 * (a + b) ** 2 + torsion_factor * lever**2 * (b + c)
    return 3.0 * steel.youngs_modulus * SECTION.second_moment / bracket


@pytest.mark.parametrize("shear_modulus", [0.375 * 206e9, 79.3e9])
@pytest.mark.parametrize("splay", [0.0, 12.0, 35.0, -8.0])
def test_rate_at_one_end(splay, shear_modulus):
    steel = Steel("test", strengths=((1.0, 1.0),), shear_modulus=shear_modulus)
    lever, centre, spacing = 0.26, 0.94, 0.82
    shape = straight_u(centre_length=centre, lever=lever, splay=math.radians(splay))
    expected = sae_rate(
        a=lever * math.tan(math.radians(splay)),
        b=(centre - spacing) / 2.0,
        c=spacing / 2.0,
        lever=lever,
        steel=steel,
    )
    # Both are exact solutions of the same beam, so they agree to rounding.
    assert link_end_rate(shape, spacing, SECTION.second_moment, steel=steel) == pytest.approx(
        expected, rel=1e-12
    )
