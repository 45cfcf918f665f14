"""The job sheet: what gets worse with the bar, and a front bar ordered with it."""

import functools
import math
import re
from dataclasses import replace

import pytest
import tomlkit

from rollsim import scenario, sizing
from rollsim.cautions import EMPTY_AND_WET, STIFFER_FRONT
from rollsim.cost_wording import worse_words
from rollsim.reader_units import METRIC, figure
from rollsim.remedies import pair_change
from rollsim.scenario import Source
from rollsim.scenario.pasting import pasted
from rollsim.sheet import words, work_out
from rollsim.sheet.work import Work
from rollsim.vehicle import STANDARD_GRAVITY
from rollsim.wording import caution_words, chance_words, doubt_words, hole_words
from tests.fit_page import LOW_CAR, TOURING
from tests.pairs import both_of, data_of
from tests.sheets import (
    FEW,
    FITTED,
    Page,
    columns,
    shown,
    worked,
    written,
)


def test_what_gets_worse_begins_in_plain_words():
    assert "What gets worse Empty and in the wet the tail slides earlier" in shown(TOURING)
    assert words.PLAIN_COST not in shown(LOW_CAR)


@pytest.mark.parametrize("stem", FITTED)
def test_what_gets_worse_holds_only_what_gets_worse(stem):
    _, *lines = words.worse(worked(stem), METRIC)
    assert lines
    for line in lines:
        now, was = re.search(r" at ([\d.]+) g, without this bar (.*)|$", line).groups()
        fell = re.search(r"falls from ([\d.]+) to ([\d.]+)$", line)
        more = re.search(r"(?:falls by|takes) ([\d.]+) ", line)
        adds = re.search(r"adds ([\d.]+) N/mm", line)
        if now:
            assert was == "not before it tips" or float(now) < float(was.split()[1])
        elif fell:
            assert float(fell[2]) < float(fell[1])
        elif adds:  # by hand: K/t² of the new bar less that of the old one
            assert float(adds[1]) == pytest.approx(bump_rate_added(worked(stem)), abs=0.05)
        else:
            assert float(more[1]) > 0.0


def bump_rate_added(work: Work) -> float:
    """By what a rear bar is stiffer for one wheel than the one that it replaces [N/mm].

    No wheel of these vehicles is moved out, so that the track is the one that is given.
    """
    rear = work.scenario.job.vehicle.rear
    return (work.bar.roll_stiffness - rear.bar_roll_stiffness) / rear.track**2 / 1e3


def off_and_on(work: Work, on: sizing.Candidate, off: sizing.ComesOff) -> list[str]:
    """What is said of bump and flex with a rear bar in the place of another."""
    fitted = replace(work.sizing, choice=on, rear_off=off, states=work.before)
    lines = worse_words(fitted, work.before, METRIC)
    return [line for line in lines if line.startswith(("one rear wheel", "flex"))]


def test_a_bar_in_place_of_its_like_makes_nothing_worse():
    """Put on the vehicle as it is, the chosen bar does what it was said to add and to take."""
    work = worked(TOURING)
    job = work.scenario.job
    rear = replace(job.vehicle.rear, bar_roll_stiffness=work.bar.roll_stiffness)
    stiffer = replace(job, vehicle=replace(job.vehicle, rear=rear))
    off = sizing.size(stiffer, work.scenario.rear_bar).rear_off
    assert off.one_wheel_rate == pytest.approx(work.bar.one_wheel_rate_increase, rel=1e-9)
    assert off.articulation_lost == pytest.approx(work.bar.articulation_lost, rel=1e-6)
    assert off_and_on(work, work.bar, off) == []


def test_a_bar_counts_by_what_it_has_more_than_the_one_that_comes_off():
    work = worked(TOURING)
    bar = replace(work.bar, one_wheel_rate_increase=20e3, articulation_lost=0.050)
    assert off_and_on(work, bar, sizing.ComesOff(30e3, 0.080)) == []  # a softer one
    assert off_and_on(work, bar, sizing.ComesOff(8e3, 0.030)) == [
        "one rear wheel on a bump: the bar adds 12.0 N/mm more than the one that comes off",
        "flex (articulation), rear axle: between the wheels at full axle twist the bar takes 20 mm "
        "more than the one that comes off",
    ]


