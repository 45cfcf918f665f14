"""Class codes, worksheets with their key, and the lean test in the bay."""

import math
import re
from dataclasses import replace
from html import unescape

import pytest

from rollsim import mass, roll, scenario
from rollsim.mass import UNLADEN
from rollsim.reader_units import READER_UNITS, UnitSystem
from rollsim.teaching import bay, class_code, worksheet
from rollsim.teaching.bay import LeanTest
from rollsim.teaching.board import Part
from rollsim.teaching.hand import numbers_of, solve
from rollsim.teaching.working import model_gradient, written
from rollsim.teaching.worksheet import WrongPassphrase
from rollsim.vehicle import STANDARD_GRAVITY as G
from rollsim.vehicle import Load, Suspension, Vehicle
from tests.builders import SCENARIOS, job

WORD = "leaf springs squeak"
CODE = class_code.issue("Autumn, Tuesday", WORD)
CREW_CAB = next(path for path in SCENARIOS if path.stem == "crew-cab-touring")
SHIPPED = [path for path in SCENARIOS if path.parent.name == "scenarios"]


def test_only_the_passphrase_opens_its_code():
    assert class_code.opens(CODE, WORD)
    assert not class_code.opens(CODE, WORD + " ")
    assert not class_code.opens(CODE, "")
    assert not class_code.opens(CODE.replace("tuesday", "monday"), WORD)
    assert not class_code.opens("autumn", WORD)
    assert "leaf" not in CODE
    assert class_code.is_code(CODE)
    assert class_code.issue("autumn tuesday", "another phrase") != CODE


@pytest.mark.parametrize(
    ("name", "word", "told"),
    [
        ("…", WORD, "class name: found '…'; give 1 to 40 letters a-z or figures"),
        ("a" * 41, WORD, "give 1 to 40 letters"),
        ("autumn", "short", "passphrase: found 5 characters; give at least 8"),
    ],
)
def test_what_makes_no_code_is_told(name, word, told):
    with pytest.raises(ValueError, match=re.escape(told)):
        class_code.issue(name, word)


@pytest.mark.parametrize(
    ("code", "number", "told"),
    [
        ("autumn", 1, "class code: found 'autumn'"),
        ("<b>-AAAAAAAA", 1, "class code: found"),
        (CODE, 0, "apprentice: found 0; allowed 1 to 99"),
        (CODE, 100, "apprentice: found 100"),
    ],
)
def test_what_makes_no_exercise_is_told(code, number, told):
    with pytest.raises(ValueError, match=re.escape(told)):
        class_code.exercise(job(CREW_CAB), code, number)


def test_everyone_has_their_own_numbers_and_gets_them_again():
    code = "autumn-AAAAAAAA"
    given = [class_code.exercise(job(CREW_CAB), code, n) for n in range(1, 31)]
    assert given[4] == class_code.exercise(job(CREW_CAB), code, 5)
    answers = {round(solve(numbers_of(one, UNLADEN)).roll_gradient, 12) for one in given}
    assert len(answers) == len(given)
    other = class_code.exercise(job(CREW_CAB), "autumn-AAAAAAAB", 5)
    assert replace(other.vehicle, name="") != replace(given[4].vehicle, name="")
    # Our own output, pinned: a key printed on another machine has to fit this sheet.
    first = given[0].vehicle
    assert (first.front_axle_mass, first.rear_axle_mass) == (1160.0, 855.0)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_exercise_vehicles_are_rounded_and_near_the_original(path):
    original = job(path).vehicle
    for number in (1, 2, 50, 99):
        v = class_code.exercise(job(path), CODE, number).vehicle
        for axle, old in ((v.front, original.front), (v.rear, original.rear)):
            assert axle.track * 200.0 == pytest.approx(round(axle.track * 200.0), abs=1e-9)
            assert axle.track == pytest.approx(old.track, rel=0.045)
            assert axle.unsprung_mass % 5.0 == 0.0
            assert axle.spring_base <= axle.track
            assert (axle.spring_base == axle.track) == (old.spring_base == old.track)
        assert v.cg_height == pytest.approx(original.cg_height, rel=0.065)
        exercise = class_code.exercise(job(path), CODE, number)
        assert roll.unsettled(exercise) == ()
        by_hand = solve(numbers_of(exercise, UNLADEN)).roll_gradient
        assert by_hand == pytest.approx(
            model_gradient(without_side_give(exercise), UNLADEN), rel=5e-3
        )
        assert 0.96 < by_hand / model_gradient(exercise, UNLADEN) < 1.0  # side give leans it more


