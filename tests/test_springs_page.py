"""Springs and weights: the command's figures on the page, bay tests from reading to scenario."""

import json
import math

import numpy as np
import pytest

from rollsim import mass
from rollsim.cautions import AFTER_LIFT, SPRING_CAUTIONS
from rollsim.charts import rate_chart
from rollsim.cli import main
from rollsim.page import after_lift, springs_answer
from rollsim.reader_units import METRIC, READER_UNITS
from rollsim.roll import results as results_of
from rollsim.roll.contributions import stages
from rollsim.scenario import load, loads
from rollsim.scenario.editing import changed
from rollsim.scenario.packing import packed
from rollsim.spring_check import spring_checks
from rollsim.spring_check.force_travel import force_travel
from rollsim.tell.names import state_words
from rollsim.tell.ratings import RATING_WORDS
from rollsim.units import to_unit
from tests.springs_page import BEYOND, FILES, ROOT, TEXT, TOURING, WAGON, opened, page, said, table


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_scenario_shows_the_figures_of_the_command(path, capsys):
    app = opened(path.stem)
    assert not app.exception
    assert main(["springs", str(path), "--json"]) == 0
    states = json.loads(capsys.readouterr().out)["states"]
    for end in ("front", "rear"):
        shown = table(app, f"{end} axle")
        assert list(shown.columns) == [state_words(name) for name in states]
        for name, record in states.items():
            cells, axle = shown[state_words(name)], record[end]
            assert cells["verdict"] == axle["verdict"]
            assert cells["load on one spring, N"] == f"{axle['spring_load_N']:.0f}"
            assert cells["spring rate there, N/mm"] == f"{axle['spring_rate_N_per_mm']:.1f}"
            sides = [f"{axle[f'spring_load_{side}_N']:.0f}" for side in ("left", "right")]
            told = cells.get("left | right spring, N", "–")
            assert told == ("–" if sides[0] == sides[1] else " | ".join(sides))
            height = cells["ride height against as weighed, mm"]
            assert float(height) == pytest.approx(axle["ride_height_change_mm"], abs=0.5)
            assert cells["ride frequency, Hz"] == f"{axle['ride_frequency_Hz']:.2f}"
            for key, label in (("bump", "bump travel left, mm"), ("rebound", "left to full droop")):
                left = axle[f"{key}_travel_left_mm"]
                rows = [row for row in shown.index if row.startswith(label)]
                if left is None:
                    assert all(shown.loc[row, state_words(name)] == "–" for row in rows)
                else:
                    share = 100.0 * axle[f"{key}_travel_left_share"]
                    assert shown.loc[rows[0], state_words(name)] == f"{left:.0f} ({share:.0f} %)"
    left = table(app, "left, kg")
    for name, record in states.items():
        for rating in record["payload_left"]:
            row = next(r for r in left.index if r.startswith(f"{RATING_WORDS[rating['name']]},"))
            over = " OVER" if rating["over"] else ""
            whole = math.floor(rating["left_kg"] + 1e-6)  # never more than there is
            if over:  # of whole limits: load less limit, as both read
                whole = round(rating["left_kg"])
            assert left.loc[row, state_words(name)] == f"{whole}{over}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_answer_is_the_verdict_of_the_state_shown_and_over_cannot_be_missed(path):
    app, job = opened(path.stem), load(path).job
    checks = {state_words(c.name): c for c in spring_checks(job)}
    shown = checks[app.radio(key="standing").value]
    answer = said(app.info, app.warning)
    suited = f"{state_words(shown.name)}: these springs suit this weight, in front and behind."
    verdicts = {shown.front.verdict.value, shown.rear.verdict.value}
    assert (suited in answer) == (verdicts == {"suited"})
    for end, axle in (("Front", shown.front), ("Rear", shown.rear)):
        assert f"{end}: {axle.verdict.value}." in answer
    over = [r for c in checks.values() for r in c.ratings if r.over]
    assert ("OVER A RATING" in said(app.error)) == bool(over)
    assert said(app.error).count(" too much") == len(over)
    for caution in SPRING_CAUTIONS:
        assert caution in said(app.warning)
    assert " safe " not in f"{said(app.info, app.markdown, app.caption)} ".replace("no safe", "")
    pictures = [m.value for m in app.markdown if "seen from its left side" in m.value]
    assert len(pictures) == 1
    assert f"{shown.front.axle_mass:.0f} kg" in pictures[0]


