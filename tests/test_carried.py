"""What the owner's page says: the command's figures in plain words, what the papers allow."""

import math
import re
from dataclasses import replace

import pytest

from rollsim.cautions import LAW, STEADY_BEND, UP_HIGH
from rollsim.cli.records import roll_record
from rollsim.drawing import LoadRow, load_bars
from rollsim.drawing.gauges import margin_bars
from rollsim.mass import mirrored
from rollsim.page import bends, beside, carried, handout, nearer, roof
from rollsim.page.carried import degrees
from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem
from rollsim.roll import results
from rollsim.scenario import load, loads
from rollsim.sizing.inverse import Outcome
from rollsim.tell.ratings import over_lines
from rollsim.vehicle import STANDARD_GRAVITY, Place
from tests.owner_page import AT, BEYOND, FILES, TOURING, scenario_file, shown

IMPERIAL = READER_UNITS[UnitSystem.IMPERIAL]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_scenario_shows_the_figures_of_the_command(path):
    found = shown(path)
    scenario, case = load(path), found.case.name
    job = scenario.job
    record = roll_record(scenario, results(job, (AT,)))["states"]
    if results(job, (), only=(case,))[0].static_lean < 0.0:  # the harder bend goes right
        record = roll_record(scenario, results(mirrored(job), (AT,)))["states"]
    before, now = record["unladen"], record[case]
    leans = [f"{state['curve'][0]['roll_angle_deg']:.1f}°" for state in (before, now)]
    head = f"{carried.headline(found)} {nearer.words(found)}"
    assert f"The same bend: {leans[0]} before, {leans[1]} now." in head
    lifts = [
        min(
            state[key]
            for key in ("inner_front_lift_g", "inner_rear_lift_g", "tip_over_threshold_g")
            if state[key] is not None
        )
        for state in (before, now)
    ]
    sooner = f"{100 * (1.0 - lifts[1] / lifts[0]):.0f}\u00a0% sooner than before"
    assert f"comes off the ground {sooner}" in head
    left = [f"{100 * (1.0 - AT / STANDARD_GRAVITY / lift):.0f}\u00a0%" for lift in lifts]
    assert f"In this bend {left[1]} is left until then, {left[0]} before; a kerb" in head
    last = f"{now['curve'][0]['roll_angle_deg']:.2f}°"
    assert [row[2] for row in carried.share_rows(found)][-2:] == [last, last]
    assert not re.search(r"km/h|mph", head)  # how far it is from a lift is never a speed


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_ratings_come_first_and_over_is_said(path):
    """What is too much is what the reader takes off; the same on page, paper and command."""
    found = shown(path)
    record = roll_record(load(path), results(load(path).job, (0.0,)))["states"][found.case.name]
    over = {r["name"]: r for r in record["ratings"] if r["over"]}
    for units, per_kg in ((METRIC, 1.0), (IMPERIAL, 1.0 / 0.45359237)):
        said, unit = carried.over_words(found, units), units.mass
        bars = load_bars([LoadRow(x.name, x) for x in found.now.ratings], unit)
        command = " ".join(over_lines([("now", found.now.ratings)], units))
        paper = handout.page(found, "a bend", units, text="")
        assert len(said) == len(over)
        for line, rating in zip(said, over.values(), strict=True):
            on, limit = (per_kg * rating[key] for key in ("load_kg", "limit_kg"))
            more = f"{round(on) - round(limit)} {unit}"
            assert f" {on:.0f} {unit}, " in line  # as the load reads everywhere else
            assert line.startswith(f"{carried.RATINGS[rating['name']]}: ")
            assert line.endswith(f": {more} too much")
            assert f"OVER by {more}" in bars
            assert f": {more} too much" in command
            assert f"{more} OVER" in paper


def test_a_lift_that_holds_the_body_is_no_help():
    for path in FILES:
        found = shown(path)
        steps = {s.name: s.value for s in carried.share_steps(found)}
        said = carried.lift_words(found)
        assert bool(said) == (steps.get("the lift", 0.0) < 0.0)
    beyond = shown(scenario_file(BEYOND))
    assert carried.lift_words(beyond).startswith("The lift is no cure for lean")


