"""The page: every scenario, and the figures that the command gives."""

import functools
import re
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from rollsim import charts, drawing
from rollsim.cli.records import roll_record, size_record
from rollsim.page import answers, bars, links, pictures, tables
from rollsim.page.answers import Bend
from rollsim.reader_units import METRIC
from rollsim.roll import results
from rollsim.scenario import Scenario, load
from rollsim.sizing import Sizing, size
from rollsim.vehicle import STANDARD_GRAVITY
from rollsim.wording import choice_words, gate_words, help_words, objection_words, worse_words

ROOT = Path(__file__).resolve().parents[1]
FILES = answers.scenario_files(ROOT / "scenarios")
TITLES = tuple(FILES)
WITH_A_BAR = tuple(
    title for title, path in FILES.items() if "[rear_bar]" in path.read_text("utf-8")
)
TOURING = "Crew-cab, work week and touring load"
GATE = "Crew-cab, tall body: the balance gate binds"
VAN = "High-roof van from class defaults and four corner weights"
LOW_CAR = "Low car, for teaching"
BEYOND = "Crew-cab beyond what a rear bar can do"
LEAN = "lean (roll angle), deg"
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


@functools.cache
def answered(path: Path, bend: Bend = Bend.LEFT, rank: int | None = None) -> answers.Answer:
    """What the page shows of a file: with the bar of that place, or the one it shows first."""
    read = answers.read(path.read_text(encoding="utf-8"), path.name, path.parent)
    before = answers.states(read.scenario, bend=bend)
    if read.sizing is None:
        return answers.Answer(read.scenario, None, bend, before)
    bar = read.sizing.candidates[bars.default_rank(read.sizing) if rank is None else rank]
    after = answers.states(read.scenario, bar, bend)
    return answers.Answer(read.scenario, read.sizing, bend, before, bar, after)


def figures(app: AppTest, suffix: str = "") -> dict[str, list[str]]:
    """Columns of the table of states that end so, by the name of the state."""
    table = states_of(app)
    return {name.removesuffix(suffix): list(table[name]) for name in table if name.endswith(suffix)}


def states_of(app: AppTest) -> pd.DataFrame:
    """The table of states."""
    return next(t.value for t in app.table if "CG height, mm" in t.value.index)


def ranked(app: AppTest) -> list[pd.DataFrame]:
    """The tables of accepted and rejected bars, those that are there."""
    return [t.value for t in app.table if bars.BAR in t.value.columns]


def picture_of(app: AppTest) -> str:
    return next(m.value for m in app.markdown if "<svg" in m.value)


def sized(scenario: Scenario) -> Sizing | None:
    return None if scenario.rear_bar is None else size(scenario.job, scenario.rear_bar)


@pytest.mark.parametrize("title", TITLES)
def test_every_scenario_shows_the_figures_of_the_command(title):
    scenario = load(FILES[title])
    app = opened(title)
    assert not app.exception
    assert app.selectbox(key="scenario").value == title
    record = roll_record(scenario, results(scenario.job))["states"]
    states = states_of(app)
    weighed = record.pop("as_weighed")
    assert weighed in record.values() or "as weighed" in states.columns
    now = ", now" if scenario.rear_bar else ""
    shown = [name for name in states.columns if name.endswith(now)]
    assert shown == [name.replace("_", " ") + now for name in record]
    for row, key, factor, decimals in (
        ("lean per g (roll gradient), deg/g", "roll_gradient_deg_per_g", 1.0, 2),
        ("mass, kg", "total_mass_kg", 1.0, 0),
        ("CG height, mm", "cg_height_m", 1000.0, 0),
        ("static stability factor (SSF)", "ssf", 1.0, 2),
        ("tipping point (tip-over threshold), g", "tip_over_threshold_g", 1.0, 2),
        ("front share of weight transfer", "front_load_transfer_share", 1.0, 2),
    ):
        wanted = [f"{state[key] * factor:.{decimals}f}" for state in record.values()]
        assert list(states.loc[row, shown]) == wanted, row
    sizing = sized(scenario)
    assert ("No bar to size" if sizing is None else choice_words(sizing, METRIC)) in words(app)


