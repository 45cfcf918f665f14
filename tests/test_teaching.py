"""The trainer's working: the hand formula in its limit, what it misses, named slips, effects."""

import math
import re
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass, roll
from rollsim.mass import UNLADEN
from rollsim.page.asking import Posed, judged
from rollsim.page.numbers import read
from rollsim.reader_units import READER_UNITS, UnitSystem
from rollsim.springs import LinearSpring
from rollsim.teaching import effects, slips, worksheet
from rollsim.teaching.beyond import Beyond
from rollsim.teaching.board import Part, Step
from rollsim.teaching.calculator import keyed
from rollsim.teaching.effects import Effect, Lever, Where
from rollsim.teaching.hand import HandAxle, HandNumbers, numbers_of, solve
from rollsim.teaching.slips import PART, Outcome, Slip, judge
from rollsim.teaching.working import model_gradient, working, written
from rollsim.vehicle import STANDARD_GRAVITY as G
from rollsim.vehicle import Change, Job, Load, Vehicle
from tests.builders import EVERY, SCENARIOS, job

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


# 1500 kg at 0.85 m, roll centres 0.3 m, b 1.2 m, k 40 N/mm, bar 12 kN·m/rad, tyres 250 N/mm at
# t 1.5 m, unsprung 200 kg at 0.35 m; both axles alike. A lift and larger tyres by 10 mm have put
# 80 mm on the CG, 10 mm on the roll centres and on the axles.
AXLE = HandAxle(
    *(True, 1.5, 1.2, 40e3, 12e3, 0.0, 250e3, 0.3, 200.0, 0.35, 0.5),
    centre_raised=0.01,
    radius_raised=0.01,
)
PLAIN = HandNumbers(1500.0, 0.85, AXLE, AXLE, cg_raised=0.08)


# One of each kind of axle, with and without a helper: the test below takes every vehicle.
KINDS = ("beyond-a-bar", "high-roof-van", "independent-rear-with-bar", "low-car")
FEW = SCENARIOS if EVERY else [path for path in SCENARIOS if path.stem in KINDS]


@pytest.mark.parametrize("path", FEW, ids=lambda p: p.stem)
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
    weight_arm = 1500.0 * G * 0.55
    assert solve(numbers).roll_gradient == pytest.approx(1500.0 * 0.55 / (81.6e3 - weight_arm))


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
    assert set(Part) - {Part.RAISED, Part.RIDE, Part.REST, Part.TIPPING} <= set(shown)
    assert (Part.RAISED in shown) == lifted
    assert (Part.REST in shown) == offset
    assert {Part.RIDE} & set(shown) <= longer
    assert not any("nan" in s.numbers + s.result for s in found.steps)


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize(("path", "name"), STATES, ids=NAMES)
def test_the_numbers_put_in_give_the_result(path, name, system):
    """Each line is worked again from what it prints: = to the last digit, ≈ within 1 %."""
    work_again(lines(job(path), name, system))


def as_number(result: str) -> float:
    figure = re.match(r"[−\d.\N{NARROW NO-BREAK SPACE}]+", result)[0]
    return float(figure.replace("\N{NARROW NO-BREAK SPACE}", "").replace("−", "-"))


def places(result: str) -> int:
    return len(re.match(r"[^.]*\.?(\d*)", result)[1])


