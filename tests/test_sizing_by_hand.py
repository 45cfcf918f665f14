"""What a candidate is said to bear and to cost, worked out again by hand from the vehicle's roll.

The vehicle's roll at 0.4 g, at 0.8 g and at tip-over is the full model's; from there on levers,
sections and springs are done here.
"""

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from scipy.optimize import brentq

from rollsim import mass
from rollsim.bar import RearBar, Section, straight_u, stress_along
from rollsim.roll import UNRESOLVED, results
from rollsim.scenario import Scenario, load
from rollsim.sizing import (
    Candidate,
    ObjectionKind,
    Sizing,
    StressCase,
    articulation,
    figures,
    size,
    strength,
    with_bars,
)
from rollsim.sizing.choice import fitted
from rollsim.vehicle import Axle, Job, Suspension, Vehicle
from tests.builders import ROOT

G = 9.80665
CREW_CAB = "crew-cab-touring.toml"
CAMPER = "beyond-a-bar.toml"  # tips below 0.8 g
INDEPENDENT = "independent-rear-with-bar.toml"
E, SHEAR = 206e9, 79.3e9  # Pa, every built-in steel


@lru_cache
def scenario(name: str) -> Scenario:
    return load(ROOT / "scenarios" / name)


@lru_cache
def sized(name: str) -> Sizing:
    return size(scenario(name).job, scenario(name).rear_bar)


def suspension_roll(name: str, c: Candidate, lateral: float, *states: str) -> float:
    """Roll of the body over the rear axle with that bar: the most of some states, or of all."""
    of = scenario(name)
    found = results(of.job, (lateral,), fitted(c, of.rear_bar), only=states or None)
    points = [result.curve[0] for result in found]
    return max(point.roll_angle - point.axle_roll[1] for point in points)


def tipping(name: str, c: Candidate) -> dict[str, float]:
    """Where each state tips with that bar."""
    of = scenario(name)
    found = results(of.job, (), fitted(c, of.rear_bar))
    return {result.name: result.tip_over_threshold for result in found}


def end_force(name: str, c: Candidate, twist: float) -> float:
    """Vertical force at one link end: the bar's moment is a couple of two of them.

    On independent suspension the wheels' forces are the couple, on half the track each, and the
    link's is theirs over the installation ratio.
    """
    moment = c.roll_stiffness * twist
    rear = scenario(name).job.vehicle.rear
    if rear.suspension is Suspension.INDEPENDENT:
        return moment / rear.track / scenario(name).rear_bar.installation_ratio
    shape = scenario(name).rear_bar.shapes[c.hole]
    return moment / (2.0 * shape.half_centreline[-1][1])


def at_the_bush(bar: RearBar, c: Candidate, force: float) -> float:
    """Von Mises stress where a straight U enters its bush: M = F (B − s)/2, T = F × lever."""
    d, bore = c.section.outer_diameter, c.section.inner_diameter
    modulus = math.pi * (d**4 - bore**4) / (32.0 * d)
    spacing = 2.0 * bar.shapes[c.hole].half_centreline[-1][1]
    bending = force * (spacing - bar.bush_spacing) / 2.0 / modulus
    shear = force * c.lever / (2.0 * modulus)
    return math.sqrt(bending**2 + 3.0 * shear**2)


def agrees(name: str, c: Candidate, stress: float, *, twist: float) -> None:
    """A candidate's stress at some twist: no less than at the bush, and the peak along the bar."""
    bar, force = scenario(name).rear_bar, end_force(name, c, twist)
    along = stress_along(bar.shapes[c.hole], bar.bush_spacing, c.section, link_end_force=force)
    assert stress >= at_the_bush(bar, c, force) * (1.0 - 1e-6)
    assert stress == pytest.approx(along.von_mises.max(), rel=1e-6)
    # The bush is where it peaks, or nearly: elsewhere it is the bend, which has less torque.
    assert stress < 1.25 * at_the_bush(bar, c, force)


@pytest.mark.parametrize("name", [CREW_CAB, INDEPENDENT])
def test_cornering_stress_at_its_acceleration(name):
    for c in sized(name).candidates[::4]:
        assert min(tipping(name, c).values()) > 0.8 * G
        agrees(name, c, c.cornering_stress, twist=suspension_roll(name, c, 0.8 * G))