@pytest.mark.parametrize("title", WITH_A_BAR)
def test_the_ranked_bars_are_those_of_the_command(title):
    scenario = load(FILES[title])
    candidates = size_record(scenario, sized(scenario))["candidates"]
    shown = ranked(opened(title))
    for accepted in (True, False):
        wanted = [
            (f"{rank}: {c['section']}, {c['arm_mm']:.0f} mm", f"{c['roll_gradient_deg_per_g']:.2f}")
            for rank, c in enumerate(candidates, 1)
            if c["accepted"] is accepted and c["roll_gradient_deg_per_g"] is not None
        ]
        if not wanted:
            continue
        frame = shown.pop(0)
        assert list(frame.columns[:2]) == [bars.BAR, "safety factor" if accepted else "why not"]
        found = frame[[bars.BAR, "lean, deg/g"]].itertuples(name=None, index=False)
        assert [bar for bar in found if bar[1] != "–"] == wanted
        if not accepted:
            reasons = [r for c in candidates for r in c["reasons"][:1]]
            assert all(r in why for r, why in zip(reasons, frame["why not"], strict=True))
    assert not shown


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
    shown = figures(app, ", with bar")
    assert list(shown) == ["unladen", "work week", "touring"]
    for name, cells in shown.items():
        assert cells[0] == f"{record[name]['roll_gradient_deg_per_g']:.2f}"


def test_the_chosen_state_changes_the_picture():
    app = page(TOURING)
    before = picture_of(app)
    app.radio(key="state").set_value("work week").run()
    after = picture_of(app)
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
    assert list(app.table[0].value.columns) == ["unladen", "as used", "as used, with bar"]
    assert app.selectbox(key="bar").value.startswith("1: ")


def test_another_scenario_comes_with_its_own_bar_and_bend():
    app = page(TOURING)
    app.selectbox(key="bar").set_value(app.selectbox(key="bar").options[5]).run()
    app.selectbox(key="scenario").set_value(GATE).run()
    gate = sized(load(FILES[GATE]))
    names = bars.bar_names(gate)
    assert app.selectbox(key="bar").value == names[bars.default_rank(gate)] != names[0]
    app.selectbox(key="scenario").set_value(VAN).run()
    app.radio(key="bend").set_value("left").run()
    app.selectbox(key="scenario").set_value(TOURING).run()
    app.selectbox(key="scenario").set_value(VAN).run()
    assert app.radio(key="bend").value == "right"


def test_over_a_rating_comes_first_with_its_figures():
    app = page(BEYOND)
    scenario = load(FILES[BEYOND])
    states = roll_record(scenario, results(scenario.job))["states"]
    over = [r for state in states.values() for r in state["ratings"] if r["over"]]
    assert {r["name"] for r in over} >= {"rear_axle", "roof_load"}
    assert "OVER A RATING" in app.error[0].value
    for rating in over:
        assert f"{rating['load_kg']:.1f} kg, allowed {rating['limit_kg']:.1f} kg" in words(app)
    ratings = next(t.value for t in app.table if "gross" in t.value.index.str.cat())
    assert "OVER" in ratings.to_string()


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
    picture = picture_of(app)
    assert "as used, seen from behind in a left bend: tipped: it tips at 0.54 g" in picture
    assert picture.count("<figure") == 3
    assert picture.count(f"opacity:{drawing.PALE}") == list(app.table[0].value.loc[LEAN]).count(
        "tipped"
    )
    assert re.search(r"rotate\((?!0\.000)", picture.split("<figure")[2])  # drawn as it last stood


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
    picture = picture_of(app)
    assert "<b>x" not in picture
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
    curves = pictures.lean_curves(found, answers.choices(found)[0])
    chart = charts.lean_chart(curves).to_dict()
    floor = chart["layer"][0]["encoding"]["y"]["scale"]["domain"][0]
    assert chart["layer"][1]["encoding"]["y"] == chart["layer"][0]["encoding"]["y"]
    marks = [row for rows in chart["datasets"].values() for row in rows if "tips" in row["state"]]
    assert sum(row["lean"] == floor for row in marks) >= len(curves)
    dashes = chart["layer"][0]["encoding"]["strokeDash"]["scale"]["range"]
    assert len({str(d) for d in dashes}) == len(curves)
    for curve in curves:
        assert curve.lean_deg[0] <= curve.lean_deg[-1]
        assert curve.lateral_acceleration_g[-1] == pytest.approx(curve.tipping_point_g, rel=1e-3)
        assert curve.lateral_acceleration_g[-1] < curve.tipping_point_g
        assert f"{curve.name}: tips at {curve.tipping_point_g:.2f} g" in dash_names(chart)
    domain = chart["layer"][0]["encoding"]["x"]["scale"]["domain"]
    assert domain[1] > max(curve.tipping_point_g for curve in curves)


