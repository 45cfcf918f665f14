"""Travel left where a stop moves less than the wheel: shares are counted at the wheel, by hand."""

from dataclasses import replace

import pytest

from rollsim.spring_check import Verdict, spring_checks
from rollsim.spring_check.travel import travel_ends
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Stop, Suspension, Tyre
from tests.builders import ROOT, job

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
NO_COILS = float("nan")


def axle(bump: Stop | None, rebound: Stop | None) -> Axle:
    sizes = (1.56, 1.56, 105.0, 0.37, 0.085, 1.0)
    spring, tyre = LinearSpring(38e3), Tyre(250e3)
    return Axle(Suspension.INDEPENDENT, *sizes, spring, tyre, bump_stop=bump, rebound_limit=rebound)


def stop(gap: float, motion_ratio: float) -> Stop:
    return Stop(gap, 150e3, 1.56, motion_ratio)


def test_both_stops_are_taken_to_the_wheel():
    # 60 mm at a bump stop that moves 0.7 mm a millimetre of wheel travel, 48 mm at a droop limit
    # that moves 0.8; both wheels 20 mm up. At the stops 60 − 14 = 46 and 48 + 16 = 64 mm are left,
    # at the wheel 46 / 0.7 = 65.71 and 64 / 0.8 = 80 mm, of 145.71 mm.
    found = travel_ends(axle(stop(0.060, 0.7), stop(0.048, 0.8)), (-0.020, -0.020), NO_COILS)
    assert (found.bump, found.rebound) == pytest.approx((0.046, 0.064))
    assert found.bump_share == pytest.approx(0.4510, abs=5e-5)
    assert found.rebound_share == pytest.approx(0.5490, abs=5e-5)


def test_a_stop_without_another_end_counts_its_own_travel():
    # 46 of 60 mm, and 64 of 48 mm: the share does not hang on where they are measured.
    bump = travel_ends(axle(stop(0.060, 0.7), None), (-0.020, -0.020), NO_COILS)
    rebound = travel_ends(axle(None, stop(0.048, 0.8)), (-0.020, -0.020), NO_COILS)
    assert bump.bump_share == pytest.approx(46.0 / 60.0)
    assert rebound.rebound_share == pytest.approx(64.0 / 48.0)


def test_each_side_is_held_against_its_own_other_end():
    # In a lean of 10 mm either way each end is that of the side with less of it.
    found = travel_ends(axle(stop(0.060, 0.7), stop(0.048, 0.8)), (-0.010, -0.030), NO_COILS)
    right = ((0.060 - 0.7 * 0.030) / 0.7, (0.048 + 0.8 * 0.030) / 0.8)
    left = ((0.060 - 0.7 * 0.010) / 0.7, (0.048 + 0.8 * 0.010) / 0.8)
    assert found.bump_share == pytest.approx(right[0] / sum(right))
    assert found.rebound_share == pytest.approx(left[1] / sum(left))


def test_the_verdict_of_a_demo_does_not_hang_on_where_its_stop_is_measured():
    """The front stops of the touring demo measured on the arm: the same travel, the same words."""
    plain = job(CREW_CAB)
    front = plain.vehicle.front
    at_arm = {
        name: Stop(0.7 * own.gap, own.rate / 0.7**2, own.base, 0.7)
        for name, own in (("bump_stop", front.bump_stop), ("rebound_limit", front.rebound_limit))
    }
    moved = replace(plain, vehicle=replace(plain.vehicle, front=replace(front, **at_arm)))
    for one, other in zip(spring_checks(plain), spring_checks(moved), strict=True):
        assert other.front.verdict is one.front.verdict is Verdict.SUITED
        for share in ("bump_share", "rebound_share"):
            assert getattr(other.front, share) == pytest.approx(getattr(one.front, share), rel=1e-9)
