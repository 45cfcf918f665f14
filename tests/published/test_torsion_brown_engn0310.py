"""Brown University, ENGN0310 course notes, Torsion, sample problems SP1 and SP3.

The bar's centre section, loaded by a lever of 1 m at sharp corners and held by bushes at those
corners, is in pure torsion: its twist is the torsional travel of the end over the lever.
"""

import pytest

from rollsim.bar import Section, Steel, straight_u, unit_load_integrals

TORQUE = 250.0  # N·m
STEEL = Steel("as printed", strengths=((1.0, 1.0),), shear_modulus=77e9)


def twist(section: Section, length: float) -> float:
    lever = 1.0
    shape = straight_u(centre_length=2.0 * length, lever=lever, splay=0.0)
    _, torsion = unit_load_integrals(shape, 2.0 * length)
    polar = 2.0 * section.second_moment
    return TORQUE / lever * torsion / (STEEL.shear_modulus * polar) / lever


def test_sp1_solid_bar():
    solid = Section(0.030, None)
    # Printed: J = 7.95216e-8 m⁴
    assert 2.0 * solid.second_moment == pytest.approx(7.95216e-8, abs=0.5e-13)
    # Printed: 0.0163314 rad over 0.4 m
    assert twist(solid, 0.4) == pytest.approx(0.0163314, abs=0.5e-7)


def test_sp3_tube_and_two_solid_bars_in_series():
    parts = ((Section(0.060, 0.008), 0.6), (Section(0.060, None), 0.2), (Section(0.030, None), 0.4))
    # Printed: 0.0189958 rad
    total = sum(twist(section, length) for section, length in parts)
    assert total == pytest.approx(0.0189958, abs=0.5e-7)
