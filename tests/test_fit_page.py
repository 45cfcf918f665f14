"""The page Fit a bar: every scenario, and the figures that the command gives."""

import math
import re
from dataclasses import replace

import pandas as pd
import pytest

from rollsim import drawing
from rollsim.cli.records import roll_record
from rollsim.cli.size_records import size_record
from rollsim.mass import names_with_bar
from rollsim.page import answers, bars, outcome, tables
from rollsim.page.answers import Bend
from rollsim.page.outcome import Outcome
from rollsim.reader_units import METRIC, figure
from rollsim.remedies import what_else_helps
from rollsim.remedy_wording import remedy_words
from rollsim.roll import results
from rollsim.roll.travel_left import travel_left
from rollsim.scenario import load, source
from rollsim.scenario.editing import changed
from rollsim.scenario.starting import Start, scenario_text
from rollsim.tell.names import driven_empty_words
from rollsim.typical import BODIES
from rollsim.vehicle import STANDARD_GRAVITY, VehicleClass
from rollsim.wording import answer_words
from tests.fit_page import (
    BEYOND,
    FILES,
    GATE,
    LEAN,
    LOW_CAR,
    STATES,
    TITLES,
    TOURING,
    UNLIKE,
    UNLIKE_WITH_A_BAR,
    VAN,
    WHEELS,
    answered,
    choose,
    compared,
    figures,
    opened,
    own,
    page,
    picture_of,
    ranked,
    sized,
    states_of,
    wheels_of,
    with_text,
    words,
)


@pytest.mark.parametrize("example", UNLIKE)
def test_every_scenario_shows_the_figures_of_the_command(example):
    scenario = load(FILES[example])
    app = opened(example)
    assert not app.exception
    assert app.selectbox(key="frame:choice").value == TITLES[example]
    seen = names_with_bar(scenario.job) if scenario.rear_bar else None
    record = roll_record(scenario, results(scenario.job, only=seen))["states"]
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
    told = ("No bar is sized yet",) if sizing is None else answer_words(sizing, METRIC)
    assert all(paragraph in words(app) for paragraph in told)


@pytest.mark.parametrize("example", UNLIKE_WITH_A_BAR)
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
    told = size_record(scenario, sized(scenario))
    record = {**told["choice"]["states"], "driven_empty": told["driven_empty"]}
    app = opened(TOURING)
    point = record["touring"]["curve"][4]
    assert point["lateral_acceleration_g"] == 0.4
    loads = [f"{point['wheel_loads_N'][wheel]:.0f}" for wheel in WHEELS]
    lean = f"{point['roll_angle_deg']:.2f}"
    assert list(wheels_of(app)["touring, with bar"])[:5] == [lean, *loads]
    shown = figures(app, ", with bar")
    assert list(shown) == ["unladen", "work week", "touring", "driven empty"]
    for name, cells in shown.items():
        state = record[name.replace("driven empty", "driven_empty")]
        assert cells[0] == f"{state['roll_gradient_deg_per_g']:.2f}"


def test_the_chosen_state_changes_the_picture():
    app = page(TOURING, wheels="true")
    before = picture_of(app)
    app.radio(key="state").set_value("work week").run()
    after = picture_of(app)
    assert "work week" in after
    assert after != before
    assert list(wheels_of(app).columns) == ["unladen", "work week", "work week, with bar"]


def test_changing_the_scenario_keeps_the_page_whole():
    app = page(TOURING, state="work week", wheels="true")
    choose(app, BEYOND)
    assert not app.exception
    assert list(wheels_of(app).columns) == ["unladen", "as used", "as used, with bar"]
    beyond = sized(load(FILES[BEYOND]))
    assert app.selectbox(key="bar").value.startswith(f"{bars.default_rank(beyond) + 1}: ")


def test_the_unladen_state_can_be_looked_at_with_the_bar():
    app = page(TOURING, state="unladen", wheels="true")
    assert list(wheels_of(app).columns) == ["unladen", "unladen, with bar"]
    assert list(compared(app).columns) == ["unladen"]
    app.radio(key="state").set_value("driven empty").run()
    assert list(compared(app).columns) == ["unladen", "driven empty"]
    assert driven_empty_words(["driven_empty"]) in words(app)


@pytest.mark.parametrize("example", UNLIKE_WITH_A_BAR)
def test_the_empty_vehicle_stands_beside_the_loaded_one(example):
    found = answered(FILES[example])
    app = opened(example)
    table = compared(app)
    bend = answers.harder_bend(found) or Bend.LEFT
    names = (found.sizing.emptiest, found.sizing.case)
    assert list(table.columns) == [tables.state_words(name) for name in names]
    for name, title in zip(names, table.columns, strict=True):
        now, then = (answers.named(states, name) for states in (found.before, found.after))
        name = "secant_roll_gradient"
        name = name if bend is Bend.LEFT else f"right_{name}"
        secants = [figure(getattr(r, name), "deg/g") for r in (now, then)]
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
    app = page(BEYOND, part=STATES)
    scenario = load(FILES[BEYOND])
    states = roll_record(scenario, results(scenario.job))["states"]
    over = [r for state in states.values() for r in state["ratings"] if r["over"]]
    assert {r["name"] for r in over} >= {"rear_axle", "roof_load"}
    assert "OVER A RATING" in app.error[0].value
    for rating in over:
        more = round(rating["load_kg"]) - round(rating["limit_kg"])  # as the reader takes off
        on = f"{rating['load_kg']:.0f} kg, allowed {rating['limit_kg']:.0f} kg: {more} kg too much"
        assert on in words(app)
    ratings = next(t.value for t in app.table if any("gross" in str(n) for n in t.value.index))
    assert "OVER" in ratings.to_string()


