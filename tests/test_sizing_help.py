"""What else helps, carried out: with the amount named, the vehicle meets the target kept."""

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from rollsim import mass
from rollsim.mass import FittedBar
from rollsim.roll import results
from rollsim.scenario import Scenario, load
from rollsim.sizing import Help, HelpKind, Sizing, size
from rollsim.sizing.choice import fitted
from rollsim.sizing.stiffness import RIGID, gradients
from rollsim.springs import LinearSpring
from rollsim.vehicle import Axle, Job, Target
from tests.builders import ROOT

BEYOND = "beyond-a-bar.toml"
GATE = "balance-gate-binds.toml"
CREW_CAB = "crew-cab-touring.toml"
EVERY_BAR = FittedBar(np.array([0.0, *np.geomspace(1e3, 1e6, 400), RIGID]))


@lru_cache
def scenario(name: str) -> Scenario:
    return load(ROOT / "scenarios" / name)


@lru_cache
def sized(name: str) -> Sizing:
    return size(scenario(name).job, scenario(name).rear_bar)


@lru_cache
def sized_for_half_way(kind: HelpKind) -> tuple[Job, Sizing]:
    """The crew-cab, for a target that half of what a measure can do would meet.

    No bar is strong enough for the safety factor asked, so that there has to be help. The second
    stage is set to begin where the load has it at work.
    """
    of = scenario(CREW_CAB)
    vehicle = of.job.vehicle
    spring = replace(vehicle.rear.spring, stage_start=0.015)
    vehicle = replace(vehicle, rear=replace(vehicle.rear, spring=spring))
    limits = replace(of.job.limits, safety_factor=50.0)
    job = replace(of.job, vehicle=vehicle, limits=limits)
    out_of_reach = replace(job, target=Target(roll_gradient=1e-4, case="touring"))
    first = size(out_of_reach, of.rear_bar)
    all_of_it = next(h for h in first.helps if h.kind is kind).remaining
    start = first.help_bar.roll_gradient
    if kind is HelpKind.LOAD_AND_LIFT:  # told only where neither alone does
        alone = (HelpKind.LOAD, HelpKind.LIFT)
        start = min(h.remaining for h in first.helps if h.kind in alone)
    half_way = (all_of_it + start) / 2.0
    job = replace(job, target=Target(roll_gradient=half_way, case="touring"))
    return job, size(job, of.rear_bar)


def stiffer_spring(axle: Axle, times: float) -> Axle:
    spring = axle.spring
    assert isinstance(spring, LinearSpring)
    return replace(
        axle,
        spring=replace(spring, rate=spring.rate * times, stage_rate=spring.stage_rate * times),
    )


def carried_out(of: Job, measure: Help, amount: float) -> Job:
    """The job with that much of a measure taken."""
    vehicle, change = of.vehicle, of.change
    match measure.kind:
        case HelpKind.LOAD:
            item = next(x for x in of.loads if x.name == measure.subject)
            lighter = replace(item, mass=item.mass - amount)
            return replace(of, loads=tuple(lighter if x is item else x for x in of.loads))
        case HelpKind.LIFT:
            lower = replace(
                change,
                suspension_lift_front=change.suspension_lift_front * (1.0 - amount),
                suspension_lift_rear=change.suspension_lift_rear * (1.0 - amount),
            )
            return replace(of, change=lower)
        case HelpKind.LOAD_AND_LIFT:
            load = replace(measure, kind=HelpKind.LOAD)
            lighter = carried_out(of, load, amount * measure.whole[0])
            return carried_out(lighter, replace(measure, kind=HelpKind.LIFT), amount)
        case HelpKind.REAR_SPRINGS:
            assert change.rear_spring is None
            return replace(of, vehicle=replace(vehicle, rear=stiffer_spring(vehicle.rear, amount)))
        case HelpKind.FRONT_BAR:
            stiffness = vehicle.front.bar_roll_stiffness + amount
            front = replace(vehicle.front, bar_roll_stiffness=stiffness)
            return replace(of, vehicle=replace(vehicle, front=front))


