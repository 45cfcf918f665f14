"""The owner's page: the command's figures in plain words, and nothing that calls a ride safe."""

import functools
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.cautions import LAW, STEADY_BEND, UP_HIGH
from rollsim.cli.records import roll_record
from rollsim.mass import mirrored
from rollsim.page import bends, carried, handout, roof
from rollsim.page.carried import degrees
from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem
from rollsim.roll import results
from rollsim.scenario import Scenario, load, loads
from rollsim.sizing.inverse import Outcome
from rollsim.units import to_unit
from rollsim.vehicle import STANDARD_GRAVITY, Place

ROOT = Path(__file__).resolve().parents[1]
FILES = sorted((ROOT / "scenarios").glob("*.toml"))
PAGE = "rollsim/page/carry.py"
AT = bends.lateral_acceleration(25.0, 35.0 / 3.6)
TOURING, BEYOND = "crew-cab-touring", "beyond-a-bar"
IMPERIAL = READER_UNITS[UnitSystem.IMPERIAL]
WORKSHOP_WORDS = (
    "suspension",
    "spring",
    "anti-roll",
    "damper",
    "bush",
    "roll centre",
    "roll gradient",
    "roll stiffness",
    "lean per g",
    "load transfer",
    "weight transfer",
    "unsprung",
    "secant",
    "articulation",
    "tip-over threshold",
    "droop",
    "bar",
)


