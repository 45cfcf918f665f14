"""From empty and stock to as weighed, against closed forms."""

import pytest

from rollsim.mass import axle_rise, cg_as_weighed
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Load, Stop, Suspension, Tyre

G = 9.80665
K, TYRE = 40e3, 250e3
BUMP, REBOUND = Stop(0.08, 200e3, 1.0), Stop(0.09, 400e3, 1.0)
BOTH = ("bump_stop", "rebound_limit")


def axle(spring=None, *, bump=None, rebound=None, suspension=Suspension.SOLID_AXLE):
    return Axle(
        suspension,
        track=1.5,
        spring_base=1.0,
        unsprung_mass=150.0,
        unsprung_cg_height=0.37,
        roll_centre_height=0.4,
        roll_centre_travel_ratio=0.5,
        spring=spring or LinearSpring(K),
        tyre=Tyre(TYRE),
        bump_stop=bump,
        rebound_limit=rebound,
    )


def test_nothing_on_it_moves_nothing():
    found = axle_rise(axle(bump=BUMP, rebound=REBOUND), (900.0, 900.0), stock_gaps=BOTH)
    assert (found.body, found.axle, found.stop_force) == pytest.approx((0.0, 0.0, 0.0), abs=1e-15)


def test_a_linear_spring_and_a_tyre_give_by_load_over_rate():
    push = 0.5 * 200.0 * G
    found = axle_rise(axle(), (900.0, 1100.0), lift=0.05, tyre_radius=0.02)
    assert found.body == pytest.approx(0.05 - push / K, rel=1e-12)
    assert found.axle == pytest.approx(0.02 - push / TYRE, rel=1e-12)
    assert found.above_ground == pytest.approx(0.07 - push / K - push / TYRE, rel=1e-12)
    assert found.stop_force == 0.0


def test_a_bump_stop_on_its_stock_gap_takes_what_is_beyond_it():
    """800 kg more: the spring alone would go 98 mm."""
    push = 0.5 * 800.0 * G
    sag = (push + BUMP.rate * BUMP.gap) / (K + BUMP.rate)
    found = axle_rise(axle(bump=BUMP), (900.0, 1700.0), stock_gaps=BOTH)
    assert found.body == pytest.approx(-sag, rel=1e-12)
    assert found.stop_force == pytest.approx(BUMP.rate * (sag - BUMP.gap), rel=1e-12)
    assert K * sag + found.stop_force == pytest.approx(push, rel=1e-12)


def test_a_bump_stop_with_a_motion_ratio_works_by_its_square():
    push, stop = 0.5 * 800.0 * G, Stop(0.04, 800e3, 1.5, motion_ratio=0.5)
    own = axle(bump=stop, suspension=Suspension.INDEPENDENT)
    found = axle_rise(own, (900.0, 1700.0), stock_gaps=BOTH)
    sag = (push + 0.25 * stop.rate * 0.08) / (K + 0.25 * stop.rate)
    assert found.body == pytest.approx(-sag, rel=1e-12)


def test_a_lift_beyond_full_droop_pulls_on_the_limit():
    lift = 0.12
    rise = (K * lift + REBOUND.rate * REBOUND.gap) / (K + REBOUND.rate)
    found = axle_rise(axle(rebound=REBOUND), (900.0, 900.0), lift=lift, stock_gaps=BOTH)
    assert found.body == pytest.approx(rise, rel=1e-12)
    assert found.stop_force == pytest.approx(-REBOUND.rate * (rise - REBOUND.gap), rel=1e-12)


def test_a_measured_gap_counts_from_as_weighed():
    """Its stop is free then, and the stock vehicle, 100 mm lower, stands on it."""
    stop, lift = Stop(0.05, 200e3, 1.0), 0.10
    found = axle_rise(axle(bump=stop), (900.0, 900.0), lift=lift)
    rise = (K * lift + stop.rate * stop.gap) / (K + stop.rate)
    assert (found.body, found.stop_force) == (pytest.approx(rise, rel=1e-12), 0.0)


def test_a_second_stage_counts_from_the_lifted_height_as_weighed():
    """Already 20 mm in: unloading takes it out first."""
    spring, push = LinearSpring(K, stage_start=-0.02, stage_rate=60e3), 0.5 * 800.0 * G
    sag = 0.02 + (push - 100e3 * 0.02) / K
    found = axle_rise(axle(spring), (900.0, 1700.0), lift=0.03)
    assert found.body == pytest.approx(0.03 - sag, rel=1e-12)


def test_cg_rises_with_body_axles_and_loads():
    """First moments by hand: sprung 700 and 600 kg, unsprung 150 each, 100 kg at 2 m."""
    ends = (axle(), axle())
    masses = (850.0, 750.0)
    rises = tuple(
        axle_rise(end, (mass, mass + more), lift=lift)
        for end, mass, more, lift in zip(ends, masses, (40.0, 60.0), (0.05, 0.02), strict=True)
    )
    rack = Load("rack", 100.0, 1.8, 2.0)
    found = cg_as_weighed(0.7, axles=ends, stock_masses=masses, rises=rises, loads=(rack,))
    front = 0.05 - 20.0 * G / K
    rear = 0.02 - 30.0 * G / K
    tyres = (-20.0 * G / TYRE, -30.0 * G / TYRE)
    moment = 1600.0 * 0.7 + 700.0 * (front + tyres[0]) + 600.0 * (rear + tyres[1])
    moment += 150.0 * sum(tyres) + 100.0 * 2.0
    assert found == pytest.approx(moment / 1700.0, rel=1e-12)


def test_a_lifted_body_adds_its_moment():
    still = tuple(axle_rise(axle(), (850.0, 850.0)) for _ in range(2))
    found = cg_as_weighed(
        0.7, axles=(axle(), axle()), stock_masses=(850.0, 850.0), rises=still, raised_moment=34.0
    )
    assert found == pytest.approx(0.72, rel=1e-12)
