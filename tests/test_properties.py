"""What holds for any plausible vehicle: balance, mirror, what is monotone, answer or reason."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from rollsim.equilibrium import concatenate, evaluate, roll_pivot, settle, solve_at_field
from rollsim.roll import TURN, follow, turn_and_table
from tests.builders import EVERY
from tests.random_models import UNITS, drawn, vehicles
from tests.test_equilibrium_contract import about_the_ground

G = 9.80665
FIELDS = (0.0, 0.2 * G, 0.4 * G)
MANY = 10_000
ONE = arrays(float, (UNITS, 1), elements=st.floats(0.0, 1.0))

any_vehicle = given(ONE)
often = settings(max_examples=300 if EVERY else 25, deadline=None, derandomize=True)


@often
@any_vehicle
def test_loads_and_moments_balance_and_a_mirrored_vehicle_mirrors(units):
    one = vehicles(units)
    both = concatenate([one, one.mirrored()])
    model, settled = settle(both, TURN)
    if not settled.converged.all():  # the ranges hold a few that topple at rest: both do
        assert not settled.converged.any()
        return
    for here in follow(model, settled, FIELDS):
        ok = here.converged
        loads = TURN.balance(model, here.x).wheel_loads
        weight = G * model.total_mass
        assert loads.sum(axis=(0, 1))[ok] == pytest.approx(weight[ok], rel=1e-8)
        resisting, tipping = about_the_ground(model, here)
        assert resisting[ok] == pytest.approx(tipping[ok], abs=1e-7)
    # At rest the mirrored one leans the other way, its wheels swapped; springs and rises alike.
    at_rest, signs = settled.x, np.array([1, -1, 1, 1, -1, -1, 1, 1, -1.0])
    assert at_rest[:, 1] == pytest.approx(signs * at_rest[:, 0], abs=1e-8)
    turned = TURN.balance(model, at_rest).wheel_loads
    assert turned[::-1, :, 1] == pytest.approx(turned[:, :, 0], abs=1e-3)


@often
@any_vehicle
def test_what_stiffens_or_raises_does_so_at_rest(units):
    """A spring added anywhere is positive semidefinite, a higher CG negative: so is the pivot.

    What is left of a symmetric stiffness after the other freedoms give way (its Schur complement)
    grows with it. Upright, where the point of rest does not move; a frame that twists leans in two
    places.
    """
    one = replace(vehicles(units), cg_left=np.zeros(1), frame_compliance=np.zeros(1))
    pairs = [
        one,
        replace(one, roll_stiffness=1.3 * one.roll_stiffness + 1e3),
        replace(one, tyre_rate=1.2 * one.tyre_rate),
        replace(one, cg_height=one.cg_height + 0.1),
    ]
    model, settled = settle(concatenate(pairs[:1]), TURN)
    if not settled.converged.all():
        return
    many = concatenate([replace(each, rear_share=model.rear_share) for each in pairs])
    at = np.repeat(settled.x[1:], len(pairs), axis=1)
    plain, barred, tyred, raised = roll_pivot(
        evaluate(many, at, np.full(4, G), lateral=np.zeros(4))
    )
    assert raised < plain < min(barred, tyred)
    # Upright the CG's height is in no other term: m g h is lost, whatever else gives way.
    assert plain - raised == pytest.approx(0.1 * float(one.sprung_mass[0]) * G, rel=1e-9)


def test_ten_thousand_plausible_vehicles_have_an_answer():
    model, settled = settle(drawn(MANY, 20), TURN)
    (here,) = follow(model, settled, (0.4 * G,))
    assert settled.converged.all()
    assert here.converged.all()
    resisting, tipping = about_the_ground(model, here)
    assert np.abs(resisting - tipping).max() < 1e-7


def test_vehicles_that_are_too_high_or_too_soft_have_a_reason():
    """At 0.4 g each stands, or it tips before, or it does not stand at rest."""
    plain, soft = drawn(300, 20), np.arange(300) % 5 == 0
    model = replace(
        plain,
        cg_height=plain.cg_height + np.where(soft, 1.3, 1.0),
        spring_rate=plain.spring_rate * np.where(soft, 0.3, 1.0),
    )
    model, settled = settle(model, TURN)
    (here,) = follow(model, settled, (0.4 * G,))
    stands = settled.converged
    none = stands & ~here.converged
    assert none.sum() > 50
    assert (~stands).sum() > 1
    # Those without a point at 0.4 g tip before it, on the path from upright.
    left = np.flatnonzero(none)[:: 1 if EVERY else 10]
    threshold = turn_and_table(model.take(left), settled_at(settled, left))[0].tip_over
    assert (threshold < 0.4 * G).all()
    # Those that do not stand topple where they are, or their weight follows the pitch so far that
    # more than half of what moves it comes back: there the search for the ride height gives up.
    down = np.flatnonzero(~stands)
    fallen, x = model.take(down), settled.x[:, down]
    topples = ~(roll_pivot(TURN.balance(fallen, x)) > 0.0)
    assert (topples | ~(pitch_comes_back(fallen, x) < 0.5)).all()


def pitch_comes_back(model, x):
    """How far the rear share that pitch gives follows the one that is put in [-]."""

    def given(share):
        solved = solve_at_field(replace(model, rear_share=share), x, TURN)
        s_f, s_r, z_f, z_r = solved.x[[2, 3, 6, 7]]
        pitch = np.where(solved.converged, (s_f + z_f - s_r - z_r) / model.wheelbase, np.nan)
        return (model.cg_height - model.roll_centre_height[0]) * pitch / model.wheelbase

    return (given(model.rear_share + 1e-6) - given(model.rear_share)) / 1e-6


def settled_at(settled, index):
    return replace(settled, x=settled.x[:, index], converged=settled.converged[index])
