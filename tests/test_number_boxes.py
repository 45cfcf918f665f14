"""Every box for a number, on every page: a comma is a decimal comma or is refused in words."""

import ast
import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.page import fields
from rollsim.page.numbers import Allowed, read, shown
from rollsim.reader_units import READER_UNITS, UnitSystem
from rollsim.scenario import ScenarioError, loads
from rollsim.scenario.inputs import Kind, inputs
from rollsim.vehicle import Job

ROOT = Path(__file__).resolve().parents[1]
PAGES = ROOT / "rollsim" / "page"
READS_NO_NUMBER = (  # names, codes, passphrases; fields of the file, which the scenario reads
    ("bay_forms.py", "What it is"),
    ("classroom.py", "Class code"),
    ("classroom.py", "Passphrase of this class"),
    ("classroom.py", "Name of the class"),
    ("classroom.py", "Passphrase for the key"),
    ("fit_inputs.py", "label"),
    ("road_log.py", "Inertial unit that made the roll angle, if one is logged"),
    ("vehicle.py", "label"),
    ("numbers.py", "plain(label)"),
)
OF_THE_FILE = ("fit:", "vehicle:")  # keys of fields that the scenario reads
WORDS = ("bay:item:name", "class", "why_word", "why_name", "why_new_word")


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("75", 75.0),
        ("75.0", 75.0),
        ("75,0", 75.0),
        (" 0,625 ", 0.625),
        ("0,5", 0.5),
        (",5", 0.5),
        ("-3,25", -3.25),
        ("−3.25", -3.25),
        ("+7", 7.0),
        ("1200", 1200.0),
        ("1,2", 1.2),
        ("1,2000", 1.2),
    ],
)
def test_a_number_is_read_with_point_and_comma(typed, value):
    assert read(typed).value == value
    assert read(typed).wrong == ""


@pytest.mark.parametrize(
    "typed",
    [
        "1,200",
        "12,345",
        "1,200.5",
        "1.200,5",
        "1 20",
        "1200 500",
        "75 kg",
        "1e3",
        "nan",
        "inf",
        "x",
        ".",
        "-",
    ],
)
def test_what_is_no_plain_number_is_refused_in_words(typed):
    assert read(typed).value is None
    assert read(typed).wrong.startswith(f'found "{typed}"')


@pytest.mark.parametrize(
    ("typed", "unit", "value"),
    [
        ("140", "kg", 140.0),
        ("140 kg", "kg", 140.0),
        ("140kg", "kg", 140.0),
        ("220,5 lb", "kg", 100.01711758),  # 0.453 592 37 kg, the international pound
        ("5.5 in", "mm", 139.7),  # 25.4 mm, the international inch
        ("0.55 m", "mm", 550.0),
        ("139.7 mm", "in", 5.5),
        ("10 %", "%", 10.0),
        ("5.2 deg/g", "deg/g", 5.2),
        ("1200.5 mm", "mm", 1200.5),
    ],
)
def test_a_number_may_have_a_unit_behind_it(typed, unit, value):
    assert read(typed, Allowed(unit=unit)).value == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize("typed", ["140 mm", "140 bananas", "140 kg kg", "1 kg 2", "140 kg ± 5 kg"])
def test_another_kind_of_unit_is_refused_in_words(typed):
    found = read(typed, Allowed(0.0, 500.0, "kg"))
    assert found.value is None
    assert found.wrong.startswith(f'found "{typed}"; write a number')


def test_a_unit_changes_what_is_in_range_and_what_may_part_thousands():
    allowed = Allowed(500.0, 8000.0, "kg")
    wrong = read("600 lb", allowed).wrong
    assert wrong == "found 600 lb (read as 272.155 kg); allowed 500 to 8000 kg"
    assert "may mean 2400 or 2.4" in read("2.400 lb", allowed).wrong
    assert read("1.200 kg", Allowed(0.0, 8.0, "kg")).value == 1.2


