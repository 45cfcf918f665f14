"""What every page shares: links that are good, bad or packed, units, the scenario in work."""

import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.scenario.editing import changed
from rollsim.scenario.packing import packed, unpacked

ROOT = Path(__file__).resolve().parents[1]
FILES = sorted((ROOT / "scenarios").glob("*.toml"))
TOURING = ROOT / "scenarios" / "crew-cab-touring.toml"


def page(**query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    for key, asked in query.items():
        app.query_params[key] = asked
    return app.run()


def said(app: AppTest) -> str:
    return re.sub(r"\\(?=[\W_])", "", "\n".join(e.value for e in (*app.warning, *app.error)))


def in_work(app: AppTest) -> str:
    return app.session_state["frame:text"]


def asked_of(app: AppTest, key: str) -> str | None:
    """What the address asks for."""
    found = app.query_params.get(key)
    return found[0] if isinstance(found, list) else found


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_link_to_an_example_opens_it(path):
    app = page(example=path.stem)
    assert not app.exception
    assert in_work(app) == path.read_text("utf-8")
    assert "The link asks" not in said(app)


def test_a_packed_link_carries_a_changed_scenario_to_the_letter():
    text = changed(TOURING.read_text("utf-8"), {"title": "My own", "rear.track": "1600 mm"})
    app = page(scenario=packed(text))
    assert not app.exception
    assert in_work(app) == text
    assert app.selectbox(key="frame:choice").value == "Your own: My own"
    assert asked_of(app, "scenario") == packed(text)


@pytest.mark.parametrize("wrong", ["nonsense", packed("title = 'x'")[:-6], "%%%"])
def test_a_damaged_link_falls_back_with_a_note(wrong):
    app = page(scenario=wrong)
    assert not app.exception
    assert in_work(app) == FILES[0].read_text("utf-8")
    assert "The scenario in the link cannot be read" in said(app)
    assert asked_of(app, "scenario") is None


def test_a_link_to_no_example_falls_back_with_a_note():
    app = page(example="no-such-file", units="furlongs")
    assert not app.exception
    assert in_work(app) == FILES[0].read_text("utf-8")
    assert '"no-such-file"' in said(app)
    assert '"furlongs"' in said(app)


def test_a_packed_scenario_with_errors_is_kept_and_each_error_shown():
    text = TOURING.read_text("utf-8").replace('"1560 mm"', '"1560"').replace('"3085 mm"', '"3 kg"')
    app = page(scenario=packed(text))
    assert not app.exception
    assert in_work(app) == text
    for key in ("front.track", "vehicle.wheelbase"):
        assert key in said(app)


def test_the_first_example_needs_no_link_and_a_changed_one_travels_whole():
    app = page(job="true")
    assert asked_of(app, "example") is None
    assert asked_of(app, "scenario") is None
    app.text_input(key="fit:target.roll_gradient").set_value("6 deg/g").run()
    assert unpacked(asked_of(app, "scenario")) == in_work(app)


def test_units_come_with_the_link():
    app = page(example="crew-cab-touring", units="imperial")
    assert app.radio(key="units").value == "imperial"
    assert "lbf" in "".join(m.value for m in app.markdown)


def test_looking_at_an_example_does_not_throw_ones_own_vehicle_away():
    text = changed(TOURING.read_text("utf-8"), {"title": "My own", "rear.track": "1600 mm"})
    app = page(scenario=packed(text))
    choice = app.selectbox(key="frame:choice")
    choice.set_value(next(one for one in choice.options if not one.startswith("Your own"))).run()
    assert in_work(app) != text
    app.selectbox(key="frame:choice").set_value("Your own: My own").run()
    assert not app.exception
    assert in_work(app) == text