def test_what_gets_worse_with_a_pair_tells_of_the_front_too():
    _, given = pair_of(TOURING)
    work = work_out(given, paired=True, samples=FEW)
    lines = "\n".join(words.worse(work, METRIC))
    front = given.job.vehicle.front
    more = (work.pair.front.roll_stiffness - front.bar_roll_stiffness) / front.track**2 / 1e3
    assert f"one front wheel on a bump: the bar adds {more:.1f} N/mm more than the one" in lines
    taken = work.pair.front.articulation_lost - work.sizing.front_off.articulation_lost
    assert 0.0 < taken < work.pair.front.articulation_lost
    assert (
        f"front axle: between the wheels at full axle twist the bar takes {taken * 1e3:.0f} mm"
        in lines
    )
    was, now = (
        next(one.inner_rear_lift for one in found if one.name == work.case)
        for found in (work.before, work.after)
    )
    assert math.isnan(was)
    lifts = f"{work.case}: the inner rear wheel lifts at {now / STANDARD_GRAVITY:.2f} g, "
    assert f"{lifts}without these bars not before it tips" in lines


def test_a_change_of_understeer_too_small_to_show_is_left_out():
    work = worked(TOURING)
    tiny = replace(work.bar, understeer_change=-1e-7, understeer_change_emptiest=-1e-7)
    fitted = replace(work.sizing, choice=tiny, states=work.after)
    assert not any("understeer" in line for line in worse_words(fitted, work.before, METRIC))


def test_understeer_that_is_not_known_is_told_from_no_change():
    work = worked(TOURING)
    assert not any("understeer falls is not known" in line for line in words.cautions(work, METRIC))
    job = work.scenario.job
    rear = replace(job.vehicle.rear, tyre=replace(job.vehicle.rear.tyre, rated_load=None))
    unrated = replace(job, vehicle=replace(job.vehicle, rear=rear))
    found = sizing.size(unrated, work.scenario.rear_bar)
    cautions = caution_words(found, METRIC)
    assert (
        "Whether understeer falls is not known: give the load that the tyres are rated for, front "
        "and rear (rated_load)."
    ) in cautions


def test_what_stays_or_gets_better_is_not_said_to_get_worse():
    work = worked(TOURING)
    better = replace(
        work.bar,
        front_share_drop=-0.05,
        understeer_change=0.01,
        understeer_change_emptiest=math.nan,
        one_wheel_rate_increase=10.0,  # N/m: 0.01 N/mm shows as none
        articulation_lost=1e-4,
    )
    lifts_before = [replace(one, inner_rear_lift=8.0) for one in work.before]
    none = replace(work.sizing, choice=better, states=lifts_before)
    assert worse_words(none, lifts_before, METRIC) == ()
    lifts_after = [*lifts_before[:-1], replace(lifts_before[-1], inner_rear_lift=7.0)]
    (lift,) = worse_words(replace(none, states=lifts_after), lifts_before, METRIC)
    assert lift == "driven empty: the inner rear wheel lifts at 0.71 g, without this bar at 0.82 g"


@functools.cache
def pair_of(stem: str, *, both: bool = True) -> tuple[Source, scenario.Scenario]:
    """A scenario with sections of a front bar to choose from, which needs a rear bar too or not."""
    source = Source("pair.toml", tomlkit.dumps((both_of if both else data_of)(stem)))
    return source, scenario.loads(source.text, source.name)


