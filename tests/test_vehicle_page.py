"""The page Vehicle: every input of every example, errors beside their field, files in and out."""

import re
import tomllib
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from rollsim.page import fields, listed
from rollsim.scenario import ScenarioError, loads
from rollsim.scenario.editing import changed, value
from rollsim.scenario.embedded import Source, embed
from rollsim.scenario.inputs import Kind
from rollsim.scenario.packing import packed

ROOT = Path(__file__).resolve().parents[1]
FILES = sorted((ROOT / "scenarios").glob("*.toml"))
TOURING = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8")
PAGE = "rollsim/page/vehicle.py"


def opened(text: str = TOURING, part: str = "On the scales") -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    app.query_params["scenario"] = packed(text)
    app.switch_page(PAGE).run()
    parts = [radio for radio in app.radio if radio.key == "group"]
    return parts[0].set_value(part).run() if parts else app


def fields_of(app: AppTest) -> dict:
    return {one.key: one for one in (*app.text_input, *app.selectbox, *app.toggle)}


def field(app: AppTest, key: str):
    return fields_of(app)[fields.widget_key(key)]


def told(app: AppTest) -> str:
    said = "\n".join(e.value for e in (*app.error, *app.warning))
    return re.sub(r"\\(?=[\W_])", "", said)


ALIKE = ("beyond-a-bar", "balance-gate-binds", "crew-cab-touring")
"""Examples without a key that none of the others has, as the next test holds."""
UNLIKE = [path for path in FILES if path.stem not in ALIKE]


def keys_of(table: dict, above: str = "") -> set[str]:
    found: set[str] = set()
    for name, held in table.items():
        key = f"{above}.{name}"
        tables = [held] if isinstance(held, dict) else held if isinstance(held, list) else []
        inner = [one for one in tables if isinstance(one, dict)]
        found |= set().union(*(keys_of(one, key) for one in inner)) if inner else {key}
    return found


def test_the_examples_shown_have_every_key():
    read = {path: keys_of(tomllib.loads(path.read_text("utf-8"))) for path in FILES}
    assert set().union(*read.values()) == set().union(*(read[path] for path in UNLIKE))


@pytest.mark.parametrize("path", UNLIKE, ids=lambda path: path.stem)
def test_every_input_of_every_example_is_shown(path):
    text = path.read_text("utf-8")
    app = opened(text)
    for part, words in fields.GROUPS.items():
        app.radio(key="group").set_value(words).run()
        if more := [one for one in app.toggle if one.key.startswith("vehicle:more:")]:
            more[0].set_value(True).run()
        assert not app.exception
        assert not app.error
        found = [one for one in listed.all_inputs(text) if fields._group(one.key) == part]
        assert found or fields.lists_of(part)
        shown = fields_of(app)
        for one in found:
            box = shown[fields.widget_key(one.key)]
            assert box.value == fields.shown(one, value(text, one.key)), one.key


def test_a_wrong_value_stays_and_its_error_stands_beside_it():
    app = opened(part="Front axle")
    field(app, "front.track").set_value("16 m").run()
    assert not app.exception
    assert field(app, "front.track").value == "16 m"
    assert 'found "16 m" (read as 16000 mm)' in told(app)
    assert "Put right first: Front axle (1 wrong)" in told(app)
    app.radio(key="group").set_value("Rear axle").run()
    app.radio(key="group").set_value("Front axle").run()
    assert field(app, "front.track").value == "16 m"
    field(app, "front.track").set_value("1580 mm").run()
    assert not app.error
    assert field(app, "front.track").value == "1580 mm"


def test_what_is_emptied_is_asked_for_and_typed_again_where_it_stood():
    text = TOURING.replace('unsprung_mass = "190 kg"', 'unsprung_mass = "190 kg"  # from the list')
    app = opened(text, part="Rear axle")
    field(app, "rear.unsprung_mass").set_value("").run()
    assert "missing" in told(app)
    assert field(app, "rear.unsprung_mass").label.endswith("needed")
    field(app, "rear.tyre.rated_load").set_value("").run()
    field(app, "rear.unsprung_mass").set_value("185 kg").run()
    field(app, "rear.tyre.rated_load").set_value("900 kg").run()
    assert app.session_state["frame:text"] == text.replace("190 kg", "185 kg")


def fold(app: AppTest, title: str):
    return next(one for one in app.expander if one.label.startswith(f"**{title}**"))