def dash_names(chart: dict) -> list[str]:
    """Legend of the chart."""
    return chart["layer"][0]["encoding"]["strokeDash"]["scale"]["domain"]


def view(lean: float, loads: tuple[float, float, float, float]) -> drawing.RearView:
    return drawing.RearView(
        "x & <y>", "left", lean, 0.0, loads, 9e3, 1.55, 0.37, 0.47, 1.75, 0.66, 1.8
    )


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
    shown = pictures.views(found, "as_used", 0.4)[1]
    picture = pictures.picture(found, shown)
    top = float(re.search(r'viewBox="0 (-?\d+)', picture)[1]) + drawing.ABOVE
    boxes = [float(y) for y in re.findall(r'rx="2" x="[^"]+" y="(-?[\d.]+)"', picture)]
    assert len(boxes) == len(found.scenario.job.loads)
    rise = shown.point.heave * drawing.PIXELS_PER_METRE
    assert min(boxes) - rise > top


def test_picture_draws_no_arrow_under_a_lifted_wheel():
    standing = drawing.rear_view(view(0.05, (3e3, 8e3, 2e3, 6e3)))
    lifted = drawing.rear_view(view(0.05, (3e3, 8e3, 0.0, 8e3)))
    assert standing.count(drawing._ARROW) - lifted.count(drawing._ARROW) == 1


@pytest.mark.parametrize("title", WITH_A_BAR)
def test_what_the_bar_costs_stands_under_the_answer(title):
    scenario = load(FILES[title])
    sizing = sized(scenario)
    app = opened(title)
    block = next(m.value for m in app.markdown if "What gets worse with this bar" in m.value)
    shown = [line.removeprefix("- ").replace("\\", "") for line in block.splitlines()[1:]]
    if sizing.choice is None:
        assert "mass of the bar" in shown[-1]
    else:
        assert shown == list(worse_words(sizing, results(scenario.job), METRIC))


@pytest.mark.parametrize("title", WITH_A_BAR)
def test_every_bar_can_be_chosen_and_a_rejected_one_says_why(title):
    sizing = sized(load(FILES[title]))
    app = page(title)
    bar = app.selectbox(key="bar")
    assert [option.split(":")[0] for option in bar.options] == [
        str(n) for n in range(1, len(sizing.candidates) + 1)
    ]
    marked = ["not accepted" in option for option in bar.options]
    assert marked == [not c.accepted for c in sizing.candidates]
    last = sizing.candidates[-1]
    before = picture_of(app)
    bar.set_value(bar.options[-1]).run()
    assert not app.exception
    assert picture_of(app) != before
    assert "NOT ACCEPTED" in words(app)
    for objection in last.objections:
        assert objection_words(objection) in words(app)
    assert f"mass of the bar: {last.mass:.1f} kg" in words(app)


def test_where_the_gate_binds_its_largest_bar_is_in_the_picture():
    sizing = sized(load(FILES[GATE]))
    largest = sizing.gate.largest_passing
    app = opened(GATE)
    assert gate_words(sizing, METRIC) in words(app)
    assert app.selectbox(key="bar").value == (
        f"{sizing.candidates.index(largest) + 1}: {largest.section.label}, "
        f"{largest.lever * 1000:.0f} mm hole (not accepted)"
    )
    assert picture_of(app).count("<figure") == 3


@pytest.mark.parametrize("title", TITLES)
def test_as_weighed_stands_once(title):
    found = answered(FILES[title])
    unladen, weighed, *cases = found.before
    repeated = any(weighed.curve == other.curve for other in (unladen, *cases))
    app = opened(title)
    assert repeated is ("As weighed is the same as" in words(app))
    assert repeated is not any("as weighed" in name for name in states_of(app).columns)