def test_a_front_and_rear_bar_are_ordered_together():
    source, given = pair_of(TOURING)
    work = work_out(given, paired=True, samples=FEW)
    pair = sizing.size(given.job, given.rear_bar, given.front_bar).pair
    bars = [(one.section, one.hole) for one in (work.pair.front, work.pair.rear)]
    assert bars == [(one.section, one.hole) for one in (pair.front, pair.rear)]
    loaded = next(one for one in work.after if one.name == work.case)
    empty = next(one for one in work.after if one.name == work.sizing.emptiest)
    assert loaded.secant_roll_gradient == pytest.approx(pair.roll_gradient, rel=1e-6)
    share = pair.front_load_transfer_share
    assert empty.front_load_transfer_share == pytest.approx(share, rel=1e-6)
    html = written(work, source)
    rows, page = columns(html), Page(html).text
    assert rows[""] == ["front bar", "rear bar"]
    for at, bar in enumerate((pair.front, pair.rear)):
        assert rows["section"][at] == bar.section.label
        assert rows["steel"][at] == bar.steel.name
        assert rows["safety factor"][at] == f"{bar.safety_factor:.2f}"
        assert rows["stress at full axle twist"][at] == f"{bar.twist_stress / 1e6:.0f} MPa"
    assert rows["comes off"][0].startswith("28 mm solid bar")
    assert f"leans {figure(pair.roll_gradient, 'deg/g')} deg/g" in page
    assert f"the front takes {share:.0%} of the weight transfer" in page
    after = work.leans[0].after
    assert after.within.low < after.value < after.within.high
    assert f"With these bars it leans about {words.band_words(after)} there" in page
    assert "the tail slides earlier" not in page
    assert STIFFER_FRONT in words.worse(work, METRIC)
    # Which end lets go sooner is said of one end alone.
    assert EMPTY_AND_WET not in words.cautions(work, METRIC)


def test_a_pair_beside_an_accepted_bar_is_told_of():
    source, given = pair_of(TOURING, both=False)
    work = work_out(given, samples=FEW)
    assert work.pair is None
    assert work.bar == work.sizing.choice
    page = Page(written(work, source)).text
    assert "A front bar alone, instead: Order a front bar alone, 34 mm solid" in page
    assert "With the new front bar" not in page  # cautions are of what is ordered
    assert EMPTY_AND_WET in words.cautions(work, METRIC)


def test_no_share_of_cases_is_all_or_none():
    job = worked(TOURING).scenario.job
    asked = replace(job, target=replace(job.target, roll_gradient=0.01))
    told = {share: chance_words(share, asked) for share in (1.0, 0.951, 0.873, 0.0)}
    assert told[0.873] == ("In 87 % of cases the lean per g is at most 5 % above the target.")
    assert told[1.0] == told[0.951] == told[0.873].replace("87", "over 95")
    assert told[0.0] == told[0.873].replace("87", "under 5")


def test_a_target_that_moves_with_the_inputs_is_told_beside_the_chance():
    job = worked(TOURING).scenario.job
    assert job.target.is_unladen
    moves = "above the target, and the target (the unladen lean) moves with the same inputs: "
    assert moves in chance_words(0.873, job)
    less = replace(job, target=replace(job.target, less_than_now=0.1))
    assert "target (a share of the lean now) moves" in chance_words(0.873, less)


def test_an_answer_that_misses_too_often_says_so():
    job = worked(TOURING).scenario.job
    assert doubt_words(None, job) == doubt_words(0.8, job) == ""
    said = "only 79 % of cases come to at most 5 % above the target."
    assert doubt_words(0.79, job).endswith(said)
    doubted = replace(worked(TOURING), chance=0.64)
    assert doubt_words(0.64, job) in words.answer(doubted, METRIC)[0]
    assert "enough" not in words.answer(worked(TOURING), METRIC)[0]


def test_a_condition_stands_in_bold_in_a_provisional_answer_too():
    work = worked("high-roof-van")
    on_it = replace(work, sizing=replace(work.sizing, disconnected_off_road=True))
    assert words.answer(on_it, METRIC)[0].startswith("Provisional: ONLY if the links are taken off")
    assert words.answer(on_it, METRIC)[0] in words.in_bold(on_it, METRIC)