@pytest.mark.parametrize(
    ("key", "typed", "metric", "imperial"),
    [
        ("front.track", "1580", "1580 mm", "1580 in"),
        ("front.track", "62,5 in ± 0,25", "62.5 in ± 0.25 in", "62.5 in ± 0.25 in"),
        ("front.track", "1580 ± 0.2 in", "1580 in ± 0.2 in", "1580 in ± 0.2 in"),
        ("front.track", "1580 mm +/- 5 mm", "1580 mm +/- 5 mm", "1580 mm +/- 5 mm"),
        ("front.tyre.rated_load", "910", "910 kg", "910 lb"),
        ("front.tyre.vertical_rate", "240 ± 5 %", "240 N/mm ± 5 %", "240 lbf/in ± 5 %"),
        ("front.unsprung_mass", "105 (assumed)", "105 kg (assumed)", "105 lb (assumed)"),
        ("front.unsprung_mass", "class default", "class default", "class default"),
        ("rear_bar.arm_holes", "9,5", ["9,5"], ["9,5"]),  # 9.5, or 9 and 5
        ("rear_bar.sections", "22,5", "22,5", "22,5"),
        ("rear_bar.sections", "24,5 mm solid", "24,5 mm solid", "24,5 mm solid"),
        ("rear_bar.arm_holes", "250, 280 mm", ["250 mm", "280 mm"], ["250 in", "280 mm"]),
        ("rear_bar.bush_rate", "9", "9 kN/mm", "9 lbf/in"),
        ("rear_bar.bush_rate", "rubber", "rubber", "rubber"),
        ("target.roll_gradient", "12,5 % less than now", *["12.5 % less than now"] * 2),
        ("target.roll_gradient", "5,5", "5.5 deg/g", "5.5 deg/g"),
        ("rear_bar.sections", "22 mm solid", ["22 mm solid"], ["22 mm solid"]),
        (
            "rear_bar.sections",
            "22, 1 in",
            ["22 mm solid", "1 in solid"],
            ["22 in solid", "1 in solid"],
        ),
        ("rear_bar.sections", "round bars 18-25 mm", *["round bars 18-25 mm"] * 2),
        ("front.bar.section", "28,5 ± 0.1", "28.5 mm ± 0.1 mm solid", "28.5 in ± 0.1 in solid"),
        ("front.bar.section", "27 mm x 4 mm", "27 mm x 4 mm", "27 mm x 4 mm"),
    ],
)
def test_a_number_alone_is_in_the_unit_that_the_field_shows(key, typed, metric, imperial):
    one = next(one for one in inputs() if one.key == key)
    for system, written in ((UnitSystem.METRIC, metric), (UnitSystem.IMPERIAL, imperial)):
        units = READER_UNITS[system]
        assert fields.typed(fields.put_in("", one, typed, units), key) == written
        assert fields.unit_of(one, units) in fields.allowed(one, units)


def test_what_lies_outside_is_told_with_what_is_allowed():
    allowed = Allowed(200.0, 8000.0, "kg")
    assert read("17355", allowed).wrong == "found 17355; allowed 200 to 8000 kg"
    assert read("199,9", allowed).value is None
    assert (read("200", allowed).value, read("8000", allowed).value) == (200.0, 8000.0)
    assert read("", allowed).wrong == ""
    assert read("", Allowed(0.0, 1.0, "m", needed=True)).wrong.startswith("nothing is typed")
    assert read("-1", Allowed(least=0.0)).wrong == "found -1; allowed 0 or more"


@pytest.mark.parametrize("value", [0.0, 0.4, 75.0, 1200.04, 5291.1, -152.4])
def test_what_a_box_shows_is_read_back(value):
    assert read(shown(value, 1)).value == pytest.approx(value, abs=0.05)


def calls(path: Path) -> list[tuple[str, ast.Call]]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    return [(node.func.attr, node) for node in found if isinstance(node.func, ast.Attribute)]


