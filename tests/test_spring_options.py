"""Spring options side by side, new changes of track and front bar, and what codes may ask about."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass, roll, scenario
from rollsim.cautions import AFTER_LIFT, height_note
from rollsim.cli import main
from rollsim.mass import axles, states
from rollsim.option_wording import option_words, right_in_words
from rollsim.reader_units import METRIC
from rollsim.scenario.embedded import with_tables
from rollsim.sizing import size
from rollsim.spring_check import SpringLimits, Verdict, spring_checks
from rollsim.spring_options import (
    AS_PLANNED,
    EMPTY,
    best_option,
    driven_states,
    right_in,
    spring_options,
    with_option,
)
from rollsim.springs import LinearSpring, TableSpring
from rollsim.vehicle import Change, SpringOption, Suspension
from tests.bad_input import TEXT, errors_of
from tests.builders import ROOT, job

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
BOTH_INDEPENDENT = ROOT / "scenarios" / "independent-rear-with-bar.toml"
STIFF = SpringOption("stiff", rear=LinearSpring(70e3))
SOFT = SpringOption("soft", rear=LinearSpring(20e3))
FRESH = SpringOption("both ends", front=LinearSpring(40e3), rear=LinearSpring(38e3))


def options_job():
    return replace(job(CREW_CAB), spring_options=(STIFF, SOFT, FRESH))


@pytest.fixture(scope="module")
def found():
    return spring_options(options_job(), scenario.load(CREW_CAB).rear_bar)


# options


def test_every_option_in_every_state_is_the_vehicle_with_those_springs(found):
    of = options_job()
    assert [one.name for one in found] == [AS_PLANNED, "stiff", "soft", "both ends"]
    for one, option in zip(found[1:], of.spring_options, strict=True):
        assert [c.name for c in one.checks] == [EMPTY, "work week", "touring"]
        alone = replace(with_option(of, option), spring_options=())
        shown = {r.name: r for r in roll.results(alone, only=("work week", "touring"))}
        by_state = {c.name: c for c in spring_checks(alone)}
        for check, gradient in zip(one.checks[1:], one.roll_gradients[1:], strict=True):
            assert gradient == pytest.approx(shown[check.name].secant_roll_gradient, rel=1e-6)
            assert check.rear == by_state[check.name].rear
    assert found[0].checks[1:] == spring_checks(of)[2:]


def test_the_empty_vehicle_has_the_new_springs_and_no_load(found):
    """Ride height of the unladen mass: up by the lift, nothing more, as the springs carry it."""
    for one in found:
        check = one.checks[0]
        lift = options_job().change.suspension_lift_rear
        assert check.rear.ride_height_change == pytest.approx(lift, abs=0.003)
    assert found[1].checks[0].rear.spring_rate == pytest.approx(70e3)


def test_the_bar_is_the_one_sized_for_those_springs(found):
    alone = replace(with_option(options_job(), STIFF), spring_options=())
    sized = size(alone, scenario.load(CREW_CAB).rear_bar)
    assert found[1].sizing.required_roll_stiffness == pytest.approx(
        sized.required_roll_stiffness, rel=1e-9
    )
    # Softer springs lean more and need more bar.
    soft, stiff = (found[n].sizing.required_roll_stiffness for n in (2, 1))
    assert soft > found[0].sizing.required_roll_stiffness > stiff


def test_verdicts_by_hand(found):
    """Empty: (860 − 190)/2 = 335 kg a side; with the tyre's 250 N/mm in series.

    70 N/mm: 54.7 N/mm, √(54 700/335)/2π = 2.03 Hz, above 1.7: stiff. 20 N/mm: 18.5 N/mm, 1.18 Hz
    empty; the work week's 209 kg more, half on each side, sink it 1022/20 = 51 mm, of a lift of
    50 mm.
    """
    assert found[1].checks[0].rear.ride_frequency == pytest.approx(2.03, abs=0.01)
    assert found[1].checks[0].rear.verdict is Verdict.UNDER_LOADED
    soft = {c.name: c.rear for c in found[2].checks}
    assert soft[EMPTY].ride_frequency == pytest.approx(1.18, abs=0.01)
    lift = options_job().change.suspension_lift_rear
    assert soft["work week"].ride_height_change == pytest.approx(lift - 0.051, abs=0.003)


def test_the_best_is_suited_in_most_states_and_ties_stay_with_what_is_there(found):
    planned, stiff, _, fresh = found
    assert best_option(found).suited == max(one.suited for one in found)
    assert best_option((stiff, planned)) is planned
    assert best_option((planned, planned)) is planned
    fresh, planned = (replace(one, sizing=None) for one in (fresh, planned))
    leaner = replace(fresh, roll_gradients=tuple(0.9 * g for g in planned.roll_gradients))
    assert best_option((fresh, leaner)) is leaner
    assert best_option((leaner, planned)) is planned
    lost = replace(fresh, roll_gradients=(math.nan,) * 3)
    assert best_option((lost, fresh)) is fresh
    assert best_option(()) is None


def test_the_answer_in_one_sentence(found):
    planned, stiff, _, fresh = found
    words = option_words((planned, stiff), METRIC)
    assert words.startswith(f"No option is suited in more states than the {AS_PLANNED}, 3 of 3")
    assert words.endswith(".")
    worse = replace(planned, checks=stiff.checks)
    words = option_words((worse, fresh), METRIC)
    assert words.startswith('"both ends" comes out best: suited in 3 of 3 states')
    assert "lean per g goes from" in words
    assert "rear bar with it: " in words
    words = option_words((worse, stiff), METRIC)
    assert stiff.suited == 0
    assert words.startswith("None is suited in any of 3 states")
    assert "safe" not in words
    assert option_words((), METRIC) == ""


def test_which_stand_right_where_and_the_compromise_by_name(found):
    """One that is over its rated load in the full week is right in the two other states."""
    planned, _, _, fresh = found
    assert right_in((planned, fresh))[0] == (EMPTY, (AS_PLANNED, "both ends"))
    assert right_in_words((planned, fresh), METRIC)[-1] == (
        f'right in all of them: {AS_PLANNED}, "both ends"'
    )
    week = next(check for check in fresh.checks if check.name == "work week")
    enough, short = (
        replace(fresh, rated=(math.nan, share * week.rear.spring_load)) for share in (1.0, 0.99)
    )
    assert enough.suited == 3
    assert short.over_rated(week) == ("rear",)
    assert (short.suited, short.over_loaded) == (2, 1)
    worse = replace(planned, checks=found[1].checks)
    *states, last = right_in_words((worse, short), METRIC)
    assert states[1] == '"work week": none stands right'
    assert states[2] == '"touring": "both ends"'
    assert last.startswith('no set is right in all; the compromise is "both ends": in "work week" ')
    assert last.endswith("N that it is rated for")
    assert "rated for" in option_words((worse, short), METRIC)
    unrated = f"rated load not given, so not judged: {AS_PLANNED}"
    assert unrated in right_in_words((planned, short), METRIC)
    assert not any("not judged" in line for line in right_in_words((planned, fresh), METRIC))
    assert right_in_words((), METRIC) == ()


def test_without_options_nothing_is_solved_for():
    assert spring_options(job(CREW_CAB)) == ()
    assert [s.name for s in driven_states(job(CREW_CAB))] == [EMPTY, "work week", "touring"]


OPTIONS = """
[[spring_option]]
name = "stiffer"
rear = { rate = "52 N/mm", second_stage = { after = "40 mm", rate = "30 N/mm" } }