def whole_of(measure: Help) -> float:
    """The greatest amount; of a lift all of it, whatever its height."""
    shares = (HelpKind.LIFT, HelpKind.LOAD_AND_LIFT)
    return 1.0 if measure.kind in shares else measure.whole[0]


def with_the_bar_named(of: Job, answer: Sizing, name: str) -> float:
    """Secant roll gradient of the case, with the bar that the help is counted with."""
    bar = fitted(answer.help_bar, scenario(name).rear_bar)
    return results(of, (), bar, only=(answer.case,))[0].secant_roll_gradient


def with_the_best_bar(of: Job, answer: Sizing) -> float:
    """The least that a fine scan of rear bars finds."""
    case = next(s for s in mass.states(of) if s.name == answer.case)
    return gradients(mass.with_bar(mass.model(of, case), of, EVERY_BAR), answer.at).min()


@pytest.mark.parametrize("kind", [HelpKind.REAR_SPRINGS, HelpKind.FRONT_BAR])
def test_where_the_gate_binds_the_measure_meets_the_target(kind):
    of, answer = scenario(GATE).job, sized(GATE)
    measure = next(h for h in answer.helps if h.kind is kind)
    without = with_the_bar_named(of, answer, GATE)
    found = with_the_bar_named(carried_out(of, measure, measure.amount), answer, GATE)
    assert without > answer.target * 1.05
    # The search stops within 1e-6 of the amount; far inside the 0.5 % that a fitter could tell.
    assert found == pytest.approx(answer.target, rel=1e-4)


@pytest.mark.parametrize("kind", list(HelpKind))
def test_half_way_the_measure_meets_the_target(kind):
    of, answer = sized_for_half_way(kind)
    measure = next(h for h in answer.helps if h.kind is kind)
    assert 0.0 < measure.amount < whole_of(measure)
    found = with_the_bar_named(carried_out(of, measure, measure.amount), answer, CREW_CAB)
    assert found == pytest.approx(answer.target, rel=1e-4)


@pytest.mark.parametrize("name", [BEYOND, GATE])
@pytest.mark.parametrize("kind", list(HelpKind))
def test_all_of_a_measure_leaves_what_it_says(name, kind):
    answer = sized(name)
    measure = next((h for h in answer.helps if h.kind is kind), None)
    if measure is None:
        assert kind in (HelpKind.LIFT, HelpKind.LOAD_AND_LIFT)
        assert scenario(name).job.change.suspension_lift_rear == 0.0
        return
    of = carried_out(scenario(name).job, measure, whole_of(measure))
    found = with_the_bar_named(of, answer, name)
    assert found == pytest.approx(measure.remaining, rel=1e-6)
    assert math.isnan(measure.amount) == (found > answer.target)


@pytest.mark.parametrize("kind", [HelpKind.LOAD, HelpKind.LIFT, HelpKind.FRONT_BAR])
def test_beyond_a_bar_the_measure_brings_the_target_within_reach(kind):
    of, answer = scenario(BEYOND).job, sized(BEYOND)
    measure = next(h for h in answer.helps if h.kind is kind)
    assert with_the_best_bar(of, answer) > answer.target * 1.02
    found = with_the_best_bar(carried_out(of, measure, measure.amount_any_bar), answer)
    # 0.1 %: the least over rear bars is sharp, and the scan here steps by 1.7 %.
    assert found == pytest.approx(answer.target, rel=1e-3)


def test_beyond_a_bar_no_rear_spring_brings_the_target_within_reach():
    of, answer = scenario(BEYOND).job, sized(BEYOND)
    measure = next(h for h in answer.helps if h.kind is HelpKind.REAR_SPRINGS)
    assert math.isnan(measure.amount_any_bar)
    for times in np.linspace(1.0, measure.whole[0], 13):
        assert with_the_best_bar(carried_out(of, measure, times), answer) > answer.target