def page(example: str = "", **query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    for key, value in {"example": example, **query}.items():
        if value:
            app.query_params[key] = value
    return app.switch_page(PAGE).run()


@functools.cache
def opened(path: Path) -> AppTest:
    """The page of a scenario as it first comes up; only to be read."""
    return page(path.stem)


def unescaped(text: str) -> str:
    return re.sub(r"\\(?=[\W_])", "", text)


def words(app: AppTest) -> str:
    """All text of the page under its title, as a reader sees it."""
    found = [e.value for e in (*app.header, *app.markdown, *app.caption, *app.info, *app.warning)]
    found += [e.value for e in app.error]
    inputs = (
        *app.text_input,
        *app.slider,
        *app.button,
        *app.selectbox,
        *app.radio,
        *app.expander,
    )
    found += [e.label for e in inputs if e.label != "Vehicle and its load"]
    for table in app.table:
        found += [*map(str, table.value.columns), *map(str, table.value.to_numpy().ravel())]
    for select in app.selectbox:
        if select.label != "Vehicle and its load":
            found += select.options
    return unescaped("\n".join(found))


def text_of(app: AppTest) -> str:
    return app.session_state["frame:text"]


def shown(path: Path, lateral: float = AT) -> carried.Carried:
    """What the page shows of a scenario at first: the load that weighs most up high."""
    scenario = load(path)
    cases = [r.name for r in results(scenario.job, ())[2:]]
    chosen = opened(path).radio(key="load").value if len(cases) > 1 else cases[0]
    name = next(case for case in cases if case in (chosen, chosen.replace(" ", "_")))
    return carried.carried(scenario, name, lateral)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_scenario_shows_the_figures_of_the_command(path):
    app = opened(path)
    assert not app.exception
    scenario, case = load(path), shown(path).case.name
    job = scenario.job
    record = roll_record(scenario, results(job, (AT,)))["states"]
    if results(job, (), only=(case,))[0].static_lean < 0.0:  # the harder bend goes right
        record = roll_record(scenario, results(mirrored(job), (AT,)))["states"]
    before, now = record["unladen"], record[case]
    leans = [f"{state['curve'][0]['roll_angle_deg']:.1f}°" for state in (before, now)]
    head = unescaped(app.info[0].value)
    assert f"The same bend: {leans[0]} before, {leans[1]} now." in head
    lifts = [
        min(
            state[key]
            for key in ("inner_front_lift_g", "inner_rear_lift_g", "tip_over_threshold_g")
            if state[key] is not None
        )
        for state in (before, now)
    ]
    pushes = [f"{100 * lift:.0f} %" for lift in lifts]
    assert f"outward with {pushes[1]} of the weight, {pushes[0]} before" in head
    sooner = f"{100 * (1.0 - lifts[1] / lifts[0]):.0f}\u00a0% sooner than before"
    assert f"comes off the ground {sooner}" in head
    assert f"This bend pushes with {100 * AT / STANDARD_GRAVITY:.0f} %; a kerb" in head
    table = app.table[0].value
    last = f"{now['curve'][0]['roll_angle_deg']:.2f}°"
    assert list(table[carried.SHARE_HEADS[2]])[-2:] == [last, last]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_ratings_come_first_and_over_is_said(path):
    app, found = opened(path), shown(path)
    record = roll_record(load(path), results(load(path).job, (0.0,)))["states"][found.case.name]
    over = [rating for rating in record["ratings"] if rating["over"]]
    errors = unescaped("\n".join(e.value for e in app.error))
    assert bool(over) == ("TOO HEAVY FOR ITS PAPERS" in errors)
    for rating in over:
        assert (
            f"{carried.RATINGS[rating['name']]}: {rating['load_kg']:.0f} kg, the papers allow "
            f"{rating['limit_kg']:.0f} kg"
        ) in errors


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_plain_words_and_nothing_called_safe(path):
    text = words(opened(path))
    own = {item.name for item in load(path).job.loads}
    for name in own:  # what a user calls a thing is the user's
        text = text.replace(name, "")
    text = text.replace("tow bar", "")
    for word in WORKSHOP_WORDS:
        assert not re.search(rf"\b{word}s?\b", text, re.IGNORECASE), word
    for caution in (UP_HIGH, STEADY_BEND, LAW, carried.OTHER_CAUSES):
        assert caution in text
    rest = text.replace(UP_HIGH, "")
    assert not re.search(r"\bsafe|\bOK\b|\bokay\b|\bfine\b|no problem", rest, re.IGNORECASE)


def test_the_test_of_words_sees_the_page():
    text = words(opened(FILES[0]))
    for word in ("Lift in front", "Add it", "on the roof", "Weigh it", "papers", "Body type"):
        assert word in text


def test_something_more_is_put_on_and_taken_out():
    app = page(TOURING)
    before = text_of(app)
    tent = next(o for o in app.selectbox(key="carry:new").options if o.startswith("roof box"))
    app.selectbox(key="carry:new").select(tent).run()
    app.button(key="carry:add").click().run()
    assert not app.exception
    job = loads(text_of(app), "x.toml").job
    assert len(job.loads) == len(loads(before, "x.toml").job.loads) + 1
    box = job.loads[-1]
    assert (box.place, box.cases) == (Place.ROOF, ("touring",))
    heights = [x.height for x in job.loads[:-1] if x.place is Place.ROOF]
    assert abs(box.height - max(heights)) < 0.3
    number = len(job.loads) - 1
    key = f"carry:mass:{number}:kg"
    assert float(app.text_input(key=key).value) == box.mass
    app.text_input(key=key).set_value("90").run()
    assert loads(text_of(app), "x.toml").job.loads[-1].mass == 90.0
    assert "roof, on the road" in unescaped(app.error[0].value)
    app.button(key=f"carry:out:{number}").click().run()
    assert loads(text_of(app), "x.toml").job == loads(before, "x.toml").job
    assert not app.error


def test_two_of_a_kind_get_two_names():
    app = page("low-car")
    for _ in range(2):
        app.button(key="carry:add").click().run()
    names = [item.name for item in loads(text_of(app), "x.toml").job.loads]
    assert len(set(names)) == len(names) == 3
    assert not app.exception


def test_a_lift_changes_the_bend_and_its_share():
    app = page("wagon-roof-load")
    assert "the lift" not in list(app.table[0].value[carried.SHARE_HEADS[0]])
    for axle in ("front", "rear"):
        app.text_input(key=f"carry:lift:{axle}:mm").set_value("40").run()
    job = loads(text_of(app), "x.toml").job
    assert job.change.suspension_lift_front == job.change.suspension_lift_rear == 0.04
    found = carried.carried(Scenario("", "", job, None), "as_used", AT)
    assert carried.headline(found) in unescaped(app.info[0].value)
    assert "the lift" in list(app.table[0].value[carried.SHARE_HEADS[0]])
    for axle in ("front", "rear"):
        app.text_input(key=f"carry:lift:{axle}:mm").set_value("0").run()
    assert loads(text_of(app), "x.toml").job.change.suspension_lift_front == 0.0


def test_the_bend_follows_the_sliders_and_the_link():
    app = page(TOURING, radius_m="50", speed_kmh="60")
    lateral = bends.lateral_acceleration(50.0, 60.0 / 3.6)
    found = carried.carried(load(ROOT / f"scenarios/{TOURING}.toml"), "touring", lateral)
    assert carried.headline(found) in unescaped(app.info[0].value)
    app.slider(key="speed_kmh").set_value(40).run()
    lateral = bends.lateral_acceleration(50.0, 40.0 / 3.6)
    found = carried.carried(load(ROOT / f"scenarios/{TOURING}.toml"), "touring", lateral)
    assert carried.headline(found) in unescaped(app.info[0].value)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_pictures_say_what_the_page_says(path):
    app, found = opened(path), shown(path)
    drawn = [e.value for e in app.markdown if "<svg" in e.value]
    bars, bend, water = drawn
    for check in found.now.ratings:
        assert f"{carried.RATINGS[check.name]}: {check.load:.0f} of {check.limit:.0f} kg" in bars
        assert ("OVER" in bars) == any(c.over for c in found.now.ratings)
    leans = f"{degrees(found.lean_before)} before, {degrees(found.lean_now)} now"
    side = "right" if found.to_the_right else "left"
    assert f"A {side} bend of radius 25 m at 35 km/h: lean {leans}" in bend
    assert f"now {to_unit(found.lean_now, 'deg'):.2f} deg" in water


def test_a_lift_that_holds_the_body_is_no_help():
    for path in FILES:
        found = shown(path)
        steps = {s.name: s.value for s in carried.share_steps(found)}
        said = carried.lift_words(found)
        assert bool(said) == (steps.get("the lift", 0.0) < 0.0)
        assert (said in words(opened(path))) or not said
    beyond = shown(ROOT / f"scenarios/{BEYOND}.toml")
    assert carried.lift_words(beyond).startswith("The lift is no cure for lean")


def test_a_bend_it_does_not_get_round():
    app = page(BEYOND, radius_m="10", speed_kmh="30")
    assert not app.exception
    assert "it tips over as it is loaded now" in unescaped(app.info[0].value)
    (bend,) = [e.value for e in app.markdown if 'class="bend"' in e.value]
    assert "now it tips over, drawn as it last stands" in bend
    assert "the picture shows how it last stands before that" in words(app)
    app.slider(key="speed_kmh").set_value(40).run()
    assert "it tips over, empty and as it is loaded now" in unescaped(app.info[0].value)
    (bend,) = [e.value for e in app.markdown if 'class="bend"' in e.value]
    assert bend.count(">tips over<") == 2
    app.slider(key="speed_kmh").set_value(100).run()
    assert not app.exception
    assert "Unladen it tips in this bend" in words(app)


def test_a_link_to_what_the_page_does_not_have_says_so():
    wrong = {"radius_m": "5000", "speed_kmh": "fast", "more": "200", "load": "no such"}
    app = page(TOURING, **wrong)
    assert not app.exception
    notes = unescaped("\n".join(e.value for e in app.warning))
    for value in wrong.values():
        assert f'"{value}"' in notes
    assert (app.slider(key="radius_m").value, app.slider(key="speed_kmh").value) == (25, 35)
    app.slider(key="speed_kmh").set_value(40).run()
    assert "The link asks" not in unescaped("\n".join(e.value for e in app.warning))


def test_the_other_load_of_two():
    app = page(TOURING)
    assert app.radio(key="load").value == "touring"
    app.radio(key="load").set_value("work week").run()
    found = carried.carried(load(ROOT / f"scenarios/{TOURING}.toml"), "work week", AT)
    assert carried.headline(found) in unescaped(app.info[0].value)


def test_imperial_figures():
    app = page(TOURING, units="imperial")
    assert not app.exception
    text = words(app)
    assert " kg" not in text.replace("canopy", "")
    assert app.slider(key="speed_mph").label == "Speed, mph"
    assert "The link asks" not in text
    item = load(ROOT / f"scenarios/{TOURING}.toml").job.loads
    shown = {w.key: w.value for w in app.text_input if w.key.startswith("carry:mass")}
    for key, value in shown.items():
        mass = item[int(key.split(":")[2])].mass
        assert float(value) == pytest.approx(to_unit(mass, "lb"), abs=0.06)
    lift = app.text_input(key="carry:lift:front:in")
    lift.set_value("2").run()
    change = loads(text_of(app), "x.toml").job.change
    assert change.suspension_lift_front == pytest.approx(0.0508)


@pytest.mark.parametrize("more", [0.1, 0.25, 1.0])
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_roof_load_named_gives_the_lean_chosen(path, more):
    found = shown(path)
    limit = roof.roof_limit(found, more)
    said = roof.roof_words(found, limit, METRIC)
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


def test_what_is_over_is_rounded_up_and_a_lift_is_on_the_paper():
    found = shown(next(path for path in FILES if path.stem == "beyond-a-bar"))
    by_name = {check.name: check for check in found.now.ratings}
    over = by_name["rear_axle"].load - by_name["rear_axle"].limit  # 73.47 kg
    assert f"{math.ceil(over)} kg too much" in " ".join(carried.over_words(found, METRIC))
    paper = handout.page(found, "a bend", METRIC, text="")
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
    [("high-roof-van", 0.8, 0.25), ("wagon-roof-load", 0.8, 1.0), ("crew-cab-touring", 0.9, 0.25)],
)
def test_no_roof_load_is_named_where_a_wheel_is_off(name, lateral_g, more):
    """Stops and full droop hold the lean there, so it is the wrong thing to go by."""
    found = shown(ROOT / "scenarios" / f"{name}.toml", lateral_g * STANDARD_GRAVITY)
    limit = roof.roof_limit(found, more)
    said = "Unladen it tips" if limit is None else "No roof load is named for this bend"
    assert roof.roof_words(found, limit, METRIC).startswith(said)


