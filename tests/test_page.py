"""The page: every scenario, and the figures that the command gives."""

import functools
import re
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from rollsim import charts, drawing
from rollsim.cli.records import roll_record, size_record
from rollsim.page import answers, tables
from rollsim.reader_units import METRIC
from rollsim.roll import results
from rollsim.scenario import Scenario, load
from rollsim.sizing import Sizing, size
from rollsim.vehicle import STANDARD_GRAVITY
from rollsim.wording import choice_words, help_words

ROOT = Path(__file__).resolve().parents[1]
FILES = answers.scenario_files(ROOT / "scenarios")
TITLES = tuple(FILES)
WITH_A_BAR = tuple(
    title for title, path in FILES.items() if "[rear_bar]" in path.read_text("utf-8")
)
TOURING = "Crew-cab, work week and touring load"
BEYOND = "Crew-cab beyond what a rear bar can do"
WHEELS = ("front_left", "front_right", "rear_left", "rear_right")


def page(title: str = "", **query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    for key, value in {"scenario": title, **query}.items():
        if value:
            app.query_params[key] = value
    return app.run()


@functools.cache
def opened(title: str) -> AppTest:
    """The page of a scenario as it first comes up; only to be read."""
    return page(title)


def words(app: AppTest) -> str:
    """All text of the page, as a reader sees it."""
    found = [*app.title, *app.header, *app.subheader, *app.markdown, *app.caption]
    found += [*app.info, *app.warning, *app.error]
    return re.sub(r"\\(?=[\W_])", "", "\n".join(element.value for element in found))


def answered(path: Path) -> answers.Answer:
    return answers.answer(path.read_text(encoding="utf-8"), path.name, path.parent)


def sized(scenario: Scenario) -> Sizing | None:
    return None if scenario.rear_bar is None else size(scenario.job, scenario.rear_bar)


@pytest.mark.parametrize("title", TITLES)
def test_every_scenario_shows_the_figures_of_the_command(title):
    scenario = load(FILES[title])
    app = opened(title)
    assert not app.exception
    assert app.selectbox(key="scenario").value == title
    record = roll_record(scenario, results(scenario.job))["states"]
    states = app.table[1].value
    assert list(states.columns) == [name.replace("_", " ") for name in record]
    for row, key, factor, decimals in (
        ("lean per g (roll gradient), deg/g", "roll_gradient_deg_per_g", 1.0, 2),
        ("mass, kg", "total_mass_kg", 1.0, 0),
        ("CG height, mm", "cg_height_m", 1000.0, 0),
        ("static stability factor (SSF)", "ssf", 1.0, 2),
        ("tipping point (tip-over threshold), g", "tip_over_threshold_g", 1.0, 2),
        ("front share of weight transfer", "front_load_transfer_share", 1.0, 2),
    ):
        wanted = [f"{state[key] * factor:.{decimals}f}" for state in record.values()]
        assert list(states.loc[row]) == wanted, row
    sizing = sized(scenario)
    assert ("No bar to size" if sizing is None else choice_words(sizing, METRIC)) in words(app)


@pytest.mark.parametrize("title", WITH_A_BAR)
def test_the_ranked_bars_are_those_of_the_command(title):
    scenario = load(FILES[title])
    candidates = size_record(scenario, sized(scenario))["candidates"]
    shown = [frame.value for frame in opened(title).dataframe]
    for accepted in (True, False):
        wanted = [
            (rank, c["section"], f"{c['arm_mm']:.0f}", f"{c['roll_gradient_deg_per_g']:.2f}")
            for rank, c in enumerate(candidates, 1)
            if c["accepted"] is accepted and c["roll_gradient_deg_per_g"] is not None
        ]
        if not wanted:
            continue
        frame = shown.pop(0)
        assert ("why not" in frame.columns) is not accepted
        bars = frame[["bar", "arm, mm", "lean, deg/g"]].itertuples(name=None)
        assert [bar for bar in bars if bar[3] != "–"] == wanted
        if not accepted:
            reasons = [r for c in candidates for r in c["reasons"][:1]]
            assert all(r in why for r, why in zip(reasons, frame["why not"], strict=True))


@pytest.mark.parametrize("lateral_g", [0.0, 0.3, 0.4, 0.6, 0.7])
def test_slider_shows_the_wheel_loads_of_the_command(lateral_g):
    scenario = load(FILES[TOURING])
    app = page(TOURING)
    app.slider(key="lateral").set_value(lateral_g).run()
    assert not app.exception
    found = results(scenario.job, (lateral_g * STANDARD_GRAVITY,))
    states = roll_record(scenario, found)["states"]
    shown = app.table[0].value
    assert list(shown.columns) == ["unladen", "touring", "touring, with bar"]
    for name in ("unladen", "touring"):
        point = states[name]["curve"][0]
        loads = [f"{point['wheel_loads_N'][wheel]:.0f}" for wheel in WHEELS]
        assert list(shown[name]) == [f"{point['roll_angle_deg']:.2f}", *loads]


def test_with_the_bar_the_page_shows_the_states_of_size():
    scenario = load(FILES[TOURING])
    record = size_record(scenario, sized(scenario))["choice"]["states"]
    app = page(TOURING)
    point = record["touring"]["curve"][4]
    assert point["lateral_acceleration_g"] == 0.4
    loads = [f"{point['wheel_loads_N'][wheel]:.0f}" for wheel in WHEELS]
    lean = f"{point['roll_angle_deg']:.2f}"
    assert list(app.table[0].value["touring, with bar"]) == [lean, *loads]
    row = app.table[2].value.loc["lean per g (roll gradient), deg/g"]
    assert list(row) == [f"{state['roll_gradient_deg_per_g']:.2f}" for state in record.values()]


def test_the_chosen_state_changes_the_picture():
    app = page(TOURING)
    before = next(m.value for m in app.markdown if "<svg" in m.value)
    app.radio(key="state").set_value("work week").run()
    after = next(m.value for m in app.markdown if "<svg" in m.value)
    assert "work week" in after
    assert after != before
    assert list(app.table[0].value.columns) == ["unladen", "work week", "work week, with bar"]


def test_a_link_carries_scenario_state_and_acceleration():
    app = page(TOURING, lateral="0.55", state="work week")
    assert app.slider(key="lateral").value == pytest.approx(0.55)
    assert app.radio(key="state").value == "work week"


def test_changing_the_scenario_keeps_the_page_whole():
    app = page(TOURING, state="work week")
    app.selectbox(key="scenario").set_value(BEYOND).run()
    assert not app.exception
    assert list(app.table[0].value.columns) == ["unladen", "as used"]


def test_over_a_rating_comes_first_with_its_figures():
    app = page(BEYOND)
    scenario = load(FILES[BEYOND])
    states = roll_record(scenario, results(scenario.job))["states"]
    over = [r for state in states.values() for r in state["ratings"] if r["over"]]
    assert {r["name"] for r in over} >= {"rear_axle", "roof_load"}
    assert "OVER A RATING" in app.error[0].value
    for rating in over:
        assert f"{rating['load_kg']:.0f} kg, allowed {rating['limit_kg']:.0f} kg" in words(app)
    assert "OVER" in app.table[2].value.to_string()


def test_no_rating_is_over_without_a_box():
    assert not opened(TOURING).error


def test_out_of_reach_says_what_else_would_help():
    app = page(BEYOND)
    sizing = sized(load(FILES[BEYOND]))
    assert not sizing.reachable
    assert "No rear bar can reach" in app.info[0].value
    for help_ in sizing.helps:
        assert help_words(help_, METRIC)[1:] in words(app)


def test_a_tipped_vehicle_has_no_figures():
    app = page(BEYOND, lateral="0.7")
    assert set(app.table[0].value["as used"]) == {"tipped"}
    picture = next(m.value for m in app.markdown if "<svg" in m.value)
    assert "as used: tipped: it tips at" in picture


def test_a_scenario_without_a_bar_to_size(monkeypatch, tmp_path):
    text = FILES[TOURING].read_text(encoding="utf-8")
    alone = tmp_path / "no-bar.toml"
    alone.write_text(text[: text.index("[rear_bar]")], encoding="utf-8")
    app = in_folder(monkeypatch, tmp_path)
    assert not app.exception
    assert "No bar to size" in app.info[0].value
    assert "Every bar at hand" not in words(app)
    found = answered(alone)
    assert found.sizing is None
    assert found.after == ()
    assert len(app.table) == 3  # wheel loads, states, ratings


def test_a_file_with_errors_shows_each_of_them(monkeypatch, tmp_path):
    text = FILES[TOURING].read_text(encoding="utf-8")
    wrong = text.replace('"3085 mm"', '"25,4 mm"').replace('track = "1560 mm"', 'trak = "1560 mm"')
    (tmp_path / "wrong.toml").write_text(wrong, encoding="utf-8")
    app = in_folder(monkeypatch, tmp_path)
    assert not app.exception
    assert "wheelbase" in app.error[0].value
    assert "trak" in app.error[0].value
    assert not app.table


def in_folder(monkeypatch: pytest.MonkeyPatch, folder: Path) -> AppTest:
    """The page on the scenario files of another folder."""
    monkeypatch.setattr(
        answers, "scenario_files", lambda _, read=answers.scenario_files: read(folder)
    )
    return page()


def test_text_of_a_file_is_no_markup(monkeypatch, tmp_path):
    text = FILES[TOURING].read_text(encoding="utf-8")
    text = text.replace('"touring"', '"<b>x</b> **y**"')
    (tmp_path / "marked.toml").write_text(text, encoding="utf-8")
    app = in_folder(monkeypatch, tmp_path)
    assert not app.exception
    picture = next(m.value for m in app.markdown if "<svg" in m.value)
    assert "<b>" not in picture
    assert r"\<b\>" in app.info[0].value


@pytest.mark.parametrize("title", TITLES)
def test_cautions_and_assumed_values_stand_on_the_page(title):
    app = opened(title)
    found = answered(FILES[title])
    text = words(app)
    for line in (*tables.all_cautions(found), *found.scenario.assumed):
        assert line in text, line
    assert bool(found.scenario.assumed) is ("assumed, not measured:" in text)
    assert len(tables.short_cautions(found)) < len(tables.all_cautions(found))


@pytest.mark.parametrize("title", TITLES)
def test_the_page_never_calls_anything_safe(title):
    text = words(opened(title)).replace("no figure here is a safe speed or a safe slope", "")
    assert not re.search(r"\b(OK|safe)\b", text)


@pytest.mark.parametrize("title", TITLES)
def test_every_curve_has_its_own_style_and_its_tipping_point(title):
    found = answered(FILES[title])
    curves = answers.lean_curves(found, answers.choices(found)[0])
    chart = charts.lean_chart(curves).to_dict()
    dashes = chart["layer"][0]["encoding"]["strokeDash"]["scale"]["range"]
    assert len({str(d) for d in dashes}) == len(curves)
    for curve in curves:
        assert curve.lean_deg[0] <= curve.lean_deg[-1]
        if curve.tipping_point_g is not None:
            assert curve.lateral_acceleration_g[-1] <= curve.tipping_point_g


def view(lean: float, loads: tuple[float, float, float, float]) -> drawing.RearView:
    return drawing.RearView("x & <y>", lean, 0.0, loads, 9e3, 1.55, 0.37, 0.47, 1.75, 0.66, 1.8)


def test_picture_leans_right_and_says_so_in_words():
    picture = drawing.rear_view(view(0.05, (3e3, 8e3, 2e3, 6e3)))
    assert "rotate(2.865 " in picture  # SVG turns clockwise: the top goes right
    assert 'role="img"' in picture
    assert "lean 2.86 degrees to the right" in picture
    assert "x &amp; &lt;y&gt;" in picture


@pytest.mark.parametrize(("lean", "side"), [(-0.01, "left"), (0.0, "right"), (0.01, "right")])
def test_picture_names_the_side_of_the_lean(lean, side):
    picture = drawing.rear_view(view(lean, (5e3, 5e3, 4e3, 4e3)))
    assert f"{abs(lean) * 57.29578:.2f} degrees to the {side}" in picture


def test_every_load_stays_inside_the_picture():
    found = answered(FILES[BEYOND])
    shown = answers.views(found, "as_used", 0.4)[1]
    picture = answers.picture(found, shown)
    top = float(re.search(r'viewBox="0 (-?\d+)', picture)[1]) + drawing.TITLES
    boxes = [float(y) for y in re.findall(r'rx="2" x="[^"]+" y="(-?[\d.]+)"', picture)]
    assert len(boxes) == len(found.scenario.job.loads)
    rise = shown.point.heave * drawing.PIXELS_PER_METRE
    assert min(boxes) - rise > top


def test_picture_draws_no_arrow_under_a_lifted_wheel():
    standing = drawing.rear_view(view(0.05, (3e3, 8e3, 2e3, 6e3)))
    lifted = drawing.rear_view(view(0.05, (3e3, 8e3, 0.0, 8e3)))
    assert standing.count(drawing._ARROW) - lifted.count(drawing._ARROW) == 1
