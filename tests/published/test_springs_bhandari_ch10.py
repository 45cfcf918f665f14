"""V. B. Bhandari, *Design of Machine Elements*, ch. 10, as transcribed by FOSSEE (SEEN)."""

import pytest

from rollsim.springs import HelicalSpring, Leaf, Leaves


@pytest.fixture
def example_10_2():
    """Ex. 10.2: 2.5 to 3.5 kN in 5 mm, index 5; wire 11 mm, coil 55 mm, 5 active coils."""
    return HelicalSpring(
        0.011, 0.055, 5.0, free_length=0.1, block_length=0.06, shear_modulus=81370e6
    )


def test_rate_of_example_10_2(example_10_2):
    # Printed: actual rate 179.014 N/mm.
    assert example_10_2.rate / 1e3 == pytest.approx(179.014, abs=0.0005)


@pytest.fixture
def example_10_24():
    """Ex. 10.24: 3 full-length and 15 graduated leaves, span 1 m, E 207 GPa, width 9 thicknesses.

    The printed thickness, 11.556 mm, is rounded to 12 mm before nip and pre-load are worked out.
    """

    def pack(thickness: float) -> Leaves:
        leaf = Leaf(9.0 * thickness, thickness)
        return Leaves(1.0, (leaf,) * 3, (leaf,) * 15, youngs_modulus=207e9)

    return pack


FORCE = 2.0 * 37.5e3  # 37.5 kN at each eye


def test_thickness_of_example_10_24(example_10_24):
    # Printed: 450 MPa at a thickness of 11.556 mm. The stress goes with its cube, so that half
    # the last digit of the thickness is 0.06 MPa.
    pack = example_10_24(0.011556)
    bolt = pack.nip_preload(pack.equal_stress_nip(FORCE))
    for stress in pack.stress(FORCE, bolt):
        assert float(stress) / 1e6 == pytest.approx(450.0, abs=0.06)


def test_nip_of_example_10_24(example_10_24):
    # Printed: nip 13.4822 mm.
    assert example_10_24(0.012).equal_stress_nip(FORCE) * 1e3 == pytest.approx(13.4822, abs=5e-5)


def test_preload_of_example_10_24(example_10_24):
    # Printed: pre-load 4807.69 N.
    pack = example_10_24(0.012)
    assert pack.nip_preload(pack.equal_stress_nip(FORCE)) == pytest.approx(4807.69, abs=0.005)


@pytest.mark.parametrize(("full", "graduated"), [(3, 15), (1, 4), (2, 0), (5, 0)])
def test_stiffening_factor(full, graduated):
    # Semi-elliptic rate 32 E ΣI SF / l³ with SF = (3 n_f + 2 n_g)/(2 n): all full length 1.5.
    leaf = Leaf(0.06, 0.008)
    pack = Leaves(1.1, (leaf,) * full, (leaf,) * graduated, youngs_modulus=207e9)
    count = full + graduated
    factor = (3 * full + 2 * graduated) / (2 * count)
    assert factor == 1.5 or graduated
    rate = 32 * 207e9 * count * leaf.second_moment * factor / 1.1**3
    assert pack.rate == pytest.approx(rate, rel=1e-12)
