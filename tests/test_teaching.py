"""The trainer's working: the hand formula in its limit, what it misses, named mistakes, effects."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass, roll
from rollsim.mass import UNLADEN
from rollsim.reader_units import READER_UNITS, UnitSystem
from rollsim.springs import LinearSpring
from rollsim.teaching import effects, mistakes, worksheet
from rollsim.teaching.beyond import Beyond
from rollsim.teaching.board import Part, Step
from rollsim.teaching.effects import Effect, Lever, Where
from rollsim.teaching.hand import HandAxle, HandNumbers, numbers_of, solve
from rollsim.teaching.mistakes import Mistake, Outcome, judge
from rollsim.teaching.working import model_gradient, working, written
from rollsim.vehicle import STANDARD_GRAVITY as G
from rollsim.vehicle import Change, Job, Load, Vehicle
from tests.builders import SCENARIOS, job

STATES = [(path, state.name) for path in SCENARIOS for state in mass.states(job(path))]
NAMES = [f"{path.stem}-{name}" for path, name in STATES]
CREW_CAB = next(path for path in SCENARIOS if path.stem == "crew-cab-touring")


def linear(vehicle: Vehicle, *, tyre_rate: float | None = None) -> Job:
    """The bare vehicle with linear springs, no stops, and tyres that are firm sideways."""

    def plain(axle):
        rate = axle.tyre.vertical_rate if tyre_rate is None else tyre_rate
        return replace(
            axle,
            spring=LinearSpring(40e3),
            bump_stop=None,
            rebound_limit=None,
            tyre=replace(axle.tyre, vertical_rate=rate, lateral_rate=None),
        )

    front, rear = plain(vehicle.front), plain(vehicle.rear)
    return Job(replace(vehicle, cg_left=None, front=front, rear=rear))


def lines(given: Job, name: str, system: UnitSystem) -> tuple[Step, ...]:
    """The board alone, without the full model."""
    by_hand = solve(numbers_of(given, name))
    return written(given, name, by_hand, units=READER_UNITS[system])


# 1500 kg at 0.8 m, roll centres 0.3 m, b 1.0 m, k 40 N/mm, bar 10 kN·m/rad, tyres 250 N/mm at
# t 1.5 m, unsprung 150 kg at 0.35 m; both axles alike.
AXLE = HandAxle(True, 1.5, 1.0, 40e3, 10e3, 0.0, 250e3, 0.3, 150.0, 0.35, 0.5)
PLAIN = HandNumbers(1500.0, 0.8, AXLE, AXLE)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
def test_with_stiff_tyres_the_hand_formula_is_the_model(path):
    plain = linear(job(path).vehicle, tyre_rate=1e13)
    by_hand = solve(numbers_of(plain, UNLADEN), 1e-4)
    found = roll.results(plain, only=(UNLADEN,))[0]
    assert by_hand.roll_gradient == pytest.approx(found.roll_gradient, rel=1e-6)
    assert by_hand.front_share == pytest.approx(found.front_load_transfer_share, abs=1e-5)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
def test_with_soft_tyres_only_the_weight_over_the_leaning_axle_is_missing(path):
    plain = linear(job(path).vehicle)
    numbers = numbers_of(plain, UNLADEN)
    by_hand = solve(numbers)

    def less(axle, found):  # K_t − g (m h + m_u h_u), as a rate of the tyres
        return replace(axle, tyre_rate=axle.tyre_rate - 2.0 * found.overturning / axle.track**2)

    exact = replace(
        numbers,
        front=less(numbers.front, by_hand.front),
        rear=less(numbers.rear, by_hand.rear),
    )
    model = model_gradient(plain, UNLADEN)
    assert solve(exact).roll_gradient == pytest.approx(model, rel=1e-7)
    assert 0.99 * model < by_hand.roll_gradient < model


def test_the_textbook_form_without_tyres():
    numbers = replace(
        PLAIN, front=replace(AXLE, tyre_rate=math.inf), rear=replace(AXLE, tyre_rate=math.inf)
    )
    weight_arm = 1500.0 * G * 0.5
    assert solve(numbers).roll_gradient == pytest.approx(1500.0 * 0.5 / (60e3 - weight_arm))


@pytest.mark.parametrize(("path", "name"), STATES, ids=NAMES)
def test_what_is_missed_leads_from_the_hand_figure_to_the_model(path, name):
    found = working(job(path), name)
    model, by_hand = found.model, found.by_hand.roll_gradient
    rest = len(Beyond) * math.radians(0.005) / G  # each effect left out is smaller than this
    total = by_hand + sum(m.roll_gradient for m in found.missed)
    assert total == pytest.approx(model.roll_gradient, abs=rest)
    if math.isfinite(model.secant_roll_gradient):
        secant = by_hand + sum(m.secant_roll_gradient for m in found.missed)
        assert secant == pytest.approx(model.secant_roll_gradient, abs=rest)


def test_only_what_the_vehicle_has_is_missed():
    given = linear(job(CREW_CAB).vehicle, tyre_rate=1e13)
    assert working(given, UNLADEN).missed == ()
    aside = Load("tools", 150.0, 2.8, height=1.0, left_of_centreline=0.5)
    stage = replace(
        given.vehicle.rear, spring=LinearSpring(40e3, stage_start=0.005, stage_rate=60e3)
    )
    loaded = replace(given, vehicle=replace(given.vehicle, rear=stage), loads=(aside,))
    met = {m.effect for m in working(loaded, "as_used").missed}
    assert Beyond.RATE_CHANGE in met
    assert not met & {Beyond.STOPS, Beyond.CONTACT_SHIFT}


@pytest.mark.parametrize(("path", "name"), STATES, ids=NAMES)
def test_the_steps_say_what_the_formula_gives(path, name):
    found = working(job(path), name)
    by_iso = {s.iso: s for s in found.steps}
    assert len(by_iso) == len(found.steps)
    state = next(s for s in mass.states(job(path)) if s.name == name)
    assert by_iso["sprung mass"].value == mass.sprung_mass(job(path), state).mass
    assert by_iso["roll gradient"].value == found.by_hand.roll_gradient
    assert by_iso["front load-transfer share"].value == found.by_hand.front_share
    change = job(path).change
    lifts = (change.suspension_lift_front, change.suspension_lift_rear, change.body_lift)
    lifted = any((*lifts, change.tyre_radius)) and state.changed != change.on_when_weighed
    springs = zip(mass.springs(job(path), state), mass.sprung_load(job(path)), strict=True)
    offset = abs(mass.sprung_mass(job(path), state).left) >= 0.0005
    shown = list(dict.fromkeys(s.part for s in found.steps))
    # Without a helper and an offset a working is no longer than the plain formula.
    longer = {Part.RIDE} if any(spring.curve(load).starts for spring, load in springs) else set()
    assert shown == [p for p in Part if p in shown]
    assert set(Part) - {Part.RAISED, Part.RIDE, Part.REST} <= set(shown)
    assert (Part.RAISED in shown) == lifted
    assert (Part.REST in shown) == offset
    assert {Part.RIDE} & set(shown) <= longer
    assert not any("nan" in s.numbers + s.result for s in found.steps)


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize(("path", "name"), STATES, ids=NAMES)
def test_the_numbers_put_in_give_the_result(path, name, system):
    """Each line is worked again from its printed numbers; what rounding leaves is under 1 %."""
    work_again(lines(job(path), name, system))


def work_again(found: tuple[Step, ...]) -> None:
    worked = 0
    for step in found:
        if step.numbers.endswith("on either side"):
            continue
        # Letters and their powers are units (a pound weighs a pound-force); the rest is arithmetic.
        sum_text = step.numbers.replace("m/s²", "").replace("\N{NARROW NO-BREAK SPACE}", "")
        sum_text = re.sub(
            r"\b(?:N|lbf|deg|kg|lb|in|m|rad|g)(?:[·/](?:m|in|rad|deg|mm|g))*", "", sum_text
        )
        sum_text = sum_text.replace("×", "*").replace("−", "-").replace("²", "**2")
        figure = re.match(r"[−\d.\N{NARROW NO-BREAK SPACE}]+", step.result)[0]
        figure = float(figure.replace("\N{NARROW NO-BREAK SPACE}", "").replace("−", "-"))
        last = 10.0 ** -(len(step.result.split(" ")[0].partition(".")[2]))
        assert re.fullmatch(r"[\d.()*/+\- ]+", sum_text), step.numbers
        assert eval(sum_text) == pytest.approx(figure, rel=0.01, abs=1.5 * last), step
        worked += 1
    assert worked > len(found) - 3


RAISED = Change(
    suspension_lift_front=0.040,
    suspension_lift_rear=0.055,
    tyre_radius=0.015,
    body_lift=0.050,
    body_lift_mass=900.0,
)
LIFTED = [
    (replace(job(CREW_CAB), change=RAISED), "touring"),
    (replace(job(CREW_CAB), change=replace(RAISED, on_when_weighed=True)), UNLADEN),
    (replace(job(CREW_CAB), change=Change(suspension_lift_rear=0.02)), "touring"),
    (replace(job(CREW_CAB), change=Change(tyre_radius=-0.01)), "touring"),
]
QUANTITY = re.compile(
    "[\\d.\N{NARROW NO-BREAK SPACE}]+ (?:N·m|lbf·in|N|lbf|kg|lb|m|in|deg|rad)[^ ,)]*"
)


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize(
    ("given", "name"),
    [*((job(path), name) for path, name in STATES), *LIFTED],
    ids=[*NAMES, "lifted", "lift-taken-off", "rear-lift", "smaller-tyres"],
)
def test_every_number_put_in_was_given_or_worked_out_before(given, name, system):
    """A pupil with the numbers and the board alone gets to the end."""
    follow(given, name, system)


def follow(given: Job, name: str, system: UnitSystem) -> None:
    rows = worksheet.given(given, name, READER_UNITS[system])
    shown = [text for row in rows for text in (row.iso, row.front, row.rear)]
    known = {found for text in shown for found in QUANTITY.findall(text)}
    shares = {text.split()[-1] for text in shown if text}
    for step in lines(given, name, system):
        if not step.numbers.endswith("on either side"):
            needed = step.numbers.replace("9.807 m/s²", "").replace("57.3 deg/rad", "")
            assert set(QUANTITY.findall(needed)) <= known, step
            assert set(re.findall(r"(?<![\d.])\d\.\d{3}(?= ×| \+|$)", needed)) <= shares, step
        known.update(QUANTITY.findall(step.result))
        shares.add(step.result)


@pytest.mark.parametrize(("given", "name"), LIFTED[:2], ids=["lifted", "lift-taken-off"])
def test_what_a_lift_raises_worked_by_hand(given, name):
    sign = 1.0 if name == "touring" else -1.0
    found = {s.iso: s for s in lines(given, name, UnitSystem.METRIC) if s.part is Part.RAISED}
    front, rear = given.vehicle.front, given.vehicle.rear
    centre = found["front roll centre height, ρ: its travel ratio"]
    ratio = front.roll_centre_travel_ratio
    assert centre.value == pytest.approx(
        front.roll_centre_height + sign * (ratio * 0.040 + 0.015), abs=1e-12
    )
    assert centre.formula == "h front = h on the scales + ρ · lift + more radius"
    assert found["rear unsprung CG height"].value == pytest.approx(
        rear.unsprung_cg_height + sign * 0.015, abs=1e-12
    )
    numbers = numbers_of(given, name)
    before = replace(given, change=Change(on_when_weighed=False))
    rise = 0.040 * numbers.front.share + 0.055 * numbers.rear.share + 0.015
    rise += 900.0 * 0.050 / numbers.sprung_mass
    bare = numbers_of(before, name).cg_height
    assert found["height of the sprung CG, lifted"].value == pytest.approx(bare + sign * rise)


RIGHT = 9.63399  # deg/g: (7354.99 + 524.60) / (54216.87 − 7354.99) × 57.2958


@pytest.mark.parametrize(
    ("mistake", "figure"),
    [
        # b 1.5 m: K susp 55000, in series 46003.7, N 445.1; (7355 + 890.3)/(92007.4 − 7355)
        (Mistake.TRACK_FOR_SPRING_BASE, 5.58067),
        (Mistake.TYRES_FORGOTTEN, 8.00474),  # 7355 / (60000 − 7355)
        (Mistake.ONE_SPRING, 14.74230),  # K susp 20000, in series 18672.2, N 180.7
        (Mistake.GRAVITY_LEFT_OUT, 8.32706),  # 7879.6 / 54216.87
        (Mistake.RADIANS, 0.168145),  # 7879.6 / 46861.9
        (Mistake.PER_METRE, 0.982394),  # 9.63399 / 9.80665
        (Mistake.HEIGHT_FOR_ARM, 16.59202),  # W · 0.8 m = 11768
        (Mistake.END_TO_END, 11.58784),  # K susp 25000, in series 22959.2, N 222.1
        (Mistake.AXLE_LEAN, 8.99259),  # 7355 / 46861.9
        (Mistake.DEGREES_IN_GRAVITY, -1.22951),  # 7879.6 / (946.26 − 7355)
        (Mistake.SIGN, -9.63399),
    ],
)
def test_each_mistake_gives_the_figure_worked_by_hand(mistake, figure):
    known = {m: math.degrees(x) * G for m, x in mistakes.figures(PLAIN).items()}
    assert math.degrees(solve(PLAIN).roll_gradient) * G == pytest.approx(RIGHT, abs=5e-5)
    assert known[mistake] == pytest.approx(figure, rel=1e-5)
    verdict = judge(figure, RIGHT, known)
    assert verdict.outcome is Outcome.MISTAKE
    assert verdict.mistakes[0] is mistake


def test_a_mistake_needs_something_to_mistake():
    independent = replace(AXLE, solid=False, spring_base=1.5, bar_stiffness=0.0)
    known = mistakes.figures(replace(PLAIN, front=independent, rear=independent))
    assert not {Mistake.TRACK_FOR_SPRING_BASE, Mistake.END_TO_END} & set(known)


def test_right_goes_before_a_mistake_that_gives_the_same():
    known = {Mistake.AXLE_LEAN: 5.1, Mistake.ONE_SPRING: 7.0, Mistake.END_TO_END: 7.05}
    assert judge(5.12, 5.2, known).outcome is Outcome.RIGHT
    assert judge(7.02, 5.2, known).mistakes == (Mistake.ONE_SPRING, Mistake.END_TO_END)
    assert judge(9.0, 5.2, known).outcome is Outcome.NEITHER
    assert judge(-5.2, 5.2, known).outcome is Outcome.NEITHER


@pytest.mark.parametrize(("path", "name"), STATES, ids=NAMES)
def test_degrees_for_radians_are_recognised_in_two_decimals(path, name):
    """Of 0.13 the last digit is worth 4 %."""
    numbers = numbers_of(job(path), name)
    known = {m: math.degrees(x) * G for m, x in mistakes.figures(numbers).items()}
    right = math.degrees(solve(numbers).roll_gradient) * G
    typed = float(f"{known[Mistake.RADIANS]:.2f}")
    found = judge(typed, right, known, rounded_by=mistakes.half_last_digit(typed))
    assert Mistake.RADIANS in found.mistakes


def test_rounding_makes_room_for_half_the_last_digit_and_no_more():
    known = {Mistake.RADIANS: 0.1346, Mistake.PER_METRE: 0.1338}
    told = judge(0.13, 5.2, known, rounded_by=mistakes.half_last_digit(0.13))
    assert told.mistakes == (Mistake.PER_METRE, Mistake.RADIANS)  # both fit: both are named
    for typed in (0.12, 0.14, 0.0):
        room = mistakes.half_last_digit(typed)
        assert judge(typed, 5.2, known, rounded_by=room).outcome is Outcome.NEITHER
    assert judge(0.13, 5.2, known).outcome is Outcome.NEITHER
    # A right answer stays right beside a mistake that lies as near, and one that rounds is right.
    near = {Mistake.AXLE_LEAN: 5.0}
    assert judge(5.1, 5.2, near, rounded_by=0.05).outcome is Outcome.RIGHT
    assert judge(1.5, 1.455, {}, rounded_by=0.05).outcome is Outcome.RIGHT


@pytest.mark.parametrize("lever", effects.levers(job(CREW_CAB)), ids=lambda x: x.words)
def test_a_curve_passes_through_the_vehicle_as_it_is(lever):
    found = effects.curve(job(CREW_CAB), "touring", lever)
    now = roll.results(job(CREW_CAB), only=("touring",))[0]
    at = np.interp(found.now, found.values, found.roll_gradients)
    if lever.effect is Effect.BAR and not found.now:
        at = found.roll_gradients[0]
    assert at == pytest.approx(now.roll_gradient, rel=1e-9)
    share = np.interp(found.now, found.values, found.front_shares)
    assert share == pytest.approx(now.front_load_transfer_share, rel=1e-9)


@pytest.mark.parametrize(
    ("lever", "change"),
    [
        (Lever(Effect.CG_HEIGHT, Where.WHOLE), "vehicle"),
        (Lever(Effect.TRACK, Where.FRONT), "front"),
        (Lever(Effect.SPRING_BASE, Where.REAR), "rear"),
        (Lever(Effect.ROLL_CENTRE, Where.REAR), "rear"),
        (Lever(Effect.BAR, Where.FRONT), "front"),
        (Lever(Effect.TYRE, Where.REAR), "rear"),
    ],
)
def test_a_curve_is_what_a_changed_vehicle_does(lever, change):
    given = replace(job(CREW_CAB), loads=(), change=Change())
    found = effects.curve(given, UNLADEN, lever)
    v, top = given.vehicle, found.values[-1]
    axle = getattr(v, change, None)
    fields = {
        Effect.TRACK: {"track": top, "spring_base": top},
        Effect.SPRING_BASE: {"spring_base": top},
        Effect.ROLL_CENTRE: {"roll_centre_height": top},
        Effect.BAR: {"bar_roll_stiffness": top},
    }
    if lever.effect is Effect.CG_HEIGHT:
        other = replace(v, cg_height=top)
    elif lever.effect is Effect.TYRE:
        tyre = replace(axle.tyre, vertical_rate=top)
        other = replace(v, **{change: replace(axle, tyre=tyre)})
    else:
        other = replace(v, **{change: replace(axle, **fields[lever.effect])})
    changed = model_gradient(replace(given, vehicle=other), UNLADEN)
    assert found.roll_gradients[-1] == pytest.approx(changed, rel=1e-9)
    assert changed != pytest.approx(model_gradient(given, UNLADEN), rel=1e-3)


@pytest.mark.parametrize(("path", "name"), STATES, ids=NAMES)
def test_ten_per_cent_more_of_each(path, name):
    found = effects.sensitivity(job(path), name)
    changes = {s.lever: s.gradient_change for s in found}
    assert changes[Lever(Effect.CG_HEIGHT, Where.WHOLE)] > 0.0
    sizes = [abs(s.gradient_change) for s in found]
    assert sizes == sorted(sizes, reverse=True)
    for s in found:
        curve = effects.curve(job(path), name, s.lever)
        if 10 in curve.percents:
            ten, none = (curve.roll_gradients[curve.percents.index(p)] for p in (10, 0))
            at = ten - none
            assert s.gradient_change == pytest.approx(at, rel=1e-6, abs=1e-9)
