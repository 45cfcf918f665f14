"""The page Road test: the rule first, a log answered, the vehicle put right, wrong logs told."""

import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.page.road_log import KNOWN_HERE, ONE_PLACE_HERE, here
from rollsim.road_test.interval import Part
from rollsim.road_test.said import CURES
from rollsim.scenario.editing import value
from rollsim.scenario.packing import packed
from tests.road_drives import G, World, drives, one_bend

ROOT = Path(__file__).resolve().parents[1]


def scenario(name: str) -> str:
    """An example without its bar, whose sizing would take most of the time."""
    return (ROOT / "scenarios" / f"{name}.toml").read_text("utf-8").partition("[rear_bar]")[0]


ARRIVES = scenario("arrives-loaded-and-lifted")
DEMO = (ROOT / "scenarios" / "road-test-demo.csv").read_bytes()
HEAD, *ROWS = (line.split(b",") for line in DEMO.splitlines())
AT = HEAD.index(b"roll_rate_deg_s")
TURNED = [[*row[:AT], b"%.2f" % -float(row[AT]), *row[AT + 1 :]] for row in ROWS]
REVERSED = b"\n".join(map(b",".join, (HEAD, *TURNED)))


PHONES = drives(one_bend(), World(any_mounting=True), 504, 1).csv(
    0,
    (
        "Time (s)",
        *(f"Acc {a} (g)" for a in "XYZ"),
        *(f"Gyro {a} (rad/s)" for a in "XYZ"),
        "Speed (m/s)",
    ),
    (1.0, G, G, G, 1.0, 1.0, 1.0, 1.0),
)


def opened(text: str = ARRIVES, **query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=90)
    app.query_params["scenario"] = packed(text)
    for name, asked in query.items():
        app.query_params[name] = asked
    return app.switch_page("rollsim/page/road_test.py").run()


def said(app: AppTest) -> str:
    every = (*app.markdown, *app.error, *app.warning, *app.caption, *app.success)
    return re.sub(r"\\(?=[\W_])", "", "\n".join(one.value for one in every))


def test_the_rule_the_demo_log_and_the_correction():
    page = opened()
    assert not page.exception
    assert "No drive above 0.38 g" in page.warning[0].value
    assert "A passenger records" in said(page)
    assert [one.value for one in page.header] == ["Before the drive", "The log"]

    page.toggle(key="demo_log").set_value(True).run()
    assert not page.exception
    assert re.search(r'Measured, "as weighed" leans \d\.\d\d deg/g .* 95 %\)', said(page))
    assert "straight, taken as zero" in said(page)
    assert 'roll rate from "roll_rate_deg_s" (deg/s)' in said(page)

    page.radio(key="moved").set_value("rear roll stiffness").run()
    assert not page.exception
    assert "to be added to what is stated" in said(page)
    page.button(key="road:put").click().run()
    assert not page.exception
    assert "Put into the vehicle: rear roll stiffness" in said(page)
    text = page.session_state["frame:text"]
    assert value(text, "rear.auxiliary_roll_stiffness") != value(
        ARRIVES, "rear.auxiliary_roll_stiffness"
    )
    measured, predicted = re.search(
        r"leans (\S+) deg/g.*predicted (\S+) deg/g", said(page)
    ).groups()
    assert float(predicted) == pytest.approx(float(measured), abs=0.011)


def test_a_reversed_log_and_a_wrong_one():
    app = opened()
    app.file_uploader(key="road:file").upload("drive.csv", REVERSED, "text/csv").run()
    assert "reversed in sign" in said(app)
    # The page names its own switch, and what is read of a reversed column accuses nobody.
    assert "switch on “Roll is reversed” or “Lateral is reversed”" in said(app)
    assert "--flip" not in said(app)
    assert "do not repeat it" not in said(app)
    app.toggle(key="flip_roll").set_value(True).run()
    assert "Measured, " in said(app)
    app.selectbox(key="road:column:lateral").set_value("yaw_rate_deg_s").run()
    assert not app.exception
    # A phone's log with its own axes: how it sat in words and a picture, and the figure.
    app.toggle(key="flip_roll").set_value(False)
    app.file_uploader(key="road:file").upload("phone.csv", PHONES, "text/csv").run()
    assert "Sensor: its " in said(app)
    assert "Sensor in the vehicle from above: x " in said(app)
    assert "Measured, " in said(app)
    app.file_uploader(key="road:file").upload("drive.csv", b"", "text/csv").run()
    assert not app.exception
    assert "is empty; give a log as CSV" in said(app)


def test_the_page_names_no_option_of_the_command():
    for cure in CURES.values():
        assert "--" not in here(cure)
    assert f"switch on “{ONE_PLACE_HERE}” under “{KNOWN_HERE}”" in here(CURES[Part.LEVEL])


def test_where_a_drive_may_not_be():
    app = opened(scenario("beyond-a-bar"))
    app.selectbox(key="driven").set_value("as used").run()
    assert "Do the lean test in the bay instead of a drive" in app.error[0].value
    assert "A passenger records" not in said(app)