def test_the_states_changes_and_units_follow_what_is_chosen():
    app = page(TOURING, units="imperial", standing="touring", part="What each change does")
    assert not app.exception
    assert "The link asks" not in said(app.warning)
    assert "load on one spring, lbf" in table(app, "").index
    steps = next(t.value for t in app.table if "put on" in t.value.columns)
    assert list(steps["put on"]) == [
        "unladen",
        "roof rack and tent",
        "canopy",
        "camping gear and water",
        "suspension lift",
    ]
    lean = [float(cell) for cell in steps["lean per g at 0.4 g, deg/g"]]
    added = [float(cell) for cell in steps["adds, deg/g"][1:]]
    assert lean[0] + sum(added) == pytest.approx(lean[-1], abs=0.005 * len(added) + 0.006)
    app.radio(key="standing").set_value("unladen").run()
    assert "nothing is put on and nothing is changed" in said(app.caption)


def test_an_off_centre_load_shows_left_and_right():
    job = loads(changed(TEXT, {"load[0].left_of_centreline": "400 mm"}), "x.toml").job
    check = next(c for c in spring_checks(job) if c.name == "work week")
    cells = springs_answer.state_table(check, METRIC).loc["left | right spring, N"]
    for end, axle in (("front", check.front), ("rear", check.rear)):
        left, right = (float(part) for part in cells[end].split(" | "))
        assert left > right
        assert (left + right) / 2.0 == pytest.approx(axle.spring_load, abs=0.6)


def test_a_link_to_what_is_not_there_says_so():
    app = page(TOURING, standing="on fire", part="Spring curve")
    assert not app.exception
    assert 'The link asks for the loaded state "on fire"' in said(app.warning)
    assert "the slope is the rate" in said(app.caption)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_scenario_has_its_curves_and_changes_end_where_the_state_is(path):
    job = load(path).job
    check = spring_checks(job)[-1]
    for units in READER_UNITS.values():
        curves = springs_answer.rate_curves(job, check, units)
        for curve, axle in zip(curves, (check.front, check.rear), strict=True):
            assert curve.at[1] == pytest.approx(to_unit(axle.spring_load, units.force), rel=1e-5)
    steps = stages(job, check.name, each_item=True)
    lean = springs_answer.waterfall_steps(steps, lambda one: one.secant_roll_gradient)
    (result,) = results_of(job, (), only=(check.name,))
    assert sum(step.value for step in lean) == pytest.approx(result.secant_roll_gradient, rel=1e-6)
    tips = springs_answer.waterfall_steps(steps, lambda one: one.tip_over_threshold)
    assert sum(step.value for step in tips) == pytest.approx(result.tip_over_threshold, rel=1e-6)
    assert len(springs_answer.change_table(steps)) == len(steps)


def test_the_curve_chart_tells_the_axles_apart_without_colour():
    job = load(ROOT / "scenarios" / f"{TOURING}.toml").job
    curves = springs_answer.rate_curves(job, spring_checks(job)[-1], METRIC)
    chart = rate_chart(curves, ("mm", "N", "N/mm"), dark=True).to_dict()
    named = chart["layer"][0]["encoding"]["strokeDash"]["scale"]
    assert named["domain"] == ["front", "rear"]
    assert named["range"][0] != named["range"][1]
    words = [row["words"] for rows in chart["datasets"].values() for row in rows if "words" in row]
    assert set(words) == {"front 38.0 N/mm", "rear 36.0 N/mm"}


def test_a_scenario_with_errors_shows_them_and_nothing_else():
    app = page(scenario=packed(changed(TEXT, {"front.track": "1560 kg"})))
    assert not app.exception
    assert "front.track" in said(app.error)
    assert not app.table


def test_after_a_lift_there_is_a_list_and_past_the_codes_a_note():
    lifted, plain = opened(TOURING), opened(WAGON)
    for line in AFTER_LIFT:
        assert line in said(lifted.markdown)
        assert line not in said(plain.markdown)
    assert "local codes decide" not in said(lifted.warning)
    high = said(opened(BEYOND).warning)  # lifted by 60 mm, travel 60 + 75 mm in front
    assert "Front: the ride height changes by 60 mm, over 50 mm and the lift of 60" in high


