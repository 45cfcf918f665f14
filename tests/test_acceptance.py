"""Which bars are accepted, in what order, and what is in the way: on candidates made by hand."""

import math
from dataclasses import replace
from functools import lru_cache

import pytest

from rollsim.bar import (
    Installation,
    Mount,
    RearBar,
    Section,
    Stock,
    find_steel,
    straight_u,
)
from rollsim.sizing import Candidate, Objection, ObjectionKind, Obstacle, size
from rollsim.sizing.acceptance import (
    Wanted,
    best,
    in_the_way,
    objections,
    only_in_its_softest_hole,
    ranking,
    stiffest_keeping_share,
    stopped_by,
)
from rollsim.vehicle import Limits, Target
from tests.builders import ROOT, job

G = 9.80665
CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
STEEL = find_steel("52CrMoV4 hardened and tempered")


@lru_cache
def sized():
    """Any sizing, whose candidates lend their other figures."""
    shape = straight_u(centre_length=0.94, lever=0.29, splay=0.2)
    stocks = (Stock(STEEL, (Section(0.021, None), Section(0.023, None))),)
    rear_bar = RearBar(Mount.AXLE, 1.0, 0.82, (shape,), None, None, Installation(), stocks)
    return size(replace(job(CREW_CAB), target=Target(case="touring")), rear_bar)


def made(**of) -> Candidate:
    """A candidate with figures made up for the rules below."""
    return replace(sized().candidates[0], objections=(), **of)


def against(*kinds: ObjectionKind) -> tuple[Objection, ...]:
    return tuple(Objection(kind, 1.0, 0.5) for kind in kinds)


OK, KIND = (), ObjectionKind
THICK, THIN = Section(0.025, None), Section(0.020, None)


def columns(*bars: tuple[Section, float, float, float]) -> dict:
    """Section, arm, gradient (the target is 1) and stiffness of each bar."""
    section, lever, gradient, stiffness = (list(x) for x in zip(*bars, strict=True))
    return {
        "steel": [STEEL] * len(bars),
        "section": section,
        "part": [None] * len(bars),
        "lever": lever,
        "roll_gradient": gradient,
        "roll_stiffness": stiffness,
        "mass": [5.0] * len(bars),
    }


def test_within_two_per_cent_of_the_nearest_the_softer_comes_first():
    bars = columns(
        (Section(0.020, None), 0.29, 1.031, 1e4),
        (Section(0.021, None), 0.29, 1.020, 2e4),
        (Section(0.022, None), 0.29, 1.000, 3e4),
        (Section(0.023, None), 0.29, 0.982, 4e4),
        (Section(0.024, None), 0.29, 0.950, 5e4),
    )
    assert ranking(bars, [OK] * 5, 1.0) == [1, 2, 3, 0, 4]


def test_of_the_near_ones_a_bar_with_accepted_holes_on_both_sides_comes_first():
    bars = columns(
        (THIN, 0.29, 1.000, 1e4),
        (THICK, 0.23, 0.985, 4e4),
        (THICK, 0.26, 1.010, 3e4),
        (THICK, 0.29, 1.020, 2e4),
    )
    assert ranking(bars, [OK] * 4, 1.0) == [2, 0, 3, 1]


def test_a_refused_hole_is_no_hole_to_move_to():
    bars = columns(
        (THIN, 0.29, 1.000, 1e4),
        (THICK, 0.23, 0.985, 4e4),
        (THICK, 0.26, 1.010, 3e4),
        (THICK, 0.29, 1.020, 2e4),
    )
    stands = [OK, OK, OK, against(KIND.STRENGTH)]
    assert ranking(bars, stands, 1.0) == [0, 2, 1, 3]


def test_holes_of_another_steel_are_no_holes_to_move_to():
    bars = columns(
        (THIN, 0.29, 1.000, 1e4),
        (THICK, 0.23, 0.985, 4e4),
        (THICK, 0.26, 1.010, 3e4),
        (THICK, 0.29, 1.020, 2e4),
    )
    bars["steel"][1] = find_steel("51CrV4 spring temper")
    assert ranking(bars, [OK] * 4, 1.0) == [0, 3, 2, 1]


