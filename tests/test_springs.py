"""Springs: the force is the integral of the rate, anchored where the vehicle was weighed."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rollsim.springs import LinearSpring, StatedLoad, TableSpring

LOAD = 4000.0
TABLE = TableSpring((0.0, 0.05, 0.10, 0.16), (1000.0, 2500.0, 4500.0, 9000.0))
SPRINGS = [
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
    for spring in (LinearSpring(36e3), LinearSpring(36e3, -0.02, 60e3), TABLE):
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
