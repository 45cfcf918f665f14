"""The job sheet: what stands on it, what it holds, and that nothing typed can harm it."""

import functools
import json
import math
import re
import tomllib
from dataclasses import replace
from datetime import date
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
import tomlkit

from rollsim import mass, roll, scenario, sizing
from rollsim.cautions import AFTER_LIFT, EMPTY_AND_WET, STIFFER_FRONT
from rollsim.cli import main
from rollsim.cost_wording import worse_words
from rollsim.lift_check import lift_check
from rollsim.lift_wording import damper_words, wheel_words
from rollsim.page import answers, bars, fields, outcome
from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem, figure
from rollsim.record.kept import job_in
from rollsim.scenario import ScenarioError, Source
from rollsim.scenario.editing import changed
from rollsim.scenario.embedded import embed, extract
from rollsim.sheet import Paper, job_sheet, picture_to_send, words, work_out
from rollsim.sheet.lift import lift_sheet
from rollsim.sheet.work import LEAN_AT, Work
from rollsim.spring_check import spring_checks
from rollsim.tolerance import band, lean_samples
from rollsim.units import Quantity, to_unit
from rollsim.vehicle import STANDARD_GRAVITY
from rollsim.wording import bar_words, caution_words, chance_words
from tests.fit_page import BEYOND, EXAMPLES, FILES, GATE, LOW_CAR, TOURING, VAN, WITH_A_BAR
from tests.test_pair import data_of

ROOT = Path(__file__).resolve().parents[1]
DAY = date(2026, 1, 31)
FEW = 16  # samples of a band where the band itself is not what is tested
FITTED = tuple(stem for stem in WITH_A_BAR if stem not in (GATE, BEYOND))
NASTY = '</title></style><script>alert(1)</script><img src=x onerror="alert(2)"> & \'"}'


@functools.cache
def worked(stem: str) -> Work:
    return work_out(scenario.load(FILES[stem]), samples=FEW)


@functools.cache
def sheet(stem: str) -> str:
    return written(worked(stem), scenario.source(FILES[stem]))


def written(work: Work, source: Source, **options) -> str:
    return job_sheet(work, source, day=DAY, version="1.2.3", **options)


def of_text(text: str, **options) -> str:
    work = work_out(scenario.loads(text, "typed.toml"), samples=FEW)
    return written(work, Source("typed.toml", text), **options)


