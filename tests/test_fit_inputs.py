"""What is typed, linked or read on the page Fit a bar."""

import re

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.page import links
from rollsim.page.outcome import HOW_SURE
from rollsim.scenario.editing import value
from rollsim.scenario.starting import TYPED_IS_WEIGHED
from rollsim.typical import BODIES
from rollsim.vehicle import VehicleClass
from tests.builders import EVERY
from tests.fit_page import (
    BEYOND,
    FILES,
    GATE,
    LEAN,
    TOURING,
    UNLIKE,
    answered,
    opened,
    own,
    page,
    picture_of,
    wheels_of,
    words,
)


def test_a_link_carries_scenario_state_and_acceleration():
    app = page(TOURING, lateral="0.55", state="work week")
    assert app.slider(key="lateral").value == pytest.approx(0.55)
    assert app.radio(key="state").value == "work week"


def answer_of(app: AppTest) -> str:
    """The box of the answer: a warning where the bar costs the empty vehicle its balance."""
    boxes = (*app.info, *app.warning)
    return next(box.value for box in boxes if box.value.startswith("**"))


def test_a_scenario_without_a_bar_to_size():
    text = FILES[TOURING].read_text("utf-8")
    app = own(text[: text.index("[rear_bar]")])
    assert not app.exception
    assert "No bar is sized yet" in words(app)
    assert not app.dataframe
    assert picture_of(app).count("<figure") == 2
    app.button(key="size-usual").click().run()
    assert not app.exception
    assert answer_of(app).startswith("**Provisional: Fit ")  # its bushes are assumed


# Of those unlike in their own bars, which go, one is enough.
@pytest.mark.parametrize("example", [one for one in UNLIKE if one not in (GATE, BEYOND)])
def test_a_usual_bar_can_be_added_to_any_vehicle(example):
    text = FILES[example].read_text("utf-8").partition("[rear_bar]")[0]
    app = own(text, job="true")
    app.button(key="fit:add").click().run()
    assert not app.exception
    assert not [e.value for e in app.error if "errors" in e.value]
    assert len(app.dataframe) == 1


def test_a_file_with_errors_shows_each_of_them():
    text = FILES[TOURING].read_text("utf-8")
    wrong = text.replace('"3085 mm"', '"25,4 mm"').replace('track = "1560 mm"', 'trak = "1560 mm"')
    app = own(wrong)
    assert not app.exception
    assert "wheelbase" in app.error[0].value
    assert "trak" in app.error[0].value
    assert not app.table


def test_text_of_a_file_is_no_markup():
    text = FILES[TOURING].read_text("utf-8").replace('"touring"', '"<b>x</b> **y**"')
    app = own(text)
    assert not app.exception
    assert "<b>x" not in picture_of(app)
    assert r"\<b>" in answer_of(app)


def test_what_is_typed_goes_into_the_text_and_counts_at_once():
    app = page(TOURING, job="true")
    app.text_input(key="fit:target.roll_gradient").set_value("6.5 deg/g").run()
    assert 'roll_gradient = "6.5 deg/g"' in app.session_state["frame:text"]
    assert "the target is 6.50 deg/g" in answer_of(app)
    app.text_input(key="fit:rear_bar.arm_holes").set_value("280 mm, 300 mm").run()
    assert {option.split(", ")[1] for option in app.selectbox(key="bar").options} <= {
        "280 mm hole",
        "300 mm hole",
        "280 mm hole (not accepted)",
        "300 mm hole (not accepted)",
    }
    app.selectbox(key="fit:target.case").set_value("work week").run()
    assert '"work week" leans' in answer_of(app)
    app.selectbox(key="fit:rear_bar.material").set_value("51CrV4 quenched and tempered").run()
    assert "51CrV4 quenched and tempered" in words(app)
    assert "# Invented demo" in app.session_state["frame:text"]  # comments stay


def test_a_wrong_entry_is_told_beside_its_field_and_kept():
    app = page(TOURING, job="true")
    app.text_input(key="fit:rear_bar.bush_spacing").set_value("820 kg").run()
    assert not app.exception
    assert app.text_input(key="fit:rear_bar.bush_spacing").value == "820 kg"
    assert len([e for e in app.error if "820" in e.value]) == 2  # beside the field, and under it
    app.text_input(key="fit:rear_bar.bush_spacing").set_value("815").run()
    assert not app.error
    assert app.text_input(key="fit:rear_bar.bush_spacing").value == "815 mm"