@pytest.mark.parametrize("more", [0.1, 0.25, 1.0])
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_roof_load_named_gives_the_lean_chosen(path, more):
    found = shown(path)
    limit = roof.roof_limit(found, more)
    said = roof.roof_words(found, limit, METRIC)
    assert said.startswith("Provisional: ") is bool(found.scenario.assumed)
    said = said.removeprefix("Provisional: ")
    if limit.answer.outcome is Outcome.ALL:
        assert said.startswith(f"The lean chosen, {degrees(limit.lean)}")
        assert "500" not in said
        return
    if limit.wheel_off:
        assert said.startswith("No roof load is named for this bend")
        return
    if limit.answer.outcome is not Outcome.FOUND:
        assert math.isnan(limit.answer.amount)
        assert "it already leans" in said
        return
    assert said.startswith(f"At most {limit.answer.amount:.0f} kg on the roof")
    items = [x for x in found.case.loads if x.place is Place.ROOF]
    if not items:
        return
    whole = sum(x.mass for x in items)
    job = loads_with(found, {x.name: x.mass * limit.answer.amount / whole for x in items})
    leans = [
        results(job, (0.0, AT), only=(found.case.name,), mirrored=side)[0].curve
        for side in (False, True)
    ]
    assert max(points[1].roll_angle for points in leans) == pytest.approx(limit.lean, rel=1e-5)


def test_a_lift_is_on_the_paper():
    paper = handout.page(shown(scenario_file(BEYOND)), "a bend", METRIC, text="")
    assert "suspension lift in front: 60 mm" in paper


def test_without_a_roof_rating_no_roof_load_is_named_that_no_roof_carries():
    path = next(path for path in FILES if path.stem == "wagon-roof-load")
    found = shown(path)
    unrated = replace(found, now=replace(found.now, ratings=()))
    limit = roof.roof_limit(found, 0.6)
    assert limit.answer.amount > roof.USUAL_ROOF
    assert f"{limit.answer.amount:.0f} kg" in roof.roof_words(found, limit, METRIC)
    said = roof.roof_words(unrated, limit, METRIC)
    assert f"{limit.answer.amount:.0f} kg" not in said
    assert said.startswith("More than a roof usually carries (150 kg, common practice)")
    assert "look it up in the papers" in said


def loads_with(found: carried.Carried, masses: dict[str, float]):
    """The job with other masses of some things in the case shown."""
    job = found.scenario.job
    weighed = [replace(x, cases=()) for x in job.loads if x.on_when_weighed]
    now = [
        replace(
            x,
            mass=masses.get(x.name, x.mass),
            on_when_weighed=False,
            cases=(found.case.name,),
        )
        for x in found.case.loads
    ]
    return replace(job, loads=(*weighed, *now))


@pytest.mark.parametrize(
    ("name", "lateral_g", "more"),
    [("high-roof-van", 0.8, 0.25), ("wagon-roof-load", 0.83, 1.0), ("crew-cab-touring", 0.9, 0.25)],
)
def test_no_roof_load_is_named_where_a_wheel_is_off(name, lateral_g, more):
    """Stops and full droop hold the lean there, so it is the wrong thing to go by."""
    found = shown(scenario_file(name), lateral_g * STANDARD_GRAVITY)
    limit = roof.roof_limit(found, more)
    said = "Unladen it tips" if limit is None else "No roof load is named for this bend"
    assert roof.roof_words(found, limit, METRIC).startswith(said)


@pytest.mark.parametrize("name", ["independent-rear-with-bar", TOURING])
@pytest.mark.parametrize("aside", [0.0, 0.3, -0.3])
def test_the_roof_load_of_now_is_the_most_for_the_lean_of_now(name, aside):
    """One measure for the headline, the picture and the limit: the worse turn, at rest included."""
    scenario = load(scenario_file(name))
    loads_ = tuple(
        replace(x, left_of_centreline=aside, mass=70.0) if x.place is Place.ROOF else x
        for x in scenario.job.loads
        if not x.on_when_weighed
    )
    scenario = replace(scenario, job=replace(scenario.job, loads=loads_))
    case = next(r.name for r in results(scenario.job, ())[2:] if r.name != "work week")
    found = carried.carried(scenario, case, AT)
    assert found.to_the_right is (aside > 0.0)
    drawn = carried.silhouettes(found, 1.8)
    assert drawn[1].body.roll_angle == found.lean_now
    items = roof.on_the_roof(found)
    limit = roof.roof_limit(found, found.lean_now / found.lean_before - 1.0)
    assert limit.lean == pytest.approx(found.lean_now)
    assert limit.answer.amount == pytest.approx(sum(x.mass for x in items), rel=1e-4)