def test_no_rating_is_over_without_a_box():
    assert not opened(TOURING).error


def test_out_of_reach_is_a_screen_of_its_own_with_what_would_help():
    app = opened(BEYOND)
    sizing = sized(load(FILES[BEYOND]))
    assert not sizing.reachable
    assert "No rear bar can reach" in app.warning[0].value
    helps = what_else_helps(source(FILES[BEYOND]), load(FILES[BEYOND]), sizing)
    assert helps
    for one in helps:
        assert remedy_words(one, METRIC)[1:] in words(app)
    figures_ = outcome.outcome_table(answered(FILES[BEYOND]))["figure"]
    assert list(figures_) == [
        f"{figure(value, 'deg/g')} deg/g"
        for value in (sizing.target, sizing.present, sizing.limit, sizing.best.roll_gradient)
    ]
    assert any(t.value.equals(figures_.to_frame()) for t in app.table)


@pytest.mark.parametrize(
    ("example", "which"),
    [
        (TOURING, Outcome.COSTS_BALANCE),
        (GATE, Outcome.NONE),
        (BEYOND, Outcome.NONE),
        (LOW_CAR, Outcome.NO_BAR),
    ],
)
def test_outcomes(example, which):
    found = answered(FILES[example])
    assert outcome.outcome(found) is which
    assert outcome.outcome_table(found).empty is (which is not Outcome.NONE)


def test_where_there_is_nothing_to_bring_back_no_bar_is_praised():
    text = changed(FILES[TOURING].read_text("utf-8"), {"target.roll_gradient": "9 deg/g"})
    found = with_text(text)
    assert outcome.outcome(found) is Outcome.NOTHING
    assert outcome.outcome_table(found).empty
    assert outcome.headline(found)[0].startswith("Nothing to bring back")
    app = own(text)
    assert "Nothing to bring back" in app.info[0].value
    assert "Put it in" not in {button.label for button in app.button}


def test_less_than_now_is_asked_for_with_one_button():
    text = changed(FILES[TOURING].read_text("utf-8"), {"target.roll_gradient": "9 deg/g"})
    app = own(text)
    app.text_input(key="less").set_value("20")
    app.button(key="size-less").click().run()
    assert not app.exception
    found = with_text(
        changed(FILES[TOURING].read_text("utf-8"), {"target.roll_gradient": "20 % less than now"})
    )
    assert found.sizing.less_than_now == pytest.approx(0.20)
    assert outcome.headline(found)[0].startswith("Fit ")
    assert outcome.headline(found)[0] in words(app)


def test_what_costs_the_balance_is_said_with_the_bar():
    found = answered(FILES[TOURING])
    assert found.sizing.takes_front_below_its_weight
    shown = opened(TOURING).warning[0].value.replace("\\", "")
    for paragraph in outcome.headline(found):
        assert paragraph in shown


def test_a_tipped_vehicle_has_no_figures():
    app = page(BEYOND, lateral="0.7", wheels="true")
    assert set(wheels_of(app)["as used"]) == {"tipped"}
    picture = picture_of(app)
    assert "as used, seen from behind in a left bend: tipped: it tips at 0.51 g" in picture
    assert picture.count("<figure") == 2
    tipped = list(wheels_of(app).loc[LEAN])[1:].count("tipped")
    assert picture.count(f"opacity:{drawing.PALE}") == tipped > 0
    assert re.search(r"rotate\((?!0\.000)", picture.split("<figure")[1])  # as it last stood


@pytest.mark.parametrize(
    ("example", "label"),
    [
        (TOURING, "Job sheet with this bar, HTML to print"),
        (BEYOND, "Job sheet, HTML to print"),
        (LOW_CAR, "Job sheet, HTML to print"),
    ],
)
def test_the_job_sheet_can_be_taken_away(example, label):
    assert label in {button.label for button in opened(example).download_button}


def test_a_vehicle_held_against_itself_is_told_so():
    bare = scenario_text(Start(VehicleClass.CREW_CAB_TRUCK, (640.0, 580.0, 560.0, 430.0)))
    told = " ".join(outcome.remarks(with_text(bare)))
    assert "No load and no lift is named" in told
    lifted = Start(VehicleClass.CREW_CAB_TRUCK, (640.0, 580.0, 560.0, 430.0), lift=0.04)
    assert "No load and no lift" not in " ".join(outcome.remarks(with_text(scenario_text(lifted))))
    assert "from its weights" in bare
    usual = BODIES[VehicleClass.CREW_CAB_TRUCK]
    untouched = Start(VehicleClass.CREW_CAB_TRUCK, (usual.front_axle_mass, usual.rear_axle_mass))
    assert "with typical weights, not weighed" in scenario_text(untouched)


def test_a_lift_that_hangs_in_full_droop_is_no_cure():
    plain = scenario_text(Start(VehicleClass.CREW_CAB_TRUCK, (600.0, 600.0, 480.0, 480.0)))
    high, low = (
        changed(plain, {f"change.suspension_lift_{end}": size for end in ("front", "rear")})
        for size in ("100 mm", "20 mm")
    )
    told = next(line for line in outcome.remarks(with_text(high)) if "full droop" in line)
    assert "no cure for lean" in told
    assert "Full droop is assumed here: measure it." in told
    assert not any("hang at full droop" in line for line in outcome.remarks(with_text(low)))