def test_holes_on_both_sides_do_not_make_up_for_more_than_two_per_cent():
    bars = columns(
        (THIN, 0.29, 1.000, 4e4),
        (THICK, 0.23, 1.020, 3e4),
        (THICK, 0.26, 1.030, 2e4),
        (THICK, 0.29, 1.040, 1e4),
    )
    assert ranking(bars, [OK] * 4, 1.0) == [1, 0, 2, 3]


def test_refused_bars_come_last_the_nearest_of_them_first():
    bars = columns(
        (THIN, 0.23, math.inf, 1e4),
        (THIN, 0.26, 1.100, 2e4),
        (THICK, 0.23, 1.001, 3e4),
        (THICK, 0.26, 1.040, 4e4),
    )
    stands = [against(KIND.TIPS), against(KIND.LEAN), against(KIND.STRENGTH), OK]
    assert ranking(bars, stands, 1.0) == [3, 2, 1, 0]


def objected(gradient: float, *, present: float, less_than_now: bool = False) -> set[ObjectionKind]:
    """What stands against a bar that brings that gradient, for a target of 1."""
    bars = {
        "roll_gradient": [gradient],
        "peak_stress": [1e9],
        "allowable_stress": [2e9],
        "inner_rear_lift": [9.0],
        "front_share_drop": [0.05],
    }
    (found,) = objections(bars, Limits(), Wanted(1.0, present, less_than_now))
    return {objection.kind for objection in found}


@pytest.mark.parametrize(
    ("gradient", "present", "kinds"),
    [
        (1.05, 1.30, set()),
        (1.0501, 1.30, {KIND.LEAN}),
        (0.30, 1.30, set()),
        (0.97 * 1.07, 1.07, set()),
        (0.9701 * 1.07, 1.07, {KIND.GAIN}),
        (1.08, 1.07, {KIND.LEAN, KIND.GAIN}),
        (1.05, math.inf, set()),
        (math.inf, 1.30, {KIND.TIPS}),
        (1.00, 1.05, {KIND.NOTHING_TO_BRING_BACK}),
        (1.00, 1.0501, set()),
    ],
)
def test_lean_and_gain_at_their_edges(gradient, present, kinds):
    assert objected(gradient, present=present) == kinds


def test_less_than_now_asks_for_a_bar_however_little_is_to_be_brought_back():
    # 3 % less than now: the target itself is the least gain.
    assert objected(1.0, present=1.0 / 0.97, less_than_now=True) == set()
    assert objected(1.01, present=1.0 / 0.97, less_than_now=True) == {KIND.GAIN}


def test_share_of_the_gap():
    wanted = Wanted(1.0, 1.5, less_than_now=False)
    shares = [wanted.gap_closed(x) for x in (1.6, 1.5, 1.25, 1.0, 0.8)]
    assert shares == [0.0, 0.0, 0.5, 1.0, 1.0]
    assert math.isnan(Wanted(1.0, 0.9, less_than_now=False).gap_closed(0.8))
    tips = Wanted(1.0, math.inf, less_than_now=False)
    assert tips.gap_closed(1.0) == 1.0
    assert math.isnan(tips.gap_closed(1.2))


def refused(gradient: float, *kinds: ObjectionKind) -> Candidate:
    return replace(made(roll_gradient=gradient), objections=against(*kinds))


