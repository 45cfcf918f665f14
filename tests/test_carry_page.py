"""The owner's page: the command's figures in plain words, and nothing that calls a ride safe."""

import functools
import math
import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.cautions import LAW, STEADY_BEND, UP_HIGH
from rollsim.page import address, bends, carried, nearer
from rollsim.page.carried import degrees
from rollsim.reader_units import METRIC
from rollsim.scenario import Scenario, load, loads
from rollsim.scenario.starting import TYPED_IS_WEIGHED
from rollsim.tell.of_swerve import swerve_words
from rollsim.units import to_unit
from rollsim.vehicle import Place
from tests.owner_page import (
    AT,
    BEYOND,
    ROOT,
    TOURING,
    page,
    scenario_file,
    shown,
    text_of,
    unescaped,
    words,
)

# The fullest, one over its ratings that tips early, and the barest.
OPENED = [scenario_file(name) for name in (TOURING, BEYOND, "low-car")]
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


@functools.cache
def opened(path: Path) -> AppTest:
    """The page of a scenario as it first comes up; only to be read."""
    return page(path.stem)


@pytest.mark.parametrize("path", OPENED, ids=lambda path: path.stem)
def test_what_is_over_comes_first_then_the_answer_and_how_far_it_is_from_a_lift(path):
    app, found = opened(path), shown(path)
    assert not app.exception
    head = unescaped(app.info[0].value)
    assert head == f"**{carried.headline(found)}** {nearer.words(found)}"
    errors = unescaped("\n".join(e.value for e in app.error))
    over = carried.over_words(found, METRIC)
    assert bool(over) == ("TOO HEAVY FOR ITS PAPERS" in errors)
    assert all(line in errors for line in over)
    assert list(app.table[0].value[carried.SHARE_HEADS[2]])[-1] == carried.closely(found.lean_now)


@pytest.mark.parametrize("path", OPENED, ids=lambda path: path.stem)
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
    assert math.isnan(shown(path).lean_now) or swerve_words(shown(path).now.swerve) in text
    rest = text.replace(UP_HIGH, "")
    assert not re.search(r"\bsafe|\bOK\b|\bokay\b|\bfine\b|no problem", rest, re.IGNORECASE)


def test_the_test_of_words_sees_the_page():
    text = words(opened(OPENED[0]))
    for word in ("Lift in front", "Add it", "on the roof", "Weigh it", "papers", "Body type"):
        assert word in text


def test_something_more_is_put_on_and_taken_out():
    """Without a weight its usual one, marked as assumed; a weight that is typed is the reader's."""
    app = page(TOURING)
    before = text_of(app)
    box = next(o for o in app.selectbox(key="carry:new").options if o.startswith("roof box"))
    app.selectbox(key="carry:new").select(box).run()
    app.button(key="carry:add").click().run()
    assert not app.exception
    scenario = loads(text_of(app), "x.toml")
    number = len(scenario.job.loads) - 1
    new = scenario.job.loads[-1]
    assert (new.mass, new.place, new.cases) == (60.0, Place.ROOF, ("touring",))
    heights = [x.height for x in scenario.job.loads[:-1] if x.place is Place.ROOF]
    assert abs(new.height - max(heights)) < 0.3
    marked = [line.split(" ")[0] for line in scenario.assumed]
    keys = ("mass", "behind_front_axle", "height")
    assert marked == [f"load[{number + 1}].{key}" for key in keys]
    assert "Provisional: 3 values are assumed" in words(app)
    key = f"carry:mass:{number}:kg"
    assert app.text_input(key=key).value == "60"
    assert app.text_input(key=key).label.endswith("usual weight assumed), kg")
    app.text_input(key=key).set_value("90").run()
    scenario = loads(text_of(app), "x.toml")
    assert scenario.job.loads[-1].mass == 90.0
    assert len(scenario.assumed) == 2
    assert "assumed" not in app.text_input(key=key).label
    assert "roof, on the road" in unescaped(app.error[0].value)
    app.button(key=f"carry:out:{number}").click().run()
    assert loads(text_of(app), "x.toml").job == loads(before, "x.toml").job
    assert not app.error