def test_cornering_stress_where_it_tips_first():
    for c in sized(CAMPER).candidates[::4]:
        # At the top of the path the roll runs on while a stands still: as near as that allows.
        ends = {state: min(a * (1.0 - 1e-9), 0.8 * G) for state, a in tipping(CAMPER, c).items()}
        assert ends[sized(CAMPER).case] < 0.8 * G
        short = max(suspension_roll(CAMPER, c, end, state) for state, end in ends.items())
        bar = scenario(CAMPER).rear_bar
        force = end_force(CAMPER, c, short)
        along = stress_along(bar.shapes[c.hole], bar.bush_spacing, c.section, link_end_force=force)
        assert c.cornering_stress == pytest.approx(along.von_mises.max(), rel=1e-4)


@pytest.mark.parametrize("name", [CREW_CAB, CAMPER, INDEPENDENT])
def test_normal_amplitude(name):
    for c in sized(name).candidates[::4]:
        agrees(name, c, c.normal_stress, twist=suspension_roll(name, c, 0.4 * G))


def stops(axle: Axle) -> float:
    """One side on its bump stop, the other on its rebound limit."""
    bump, rebound = axle.bump_stop, axle.rebound_limit
    at_wheel = bump.gap / bump.motion_ratio + rebound.gap / rebound.motion_ratio
    return math.asin(at_wheel / ((bump.base + rebound.base) / 2.0))


def side(axle: Axle, anchored: float, *, lift: float, travel: float, twist: float) -> tuple:
    """Force between body and axle and its moment about the axle, of springs and stops of a side.

    Twist positive: this side comes nearer. The pin stands half way between axle and body where
    the travel ratio says so, which turns part of the travel with the twist.
    """
    ratio = axle.roll_centre_travel_ratio
    slack = travel - lift
    upright = ratio + (1.0 - ratio) * math.cos(twist)

    def extension(base: float) -> float:
        return lift + slack * upright - base / 2.0 * math.sin(twist)

    def lever(base: float) -> float:
        return base / 2.0 * math.cos(twist) + slack * (1.0 - ratio) * math.sin(twist)

    bump, rebound = axle.bump_stop, axle.rebound_limit
    spring = float(axle.spring.curve(anchored).force(lift - extension(axle.spring_base)))
    pushed = max(-extension(bump.base) * bump.motion_ratio - bump.gap, 0.0)
    pulled = max(extension(rebound.base) * rebound.motion_ratio - rebound.gap, 0.0)
    at_bump = pushed * bump.rate * bump.motion_ratio
    at_rebound = -pulled * rebound.rate * rebound.motion_ratio
    force = spring + at_bump + at_rebound
    moment = (
        spring * lever(axle.spring_base)
        + at_bump * lever(bump.base)
        + at_rebound * lever(rebound.base)
    )
    return force, moment


def lifting(job: Job, case: str, stiffness: float) -> float:
    """Twist of the rear axle, the body level, that takes all load off its lower wheel."""
    assert not job.change.on_when_weighed
    axle, lift = job.vehicle.rear, job.change.suspension_lift_rear
    if case in ("unladen", "as_weighed"):
        lift = 0.0
    weighed = (job.vehicle.rear_axle_mass - axle.unsprung_mass) * G / 2.0
    load_on_axle = results(replace(job, vehicle=without_bar(job)), (), only=(case,))[0]
    carried = (load_on_axle.rear_axle_mass - axle.unsprung_mass) * G

    def both(twist: float, travel: float) -> tuple[float, float]:
        one, other = (
            side(axle, weighed, lift=lift, travel=travel, twist=t) for t in (twist, -twist)
        )
        return one[0] + other[0], one[1] - other[1]

    def excess(twist: float) -> float:
        # A pin that goes with the body stands square to the axle and leans with it.
        ratio, cosine = axle.roll_centre_travel_ratio, math.cos(twist)
        borne = carried * (1.0 - ratio + ratio * cosine) / (ratio + (1.0 - ratio) * cosine)
        travel = brentq(lambda s: both(twist, s)[0] - borne, -0.3, 0.3, xtol=1e-12)
        moment = both(twist, travel)[1] + (axle.auxiliary_roll_stiffness + stiffness) * twist
        return moment - load_on_axle.rear_axle_mass * G * axle.track / 2.0

    return brentq(excess, 0.0, math.radians(40.0), xtol=1e-10)


def without_bar(job: Job) -> Vehicle:
    rear = replace(job.vehicle.rear, bar_roll_stiffness=0.0)
    return replace(job.vehicle, rear=rear)


def full_twist(job: Job, state: str, stiffness: float) -> float:
    return min(stops(job.vehicle.rear), lifting(job, state, stiffness))


