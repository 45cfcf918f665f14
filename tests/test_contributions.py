"""What each load and change adds: the steps lead from unladen to the case and add up."""

import math
from dataclasses import replace
from itertools import permutations

import pytest

from rollsim.mass import states
from rollsim.roll import results
from rollsim.roll.contributions import ORDER, Part, contributions, stages
from rollsim.springs import LinearSpring
from rollsim.vehicle import Change, Place
from tests.builders import ROOT, SCENARIOS, job

G = 9.80665
CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
LIFTED = ROOT / "scenarios" / "arrives-loaded-and-lifted.toml"
AT = (0.2 * G, 0.35 * G)
NAMES = ("secant_roll_gradient", "tip_over_threshold", "inner_front_lift", "inner_rear_lift")


def same(stage, result):
    for name in NAMES:
        assert getattr(stage, name) == pytest.approx(
            getattr(result, name), rel=1e-9, nan_ok=True
        ), name
    curve = {p.lateral_acceleration: p.roll_angle for p in result.curve}
    for lateral, roll in zip(AT, stage.roll_angles, strict=True):
        assert roll == pytest.approx(curve.get(lateral, math.nan), rel=1e-9, nan_ok=True)
    assert len(stage.points) == len(result.curve)
    for point, drawn in zip(stage.points, result.curve, strict=True):
        assert point.arch_rise == pytest.approx(drawn.arch_rise, rel=1e-9, abs=1e-9)
        assert point.wheel_loads == pytest.approx(drawn.wheel_loads, rel=1e-7, abs=1e-4)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_from_unladen_to_every_state(path, mirrored):
    of = job(path)
    shown = results(of, AT, mirrored=mirrored)
    for result in shown[1:]:
        found = stages(of, result.name, AT, mirrored=mirrored)
        same(found[0], shown[0])
        same(found[-1], result)
        added = contributions(found)
        assert len(added) == len(found) - 1
        whole = result.secant_roll_gradient - shown[0].secant_roll_gradient
        assert sum(c.secant_roll_gradient for c in added) == pytest.approx(whole, abs=1e-14)
        whole = result.tip_over_threshold - shown[0].tip_over_threshold
        assert sum(c.tip_over_threshold for c in added) == pytest.approx(whole, abs=1e-12)
        for n in range(len(AT)):
            whole = found[-1].roll_angles[n] - found[0].roll_angles[n]
            assert sum(c.roll_angles[n] for c in added) == pytest.approx(
                whole, abs=1e-14, nan_ok=True
            )


def everything():
    """A crew-cab on which all that can be altered is."""
    of = job(CREW_CAB)
    change = Change(
        suspension_lift_front=0.03,
        suspension_lift_rear=0.04,
        tyre_radius=0.02,
        body_lift=0.05,
        body_lift_mass=700.0,
        rear_spring=LinearSpring(44e3),
    )
    return replace(of, change=change)


def test_every_part_is_a_step_and_the_order_is_kept():
    found = stages(everything(), "touring")
    assert tuple(stage.step.part for stage in found[1:]) == ORDER
    back = stages(everything(), "touring", order=ORDER[::-1])
    assert tuple(stage.step.part for stage in back[1:]) == ORDER[::-1]
    first = stages(everything(), "touring", order=(Part.TYRES,))
    assert tuple(s.step.part for s in first[1:]) == (
        Part.TYRES,
        *(part for part in ORDER if part is not Part.TYRES),
    )
    assert back[-1].secant_roll_gradient == pytest.approx(found[-1].secant_roll_gradient, rel=1e-9)


@pytest.mark.parametrize("on_when_weighed", [False, True])
@pytest.mark.parametrize("order", list(permutations(ORDER[2:5])))
def test_a_stage_is_the_vehicle_with_those_changes_alone(order, on_when_weighed):
    """Against a vehicle that has only the changes so far, weighed without any of them."""
    of = everything()
    of = replace(of, loads=(), change=replace(of.change, on_when_weighed=on_when_weighed))
    found = stages(of, "as_used", AT, order=order)
    if on_when_weighed:
        same(found[0], results(of, AT, only=("unladen",))[0])
        same(found[-1], results(of, AT, only=("as_used",))[0])
        return
    made = Change(body_lift_mass=of.change.body_lift_mass)
    fields = {
        Part.SUSPENSION_LIFT: ("suspension_lift_front", "suspension_lift_rear"),
        Part.BODY_LIFT: ("body_lift",),
        Part.TYRES: ("tyre_radius",),
    }
    for part, stage in zip(order, found[1:4], strict=True):
        made = replace(made, **{name: getattr(of.change, name) for name in fields[part]})
        assert stage.step.part is part
        same(stage, results(replace(of, change=made), AT, only=("as_used",))[0])


def test_a_weighed_lift_is_taken_out_first_and_put_back_on():
    of = job(LIFTED)
    found = stages(of, "as_used", AT)
    assert [s.step.part for s in found[1:]] == [
        Part.ROOF_LOADS,
        Part.OTHER_LOADS,
        Part.SUSPENSION_LIFT,
    ]
    # Loaded but not lifted: the same vehicle had it not been lifted in use.
    low = replace(
        of,
        change=replace(
            of.change,
            suspension_lift_front=-of.change.suspension_lift_front,
            suspension_lift_rear=-of.change.suspension_lift_rear,
            on_when_weighed=False,
        ),
    )
    same(found[2], results(low, AT, only=("as_used",))[0])


def test_each_item_may_be_a_step():
    of = job(CREW_CAB)
    case = next(s for s in states(of) if s.name == "touring")
    found = stages(of, "touring", AT, each_item=True)
    items = [s.step.items[0] for s in found[1:] if s.step.items]
    roof = [x.name for x in case.loads if x.place is Place.ROOF]
    assert items == roof + [x.name for x in case.loads if x.place is not Place.ROOF]
    grouped = stages(of, "touring", AT)
    after_roof = next(s for s in found if s.step and s.step.items == (roof[-1],))
    for name in NAMES:
        assert getattr(after_roof, name) == pytest.approx(
            getattr(grouped[1], name), rel=1e-9, nan_ok=True
        )


def test_a_roof_load_adds_to_the_lean_and_takes_from_the_tipping_point():
    for path in SCENARIOS:
        for state in states(job(path))[2:]:
            for step in contributions(stages(job(path), state.name, AT)):
                if step.step.part is Part.ROOF_LOADS:
                    assert step.secant_roll_gradient > 0.0
                    assert step.tip_over_threshold < 0.0


def test_a_state_that_is_not_there():
    with pytest.raises(ValueError, match="case: found 'picnic'; allowed unladen, as_weighed, "):
        stages(job(CREW_CAB), "picnic")
