"""What no decision may ever be, over every scenario and vehicles at random; seeds fixed."""

import copy
import itertools
import math
from collections import Counter
from functools import cache

import pytest
import tomlkit

from rollsim import mass, scenario
from rollsim.equilibrium import settle
from rollsim.remedies import what_else_helps
from rollsim.roll import TURN, measured_roll_gradient
from rollsim.scenario import ScenarioError, from_data
from rollsim.scenario.embedded import Source
from rollsim.scenario.pasting import pasted
from rollsim.sizing import Candidate, ObjectionKind, Sizing, size
from rollsim.sizing.choice import fitted
from tests.builders import EVERY, ROOT
from tests.random_jobs import tables

SEEDS = range(200)
HELPED = SEEDS if EVERY else SEEDS[::80]  # the helps of all of them take minutes
GROUPS = [range(first, first + 20) for first in range(0, 200, 20)]
FILES = [
    path
    for folder in ("scenarios", "tests/cases")
    for path in sorted((ROOT / folder).glob("*.toml"))
]
LEAN = {
    ObjectionKind.LEAN,
    ObjectionKind.GAIN,
    ObjectionKind.TIPS,
    ObjectionKind.NOTHING_TO_BRING_BACK,
}


@cache
def random_one(seed: int) -> tuple[Source, scenario.Scenario, Sizing] | None:
    """A vehicle of that seed; None where it does not stand."""
    data = tables(seed)
    try:
        of = from_data(copy.deepcopy(data), "random.toml")
    except ScenarioError:
        return None
    return Source("random.toml", tomlkit.dumps(data)), of, size(of.job, of.rear_bar)


def lasts_and_balances(c: Candidate, of: scenario.Scenario) -> bool:
    """By the figures, not by what stands against it."""
    limits = of.job.limits
    early = c.inner_rear_lift < limits.inner_rear_lift  # NaN: it tips first
    balanced = c.front_share_drop <= limits.front_share_drop and not early
    unresolved = any(o.kind is ObjectionKind.UNRESOLVED for o in c.objections)
    return c.safety_factor >= limits.safety_factor and balanced and not unresolved


def hold(of: scenario.Scenario, found: Sizing) -> None:
    """Every rule of a decision."""
    limits, now = of.job.limits, found.present
    nothing = found.less_than_now is None and now <= found.target * 1.05 * (1.0 + 1e-9)
    assert found.nothing_to_bring_back is nothing
    passing = []
    for c in found.candidates:
        worth = lasts_and_balances(c, of) and c.roll_gradient <= now * (1.0 - limits.least_gain)
        passing += [c] if worth else []
        within = worth and c.roll_gradient <= found.target * (1.0 + limits.gradient_tolerance)
        assert c.accepted is (within and not nothing)
        assert c.lasts_in_balance is lasts_and_balances(c, of)
    if nothing:
        assert found.choice is None
        assert found.best is None
        return
    assert (found.choice is not None) is any(c.accepted for c in found.candidates)
    assert found.choice in (None, found.candidates[0])
    least = min((c.roll_gradient for c in passing), default=math.nan)
    assert (found.best is None) is (not passing)
    assert found.best is None or found.best.roll_gradient == least
    assert (found.in_the_way == ()) is (found.choice is not None)
    keeping = [c for c in passing if c.front_load_transfer_share >= found.front_weight_share]
    stiffest = max((c.roll_stiffness for c in keeping), default=None)
    other = found.stiffest_keeping_share
    assert (None if other is None else other.roll_stiffness) == stiffest


def lean_with(of: scenario.Scenario, found: Sizing, c: Candidate) -> float:
    """Roll gradient of the case with a bar, on its own."""
    state = mass.named(of.job, found.case)
    model = mass.model(of.job, state, fitted(c, of.rear_bar))
    return float(measured_roll_gradient(*settle(model, TURN), found.at)[0])


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_decisions_over_every_scenario(path):
    of = scenario.load(path)
    if of.rear_bar is not None:
        hold(of, size(of.job, of.rear_bar))


@pytest.mark.parametrize("seeds", GROUPS, ids=str)
def test_decisions_over_vehicles_at_random(seeds):
    found = [one for one in map(random_one, seeds) if one is not None]
    assert len(found) > len(seeds) / 2
    for _, of, sizing in found:
        hold(of, sizing)
        if sizing.choice is not None:
            alone = lean_with(of, sizing, sizing.choice)
            assert alone == pytest.approx(sizing.choice.roll_gradient, rel=1e-6)
            assert alone <= 0.97 * sizing.present


def test_the_vehicles_at_random_meet_every_kind_of_answer():
    """Else the rules above would hold some of them alone."""
    seeds = itertools.chain(*GROUPS[:3])
    every = [one[2] for one in map(random_one, seeds) if one is not None]
    assert any(one.choice is not None for one in every)
    assert any(one.nothing_to_bring_back for one in every)
    assert any(one.best is not None and one.choice is None for one in every)
    against = Counter(o.kind for one in every for c in one.candidates for o in c.objections)
    assert {ObjectionKind.STRENGTH, ObjectionKind.FRONT_SHARE, *LEAN} - set(against) <= {
        ObjectionKind.TIPS
    }


@pytest.mark.parametrize("seed", HELPED)
def test_every_help_keeps_its_promise(seed):
    one = random_one(seed)
    if one is None or one[2].choice is not None or one[2].nothing_to_bring_back:
        return
    source, of, before = one
    for help_ in what_else_helps(source, of, before):
        new = scenario.loads(pasted(source.text, help_.change), "pasted.toml")
        found = size(new.job, new.rear_bar)
        hold(new, found)
        assert (found.choice is not None) is help_.accepted
        given = found.choice or found.best
        if help_.bar is None:
            assert found.nothing_to_bring_back
            assert found.present == pytest.approx(help_.roll_gradient, rel=1e-6)
            continue
        assert given.roll_gradient == pytest.approx(help_.roll_gradient, rel=1e-6)
        assert (given.section, given.lever) == (help_.bar.section, help_.bar.lever)
        assert lasts_and_balances(given, new)
        assert help_.roll_gradient <= 0.97 * before.present