def twist_agrees(name: str, c: Candidate, *, rel: float, flex: float) -> None:
    job, case = scenario(name).job, sized(name).case
    axle = job.vehicle.rear
    in_state = {s.name: full_twist(job, s.name, c.roll_stiffness) for s in mass.states(job)}
    bare, with_bar = full_twist(job, case, 0.0), in_state[case]
    flexed = axle.track * (math.sin(bare) - math.sin(with_bar))
    bar, force = scenario(name).rear_bar, end_force(name, c, 1.2 * max(in_state.values()))
    along = stress_along(bar.shapes[c.hole], bar.bush_spacing, c.section, link_end_force=force)
    assert c.twist_stress == pytest.approx(along.von_mises.max(), rel=rel)
    assert c.twist_stress > at_the_bush(bar, c, force) * (1.0 - rel)
    assert c.articulation_lost == pytest.approx(flexed, abs=flex)
    if c.governing_case is StressCase.TWIST:
        assert in_state[c.governing_state] == pytest.approx(max(in_state.values()), rel=rel)


@pytest.mark.parametrize("name", [CREW_CAB, CAMPER, INDEPENDENT])
def test_twist_stress_and_flex(name):
    for c in sized(name).candidates[::5]:
        # Moments are worked out every 0.25 deg; a stop that begins in between is off by its
        # stiffness times a quarter of that, 1 mrad where nothing else held the axle.
        twist_agrees(name, c, rel=0.005, flex=5e-4)
        assert c.peak_stress == max(c.cornering_stress, c.twist_stress)


@pytest.mark.parametrize("name", [CREW_CAB, INDEPENDENT])
def test_twist_worked_out_more_finely(name, monkeypatch):
    monkeypatch.setattr(articulation, "TWISTS", np.radians(np.linspace(0.0, 45.0, 18001)))
    of = scenario(name)
    for c in size(of.job, of.rear_bar).candidates[::5]:
        twist_agrees(name, c, rel=1e-4, flex=5e-6)


def test_each_twist_limit_is_met_by_some_bar():
    """Else the tests above would hold one of the two alone."""
    job, answer = scenario(CAMPER).job, sized(CAMPER)
    limits = [(stops(job.vehicle.rear), lifting(job, answer.case, c)) for c in (0.0, 1e4, 2e4, 4e4)]
    assert {stop < lift for stop, lift in limits} == {True, False}


# Own bars for the independent rear axle, bent sharp so that every integral is a line.
BAR = {"centre": 0.96, "lever": 0.235, "splay": math.radians(10.0), "bushes": 0.70}


def sharp(of: RearBar, section: Section) -> RearBar:
    shape = straight_u(centre_length=BAR["centre"], lever=BAR["lever"], splay=BAR["splay"])
    stocks = (replace(of.stocks[0], sections=(section,)),)
    return replace(of, shapes=(shape,), bush_spacing=BAR["bushes"], stocks=stocks)


def rate_by_hand(section: Section, *, bush: float, link: float) -> float:
    """Link-end rate by the unit-load method: arm, overhang, centre, twist, bushes and link."""
    inertia = math.pi / 64.0 * (section.outer_diameter**4 - section.inner_diameter**4)
    spacing = BAR["centre"] + 2.0 * BAR["lever"] * math.tan(BAR["splay"])
    arm = BAR["lever"] / math.cos(BAR["splay"])
    outside, corner = (spacing - BAR["bushes"]) / 2.0, (spacing - BAR["centre"]) / 2.0
    bending = arm**3 / 3.0 + (outside**3 - corner**3) / 3.0 + outside**2 * BAR["bushes"] / 6.0
    torsion = BAR["lever"] ** 2 * BAR["centre"] / 2.0
    give = bending / (E * inertia) + torsion / (SHEAR * 2.0 * inertia)
    return 1.0 / (give + (spacing / BAR["bushes"]) ** 2 / bush + 1.0 / link)


@pytest.mark.parametrize("section", [Section(0.022, None), Section(0.025, 0.0035)])
def test_independent_rear_by_hand(section):
    of = scenario(INDEPENDENT)
    bar, ratio, track = sharp(of.rear_bar, section), 0.6, 1.62
    assert bar.installation_ratio == ratio
    assert of.job.vehicle.rear.track == track
    c = size(of.job, bar).candidates[0]
    rate = rate_by_hand(section, bush=9e6, link=12e6)
    assert c.link_end_rate == pytest.approx(rate, rel=1e-6)
    # Wheels apart by t θ: links by r t θ/2 each, the wheels' forces r F on half the track each.
    assert c.roll_stiffness == pytest.approx(rate * ratio**2 * track**2 / 2.0, rel=1e-6)
    # One wheel alone up by z is z/2 of opposite travel at each end: r F = r k (r z/2).
    assert c.one_wheel_rate_increase == pytest.approx(rate * ratio**2 / 2.0, rel=1e-6)
    fit = fitted(c, bar)
    for lateral, stress in ((0.8 * G, c.cornering_stress), (0.4 * G, c.normal_stress)):
        points = [found.curve[0] for found in results(of.job, (lateral,), fit)]
        twist = max(point.roll_angle - point.axle_roll[1] for point in points)
        force = rate * ratio * track / 2.0 * twist
        # Sharp bends: the bush has the most of bending and all of the torque.
        assert stress == pytest.approx(at_the_bush(bar, c, force), rel=1e-6)