@pytest.mark.parametrize("name", ["independent-rear-with-bar", TOURING])
@pytest.mark.parametrize("aside", [0.0, 0.3, -0.3])
def test_the_roof_load_of_now_is_the_most_for_the_lean_of_now(name, aside):
    """One measure for the headline, the picture and the limit: the worse turn, at rest included."""
    scenario = load(ROOT / f"scenarios/{name}.toml")
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
    found = shown(ROOT / f"scenarios/{TOURING}.toml")
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
    found = shown(ROOT / "scenarios" / "beyond-a-bar.toml", 1.5 * STANDARD_GRAVITY)
    assert carried.headline(found).startswith("In this bend it tips over, empty and as it is")


def test_a_roof_load_that_overloads_an_axle_is_told():
    found = shown(ROOT / "scenarios" / "beyond-a-bar.toml", 0.28 * STANDARD_GRAVITY)
    limit = roof.roof_limit(found, 1.0)
    assert limit.answer.outcome is Outcome.FOUND
    assert "rear axle" in limit.over
    assert "over what the papers allow for: " in roof.roof_words(found, limit, METRIC)


def test_the_papers_count_where_they_allow_less():
    found = shown(ROOT / "scenarios" / "low-car.toml")
    limit = roof.roof_limit(found, 0.3)
    assert limit.answer.amount > 75.0
    said = roof.roof_words(found, limit, METRIC)
    assert said.endswith("The papers allow only 75 kg on the roof: that counts.")


