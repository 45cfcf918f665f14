"""Springs: the force is the integral of the rate, anchored where the vehicle was weighed."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rollsim.springs import (
    FrictionLoop,
    HelicalSpring,
    Helper,
    Leaf,
    LeafPack,
    Leaves,
    LinearSpring,
    StatedLoad,
    TableSpring,
)
from rollsim.springs.helical import BIND_RATE
from rollsim.springs.leaf_pack import CONTACT_HINGES

LOAD = 4000.0
TABLE = TableSpring((0.0, 0.05, 0.10, 0.16), (1000.0, 2500.0, 4500.0, 9000.0))
COIL = HelicalSpring(
    0.0145, 0.12, 7.5, free_length=0.4, block_length=0.14, shear_modulus=79.3e9, motion_ratio=0.62
)
LEAF, THICK = Leaf(0.06, 0.008), Leaf(0.07, 0.012)
MAIN = Leaves(1.25, (LEAF, Leaf(0.06, 0.007)), (LEAF,) * 3, inactive_length=0.09)
HELPER = Helper(Leaves(0.9, (THICK,), inactive_length=0.1), 0.05, 0.012)
PACK = LeafPack(MAIN, HELPER)
SPRINGS = [
    pytest.param(COIL, id="coil"),
    pytest.param(replace(COIL, stated_load=StatedLoad(4500.0, 0.02)), id="coil, own load"),
    pytest.param(PACK, id="leaf pack"),
    pytest.param(replace(PACK, motion_ratio=0.8), id="leaf pack on an arm"),
    pytest.param(replace(PACK, helper=replace(HELPER, start=-0.03)), id="helper at work"),
    pytest.param(replace(PACK, helper=replace(HELPER, contact_travel=0.0)), id="sharp contact"),
    pytest.param(replace(PACK, stated_load=StatedLoad(4400.0, 0.03)), id="leaf pack, own load"),
    pytest.param(
        TableSpring((0.0, 0.1, 0.2), (1000.0, 4000.0, 9000.0), half_widths=(90.0, 200.0, 300.0)),
        id="table of two branches",
    ),
    pytest.param(LinearSpring(36e3), id="linear"),
    pytest.param(LinearSpring(36e3, 0.055, 60e3), id="second stage idle"),
    pytest.param(LinearSpring(36e3, -0.02, 60e3), id="second stage at work"),
    pytest.param(LinearSpring(44e3, stated_load=StatedLoad(4400.0, 0.01)), id="own load"),
    pytest.param(TABLE, id="table"),
]
travel = st.floats(-0.2, 0.2)


@pytest.mark.parametrize("spring", SPRINGS)
@given(low=travel, high=travel)
def test_force_is_the_integral_of_the_rate(spring, low, high):
    curve = spring.curve(LOAD)
    knots = [x for x in curve.starts if min(low, high) < x < max(low, high)]
    ends = np.array(sorted([low, high, *knots]))
    middle = 0.5 * (ends[1:] + ends[:-1])
    area = float((curve.tangent_rate(middle) * np.diff(ends)).sum())
    rise = float(curve.force(max(low, high)) - curve.force(min(low, high)))
    assert rise == pytest.approx(area, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("spring", SPRINGS)
def test_shape_is_kept(spring):
    curve = spring.curve(LOAD)
    for shape in ((), (3,), (2, 2, 5)):
        assert curve.force(np.zeros(shape)).shape == shape
        assert curve.tangent_rate(np.zeros(shape)).shape == shape


def test_carries_the_as_weighed_load_at_as_weighed_height():
    at_work = replace(PACK, helper=replace(HELPER, start=-0.03))
    for spring in (LinearSpring(36e3), LinearSpring(36e3, -0.02, 60e3), TABLE, COIL, PACK, at_work):
        assert float(spring.curve(LOAD).force(0.0)) == pytest.approx(LOAD, abs=1e-9)


def test_second_stage_adds_its_rate_beyond_its_start():
    curve = LinearSpring(36e3, 0.055, 60e3).curve(LOAD)
    # By hand: 4000 + 36e3 × 0.08 + 60e3 × (0.08 − 0.055) = 8380 N.
    assert float(curve.force(0.08)) == pytest.approx(8380.0)
    assert float(curve.tangent_rate(0.08)) == 96e3


def test_second_stage_at_work_as_weighed_leaves_on_extension():
    curve = LinearSpring(36e3, -0.02, 60e3).curve(LOAD)
    # By hand: at 30 mm extension, 4000 − 36e3 × 0.03 − 60e3 × 0.02 = 1720 N.
    assert float(curve.force(-0.03)) == pytest.approx(1720.0)


def test_stated_load_at_its_height():
    curve = LinearSpring(44e3, 0.05, 60e3, StatedLoad(4400.0, 0.01)).curve(LOAD)
    assert float(curve.force(-0.01)) == pytest.approx(4400.0)
    assert float(curve.force(0.0)) == pytest.approx(4840.0)


def test_table_is_anchored_where_its_force_is_the_load():
    curve = TABLE.curve(LOAD)
    # 4000 N lies at 0.0875 m of the table: its points come back from there.
    for x, force in zip(TABLE.travel, TABLE.force, strict=True):
        assert float(curve.force(x - 0.0875)) == pytest.approx(force, abs=1e-6)
    assert float(curve.tangent_rate(0.2)) == pytest.approx(75e3)  # the last slope carried on


@pytest.mark.parametrize("load", [999.0, 9001.0])
def test_table_that_does_not_reach_the_load(load):
    with pytest.raises(ValueError, match=f"1000 N to 9000 N, but the spring carries {load:.0f} N"):
        TABLE.curve(load)


def test_coil_by_hand():
    # G d⁴/(8 D³ n): 79 300 × 14.5⁴ / (8 × 120³ × 7.5) = 33.810 N/mm; × 0.62² = 12.997 N/mm.
    assert COIL.rate / 1e3 == pytest.approx(33.810, abs=5e-4)
    curve = COIL.curve(LOAD)
    assert float(curve.tangent_rate(0.0)) / 1e3 == pytest.approx(12.997, abs=5e-4)


def test_coils_close_after_what_is_left_of_the_free_length():
    # 4000 N at the wheel is 4000/0.62 = 6451.6 N at the spring, 190.8 mm of its 260 mm.
    bind = COIL.travel_to_bind(LOAD)
    assert bind * 0.62 == pytest.approx(0.26 - LOAD / 0.62 / COIL.rate)
    curve = COIL.curve(LOAD)
    assert float(curve.force(bind)) / 0.62 == pytest.approx(COIL.closing_force)
    ends = curve.tangent_rate(np.array([bind - 1e-6, bind + 1e-6])) / 0.62**2
    assert ends == pytest.approx([COIL.rate, COIL.rate + BIND_RATE])


def test_own_load_moves_the_travel_to_bind():
    # 500 N more at 20 mm above as weighed: bound earlier by 500/rate, and by the 20 mm.
    wheel_rate = COIL.rate * 0.62**2
    own = replace(COIL, stated_load=StatedLoad(LOAD + 500.0, 0.02))
    less = COIL.travel_to_bind(LOAD) - own.travel_to_bind(LOAD)
    assert less == pytest.approx(500.0 / wheel_rate + 0.02)
    assert float(own.curve(LOAD).force(-0.02)) == pytest.approx(LOAD + 500.0)


@pytest.mark.parametrize("height", [-0.1, 0.0, 0.1])
def test_coils_closed_as_weighed_still_carry_the_own_load_at_its_height(height):
    own = replace(COIL, stated_load=StatedLoad(5400.0, height))
    curve = own.curve(LOAD)
    assert float(curve.force(-height)) == pytest.approx(5400.0)
    assert float(curve.force(own.travel_to_bind(LOAD))) == pytest.approx(COIL.closing_force * 0.62)


def test_load_that_closes_the_coils_is_refused():
    # 33 810 N/m × 0.26 m = 8791 N at the spring.
    with pytest.raises(ValueError, match="coils close at 8791 N, but the spring carries 9677 N"):
        COIL.curve(6000.0)


def test_coil_stress_by_hand():
    # w = 120/14.5; Wahl (4w − 1)/(4w − 4) + 0.615/w = 1.17738; F = 3100/0.62 = 5000 N:
    # 1.17738 × 8 × 5000 × 120 / (π 14.5³) = 590.1 MPa.
    assert float(COIL.stress(3100.0)) / 1e6 == pytest.approx(590.1, abs=0.05)
    closed = float(COIL.stress(COIL.closing_force * 0.62))
    assert float(COIL.stress(1e6)) == closed > float(COIL.stress(3100.0))


def test_leaf_pack_rate_by_hand():
    # I: 60 × 8³/12 = 2560 and 60 × 7³/12 = 1715 mm⁴; 3 (2560 + 1715) + 2 × 3 × 2560 = 28 185;
    # 2 × 206 000 × 28 185 / 580³ = 59.516 N/mm.
    assert MAIN.rate / 1e3 == pytest.approx(59.516, abs=5e-4)


def test_helper_by_hand():
    # I = 70 × 12³/12 = 10 080 mm⁴; 2 × 206 000 × 3 × 10 080 / 400³ = 194.67 N/mm. Linear contact
    # over 12 mm is half its rate over that travel: at 80 mm it carries 194.67 × (30 − 6) mm.
    state = PACK.at(np.array([0.02, 0.05, 0.08]), LOAD)
    assert HELPER.leaves.rate / 1e3 == pytest.approx(194.67, abs=5e-3)
    assert state.helper_load == pytest.approx([0.0, 0.0, 194.67 * 24.0], rel=1e-4)
    assert state.helper_share == pytest.approx([0.0, 0.0, 1.0])
    assert state.rate == pytest.approx(MAIN.rate + state.helper_share * HELPER.leaves.rate)
    # σ = (F/2) L t/(2 I) with t/(2 I) = 12/20 160 per mm³.
    assert state.helper_stress[2] / 1e6 == pytest.approx(
        194.67 * 12.0 * 400.0 * 12.0 / 20160.0, rel=1e-4
    )


def test_smoothed_contact_follows_the_parabola():
    start, travel, rate = HELPER.start, HELPER.contact_travel, HELPER.leaves.rate
    x = np.linspace(start - travel, start + 2.0 * travel, 400)
    into = np.clip(x - start, 0.0, travel)
    exact = rate * (0.5 * into**2 / travel + np.maximum(x - start - travel, 0.0))
    off = np.abs(PACK.at(x, LOAD).helper_load - exact)
    bound = rate * travel / (8.0 * CONTACT_HINGES**2)
    assert 0.9 * bound < off.max() <= bound * (1.0 + 1e-9)
    whole = start + travel * np.arange(CONTACT_HINGES + 1) / CONTACT_HINGES
    parts = rate * 0.5 * (whole - start) ** 2 / travel
    assert PACK.at(whole, LOAD).helper_load == pytest.approx(parts, abs=1e-9)


@pytest.mark.parametrize("ratio", [1.0, 0.8])
@given(compression=travel)
def test_stages_carry_together_what_the_curve_gives(ratio, compression):
    pack = replace(PACK, motion_ratio=ratio)
    state = pack.at(np.array(compression), LOAD)
    force = float(pack.curve(LOAD).force(compression))
    assert (state.main_load + state.helper_load) * ratio == pytest.approx(force, abs=1e-6)
    tangent = float(pack.curve(LOAD).tangent_rate(compression))
    assert state.rate * ratio**2 == pytest.approx(tangent)


def test_leaves_of_unlike_thickness_carry_the_whole_moment():
    # Every leaf bends alike at the seat, so stress goes with thickness: the moments add up.
    full = (Leaf(0.06, 0.010), Leaf(0.05, 0.006))
    leaves = Leaves(1.2, full, (Leaf(0.06, 0.008), LEAF), inactive_length=0.1)
    top, top_graduated = (float(s) for s in leaves.stress(9000.0))
    moment = sum(
        stress * leaf.thickness / thickest * leaf.width * leaf.thickness**2 / 6.0
        for stress, kind in ((top, leaves.full_length), (top_graduated, leaves.graduated))
        for thickest in [max(leaf.thickness for leaf in kind)]
        for leaf in kind
    )
    assert moment == pytest.approx(4500.0 * leaves.half_length)


def test_nip_moves_stress_and_leaves_the_rate_alone():
    nipped = replace(PACK, nip=0.003)
    plain, with_nip = PACK.at(0.0, LOAD), nipped.at(0.0, LOAD)
    assert with_nip.rate == plain.rate
    assert with_nip.full_length_stress < plain.full_length_stress
    assert with_nip.graduated_stress > plain.graduated_stress
    # With nip and no load the bolt bends both kinds against each other: the moments cancel.
    full, graduated = MAIN.stress(0.0, MAIN.nip_preload(0.003))
    section = [
        sum(leaf.second_moment for leaf in kind) for kind in (MAIN.full_length, MAIN.graduated)
    ]
    assert full * section[0] / 0.008 == pytest.approx(-graduated * section[1] / 0.008)


def test_nip_of_leaves_without_graduated_ones_is_nothing():
    only = Leaves(1.0, (LEAF,))
    assert only.nip_preload(0.01) == 0.0
    assert [float(s) for s in only.stress(5000.0, 700.0)] == [float(only.stress(5000.0)[0]), 0.0]


def test_twist_of_one_leaf_is_torsion_of_two_halves():
    only = Leaves(1.25, (LEAF,), inactive_length=0.09)
    constant = 0.06 * 0.008**3 / 3.0 * (1.0 - 0.63 * 8.0 / 60.0)
    # Two springs, two halves each, G J/L apiece.
    assert only.twist_stiffness(79.3e9) == pytest.approx(4.0 * 79.3e9 * constant / 0.58)


def test_twist_of_graduated_leaves_is_the_integral_along_them():
    full = sum(leaf.torsion_constant for leaf in MAIN.full_length)
    graduated = sum(leaf.torsion_constant for leaf in MAIN.graduated)
    x = (np.arange(20000) + 0.5) / 20000
    turn = float(np.mean(1.0 / (79.3e9 * (full + graduated * (1.0 - x))))) * MAIN.half_length
    assert MAIN.twist_stiffness(79.3e9) == pytest.approx(4.0 / turn, rel=1e-6)


def test_friction_by_fraction_by_width_and_by_table():
    force = np.array([0.0, 1000.0, -4000.0])
    loop = FrictionLoop(fraction=0.07, half_width=20.0)
    for spring in (
        LinearSpring(36e3, loop=loop),
        replace(COIL, loop=loop),
        replace(PACK, loop=loop),
    ):
        assert spring.friction(force) == pytest.approx([20.0, 90.0, 300.0])
    both = replace(TABLE, half_widths=(50.0, 100.0, 160.0, 300.0))
    assert both.friction(np.array([1000.0, 3500.0, 20000.0])) == pytest.approx([50.0, 130.0, 300.0])
    for spring in (LinearSpring(36e3), TABLE, COIL, PACK):
        assert not spring.friction(force).any()


def test_thin_strip_constant():
    assert Leaf(0.06, 0.006).torsion_constant == pytest.approx(0.06 * 0.006**3 / 3 * 0.937)
    assert math.isclose(Leaf(0.06, 0.006).second_moment, 1.08e-9)