def test_folds_start_closed_with_what_is_in_them_and_open_where_something_is_wrong():
    app = opened(part="Rear axle")
    assert not any(one.proto.expanded for one in app.expander)
    spring = "rate 36 N/mm ± 5 %, helper leaves gap 55 mm, helper leaves rate 60 N/mm"
    assert fold(app, "Spring").label == f"**Spring** · {spring}"
    assert fold(app, "Anti-roll bar that is on it").label == "**Anti-roll bar that is on it**"
    in_sight = fields.parts(fields.of_group("rear"))[""]
    assert len(in_sight) == 8  # a phone shows them without the parts of the axle
    field(app, "rear.tyre.vertical_rate").set_value("250 mm").run()
    assert fold(app, "Tyre").proto.expanded
    assert not fold(app, "Spring").proto.expanded
    assert "**1 to mend**" in fold(app, "Tyre").label
    field(app, "rear.tyre.vertical_rate").set_value("240").run()
    assert fold(app, "Tyre").proto.expanded  # who mends goes on typing
    assert "vertical rate 240 N/mm" in fold(app, "Tyre").label


def test_a_page_that_comes_again_does_not_overwrite_what_is_being_typed():
    app = opened(part="Rear axle").run()
    start = fields.widget_key("")
    found = [one for key, one in fields_of(app).items() if str(key).startswith(start)]
    assert len(found) > 20
    assert not [one.key for one in found if one.proto.set_value]


def test_lists_numbers_and_flags_are_typed_as_they_are():
    app = opened(part="Bar to be sized")
    field(app, "rear_bar.arm_holes").set_value("250 mm, 280 mm").run()
    field(app, "rear_bar.sections").set_value("22 mm solid").run()
    assert not app.error
    app.radio(key="group").set_value("Limits").run()
    field(app, "limits.safety_factor").set_value("1.5").run()
    app.radio(key="group").set_value("Lift and changes").run()
    field(app, "change.on_when_weighed").set_value(True).run()
    assert not app.error
    text = app.session_state["frame:text"]
    assert value(text, "rear_bar.arm_holes") == ["250 mm", "280 mm"]
    assert value(text, "rear_bar.sections") == ["22 mm solid"]
    assert value(text, "limits.safety_factor") == 1.5
    assert value(text, "change.on_when_weighed") is True
    assert loads(text, "x.toml").job.limits.safety_factor == 1.5


def test_a_built_in_list_of_sections_is_put_in_by_its_name():
    app = opened(part="Bar to be sized")
    field(app, "rear_bar.sections").set_value("round bars 18-25 mm").run()
    assert not app.error
    assert value(app.session_state["frame:text"], "rear_bar.sections") == "round bars 18-25 mm"
    field(app, "rear_bar.sections").set_value("22 mm solid, 24 mm wood").run()
    assert "24 mm wood" in told(app)
    assert "belong to no field" not in told(app)


def test_a_centreline_is_typed_point_by_point():
    one = next(one for one in listed.all_inputs(TOURING) if one.key == "rear_bar.centreline")
    typed = "0 mm, 0 mm, 0 mm; 0 mm, 470 mm, 0 mm; 260 mm, 520 mm, 0 mm"
    text = fields.put_in(TOURING, one, typed)
    assert fields.shown(one, value(text, one.key)) == typed
    out = {f"rear_bar.{key}": None for key in ("centre_length", "arm_holes", "arm_splay")}
    assert len(loads(changed(text, out), "x.toml").rear_bar.shapes) == 1


def test_steels_come_and_go():
    app = opened(part="Bar to be sized")
    alone = value(TOURING, "rear_bar.material")
    app.button(key="vehicle:add:rear_bar.stock").click().run()
    assert not app.exception
    assert not app.error
    text = app.session_state["frame:text"]
    assert listed.number_in(text, "rear_bar.stock") == 2
    assert value(text, "rear_bar.stock[0].material") == alone
    field(app, "rear_bar.stock[1].sections").set_value("22 mm wood").run()
    assert "22 mm wood" in told(app)
    assert "belong to no field" not in told(app)
    app.button(key="vehicle:out:rear_bar.stock:1").click().run()
    assert not app.error
    assert listed.number_in(app.session_state["frame:text"], "rear_bar.stock") == 1


def test_other_springs_are_typed_and_taken_out():
    app = opened(part="Other springs")
    app.button(key="vehicle:add:spring_option").click().run()
    assert not app.exception
    assert not app.error  # they begin as the rear springs are, so that no page is held up
    assert field(app, "spring_option[0].rear.rate").value == value(TOURING, "rear.spring.rate")
    field(app, "spring_option[0].rear.rate").set_value("").run()
    assert "found no rate; allowed one of rate, wheel_rate" in told(app)
    assert "belong to no field" not in told(app)
    app.button_group(key="vehicle:parts:spring_option:0").set_value(["Rear spring"]).run()
    field(app, "spring_option[0].rear.rate").set_value("44 N/mm").run()
    assert not app.error
    text = app.session_state["frame:text"]
    (option,) = loads(text, "x.toml").job.spring_options
    assert option.name == "springs 1"
    assert option.rear.rate == pytest.approx(44e3)
    app.button(key="vehicle:out:spring_option:0").click().run()
    assert not app.error
    assert listed.number_in(app.session_state["frame:text"], "spring_option") == 0