@pytest.mark.parametrize(
    ("bars", "found"),
    [
        # Every bar that leans little enough is too weak, and some are too stiff as well.
        (
            [
                (0.9, KIND.STRENGTH, KIND.FRONT_SHARE),
                (1.0, KIND.STRENGTH),
                (1.2, KIND.LEAN),
            ],
            (Obstacle.STRENGTH,),
        ),
        # One fails here, one there: both are in the way.
        (
            [(0.9, KIND.FRONT_SHARE), (1.0, KIND.STRENGTH)],
            (Obstacle.STRENGTH, Obstacle.BALANCE),
        ),
        ([(1.0, KIND.WHEEL_LIFT), (1.2, KIND.LEAN)], (Obstacle.WHEEL_LIFT,)),
        # Nothing comes down to the target: the strongest of them is the stiffest there is.
        ([(1.2, KIND.LEAN), (1.3, KIND.LEAN)], (Obstacle.STIFFNESS,)),
        # A stiffer one than the best is too weak.
        (
            [(1.1, KIND.LEAN, KIND.STRENGTH), (1.2, KIND.LEAN)],
            (Obstacle.STRENGTH, Obstacle.STIFFNESS),
        ),
        # Only a softer one than the best is too weak: its strength is not in the way.
        ([(1.2, KIND.LEAN), (1.3, KIND.LEAN, KIND.STRENGTH)], (Obstacle.STIFFNESS,)),
        ([(math.inf, KIND.TIPS)], (Obstacle.STIFFNESS,)),
    ],
)
def test_what_is_in_the_way(bars, found):
    assert in_the_way([refused(*one) for one in bars]) == found


def test_an_obstacle_is_shown_by_the_nearest_bar_that_meets_it():
    bars = [
        refused(0.80, KIND.STRENGTH),
        refused(0.98, KIND.STRENGTH, KIND.FRONT_SHARE),
        refused(1.01, KIND.FRONT_SHARE),
        refused(math.inf, KIND.TIPS, KIND.WHEEL_LIFT),
    ]
    assert stopped_by(bars, Obstacle.STRENGTH, 1.0) is bars[1]
    assert stopped_by(bars, Obstacle.BALANCE, 1.0) is bars[2]
    assert stopped_by(bars, Obstacle.WHEEL_LIFT, 1.0) is None
    assert stopped_by(bars, Obstacle.STIFFNESS, 1.0) is bars[0]
    assert stopped_by(bars[3:], Obstacle.STIFFNESS, 1.0) is None


def test_the_best_bar_lasts_keeps_the_balance_and_leans_less_than_now():
    bars = [
        refused(1.40, KIND.LEAN),
        refused(1.20, KIND.LEAN),
        refused(1.10, KIND.LEAN, KIND.STRENGTH),
        refused(1.00, KIND.FRONT_SHARE),
        refused(0.99, KIND.WHEEL_LIFT),
        refused(0.98, KIND.UNRESOLVED),
        refused(0.97, KIND.LEAN, KIND.GAIN),
        refused(math.inf, KIND.TIPS),
    ]
    assert best(bars) is bars[1]
    assert best(bars[2:]) is None
    assert best([*bars, made(roll_gradient=0.9)]).accepted
    assert best([refused(0.9, KIND.NOTHING_TO_BRING_BACK)]) is None


def test_the_stiffest_that_leaves_the_front_its_share_of_the_weight():
    def bar_with(share: float, stiffness: float, *kinds: ObjectionKind) -> Candidate:
        one = made(front_load_transfer_share=share, roll_stiffness=stiffness)
        return replace(one, objections=against(*kinds))

    bars = [
        bar_with(0.54, 4e4),
        bar_with(0.55, 3e4, KIND.LEAN),
        bar_with(0.56, 2e4, KIND.LEAN),
        bar_with(0.57, 5e4, KIND.STRENGTH),
        bar_with(0.57, 6e4, KIND.LEAN, KIND.GAIN),
    ]
    assert stiffest_keeping_share(bars, 0.55) is bars[1]
    assert stiffest_keeping_share(bars, 0.5501) is bars[2]
    assert stiffest_keeping_share(bars, 0.58) is None


def test_only_in_its_softest_hole():
    def hole(lever: float, *kinds: ObjectionKind, section: Section = THICK) -> Candidate:
        return replace(made(section=section, lever=lever), objections=against(*kinds))

    longest, middle = hole(0.32), hole(0.29)
    too_stiff = hole(0.29, KIND.FRONT_SHARE)
    other = hole(0.35, section=THIN)
    assert only_in_its_softest_hole(longest, (longest, too_stiff, other))
    assert not only_in_its_softest_hole(longest, (longest, middle))
    assert not only_in_its_softest_hole(middle, (middle, hole(0.32, KIND.LEAN)))
    assert not only_in_its_softest_hole(longest, (longest, other))
