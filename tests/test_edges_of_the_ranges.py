"""Tipping at the edges: wheels held up at rest, vehicles near toppling, loads that rise."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import Solution, roll_pivot, settle, solve_at_field, tip_over
from rollsim.equilibrium.newton import solve_at_lift
from rollsim.roll import TURN, results, turn_and_table
from rollsim.roll.figures import TABLE, turns
from rollsim.vehicle import Job, Load
from tests.builders import ROOT, job
from tests.edge_vehicles import edge_job, loaded_models

G = 9.80665
SEEDS = tuple(range(2000, 2400))
SHOWN_AS_NOTHING = 0.005  # g: shown as 0.00
SAME = 1e-6  # g
FURTHEST_DOWN = 0.5  # m: beyond it no spring is one


@lru_cache
def at_the_edges(higher: float = 0.0):
    """Models, settled states, and tipping points in a turn [g] and on a table [-]."""
    model, settled = settle(loaded_models([edge_job(n, higher=higher) for n in SEEDS]), TURN)
    turn, table, _ = turn_and_table(model, settled)
    tips = np.where(settled.converged, turn.tip_over / G, np.nan)
    return model, settled, tips, np.tan(table.tip_over)


def one_sided(left: float) -> Job:
    """The wagon with an outrigger: the front wheel of the other side is off the ground at rest.

    Its tyres do not give sideways, so that nothing jumps as a wheel comes down or lifts.
    """
    plain = job(ROOT / "scenarios" / "wagon-roof-load.toml")
    front, rear = (
        replace(axle, tyre=replace(axle.tyre, lateral_rate=None))
        for axle in (plain.vehicle.front, plain.vehicle.rear)
    )
    plain = replace(plain, vehicle=replace(plain.vehicle, front=front, rear=rear))
    heavy = Load("outrigger", 1400.0, 1.35, 0.6, left_of_centreline=left)
    return replace(plain, loads=(heavy,))


def reached_by_small_steps(model, settled, step=0.002 * G):
    """Last acceleration with a stable equilibrium on the way up: no path, no events."""
    x, last = settled.x.copy(), 0.0
    while step > 1e-5 * G:
        start = x.copy()
        start[0] = last + step
        new = solve_at_field(model, start, TURN)
        stable = roll_pivot(TURN.balance(model, new.x))[0] > 0.0
        if new.converged[0] and stable and np.abs(new.x[1:] - x[1:]).max() < 0.02:
            x, last = new.x, last + step
        else:
            step *= 0.5
    return last


@pytest.mark.parametrize("left", [1.4, -1.4])
def test_a_wheel_that_the_load_holds_up_has_lifted_at_rest(left):
    of = one_sided(left)
    model, settled = settle(mass.model(of, mass.states(of)[-1]), TURN)
    assert settled.converged.all()
    up = TURN.balance(model, settled.x).tyre_reach[..., 0] < 0.0
    assert up[1 if left > 0.0 else 0].any()
    assert not up[0 if left > 0.0 else 1].any()
    shown = results(of)[-1]
    lifts = (shown.inner_front_lift, shown.inner_rear_lift)
    assert min(lifts) == 0.0
    assert 0.05 * G < shown.tip_over_threshold < 0.6 * G
    least = min(reached_by_small_steps(*side) for side in turns(model, settled))
    assert shown.tip_over_threshold == pytest.approx(least, abs=2e-4 * G)
    assert not any("not resolved" in note for note in shown.notes)


def test_no_vehicle_tips_at_once_while_the_table_still_holds_it():
    """Near toppling turn and table are one: the tangent of a small angle is the angle."""
    _, settled, tips, ratios = at_the_edges()
    near = settled.converged & (np.fmin(tips, ratios) < 0.02)
    assert near.sum() > 3
    assert (tips < SHOWN_AS_NOTHING).any()
    assert ratios[near] == pytest.approx(tips[near], rel=0.005)


def test_every_vehicle_that_is_held_up_at_rest_has_a_tipping_point():
    model, settled, tips, ratios = at_the_edges()
    up = (TURN.balance(model, settled.x).tyre_reach < 0.0).any(axis=(0, 1)) & settled.converged
    up &= np.abs(settled.x[2:4] - model.lift).max(axis=0) < FURTHEST_DOWN
    assert up.sum() >= 3
    assert (tips[up] > 0.0).all()
    assert (ratios[up] > 0.0).all()


def test_not_resolved_and_tips_first_are_never_said_together():
    _, settled, tips, _ = at_the_edges()
    unresolved = np.flatnonzero(settled.converged & np.isnan(tips))
    first = np.flatnonzero(settled.converged & np.isfinite(tips))[:20]
    assert unresolved.size > 0
    tips_first = 0
    for n in (*unresolved, *first):
        notes = results(edge_job(SEEDS[n]), ())[-1].notes
        lost = [note for note in notes if note.startswith("tip-over and wheel lift: the path")]
        order = [note for note in notes if note.endswith("tips before it lifts")]
        assert bool(lost) == (n in unresolved)
        assert not (lost and order)
        tips_first += bool(order)
    assert tips_first > 0


@pytest.mark.parametrize("higher", [1e-3, 0.03, 0.3])
def test_a_higher_load_never_moves_the_tipping_point_away(higher):
    _, _, low, _ = at_the_edges()
    _, _, high, _ = at_the_edges(higher)
    both = np.isfinite(low) & np.isfinite(high)
    assert both.sum() > 0.85 * len(SEEDS)
    assert ((high - low)[both] <= SAME).all()


def stands_just_beyond(model, points, by):
    """Whether a stable equilibrium lies next to the points, `by` [g] further on: solved plainly."""
    start = points.copy()
    start[0] += by * G
    found = solve_at_field(model, start, TURN).x
    near = np.abs(found - points)[1:].max(axis=0) < 0.01
    return near & (roll_pivot(TURN.balance(model, found)) > 0.0)


def test_nothing_stands_just_beyond_a_tipping_point():
    """High roll centres: near some tops just before a wheel lifts the pivot of roll has a pole."""
    seeds = (2008, 2058, 2083, 2231, 2309, 2316, 2326, 2333)
    for one, rest in turns(*settle(loaded_models([edge_job(n) for n in seeds]), TURN)):
        assert not stands_just_beyond(one, tip_over(one, rest, TURN).point, 2e-4).any()


def test_a_tipping_point_on_a_kink_is_found_as_closely_as_any_other():
    """A rebound limit that lets go is where these tip: the roll stiffness jumps to below zero."""
    model, settled, tips, _ = at_the_edges()
    rows = np.flatnonzero(settled.converged & np.isfinite(tips) & (tips < 0.05))
    assert rows.size > 3
    for one, rest in turns(model.take(rows), settled.take(rows)):
        found = tip_over(one, rest, TURN).point
        early = found[0] < 0.05 * G
        assert early.any()
        residual = np.abs(TURN.balance(one, found).residual / one.constants.weight).max(axis=0)
        assert (residual[early] < 1e-6).all()
        assert not stands_just_beyond(one, found, 2e-5)[early].any()


def test_a_lift_that_no_step_leads_to_is_none_and_nothing_is_divided_by_it():
    """With its outer wheel up an axle hangs on the inner tyre, whose load no bend takes off."""
    of = one_sided(1.4)
    model, settled = settle(mass.model(of, mass.states(of)[-1]), TURN)
    on_leg = model.on_leg(np.zeros((2, 1), dtype=bool))
    front, rear = (solve_at_lift(on_leg, settled.x, TURN, axle=np.array([axle])) for axle in (0, 1))
    assert not front.converged.any()
    assert np.isnan(front.x).all()
    assert rear.converged.all()
    assert TURN.balance(on_leg, rear.x).tyre_reach[0, 1] == pytest.approx(0.0, abs=1e-4)


def test_the_outer_wheel_comes_down_on_the_way():
    """A load to the inner side holds the outer wheel up at rest; in the bend both come to carry."""
    of = one_sided(1.4)
    model, settled = settle(mass.model(of, mass.states(of)[-1]), TURN)
    for course in (TURN, TABLE):
        found = tip_over(model, settled, course)
        at_tip = Solution(found.point, np.isfinite(found.threshold))
        assert at_tip.converged.all()
        loads = course.balance(model, found.point).tyre_reach[..., 0]
        assert (loads[1] > 0.0).all()
        assert found.threshold[0] > tip_over(*turns(model, settled)[1], course).threshold[0]