def test_the_codes_note_begins_past_50_mm_and_past_a_third_of_the_travel():
    # Travel from stop to stop: 135 mm in front, 170 mm behind.
    def words(front: str, rear: str) -> tuple[str, ...]:
        keys = {"change.suspension_lift_front": front, "change.suspension_lift_rear": rear}
        job = loads(changed(TEXT, keys), "x.toml").job
        return after_lift.code_words(job, mass.named(job, "touring"), METRIC)

    assert words("45 mm", "50 mm") == ()
    assert [w.partition(":")[0] for w in words("46 mm", "51 mm")] == ["Front", "Rear"]
    assert "over 50 mm" not in words("46 mm", "50 mm")[0]
    assert "third" not in words("40 mm", "51 mm")[0]
    # Body and tyres count as well: 40 + 20 mm.
    keys = {"change.tyre_radius": "20 mm", "change.suspension_lift_front": "0 mm"}
    job = loads(changed(TEXT, keys), "x.toml").job
    told = after_lift.code_words(job, mass.named(job, "touring"), METRIC)
    assert [w.partition(":")[0] for w in told] == ["Rear"]
    assert "changes by 60 mm" in told[0]
    assert after_lift.lifted(job, mass.named(job, "touring"))
    assert not after_lift.lifted(job, mass.named(job, "unladen"))


def test_the_choice_of_states_begins_with_trouble_and_ends_unladen():
    for path in FILES:
        job = load(path).job
        names = [c.name for c in springs_answer.choices(job, spring_checks(job))]
        assert names[-1] == "unladen"
        assert "as_weighed" not in names  # the same as another in each of the examples
    on = {"load[1].on_when_weighed": True}  # the canopy alone: no load case and not unladen
    job = loads(changed(TEXT, on), "x.toml").job
    names = [c.name for c in springs_answer.choices(job, spring_checks(job))]
    assert sorted(names) == ["as_weighed", "touring", "unladen", "work week"]


def test_the_spring_curve_is_the_integral_of_its_rate_and_runs_through_where_it_stands():
    job = load(ROOT / "scenarios" / f"{TOURING}.toml").job
    for check in spring_checks(job):
        state = mass.named(job, check.name)
        for number, axle in enumerate((check.front, check.rear)):
            curve = force_travel(job, state, number, here=axle.ride_height_change)
            down, force, rate = (np.array(x) for x in (curve.down, curve.force, curve.rate))
            grown = np.cumsum(np.diff(down) * rate[1:])  # each rate holds up to its point
            assert force[1:] - force[0] == pytest.approx(grown, abs=1e-6)
            here = np.interp(-axle.ride_height_change, down, force)
            assert here == pytest.approx(axle.spring_load, rel=1e-6)  # no stop works at rest


OPTION = """
[[spring_option]]
name = "one leaf more"
rear = { rate = "44 N/mm", second_stage = { after = "55 mm", rate = "60 N/mm" } }
"""


def test_spring_options_stand_side_by_side_as_the_command_has_them(tmp_path, capsys):
    app = page(scenario=packed(TEXT + OPTION), part="Spring options")
    assert not app.exception
    shown = next(t.value for t in app.table if "springs" in t.value.columns)
    own = tmp_path / "own.toml"
    own.write_text(TEXT + OPTION, encoding="utf-8")
    assert main(["springs", str(own), "--json"]) == 0
    options = json.loads(capsys.readouterr().out)["options"]["options"]
    verdicts = [s["rear"]["verdict"] for one in options.values() for s in one["states"].values()]
    assert list(shown["rear"]) == verdicts
    assert set(shown["springs"]) == set(options)
    assert "Rear bar needed with each" in said(app.markdown)


def test_without_options_the_tab_says_how_to_add_them():
    app = page(TOURING, part="Spring options")
    assert not app.exception
    assert "page Vehicle, under Other springs" in said(app.caption)


def test_the_rear_spring_rate_for_the_target_is_that_of_the_command(capsys):
    app = page(TOURING, part="Spring options")
    path = str(ROOT / "scenarios" / f"{TOURING}.toml")
    words = ["solve", path, "--least", "rear spring rate", "--so-that", "lean <= unladen"]
    for state in ("work week", "touring"):
        app.radio(key="standing").set_value(state).run()
        assert main([*words, "--state", state, "--json"]) == 0
        sentence = json.loads(capsys.readouterr().out)["sentence"]
        assert sentence.startswith("At least ")
        assert sentence in said(app.markdown)
    app.radio(key="standing").set_value("unladen").run()
    assert not app.exception
    assert "Springs instead of a new bar" not in said(app.markdown)


@pytest.mark.parametrize("target", ["5.5 deg/g", "20 % less than now"])
def test_another_target_is_the_limit_of_the_spring_rate(target):
    text = changed(TEXT, {"target.roll_gradient": target})
    app = page(scenario=packed(text), part="Spring options", standing="touring")
    assert not app.exception
    now = next(r for r in results_of(loads(text, "a.toml").job, ()) if r.name == "touring")
    limit = 5.5 if "deg" in target else 0.8 * to_unit(now.secant_roll_gradient, "deg/g")
    assert f"of at most {limit:.2f} deg/g" in said(app.markdown)