def test_a_weight_that_is_typed_for_something_more_is_not_assumed():
    app = page("low-car", units="imperial")
    weight = "carry:new:passenger in front:lb"  # people come first
    assert app.text_input(key=weight).label == "Weighed, lb"
    assert TYPED_IS_WEIGHED in words(app)
    app.text_input(key=weight).set_value("2000 horses").run()
    app.button(key="carry:add").click().run()
    assert "2000 horses" in unescaped(app.error[0].value)
    assert len(loads(text_of(app), "x.toml").job.loads) == 1
    app.text_input(key=weight).set_value("200")  # and clicks at once: the page has not run yet
    app.button(key="carry:add").click().run()
    scenario = loads(text_of(app), "x.toml")
    assert scenario.job.loads[-1].mass == pytest.approx(200 * 0.45359237)
    assert not any("mass" in line for line in scenario.assumed)
    assert app.text_input(key=weight).value == ""


def test_back_undoes_what_was_put_on_and_the_bend(monkeypatch):
    """The browser asks for the page once more, with the address of before."""
    monkeypatch.setattr(address, "SETTLES", 0.0)
    app = page(TOURING)
    steps = [(dict(app.query_params), text_of(app))]
    app.button(key="carry:add").click().run()
    steps.append((dict(app.query_params), text_of(app)))
    app.text_input(key="carry:speed:km/h").set_value("50").run()
    assert text_of(app) == steps[1][1]
    for query, text in reversed(steps):
        app.query_params.clear()
        for key, value in query.items():
            app.query_params[key] = value
        app.run()
        assert not app.exception
        assert text_of(app) == text
        assert app.text_input(key="carry:speed:km/h").value == "35"


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


def headline_at(radius: float, speed: float) -> str:
    """Of the touring load in a bend of that radius [m] and speed [m/s]."""
    lateral = bends.lateral_acceleration(radius, speed)
    return carried.headline(carried.carried(load(scenario_file(TOURING)), "touring", lateral))


def test_the_bend_follows_what_is_slid_or_typed_and_the_link():
    app = page(TOURING, radius="50m", speed="60km/h")
    assert headline_at(50.0, 60.0 / 3.6) in unescaped(app.info[0].value)
    app.slider(key="carry:speed:slider:km/h").set_value(40).run()
    assert headline_at(50.0, 40.0 / 3.6) in unescaped(app.info[0].value)
    assert app.text_input(key="carry:speed:km/h").value == "40"
    app.text_input(key="carry:radius:m").set_value("27,5").run()
    assert headline_at(27.5, 40.0 / 3.6) in unescaped(app.info[0].value)
    assert app.slider(key="carry:radius:slider:m").value == 28
    asked = {key: app.query_params[key] for key in ("radius", "speed")}
    assert asked == {"radius": "27.5m", "speed": "40km/h"}
    app.text_input(key="carry:radius:m").set_value("2").run()
    assert "found 2; allowed 5 to 300 m" in unescaped(app.error[0].value)


def test_the_same_bend_in_the_other_units_is_the_same_bend():
    """1 ft is 0.3048 m and 1 mph 0.44704 m/s, exact; what is shown is rounded, what counts not."""
    app = page(TOURING)
    before = app.info[0].value
    app.radio(key="units").set_value("imperial").run()
    assert app.info[0].value == before
    typed = [app.text_input(key=f"carry:{name}").value for name in ("radius:ft", "speed:mph")]
    assert typed == ["82", "21.7"]
    app.text_input(key="carry:speed:mph").set_value("22").run()
    assert headline_at(25.0, 22 * 0.44704) in unescaped(app.info[0].value)
    now = app.info[0].value
    app.radio(key="units").set_value("metric").run()
    assert app.info[0].value == now
    assert app.text_input(key="carry:speed:km/h").value == "35.4"


def test_two_loads_stand_side_by_side_and_change_nothing():
    app = page(TOURING)
    text = text_of(app)
    app.session_state["carry:beside"] = True
    app.run()
    first, second = app.multiselect
    assert set(first.value) - set(second.value) == {2}  # the tent is what weighs most up high
    second.set_value([0]).run()
    assert not app.exception
    tables = [t.value for t in app.table if "second load" in t.value.columns]
    assert tables[0].loc["weight of what is on it", "second load"] == "160 kg"
    assert text_of(app) == text