# A first scenario of each class is sized in tests/test_editing.py.
CLASSES = VehicleClass if EVERY else (VehicleClass.VAN, VehicleClass.CAR)


@pytest.mark.parametrize("vehicle_class", [one.value for one in CLASSES])
def test_class_and_weights_give_a_provisional_bar_with_its_assumptions(vehicle_class):
    app = page(mine="true")
    app.selectbox(key="start_class").set_value(vehicle_class).run()
    app.multiselect(key="start_on").set_value(["roof rack", "roof tent"]).run()
    roof = BODIES[VehicleClass(vehicle_class)].roof_height
    app.text_input(key="start_roof_mm").set_value(f"{1e3 * roof:g}").run()
    app.button(key="start").click().run()
    assert not app.exception
    assert not [e.value for e in app.error if "errors" in e.value]
    text = app.session_state["frame:text"]
    assert value(text, "vehicle.class") == vehicle_class
    assert value(text, "load[1].name") == "roof tent"
    assert value(text, "vehicle.roof_height") == f"{1e3 * roof:.0f} mm"
    assert value(text, "load[1].height") == f"{1e3 * roof + 250.0:.0f} mm ± 100 mm (assumed)"
    assert re.search(r"Provisional: \d+ values are assumed, not measured", words(app))
    assert answer_of(app).startswith("**Provisional: ")
    assert f'Which to measure first stands under "{HOW_SURE}"' in words(app)
    assert len(app.dataframe) == 1
    assert picture_of(app).count("<figure") == 2


def test_a_van_is_not_started_without_its_roof_height():
    app = page(TOURING, mine="true")
    before = app.session_state["frame:text"]
    app.selectbox(key="start_class").set_value("van").run()
    app.button(key="start").click().run()
    assert not app.exception
    assert app.session_state["frame:text"] == before
    said = "\n".join(e.value for e in app.error).replace("\\", "")
    assert "Roof height: missing; a van needs it" in said


def test_absurd_weights_do_not_take_the_place_of_the_vehicle():
    app = page(TOURING, mine="true")
    assert not answer_of(app).startswith("**Provisional")
    before = app.session_state["frame:text"]
    key = next(x.key for x in app.text_input if x.key.startswith("start_front_left"))
    usual = app.text_input(key=key).value
    app.text_input(key=key).set_value("0")
    app.button(key="start").click().run()
    assert not app.exception
    assert app.session_state["frame:text"] == before
    said = "\n".join(e.value for e in app.error).replace("\\", "")
    assert "Front left: found 0 kg; allowed 100 to 2500 kg" in said
    app.text_input(key=key).set_value(usual)
    app.selectbox(key="start_bars").set_value("front and rear bar")
    app.text_input(key="start_tyre_kg").set_value("1120")
    app.button(key="start").click().run()
    text = app.session_state["frame:text"]
    assert value(text, "rear.bar.roll_stiffness") == "class default"
    assert value(text, "front.tyre.rated_load") == value(text, "rear.tyre.rated_load") == "1120 kg"
    assert "change of understeer –" not in words(app)


def test_what_is_on_it_is_typed_with_its_weight():
    """What is left as it stands is usual and marked; a weight or thing of one's own is given."""
    app = page(mine="true")
    things = ["roof tent", "two people behind", 'the "big" compressor']
    app.multiselect(key="start_on").set_value(things).run()
    assert app.text_input(key="start_item:two people behind:kg").placeholder == "usual 150"
    assert TYPED_IS_WEIGHED in words(app)
    app.text_input(key="start_item:two people behind:kg").set_value("310 lb")
    app.button(key="start").click().run()
    said = "\n".join(e.value for e in app.error).replace("\\", "")
    assert 'the "big" compressor, weighed, kg: nothing is typed; allowed 0 to 3000 kg' in said
    app.text_input(key=f"start_item:{things[2]}:kg").set_value("85")
    app.selectbox(key=f"start_where:{things[2]}").set_value("tray or luggage bay")
    app.button(key="start").click().run()
    assert not app.exception
    text = app.session_state["frame:text"]
    masses = [value(text, f"load[{n}].mass") for n in range(3)]
    assert masses == ["60 kg ± 30 % (assumed)", "140.614 kg", "85 kg"]  # 310 × 0.453 592 37
    assert value(text, "load[2].name") == things[2]
    assert value(text, "load[2].place") == "tray"


