"""Helper, lean at rest and tipping point by hand, and the picture beside the slider."""

import math
from dataclasses import replace

import pytest

from rollsim import roll
from rollsim.mass import UNLADEN
from rollsim.page import asking
from rollsim.page.numbers import read
from rollsim.reader_units import READER_UNITS, UnitSystem
from rollsim.teaching import effects, leaning, questions, worksheet
from rollsim.teaching.board import Board
from rollsim.teaching.effects import Effect
from rollsim.teaching.hand import numbers_of, solve
from rollsim.teaching.slips import Outcome, Slip
from rollsim.teaching.tipping import steps, tipping
from rollsim.vehicle import STANDARD_GRAVITY as G
from rollsim.vehicle import Change
from tests.builders import job
from tests.test_helper_by_hand import CASE
from tests.test_teaching import (
    CREW_CAB,
    NAMES,
    PLAIN,
    QUANTITY,
    STATES,
    follow,
    linear,
    lines,
    work_again,
)

ALL = [*((job(path), name) for path, name in STATES), (CASE, "work week"), (CASE, "touring")]
EVERY = pytest.mark.parametrize(
    ("given", "name"), ALL, ids=[*NAMES, "case-work week", "case-touring"]
)


def asked(given, name, system=UnitSystem.METRIC):
    return {one.title: one for one in questions.asked(given, name, READER_UNITS[system])}


def test_the_helper_question_worked_by_pencil():
    """3147.03 N more on one spring of 36 N/mm, 60 N/mm more past 55 mm."""
    found = asked(CASE, "work week")["Helper, rear"]
    assert found.unit == "mm"
    assert found.right == pytest.approx((3147.03 + 60.0 * 55.0) / 96.0, abs=1e-3)
    slips = {
        Slip.HELPER_LEFT_OUT: 3147.03 / 36.0,
        Slip.NO_GAP: 3147.03 / 96.0,
        Slip.WHOLE_AXLE: (2.0 * 3147.03 + 60.0 * 55.0) / 96.0,
    }
    assert found.slips == pytest.approx(slips, abs=1e-3)
    assert [s.unit for s in found.steps] == ["N", "m", "N/m"]
    # 814.6 N on touring days: 22.6 mm, short of the gap, so no helper can be forgotten.
    short = asked(CASE, "touring")["Helper, rear"]
    assert short.right == pytest.approx(22.627, abs=1e-3)
    assert set(short.slips) == {Slip.NO_GAP, Slip.WHOLE_AXLE}
    inches = asked(CASE, "work week", UnitSystem.IMPERIAL)["Helper, rear"]
    assert inches.right == pytest.approx(found.right / 25.4)


def test_the_lean_at_rest_worked_by_pencil():
    """600 kg at 0.15 m of 2355 kg sprung: W y = 882.6 N·m over K net 106 439, W d 12 359 N·m."""
    found = asked(CASE, "work week")["Lean at rest"]
    right = math.degrees(90.0 * G / 106439.0)
    assert found.right == pytest.approx(right, rel=1e-5)
    by_hand = solve(numbers_of(CASE, "work week"))
    net = by_hand.net_stiffness
    slips = {
        Slip.RADIANS: 90.0 * G / net,
        Slip.GRAVITY_LEFT_OUT: right * net / (net + by_hand.moment),
        Slip.ONLY_THE_LOAD: right * 2355.0 / 600.0,
    }
    assert found.slips == pytest.approx(slips, rel=1e-4)
    assert "to the left" in found.steps[-1].shop


@pytest.mark.parametrize("gradient", [3.0, 6.0, 8.5])
def test_the_tipping_point_is_the_textbooks_where_wheels_weigh_nothing(gradient):
    """(t / 2h) / [1 + φ (1 − h_r/h)] [gillespie], from memory: 6 deg/g and h_r/h 0.5 give 0.950."""
    axle = replace(PLAIN.front, unsprung_mass=1e-9, roll_centre_height=0.35, tyre_rate=math.inf)
    stiff = 1500.0 * 0.35 * G * (1.0 / math.radians(gradient) + 1.0)
    axle = replace(axle, spring_rate=0.0, bar_stiffness=0.5 * stiff)
    numbers = replace(PLAIN, cg_height=0.70, front=axle, rear=axle)
    found = tipping(numbers, solve(numbers))
    factor = 1.0 / (1.0 + math.radians(gradient) * 0.5)
    assert found.upright == pytest.approx(1.5 / 1.4)
    assert found.at == pytest.approx(1.5 / 1.4 * factor, rel=1e-9)
    if gradient == 6.0:
        assert factor == pytest.approx(0.950, abs=5e-4)


