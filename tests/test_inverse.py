"""The inverse questions: held against a fine scan and against a vehicle changed by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import concatenate
from rollsim.roll import SECANT_AT, results
from rollsim.sizing.amounts import MOST_LIFT, lift_amount, spring_amount
from rollsim.sizing.inverse import (
    Goal,
    Kept,
    Outcome,
    Seek,
    greatest_load,
    solve,
    worse_turn,
)
from rollsim.sizing.search import first_stretch
from rollsim.sizing.stiffness import gradients
from rollsim.sizing.variants import loaded
from rollsim.springs import LinearSpring
from rollsim.vehicle import Load, Place
from tests.builders import EVERY, ROOT, SCENARIOS, job

G = 9.80665
CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
WAGON = ROOT / "scenarios" / "wagon-roof-load.toml"
LIFTED = ROOT / "scenarios" / "arrives-loaded-and-lifted.toml"
TEN = np.linspace(0.0, 10.0, 33)


def case_of(of, name=None):
    states = mass.states(of)
    return states[2] if name is None else next(s for s in states if s.name == name)


def roof(case):
    return tuple(load for load in case.loads if load.place is Place.ROOF)


def greatest_lift(of, case, *, goal, most=MOST_LIFT):
    return solve(lift_amount(of, case, (1.0, 1.0), most=most), Seek.MOST, (goal,))


def least_rate(of, case, *, goal):
    """Of the rear springs, from the present rate up."""
    return solve(spring_amount(of, case, 1, range_of=(1.0, 4.0)), Seek.LEAST, (goal,))


def with_loads(of, case, changed):
    """A case with some of its items replaced; what stood on the scales did so all the same."""
    kept = [x for x in of.loads if x.name not in changed]
    weighed = [replace(x, cases=()) for x in of.loads if x.name in changed and x.on_when_weighed]
    new = [replace(x, on_when_weighed=False, cases=(case.name,)) for x in changed.values()]
    others = [replace(x, cases=(case.name,)) for x in kept if x in case.loads]
    rest = [replace(x, cases=()) for x in kept if x not in case.loads and x.on_when_weighed]
    loads = (*weighed, *new, *others, *rest)
    return next(r for r in results(replace(of, loads=loads), ()) if r.name == case.name)


@pytest.mark.parametrize(
    ("measure", "limit", "begin", "end", "again"),
    [
        (lambda x: x, 4.3, 0.0, 4.3, False),
        (lambda x: -x, -4.3, 4.3, 10.0, False),
        (lambda x: x, 20.0, 0.0, 10.0, False),
        (lambda x: x, -1.0, math.nan, math.nan, False),
        (lambda x: np.cos(x), 0.0, math.pi / 2, 1.5 * math.pi, True),
        (lambda x: np.where(x < 6.1, x, np.inf), 8.0, 0.0, 6.1, False),
        (lambda x: np.where(x < 6.1, np.inf, x), 8.0, 6.1, 8.0, False),
        (lambda x: np.where(x > 6.1, np.nan, x), 8.0, 0.0, 6.1, False),
    ],
)
def test_the_first_run_of_any_measure(measure, limit, begin, end, again):
    found = first_stretch(measure, limit, TEN)
    assert found.begin == pytest.approx(begin, abs=2e-5, nan_ok=True)
    assert found.end == pytest.approx(end, abs=2e-5, nan_ok=True)
    assert found.again is again
    assert found.unresolved == np.isnan(measure(TEN)).any()
    assert found.at_least == measure(TEN)[0]


@pytest.mark.parametrize("path", SCENARIOS if EVERY else SCENARIOS[::3], ids=lambda path: path.stem)
@pytest.mark.parametrize("kept", [Kept.ROLL_GRADIENT, Kept.TIP_OVER])
def test_the_greatest_roof_load_keeps_the_limit_and_no_more_does(path, kept):
    of = job(path)
    for case in mass.states(of)[2:]:
        group = roof(case)
        if not group:
            continue
        names = {load.name for load in group}
        bare = with_loads(of, case, {load.name: replace(load, mass=0.0) for load in group})
        rolls = kept is Kept.ROLL_GRADIENT
        limit = 1.05 * bare.secant_roll_gradient if rolls else 0.97 * bare.tip_over_threshold
        found = greatest_load(of, case, group, goal=Goal(kept, limit))
        assert found.outcome is Outcome.FOUND
        assert not found.unresolved
        whole = sum(load.mass for load in group)

        def measured(kilograms, names=names, case=case, group=group, whole=whole, rolls=rolls):
            changed = {x.name: replace(x, mass=kilograms * x.mass / whole) for x in group}
            assert changed.keys() == names
            result = with_loads(of, case, changed)
            if not rolls:
                return result.tip_over_threshold
            both = (result.secant_roll_gradient, result.right_secant_roll_gradient)
            return sum(both) / 2.0

        assert measured(found.amount) == pytest.approx(limit, rel=1e-5)
        sign = 1.0 if rolls else -1.0
        fine = [sign * measured(x) for x in np.linspace(0.0, 0.999 * found.amount, 12)]
        assert max(fine) <= sign * limit
        assert sign * measured(1.01 * found.amount) > sign * limit


def test_a_load_that_lessens_the_lean_again_is_not_passed_over():
    # On this wagon the rear bump stops come to work under the luggage: past some 320 kg it leans
    # less again, so the limit is kept by little and by much, and by nothing between.
    of = job(WAGON)
    case = case_of(of)
    luggage = next(load for load in case.loads if load.place is not Place.ROOF)
    vary = loaded(of, case, (luggage,))
    fine = np.linspace(0.0, 500.0, 501)
    scan = gradients(concatenate([vary(x) for x in fine]), SECANT_AT)
    assert scan.max() > 1.01 * scan[-1] > 1.01 * scan[0]
    limit = 0.5 * (scan.max() + scan[-1])
    found = greatest_load(of, case, (luggage,), goal=Goal(Kept.ROLL_GRADIENT, limit))
    first = int(np.argmax(scan > limit))
    assert fine[first - 1] <= found.amount <= fine[first]
    assert found.outcome is Outcome.FOUND
    assert found.again


def test_an_amount_that_only_more_of_it_keeps():
    # With 60 mm of lift this crew-cab has so little droop left that the inner spring pulls at
    # 0.4 g: it leans less than unlifted.
    of = job(CREW_CAB)
    case = case_of(of, "touring")
    unladen = results(of, (), only=("unladen",))[0]
    limit = 1.2 * unladen.secant_roll_gradient
    found = greatest_lift(of, case, goal=Goal(Kept.ROLL_GRADIENT, limit))
    assert found.outcome is Outcome.BETWEEN
    assert (found.out_of_droop, found.held_by_droop) == (True, True)
    lifts = np.array([0.5, 0.98, 1.02]) * found.begins
    plain = mass.model(of, case)
    many = concatenate([replace(plain, lift=np.full((2, 1), lift)) for lift in lifts])
    assert list(gradients(many, SECANT_AT) <= limit) == [False, False, True]


def test_answers_that_are_no_figure():
    of = job(CREW_CAB)
    case = case_of(of, "touring")
    group = roof(case)
    none = greatest_load(of, case, group, goal=Goal(Kept.ROLL_GRADIENT, 1e-3))
    assert none.outcome is Outcome.NONE
    assert math.isnan(none.amount)
    most = greatest_load(of, case, group, goal=Goal(Kept.ROLL_GRADIENT, 1.0), most=120.0)
    assert (most.outcome, most.amount) == (Outcome.ALL, 120.0)
    needless = least_rate(of, case, goal=Goal(Kept.ROLL_GRADIENT, 1.0))
    assert needless.outcome is Outcome.NOTHING_NEEDED
    assert needless.amount == pytest.approx(36e3)
    never = least_rate(of, case, goal=Goal(Kept.ROLL_GRADIENT, 1e-3))
    assert never.outcome is Outcome.NONE
    assert math.isnan(never.amount)
    assert never.with_most < never.with_least


def test_an_item_that_is_not_there_is_added():
    of = job(CREW_CAB)
    case = case_of(of, "work week")
    assert not roof(case)
    box = Load("box", 0.0, 1.6, 2.0, place=Place.ROOF)
    now = next(r for r in results(of, ()) if r.name == case.name)
    limit = 1.1 * now.secant_roll_gradient
    found = greatest_load(of, case, (box,), goal=Goal(Kept.ROLL_GRADIENT, limit))
    heavy = replace(box, mass=found.amount, cases=(case.name,))
    after = next(
        r for r in results(replace(of, loads=(*of.loads, heavy)), ()) if r.name == case.name
    )
    assert after.secant_roll_gradient == pytest.approx(limit, rel=1e-5)


@pytest.mark.parametrize("path", [CREW_CAB, LIFTED], ids=lambda path: path.stem)
def test_the_greatest_lift_is_counted_from_no_lift_at_all(path):
    of = job(path)
    case = mass.states(of)[2]
    without = replace(of, change=replace(of.change, on_when_weighed=False))
    bare = next(r for r in results(of, ()) if r.name == case.name)
    limit = 0.995 * bare.tip_over_threshold
    found = greatest_lift(of, case, goal=Goal(Kept.TIP_OVER, limit))
    assert found.outcome is Outcome.FOUND
    lifted = replace(
        of.change,
        suspension_lift_front=found.amount,
        suspension_lift_rear=found.amount,
        on_when_weighed=False,
    )
    if of.change.on_when_weighed:  # it was weighed lifted: its datum is the lifted height
        own = of.change.suspension_lift_front
        lifted = replace(
            lifted,
            suspension_lift_front=found.amount - own,
            suspension_lift_rear=found.amount - own,
        )
    after = next(r for r in results(replace(without, change=lifted), ()) if r.name == case.name)
    assert after.tip_over_threshold == pytest.approx(limit, rel=1e-5)


def test_a_lift_stops_where_no_droop_is_left():
    of = job(CREW_CAB)
    case = case_of(of, "work week")
    found = greatest_lift(of, case, goal=Goal(Kept.ROLL_GRADIENT, 1.0))
    assert found.outcome is Outcome.FULL_DROOP
    assert found.out_of_droop
    gaps = (of.vehicle.front.rebound_limit.gap, of.vehicle.rear.rebound_limit.gap)
    lift = replace(of.change, suspension_lift_front=found.amount, suspension_lift_rear=found.amount)
    rest = next(r for r in results(replace(of, change=lift), (0.0,)) if r.name == case.name).curve[
        0
    ]
    left = [gaps[n // 2] - travel for n, travel in enumerate(rest.spring_travel)]
    assert min(left) == pytest.approx(0.0, abs=1e-6)


def test_a_lift_that_ends_by_its_lean_says_nothing_of_droop():
    of = job(CREW_CAB)
    case = case_of(of, "work week")
    bare = replace(of, change=replace(of.change, suspension_lift_front=0, suspension_lift_rear=0))
    now = next(r for r in results(bare, ()) if r.name == case.name)
    goal = Goal(Kept.ROLL_GRADIENT, 1.01 * now.secant_roll_gradient)
    found = greatest_lift(of, case, goal=goal)
    assert found.outcome is Outcome.FOUND
    assert (found.out_of_droop, found.held_by_droop) == (False, False)
    limited = (of.vehicle.front, of.vehicle.rear)
    free = [replace(axle, rebound_limit=None) for axle in limited]
    hanging = replace(of, vehicle=replace(of.vehicle, front=free[0], rear=free[1]))
    assert not greatest_lift(hanging, case, goal=goal).held_by_droop


def test_the_lean_kept_is_that_of_the_worse_turn_with_the_lean_at_rest():
    of = job(CREW_CAB)
    name = roof(case_of(of, "touring"))[0].name

    def with_tent(**new):
        loads = (replace(x, **new) if x.name == name else x for x in of.loads)
        return replace(of, loads=tuple(loads))

    aside = with_tent(left_of_centreline=0.25)
    case = case_of(aside, "touring")
    tent = next(x for x in case.loads if x.name == name)
    at, limit = 0.3 * G, math.radians(2.6)
    found = greatest_load(aside, case, (tent,), goal=Goal(Kept.LEAN, limit, at=at))
    assert found.outcome is Outcome.FOUND
    moved = with_tent(left_of_centreline=0.25, mass=found.amount)
    leans = [
        results(moved, (at,), only=(case.name,), mirrored=side)[0].curve[0].roll_angle
        for side in (False, True)
    ]
    assert leans[1] > leans[0] + math.radians(0.1)
    assert leans[1] == pytest.approx(limit, rel=1e-5)
    turn = worse_turn(mass.model(moved, case_of(moved, "touring")), at)
    assert turn.right.tolist() == [True]
    assert turn.roll_angles[0] == pytest.approx(leans[1], rel=1e-9)
    level = worse_turn(mass.model(of, case_of(of, "touring")), at)
    assert level.right.tolist() == [False]


def test_a_lean_without_its_bend_is_refused():
    with pytest.raises(ValueError, match="at: missing"):
        Goal(Kept.LEAN, 0.05, at=None)


def test_needed_springs_are_those_of_a_vehicle_that_has_them():
    of = job(WAGON)
    case = case_of(of)
    now = next(r for r in results(of, ()) if r.name == case.name)
    limit = 0.93 * now.secant_roll_gradient
    rate = least_rate(of, case, goal=Goal(Kept.ROLL_GRADIENT, limit))
    assert rate.outcome is Outcome.FOUND
    assert rate.amount > 38e3
    rear = replace(of.vehicle.rear, spring=LinearSpring(rate.amount))
    stiff = replace(of, vehicle=replace(of.vehicle, rear=rear))
    after = next(r for r in results(stiff, ()) if r.name == case.name)
    assert after.secant_roll_gradient == pytest.approx(limit, rel=1e-5)


def test_linear_lean_may_be_the_goal():
    of = job(CREW_CAB)
    case = case_of(of, "touring")
    group = roof(case)
    bare = with_loads(of, case, {load.name: replace(load, mass=0.0) for load in group})
    limit = 1.05 * bare.roll_gradient
    found = greatest_load(of, case, group, goal=Goal(Kept.ROLL_GRADIENT, limit, at=None))
    whole = sum(load.mass for load in group)
    changed = {x.name: replace(x, mass=found.amount * x.mass / whole) for x in group}
    assert with_loads(of, case, changed).roll_gradient == pytest.approx(limit, rel=1e-5)