def test_readings_of_a_lean_test_are_typed():
    text = f"""{TOURING}
[lean_test]
unknown = "rear roll stiffness"
state = "as_weighed"
reading = [
  {{ mass = "150 kg", right_of_centreline = "300 mm", lean = "0.37 deg", last_moved = "right" }},
  {{ mass = "150 kg", right_of_centreline = "600 mm", lean = "0.77 deg", last_moved = "right" }},
  {{ mass = "150 kg", right_of_centreline = "-300 mm", lean = "-0.37 deg", last_moved = "left" }},
]
"""
    app = opened(text, part="Lean test")
    assert app.error
    app.button(key="vehicle:add:lean_test.reading").click().run()
    typed = {"mass": "150 kg", "right_of_centreline": "-600 mm", "lean": "-0.78 deg"}
    for key, now in (typed | {"last_moved": "left"}).items():
        field(app, f"lean_test.reading[3].{key}").set_value(now).run()
    assert not app.exception
    assert not app.error, told(app)
    text = app.session_state["frame:text"]
    assert value(text, "lean_test.reading[3].lean") == "-0.78 deg"
    assert any("lean test" in line for line in loads(text, "x.toml").measured)


def test_readings_inside_a_fold_come_and_go():
    app = opened(part="Rear axle")
    name = "rear.spring.load_test.reading"
    app.button(key=f"vehicle:add:{name}").click().run()
    field(app, f"{name}[0].added").set_value("100 kg").run()
    assert value(app.session_state["frame:text"], f"{name}[0].added") == "100 kg"
    assert f"{name}[0].drop" in {
        one.key for one in listed.all_inputs(app.session_state["frame:text"])
    }
    assert "belong to no field" not in told(app)
    app.button(key=f"vehicle:out:{name}:0").click().run()
    assert listed.number_in(app.session_state["frame:text"], name) == 0


def test_what_cannot_be_put_in_is_told_and_the_text_stays():
    text = TOURING.replace("tyre = {", "tyre = 5 # {", 1)
    assert value(text, "front.tyre") == 5
    app = opened(text, part="Front axle")
    field(app, "front.tyre.vertical_rate").set_value("240 N/mm").run()
    assert not app.exception
    assert '"240 N/mm" was not put in: tyre holds a value, not a table' in told(app)
    assert app.session_state["frame:text"] == text


def test_an_error_names_the_item_as_the_file_counts_it():
    lines = ("a: b.toml: load[2].colour: unknown key", "a: b.toml: load[2].mass: missing")
    wrong = fields.Errors(lines, "a: b.toml")
    assert wrong.at("load[1].mass") == ("missing",)
    assert wrong.of_tables(["load[1].mass"], ["load[0]", "load[1]"]) == {
        "load[1]": ("load[2].colour: unknown key",)
    }


def test_errors_of_a_table_stand_in_its_part_and_none_on_top():
    lines = (
        "x: front: missing",
        "x: rear.bar: found neither",
        "x: rear.bar.colour: unknown key",
        "x: ratings.roof: unknown key",
        "x: rear.spring.helical.turns: unknown key",
        "x: wheels: unknown key",
    )
    keys = [one.key for one in listed.all_inputs(TOURING)]
    bar, coil = "Anti-roll bar that is on it", "Spring: From the dimensions of its coil"
    assert fields.Errors(lines, "x").of_tables(keys, ()) == {
        fields.place("front", ""): ("front: missing",),
        fields.place("rear", bar): ("rear.bar: found neither", "rear.bar.colour: unknown key"),
        fields.place("ratings", ""): ("ratings.roof: unknown key",),
        fields.place("rear", coil): ("rear.spring.helical.turns: unknown key",),
        "": ("wheels: unknown key",),
    }


def test_a_bar_shows_seven_keys_and_what_is_stated_or_wrong():
    app = opened(part="Rear axle")
    in_bar = [one for one in listed.all_inputs(TOURING) if one.key.startswith("rear.bar.")]
    shown = {one.key for one in app.text_input} | {one.key for one in app.selectbox}
    assert len(in_bar) == 23
    assert sum(fields.widget_key(one.key) in shown for one in in_bar) == 7
    field(app, "rear.bar.link_end_rate").set_value("28").run()
    assert fold(app, "Anti-roll bar that is on it").proto.expanded
    assert "link_end_rate on solid axle suspension needs it; add it" in told(app)
    field(app, "rear.bar.link_spacing").set_value("1100").run()  # asked for: no longer behind
    assert not app.error
    field(app, "rear.bar.roll_stiffness").set_value("150").run()
    assert "rear.bar: found both; allowed link_end_rate" in told(app)
    assert "belong to no field" not in told(app)
    app.toggle(key="vehicle:more:rear:Anti-roll bar that is on it").set_value(True).run()
    assert field(app, "rear.bar.arm_angle").value == ""


