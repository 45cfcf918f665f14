"""An owner's own vehicle: begun from the papers, put right with all that is on it."""

import re

import pytest

from rollsim.scenario import loads
from tests.owner_page import page, text_of, unescaped, words


@pytest.mark.parametrize("kind", ["crew-cab truck", "car"])  # a van and a wagon: below
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
    assert re.search(
        r"Room left under the limits in the papers: whole vehicle \d+ kg; roof", words(app)
    )
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


def test_body_types_say_how_high_the_roof_is_and_which_axle_they_have():
    """Of the table of usual bodies: a car's roof at 1.46 m, and 57.5 in of 25.4 mm."""
    app = page()
    assert app.selectbox(key="own:class").options == [
        "crew-cab truck: roof about 1800 mm high, solid rear axle",
        "wagon: roof about 1820 mm high, solid rear axle",
        "van: low or high roof, to be taped, solid rear axle",
        "car: roof about 1460 mm high, independent rear wheels",
    ]
    app.radio(key="units").set_value("imperial").run()
    assert app.selectbox(key="own:class").options[-1].startswith("car: roof about 57.48 in high")


def test_correcting_a_paper_value_keeps_the_loads():
    app = page()
    app.selectbox(key="own:class").select("wagon").run()
    app.button(key="own:start").click().run()
    assert "No limits from the papers are typed in yet" in words(app)
    for name in ("roof rack", "roof tent"):
        options = app.selectbox(key="carry:new").options
        app.selectbox(key="carry:new").select(next(o for o in options if o.startswith(name))).run()
        app.button(key="carry:add").click().run()
    app.text_input(key="carry:mass:1:kg").set_value("72").run()
    loaded = loads(text_of(app), "x").job
    app.text_input(key="papers:ratings.roof_load:kg").set_value("100")
    app.text_input(key="papers:vehicle.roof_height:mm").set_value("1920")
    app.text_input(key="papers:total:kg").set_value("2200").run()
    app.text_input(key="papers:share:%").set_value("55").run()
    assert "roof, on the road: 107 kg, allowed 100 kg: 7 kg too much" in words(app)
    assert not app.exception
    scenario = loads(text_of(app), "x")
    job = scenario.job
    assert [x.name for x in job.loads] == ["roof rack", "roof tent"]
    assert job.loads[1].mass == 72.0
    assert job.ratings.roof_load == 100.0
    axles = (job.vehicle.front_axle_mass, job.vehicle.rear_axle_mass)
    assert axles == pytest.approx((1210.0, 990.0))
    assert not any("axle_mass" in line for line in scenario.assumed)
    higher = [new.height - old.height for new, old in zip(job.loads, loaded.loads, strict=True)]
    assert higher == pytest.approx([0.1, 0.1])  # the class has 1820 mm
    app.text_input(key="papers:ratings.roof_load:kg").set_value("").run()
    assert loads(text_of(app), "x").job.ratings.roof_load is None


def test_a_weight_alone_leaves_the_share_of_the_axles_assumed():
    app = page()
    app.selectbox(key="own:class").select("wagon").run()
    app.button(key="own:start").click().run()
    app.text_input(key="papers:total:kg").set_value("2200").run()
    scenario = loads(text_of(app), "x")
    assert sum(line.startswith("vehicle.") and "axle" in line for line in scenario.assumed) == 2
    app.text_input(key="papers:share:%").set_value("55").run()
    assert not any("axle_mass" in line for line in loads(text_of(app), "x").assumed)


def test_a_share_alone_leaves_the_weight_assumed():
    app = page()
    app.selectbox(key="own:class").select("wagon").run()
    app.button(key="own:start").click().run()
    for share in ("55", "56"):
        app.text_input(key="papers:share:%").set_value(share).run()
    scenario = loads(text_of(app), "x")
    assert sum("axle_mass" in line for line in scenario.assumed) == 2
    app.text_input(key="papers:total:kg").set_value("2000")
    app.text_input(key="papers:share:%").set_value("60").run()  # both in one run
    job = loads(text_of(app), "x").job
    axles = (job.vehicle.front_axle_mass, job.vehicle.rear_axle_mass)
    assert axles == pytest.approx((1200.0, 800.0))


def test_a_weight_that_is_wrong_changes_nothing():
    app = page()
    app.selectbox(key="own:class").select("wagon").run()
    app.button(key="own:start").click().run()
    scenario = loads(text_of(app), "x")
    app.text_input(key="papers:total:kg").set_value("22").run()
    assert "found 22; allowed 500 to 6000 kg" in words(app)
    assert loads(text_of(app), "x").job == scenario.job