[[spring_option]]
name = "both"
front = { wheel_rate = "42 N/mm" }
rear = { rate = "40 N/mm", load = "450 kg", at = "30 mm" }
"""


def test_options_are_read(tmp_path, capsys):
    read = scenario.loads(TEXT + OPTIONS, "a.toml").job.spring_options
    assert [one.name for one in read] == ["stiffer", "both"]
    assert read[0].front is None
    assert read[0].rear == LinearSpring(52e3, stage_start=0.04, stage_rate=30e3)
    assert read[1].front == LinearSpring(42e3)
    assert float(read[1].rear.curve(3000.0).force(-0.03)) == pytest.approx(450.0 * 9.80665)
    path = tmp_path / "a.toml"
    path.write_text(TEXT + OPTIONS, encoding="utf-8")
    assert main(["springs", str(path), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert list(record["options"]["options"]) == [AS_PLANNED, "stiffer", "both"]
    assert record["options"]["best"] in record["options"]["options"]
    for case, shown in record["changes"]["cases"].items():
        for key in ("secant_roll_gradient_deg_per_g", "tip_over_threshold_g"):
            added = sum(step[key] for step in shown["steps"])
            assert shown["unladen"][key] + added == pytest.approx(shown["whole"][key]), case
    assert main(["springs", str(path)]) == 0
    out = capsys.readouterr().out
    assert "Spring options" in out
    assert "With: stiffer" in out
    assert max(map(len, out.splitlines())) <= 100


def test_a_measured_spring_of_an_option_goes_along_with_the_scenario(tmp_path):
    (tmp_path / "a.csv").write_text("travel_mm,force_kN\n0,1\n90,9\n", encoding="utf-8")
    options = OPTIONS.replace('{ wheel_rate = "42 N/mm" }', '{ table = "a.csv" }')
    source = with_tables("a.toml", TEXT + options, tmp_path)
    assert [name for name, _ in source.tables] == ["a.csv"]
    read = scenario.loads(TEXT + options, "a.toml", tmp_path).job.spring_options
    assert isinstance(read[1].front, TableSpring)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('name = "both"', 'name = "Stiffer"', "spring_option[2].name: found"),
        ('name = "stiffer"', "", "spring_option[1].name: missing"),
        ('front = { wheel_rate = "42 N/mm" }\n', "fron = 1\n", "spring_option[2].fron: unknown"),
        ('rate = "52 N/mm"', 'rate = "52 mm"', "spring_option[1].rear.rate: found"),
        ('rate = "52 N/mm"', 'wheel_rate = "52 N/mm"', "spring_option[1].rear.wheel_rate: on a"),
        ('load = "450 kg", ', "", "spring_option[2].rear.load: missing; at needs it"),
        ('"42 N/mm"', '"nan N/mm"', "spring_option[2].front.wheel_rate: found"),
        ('{ wheel_rate = "42 N/mm" }', '"class default"', "spring_option[2].front: found"),
        (OPTIONS[OPTIONS.index("rear = { rate") :], "", "spring_option[1]: found no spring"),
        (
            'name = "stiffer"',
            'name = "stiffer"\nfront_rated_load = "600 kg"',
            "spring_option[1].front_rated_load: found without front, the spring that it is of",
        ),
        (
            'name = "stiffer"',
            'name = "stiffer"\nrear_rated_load = "600 mm"',
            "spring_option[1].rear_rated_load: found",
        ),
    ],
)
def test_bad_option(old, new, expected):
    assert old in OPTIONS
    (line,) = errors_of(TEXT + OPTIONS.replace(old, new, 1))
    assert expected in line


PACKS = """
[[spring_option]]
name = "heavier pack"
rear = { rate = "48 N/mm", second_stage = { after = "35 mm", rate = "40 N/mm" } }