def without_side_give(job):
    """The hand working has none; *See why* says how much of the lean it is."""
    stiff = {
        name: replace(axle, tyre=replace(axle.tyre, lateral_rate=None))
        for name, axle in (("front", job.vehicle.front), ("rear", job.vehicle.rear))
    }
    return replace(job, vehicle=replace(job.vehicle, **stiff))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_no_number_of_a_sheet_is_one_of_the_vehicle_that_it_varies(path):
    original = job(path).vehicle
    axles = (original.front, original.rear)
    rates = [
        float(axle.spring.curve(load).tangent_rate(0.0))
        for axle, load in zip(axles, mass.sprung_load(job(path)), strict=True)
    ]
    for number in range(1, class_code.LARGEST_NUMBER + 1):
        v = class_code.exercise(job(path), CODE, number).vehicle
        pairs = [(getattr(v, name), getattr(original, name)) for name in WHOLE]
        for axle, old, rate in zip((v.front, v.rear), axles, rates, strict=True):
            pairs += [(getattr(axle, name), getattr(old, name)) for name in OF_AXLE]
            pairs += [(axle.tyre.vertical_rate, old.tyre.vertical_rate), (axle.spring.rate, rate)]
        assert all(ours != pytest.approx(old, rel=5e-4) for ours, old in pairs if old)


WHOLE = ("wheelbase", "front_axle_mass", "rear_axle_mass", "cg_height")
OF_AXLE = (
    *("track", "spring_base", "unsprung_mass", "unsprung_cg_height", "roll_centre_height"),
    *("auxiliary_roll_stiffness", "bar_roll_stiffness"),
)


def test_a_small_number_is_moved_up_and_not_below_zero():
    """2.4 N·m/deg, 20 % less by half: to a step of 5 it is 0, less than half a step away."""
    value = 2.4 / math.radians(1.0)
    step = {"unit": "N·m/deg", "step": 5}
    for share, moved in ((-0.5, 5.0), (0.5, 5.0)):
        found = class_code._rounded(value, 0.2, iter([share]), **step)
        assert found * math.radians(1.0) == pytest.approx(moved)
    # Where there is room, and where the number is below zero itself, it goes the way it went.
    for value, moved in ((0.1, 0.095), (-0.02, -0.025)):
        found = class_code._rounded(value, 0.01, iter([-0.5]), unit="mm", step=5)
        assert found == pytest.approx(moved)


def text(html: str) -> str:
    return unescape(re.sub(r"<[^>]+>", "\n", html))


def typed(vehicle: Vehicle) -> str:
    """A scenario with what stands on the sheet, as it stands there."""

    def axle(name, one):
        solid = one.suspension is Suspension.SOLID_AXLE
        rate = f"{one.spring.rate:.0f} N/m"
        return f"""[{name}]
suspension = "{one.suspension.value}"
track = "{one.track:.3f} m"
{f'spring_base = "{one.spring_base:.3f} m"' if solid else ""}
unsprung_mass = "{one.unsprung_mass:.0f} kg"
unsprung_cg_height = "{one.unsprung_cg_height:.3f} m"
roll_centre_height = "{one.roll_centre_height:.3f} m"
roll_centre_travel_ratio = {one.roll_centre_travel_ratio}
auxiliary_roll_stiffness = "{math.radians(one.auxiliary_roll_stiffness):.0f} N*m/deg"
bar = {{ roll_stiffness = "{math.radians(one.bar_roll_stiffness):.0f} N*m/deg" }}
spring = {{ {"rate" if solid else "wheel_rate"} = "{rate}" }}
tyre = {{ vertical_rate = "{one.tyre.vertical_rate:.0f} N/m" }}
"""

    return f"""title = "as on the sheet"
[vehicle]
name = "as on the sheet"
wheelbase = "{vehicle.wheelbase:.3f} m"
front_axle_mass = "{vehicle.front_axle_mass:.0f} kg"
rear_axle_mass = "{vehicle.rear_axle_mass:.0f} kg"
cg_height = "{vehicle.cg_height:.3f} m"
{axle("front", vehicle.front)}
{axle("rear", vehicle.rear)}
"""


def test_whoever_types_a_sheets_numbers_gets_its_answer_as_is_said():
    """The passphrase keeps the key and nothing else: the page says so, and it is so."""
    sheet = worksheet.sheet(job(CREW_CAB), CODE, 7)
    found = scenario.loads(typed(class_code.exercise(job(CREW_CAB), CODE, 7).vehicle), "typed.toml")
    by_hand = solve(numbers_of(found.job, UNLADEN)).roll_gradient
    assert f"{math.degrees(by_hand) * G:.2f} deg/g" == sheet.by_hand
    assert "types" in class_code.__doc__