def test_no_roof_load_says_what_it_leans_already():
    found = shown(scenario_file(TOURING))
    said = roof.roof_words(found, roof.roof_limit(found, 0.0), METRIC)
    assert re.match(
        r"With nothing on the roof and the rest on board, it already leans \S+° in this bend, more "
        r"than the \S+° chosen",
        said,
    )


def test_rounding_does_not_hide_which_leans_more():
    angles = [math.radians(x) for x in (2.06, 2.14, 2.061, 3.0)]
    assert carried.apart(angles[0], angles[3]) == ("2.1°", "3.0°")
    assert carried.apart(angles[0], angles[1]) == ("2.06°", "2.14°")
    assert carried.apart(angles[0], angles[2]) == ("2.060°", "2.061°")
    assert carried.apart(angles[0], angles[0]) == ("2.1°", "2.1°")


def test_a_bend_that_tips_the_empty_vehicle_too_does_not_blame_the_load():
    found = shown(scenario_file("beyond-a-bar"), 1.5 * STANDARD_GRAVITY)
    assert carried.headline(found).startswith("In this bend it tips over, empty and as it is")


def test_a_roof_load_that_overloads_an_axle_is_told():
    found = shown(scenario_file("beyond-a-bar"), 0.28 * STANDARD_GRAVITY)
    limit = roof.roof_limit(found, 1.0)
    assert limit.answer.outcome is Outcome.FOUND
    assert "rear axle" in limit.over
    assert "over what the papers allow for: " in roof.roof_words(found, limit, METRIC)


def test_the_papers_count_where_they_allow_less():
    found = shown(scenario_file("low-car"))
    limit = roof.roof_limit(found, 0.3)
    assert limit.answer.amount > 75.0
    said = roof.roof_words(found, limit, METRIC)
    assert said.endswith("The papers allow only 75 kg on the roof: that counts.")


def test_an_empty_roof_asks_for_a_load_above_the_roof():
    found = carried.carried(load(scenario_file(TOURING)), "work week", AT)
    (item,) = roof.on_the_roof(found)
    assert item.mass == 0.0
    assert 1.8 < item.height < 2.3
    assert "0 kg is there now" in roof.roof_words(found, roof.roof_limit(found, 0.5), METRIC)


def test_a_limit_that_rounds_to_the_lean_now_is_told_finer():
    found = shown(scenario_file(TOURING))
    limit = roof.roof_limit(found, (found.lean_now - math.radians(0.002)) / found.lean_before - 1.0)
    said = roof.roof_words(found, limit, METRIC)
    leans, chosen = carried.apart(found.lean_now, limit.lean)
    assert leans != chosen
    assert (
        f"keeps it within {chosen} in this bend; 62 kg is there now and leans it {leans}." in said
    )
    assert said.startswith("At most ")  # all of it is measured


def test_a_roof_load_by_assumed_values_is_provisional_and_to_five_kilograms():
    found = shown(scenario_file("high-roof-van"))
    limit = roof.roof_limit(found, 0.5)
    whole = 5 * math.floor(limit.answer.amount / 5.0)
    assert whole != limit.answer.amount
    said = roof.roof_words(found, limit, METRIC)
    assert said.startswith(f"Provisional: At most {whole} kg on the roof keeps it within ")
    pounds = 10 * math.floor(limit.answer.amount / 4.5359237)  # of 0.45359237 kg, exact
    assert f"At most {pounds} lb on" in roof.roof_words(found, limit, IMPERIAL)