def work_again(found: tuple[Step, ...]) -> None:
    worked = 0
    for step in found:
        first, *second = re.split(" (?=[=≈] )", step.result)
        if second:  # of the first: N·m/rad per degree, or degrees in radians
            equals, again = second[0].split(" ", 1)
            given, found_again = as_number(first), as_number(again)
            keyed_in = {f"{given / n:.{places(again)}f}" for n in (57.3, 57.29578)}
            same = keyed_in == {f"{found_again:.{places(again)}f}"}
            assert same == (equals == "="), step
            last = 10.0 ** -places(again)
            assert math.radians(given) == pytest.approx(found_again, rel=0.01, abs=1.5 * last)
        if step.numbers.endswith("on either side"):
            assert step.equals == "≈"  # nothing to work again
            continue
        # Letters and their powers are units (a pound weighs a pound-force); the rest is arithmetic.
        sum_text = step.numbers.replace("m/s²", "").replace("\N{NARROW NO-BREAK SPACE}", "")
        sum_text = re.sub(
            r"\b(?:N|lbf|deg|kg|lb|in|m|rad|g)(?:[·/](?:m|in|rad|deg|mm|g))*", "", sum_text
        )
        sum_text = sum_text.replace("×", "*").replace("−", "-").replace("²", "**2")
        printed, decimals = as_number(first), places(first)
        assert re.fullmatch(r"[\d.()*/+\- ]+", sum_text), step.numbers
        value, last = eval(sum_text), 10.0**-decimals
        assert value == pytest.approx(printed, rel=0.01, abs=1.5 * last), step
        same = f"{value:.{decimals}f}" == f"{printed:.{decimals}f}"
        assert same == (step.equals == "="), step
        worked += 1
    assert worked > len(found) - 3


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)
def test_the_lean_found_by_trial_balances_on_a_calculator(path):
    """K·φ and W·d·(a·cos φ + sin φ) + N·a, each from the figures that its lines print."""
    name = mass.states(job(path))[-1].name
    by_iso = {s.iso: s for s in lines(job(path), name, UnitSystem.METRIC)}

    def printed(text):
        return float(text.replace("\N{NARROW NO-BREAK SPACE}", "").split()[0])

    lean = printed(re.split("[=≈] ", by_iso["roll angle"].result)[1])
    stiff = by_iso.get("total roll stiffness, sides unlike", by_iso["total roll stiffness"])
    passed_on = sum(
        printed(s.result) for iso, s in by_iso.items() if iso.endswith("passed on to the body")
    )
    pushes = printed(by_iso["roll moment per g"].result)
    pushes = pushes * (0.4 * math.cos(lean) + math.sin(lean)) + 0.4 * passed_on
    assert printed(stiff.result) * lean == pytest.approx(pushes, rel=2e-3)
    assert printed(by_iso["roll angle"].numbers) == pytest.approx(pushes, rel=2e-3)


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
    (
        replace(
            job(CREW_CAB),
            change=Change(wheel_offset_front=0.02, front_bar_roll_stiffness=60e3 / math.pi),
        ),
        "touring",
    ),
]
QUANTITY = re.compile(
    "[\\d.\N{NARROW NO-BREAK SPACE}]+ (?:N·m|lbf·in|N|lbf|kg|lb|m|in|deg|rad)[^ ,)]*"
)


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize(
    ("given", "name"),
    [*((job(path), name) for path, name in STATES), *LIFTED],
    ids=[*NAMES, "lifted", "lift-taken-off", "rear-lift", "smaller-tyres", "track-and-bar"],
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


RIGHT = 8.00277  # deg/g: (8090.5 + 2 · 366.5) / (71262.2 − 8090.5) × 57.2958


@pytest.mark.parametrize(
    ("slip", "figure"),
    [
        # b 1.5 m: K susp 57000, in series 47394.7, N 487.5; (8090.5 + 975.0)/(94789.4 − 8090.5)
        (Slip.TRACK_FOR_SPRING_BASE, 5.99102),
        (Slip.TYRES_FORGOTTEN, 6.30600),  # 8090.5 / (81600 − 8090.5)
        (Slip.ONE_SPRING, 12.24526),  # K susp 26400, in series 24134.6, N 248.3
        (Slip.GRAVITY_LEFT_OUT, 7.09421),  # 8823.5 / 71262.2
        (Slip.RADIANS, 0.139675),  # 8823.5 / 63171.7
        (Slip.PER_METRE, 0.816056),  # 8.00277 / 9.80665
        (Slip.HEIGHT_FOR_ARM, 12.90693),  # W · 0.85 m = 12503.5
        (Slip.END_TO_END, 9.28674),  # K susp 34800, in series 30968.2, N 318.5
        (Slip.AXLE_LEAN, 7.33794),  # 8090.5 / 63171.7
        (Slip.DEGREES_IN_GRAVITY, -1.28872),  # 8823.5 / (1243.76 − 8090.5)
        (Slip.LIFT_FORGOTTEN, 6.93441),  # W · (0.77 − 0.29) m = 7060.8, N 354.7
        (Slip.WHOLE_MASS, 10.45173),  # 1900 kg: W · d = 10247.9, N 441.0
        # (1500 · 0.77 + 400 · 0.34)/1900 + 0.08 = 0.75947 m: W · d = 6758.8
        (Slip.WHOLE_HEIGHT, 6.65472),
        (Slip.BAR_FORGOTTEN, 11.19460),  # K susp 28800, in series 26124.8, N 268.7
        (Slip.HALF_FORGOTTEN, 5.11436),  # K susp 69600, in series 55793.1, N 573.9
        (Slip.NOT_SQUARED, 8.99130),  # 40000 · 1.2/2: K susp 36000, in series 31914.9, N 328.3
        (Slip.AT_MEASURED, 3.20111),  # 0.4 · 8.00277
        (Slip.SIGN, -8.00277),
    ],
)
def test_each_slip_gives_the_figure_worked_by_hand(slip, figure):
    known = {m: math.degrees(x) * G for m, x in slips.figures(PLAIN).items()}
    assert math.degrees(solve(PLAIN).roll_gradient) * G == pytest.approx(RIGHT, abs=5e-5)
    assert known[slip] == pytest.approx(figure, rel=1e-5)
    verdict = judge(figure, RIGHT, known)
    assert verdict.outcome is Outcome.SLIP
    assert verdict.slips == (slip,)


def test_every_slip_has_its_part_of_the_working():
    assert set(PART) == set(Slip)


OF_FURTHER_QUESTIONS = {
    *(Slip.NO_GAP, Slip.WHOLE_AXLE, Slip.ONLY_THE_LOAD),
    *(Slip.NO_LEAN, Slip.WHOLE_TRACK, Slip.SPRUNG_HEIGHT),
}


@pytest.mark.parametrize("system", list(UnitSystem))
def test_no_slip_takes_the_name_of_another(system):
    """Typed in two decimals and in one, every slip of every loading is named itself or not."""
    posed = Posed("", "", "", right=0.0, slips={}, unit="deg/g")
    named, typed_in = Counter(), Counter()
    for path, name in STATES:
        numbers = numbers_of(job(path), name)
        found = slips.figures(numbers, READER_UNITS[system])
        known = {m: math.degrees(x) * G for m, x in found.items()}
        right = math.degrees(solve(numbers).roll_gradient) * G
        for slip, figure in known.items():
            for decimals in (1, 2):
                text = f"{figure:.{decimals}f}"
                typed = float(text)
                verdict = judged(replace(posed, right=right, slips=known), read(text))
                typed_in[slip] += 1
                if verdict.outcome is Outcome.SLIP:
                    assert verdict.slips == (slip,), (path.stem, name, slip)
                    named[slip] += 1
                elif verdict.outcome is Outcome.SEVERAL:
                    assert slip in verdict.slips
                else:  # 2 % from the right figure is right, whatever it came from
                    assert typed == pytest.approx(right, rel=0.025), (path.stem, name, slip)
    assert set(typed_in) == set(Slip) - OF_FURTHER_QUESTIONS
    assert all(named[slip] for slip in typed_in)
    assert named.total() > 0.8 * typed_in.total()


def test_a_distance_not_squared_counts_in_the_unit_of_the_board():
    """In inches b is 47.24, and with a 47th of its springs the body rests on bar and tyres."""
    stiff = replace(PLAIN, front=replace(AXLE, bar_stiffness=60e3))
    found = slips.figures(stiff, READER_UNITS[UnitSystem.IMPERIAL])[Slip.NOT_SQUARED]
    part = 1.0 / (1.2 / 0.0254)
    changed = (replace(a, spring_rate=40e3 * part) for a in stiff.axles)
    front, rear = changed
    assert found == pytest.approx(
        solve(replace(stiff, front=front, rear=rear)).roll_gradient, rel=1e-12
    )


def test_a_slip_needs_something_to_mistake():
    independent = replace(AXLE, solid=False, spring_base=1.5, bar_stiffness=0.0)
    known = slips.figures(replace(PLAIN, front=independent, rear=independent).not_raised)
    assert not set(known) & {
        Slip.TRACK_FOR_SPRING_BASE,
        Slip.END_TO_END,
        Slip.BAR_FORGOTTEN,
        Slip.LIFT_FORGOTTEN,
        Slip.HELPER_LEFT_OUT,
    }


def test_a_slip_is_named_only_where_it_is_clearly_nearer():
    known = {Slip.AXLE_LEAN: 5.1, Slip.ONE_SPRING: 7.0, Slip.END_TO_END: 7.05}
    assert judge(5.12, 5.2, known).outcome is Outcome.RIGHT
    both = judge(7.02, 5.2, known)
    assert both.outcome is Outcome.SEVERAL
    assert both.slips == (Slip.ONE_SPRING, Slip.END_TO_END)
    assert judge(7.0, 5.2, known | {Slip.END_TO_END: 7.2}).slips == (Slip.ONE_SPRING,)
    assert judge(5.33, 5.2, {Slip.AXLE_LEAN: 5.4}).outcome is Outcome.SEVERAL  # or right
    assert judge(9.0, 5.2, known).outcome is Outcome.NEITHER
    assert judge(-5.2, 5.2, known).outcome is Outcome.NEITHER
    assert judge(9.0, 5.2, {}).outcome is Outcome.NEITHER


@pytest.mark.parametrize(("path", "name"), STATES, ids=NAMES)
def test_degrees_for_radians_are_recognised_in_two_decimals(path, name):
    """Of 0.13 the last digit is worth 4 %."""
    numbers = numbers_of(job(path), name)
    known = {m: math.degrees(x) * G for m, x in slips.figures(numbers).items()}
    right = math.degrees(solve(numbers).roll_gradient) * G
    posed = Posed("", "", "", right=right, slips=known, unit="deg/g")
    found = judged(posed, read(f"{known[Slip.RADIANS]:.2f}"))
    assert Slip.RADIANS in found.slips


def test_rounding_makes_room_for_half_the_last_digit_and_no_more():
    known = {Slip.RADIANS: 0.1346, Slip.PER_METRE: 0.1338}
    told = judge(0.13, 5.2, known, rounded_by=0.005)
    assert told.slips == (Slip.PER_METRE, Slip.RADIANS)  # both fit: both are named
    for typed, room in ((0.12, 0.005), (0.14, 0.005), (0.0, 0.05)):
        assert judge(typed, 5.2, known, rounded_by=room).outcome is Outcome.NEITHER
    assert judge(0.13, 5.2, known).outcome is Outcome.NEITHER
    # A right answer stays right beside a slip that lies as near, and one that rounds is right.
    near = {Slip.AXLE_LEAN: 5.0}
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


@pytest.mark.parametrize(
    ("line", "worth"),
    [
        ("+5 N + 3 N", 8.0),
        ("−5 N + 3 N", -2.0),
        ("2 N·m / 4 m", 0.5),
        ("5 N / 0 N", None),  # a calculator shows an error
        ("~5 N", None),
    ],
)
def test_a_line_is_keyed_in_as_it_stands(line, worth):
    assert keyed(line) == worth
