"""Friction in roll: half width against the hand formula and a solved couple, sign, closed loop."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.cli.records import roll_record, state_record
from rollsim.cli.tables import roll_report
from rollsim.equilibrium import settle, solve_arrow
from rollsim.mass import FittedBar
from rollsim.roll import TURN, results
from rollsim.roll.hysteresis import Hysteresis, branches, half_width, loop, roll_by_couple
from rollsim.scenario import load, loads
from rollsim.springs import FrictionLoop, LinearSpring
from rollsim.springs.curve import NO_FRICTION
from tests.builders import ROOT, SCENARIOS, rigid_vehicle

MU = 0.08
JOB = load(ROOT / "tests" / "data" / "crew_cab.toml").job


def _rubbing(job, *, front=NO_FRICTION, rear=NO_FRICTION):
    vehicle, change = job.vehicle, job.change
    axles = [
        replace(axle, spring=replace(axle.spring, loop=own))
        for axle, own in ((vehicle.front, front), (vehicle.rear, rear))
    ]
    springs = [
        None if spring is None else replace(spring, loop=own)
        for spring, own in ((change.front_spring, front), (change.rear_spring, rear))
    ]
    return replace(
        job,
        vehicle=replace(vehicle, front=axles[0], rear=axles[1]),
        change=replace(change, front_spring=springs[0], rear_spring=springs[1]),
    )


def _named(job, name):
    return next(state for state in mass.states(job) if state.name == name)


def test_moment_of_a_solid_axle_is_mu_f_b():
    # As weighed each rear spring carries (860 − 190)/2 kg; base 1090 mm; both rub.
    job = _rubbing(JOB, rear=FrictionLoop(fraction=MU))
    found = half_width(job, _named(job, "as_weighed"))
    force = 0.5 * (860.0 - 190.0) * 9.80665
    assert found.friction_moment == pytest.approx((0.0, MU * force * 1.090), rel=1e-9)


def test_moment_of_independent_suspension_is_at_the_wheel():
    job = _rubbing(JOB, front=FrictionLoop(half_width=120.0))
    found = half_width(job, _named(job, "as_weighed"))
    assert found.friction_moment == pytest.approx((120.0 * 1.560, 0.0), rel=1e-9)


def test_moment_follows_the_load():
    job = _rubbing(JOB, rear=FrictionLoop(fraction=MU))
    weighed, loaded = (half_width(job, _named(job, name)) for name in ("as_weighed", "touring"))
    rise = loaded.friction_moment[1] / weighed.friction_moment[1]
    # The 85 kg stand 1750/3085 along the wheelbase: 48.2 kg on 670 kg, and a little of pitch.
    assert rise == pytest.approx(1.0 + 85.0 * 1750.0 / 3085.0 / 670.0, rel=5e-3)


def test_couple_on_a_rigid_vehicle_by_hand():
    # Rigid tyres, no travel: φ/M = 1/(K_f + K_r − m_s g h_arm), whichever axle it acts on.
    model = rigid_vehicle(
        sprung_mass=1500.0,
        cg_height=0.8,
        rear_share=0.4,
        unsprung_mass=(100.0, 180.0),
        unsprung_cg_height=(0.35, 0.35),
        track=(1.5, 1.5),
        roll_centre_height=(0.1, 0.4),
        roll_stiffness=(50e3, 30e3),
    )
    settled = settle(model, TURN)[1]
    arm = 0.6 * (0.8 - 0.1) + 0.4 * (0.8 - 0.4)
    net = 80e3 - 1500.0 * 9.80665 * arm
    assert roll_by_couple(model, settled.x)[:, 0] == pytest.approx([1 / net, 1 / net], rel=1e-4)


@pytest.mark.parametrize("axle", [0, 1])
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_couple_solved_on_the_full_balance(path, axle):
    job = load(path).job
    model, settled = settle(mass.model(job, mass.states(job)[0]), TURN)
    couple = np.zeros((8, 1))
    couple[0], couple[3 + axle] = 1.0, -1.0  # 1 N·m
    x = settled.x.copy()
    for _ in range(10):
        balance = TURN.balance(model, x)
        x[1:] -= solve_arrow(balance, balance.residual - couple)
    assert np.abs(TURN.balance(model, x).residual - couple).max() < 1e-6
    expected = roll_by_couple(model, settled.x)[axle, 0]
    assert x[1, 0] - settled.x[1, 0] == pytest.approx(expected, rel=1e-3)
    assert expected > 0.0


def test_half_width_is_moment_over_net_stiffness_of_both_axles():
    job = _rubbing(JOB, front=FrictionLoop(half_width=100.0), rear=FrictionLoop(fraction=MU))
    state = _named(job, "touring")
    found = half_width(job, state)
    each = [m / k for m, k in zip(found.friction_moment, found.net_roll_stiffness, strict=True)]
    assert found.half_width == pytest.approx(sum(each), rel=1e-12)
    assert min(each) > 0.0
    front = half_width(_rubbing(JOB, front=FrictionLoop(half_width=100.0)), state).half_width
    rear = half_width(_rubbing(JOB, rear=FrictionLoop(fraction=MU)), state).half_width
    assert found.half_width == pytest.approx(front + rear, rel=1e-12)


def test_a_stiffer_bar_narrows_the_loop():
    job = _rubbing(JOB, rear=FrictionLoop(fraction=MU))
    state = _named(job, "touring")
    with_bar = half_width(job, state, FittedBar(40e3))
    assert with_bar.half_width < half_width(job, state).half_width


def test_sliding_gradient_is_that_without_friction():
    job = _rubbing(JOB, rear=FrictionLoop(fraction=MU))
    found = half_width(job, _named(job, "touring"))
    (free,) = results(JOB, (), only=("touring",))
    assert found.sliding_gradient == pytest.approx(free.roll_gradient, rel=1e-9)
    assert 0.0 < found.stuck_gradient < found.sliding_gradient


def test_stuck_everywhere_leaves_the_tyres_alone():
    # Both axles held: the vehicle leans on its tyres as one body.
    job = _rubbing(JOB, front=FrictionLoop(half_width=1.0), rear=FrictionLoop(half_width=1.0))
    found = half_width(job, _named(job, "as_weighed"))
    v = job.vehicle
    weight = 9.80665 * (v.front_axle_mass + v.rear_axle_mass)
    tyres = sum(a.tyre.vertical_rate * a.track**2 / 2.0 for a in (v.front, v.rear))
    height = v.cg_height
    shift = sum(
        m**2 * 9.80665 / (2.0 * a.tyre.lateral_rate)
        for a, m in ((v.front, v.front_axle_mass), (v.rear, v.rear_axle_mass))
    )
    by_hand = (weight / 9.80665 * height + shift) / (tyres - weight * height)
    assert found.stuck_gradient == pytest.approx(by_hand, rel=1e-6)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_without_friction_nothing_is_split(path):
    job = load(path).job
    found = half_width(job, mass.states(job)[0])
    assert (found.friction_moment, found.half_width, found.reversal) == ((0.0, 0.0), 0.0, 0.0)
    roll = np.array([0.0, 0.03])
    pair = branches(roll, found)
    assert (pair.loading == roll).all()
    assert (pair.unloading == roll).all()


def test_friction_holds_back_what_leans_and_keeps_what_leant():
    job = _rubbing(JOB, rear=FrictionLoop(fraction=MU))
    found = half_width(job, _named(job, "touring"))
    roll = np.array([0.0, 0.02, 0.05])
    pair = branches(roll, found)
    assert (pair.loading < roll).all()
    assert (pair.unloading > roll).all()
    # Out of a left turn the vehicle stands to the right, out of a right one to the left.
    gap = pair.unloading[0] - pair.loading[0]
    assert gap == pytest.approx(2.0 * found.half_width) != 0.0


def test_loop_closes_and_is_as_wide_as_mu_f_b_says():
    job = _rubbing(JOB, rear=FrictionLoop(fraction=MU))
    found = half_width(job, _named(job, "as_weighed"))
    corners = loop(found, 4.0)
    assert corners[0] == corners[-1]
    a, roll = np.array(corners).T
    # Up on one branch, down on the other: at zero they stand 2 μ F b / K_net apart.
    up = np.interp(0.0, a[:2], roll[:2])
    down = np.interp(0.0, a[[3, 2]], roll[[3, 2]])
    wide = 2.0 * MU * 0.5 * (860.0 - 190.0) * 9.80665 * 1.090 / found.net_roll_stiffness[1]
    assert down - up == pytest.approx(wide, rel=1e-9)
    # Between the branches the springs are stuck: both ends run at the stuck gradient.
    for first, second in ((1, 2), (3, 4)):
        slope = (roll[second] - roll[first]) / (a[second] - a[first])
        assert slope == pytest.approx(found.stuck_gradient, rel=1e-9)
    # What the friction eats in one sweep: the loop's area, turned clockwise from above.
    area = 0.5 * float(np.sum(a[:-1] * roll[1:] - a[1:] * roll[:-1]))
    assert area == pytest.approx(wide * (8.0 - found.reversal), rel=1e-9)


def test_a_sweep_too_small_to_slide_is_a_line():
    rubbing = Hysteresis(
        (0.0, 300.0), (6e4, 6e4), 0.005, sliding_gradient=0.01, stuck_gradient=0.002
    )
    assert rubbing.reversal == pytest.approx(1.25)
    assert loop(rubbing, 0.6) == ((-0.6, -0.0012), (0.6, 0.0012), (-0.6, -0.0012))


def test_what_does_not_stand_has_no_figures():
    soft = LinearSpring(500.0, loop=FrictionLoop(fraction=MU))
    vehicle = JOB.vehicle
    axles = (replace(a, spring=soft, bar_roll_stiffness=0.0) for a in (vehicle.front, vehicle.rear))
    front, rear = axles
    bare = replace(rear, auxiliary_roll_stiffness=0.0, bump_stop=None, rebound_limit=None)
    job = replace(
        JOB,
        vehicle=replace(
            vehicle, front=replace(front, bump_stop=None, rebound_limit=None), rear=bare
        ),
    )
    found = half_width(job, _named(job, "as_weighed"))
    assert np.isnan(found.half_width)
    assert np.isnan(found.friction_moment).all()


FRICTION = 'spring = { rate = "36 N/mm", friction = 0.08, second_stage'


@pytest.fixture(scope="module")
def rubbing():
    text = (ROOT / "tests" / "data" / "crew_cab.toml").read_text("utf-8")
    scenario = loads(text.replace('spring = { rate = "36 N/mm", second_stage', FRICTION), "a.toml")
    return scenario, results(scenario.job)


def test_results_carry_the_friction_of_each_state(rubbing):
    scenario, found = rubbing
    for state, result in zip(mass.states(scenario.job), found, strict=True):
        alone = half_width(scenario.job, state)
        if state.name == "touring":  # it has another rear spring, which does not rub
            assert result.friction is None
            assert not any("rub" in note for note in result.notes)
        else:
            assert result.friction.half_width == pytest.approx(alone.half_width, rel=1e-9)
            assert result.friction.half_width > 0.001


def test_friction_leaves_every_other_figure_alone(rubbing):
    for with_it, without in zip(rubbing[1], results(JOB), strict=True):
        shown = state_record(with_it)
        for point in shown["curve"]:
            point.pop("roll_angle_loading_deg", None)
            point.pop("roll_angle_unloading_deg", None)
        for key in ("friction_half_width_deg", "friction_moment_Nm"):
            shown.pop(key, None)
        assert shown == state_record(without)


def test_branches_in_json_lie_a_half_width_to_either_side(rubbing):
    record = roll_record(*rubbing)
    state = record["states"]["unladen"]
    half = state["friction_half_width_deg"]
    # 0.08 of both rear springs' 335 kg each, at half of 1090 mm; the front ones do not rub.
    by_hand = 0.08 * 2.0 * 335.0 * 9.80665 * 0.545
    assert state["friction_moment_Nm"] == {
        "front": 0.0,
        "rear": pytest.approx(by_hand, rel=1e-3),
    }
    for point in state["curve"]:
        assert point["roll_angle_loading_deg"] == pytest.approx(point["roll_angle_deg"] - half)
        assert point["roll_angle_unloading_deg"] == pytest.approx(point["roll_angle_deg"] + half)
    assert state["curve"][0]["roll_angle_unloading_deg"] == pytest.approx(half)
    (note,) = {n.partition(": ")[2] for n in record["notes"] if "do not meet at zero" in n}
    assert f"{half:.2f} deg less on the way into a bend" in note
    assert f"stands {2.0 * half:.2f} deg further right" in note


def test_a_state_without_friction_has_no_branches(rubbing):
    touring = roll_record(*rubbing)["states"]["touring"]
    assert "friction_half_width_deg" not in touring
    assert set(touring["curve"][0]) == {
        "lateral_acceleration_g",
        "roll_angle_deg",
        "tray_roll_angle_deg",
        "heave_mm",
        "wheel_loads_N",
    }


def test_table_has_a_line_of_friction_only_where_springs_rub(rubbing):
    def line(scenario, found):
        text = roll_report(scenario, found, (0.0,))
        return [row for row in text.splitlines() if row.startswith("friction, less in")]

    (row,) = line(*rubbing)
    assert row.split()[-3:] == ["0.24", "0.24", "0.00"]
    plain = load(ROOT / "tests" / "data" / "crew_cab.toml")
    assert line(plain, results(plain.job)) == []