[[spring_option]]
name = "helper that comes in sooner"
rear = { rate = "36 N/mm", second_stage = { after = "20 mm", rate = "30 N/mm" } }
"""


def test_springs_with_which_a_bar_is_accepted_come_before_those_without():
    text = (ROOT / "scenarios" / "balance-gate-binds.toml").read_text(encoding="utf-8")
    read = scenario.loads(text + PACKS, "a.toml")
    planned, pack, helper = spring_options(read.job, read.rear_bar)
    assert [one.suited for one in (planned, pack, helper)] == [2, 1, 2]
    assert planned.sizing.choice is None
    assert None not in (pack.sizing.choice, helper.sizing.choice)
    assert [one.lacks_bar for one in (planned, pack, helper)] == [True, False, False]
    assert best_option((planned, pack, helper)) is helper


# wheel offset and front bar


def changed(text, line):
    assert "[change]" in text
    return text.replace("[change]", f"[change]\n{line}", 1)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ('wheel_offset_front = "200 mm"', "change.wheel_offset_front: found"),
        ("wheel_offset_rear = 25", "change.wheel_offset_rear: found the number 25"),
        ('wheel_offset_rear = "25 kg"', "change.wheel_offset_rear: found"),
        ('wheel_offset_reer = "25 mm"', "change.wheel_offset_reer: unknown key; the nearest"),
        ("front_bar = {}", "change.front_bar: found neither; allowed link_end_rate with"),
        (
            'front_bar = { link_end_rate = "30 N/mm", roll_stiffness = "400 N*m/deg" }',
            "change.front_bar: found both",
        ),
        ('front_bar = { link_end_rate = "30 N/mm" }', "change.front_bar.installation_ratio: miss"),
        (
            'front_bar = { roll_stiffness = "400 N*m/deg", link_spacing = "900 mm" }',
            "change.front_bar.link_spacing: independent suspension does not take it",
        ),
        ('front_bar = { roll_stiffness = "-1 N*m/deg" }', "change.front_bar.roll_stiffness: found"),
        ('front_bar = "stiff"', "change.front_bar: found"),
    ],
)
def test_bad_change(line, expected):
    (found,) = errors_of(changed(TEXT, line))
    assert expected in found


def test_the_wheels_of_a_solid_axle_stay_outside_its_springs():
    text = TEXT.replace('spring_base = "1090 mm"', 'spring_base = "1400 mm"')
    (line,) = errors_of(changed(text, 'wheel_offset_rear = "-90 mm"'))
    assert "change.wheel_offset_rear: found -90 mm, which makes the track" in line
    assert "allowed as far as the spring base, 1400 mm" in line


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("least_bump_travel_share = 1.5", "limits.least_bump_travel_share: found"),
        ('least_rebound_travel_share = "30 mm"', "limits.least_rebound_travel_share: found"),
        ("greatest_second_stage_share = 0", "limits.greatest_second_stage_share: found"),
        ('second_stage_travel = "50"', "limits.second_stage_travel: found"),
        ("lowest_ride_frequency = 1.0", "limits.lowest_ride_frequency: found the number 1"),
        ('highest_ride_frequency = "1.7 mm"', "limits.highest_ride_frequency: found"),
        (
            'lowest_ride_frequency = "1.8 Hz"',
            "limits.lowest_ride_frequency: found 1.8 Hz; allowed below the highest, 1.7 Hz",
        ),
    ],
)
def test_bad_limit(line, expected):
    (found,) = errors_of(TEXT.replace("[limits]", f"[limits]\n{line}\n#", 1))
    assert expected in found


def test_limits_of_the_springs_are_taken_up():
    lines = (
        "least_bump_travel_share = 0.3\nleast_rebound_travel_share = 0.2\n"
        'greatest_second_stage_share = 0.7\nsecond_stage_travel = "60 mm"\n'
        'lowest_ride_frequency = "1.1 Hz"\nhighest_ride_frequency = "1.4 Hz"\n#'
    )
    read = scenario.loads(TEXT.replace("[limits]", f"[limits]\n{lines}", 1), "a.toml").job
    assert read.spring_limits == SpringLimits(0.3, 0.2, 0.7, 0.06, 1.1, 1.4)
    usual = scenario.loads(TEXT, "a.toml").job
    assert usual.spring_limits == SpringLimits()
    rear = spring_checks(read)[0].rear
    assert rear.verdict is Verdict.UNDER_LOADED
    assert spring_checks(usual)[0].rear.verdict is Verdict.SUITED


@pytest.mark.parametrize("weighed", [False, True])
def test_wheel_offset_widens_the_track_in_the_changed_states_alone(weighed):
    of = job(CREW_CAB)
    change = Change(wheel_offset_front=0.02, wheel_offset_rear=0.03, on_when_weighed=weighed)
    of = replace(of, change=change)
    front, rear = of.vehicle.front, of.vehicle.rear
    for state in states(of):
        out = int(state.changed) - int(weighed)
        f, r = axles(of, state)
        assert f.track == pytest.approx(front.track + 0.04 * out)
        assert r.track == pytest.approx(rear.track + 0.06 * out)
        assert f.spring_base == f.track  # independent
        assert r.spring_base == rear.spring_base  # solid
        model = mass.model(of, state)
        np.testing.assert_allclose(model.track[:, 0], (f.track, r.track))
        np.testing.assert_allclose(model.spring_base[:, 0], (f.spring_base, r.spring_base))


def test_a_wider_track_is_the_vehicle_built_so():
    """Against the same vehicle with the wider track on the scales."""
    of = replace(job(CREW_CAB), loads=(), change=Change(wheel_offset_rear=0.03))
    wide = replace(of.vehicle, rear=replace(of.vehicle.rear, track=of.vehicle.rear.track + 0.06))
    (moved,) = roll.results(of, only=("as_used",))
    (built,) = roll.results(replace(of, vehicle=wide, change=Change()), only=("as_used",))
    assert moved.tip_over_threshold == pytest.approx(built.tip_over_threshold, rel=1e-9)
    assert moved.secant_roll_gradient == pytest.approx(built.secant_roll_gradient, rel=1e-9)
    (narrow,) = roll.results(of, only=("unladen",))
    assert moved.tip_over_threshold > narrow.tip_over_threshold


def test_front_bar_replaces_the_one_on_the_vehicle():
    read = scenario.loads(changed(TEXT, 'front_bar = { roll_stiffness = "500 N*m/deg" }'), "a")
    own = read.job.vehicle.front.bar_roll_stiffness
    for state in states(read.job):
        front, _ = axles(read.job, state)
        wanted = math.degrees(500.0) if state.changed else own
        assert front.bar_roll_stiffness == pytest.approx(wanted)
        total = mass.model(read.job, state).roll_stiffness[0, 0]
        assert total == pytest.approx(wanted + front.auxiliary_roll_stiffness)


def test_a_front_bar_by_its_link_acts_over_the_new_track():
    lines = 'wheel_offset_front = "20 mm"\nfront_bar = {{ link_end_rate = "40 N/mm", {} }}'
    text = changed(TEXT, lines.format("installation_ratio = 0.6"))
    read = scenario.loads(text, "a").job
    assert read.vehicle.front.suspension is Suspension.INDEPENDENT
    track = read.vehicle.front.track + 0.04
    expected = 40e3 * 0.6**2 * track**2 / 2.0
    last, _ = axles(read, states(read)[-1])
    assert last.track == pytest.approx(track)
    assert last.bar_roll_stiffness == pytest.approx(expected)
    assert "40 N/mm" in read.change.front_bar_description


def test_independent_stops_go_out_with_the_wheel():
    read = replace(job(BOTH_INDEPENDENT), change=Change(wheel_offset_rear=0.02))
    last = states(read)[-1]
    _, rear = axles(read, last)
    assert rear.bump_stop.base == rear.track == read.vehicle.rear.track + 0.04


# ride height and local codes


def test_a_change_of_height_that_codes_may_ask_about_is_noted_in_every_output(capsys, tmp_path):
    text = TEXT.replace('suspension_lift_rear = "50 mm"', 'suspension_lift_rear = "65 mm"')
    assert text != TEXT
    notes = scenario.loads(text, "a").notes
    (note,) = (note for note in notes if "ride height changes" in note)
    assert note.startswith("rear: the ride height changes by 65 mm, over 50 mm")
    assert note.endswith("local codes decide, and some ask sooner")
    assert not any("ride height" in note for note in scenario.loads(TEXT, "a").notes)
    path = tmp_path / "a.toml"
    path.write_text(text, encoding="utf-8")
    for command in ("springs", "roll"):
        assert main([command, str(path), "--json"]) == 0
        record = json.loads(capsys.readouterr().out)
        assert note in record["notes"]
        if command == "springs":
            assert record["after_lift"] == list(AFTER_LIFT)


def test_the_bounds_of_the_note():
    rear = job(CREW_CAB).vehicle.rear
    travel = rear.bump_stop.gap + rear.rebound_limit.gap
    assert height_note(rear, Change(suspension_lift_rear=0.05), "rear") == ""
    assert height_note(rear, Change(suspension_lift_front=0.09), "rear") == ""
    high = height_note(rear, Change(suspension_lift_rear=0.03, tyre_radius=0.021), "rear")
    assert "by 51 mm, over 50 mm" in high
    assert "a third" not in high
    assert height_note(rear, Change(suspension_lift_rear=-0.051), "rear")
    short = replace(rear, bump_stop=replace(rear.bump_stop, gap=0.02))
    lost = height_note(short, Change(suspension_lift_rear=0.045), "rear")
    assert "over a third of the" in lost
    assert travel / 3.0 > 0.045
