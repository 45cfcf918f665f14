"""The page Fit a bar: every scenario, and the figures that the command gives."""

import functools
import math
import re
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from rollsim import charts, drawing
from rollsim.cli.records import roll_record, size_record
from rollsim.page import answers, bars, fit_parts, links, outcome, pictures, tables
from rollsim.page.answers import Bend
from rollsim.page.outcome import Outcome
from rollsim.reader_units import METRIC, figure
from rollsim.roll import results
from rollsim.roll.travel_left import travel_left
from rollsim.scenario import Scenario, load
from rollsim.scenario.editing import changed, packed, value
from rollsim.sizing import Sizing, size
from rollsim.vehicle import STANDARD_GRAVITY, VehicleClass
from rollsim.wording import choice_words, gate_words, help_words, objection_words, worse_words

ROOT = Path(__file__).resolve().parents[1]
FILES = {path.stem: path for path in sorted((ROOT / "scenarios").glob("*.toml"))}
EXAMPLES = tuple(FILES)
WITH_A_BAR = tuple(stem for stem, path in FILES.items() if "[rear_bar]" in path.read_text("utf-8"))
TOURING, GATE, BEYOND = "crew-cab-touring", "balance-gate-binds", "beyond-a-bar"
VAN, LOW_CAR = "high-roof-van", "low-car"
TITLES = {path.stem: title for title, path in answers.scenario_files(ROOT / "scenarios").items()}
LEAN = "lean (roll angle), deg"
WHEELS = ("front_left", "front_right", "rear_left", "rear_right")


