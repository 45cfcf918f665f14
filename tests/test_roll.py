"""Results of the states: definitions, the worse side, kinks, and what has no value."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import Solution, concatenate, roll_pivot, settle, tip_over
from rollsim.measured.calibrate import roll_gradient
from rollsim.roll import (
    SECANT_AT,
    TURN,
    follow,
    following,
    results,
    straight_ahead,
    thresholds,
    tipping_before,
    unsettled,
)
from rollsim.sizing.stiffness import gradients
from rollsim.springs import LinearSpring
from rollsim.tolerance import lean_samples
from rollsim.vehicle import Axle, Change, Job, Load, Stop, Suspension, Tyre, Vehicle
from tests.builders import SCENARIOS, job

G = 9.80665
FRONT = Axle(
    Suspension.INDEPENDENT, 1.5, 1.5, 100.0, 0.35, 0.08, 1.0, LinearSpring(38e3), Tyre(250e3, 170e3)
)
REAR = Axle(
    Suspension.SOLID_AXLE, 1.5, 1.1, 150.0, 0.35, 0.4, 0.5, LinearSpring(38e3), Tyre(250e3, 170e3)
)
VEHICLE = Vehicle("Demo", None, 3.0, 1000.0, 900.0, 0.65, 0.0, FRONT, REAR)
SIDE = Load("box", 120.0, 1.5, 1.6, 0.5)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
def test_definitions(path):
    for state in results(job(path), (0.0, SECANT_AT)):
        v = job(path).vehicle
        assert state.front_axle_mass + state.rear_axle_mass == pytest.approx(state.total_mass)
        mean_track = 0.5 * (v.front.track + v.rear.track)
        assert state.ssf == pytest.approx(mean_track / 2.0 / state.cg_height)
        rest, secant = state.curve
        assert state.secant_roll_gradient == pytest.approx(
            (secant.roll_angle - rest.roll_angle) / SECANT_AT
        )
        change = [
            0.5
            * (
                (p.wheel_loads[2 * axle + 1] - p.wheel_loads[2 * axle])
                - (rest.wheel_loads[2 * axle + 1] - rest.wheel_loads[2 * axle])
            )
            for p in (secant,)
            for axle in (0, 1)
        ]
        totals = [parts.total for parts in state.load_transfer]
        assert totals == pytest.approx(change, rel=1e-8, abs=1e-4)
        assert 0.0 < state.suspension_roll_gradient < state.roll_gradient


def test_as_weighed_stands_where_it_was_weighed():
    state = next(s for s in results(Job(VEHICLE)) if s.name == "as_weighed")
    assert (state.front_axle_mass, state.rear_axle_mass) == pytest.approx((1000.0, 900.0))
    assert state.cg_height == pytest.approx(0.65)
    assert state.curve[0].heave == pytest.approx(0.0, abs=1e-12)


def test_a_suspension_lift_raises_the_body_by_its_height():
    lifted = results(Job(VEHICLE, change=Change(0.04, 0.04)))[-1]
    assert lifted.curve[0].heave == pytest.approx(0.04, abs=1e-9)


def test_small_secant_tends_to_the_linear_gradient():
    model, settled = settle(mass.model(Job(VEHICLE), mass.states(Job(VEHICLE))[0]), TURN)
    linear = straight_ahead(model, settled).roll_gradient[0]
    point = follow(model, settled, (1e-3,))[0]
    assert point.x[1, 0] / 1e-3 == pytest.approx(linear, rel=1e-5)


@pytest.mark.parametrize("left", [0.0, 0.6, -0.6])
def test_front_share_is_what_a_gentle_bend_moves(left):
    """Also of a body that leans at rest on independent axles, whose wheels move across as it does.

    Where left and right differ, wheel loads are those of the balance, not of its slopes.
    """
    front, rear = (replace(axle, suspension=Suspension.INDEPENDENT) for axle in (FRONT, REAR))
    vehicle = replace(VEHICLE, front=replace(front, roll_centre_height=0.15), rear=rear)
    loads = (replace(SIDE, mass=200.0, left_of_centreline=left),)
    (found,) = results(Job(vehicle, loads), (0.0, 1e-3), only=("as_used",))
    rest, bend = (np.array(point.wheel_loads).reshape(2, 2) for point in found.curve)
    front, rear = (bend - rest) @ [-0.5, 0.5]
    assert found.front_load_transfer_share == pytest.approx(front / (front + rear), rel=1e-5)


def test_gradient_at_a_kink_is_the_one_sided_slope():
    # A second stage that begins just at as-weighed height works on the outer side alone.
    kinked = replace(VEHICLE, rear=replace(REAR, spring=LinearSpring(30e3, 0.0, 40e3)))
    model, settled = settle(mass.model(Job(kinked), mass.states(Job(kinked))[0]), TURN)
    linear = straight_ahead(model, settled).roll_gradient[0]
    point = follow(model, settled, (1e-4,))[0]
    assert point.x[1, 0] / 1e-4 == pytest.approx(linear, rel=1e-4)
    idle = replace(VEHICLE, rear=replace(REAR, spring=LinearSpring(30e3)))
    working = replace(VEHICLE, rear=replace(REAR, spring=LinearSpring(70e3)))
    soft, stiff = (results(Job(v))[0].roll_gradient for v in (idle, working))
    assert stiff < linear < soft


def test_off_centre_load_leans_and_lowers_every_threshold():
    left, right, centred = (
        results(Job(VEHICLE, (replace(SIDE, left_of_centreline=y),)))[-1] for y in (0.5, -0.5, 0.0)
    )
    assert left.static_lean < 0.0 < right.static_lean
    assert left.static_lean == pytest.approx(-right.static_lean, rel=1e-9)
    for name in ("tip_over_threshold", "tilt_table_ratio"):
        assert getattr(left, name) == pytest.approx(getattr(right, name), rel=1e-6)
        assert getattr(left, name) < getattr(centred, name)
    lifts = [np.fmin(one.inner_front_lift, one.inner_rear_lift) for one in (left, right, centred)]
    assert lifts[0] == pytest.approx(lifts[1], rel=1e-6)
    assert lifts[0] < lifts[2]


def test_points_past_tipping_are_left_out():
    tall = Job(VEHICLE, (replace(SIDE, mass=500.0, height=2.2, left_of_centreline=0.0),))
    state = results(tall)[-1]
    shown = [p.lateral_acceleration for p in state.curve]
    assert state.tip_over_threshold < 0.7 * G
    assert shown == [a for a in (0.1 * n * G for n in range(8)) if a <= state.tip_over_threshold]


def test_without_lateral_rate_it_says_where_it_would_tip_with_the_usual_one():
    """As the same vehicle does whose file gives 80, 61 and 97 N/mm, on the axle that lacks it."""
    assert not any("side give" in note for note in results(Job(VEHICLE))[0].notes)
    tips = []
    for rate in (None, 80e3, 61e3, 97e3):
        given = replace(VEHICLE, front=replace(FRONT, tyre=Tyre(250e3, rate)))
        tips.append(results(Job(given, (SIDE,)))[-1].tip_over_threshold / G)
    without, usual, low, high = tips
    plain = replace(VEHICLE, front=replace(FRONT, tyre=Tyre(250e3)))
    (note,) = (n for n in results(Job(plain, (SIDE,)))[-1].notes if "side give" in n)
    assert note.startswith(
        "with the usual side give of 80 N/mm a wheel (61 to 97 N/mm) it would tip at "
        f"{usual:.2f} g ({low:.2f} to {high:.2f} g), not {without:.2f} g: a tyre "
    )
    assert low < usual < high < without


def test_tyre_lateral_rate_brings_tipping_nearer():
    stiff = replace(
        VEHICLE,
        front=replace(FRONT, tyre=Tyre(250e3)),
        rear=replace(REAR, tyre=Tyre(250e3)),
    )
    soft, hard = (results(Job(v))[0].tip_over_threshold for v in (VEHICLE, stiff))
    assert 0.9 * hard < soft < 0.99 * hard


def test_bump_stops_work_from_the_as_weighed_gap():
    stopped = replace(VEHICLE, rear=replace(REAR, bump_stop=Stop(0.02, 200e3, 1.0)))
    free, held = (results(Job(v))[0] for v in (VEHICLE, stopped))
    assert held.roll_gradient == pytest.approx(free.roll_gradient)
    assert held.secant_roll_gradient < 0.97 * free.secant_roll_gradient


def test_the_worse_side_counts_for_thresholds():
    side = Job(VEHICLE, (SIDE,))
    model, settled = settle(mass.model(side, mass.states(side)[-1]), TURN)
    one = thresholds(model, settled, TURN)
    mirrored, other = settle(mass.model(side, mass.states(side)[-1]).mirrored(), TURN)
    assert one.tip_over == pytest.approx(thresholds(mirrored, other, TURN).tip_over, rel=1e-6)


def test_a_body_that_topples_is_told_from_one_that_never_settles():
    assert unsettled(Job(VEHICLE)) == ()
    weak = replace(REAR, spring=LinearSpring(2e3), spring_base=0.5)
    soft = replace(VEHICLE, front=replace(FRONT, spring=LinearSpring(2e3)), rear=weak)
    assert unsettled(Job(soft)) == (
        ("unladen", True),
        ("as_weighed", True),
        ("as_used", True),
    )


def test_accelerations_that_differ_by_rounding_are_one():
    model, settled = settle(mass.model(Job(VEHICLE), mass.states(Job(VEHICLE))[0]), TURN)
    near = 0.4 * G * (1.0 + 3e-16)
    first, second, third = follow(model, settled, (0.4 * G, near, 0.6 * G))
    assert second.x[1, 0] == first.x[1, 0]
    assert third.x == pytest.approx(follow(model, settled, (0.6 * G,))[0].x, rel=1e-9, abs=1e-12)


def test_larger_tyres_raise_the_body():
    raised = results(Job(VEHICLE, change=Change(tyre_radius=0.03)))[-1]
    assert raised.curve[0].heave == pytest.approx(0.03, abs=1e-9)
    assert raised.cg_height == pytest.approx(0.68)


def test_right_turn_is_the_left_turn_of_the_mirror_image():
    side = Job(VEHICLE, (SIDE,))
    left, right = results(side)[-1], results(side, mirrored=True)[-1]
    assert left.right_secant_roll_gradient == pytest.approx(right.secant_roll_gradient, rel=1e-9)
    assert right.secant_roll_gradient != pytest.approx(left.secant_roll_gradient, rel=1e-6)
    plain = results(Job(VEHICLE))[-1]
    assert plain.right_secant_roll_gradient == plain.secant_roll_gradient


def test_what_a_reader_should_know_is_noted():
    top_heavy = Job(VEHICLE, (replace(SIDE, mass=1400.0, height=2.0, left_of_centreline=0.0),))
    state = results(top_heavy)[-1]
    assert state.tip_over_threshold < 0.3 * G
    assert any("ordinary driving reaches" in note for note in state.notes)
    heavy = Job(VEHICLE, (replace(SIDE, mass=1400.0, behind_front_axle=2.9, height=0.8),))
    assert any("springs settle" in note for note in results(heavy)[-1].notes)
    assert tipping_before(top_heavy, 0.4 * G) == ("as_used",)


def test_every_point_short_of_the_first_lift_is_there():
    for path in SCENARIOS:
        of = job(path)
        for state in mass.states(of):
            model, settled = settle(mass.model(of, state), TURN)
            found = tip_over(model, settled, TURN)
            first = np.nanmin([found.threshold[0], *found.lift[:, 0]])
            near = float(0.999 * first)
            (alone,) = follow(model, settled, (near,))
            behind = follow(model, settled, (0.4 * near, 0.7 * near, near))[-1]
            assert alone.converged[0]
            assert behind.converged[0]
            assert behind.x[1, 0] == pytest.approx(alone.x[1, 0], rel=1e-6)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_spring_travel_and_arches_follow_lean(path):
    """Springs move by (b/2) sin(φ − p) to either side, arches by (t/2) sin φ."""
    vehicle = job(path).vehicle
    for result in results(job(path)):
        for point in result.curve:
            for axle, end in enumerate((vehicle.front, vehicle.rear)):
                left, right = point.spring_travel[2 * axle : 2 * axle + 2]
                over_axle = math.sin(point.roll_angle - point.axle_roll[axle])
                assert left - right == pytest.approx(end.spring_base * over_axle, abs=1e-12)
                left, right = point.arch_rise[2 * axle : 2 * axle + 2]
                lean = math.sin(point.roll_angle)
                assert left - right == pytest.approx(end.track * lean, abs=1e-12)


def test_as_weighed_nothing_has_moved():
    """The datum of travel and heights is the vehicle as weighed."""
    weighed = results(job(SCENARIOS[0]), (0.0,))[1]
    point = weighed.curve[0]
    assert point.spring_travel == pytest.approx((0.0,) * 4, abs=1e-9)
    assert point.arch_rise == pytest.approx((0.0,) * 4, abs=1e-9)
    assert point.axle_rise == pytest.approx((0.0, 0.0), abs=1e-9)


def jumping() -> Job:
    """The low demo car with soft tyres and a strong front bar: at front lift its roll jumps."""
    plain = job(next(path for path in SCENARIOS if path.stem == "low-car"))
    v = plain.vehicle
    tyre = replace(v.front.tyre, lateral_rate=1e5)
    front = replace(v.front, bar_roll_stiffness=58.4e3, tyre=tyre)
    rear = replace(v.rear, bar_roll_stiffness=0.0, tyre=replace(v.rear.tyre, lateral_rate=1e5))
    vehicle = replace(v, cg_height=0.9464 * v.cg_height, front=front, rear=rear)
    return replace(plain, vehicle=vehicle, loads=())


@pytest.mark.parametrize("step", [0.02, 0.005])
def test_the_curve_goes_on_behind_a_jump(step):
    fine = tuple(np.arange(1.0, 1.2, step) * G)
    unladen = results(jumping(), fine)[0]
    assert unladen.inner_front_lift < unladen.tip_over_threshold - 0.05 * G
    shown = [point.lateral_acceleration for point in unladen.curve]
    assert shown == [a for a in fine if a <= unladen.tip_over_threshold]
    lean = [point.roll_angle for point in unladen.curve]
    assert lean == sorted(lean)
    lifted = [p for p in unladen.curve if p.lateral_acceleration > unladen.inner_front_lift]
    assert all(point.wheel_loads[0] == 0.0 for point in lifted)
    assert not any("curve:" in note for note in unladen.notes)


def test_points_that_were_not_found_are_told(monkeypatch):
    monkeypatch.setattr(following, "_lowered", lambda model, start, lateral: np.nan * start)
    monkeypatch.setattr(following, "HALVINGS", 0)
    unladen = results(jumping(), tuple(np.arange(1.0, 1.2, 0.005) * G))[0]
    assert sum(note.startswith("curve:") for note in unladen.notes) == 1


def tall() -> Job:
    """The crew-cab, 1 m high: between front lift and tipping there is no way from upright."""
    plain = job(next(path for path in SCENARIOS if path.stem == "crew-cab-touring"))
    return replace(plain, vehicle=replace(plain.vehicle, cg_height=1.0))


def test_before_the_first_lift_it_stands_on_all_wheels():
    """At 0.5 g it would stand at 8.6 degrees too, a wheel off; from upright it comes to 5.7."""
    result = next(r for r in results(tall(), (0.5 * G,)) if r.name == "touring")
    (point,) = result.curve
    assert point.lateral_acceleration < result.inner_front_lift < 0.51 * G
    assert min(point.wheel_loads) > 0.0


def test_it_stands_wherever_the_path_says_so():
    """Between the first lift and the tipping point: stable, in balance, leaning ever more."""
    of = tall()
    model, settled = settle(concatenate([mass.model(of, s) for s in mass.states(of)]), TURN)
    path = tip_over(model, settled, TURN)
    gaps = np.flatnonzero(path.threshold > path.lift[0])  # the others tip as the wheel lifts
    assert gaps.size > 1
    for n in gaps:
        one, rest, first = model.take([n]), settled.take([n]), float(path.lift[0, n])
        between = np.linspace(first, path.threshold[n], 8)[1:-1]
        found = follow(one, rest, tuple(between))
        for a, point in zip(between, found, strict=True):
            assert point.x[0, 0] == a
            balance = TURN.balance(one, point.x)
            weight = one.total_mass[0] * G
            assert np.abs(balance.residual).max() < 1e-9 * weight
            assert balance.wheel_loads.sum() == pytest.approx(weight, rel=1e-9)
            assert roll_pivot(balance)[0] > 0.0
            alone = follow(one, rest, (a,))[0]
            assert alone.x == pytest.approx(point.x, rel=1e-7, abs=1e-9)
        lean = [point.x[1, 0] for point in found]
        assert lean == sorted(lean)
        assert lean[-1] < path.point[1, n]
        past = follow(one, rest, (float(path.threshold[n]) * 1.001,))[0]
        assert not past.converged[0]


def test_the_way_back_from_tipping_meets_the_way_up(monkeypatch):
    given = job(next(path for path in SCENARIOS if path.stem == "beyond-a-bar"))
    model, settled = settle(mass.model(given, mass.states(given)[-1]), TURN)
    (up,) = follow(model, settled, (SECANT_AT,))
    none = Solution(np.full_like(settled.x, np.nan), np.zeros(1, dtype=bool))
    monkeypatch.setattr(following, "_forward", lambda *_, **__: [none])
    (down,) = follow(model, settled, (SECANT_AT,))
    assert up.converged.all()
    assert down.x == pytest.approx(up.x, abs=1e-9)
    (beyond_tipping,) = follow(model, settled, (0.6 * G,))
    assert not beyond_tipping.converged.any()


def test_whoever_asks_sees_the_same_equilibrium():
    """Bar sizing, tolerances, warnings and the road test at 0.52 g, short of tipping at 0.53 g."""
    of, at = tall(), 0.52 * G
    state = results(of, (0.0, at))[-1]
    assert at < state.tip_over_threshold
    rest, point = state.curve
    lean = (point.roll_angle - rest.roll_angle) / at
    last = mass.states(of)[-1]
    assert gradients(mass.model(of, last), at)[0] == pytest.approx(lean, rel=1e-7)
    assert lean_samples(of, [], last.name, at=at, count=1)[0] == pytest.approx(lean, rel=1e-7)
    assert roll_gradient(last, at)(of) == pytest.approx(lean, rel=1e-7)
    assert "touring" not in tipping_before(of, at)
    assert "touring" in tipping_before(of, 0.57 * G)


@pytest.mark.parametrize(("stem", "times"), [("independent_rear", 2.1), ("high-roof-van", 2.05)])
def test_the_secants_of_both_turns_change_places_in_the_mirror(stem, times):
    """Also where one of the turns tips before 0.4 g: then neither is shown."""
    plain = job(next(path for path in SCENARIOS if path.stem == stem))
    high = replace(plain.vehicle, cg_height=times * plain.vehicle.cg_height)
    of = replace(plain, vehicle=high, loads=(*plain.loads, replace(SIDE, mass=1.0)))
    both = (results(of, (), mirrored=mirrored) for mirrored in (False, True))
    shown = [
        [(r.secant_roll_gradient, r.right_secant_roll_gradient) for r in each] for each in both
    ]
    for left, right in zip(*shown, strict=True):
        assert left == pytest.approx(right[::-1], rel=1e-7, nan_ok=True)
    assert any(math.isnan(left) for left, _ in shown[0])
