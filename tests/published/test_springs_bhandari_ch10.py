"""V. B. Bhandari, *Design of Machine Elements*, ch. 10, as transcribed by FOSSEE (SEEN)."""

from itertools import pairwise

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


def nip_by_the_book(thickness: float) -> float:
    """C = 2 P L³ / (E n b t³), P at one eye, L half the span: both kinds stressed alike."""
    return 2.0 * 37.5e3 * 0.5**3 / (207e9 * 18 * 9.0 * thickness * thickness**3)


def test_thickness_of_example_10_24(example_10_24):
    # Printed: 450 MPa at a thickness of 11.556 mm. The stress goes with its cube, so that half
    # the last digit of the thickness is 0.06 MPa.
    pack = example_10_24(0.011556)
    for stress in pack.stress(FORCE, pack.nip_preload(nip_by_the_book(0.011556))):
        assert float(stress) / 1e6 == pytest.approx(450.0, abs=0.06)


def test_nip_of_example_10_24(example_10_24):
    # Printed: nip 13.4822 mm. With it the stress is the same in both kinds of leaves.
    assert nip_by_the_book(0.012) * 1e3 == pytest.approx(13.4822, abs=5e-5)
    pack = example_10_24(0.012)
    full, graduated = pack.stress(FORCE, pack.nip_preload(13.4822e-3))
    assert float(full) == pytest.approx(float(graduated), rel=1e-5)


def test_preload_of_example_10_24(example_10_24):
    # Printed: pre-load 4807.69 N.
    pack = example_10_24(0.012)
    assert pack.nip_preload(nip_by_the_book(0.012)) == pytest.approx(4807.69, abs=0.005)


LEAF = Leaf(0.06, 0.008)
SPAN, YOUNGS_MODULUS = 1.1, 207e9


def rate_of(full: int, graduated: int) -> float:
    pack = Leaves(SPAN, (LEAF,) * full, (LEAF,) * graduated, youngs_modulus=YOUNGS_MODULUS)
    return pack.rate


def test_one_leaf_is_a_beam_on_two_supports():
    # Any textbook on strength of materials: f = P l³ / (48 E I), I = b t³ / 12.
    by_hand = 48.0 * YOUNGS_MODULUS * 0.06 * 0.008**3 / 12.0 / SPAN**3
    assert rate_of(1, 0) == pytest.approx(by_hand, rel=1e-12)
    assert rate_of(5, 0) == pytest.approx(5.0 * by_hand, rel=1e-12)


def test_stiffening_factor():
    # Printed: 1.5 where all leaves are full-length, 1.0 where all are graduated; the same rise in
    # rate for each leaf that is made full-length.
    steps = [rate_of(n, 4 - n) for n in (1, 2, 3, 4)]
    rises = [after - before for before, after in pairwise(steps)]
    assert rises == pytest.approx([rises[0]] * 3)
    none_full = steps[0] - rises[0]
    assert steps[3] / none_full == pytest.approx(1.5)
