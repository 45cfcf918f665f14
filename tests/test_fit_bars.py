"""Bars, curves, bends and cautions on the page Fit a bar."""

import re

import pytest

from rollsim import charts, drawing
from rollsim.cli.records import roll_record
from rollsim.cost_wording import worse_words
from rollsim.mass import names_with_bar
from rollsim.page import answers, bars, fields, fit_parts, pictures, tables
from rollsim.page.answers import Bend
from rollsim.reader_units import METRIC, figure
from rollsim.roll import results
from rollsim.scenario import load
from rollsim.wording import answer_words, reasons
from tests.fit_page import (
    BEYOND,
    FILES,
    GATE,
    STATES,
    THIS_BAR,
    TOURING,
    UNLIKE,
    UNLIKE_WITH_A_BAR,
    VAN,
    answered,
    dash_names,
    opened,
    page,
    picture_of,
    ranked,
    sized,
    states_of,
    wheels_of,
    words,
)


def test_a_clicked_row_shows_its_bar():
    app = page(TOURING)
    state = {"selection": {"rows": [], "columns": [], "cells": [[1, "section"]]}}
    names = bars.bar_names(sized(load(FILES[TOURING])), METRIC)
    shown = fit_parts.bar_of_row(state, [1, 2], names)
    assert shown == names[1]
    assert fit_parts.bar_of_row({"selection": {"cells": []}}, [1, 2], names) is None
    assert list(ranked(app)["rank"]) == [1, 2, 3, 4]


@pytest.mark.parametrize("example", UNLIKE_WITH_A_BAR)
def test_stress_along_the_bar_peaks_where_the_safety_factor_counts(example):
    found = answered(FILES[example])
    along = bars.stress_of(found)
    assert along.von_mises.max() == pytest.approx(found.bar.peak_stress, rel=1e-9)
    table = bars.stress_table(found)
    peak = table.set_index("place").loc["highest"]
    assert peak.iloc[1] == figure(found.bar.peak_stress, "MPa")
    assert peak.iloc[2] == f"{1.0 / found.bar.safety_factor:.0%}"
    assert f"peak {figure(found.bar.peak_stress, 'MPa')} MPa" in pictures.bar_picture(found)


@pytest.mark.parametrize("example", UNLIKE)
def test_cautions_and_assumed_values_stand_on_the_page(example):
    app = opened(example)
    found = answered(FILES[example])
    text = words(app)
    assumed = map(fields.line_in_words, found.scenario.assumed)
    for line in (*tables.all_cautions(found), *assumed):
        assert line in text, line
    assert bool(found.scenario.assumed) is ("are assumed, not measured" in text)
    assert len(tables.short_cautions(found)) < len(tables.all_cautions(found))


@pytest.mark.parametrize("example", UNLIKE)
def test_the_page_never_calls_anything_safe(example):
    text = words(opened(example)).replace("no figure here is a safe speed or a safe slope", "")
    assert not re.search(r"\b(OK|safe)\b", text)


@pytest.mark.parametrize("example", UNLIKE)
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


def test_every_load_stays_inside_the_picture():
    found = answered(FILES[BEYOND])
    shown = pictures.views(found, "as_used", 0.4)[1]
    picture = pictures.picture(found, shown)
    top = float(re.search(r'viewBox="0 (-?\d+)', picture)[1]) + drawing.ABOVE
    boxes = [float(y) for y in re.findall(r'rx="2" x="[^"]+" y="(-?[\d.]+)"', picture)]
    assert len(boxes) == len(found.scenario.job.loads)
    rise = shown.point.heave * drawing.PIXELS_PER_METRE
    assert min(boxes) - rise > top


@pytest.mark.parametrize("example", UNLIKE_WITH_A_BAR)
def test_what_the_bar_costs_stands_under_the_answer(example):
    scenario = load(FILES[example])
    sizing = sized(scenario)
    app = opened(example, THIS_BAR)
    block = next(m.value for m in app.markdown if "What gets worse with this bar" in m.value)
    shown = [line.removeprefix("- ").replace("\\", "") for line in block.splitlines()[1:]]
    if sizing.choice is None:
        assert any("one rear wheel on a bump: the bar adds" in line for line in shown)
    else:
        before = results(scenario.job, only=names_with_bar(scenario.job))
        assert shown == list(worse_words(sizing, before, METRIC))


@pytest.mark.parametrize("example", UNLIKE_WITH_A_BAR)
def test_every_bar_can_be_chosen_and_a_rejected_one_says_why(example):
    sizing = sized(load(FILES[example]))
    app = page(example, part=THIS_BAR)
    bar = app.selectbox(key="bar")
    assert [option.split(":")[0] for option in bar.options] == [
        str(n) for n in range(1, len(sizing.candidates) + 1)
    ]
    marked = ["not accepted" in option for option in bar.options]
    assert marked == [not c.accepted for c in sizing.candidates]
    shown = bars.default_rank(sizing)
    other = max(n for n, c in enumerate(sizing.candidates) if not c.accepted and n != shown)
    last = sizing.candidates[other]
    before = picture_of(app)
    bar.set_value(bar.options[other]).run()
    assert not app.exception
    assert picture_of(app) != before
    assert "NOT ACCEPTED" in words(app)
    for reason in reasons(last):
        assert reason in words(app)
    told = words(app)
    assert all(cost in told for cost in bars.costs(answered(FILES[example], rank=other)))


def test_where_balance_is_in_the_way_the_best_bar_is_in_the_picture():
    sizing = sized(load(FILES[GATE]))
    best = sizing.best
    app = opened(GATE)
    for line in answer_words(sizing, METRIC):
        assert line in words(app)
    assert app.selectbox(key="bar").value == (
        f"{sizing.candidates.index(best) + 1}: {best.section.label}, "
        f"{best.lever * 1000:.0f} mm hole (not accepted)"
    )
    assert picture_of(app).count("<figure") == 2


@pytest.mark.parametrize("example", UNLIKE)
def test_as_weighed_stands_once(example):
    found = answered(FILES[example])
    unladen, weighed, *cases = found.before
    repeated = any(weighed.curve == other.curve for other in (unladen, *cases))
    app = opened(example)
    assert repeated is ("As weighed it is the same as" in words(app))
    assert repeated is not any("as weighed" in name for name in states_of(app).columns)


@pytest.mark.parametrize("example", UNLIKE_WITH_A_BAR)
def test_the_weightiest_cautions_are_in_sight(example):
    shown = [w.value for w in opened(example).warning][-1].replace("\\", "")
    for caution in (
        "Mass up high raises the risk of rollover; no figure here is a safe speed or a safe slope",
        "Empty and in the wet the rear lets go earlier",
        "Nobody knows how the stability control copes with stiffer bars",
        "Local codes and a licensed engineer decide",
    ):
        assert caution in shown


def test_an_off_centre_load_is_shown_in_the_bend_that_leans_more():
    app = page(VAN, wheels="true", part=STATES)
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