@pytest.mark.parametrize("title", WITH_A_BAR)
def test_the_weightiest_cautions_are_in_sight(title):
    shown = [w.value for w in opened(title).warning][-1].replace("\\", "")
    for caution in (
        "Mass up high raises the risk of rollover; no figure here is a safe speed or a safe slope",
        "Empty and in the wet the rear lets go earlier",
        "Whether the stability control copes with the stiffer rear is unknown",
        "Local codes and a licensed engineer decide",
    ):
        assert caution in shown


def test_an_off_centre_load_is_shown_in_the_bend_that_leans_more():
    app = page(VAN)
    lean = float(app.table[0].value["as used"].iloc[0])
    assert app.radio(key="bend").value == "right"
    assert "in a right bend" in picture_of(app)
    assert "for a right bend" in words(app)
    command = roll_record(load(FILES[VAN]), results(load(FILES[VAN]).job))["states"]["as_used"]
    row = states_of(app).loc[states_of(app).index.str.contains("0.4 g in a left bend")]
    assert row["as used, now"].item() == f"{command['secant_roll_gradient_deg_per_g']:.2f}"
    app.radio(key="bend").set_value("left").run()
    assert "in a left bend" in picture_of(app)
    assert "for a left bend" in words(app)
    assert float(app.table[0].value["as used"].iloc[0]) < lean
    assert app.table[0].value["as used"].iloc[0] == f"{command['curve'][4]['roll_angle_deg']:.2f}"


def test_a_right_bend_loads_the_left_wheels():
    left, right = (answered(FILES[VAN], bend) for bend in (Bend.LEFT, Bend.RIGHT))
    for one, other in zip(left.before, right.before, strict=True):
        assert one.static_lean == pytest.approx(other.static_lean, abs=1e-9)
        assert one.tip_over_threshold == pytest.approx(other.tip_over_threshold, rel=1e-9)
        for secant in ("secant_roll_gradient", "right_secant_roll_gradient"):
            assert getattr(one, secant) == pytest.approx(getattr(other, secant), rel=1e-6)
        at_rest, turned = one.curve[0], other.curve[0]
        assert turned.wheel_loads == pytest.approx(at_rest.wheel_loads, rel=1e-6)
        assert turned.roll_angle == pytest.approx(at_rest.roll_angle, abs=1e-9)
        assert other.curve[8].roll_angle < at_rest.roll_angle < one.curve[8].roll_angle
        assert other.curve[8].wheel_loads[0] > at_rest.wheel_loads[0] > one.curve[8].wheel_loads[0]


def test_without_an_off_centre_load_there_is_no_choice_of_bend():
    found = answered(FILES[TOURING], Bend.RIGHT)
    mirror = answered(FILES[TOURING])
    assert answers.harder_bend(found) is None
    assert [r.key for r in opened(TOURING).radio] == ["state"]
    for one, other in zip(mirror.before, found.before, strict=True):
        assert other.curve[8].roll_angle == pytest.approx(-one.curve[8].roll_angle, rel=1e-9)


def test_a_link_that_cannot_be_followed_says_so():
    app = page("No such scenario", lateral="5", state="x", bar="9: anvil")
    assert not app.exception
    for asked in ("No such scenario", "5", "x", "9: anvil"):
        assert f'"{asked}"' in words(app)
    assert app.selectbox(key="scenario").value == TITLES[0]
    app.slider(key="lateral").set_value(0.5).run()
    assert "The link asks" not in words(app)


def test_a_link_between_the_steps_is_shown_at_the_nearest():
    app = page(TOURING, lateral="0.43")
    assert app.slider(key="lateral").value == pytest.approx(0.45)
    assert '"0.43"' in words(app)
    point = answered(FILES[TOURING]).before[0].curve[9]
    assert app.table[0].value.loc[LEAN, "unladen"] == f"{point.roll_angle * 57.29578:.2f}"


def test_a_link_that_can_be_followed_says_nothing():
    bar = opened(TOURING).selectbox(key="bar").options[3]
    app = page(TOURING, lateral="0.55", state="work week", bar=bar)
    assert app.selectbox(key="bar").value == bar
    assert "The link asks" not in words(app)
    assert links.refused({"lateral": "0.7", "bend": "left"}, {"bend": ("left", "right")}) == ()