def page(example: str = "", **query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    for key, asked in {"example": example, **query}.items():
        if asked:
            app.query_params[key] = asked
    return app.run()


@functools.cache
def opened(example: str) -> AppTest:
    """The page of an example with the wheel loads open; only to be read."""
    return page(example, wheels="true")


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


def ranked(app: AppTest) -> pd.DataFrame:
    """The table of the bars at hand."""
    return app.dataframe[0].value


def wheels_of(app: AppTest) -> pd.DataFrame:
    """The table of lean, wheel loads and wheel arches."""
    return next(t.value for t in app.table if LEAN in t.value.index)


def compared(app: AppTest) -> pd.DataFrame:
    """The empty vehicle beside the loaded one."""
    return next(t.value for t in app.table if "tipping point, g" in t.value.index[:5])


def picture_of(app: AppTest) -> str:
    return next(m.value for m in app.markdown if "<svg" in m.value)


def sized(scenario: Scenario) -> Sizing | None:
    return None if scenario.rear_bar is None else size(scenario.job, scenario.rear_bar)


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_scenario_shows_the_figures_of_the_command(example):
    scenario = load(FILES[example])
    app = opened(example)
    assert not app.exception
    assert app.selectbox(key="frame:choice").value == TITLES[example]
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


@pytest.mark.parametrize("example", WITH_A_BAR)
def test_the_ranked_bars_are_those_of_the_command(example):
    scenario = load(FILES[example])
    sizing = sized(scenario)
    candidates = size_record(scenario, sizing)["candidates"]
    accepted = [c for c in candidates if c["accepted"]]
    app = page(example)
    assert f"Accepted: {len(accepted)}. Rejected: {len(candidates) - len(accepted)}." in words(app)
    if 0 < len(accepted) < len(candidates):
        assert list(ranked(app)["rank"]) == [candidates.index(c) + 1 for c in accepted]
        assert bars.WHY_NOT not in ranked(app)
        app.toggle(key="rejected").set_value(True).run()
    table = ranked(app)
    assert list(table["rank"]) == list(range(1, len(candidates) + 1))
    for row, c in zip(table.to_dict("records"), candidates, strict=True):
        assert row["section"] == c["section"]
        assert row["hole, mm"] == round(c["arm_mm"])
        for key, heading in (
            ("roll_gradient_deg_per_g", "lean, deg/g"),
            ("safety_factor", "safety factor"),
            ("front_load_transfer_share", "front share, empty"),
            ("inner_rear_lift_g", "inner rear lifts, empty, g"),
        ):
            shown = None if pd.isna(row[heading]) else row[heading]
            assert shown == (c[key] if c[key] is None else pytest.approx(c[key], abs=0.00501))
        assert all(reason in row[bars.WHY_NOT] for reason in c["reasons"])


@pytest.mark.parametrize("lateral_g", [0.0, 0.3, 0.4, 0.6, 0.7])
def test_slider_shows_the_wheel_loads_of_the_command(lateral_g):
    scenario = load(FILES[TOURING])
    app = page(TOURING, wheels="true")
    app.slider(key="lateral").set_value(lateral_g).run()
    assert not app.exception
    found = results(scenario.job, (lateral_g * STANDARD_GRAVITY,))
    states = roll_record(scenario, found)["states"]
    shown = wheels_of(app)
    assert list(shown.columns) == ["unladen", "touring", "touring, with bar"]
    for name in ("unladen", "touring"):
        point = states[name]["curve"][0]
        loads = [f"{point['wheel_loads_N'][wheel]:.0f}" for wheel in WHEELS]
        assert list(shown[name])[:5] == [f"{point['roll_angle_deg']:.2f}", *loads]


def test_arches_and_springs_move_as_the_vehicle_does():
    app = page(TOURING, wheels="true")
    found = answered(FILES[TOURING])
    point = found.before[3].curve[8]
    assert point.lateral_acceleration == pytest.approx(0.4 * STANDARD_GRAVITY)
    shown = wheels_of(app)["touring"]
    arches = [float(shown.iloc[5 + n]) for n in range(4)]
    assert arches == pytest.approx([1000 * rise for rise in point.arch_rise], abs=0.51)
    assert arches[0] > arches[1]  # the inner side stands higher
    table = next(t.value for t in app.table if "bump left, mm" in t.value.columns)
    rows = table[table["state"] == "touring"]
    travel = [float(cell) for cell in rows["spring, mm"]]
    assert travel == pytest.approx([1000 * e for e in point.spring_travel], abs=0.51)
    bump, droop = (rows[f"{stop} left, mm"].astype(float) for stop in ("bump", "droop"))
    vehicle = found.scenario.job.vehicle
    gaps = (vehicle.front.bump_stop.gap + vehicle.front.rebound_limit.gap) * 1000
    assert (bump + droop).iloc[0] == pytest.approx(gaps, abs=1.01)
    assert bump.iloc[1] < bump.iloc[0]  # the outer side is pressed


def test_travel_left_counts_the_stop_where_it_sits():
    axle = load(FILES[TOURING]).job.vehicle.rear
    (left, right), (droop_left, droop_right) = travel_left(axle, (0.03, -0.05))
    half = 0.04 * axle.bump_stop.base / axle.spring_base
    assert (left, right) == pytest.approx((0.08 - 0.01 + half, 0.08 - 0.01 - half))
    half = 0.04 * axle.rebound_limit.base / axle.spring_base
    assert (droop_left, droop_right) == pytest.approx((0.09 + 0.01 - half, 0.09 + 0.01 + half))
    assert travel_left(axle, (0.0, -0.2))[0][1] < 0.0
    bare = replace(axle, bump_stop=None)
    assert all(math.isnan(gap) for gap in travel_left(bare, (0.0, 0.0))[0])


def test_with_the_bar_the_page_shows_the_states_of_size():
    scenario = load(FILES[TOURING])
    record = size_record(scenario, sized(scenario))["choice"]["states"]
    app = opened(TOURING)
    point = record["touring"]["curve"][4]
    assert point["lateral_acceleration_g"] == 0.4
    loads = [f"{point['wheel_loads_N'][wheel]:.0f}" for wheel in WHEELS]
    lean = f"{point['roll_angle_deg']:.2f}"
    assert list(wheels_of(app)["touring, with bar"])[:5] == [lean, *loads]
    shown = figures(app, ", with bar")
    assert list(shown) == ["unladen", "work week", "touring"]
    for name, cells in shown.items():
        assert cells[0] == f"{record[name]['roll_gradient_deg_per_g']:.2f}"


def test_the_chosen_state_changes_the_picture():
    app = page(TOURING, wheels="true")
    before = picture_of(app)
    app.radio(key="state").set_value("work week").run()
    after = picture_of(app)
    assert "work week" in after
    assert after != before
    assert list(wheels_of(app).columns) == ["unladen", "work week", "work week, with bar"]


def test_a_link_carries_scenario_state_and_acceleration():
    app = page(TOURING, lateral="0.55", state="work week")
    assert app.slider(key="lateral").value == pytest.approx(0.55)
    assert app.radio(key="state").value == "work week"


def test_changing_the_scenario_keeps_the_page_whole():
    app = page(TOURING, state="work week", wheels="true")
    choose(app, BEYOND)
    assert not app.exception
    assert list(wheels_of(app).columns) == ["unladen", "as used", "as used, with bar"]
    assert app.selectbox(key="bar").value.startswith("1: ")


def choose(app: AppTest, example: str) -> None:
    """Another vehicle, by the choice at the top."""
    app.selectbox(key="frame:choice").set_value(TITLES[example]).run()


def test_the_unladen_state_can_be_looked_at_with_the_bar():
    app = page(TOURING, state="unladen", wheels="true")
    assert list(wheels_of(app).columns) == ["unladen", "unladen, with bar"]
    assert list(compared(app).columns) == ["unladen"]


@pytest.mark.parametrize("example", WITH_A_BAR)
def test_the_empty_vehicle_stands_beside_the_loaded_one(example):
    found = answered(FILES[example])
    app = opened(example)
    table = compared(app)
    bend = answers.harder_bend(found) or Bend.LEFT
    assert list(table.columns) == ["unladen", tables.state_words(found.sizing.case)]
    for name, title in zip(("unladen", found.sizing.case), table.columns, strict=True):
        now, then = (answers.named(states, name) for states in (found.before, found.after))
        secants = [figure(tables.secant(r, bend), "deg/g") for r in (now, then)]
        assert table.loc["lean per g at 0.4 g, deg/g", title] == " → ".join(secants)
        tips = [figure(r.tip_over_threshold, "g") for r in (now, then)]
        assert table.loc["tipping point, g", title] == " → ".join(tips)
        shares = [figure(r.front_load_transfer_share, "") for r in (now, then)]
        assert table.loc["front share of weight transfer", title] == " → ".join(shares)


def test_another_scenario_comes_with_its_own_bar_and_bend():
    app = page(TOURING)
    app.selectbox(key="bar").set_value(app.selectbox(key="bar").options[5]).run()
    choose(app, GATE)
    gate = sized(load(FILES[GATE]))
    names = bars.bar_names(gate, METRIC)
    assert app.selectbox(key="bar").value == names[bars.default_rank(gate)] != names[0]
    choose(app, VAN)
    app.radio(key="bend").set_value("left").run()
    choose(app, TOURING)
    choose(app, VAN)
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
    ratings = next(t.value for t in app.table if any("gross" in str(n) for n in t.value.index))
    assert "OVER" in ratings.to_string()


def test_no_rating_is_over_without_a_box():
    assert not opened(TOURING).error


def test_out_of_reach_is_a_screen_of_its_own_with_what_would_help():
    app = opened(BEYOND)
    sizing = sized(load(FILES[BEYOND]))
    assert not sizing.reachable
    assert "No rear bar can reach" in app.warning[0].value
    for help_ in sizing.helps:
        assert help_words(help_, METRIC)[1:] in words(app)
    figures_ = outcome.outcome_table(answered(FILES[BEYOND]))["figure"]
    assert list(figures_) == [
        f"{figure(value, 'deg/g')} deg/g" for value in (sizing.target, sizing.present, sizing.limit)
    ]
    assert any(t.value.equals(figures_.to_frame()) for t in app.table)


@pytest.mark.parametrize(
    ("example", "which"),
    [
        (TOURING, Outcome.FITS),
        (GATE, Outcome.GATE),
        (BEYOND, Outcome.BEYOND),
        (LOW_CAR, Outcome.NO_BAR),
    ],
)
def test_outcomes(example, which):
    found = answered(FILES[example])
    assert outcome.outcome(found) is which
    assert outcome.outcome_table(found).empty is (which in (Outcome.FITS, Outcome.NO_BAR))


def test_where_no_bar_is_needed_none_is_praised():
    text = changed(FILES[TOURING].read_text("utf-8"), {"target.roll_gradient": "9 deg/g"})
    found = with_text(text)
    assert outcome.outcome(found) is Outcome.NOT_NEEDED
    assert "No rear bar is needed" in outcome.headline(found)


def with_text(text: str) -> answers.Answer:
    """What the page shows of a text, with the bar it shows first."""
    read = answers.read(text, "own.toml", ROOT / "scenarios")
    bar = read.sizing.candidates[bars.default_rank(read.sizing)]
    before, after = (answers.states(read.scenario, one) for one in (None, bar))
    return answers.Answer(read.scenario, read.sizing, Bend.LEFT, before, bar, after)


def test_a_tipped_vehicle_has_no_figures():
    app = page(BEYOND, lateral="0.7", wheels="true")
    assert set(wheels_of(app)["as used"]) == {"tipped"}
    picture = picture_of(app)
    assert "as used, seen from behind in a left bend: tipped: it tips at 0.54 g" in picture
    assert picture.count("<figure") == 2
    tipped = list(wheels_of(app).loc[LEAN])[1:].count("tipped")
    assert picture.count(f"opacity:{drawing.PALE}") == tipped > 0
    assert re.search(r"rotate\((?!0\.000)", picture.split("<figure")[1])  # as it last stood


def own(text: str, **query: str) -> AppTest:
    """The page on a text of one's own, as a link carries it."""
    return page(scenario=packed(text), **query)


def test_a_scenario_without_a_bar_to_size():
    text = FILES[TOURING].read_text("utf-8")
    app = own(text[: text.index("[rear_bar]")], wheels="true")
    assert not app.exception
    assert "No bar to size" in words(app)
    assert not app.dataframe
    assert picture_of(app).count("<figure") == 2
    app.button(key="fit:add").click().run()
    assert not app.exception
    assert app.info[0].value.startswith("**Fit ")


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_usual_bar_can_be_added_to_any_vehicle(example):
    text = FILES[example].read_text("utf-8").partition("[rear_bar]")[0]
    app = own(text)
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
    assert r"\<b\>" in app.info[0].value


def test_what_is_typed_goes_into_the_text_and_counts_at_once():
    app = page(TOURING)
    app.text_input(key="fit:target.roll_gradient").set_value("6.5 deg/g").run()
    assert 'roll_gradient = "6.5 deg/g"' in app.session_state["frame:text"]
    assert "target of 6.50 deg/g" in app.info[0].value
    app.text_input(key="fit:rear_bar.arm_holes").set_value("280 mm, 300 mm").run()
    assert {option.split(", ")[1] for option in app.selectbox(key="bar").options} <= {
        "280 mm hole",
        "300 mm hole",
        "280 mm hole (not accepted)",
        "300 mm hole (not accepted)",
    }
    app.selectbox(key="fit:target.case").set_value("work week").run()
    assert '"work week" leans' in app.info[0].value
    app.selectbox(key="fit:rear_bar.material").set_value("51CrV4 quenched and tempered").run()
    assert "51CrV4 quenched and tempered" in words(app)
    assert "# Invented demo" in app.session_state["frame:text"]  # comments stay


def test_a_wrong_entry_is_told_beside_its_field_and_kept():
    app = page(TOURING)
    app.text_input(key="fit:rear_bar.bush_spacing").set_value("820").run()
    assert not app.exception
    assert app.text_input(key="fit:rear_bar.bush_spacing").value == "820"
    assert len([e for e in app.error if "820" in e.value]) == 2  # beside the field, and under it
    app.text_input(key="fit:rear_bar.bush_spacing").set_value("820 mm").run()
    assert not app.error


@pytest.mark.parametrize("vehicle_class", [one.value for one in VehicleClass])
def test_class_and_weights_give_a_provisional_bar_with_its_assumptions(vehicle_class):
    app = page()
    app.selectbox(key="start_class").set_value(vehicle_class).run()
    app.multiselect(key="start_on").set_value(["roof rack", "roof tent"]).run()
    app.button(key="start").click().run()
    assert not app.exception
    assert not [e.value for e in app.error if "errors" in e.value]
    text = app.session_state["frame:text"]
    assert value(text, "vehicle.class") == vehicle_class
    assert value(text, "load[1].name") == "roof tent"
    assert re.search(r"Provisional: \d+ values are assumed, not measured", words(app))
    assert "Measure first: CG height" in words(app)
    assert len(app.dataframe) == 1
    assert picture_of(app).count("<figure") == 2


def test_weights_of_a_vehicle_are_taken_in_the_readers_units():
    app = page(units="imperial")
    names = [n for n in (x.key for x in app.number_input) if n.startswith("start_front_left")]
    app.number_input(key=names[0]).set_value(1300.0).run()
    app.button(key="start").click().run()
    assert value(app.session_state["frame:text"], "vehicle.front_left_mass") == "589.67 kg"


@pytest.mark.parametrize("example", EXAMPLES)
def test_imperial_units_reach_every_figure(example):
    app = page(example, units="imperial", wheels="true")
    assert not app.exception
    metric = re.compile(r"\b(N|kg|MPa|N/mm|N·m/deg)\b(?!/)")
    shown = words(app).replace(words_of_the_file(app), "")
    for table in app.table:
        shown += "\n".join([*map(str, table.value.index), *map(str, table.value.columns)])
    found = [line for line in shown.splitlines() if metric.search(line)]
    assert [line for line in found if not from_the_file(line)] == []
    assert "lbf" in picture_of(app)


def words_of_the_file(app: AppTest) -> str:
    """What the loader says in the units of the file: assumed values and the bar replaced."""
    return "\n".join(m.value for m in app.markdown if "class default" in m.value)


def from_the_file(line: str) -> bool:
    return "The new bar replaces" in line or "(class default" in line or "common practice" in line


def test_the_bar_shown_stays_when_the_units_change():
    app = page(TOURING)
    app.selectbox(key="bar").set_value(app.selectbox(key="bar").options[4]).run()
    app.radio(key="units").set_value("imperial").run()
    assert app.selectbox(key="bar").value.startswith("5: ")
    assert " in hole" in app.selectbox(key="bar").value


def test_a_clicked_row_shows_its_bar():
    app = page(TOURING)
    state = {"selection": {"rows": [], "columns": [], "cells": [[1, "section"]]}}
    names = bars.bar_names(sized(load(FILES[TOURING])), METRIC)
    shown = fit_parts.bar_of_row(state, [1, 2], names)
    assert shown == names[1]
    assert fit_parts.bar_of_row({"selection": {"cells": []}}, [1, 2], names) is None
    assert list(ranked(app)["rank"]) == [1, 2]


@pytest.mark.parametrize("example", WITH_A_BAR)
def test_stress_along_the_bar_peaks_where_the_safety_factor_counts(example):
    found = answered(FILES[example])
    along = bars.stress_of(found)
    assert along.von_mises.max() == pytest.approx(found.bar.peak_stress, rel=1e-9)
    table = bars.stress_table(found)
    peak = table.set_index("place").loc["highest"]
    assert peak.iloc[1] == figure(found.bar.peak_stress, "MPa")
    assert peak.iloc[2] == f"{1.0 / found.bar.safety_factor:.0%}"
    assert f"peak {figure(found.bar.peak_stress, 'MPa')} MPa" in pictures.bar_picture(found)


@pytest.mark.parametrize("example", EXAMPLES)
def test_cautions_and_assumed_values_stand_on_the_page(example):
    app = opened(example)
    found = answered(FILES[example])
    text = words(app)
    for line in (*tables.all_cautions(found), *found.scenario.assumed):
        assert line in text, line
    assert bool(found.scenario.assumed) is ("are assumed, not measured" in text)
    assert len(tables.short_cautions(found)) < len(tables.all_cautions(found))


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_page_never_calls_anything_safe(example):
    text = words(opened(example)).replace("no figure here is a safe speed or a safe slope", "")
    assert not re.search(r"\b(OK|safe)\b", text)


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_curve_has_its_own_style_and_its_marks(example):
    found = answered(FILES[example])
    curves = pictures.lean_curves(found, answers.choices(found)[0])
    chart = charts.lean_chart(curves).to_dict()
    lines, tips, lifts = chart["layer"]
    floor = lines["encoding"]["y"]["scale"]["domain"][0]
    assert tips["encoding"]["y"] == lifts["encoding"]["y"] == lines["encoding"]["y"]
    marks = chart["datasets"][tips["data"]["name"]]
    assert [mark["lean"] for mark in marks] == [floor] * len(curves)
    shown = chart["datasets"][lifts["data"]["name"]]
    assert len(shown) == sum(len(curve.lifts) for curve in curves)
    shapes = tips["encoding"]["shape"]["scale"]["range"]
    assert len(set(shapes)) == 3
    dashes = lines["encoding"]["strokeDash"]["scale"]["range"]
    assert len({str(d) for d in dashes}) == len(curves)
    for curve in curves:
        assert curve.lean_deg[0] <= curve.lean_deg[-1]
        assert curve.lateral_acceleration_g[-1] == pytest.approx(curve.tipping_point_g, rel=1e-3)
        assert curve.lateral_acceleration_g[-1] < curve.tipping_point_g
        assert f"{curve.name}: tips at {curve.tipping_point_g:.2f} g" in dash_names(chart)
        for lift in curve.lifts:
            assert lift.lateral_acceleration_g <= curve.tipping_point_g * (1 + 1e-9)
            assert min(curve.lean_deg) <= lift.lean_deg <= max(curve.lean_deg)
    domain = lines["encoding"]["x"]["scale"]["domain"]
    assert domain[1] > max(curve.tipping_point_g for curve in curves)


def test_the_chart_as_a_table_has_the_figures_of_the_command():
    scenario = load(FILES[TOURING])
    record = roll_record(scenario, results(scenario.job))["states"]
    found = answered(FILES[TOURING])
    table = pictures.curves_table(pictures.lean_curves(found, "touring"))
    for name in ("unladen", "touring"):
        for point in record[name]["curve"]:
            at = point["lateral_acceleration_g"]
            assert table.loc[f"lean at {at:.1f} g, deg", name] == f"{point['roll_angle_deg']:.2f}"
        wanted = record[name]["inner_front_lift_g"]
        assert table.loc["inner front wheel lifts, g", name] == f"{wanted:.2f}"


def dash_names(chart: dict) -> list[str]:
    """Legend of the chart."""
    return chart["layer"][0]["encoding"]["strokeDash"]["scale"]["domain"]


def test_every_load_stays_inside_the_picture():
    found = answered(FILES[BEYOND])
    shown = pictures.views(found, "as_used", 0.4)[1]
    picture = pictures.picture(found, shown)
    top = float(re.search(r'viewBox="0 (-?\d+)', picture)[1]) + drawing.ABOVE
    boxes = [float(y) for y in re.findall(r'rx="2" x="[^"]+" y="(-?[\d.]+)"', picture)]
    assert len(boxes) == len(found.scenario.job.loads)
    rise = shown.point.heave * drawing.PIXELS_PER_METRE
    assert min(boxes) - rise > top


@pytest.mark.parametrize("example", WITH_A_BAR)
def test_what_the_bar_costs_stands_under_the_answer(example):
    scenario = load(FILES[example])
    sizing = sized(scenario)
    app = opened(example)
    block = next(m.value for m in app.markdown if "What gets worse with this bar" in m.value)
    shown = [line.removeprefix("- ").replace("\\", "") for line in block.splitlines()[1:]]
    if sizing.choice is None:
        assert "mass of the bar" in shown[-1]
    else:
        assert shown == list(worse_words(sizing, results(scenario.job), METRIC))


@pytest.mark.parametrize("example", WITH_A_BAR)
def test_every_bar_can_be_chosen_and_a_rejected_one_says_why(example):
    sizing = sized(load(FILES[example]))
    app = page(example)
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
    assert picture_of(app).count("<figure") == 2


@pytest.mark.parametrize("example", EXAMPLES)
def test_as_weighed_stands_once(example):
    found = answered(FILES[example])
    unladen, weighed, *cases = found.before
    repeated = any(weighed.curve == other.curve for other in (unladen, *cases))
    app = opened(example)
    assert repeated is ("As weighed is the same as" in words(app))
    assert repeated is not any("as weighed" in name for name in states_of(app).columns)


@pytest.mark.parametrize("example", WITH_A_BAR)
def test_the_weightiest_cautions_are_in_sight(example):
    shown = [w.value for w in opened(example).warning][-1].replace("\\", "")
    for caution in (
        "Mass up high raises the risk of rollover; no figure here is a safe speed or a safe slope",
        "Empty and in the wet the rear lets go earlier",
        "Whether the stability control copes with the stiffer rear is unknown",
        "Local codes and a licensed engineer decide",
    ):
        assert caution in shown


def test_an_off_centre_load_is_shown_in_the_bend_that_leans_more():
    app = page(VAN, wheels="true")
    lean = float(wheels_of(app)["as used"].iloc[0])
    assert app.radio(key="bend").value == "right"
    assert "in a right bend" in picture_of(app)
    assert "for a right bend" in words(app)
    command = roll_record(load(FILES[VAN]), results(load(FILES[VAN]).job))["states"]["as_used"]
    row = states_of(app).loc[states_of(app).index.str.contains("0.4 g in a left bend")]
    assert row["as used, now"].item() == f"{command['secant_roll_gradient_deg_per_g']:.2f}"
    app.radio(key="bend").set_value("left").run()
    assert "in a left bend" in picture_of(app)
    assert "for a left bend" in words(app)
    assert float(wheels_of(app)["as used"].iloc[0]) < lean
    assert wheels_of(app)["as used"].iloc[0] == f"{command['curve'][4]['roll_angle_deg']:.2f}"


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
    assert [r.key for r in opened(TOURING).radio] == ["units", "state"]
    for one, other in zip(mirror.before, found.before, strict=True):
        assert other.curve[8].roll_angle == pytest.approx(-one.curve[8].roll_angle, rel=1e-9)


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