def test_no_page_has_another_box_for_a_number():
    """A browser's own field for numbers drops commas; a free text is on the list above."""
    texts, others = [], []
    for path in sorted(PAGES.glob("*.py")):
        for name, call in calls(path):
            if name == "text_input":
                first = call.args[0]
                label = first.value if isinstance(first, ast.Constant) else ast.unparse(first)
                texts.append((path.name, label))
            elif name in ("number_input", "data_editor"):
                others.append(f"{path.name}:{call.lineno}: {name}")
    assert others == []
    assert sorted(texts) == sorted(READS_NO_NUMBER)


def opened(page: str, **query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    for key, value in query.items():
        app.query_params[key] = value
    app = app.switch_page(f"rollsim/page/{page}.py") if page else app
    return app.run()


def _left_out(key: str, done: set[str]) -> bool:
    return key in done or key in WORDS or key.startswith(OF_THE_FILE)


def typed_in(app: AppTest, keys: list[str], text: str) -> AppTest:
    """The same text in every box, then one run."""
    for key in keys:
        app.text_input(key=key).set_value(text)
    return app.run()


def said(app: AppTest) -> str:
    return "\n".join(e.value for e in app.error).replace("\\", "")


@pytest.mark.parametrize(
    ("page", "query", "least"),  # least: how many boxes for a number it has
    [
        ("fit", {"mine": "true"}, 6),
        ("carry", {}, 10),
        ("springs_weights", {}, 40),
        ("see_why", {}, 8),
        ("road_test", {}, 0),
        ("vehicle", {}, 0),
        ("shop", {}, 0),
        ("method", {}, 0),
    ],
)
def test_in_every_box_of_every_page_a_comma_changes_no_number(page, query, least):
    app = opened(page, **query)
    assert not app.exception
    assert not app.number_input
    done: set[str] = set()
    while new := [box.key for box in app.text_input if not _left_out(box.key, done)]:
        done.update(new)  # those typed in may bring others
        labels = [app.text_input(key=key).label for key in new]
        app = typed_in(app, new, "1,200")
        told = said(app)
        for label in set(labels):
            found = f'{label}: found "1,200", which may mean 1200 or 1.2'
            assert told.count(found) >= labels.count(label), label
        app = typed_in(app, new, "45,0")
        assert "which may mean" not in said(app)
        with_comma = [*(e.value for e in app.error), app.session_state["frame:text"]]
        app = typed_in(app, new, "45")
        with_none = [*(e.value for e in app.error), app.session_state["frame:text"]]
        assert [line.replace("45,0", "45") for line in with_comma] == with_none
    assert len(done) >= least


def job_or_errors(text: str) -> Job | tuple[str, ...]:
    try:
        return loads(text, "typed.toml", ROOT / "scenarios").job
    except ScenarioError as wrong:
        return wrong.errors


@pytest.mark.parametrize("example", ["crew-cab-touring", "low-car", "independent-rear-with-bar"])
def test_in_every_field_of_the_file_a_comma_is_decimal_or_refused(example):
    text = (ROOT / f"scenarios/{example}.toml").read_text(encoding="utf-8")
    taken = 0
    for one in inputs():
        now = None if "[]" in one.key else fields.typed(text, one.key)
        if now is None or one.kind in (Kind.TEXT, Kind.CHOICE, Kind.FLAG):
            continue
        typed = fields.shown(one, now)
        point, comma = (re.sub(r"(\d+)(\.\d+)?", rf"\g<1>{mark}5", typed, count=1) for mark in ".,")
        if point == typed:
            continue  # a word, such as a class default
        with_point = job_or_errors(fields.put_in(text, one, point))
        with_comma = job_or_errors(fields.put_in(text, one, comma))
        if isinstance(with_comma, Job):
            assert with_comma == with_point, one.key
            taken += 1
        else:
            assert any(one.key.rpartition(".")[2] in line for line in with_comma), one.key
    assert taken > 10


def test_an_own_vehicle_does_not_start_while_a_box_is_wrong():
    app = opened("carry")
    before = app.session_state["frame:text"]
    app.text_input(key="own:gross_vehicle_mass:kg").set_value("17355")
    app.text_input(key="own:roof_load:kg").set_value("80")
    app.button(key="own:start").click().run()
    assert app.session_state["frame:text"] == before
    label = "Whole vehicle, at most, kg"
    assert said(app).count(f"{label}: found 17355; allowed 500 to 8000 kg") == 1
    assert "Not started" in said(app)
    assert f"{label}: what is wrong stands there" in said(app)
    app.text_input(key="own:gross_vehicle_mass:kg").set_value("1735,5")
    app.button(key="own:start").click().run()
    assert not app.exception
    ratings = loads(app.session_state["frame:text"], "x.toml").job.ratings
    assert (ratings.gross_vehicle_mass, ratings.roof_load) == (1735.5, 80.0)


def test_a_first_bar_is_not_sized_while_a_box_is_wrong():
    app = opened("fit", mine="true")
    before = app.session_state["frame:text"]
    for start, typed, told in (
        ("start_front_left", "17355", "Front left, kg: found 17355; allowed 0 to 2500 kg"),
        ("start_rear_right", "", "Rear right, kg: nothing is typed; allowed 0 to 2500 kg"),
        ("start_lift", "50 kg", 'Lift that it has, mm: found "50 kg"; write a number alone, or'),
        ("start_tyre", "1,120", 'found "1,120", which may mean 1120 or 1.12'),
    ):
        key = next(x.key for x in app.text_input if x.key.startswith(start))
        usual = app.text_input(key=key).value
        app.text_input(key=key).set_value(typed)
        app.button(key="start").click().run()
        assert not app.exception
        assert app.session_state["frame:text"] == before
        assert said(app).count(told) == 1
        assert "what is wrong stands there" in said(app)
        app.text_input(key=key).set_value(usual)
    app.button(key="start").click().run()
    assert app.session_state["frame:text"] != before


def test_a_wrong_weight_stays_in_its_box_until_it_is_mended():
    app = opened("carry", example="wagon-roof-load")
    before = app.session_state["frame:text"]
    app = app.text_input(key="carry:mass:0:kg").set_value("1,200").run()
    assert app.session_state["frame:text"] == before
    app = app.text_input(key="carry:lift:front:mm").set_value("30").run()
    assert app.text_input(key="carry:mass:0:kg").value == "1,200"
    assert 'found "1,200"' in said(app)
    app = app.text_input(key="carry:mass:0:kg").set_value("75,5").run()
    assert 'found "1,200"' not in said(app)
    job = loads(app.session_state["frame:text"], "x.toml").job
    assert (job.loads[0].mass, job.change.suspension_lift_front) == (75.5, 0.03)
    assert app.text_input(key="carry:mass:0:kg").value == "75.5"


def test_a_link_puts_a_number_into_its_box():
    app = opened("fit", mine="true", start_lift_mm="45.0")
    assert app.text_input(key="start_lift_mm").value == "45.0"
    assert not app.error
    app = opened("fit", mine="true", start_lift_mm="4500")
    assert "found 4500; allowed 0 to 300 mm" in said(app)


def test_a_reading_that_is_not_needed_is_not_passed_over():
    """A wrong one gives no result, as if it had been left empty."""
    app = opened("springs_weights")
    test = "corner_weights"
    for corner in ("front_left", "front_right", "rear_left", "rear_right"):
        app.text_input(key=f"bay:{test}:{corner}:kg").set_value("560,5")
    assert app.run().button(key=f"bay:put:{test}")
    app.text_input(key=f"bay:{test}:corner_error:kg").set_value("0,500 m").run()
    assert not [b for b in app.button if b.key == f"bay:put:{test}"]