def test_load_items_come_and_go():
    app = opened(part="Load items")
    before = listed.number_in(TOURING, "load")
    app.button(key="vehicle:add:load").click().run()
    assert listed.number_in(app.session_state["frame:text"], "load") == before + 1
    assert fold(app, "new item").proto.expanded
    assert not fold(app, "canopy").proto.expanded
    field(app, f"load[{before}].mass").set_value("85 g").run()
    assert 'found "85 g"' in told(app)
    app.button(key=f"vehicle:out:load:{before}").click().run()
    assert not app.error
    assert listed.number_in(app.session_state["frame:text"], "load") == before


def test_every_error_of_a_scenario_is_on_the_page():
    text = TOURING.replace('"3085 mm"', '"3 mm"').replace("[ratings]", "[ratings]\nroof = 5")
    text = text.replace('place = "roof"', 'place = "bonnet"')
    with pytest.raises(ScenarioError) as wrong:
        loads(text, "from-the-link.toml")
    app = opened(text)
    seen = ""
    for words in fields.GROUPS.values():
        app.radio(key="group").set_value(words).run()
        seen += told(app)
    for line in wrong.value.errors:
        assert line.split(": ", 2)[2] in seen, line


def test_what_is_no_toml_is_mended_as_text():
    app = opened("title = ")
    assert not app.exception
    assert "not readable as TOML" in told(app)
    assert app.text_area(key="vehicle:text").value == "title = "
    app.text_area(key="vehicle:text").set_value(TOURING).run()
    assert not app.error
    assert app.session_state["frame:text"] == TOURING


def test_a_file_is_opened_and_saved_as_it_is():
    app = opened()
    other = (ROOT / "scenarios" / "low-car.toml").read_bytes()
    marked = b"\xef\xbb\xbf" + other  # a byte-order mark is no part of the text
    app.file_uploader(key="vehicle:file").upload("own.toml", marked, "application/toml").run()
    assert not app.exception
    assert not app.error
    assert app.session_state["frame:text"].encode() == other
    assert app.session_state["frame:name"] == "own.toml"


def test_a_job_sheet_is_opened_as_the_scenario_in_it():
    app = opened()
    text = (ROOT / "scenarios" / "low-car.toml").read_text(encoding="utf-8")
    html = f"<html>{embed(Source('low-car.toml', text))}</html>".encode()
    app.file_uploader(key="vehicle:file").upload("job.html", html, "text/html").run()
    assert not app.exception
    assert app.session_state["frame:text"] == text
    assert app.session_state["frame:name"] == "low-car.toml"


@pytest.mark.parametrize("line_end", ["\n", "\r\n"], ids=["LF", "CRLF"])
def test_what_is_saved_is_the_text_to_the_byte(line_end, monkeypatch):
    saved = []
    monkeypatch.setattr(
        st, "download_button", lambda *given, **more: saved.append((given[1], more["file_name"]))
    )
    text = TOURING.replace("\n", line_end)
    opened(text)
    assert saved[-1] == (text, "from-the-link.toml")


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"\xff\xfe\x00", "is not UTF-8 text"),
        (b"title = ", "not readable as TOML"),
        (TOURING.replace('"3085 mm"', '"3 mm"').replace("1560", "16").encode(), "wheelbase"),
    ],
    ids=["bytes", "no TOML", "values"],
)
def test_a_bad_file_is_refused_and_nothing_is_lost(data, why):
    app = opened()
    app.file_uploader(key="vehicle:file").upload("bad.toml", data, "application/toml").run()
    assert not app.exception
    assert why in told(app)
    assert "bad.toml was not taken" in told(app)
    assert app.session_state["frame:text"] == TOURING
    if why == "wheelbase":
        assert "front.track" in told(app)


def test_each_input_says_how_to_measure_it():
    for one in listed.all_inputs(TOURING):
        assert one.measure[1:] in fields.how(one)
        assert one.allowed in fields.how(one)
        assert ("common practice, no source" in fields.how(one)) == bool(one.how_well)
        if one.kind in (Kind.QUANTITY, Kind.NUMBER) and value(TOURING, one.key) is not None:
            assert fields.label(one, value(TOURING, one.key)).split(" · ")[1] in (
                "measured",
                "given",
                "assumed",
            )