@pytest.mark.parametrize("path", OPENED, ids=lambda path: path.stem)
def test_pictures_say_what_the_page_says(path):
    app, found = opened(path), shown(path)
    drawn = [e.value for e in app.markdown if "<svg" in e.value]
    bars, bend, margin, water = drawn
    assert all(f"{row.name}: " in margin for row in nearer.margin_rows(found))
    for check in found.now.ratings:
        on = round(check.load)
        assert f"{carried.RATINGS[check.name]}: {on} of {check.limit:.0f} kg" in bars
        assert ("OVER" in bars) == any(c.over for c in found.now.ratings)
    leans = f"{degrees(found.lean_before)} before, {degrees(found.lean_now)} now"
    side = "right" if found.to_the_right else "left"
    assert f"A {side} bend of radius 25 m at 35 km/h: lean {leans}" in bend
    assert f"now {to_unit(found.lean_now, 'deg'):.2f} deg" in water


def test_a_bend_it_does_not_get_round():
    app = page(BEYOND, radius="10m", speed="30km/h")
    assert not app.exception
    assert "it tips over as it is loaded now" in unescaped(app.info[0].value)
    (bend,) = [e.value for e in app.markdown if 'class="bend"' in e.value]
    assert "now it tips over, drawn as it last stands" in bend
    assert "the picture shows how it last stands before that" in words(app)
    app.slider(key="carry:speed:slider:km/h").set_value(40).run()
    assert "it tips over, empty and as it is loaded now" in unescaped(app.info[0].value)
    (bend,) = [e.value for e in app.markdown if 'class="bend"' in e.value]
    assert bend.count(">tips over<") == 2
    app.slider(key="carry:speed:slider:km/h").set_value(100).run()
    assert not app.exception
    assert "Unladen it tips in this bend" in words(app)


def test_a_link_to_what_the_page_does_not_have_says_so():
    wrong = {"radius": "5000m", "speed": "fast", "more": "200", "load": "no such"}
    app = page(TOURING, **wrong)
    assert not app.exception
    notes = unescaped("\n".join(e.value for e in app.warning))
    for value in wrong.values():
        assert f'"{value}"' in notes
    assert (
        app.slider(key="carry:radius:slider:m").value,
        app.slider(key="carry:speed:slider:km/h").value,
    ) == (25, 35)
    app.slider(key="carry:speed:slider:km/h").set_value(40).run()
    assert "The link asks" not in unescaped("\n".join(e.value for e in app.warning))


def test_the_other_load_of_two():
    app = page(TOURING)
    assert app.radio(key="load").value == "touring"
    app.radio(key="load").set_value("work week").run()
    found = carried.carried(load(scenario_file(TOURING)), "work week", AT)
    assert carried.headline(found) in unescaped(app.info[0].value)


def test_a_vehicle_in_imperial_units_opens_in_them_and_leaves_no_trace():
    imperial = "crew-cab-touring-imperial"
    assert page(imperial, units="metric").radio(key="units").value == "metric"
    app = page(imperial)
    assert app.radio(key="units").value == "imperial"
    choice = app.selectbox(key="frame:choice")
    written, metric = choice.value, choice.options[0]
    choice.set_value(metric).run()
    assert app.radio(key="units").value == "metric"
    app.selectbox(key="frame:choice").set_value(written).run()
    app.radio(key="units").set_value("metric").run()
    app.radio(key="units").set_value("imperial").run()  # chosen, so it stays
    app.selectbox(key="frame:choice").set_value(metric).run()
    assert app.radio(key="units").value == "imperial"


def test_imperial_figures():
    app = page(TOURING, units="imperial")
    assert not app.exception
    text = words(app)
    assert " kg" not in text.replace("canopy", "")
    assert app.text_input(key="carry:speed:mph").label == "Speed, mph"
    assert "The link asks" not in text
    item = load(scenario_file(TOURING)).job.loads
    shown = {w.key: w.value for w in app.text_input if w.key.startswith("carry:mass")}
    for key, value in shown.items():
        mass = item[int(key.split(":")[2])].mass
        assert float(value) == pytest.approx(to_unit(mass, "lb"), abs=0.06)
    lift = app.text_input(key="carry:lift:front:in")
    lift.set_value("2").run()
    change = loads(text_of(app), "x.toml").job.change
    assert change.suspension_lift_front == pytest.approx(0.0508)


def test_the_link_opens_the_same_load():
    app = page("wagon-roof-load")
    app.text_input(key="carry:mass:0:kg").set_value("110").run()
    packed = app.query_params["scenario"]
    again = page("", scenario=packed[0] if isinstance(packed, list) else packed)
    assert text_of(again) == text_of(app)
    assert again.info[0].value == app.info[0].value
    assert any("scenario=" in code.value for code in app.code)


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
