"""The job sheet: what stands on it."""

import math
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from rollsim import roll, scenario, sizing
from rollsim.cautions import AFTER_LIFT
from rollsim.lift_check import lift_check
from rollsim.lift_wording import damper_words
from rollsim.reader_units import METRIC, figure
from rollsim.scenario import Source
from rollsim.scenario.editing import changed
from rollsim.sheet import words, work_out
from rollsim.sheet.lift import lift_sheet
from rollsim.sheet.work import LEAN_AT
from rollsim.spring_check import spring_checks
from rollsim.tolerance import band, lean_samples
from rollsim.units import to_unit
from rollsim.wheel_wording import one_arm_words, wheel_words
from tests.fit_page import BEYOND, EXAMPLES, FILES, GATE, LOW_CAR, TOURING, VAN
from tests.sheets import FEW, FITTED, Page, leaves, of_text, sheet, shown, spec, worked, written


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
    assert shown(stem).count(" kg too much") == len(over)
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
    before = dict(dict(lift.wheels)["front"])["unladen"]
    words = wheel_words(stand, METRIC, before=before, set_once=True)
    ((end, arm),) = lift.one_arm
    order = page.index(one_arm_words(end, arm, METRIC))
    assert start < order < page.index(f"{words.answer}.") < page.index(words.lines[0])
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
    rough = ["too rough"] * 2  # toe unladen: 0.1° changed, ± 0.4° by the tape
    assert [line.wanted for line in lines] == ["0.0"] * 2 + ["+2.5"] * 2 + rough
    assert [line.stock for line in lines] == ["-0.1", "+0.1", "+2.5", "+2.4", *rough]