def test_an_offset_takes_it_off_the_half_track_and_names_the_bend():
    """Rigid: (t/2 − y)/h, in the bend away from the load."""
    rigid = replace(PLAIN.front, bar_stiffness=1e15, tyre_rate=math.inf, unsprung_mass=0.0)
    for left, bend in ((0.1, "right"), (-0.1, "left")):
        numbers = replace(PLAIN, cg_left=left, front=rigid, rear=rigid)
        found = tipping(numbers, solve(numbers))
        assert found.at == pytest.approx((0.75 - 0.1) / 0.85, rel=1e-6)
        assert found.bend == bend
        last = list(steps(Board(), numbers, solve(numbers)))[-1]
        assert f"in a {bend} bend" in last.shop
    assert tipping(PLAIN, solve(PLAIN)).bend == ""


def test_the_full_model_tips_in_the_same_bend_and_not_far_off():
    """On tyres that hold, without stops; the hand figure keeps angles small."""
    plain = linear(job(CREW_CAB).vehicle)
    by_hand = tipping(numbers_of(plain, UNLADEN), solve(numbers_of(plain, UNLADEN)))
    model = roll.results(plain, only=(UNLADEN,))[0].tip_over_threshold / G
    assert by_hand.at == pytest.approx(model, rel=0.08)
    assert "right bend" in asked(CASE, "work week")["Tipping point"].words
    # The box stands left: the right bend, mirrored a left one, leans further and tips before.
    right = roll.results(CASE, (0.5 * G,), only=("work week",), mirrored=True)[0].curve[0]
    left = roll.results(CASE, (0.5 * G,), only=("work week",))[0].curve[0]
    assert right.roll_angle > left.roll_angle
    assert min(right.wheel_loads) < min(left.wheel_loads)


@EVERY
def test_every_loading_is_asked_what_it_has(given, name):
    found, numbers = asked(given, name), numbers_of(given, name)
    helpers = [
        f"Helper, {axle}"
        for axle, one in zip(("front", "rear"), numbers.axles, strict=True)
        if one.sits and one.sits.more_load
    ]
    aside = abs(math.degrees(solve(numbers.alike).lean_at_rest)) >= 0.1 and numbers.cg_left != 0.0
    assert list(found) == [*helpers, *(["Lean at rest"] if aside else []), "Tipping point"]
    for one in found.values():
        answer = one.steps[1 if one.title in helpers else -1]
        assert to_reader(answer.value, one) == pytest.approx(one.right, rel=1e-9)
        assert f"{one.right:.{one.decimals}f}" not in one.words + one.hint


def to_reader(value, question):
    if question.unit == "deg":
        return math.degrees(value)
    return value * 1000.0 if question.unit == "mm" else value / G


@EVERY
def test_a_slip_at_a_further_question_takes_no_others_name(given, name):
    for one in asked(given, name).values():
        for slip, figure in one.slips.items():
            room = 0.5 * 10.0**-one.decimals
            text = f"{figure:.{one.decimals}f}"  # as the key prints it
            verdict, typed = asking.judged(asking.of(one), read(text)), float(text)
            if verdict.outcome is Outcome.SLIP:
                assert verdict.slips == (slip,)
            elif verdict.outcome is Outcome.SEVERAL:
                assert slip in verdict.slips
            elif verdict.outcome is Outcome.RIGHT:
                assert abs(typed - one.right) <= room + 0.02 * abs(one.right)
            else:
                assert typed == 0.0  # 0.00 deg is the rounding of no figure


@EVERY
def test_the_right_answer_is_right_as_the_key_prints_it(given, name):
    for one in asked(given, name).values():
        typed = read(f"{one.right:.{one.decimals}f}")
        assert asking.judged(asking.of(one), typed).outcome is Outcome.RIGHT


def test_a_whole_figure_may_be_half_a_unit_off_and_no_more():
    """15.65 mm: the key prints 16, 2.2 % off; 17 rounds nothing that is near."""
    one = replace(asked(CASE, "work week")["Helper, rear"], right=15.65, slips={})
    found = [asking.judged(asking.of(one), read(typed)).outcome for typed in ("16", "15", "17")]
    assert found == [Outcome.RIGHT, Outcome.NEITHER, Outcome.NEITHER]