class Page(HTMLParser):
    """Tags with their attributes, and the text outside `<style>`."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.style: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        inside = self.tags and self.tags[-1][0] == "style" and self.get_starttag_text() == "<style>"
        (self.style if inside and "@page" in data else self.words).append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


@functools.cache
def shown(stem: str) -> str:
    return Page(sheet(stem)).text


def spec(html: str) -> dict[str, str]:
    """The table of the bar to order."""
    return {name: values[0] for name, values in columns(html).items()}


def columns(html: str) -> dict[str, list[str]]:
    """The same with a value for each bar."""
    table = re.search(r'<table class="spec[ a-z]*">(.*?)</table>', html, re.DOTALL)
    if table is None:
        return {}
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", table[1])
    cells = [[unescape(cell) for cell in re.findall("<td>(.*?)</td>", row)] for row in rows]
    return {name: values for name, *values in cells}


def leaves(here: object) -> list[object]:
    if isinstance(here, dict):
        return [leaf for value in here.values() for leaf in leaves(value)]
    if isinstance(here, list):
        return [leaf for value in here for leaf in leaves(value)]
    return [here]


@pytest.mark.parametrize("stem", EXAMPLES)
def test_every_input_stands_there_with_its_mark(stem):
    data = tomllib.loads(FILES[stem].read_text(encoding="utf-8"))
    page = shown(stem)
    for leaf in leaves(data):
        if isinstance(leaf, str) and leaf != "class default":
            assert " ".join(leaf.split()) in page, leaf
    assumed = scenario.load(FILES[stem]).assumed
    for line in assumed:
        value, _, spread = line.partition(" = ")[2].partition(" (")[0].partition(" ± ")
        assert f"{value.split()[0]} ± {spread}" in page, line  # the unit once, behind the band
    marks = re.findall(r"<i>(\w)</i>", sheet(stem))
    assert set(marks) <= {"M", "A"}
    assert marks.count("A") == len(assumed)
    assert page.count("M measured") == 1
    given = [leaf for leaf in leaves(data) if isinstance(leaf, str)]
    assert marks.count("M") == sum("±" in leaf for leaf in given)


def test_marks_stand_beside_their_values():
    found = re.findall(r"<span>([^<]+)</span><span>[^<]+(?:<i>(\w)</i>)?</span>", sheet(VAN))
    entries = dict(found)
    assert entries["cg height"] == "A"
    assert entries["roof height"] == "M"
    assert entries["wheelbase"] == ""
    assert entries["spring base"] == "A"


@pytest.mark.parametrize("stem", EXAMPLES)
def test_over_a_rating_is_boxed_in_both_places(stem):
    work = worked(stem)
    found = work.after or work.before
    over = {(r.name, c.name) for r in found for c in r.ratings if c.over and r.name != "as_weighed"}
    table = re.findall(r'<td class="n over">[\d,]+ OVER</td>', sheet(stem))
    assert len(table) == len(over)
    assert ("OVER A RATING" in shown(stem)) == bool(over)
    assert shown(stem).count("too much") == len(over)
    assert bool(over) == (stem == BEYOND)


@pytest.mark.parametrize("stem", FITTED)
def test_the_bar_to_order_is_the_one_that_is_chosen(stem):
    choice = sizing.size(worked(stem).scenario.job, worked(stem).scenario.rear_bar).choice
    rows = spec(sheet(stem))
    assert rows["section"] == choice.section.label
    assert rows["steel"] == choice.steel.name
    assert rows["hole, both sides"].startswith(f"{choice.lever * 1e3:.0f} mm")
    assert rows["safety factor"] == f"{choice.safety_factor:.2f}"
    assert rows["stress at full axle twist"] == f"{choice.twist_stress / 1e6:.0f} MPa"
    assert rows["stiffness at the link"] == f"{choice.link_end_rate / 1e3:.1f} N/mm"
    assert f"same hole on both sides: {choice.lever * 1e3:.0f} mm" in shown(stem)
    assert rows["comes off"]


def test_the_bar_to_order_by_hand():
    # U of 940 mm, holes 260, 290 and 320 mm, splay 12 deg, bends of 50 mm, worked on paper.
    rows = spec(sheet(TOURING))
    assert rows["hole, both sides"] == "290 mm, hole 2 of 3"
    assert rows["centre, corner to corner"] == "940 mm"
    assert rows["arms splayed by"] == "12.0°"
    ends = 940.0 + 2.0 * 290.0 * math.tan(math.radians(12.0))
    assert rows["link end to link end"] == f"{ends:.0f} mm"
    turn = math.radians(78.0)
    cut = 2.0 * 50.0 * math.tan(turn / 2.0) - 50.0 * turn  # a bend is shorter than its corner
    length = 940.0 + 2.0 * 290.0 / math.cos(math.radians(12.0)) - 2.0 * cut
    assert rows["length along the bar"] == f"{length:.0f} mm"
    assert rows["arm off level"].startswith("0° / -")


@pytest.mark.parametrize("stem", [stem for stem in EXAMPLES if stem != VAN])
def test_lean_at_0_3_g_is_that_of_the_command(stem):
    work = worked(stem)
    assert not any(result.static_lean for result in work.before)
    for one in work.leans:
        for lean, found in ((one.before, work.before), (one.after, work.after)):
            if lean is None:
                continue
            result = next(r for r in found if r.name == one.name)
            point = next(p for p in result.curve if p.lateral_acceleration == LEAN_AT)
            assert lean.value == pytest.approx(point.roll_angle, abs=1e-12)
            assert words.degrees(lean.value) in shown(stem)


def test_an_off_centre_load_leans_by_the_mean_of_both_bends():
    job, name = worked(VAN).scenario.job, worked(VAN).case
    left, right = (
        roll.results(job, (LEAN_AT,), only=(name,), mirrored=turned)[0] for turned in (False, True)
    )
    leans = [one.curve[-1].roll_angle - one.static_lean for one in (left, right)]
    assert abs(leans[0] - leans[1]) > 1e-5
    assert worked(VAN).leans[0].before.value == pytest.approx(sum(leans) / 2.0)


def test_a_mirrored_vehicle_gets_the_same_sheet():
    text = FILES[VAN].read_text(encoding="utf-8")
    other = changed(
        text,
        {
            "vehicle.front_left_mass": "555 kg ± 5 kg",
            "vehicle.front_right_mass": "560 kg ± 5 kg",
            "vehicle.rear_left_mass": "435 kg ± 5 kg",
            "vehicle.rear_right_mass": "440 kg ± 5 kg",
            "load[0].left_of_centreline": "-550 mm",
        },
    )
    mirrored = work_out(scenario.loads(other, VAN), samples=FEW)
    for one, same in zip(worked(VAN).leans, mirrored.leans, strict=True):
        for lean, turned in ((one.before, same.before), (one.after, same.after)):
            assert turned.value == pytest.approx(lean.value, rel=1e-6)
    assert mirrored.bar.section == worked(VAN).bar.section


def test_the_band_is_that_of_the_tolerances():
    work = worked("wagon-roof-load")
    loaded, job = work.leans[0], work.scenario.job
    bar = sizing.choice.fitted(work.bar, work.scenario.rear_bar)
    known = work.scenario.tolerances
    drawn = lean_samples(job, known, work.case, at=LEAN_AT, bar=bar, count=FEW) * LEAN_AT
    assert loaded.after.within == band(drawn)
    assert loaded.after.within.low < loaded.after.value < loaded.after.within.high
    assert "No band" in shown(LOW_CAR)
    assert "No band" not in shown("wagon-roof-load")


def test_soft_bushes_of_unknown_rate_widen_the_band_of_the_bar():
    known = Path(FILES[TOURING]).read_text(encoding="utf-8")
    loose = known.replace('bush_rate = "9 kN/mm"', 'bush_rate = "3 kN/mm ± 2.5 kN/mm"')
    tight = known.replace('bush_rate = "9 kN/mm"', 'bush_rate = "3 kN/mm"')
    of_loose, of_tight = (
        work_out(scenario.loads(text, "typed.toml"), samples=4 * FEW).leans[0]
        for text in (loose, tight)
    )
    for one, other, wider in (
        (of_loose.before, of_tight.before, False),
        (of_loose.after, of_tight.after, True),
    ):
        widths = [lean.within.high - lean.within.low for lean in (one, other)]
        assert (widths[0] > 1.001 * widths[1]) == wider
    more = tight.count("±") + 1
    assert f"of the {more} tolerances" in Page(of_text(loose)).text


@pytest.mark.parametrize("stem", EXAMPLES)
def test_the_customer_reads_this_vehicles_figures(stem):
    work, line = worked(stem), words.customer_line(worked(stem))
    assert line in shown(stem)
    loaded, empty = work.leans
    for lean in (loaded.before, empty.before, *([loaded.after] if loaded.after else [])):
        assert f"{float(to_unit(lean.value, 'deg')):.1f}°" in line
    if work.bar is None:
        assert "nothing on this sheet lets you carry more or corner faster" in line
    else:
        assert line.endswith("It does not let you carry more or corner faster.")
        within = loaded.after.within
        ends = f"({figure(within.low, 'deg', 1)}–{figure(within.high, 'deg', 1)})"
        assert ends in line


def test_an_off_centre_load_names_the_bend_that_is_worse():
    work = worked(VAN)  # its load is left of the middle, so it leans more in a right bend
    job, bar = work.scenario.job, sizing.choice.fitted(work.bar, work.scenario.rear_bar)
    leans = [
        roll.results(job, (LEAN_AT,), one, only=(work.case,), mirrored=side)[0].curve[0].roll_angle
        for side in (False, True)
        for one in (None, bar)
    ]
    assert work.harder.side == "right"
    assert (work.harder.before, work.harder.after) == (leans[2], leans[3])
    assert leans[2] > leans[0]
    told = f"in a right bend it leans {words.degrees(leans[2])} from level"
    assert told in words.customer_line(work)
    assert words.customer_line(work) in shown(VAN)
    assert worked(TOURING).harder is None


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
    pairs = [
        (one.tip_over_threshold / STANDARD_GRAVITY, other.tip_over_threshold / STANDARD_GRAVITY)
        for one, other in zip(work.before, work.after, strict=True)
    ]
    was, now = max(pairs, key=lambda pair: pair[0] - pair[1])
    assert f"{now:.2f}" < f"{was:.2f}"
    assert f"tips at {now:.2f} g, without these bars at {was:.2f} g" in lines


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
def pair_of(stem: str) -> tuple[Source, scenario.Scenario]:
    """A scenario with sections of a front bar to choose from."""
    source = Source("pair.toml", tomlkit.dumps(data_of(stem)))
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
    source, given = pair_of(TOURING)
    work = work_out(given, samples=FEW)
    assert work.pair is None
    assert work.bar == work.sizing.choice
    page = Page(written(work, source)).text
    assert "Front and rear bar together, instead: In front" in page
    assert "With both bars" not in page  # cautions are of what is ordered
    assert EMPTY_AND_WET in words.cautions(work, METRIC)


def test_no_share_of_cases_is_all_or_none():
    told = {share: chance_words(share, 0.05) for share in (1.0, 0.951, 0.873, 0.0)}
    assert told[0.873] == ("In 87 % of cases the lean per g is at most 5 % above the target.")
    assert told[1.0] == told[0.951] == told[0.873].replace("87", "over 95")
    assert told[0.0] == told[0.873].replace("87", "under 5")


def test_a_pair_is_the_order_where_no_bar_alone_is_accepted(monkeypatch):
    _, given = pair_of(TOURING)
    found = sizing.size(given.job, given.rear_bar, given.front_bar)
    none = replace(found, choice=None, states=())
    monkeypatch.setattr("rollsim.sheet.work.size", lambda *_: none)
    assert work_out(given, samples=FEW).pair == found.pair
    assert work_out(given, rank=1, samples=FEW).pair is None


def test_no_lean_of_nothing_is_told():
    text = changed(
        FILES[VAN].read_text(encoding="utf-8"),
        {
            "vehicle.front_left_mass": "560 kg ± 5 kg",
            "vehicle.front_right_mass": "560 kg ± 5 kg",
            "vehicle.rear_left_mass": "440 kg ± 5 kg",
            "vehicle.rear_right_mass": "440 kg ± 5 kg",
            "load[0].left_of_centreline": "20 mm",
        },
    )
    work = work_out(scenario.loads(text, VAN), samples=FEW)
    assert work.harder is not None
    page = Page(written(work, Source(VAN, text))).text
    for told in (page, *map(shown, EXAMPLES)):
        # A camber may be wanted at 0.0°; the page on wheels is not about lean.
        assert not re.search(r"\b0\.0°", told.partition("Wheels and dampers")[0])
    assert "off-centre load" not in page
    assert "off centre" not in words.customer_line(work)


def test_a_vehicle_that_tips_is_told_so():
    work = worked(TOURING)
    tips = replace(work.leans[0].before, value=math.nan)
    loaded = replace(work.leans[0], before=tips)
    bare = replace(work, leans=(loaded, work.leans[1]))
    assert "it tips before a brisk bend (0.3 g): take load off" in words.customer_line(bare)
    loaded = replace(work.leans[0], after=tips)
    with_bar = replace(work, leans=(loaded, work.leans[1]))
    assert "do not fit it" in words.customer_line(with_bar)
    assert words.band_words(tips) == "tips before"


def test_no_drive_is_asked_for_where_wheels_lift_early():
    told = words.drive(worked(BEYOND))  # tips at 0.54 g, half of it is 0.27 g
    assert told.startswith("Do the lean test in the bay instead of a drive")
    assert words.DRIVE not in told
    free = words.drive(worked(TOURING))
    assert free.startswith("No drive above 0.")
    assert free.endswith(words.DRIVE)
    assert "Do the lean test in the bay" in shown(BEYOND)


@pytest.mark.parametrize(
    ("stem", "why"),
    [
        (LOW_CAR, "the scenario has no [rear_bar]"),
        (BEYOND, "No rear bar can reach the target"),
        (GATE, "in the way: balance"),
    ],
)
def test_without_a_bar_the_sheet_says_why_and_stays_useful(stem, why):
    page = shown(stem)
    assert "No bar to order" in page
    assert why in page
    assert spec(sheet(stem)) == {}
    assert "The bar to order" not in page
    assert "After fitting" not in page
    for part in ("Weights and loads", "Springs and weights", "Cautions", "signature"):
        assert part in page


def test_no_bar_is_ordered_where_none_is_needed():
    text = changed(
        FILES["wagon-roof-load"].read_text(encoding="utf-8"),
        {"target.roll_gradient": "12 deg/g"},
    )
    page = Page(of_text(text)).text
    assert "Nothing to bring back" in page
    assert "The bar to order" not in page


def test_a_bar_picked_by_hand_is_marked_where_it_is_outside_the_limits():
    read = scenario.load(FILES[TOURING])
    found = sizing.size(read.job, read.rear_bar)
    rank = next(n for n, c in enumerate(found.candidates, 1) if not c.accepted)
    work = work_out(read, rank=rank, samples=FEW)
    page = written(work, scenario.source(FILES[TOURING]))
    assert spec(page)["section"] == found.candidates[rank - 1].section.label
    assert '<p class="box">Picked by hand' in page
    assert "outside the limits of this program: " in page
    with pytest.raises(ValueError, match=r"found 99; allowed 1 to \d+"):
        work_out(read, rank=99)
    with pytest.raises(ValueError, match=r"no \[rear_bar\]"):
        work_out(scenario.load(FILES[LOW_CAR]), rank=1)


def test_the_after_lift_list_stands_where_something_was_lifted():
    assert "After the lift" in shown(TOURING)
    for line in AFTER_LIFT:
        assert line in shown(TOURING)
    assert "After the lift" not in shown("wagon-roof-load")


def test_wheels_and_dampers_have_a_page_of_their_own():
    """Its figures are those of `rollsim springs`; what was read after the work is printed."""
    stem = "arrives-loaded-and-lifted"
    page = shown(stem)
    start = page.index("Wheels and dampers")
    assert "Wheels and dampers" not in shown(TOURING)
    assert "alignment, camber" not in page[:start]
    job = scenario.load(FILES[stem]).job
    lift = lift_check(job, spring_checks(job))
    stand, reach = (dict(dict(one)["front"])["as_used"] for one in (lift.wheels, lift.dampers))
    assert f"{wheel_words(stand, METRIC)}." in page[start:]
    assert f"{damper_words(reach, METRIC)}." in page[start:]
    read = 'caster = ["2.6 deg", "2.5 deg"]'
    text = FILES[stem].read_text(encoding="utf-8")
    done = f'{read}\nreadings_after = {{ camber = ["0.11 deg", "-0.14 deg"] }}'
    work = replace(worked(stem), scenario=scenario.loads(text.replace(read, done), stem))
    lines = lift_sheet(work, METRIC).wheels[0].lines
    assert [line.after for line in lines] == ["+0.1", "-0.1", "", "", "", ""]
    before = ["+0.5", "+0.7", "+2.6", "+2.5", "+0.1", "+0.1"]
    assert [line.before for line in lines] == before  # weighed lifted: as the rack read it
    assert [line.lifted for line in lines] == before
    assert [line.wanted for line in lines] == ["0.0"] * 2 + ["+3.0"] * 2 + ["+0.2"] * 2
    assert [line.stock for line in lines] == ["-0.1", "+0.1", "+3.1", "+3.0", "+0.2", "+0.2"]


@pytest.mark.parametrize("stem", EXAMPLES)
def test_cautions_and_signatures_stand_on_every_sheet(stem):
    page = shown(stem)
    assert "Local codes and a licensed engineer decide" in page
    assert "a kerb, a soft edge, a swerve, a gust" in page
    assert "are a prediction; I do not sign for them" in page
    assert "2026-01-31" in page
    assert "rollsim 1.2.3" in page
    assert not re.search(r"\bOK\b|\bapproved for\b", page)
    assert re.findall(r"[^.;]*safe (?:speed|slope)", page) in (
        [],
        [one for one in re.findall(r"[^.;]*safe (?:speed|slope)", page) if "no figure here" in one],
    )


@pytest.mark.parametrize("stem", EXAMPLES)
def test_it_asks_for_nothing_from_outside_and_runs_nothing(stem):
    html = sheet(stem).replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?:|//[a-z]|url\(|@import|src=|href=|<script|<link", html)
    assert not any(name.startswith("on") for _, tag in Page(html).tags for name in tag)


@pytest.mark.parametrize("stem", EXAMPLES)
def test_the_scenario_comes_back_to_the_letter(stem, tmp_path):
    path = tmp_path / "job.html"
    path.write_text(sheet(stem), encoding="utf-8")
    assert scenario.source(path) == scenario.source(FILES[stem])
    assert scenario.source(path).text == FILES[stem].read_text(encoding="utf-8")
    again, first = scenario.load(path), scenario.load(FILES[stem])
    assert replace(again, path=first.path) == first
    assert again.path == "job.html"


def test_the_sheet_keeps_its_job_for_the_record():
    work = worked(TOURING)
    tested = replace(work.scenario, registration="AB 12", lean_after=Quantity(0.0325, 0.0017))
    shop = "In this shop's 7 measured jobs"
    html = written(replace(work, scenario=tested), scenario.source(FILES[TOURING]), shop=shop)
    job = job_in(html, "job.html")
    assert (job.registration, job.date, job.version) == ("AB 12", "2026-01-31", "1.2.3")
    loaded = work.leans[0]
    unladen = next(p for p in work.before[0].curve if p.lateral_acceleration == LEAN_AT)
    kept = (job.before, job.predicted, job.measured, job.unladen)
    assert kept == pytest.approx(
        (loaded.before.value, loaded.after.value, 0.0325, unladen.roll_angle), rel=1e-9
    )
    assert (job.band_low, job.band_high) == pytest.approx(
        (loaded.after.within.low, loaded.after.within.high), rel=1e-9
    )
    assert job.bar == bar_words(work.bar, METRIC)
    assert job.open_items == ()
    assert "lean after the work not measured" in job_in(sheet(TOURING), "job.html").open_items
    text = Page(html).text
    assert shop in text
    assert "1.9°" in text  # what the test read, where a blank is without it


def test_the_picture_to_send_has_both_angles_and_its_caution():
    work = worked(TOURING)
    vehicle = replace(work.scenario.job.vehicle, name=NASTY)
    named = replace(work.scenario, job=replace(work.scenario.job, vehicle=vehicle))
    root = ElementTree.fromstring(picture_to_send(replace(work, scenario=named), METRIC))
    said = [" ".join(one.itertext()) for one in root.iter("{http://www.w3.org/2000/svg}text")]
    loaded, _ = work.leans
    assert f"before: leans {words.degrees(loaded.before.value)}" in said
    assert f"with this bar: leans {words.degrees(loaded.after.value)}" in said
    assert said[0] == NASTY or NASTY in said
    whole = " ".join(said)
    assert words.customer_line(work) in whole
    assert words.PLAIN_COST in whole
    assert words.NO_MORE in whole
    width, height = (float(root.get(side)) for side in ("width", "height"))
    assert root.get("viewBox") == f"0 0 {width:g} {height:g}"
    lowest = max(float(one.get("y")) for one in root if one.tag.endswith("text"))
    assert lowest < height


@pytest.mark.parametrize("command", ["roll", "size", "springs"])
def test_commands_open_the_sheet(command, tmp_path, capsys):
    path = tmp_path / "job.html"
    path.write_text(sheet(TOURING), encoding="utf-8")
    found = []
    for file in (path, FILES[TOURING]):
        assert main([command, str(file), "--json"]) == 0
        found.append(json.loads(capsys.readouterr().out))
    assert found[0] == found[1]


def test_texts_survive_that_html_would_change():
    text = 'title = "a"\r\n# \u2028 <b> & "x" ± \U0001f6fb \t\r\n'
    source = Source("näme & co.toml", text, (("spring.csv", "travel_mm,force_N\n0,0\n"),))
    assert extract(f"<html>{embed(source)}</html>") == source


def with_a_table(folder: Path) -> Path:
    (folder / "springs").mkdir()
    csv = ROOT / "tests" / "data" / "spring.csv"
    (folder / "springs" / "rear.csv").write_bytes(csv.read_bytes())
    text = (ROOT / "tests" / "data" / "crew_cab.toml").read_text(encoding="utf-8")
    text = re.sub(
        r"(\[rear\].*?)^spring = .*?$",
        r'\1spring = { table = "springs/rear.csv" }',
        text,
        count=1,
        flags=re.DOTALL | re.MULTILINE,
    )
    path = folder / "measured.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_measured_spring_travels_with_the_sheet(tmp_path):
    path = with_a_table(tmp_path)
    source, read = scenario.source(path), scenario.load(path)
    assert [name for name, _ in source.tables] == ["springs/rear.csv"]
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    job = elsewhere / "job.html"
    job.write_text(written(work_out(read, samples=FEW), source), encoding="utf-8")
    assert scenario.load(job).job == read.job
    without = replace(source, tables=())
    job.write_text(f"<html>{embed(without)}</html>", encoding="utf-8")
    with pytest.raises(ScenarioError) as wrong:
        scenario.load(job)
    assert wrong.value.errors == (
        'job.html: rear.spring.table: found "springs/rear.csv", but the sheet holds no such CSV; '
        "add the file",
    )


@pytest.mark.parametrize(
    "html",
    [
        "<html></html>",
        '<meta name="rollsim-scenario" content="%%%%">',
        '<meta name="rollsim-scenario" content="AAAA">',
        '<meta name="rollsim-scenario" content="W10=">',  # []
        '<meta name="rollsim-scenario" content="eyJuYW1lIjoxLCJ0ZXh0IjoyLCJ0YWJsZXMiOnt9fQ==">',
    ],
)
def test_a_sheet_without_a_scenario_is_refused(html, tmp_path, capsys):
    path = tmp_path / "job.html"
    path.write_text(html, encoding="utf-8")
    assert main(["check", str(path)]) == 2
    assert capsys.readouterr().err == (
        "job.html: holds no scenario, or a damaged one; allowed a job sheet of this program as it "
        "was written, or a scenario file (TOML); make the sheet again from the file\n"
    )


def test_what_is_typed_is_text_everywhere():
    text = FILES[TOURING].read_text(encoding="utf-8")
    quoted = json.dumps(NASTY)
    text = text.replace('"Demo crew-cab"', quoted).replace('"canopy"', quoted)
    text = text.replace('"Crew-cab, work week and touring load"', quoted)
    text = text.replace('"touring"', quoted)
    html = of_text(text)
    page, plain = Page(html), Page(sheet(TOURING))
    assert [tag for tag, _ in page.tags] == [tag for tag, _ in plain.tags]
    assert [set(found) for _, found in page.tags] == [set(found) for _, found in plain.tags]
    assert page.text.count(NASTY) > 5
    style = re.search(r"<style>(.*?)</style>", html, re.DOTALL)[1]
    assert "@bottom-right" in style
    assert "alert(1)" not in style
    assert extract(html).text == text


def test_a_name_cannot_pass_for_the_scenario(tmp_path):
    other = embed(Source("other.toml", 'title = "other"'))
    text = FILES[LOW_CAR].read_text(encoding="utf-8")
    text = text.replace('"Demo low car"', json.dumps(other))
    assert extract(of_text(text)).text == text


def test_imperial_figures_and_letter_paper():
    source = scenario.source(FILES[TOURING])
    units = READER_UNITS[UnitSystem.IMPERIAL]
    html = written(worked(TOURING), source, units=units, paper=Paper.LETTER)
    assert "size: letter" in html
    assert "size: a4" in sheet(TOURING)
    rows = spec(html)
    assert rows["link end to link end"].endswith(" in")
    assert rows["steel allows"] == f"{1200 / 6.894757:.1f} ksi"
    assert "1130 kg ± 10 kg" in Page(html).text  # what was typed stays


def test_the_command_writes_the_sheet(tmp_path, capsys):
    path = tmp_path / "job.html"
    arguments = ["sheet", str(FILES[LOW_CAR]), "-o", str(path), "--date", "2026-01-31"]
    assert main([*arguments, "--paper", "letter"]) == 0
    assert "job sheet written" in capsys.readouterr().out
    first = path.read_bytes()
    assert main([*arguments, "--paper", "letter"]) == 0
    assert path.read_bytes() == first
    assert b"2026-01-31" in first
    assert b"size: letter" in first
    again = tmp_path / "again.html"
    assert main(["sheet", str(path), "-o", str(again), *arguments[4:], "--paper", "letter"]) == 0
    assert again.read_bytes() == first


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["-o", "job.toml"], "found 'job.toml'; allowed a name that ends in .html"),
        (["-o", "job.html", "--date", "31.1."], "found '31.1.'; allowed a date such as 2026-01-31"),
        (["-o", "job.html", "--rank", "1"], "--rank: found 1, but the scenario has no [rear_bar]"),
        (["-o", "job.html", "--pair"], "--pair: found, but the scenario has no [rear_bar] to be"),
        (["-o", "no/such/job.html"], "cannot be written (No such file or directory)"),
    ],
)
def test_wrong_options_are_told(options, message, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", str(FILES[LOW_CAR]), *options]) == 2
    assert message in (told := capsys.readouterr().err)
    assert not told.startswith("--rank: --")
    assert list(tmp_path.iterdir()) == []


@functools.cache
def read_by_the_page(stem: str) -> answers.Sized:
    return answers.read(FILES[stem].read_text(encoding="utf-8"), "x.toml", ROOT / "scenarios")


def test_the_page_hands_out_the_bar_that_is_shown():
    read = read_by_the_page(TOURING)
    bar = read.sizing.candidates[1]
    assert bar is not read.sizing.choice
    found = answers.Answer(read.scenario, read.sizing, answers.Bend.LEFT, (), bar)
    rows = spec(outcome.job_sheet_of(found, scenario.source(FILES[TOURING])))
    assert rows["section"] == bar.section.label
    assert rows["hole, both sides"].startswith(f"{figure(bar.lever, 'mm')} mm")


def test_the_page_hands_out_no_bar_where_none_is_chosen():
    read = read_by_the_page(BEYOND)
    bar = read.sizing.candidates[bars.default_rank(read.sizing)]
    untoleranced = replace(read.scenario, tolerances=())
    found = answers.Answer(untoleranced, read.sizing, answers.Bend.LEFT, (), bar)
    assert "No bar to order" in outcome.job_sheet_of(found, scenario.source(FILES[BEYOND]))


def test_the_page_opens_a_sheet():
    data, name = fields.scenario_of(sheet(TOURING).encode("utf-8"), "job.html")
    assert name == "crew-cab-touring.toml"
    assert data.decode("utf-8") == FILES[TOURING].read_text(encoding="utf-8")
    plain = FILES[TOURING].read_bytes()
    assert fields.scenario_of(plain, "any.toml") == (plain, "any.toml")
    nothing = fields.scenario_of(b"<html>", "job.html")
    assert "holds no scenario" in fields.refuse_upload(*nothing)[0]


def test_states_that_repeat_have_no_row_of_their_own():
    assert mass.states(worked(TOURING).scenario.job)[1].name == "as_weighed"
    heads = re.findall(r'<th class="n u">([^<]+)</th>', sheet(TOURING))
    assert "as weighed" not in heads
    assert {"unladen", "work week", "touring"} <= set(heads)
    assert METRIC.mass == "kg"