def test_the_softer_hole_of_the_bar_is_driven_first():
    """Of the accepted holes the longest arm twists the bar least, so it is the softest."""
    work = worked(TOURING)
    choice, ranked = work.sizing.choice, work.sizing.candidates
    own = [c for c in ranked if c.accepted and c.section == choice.section]
    first = max(own, key=lambda c: c.lever)
    assert first.lever > choice.lever
    assert first.roll_stiffness == min(c.roll_stiffness for c in own)
    lean = figure(first.roll_gradient, "deg/g")
    (warned,) = words.warned(work, METRIC)
    assert f"Drive its 320 mm hole first ({lean} deg/g)." in warned
    assert "290 mm (320 mm for the first drive)" in words.fitting(work, METRIC)[0]
    assert hole_words(replace(work.sizing, choice=first), METRIC) == ""
    refused = next(c for c in ranked if not c.accepted)
    assert hole_words(replace(work.sizing, choice=refused), METRIC) == ""


def test_a_pair_is_the_order_where_no_bar_alone_is_accepted(monkeypatch):
    _, given = pair_of(TOURING)
    found = sizing.size(given.job, given.rear_bar, given.front_bar)
    none = replace(found, choice=None, states=())
    monkeypatch.setattr("rollsim.sheet.work.size", lambda *_: none)
    assert work_out(given, samples=FEW).pair == found.pair
    assert work_out(given, rank=1, samples=FEW).pair is None


@functools.cache
def put_in(stem: str, *, both: bool) -> tuple[Source, scenario.Scenario, scenario.Scenario]:
    """What the pair's change makes of a file, and the file as it was."""
    source, given = pair_of(stem, both=both)
    found = sizing.size(given.job, given.rear_bar, given.front_bar)
    text = pasted(source.text, pair_change(source.text, given, found))
    return Source("in.toml", text), scenario.loads(text, "in.toml"), given


def test_a_front_bar_of_the_changes_is_ordered_and_what_it_makes_worse_is_told():
    source, given, was = put_in(TOURING, both=False)
    asked = work_out(was, paired=True, samples=FEW)
    work = work_out(given, samples=FEW)
    assert asked.pair.front_is_enough
    assert work.bar is None
    # Before is without it, after with it: the same as the sheet that orders it by [front_bar].
    for one, other in ((work.before, asked.before), (work.after, asked.after)):
        for mine, its in zip(one, other, strict=True):
            assert mine.roll_gradient == pytest.approx(its.roll_gradient, rel=1e-6)
    assert words.worse(work, METRIC) == words.worse(asked, METRIC)
    lines = "\n".join(words.worse(work, METRIC))
    tips = {
        name: [r.tip_over_threshold / STANDARD_GRAVITY for r in (one, other)]
        for name, one, other in (
            (r.name, r, s) for r, s in zip(work.before, work.after, strict=True)
        )
    }
    earlier = [f"tips at {b:.2f} g, without this bar at {a:.2f} g" for a, b in tips.values()]
    shown = [a_b for a_b in tips.values() if f"{a_b[1]:.2f}" < f"{a_b[0]:.2f}"]
    assert shown
    assert any(line in lines for line in earlier)
    html = written(work, source)
    page = Page(html).text
    assert "The front bar to order" in page
    assert "No bar to order" not in page
    assert "no bar is ordered" not in page
    assert "Order the new front bar: 34 mm solid" in page
    rows = columns(html)
    assert rows["section"][0].startswith("34 mm solid bar with 250 mm arms")
    assert rows["comes off"][0].startswith("28 mm solid bar")
    assert STIFFER_FRONT in page


def test_a_front_bar_of_the_changes_is_ordered_with_the_rear_one():
    source, given, was = put_in(TOURING, both=True)
    asked, work = work_out(was, paired=True, samples=FEW), work_out(given, samples=FEW)
    assert work.is_of_two
    mine, its = (
        [line for line in words.worse(one, METRIC) if not line.startswith("understeer")]
        for one in (work, asked)
    )
    assert mine == its
    html = written(work, source)
    page, rows = Page(html).text, columns(html)
    assert "The front and rear bar to order" in page
    assert "Order the new front bar with it: 36 mm solid" in page
    assert rows[""] == ["front bar", "rear bar"]
    assert rows["section"][0].startswith("36 mm solid bar")
    assert rows["section"][1] == work.bar.section.label
    assert "With these bars it leans" in page