def test_a_bar_that_is_on_it_is_started_by_its_readings():
    app = page(mine="true")
    assert app.selectbox(key="start_bars").value == "don't know"
    app.selectbox(key="start_bars").set_value("front and rear bar").run()
    assert app.selectbox(key="start_front_known").value == "don't know"
    app.selectbox(key="start_front_known").set_value("by vernier and tape").run()
    captions = [one.value for one in app.caption]
    assert any("no better known than for the class" in one for one in captions)
    first = [one.label.split(",")[0] for one in app.text_input if one.label.startswith("Front: ")]
    assert first[:3] == [
        "Front: diameter",
        "Front: arm length",
        "Front: independent: link travel per wheel travel",
    ]
    app.button(key="start").click().run()
    said = "\n".join(e.value for e in app.error).replace("\\", "")
    assert "Diameter of the front bar: nothing is typed" in said
    for reading, typed in (("diameter", "28"), ("lever", "10 in"), ("centre", "800 mm")):
        app.text_input(key=f"bay:start_front_bar:{reading}:mm").set_value(typed)
    app.radio(key="bay:start_front_bar:bush_rate").set_value("rigid")
    app.button(key="start").click().run()
    assert not app.exception
    text = app.session_state["frame:text"]
    bar = {key: value(text, f"front.bar.{key}") for key in ("section", "arm_holes", "bush_rate")}
    assert bar == {"section": "28 mm solid", "arm_holes": ["254 mm"], "bush_rate": None}
    assert value(text, "front.bar.centre_length") == "800 mm"
    assert value(text, "front.bar.bush_spacing") == "698 mm ± 70 mm (assumed)"  # as long a middle
    assert value(text, "front.bar.link_rate") == "ball-jointed"
    assert value(text, "front.bar.installation_ratio") == "0.5 ± 0.2 (assumed)"
    assert value(text, "rear.bar.roll_stiffness") == "class default"
    assert "front, bush to bush: 698 mm" in words(app)  # listed with what is assumed


def test_weights_of_a_vehicle_are_taken_in_the_readers_units():
    app = page(units="imperial", mine="true")
    names = [n for n in (x.key for x in app.text_input) if n.startswith("start_front_left")]
    app.text_input(key=names[0]).set_value("1300").run()
    app.button(key="start").click().run()
    assert value(app.session_state["frame:text"], "vehicle.front_left_mass") == "589.67 kg"


def test_the_bar_shown_stays_when_the_units_change():
    app = page(TOURING)
    app.selectbox(key="bar").set_value(app.selectbox(key="bar").options[4]).run()
    app.radio(key="units").set_value("imperial").run()
    assert app.selectbox(key="bar").value.startswith("5: ")
    assert " in hole" in app.selectbox(key="bar").value


def test_a_link_that_cannot_be_followed_says_so():
    app = page(TOURING, lateral="5", state="x", bar="9: anvil")
    assert not app.exception
    for asked in ("5", "x", "9: anvil"):
        assert f'"{asked}"' in words(app)
    app.slider(key="lateral").set_value(0.5).run()
    assert "The link asks" not in words(app)


def test_a_link_between_the_steps_is_shown_at_the_nearest():
    app = page(TOURING, lateral="0.43", wheels="true")
    assert app.slider(key="lateral").value == pytest.approx(0.45)
    assert '"0.43"' in words(app)
    point = answered(FILES[TOURING]).before[0].curve[9]
    assert wheels_of(app).loc[LEAN, "unladen"] == f"{point.roll_angle * 57.29578:.2f}"


def test_a_link_that_can_be_followed_says_nothing():
    bar = opened(TOURING).selectbox(key="bar").options[3]
    app = page(TOURING, lateral="0.55", state="work week", bar=bar)
    assert app.selectbox(key="bar").value == bar
    assert "The link asks" not in words(app)
    assert links.refused({"lateral": "0.7", "bend": "left"}, {"bend": ("left", "right")}) == ()