def test_a_sheet_has_its_own_load_and_helper_for_the_further_questions():
    sheets = [worksheet.sheet(job(CREW_CAB), CODE, number) for number in range(1, 31)]
    shown = text(worksheet.worksheets(job(CREW_CAB), CODE, [7]))
    for number, sheet in enumerate(sheets, start=1):
        loaded = class_code.loaded(job(CREW_CAB), CODE, number)
        assert loaded == class_code.loaded(job(CREW_CAB), CODE, number)
        titles = [one.title for one in sheet.questions]
        assert titles == ["Helper, rear", "Lean at rest", "Tipping point"]
        assert [row.shop for row in sheet.more] == [
            *("helper, or bend in a measured spring", "it works below", "load, put on")
        ]
        assert not {row.shop for row in sheet.given} & {row.shop for row in sheet.more}
        assert loaded.vehicle.rear.spring.rate == (
            class_code.exercise(job(CREW_CAB), CODE, number).vehicle.rear.spring.rate
        )
    key = text(worksheet.key(job(CREW_CAB), CODE, [7], passphrase=WORD))
    for one in sheets[6].questions:
        assert one.words in shown
        for step in one.steps:
            assert step.numbers in key
            assert step.numbers not in shown
        for row in one.slips:
            assert row.words in key
    # By hand and by the model it tips at unlike figures, so the key has both.
    model = roll.results(class_code.loaded(job(CREW_CAB), CODE, 7), only=("as_used",))[0]
    assert f"Full model: tipping point {model.tip_over_threshold / G:.2f} g." in key
    assert (
        f"Full model: lean at rest, + to the right {math.degrees(model.static_lean):.2f} deg."
        in key
    )
    assert "Full model" not in shown
    ways = {sheet.questions[0].steps[1].formula[:10] for sheet in sheets}
    assert ways == {"δ = (F mor", "δ = F more"}  # whether it touches has to be looked at


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_the_sheet_of_the_vehicle_in_work_holds_its_numbers_and_no_answer(path):
    name = mass.states(job(path))[-1].name
    shown = text(worksheet.one_page(job(path), name))
    lines = {line.strip() for line in shown.splitlines()}
    numbers = {text for row in worksheet.given(job(path), name) for text in (row.front, row.rear)}
    assert numbers <= lines
    board = written(job(path), name, solve(numbers_of(job(path), name)))
    for step in board:
        assert (step.shop in shown) == (step.part is not Part.TRANSFER)
        assert step.result not in lines - numbers
        assert step.numbers not in shown
    assert "class" not in shown.lower()


@pytest.mark.parametrize("system", list(UnitSystem))
def test_the_worksheet_holds_the_numbers_and_no_answer(system):
    units = READER_UNITS[system]
    found = worksheet.sheet(job(CREW_CAB), CODE, 7, units=units)
    shown = text(worksheet.worksheets(job(CREW_CAB), CODE, [7], units=units))
    lines = {line.strip() for line in shown.splitlines()}
    for row in found.given:
        assert {row.front, row.rear} <= lines
    steps = [step for part in found.parts for step in part.steps]
    assert len(steps) > 20
    for step in steps:
        assert step.shop in shown
        assert step.formula in shown
        assert step.result not in lines
        assert step.numbers not in shown
    assert found.by_hand not in shown


def test_the_key_is_another_document_and_needs_the_passphrase():
    with pytest.raises(WrongPassphrase, match="not the one that this class code was made with"):
        worksheet.key(job(CREW_CAB), CODE, [7], passphrase="leaf springs rust")
    found = worksheet.sheet(job(CREW_CAB), CODE, 7)
    shown = text(worksheet.key(job(CREW_CAB), CODE, [7], passphrase=WORD))
    for part in found.parts:
        for step in part.steps:
            assert re.sub(" (?=[=≈] )", "\n", step.result) in shown
            assert step.numbers in shown
    for row in found.slips:
        assert row.figure in shown
        assert row.words in shown
    assert WORD not in shown