def test_an_empty_roof_asks_for_a_load_above_the_roof():
    found = carried.carried(load(ROOT / f"scenarios/{TOURING}.toml"), "work week", AT)
    (item,) = roof.on_the_roof(found)
    assert item.mass == 0.0
    assert 1.8 < item.height < 2.3
    assert "0 kg is there now" in roof.roof_words(found, roof.roof_limit(found, 0.5), METRIC)


def test_the_page_to_print_holds_all_and_runs_nothing():
    text = (ROOT / f"scenarios/{BEYOND}.toml").read_text("utf-8")
    name = "tent and boat on the camper's roof"
    assert name in text
    text = text.replace(name, "<script>alert(1)</script>")
    found = carried.carried(loads(text, "x.toml"), "as_used", AT)
    html = handout.page(found, "a steady bend", METRIC, text=text)
    assert "<script" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in html
    for line in (*handout.MEASURE, *handout.FITTER, UP_HIGH, STEADY_BEND, LAW):
        assert line in html
    assert "OVER:" in html
    assert carried.headline(found) in html
    assert "roof, on the road: 140 of 80 kg, 60 kg OVER" in html
    for row in carried.share_rows(found):
        assert "".join(f"<td>{cell}</td>" for cell in row) in html


def test_the_link_opens_the_same_load():
    app = page("wagon-roof-load")
    app.text_input(key="carry:mass:0:kg").set_value("110").run()
    packed = app.query_params["scenario"]
    again = page("", scenario=packed[0] if isinstance(packed, list) else packed)
    assert text_of(again) == text_of(app)
    assert again.info[0].value == app.info[0].value
    assert any("scenario=" in code.value for code in app.code)