def without_answers(many, settled, ahead=None) -> np.ndarray:
    """No wheel lift resolved for any bar."""
    return np.full(many.size, UNRESOLVED)


def test_a_wheel_lift_not_resolved_is_never_accepted(monkeypatch):
    of = scenario(CREW_CAB)
    assert sized(CREW_CAB).choice is not None
    monkeypatch.setattr(figures, "inner_rear_lift", without_answers)
    answer = size(of.job, of.rear_bar)
    assert answer.choice is None
    assert answer.states == ()
    for c in answer.candidates:
        assert not c.accepted
        assert math.isnan(c.inner_rear_lift)
        kinds = [objection.kind for objection in c.objections]
        assert ObjectionKind.UNRESOLVED in kinds
        assert ObjectionKind.WHEEL_LIFT not in kinds


def test_one_wheel_lift_not_resolved_leaves_the_others(monkeypatch):
    of, before = scenario(CREW_CAB), sized(CREW_CAB)
    stiffness = before.choice.roll_stiffness
    real = figures.inner_rear_lift

    def all_but_one(many, settled, ahead=None) -> np.ndarray:
        this = np.isclose(many.roll_stiffness[1] - axle_own, stiffness, rtol=1e-9)
        assert this.sum() == (many.size > 1)  # one alone: the choice, driven empty
        return np.where(this, UNRESOLVED, real(many, settled, ahead))

    axle_own = of.job.vehicle.rear.auxiliary_roll_stiffness
    monkeypatch.setattr(figures, "inner_rear_lift", all_but_one)
    answer = size(of.job, of.rear_bar)
    unresolved = [
        c for c in answer.candidates if ObjectionKind.UNRESOLVED in [o.kind for o in c.objections]
    ]
    assert [c.roll_stiffness for c in unresolved] == [stiffness]
    assert not unresolved[0].accepted
    assert answer.choice is not unresolved[0]
    rest = {(c.section, c.hole): c for c in before.candidates if c is not before.choice}
    for c in answer.candidates:
        if c is not unresolved[0]:
            assert c.objections == rest[c.section, c.hole].objections


@pytest.mark.parametrize("turn", [0, 1])
def test_a_bar_whose_stress_is_not_resolved_is_never_accepted(monkeypatch, turn):
    """The path at 0.8 g lost with one load off centre, in either turn: no stress, no bar."""
    of = scenario(CREW_CAB)
    aside = tuple(replace(x, left_of_centreline=0.1) for x in of.job.loads)
    real, calls = with_bars.follow_turns, []

    def lost(many, settled, lateral) -> list:
        calls.append(None)
        found = real(many, settled, lateral)
        assert len(found) == 2
        points, tipping = found[turn]
        point = points[0.8 * G]
        gone = replace(
            point, x=np.full_like(point.x, np.nan), converged=np.zeros_like(point.converged)
        )
        found[turn] = ({**points, 0.8 * G: gone}, np.full_like(tipping, np.nan))
        return found

    monkeypatch.setattr(with_bars, "follow_turns", lost)
    answer = size(replace(of.job, loads=aside), of.rear_bar)
    assert len(calls) == 1
    assert answer.choice is None
    for c in answer.candidates:
        assert math.isnan(c.peak_stress)
        assert ObjectionKind.UNRESOLVED in [objection.kind for objection in c.objections]


def test_a_bar_whose_stress_is_not_resolved_in_another_state_is_never_accepted(monkeypatch):
    of, real = scenario(CREW_CAB), strength.moments_of

    def lost(*args):
        (moments,) = real(*args)
        return [replace(moments, cornering=np.full_like(moments.cornering, np.nan))]

    # The case sized for has its own name for it: this is for the other states alone.
    monkeypatch.setattr(strength, "moments_of", lost)
    answer = size(of.job, of.rear_bar)
    assert answer.choice is None
    for c in answer.candidates:
        assert math.isnan(c.peak_stress)
        assert ObjectionKind.UNRESOLVED in [objection.kind for objection in c.objections]