def test_the_sheets_ask_for_nothing_from_outside_and_escape_what_is_typed():
    numbers = [1, 2, 3]
    for html in (
        worksheet.worksheets(job(CREW_CAB), CODE, numbers),
        worksheet.key(job(CREW_CAB), CODE, numbers, passphrase=WORD),
    ):
        assert not re.search(r"https?:|//|<script|<link|<img|@import|url\(", html)
        assert html.count("<section ") == len(numbers)
        for number in numbers:
            assert f'content: "sheet {number}, class {CODE}"' in html
    name = "<script>alert(1)</script>"
    page = worksheet._environment().from_string("{{ name }}").render(name=name)
    assert "<script>" not in page


@pytest.mark.parametrize(
    ("stem", "wider"),
    [("crew-cab-touring", "spring base"), ("independent-rear-with-bar", "track")],
)
def test_what_is_asked_in_words_fits_the_axle_and_the_key_has_its_figures(stem, wider):
    given = job(next(path for path in SHIPPED if path.stem == stem))
    numbers = numbers_of(class_code.exercise(given, CODE, 7), UNLADEN)
    k, b = numbers.front.spring_rate, numbers.rear.spring_base
    stiffer = replace(numbers, front=replace(numbers.front, spring_rate=1.1 * k))
    rear = replace(numbers.rear, spring_base=1.1 * b)
    if wider == "track":
        rear = replace(rear, track=1.1 * b)
    found = [solve(one).roll_gradient for one in (stiffer, replace(numbers, rear=rear))]
    front, back = (f"{math.degrees(x) * G:.2f} deg/g" for x in found)
    sheet = worksheet.sheet(given, CODE, 7)
    assert f"or 10 % more {wider} at the rear?" in sheet.question
    assert f"at the front: {front}; 10 % more {wider} at the rear: {back}." in sheet.answer
    assert sheet.question in text(worksheet.worksheets(given, CODE, [7]))
    assert sheet.answer not in text(worksheet.worksheets(given, CODE, [7]))
    assert sheet.answer in text(worksheet.key(given, CODE, [7], passphrase=WORD))


def test_sheets_are_printed_on_the_paper_of_the_reader():
    for system, paper in ((UnitSystem.METRIC, "A4"), (UnitSystem.IMPERIAL, "letter")):
        html = worksheet.worksheets(job(CREW_CAB), CODE, [1], units=READER_UNITS[system])
        assert f"size: {paper};" in html


TEST = LeanTest(mass=160.0, offset=0.75, height=0.9, behind_front_axle=1.6)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
def test_the_lean_test_is_the_static_lean_of_that_load(path):
    name = mass.states(job(path))[-1].name
    found = bay.predict(job(path), name, TEST)
    load = Load("x", 160.0, 1.6, height=0.9, left_of_centreline=0.75)
    without, with_it = (
        roll.results(given, only=(name,))[0].static_lean
        for given in (job(path), replace(job(path), loads=(*job(path).loads, load)))
    )
    assert found.at_rest == pytest.approx(without, abs=1e-12)
    assert found.to_left == pytest.approx(without - with_it, rel=1e-9)
    assert found.to_left > 0.0
    assert found.moment == pytest.approx(160.0 * G * 0.75)
    track = job(path).vehicle.rear.track
    assert found.arch_difference == pytest.approx(track * math.sin(found.lean), rel=1e-3)


def test_a_plain_vehicle_leans_as_by_hand():
    exercise = class_code.exercise(job(CREW_CAB), CODE, 3)
    found = bay.predict(exercise, UNLADEN, replace(TEST, mass=20.0))
    assert found.to_left == pytest.approx(found.to_right, rel=1e-9)
    assert found.lean == pytest.approx(found.by_hand, rel=0.01)


def test_the_mean_of_both_sides_is_compared():
    found = bay.predict(job(CREW_CAB), "touring", TEST)
    result = bay.compare(found, 1.2 * found.lean, 1.0 * found.lean)
    assert result.ratio == pytest.approx(1.1)
    assert result.roll_stiffness == pytest.approx(found.roll_stiffness / 1.1)
    assert result.one_sided == pytest.approx(0.1 * found.lean)
    with pytest.raises(ValueError, match="give the change towards the mass as positive"):
        bay.compare(found, -found.lean, -found.lean)


@pytest.mark.parametrize(
    ("factor", "told"), [(1.0, ""), (0.7, "stick"), (1.4, "softer than typed")]
)
def test_a_difference_is_given_its_likely_causes(factor, told):
    found = bay.predict(job(CREW_CAB), "touring", TEST)
    result = bay.compare(found, factor * found.lean, factor * found.lean)
    causes = " ".join(bay.likely_causes(result))
    assert told in causes
    assert bool(causes) == bool(told)