@pytest.mark.parametrize("kind", ["crew-cab truck", "wagon", "van", "car"])
def test_an_own_vehicle_from_its_papers(kind):
    app = page()
    app.selectbox(key="own:class").select(kind).run()
    for name, value in (("gross_vehicle_mass", "2800"), ("roof_load", "80")):
        app.text_input(key=f"own:{name}:kg").set_value(value)
    app.text_input(key=f"own:roof_height:{kind}:mm").set_value("2000")
    app.button(key="own:start").click().run()
    assert not app.exception
    job = loads(text_of(app), "x.toml").job
    assert job.vehicle.vehicle_class.value == kind
    assert (job.ratings.gross_vehicle_mass, job.ratings.roof_load) == (2800.0, 80.0)
    assert job.ratings.front_axle is None
    assert job.loads == ()
    assert job.vehicle.roof_height == 2.0
    head = unescaped(app.info[0].value)
    assert head.startswith("**Nothing is on it yet: it leans ")
    assert "before" not in head
    assert re.search(r"What the papers leave: whole vehicle \d+ kg; roof", words(app))
    app.button(key="carry:add").click().run()
    assert not app.exception
    assert len(loads(text_of(app), "x.toml").job.loads) == 1


def test_an_own_van_without_a_roof_height_is_refused():
    app = page()
    before = text_of(app)
    app.selectbox(key="own:class").select("van").run()
    app.button(key="own:start").click().run()
    assert not app.exception
    assert text_of(app) == before
    said = unescaped("\n".join(e.value for e in app.error))
    assert "Roof height: missing; a van needs it" in said
    assert "by tape, as it stood on the scales" in said


def test_what_goes_on_the_roof_stands_on_the_roof_that_was_typed():
    """2900 mm, in either order: a rack 80 mm and a tent 250 mm above it; then by tape."""
    heights = []
    for order in (("roof rack", "roof tent"), ("roof tent", "roof rack")):
        app = page()
        app.selectbox(key="own:class").select("van").run()
        app.text_input(key="own:roof_height:van:mm").set_value("2900")
        app.button(key="own:start").click().run()
        for name in order:
            options = app.selectbox(key="carry:new").options
            chosen = next(o for o in options if o.startswith(f"{name} "))
            app.selectbox(key="carry:new").select(chosen).run()
            app.button(key="carry:add").click().run()
        assert not app.exception
        heights.append({load.name: load.height for load in loads(text_of(app), "x").job.loads})
    assert heights[0] == heights[1] == {"roof rack": 2.98, "roof tent": 3.15}
    assert app.text_input(key="carry:height:1:mm").value == "2980"
    app.text_input(key="carry:height:1:mm").set_value("3010").run()
    rack = loads(text_of(app), "x").job.loads[1]
    assert (rack.name, rack.height) == ("roof rack", 3.01)
    assert min(load.height for load in loads(text_of(app), "x").job.loads) > 2.9


def test_the_height_of_what_a_tank_holds_is_not_typed_over():
    text = (ROOT / "scenarios/low-car.toml").read_text("utf-8")
    tank = 'tank = { capacity = "60 l", fill = 0.5, density = "1000 kg/m^3", '
    tank += 'bottom = "700 mm", depth = "300 mm" }'
    text += f'\n[[load]]\nname = "water"\n{tank}\nbehind_front_axle = "2000 mm"\n'
    text += 'place = "cabin"\n'
    number = len(loads(text, "x.toml").job.loads) - 1
    app = page("low-car")
    app.session_state["frame:text"] = text
    app.run()
    assert not app.exception
    keys = [one.key for one in app.text_input]
    assert f"carry:mass:{number}:kg" in keys
    assert f"carry:height:{number}:mm" not in keys


def test_a_scenario_with_errors_says_so_and_keeps_it():
    app = page(TOURING)
    wrong = text_of(app).replace('"1560 mm"', '"156 mm"', 1)
    app.session_state["frame:text"] = wrong
    app.run()
    assert not app.exception
    assert "front.track" in unescaped(app.error[0].value)
    assert text_of(app) == wrong


def test_a_bend_is_speed_squared_over_radius():
    assert bends.lateral_acceleration(20.0, 10.0) == 5.0
    metric, imperial = bends.road_units(METRIC), bends.road_units(IMPERIAL)
    assert 36.0 / metric.per_metre_a_second == pytest.approx(10.0)
    assert 60.0 / imperial.per_metre_a_second == pytest.approx(26.8224)  # 60 mph, exact
    assert 100.0 / imperial.per_metre == pytest.approx(30.48)