def test_the_page_to_print_holds_all_and_runs_nothing():
    text = scenario_file(BEYOND).read_text("utf-8")
    name = "tent and boat on the camper's roof"
    assert name in text
    text = text.replace(name, "<script>alert(1)</script>")
    found = carried.carried(loads(text, "x.toml"), "as_used", AT)
    own = "It <b>rolls</b> on roundabouts"
    html = handout.page(found, "a bend", METRIC, text=text, picture="<svg/>", words=own)
    assert "<script" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in html
    for line in (*handout.MEASURE, *handout.FITTER, UP_HIGH, STEADY_BEND, LAW):
        assert line in html
    assert "OVER:" in html
    assert "roof, on the road: 140 of 80 kg, 60 kg OVER" in html
    for row in carried.share_rows(found):
        assert "".join(f"<td>{cell}</td>" for cell in row) in html
    first, second = html.split('<section class="workshop">')
    assert "It &lt;b&gt;rolls&lt;/b&gt; on roundabouts" in first
    assert first.index("on roundabouts") < first.index("<svg/>") < first.index("before, ")
    assert carried.headline(found) in first
    for key in ("front.track", "rear_axle_mass", "[vehicle]", *found.scenario.assumed):
        assert key not in first
    assert "[vehicle]" in second
    assert "break-before: page" in html


def test_a_bend_is_speed_squared_over_radius():
    assert bends.lateral_acceleration(20.0, 10.0) == 5.0
    metric, imperial = bends.road_units(METRIC), bends.road_units(IMPERIAL)
    assert 36.0 / bends.PER_SI[metric.speed] == pytest.approx(10.0)
    assert 60.0 / bends.PER_SI[imperial.speed] == pytest.approx(26.8224)  # 60 mph, exact
    assert 100.0 / bends.PER_SI[imperial.radius] == pytest.approx(30.48)


def test_what_is_left_until_a_wheel_lifts():
    """A quarter of what lifts it leaves three quarters; beyond, nothing is left."""
    assert nearer.in_hand(2.0, 8.0) == 0.75
    assert nearer.in_hand(9.0, 8.0) == 0.0
    found = shown(scenario_file(TOURING))
    lift = min(found.now.inner_front_lift, found.now.inner_rear_lift)
    row = nearer.margin_rows(found)[1]
    assert (row.name, row.used) == ("now", pytest.approx(found.lateral / lift))
    assert "a wheel is off the ground" in margin_bars([replace(row, used=1.02)])


def test_two_loads_side_by_side_are_two_scenarios():
    """Each as the file would have it with that alone on it: the tent without the drawers."""
    scenario = load(scenario_file(TOURING))
    names = [x.name for x in scenario.job.loads]
    tent, drawers = names.index("roof rack and tent"), names.index("tools and drawers")
    both = beside.compared(scenario, ((tent,), (drawers,)), AT)
    for found, only in zip(both, (tent, drawers), strict=True):
        alone = replace(scenario.job, loads=(replace(scenario.job.loads[only], cases=None),))
        expected = results(alone, (AT,))[-1]
        assert found.lean_now == pytest.approx(expected.curve[0].roll_angle, rel=1e-9)
        assert found.now.ratings == expected.ratings
    table = beside.table(both, METRIC)
    leans = [f"{math.degrees(c.lean_now):.1f}°" for c in both]
    assert leans[0] != leans[1]
    assert list(table.loc["lean in this bend"]) == leans
    assert list(table.loc["weight of what is on it"]) == ["62 kg", "160 kg"]
    drawn = beside.picture(both, bends.road_words(25.0, 35.0 / 3.6, bends.road_units(METRIC)))
    assert all(f" {name}" in drawn for name in (beside.FIRST, beside.SECOND))
    parked = (replace(scenario.job.loads[tent], name="sleepers", parked_only=True),)
    ratings = replace(scenario.job.ratings, roof_load_parked=200.0)
    asleep = replace(scenario.job, loads=(*scenario.job.loads, *parked), ratings=ratings)
    sleepers = beside.compared(replace(scenario, job=asleep), ((tent,), ()), AT)
    for found, roof_load in zip(sleepers, (2.0 * parked[0].mass, parked[0].mass), strict=True):
        checks = {check.name: check.load for check in found.now.ratings}
        assert checks["roof_load_parked"] == pytest.approx(roof_load)
    nothing = beside.compared(scenario, ((),), AT)[0]
    assert nothing.lean_now == pytest.approx(nothing.lean_before, rel=0.05)  # the lift stays
    assert nothing.case.loads == ()