def test_a_typed_zero_is_a_digit():
    """0.80 g for 0.85 is 6 % off; 0.8 is 0.85 in one digit."""
    one = replace(asked(CASE, "work week")["Tipping point"], slips={})
    assert one.right == pytest.approx(0.8496, abs=5e-5)
    found = [asking.judged(asking.of(one), read(typed)).outcome for typed in ("0.80", "0.8")]
    assert found == [Outcome.NEITHER, Outcome.RIGHT]


@pytest.mark.parametrize("system", list(UnitSystem))
@EVERY
def test_the_lines_to_the_tipping_point_can_be_worked_from_the_board(given, name, system):
    follow(given, name, system)
    units, numbers = READER_UNITS[system], numbers_of(given, name)
    board = lines(given, name, system)
    found = tuple(steps(Board(units), numbers, solve(numbers)))
    work_again(found)
    rows = worksheet.given(given, name, units)
    texts = [text for row in rows for text in (row.iso, row.front, row.rear)]
    texts += [s.result for s in board]
    known = {quantity for text in texts for quantity in QUANTITY.findall(text)}
    for step in found:
        needed = set(QUANTITY.findall(step.numbers.replace("57.3 deg/rad", "")))
        assert needed <= known, step
        known.update(QUANTITY.findall(step.result))


@pytest.mark.parametrize(
    ("given", "name"), [c for c in ALL if numbers_of(*c).cg_left], ids=lambda x: str(x)[:9]
)
def test_each_bend_is_named_where_an_offset_parts_them(given, name):
    """Within 6 % of the full model's two turns; half of that the hand is off without an offset."""
    found = {s.iso: s for s in lines(given, name, UnitSystem.METRIC)}
    for bend, turned in (("left", False), ("right", True)):
        step = found[f"roll angle, {bend} bend"]
        model = roll.results(given, (0.4 * G,), only=(name,), mirrored=turned)[0]
        assert step.value == pytest.approx(model.curve[0].roll_angle, rel=0.06)
        assert f"in a {bend} bend" in step.shop
        assert f"to the {'right' if bend == 'left' else 'left'}" in step.shop


def test_no_bend_is_named_where_both_are_alike():
    board = lines(job(CREW_CAB), UNLADEN, UnitSystem.METRIC)
    assert not any("bend" in s.shop + s.formula for s in board)
    assert "bend" not in asked(job(CREW_CAB), UNLADEN)["Tipping point"].words


LOADED = replace(job(CREW_CAB), change=Change(suspension_lift_rear=0.02))


@pytest.mark.parametrize("lever", effects.levers(LOADED), ids=lambda x: x.words)
def test_beside_the_slider_stands_the_vehicle_so_changed(lever):
    """The full model of the changed vehicle, for all that its file has as one number."""
    curve = effects.curve(LOADED, "touring", lever)
    now, last = curve.percents.index(0), len(curve.values) - 1
    still, moved = leaning.points(LOADED, "touring", curve, now=now, at=last)
    before = roll.results(LOADED, (0.4 * G,), only=("touring",))[0].curve[0]
    assert still.roll_angle == pytest.approx(before.roll_angle, rel=1e-9)
    assert still.wheel_loads == pytest.approx(before.wheel_loads, rel=1e-9)
    assert moved.roll_angle != pytest.approx(still.roll_angle, rel=1e-3)
    if lever.effect not in (Effect.SPRING_RATE, Effect.TYRE):
        other = leaning.changed(LOADED, "touring", curve, at=last)
        after = roll.results(other, (0.4 * G,), only=("touring",))[0].curve[0]
        assert moved.roll_angle == pytest.approx(after.roll_angle, rel=1e-9)
        assert moved.arch_rise == pytest.approx(after.arch_rise, abs=1e-9)
    else:
        assert leaning.changed(LOADED, "touring", curve, at=last) == LOADED


def test_where_it_tips_before_there_is_no_point():
    lever = effects.levers(LOADED)[0]
    curve = effects.curve(LOADED, "touring", lever)
    high = replace(curve, values=(*curve.values[:-1], 3.0))
    assert leaning.points(LOADED, "touring", high, now=30, at=len(high.values) - 1)[1] is None
