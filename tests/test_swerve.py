"""A swerve: overshoot against closed forms and an integrated step and ramp; bounce tests."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from rollsim import mass, roll
from rollsim.cli import main
from rollsim.equilibrium import settle
from rollsim.measured import bounce, swings
from rollsim.reader_units import figure
from rollsim.roll import TURN
from rollsim.roll.swerve import (
    RISE_TIME,
    USUAL_DAMPING,
    _stiffness,
    overshoot,
    roll_inertia,
    swerves,
)
from rollsim.teaching import effects, leaning
from rollsim.teaching.effects import Effect, Where
from rollsim.tell.of_swerve import swerve_lean_words, swerve_words
from rollsim.vehicle import Load
from tests.builders import ROOT, job, rigid_vehicle

TOURING = ROOT / "scenarios" / "crew-cab-touring.toml"


def integrated(ratio: float, omega: float, rise: float) -> float:
    """Overshoot by integrating φ'' + 2ζω φ' + ω² φ = ω² min(t/T, 1)."""
    found = solve_ivp(
        lambda t, x: (
            x[1],
            omega**2 * (min(t / rise, 1.0) - x[0]) - 2.0 * ratio * omega * x[1],
        ),
        (0.0, rise + 4.0 * math.pi / omega),
        (0.0, 0.0),
        max_step=rise / 5.0,
        rtol=1e-9,
        atol=1e-11,
        dense_output=True,
    )
    times = np.linspace(rise, rise + 4.0 * math.pi / omega, 20_001)
    return float(found.sol(times)[0].max() - 1.0)


def test_overshoot_of_a_step_is_the_textbooks():
    """e^{−πζ/√(1 − ζ²)}, any textbook on vibration; at any frequency."""
    ratio = np.array([0.05, 0.2, 0.3, 0.4, 0.9])
    wanted = np.exp(-math.pi * ratio / np.sqrt(1.0 - ratio**2))
    for omega in (1.0, 12.0):
        assert overshoot(ratio, omega, 0.0) == pytest.approx(wanted, rel=1e-12)
        assert overshoot(ratio, omega, 1e-7) == pytest.approx(wanted, rel=1e-6)


@pytest.mark.parametrize(
    ("ratio", "omega", "rise"),
    [(0.2, 10.0, 0.3), (0.4, 10.0, 0.3), (0.3, 6.0, 0.3), (0.1, 21.0, 0.3), (0.6, 14.0, 0.5)],
)
def test_overshoot_of_a_ramp_is_that_of_the_integrated_equation(ratio, omega, rise):
    assert overshoot(ratio, omega, rise) == pytest.approx(integrated(ratio, omega, rise), abs=2e-6)


def test_an_undamped_ramp_is_the_closed_form():
    """Without damping a ramp leaves 2 |sin(ωT/2)|/(ωT), any textbook on vibration."""
    turn = np.array([0.5, 2.0, 5.0])
    wanted = 2.0 * np.abs(np.sin(0.5 * turn)) / turn
    assert overshoot(1e-9, turn / RISE_TIME, RISE_TIME) == pytest.approx(wanted, rel=1e-6)


def test_stiffness_is_the_textbooks_without_tyres_and_travel():
    """K_f + K_r − m_s g h, h the CG over the roll axis."""
    model = rigid_vehicle(
        sprung_mass=1500.0,
        cg_height=0.7,
        rear_share=0.5,
        unsprung_mass=(100.0, 100.0),
        unsprung_cg_height=(0.35, 0.35),
        track=(1.5, 1.5),
        roll_centre_height=(0.1, 0.3),
        roll_stiffness=(5e4, 3e4),
    )
    assert _stiffness(*settle(model, TURN))[0] == pytest.approx(
        8e4 - 1500.0 * 9.80665 * 0.5, rel=1e-6
    )


def test_roll_inertia_is_that_of_point_masses():
    """Body and items by the parallel axes of both about the common CG, item after item."""
    base = job(TOURING)
    empty = replace(base, loads=())
    own = roll_inertia(empty, mass.named(empty, mass.UNLADEN))
    tracks = (base.vehicle.front.track, base.vehicle.rear.track)
    total = base.vehicle.front_axle_mass + base.vehicle.rear_axle_mass
    assert own == pytest.approx(total * (0.415 * sum(tracks) / 2.0) ** 2, rel=1e-12)
    load = Load("box", 200.0, 1.5, 2.0, 0.4)
    aside = replace(base.vehicle, cg_left=0.1)
    loaded = replace(base, vehicle=aside, loads=(load,))
    whole = roll_inertia(loaded, mass.named(loaded, mass.AS_USED))
    reduced = total * 200.0 / (total + 200.0)
    apart = (2.0 - base.vehicle.cg_height) ** 2 + 0.3**2
    assert whole == pytest.approx(own + reduced * apart, rel=1e-9)
    # 131 light trucks: I_xx = 0.609 m − 355.5 [tse-2020]; the two ways agree where trucks are.
    for m in (1500.0, 2000.0, 2500.0):
        assert m * (0.415 * 1.55) ** 2 == pytest.approx(0.609 * m - 355.5, rel=0.12)


def thrown(changed):
    return {state.name: state.swerve for state in roll.results(changed, ())}


def test_more_load_up_high_and_worn_dampers_throw_it_further_and_a_measured_ratio_narrows_it():
    base = job(TOURING)
    found = thrown(base)
    for one in found.values():
        assert 0.0 < one.low < one.high < 1.0
        assert (one.worn_low, one.worn_high) > (one.low, one.high)
        assert 1.2 < one.frequency < 2.5  # 1.5 to 2.5 Hz empty, from memory
        assert not one.measured
    assert found["touring"].low > found["unladen"].low
    assert found["touring"].high > found["unladen"].high
    assert found["touring"].frequency < found["unladen"].frequency
    known = replace(
        base,
        vehicle=replace(base.vehicle, roll_damping_ratio=0.3, roll_damping_tolerance=0.03),
    )
    measured = thrown(known)
    for name, one in measured.items():
        assert one.measured
        assert found[name].low < one.low < one.high < found[name].high
    # Half the damping is the worn band, and the other way round.
    half = replace(known, vehicle=replace(known.vehicle, roll_damping_ratio=0.15))
    half = replace(half, vehicle=replace(half.vehicle, roll_damping_tolerance=0.015))
    for name, one in thrown(half).items():
        assert (one.low, one.high) == pytest.approx(
            (measured[name].worn_low, measured[name].worn_high), rel=1e-9
        )


def test_the_band_is_that_of_the_closed_form_at_its_ends():
    """The vehicle as weighed is the reference: its own K and I, nothing carried over."""
    base = job(TOURING)
    state = mass.named(base, mass.UNLADEN)
    k = _stiffness(*settle(mass.model(base, state), TURN))[0]
    one = thrown(base)["unladen"]
    at = [
        overshoot(z, math.sqrt(k / roll_inertia(base, state, g)), RISE_TIME)
        for z in USUAL_DAMPING
        for g in (0.381, 0.449)
    ]
    assert (one.low, one.high) == pytest.approx((min(at), max(at)), rel=1e-9)


def test_the_sentence_holds_the_band_and_no_speed():
    state = roll.results(job(TOURING), (), only=("touring",))[0]
    words = swerve_words(state.swerve)
    assert f"{100 * state.swerve.low:.0f}–{100 * state.swerve.high:.0f} %" in words
    assert f"worn shock absorbers {100 * state.swerve.worn_low:.0f}–" in words
    assert not any(unit in words for unit in ("km/h", "mph", "speed"))
    assert swerve_words(None) == ""
    gradient = state.roll_gradient
    ends = (
        figure(gradient * (1 + more), "deg/g") for more in (state.swerve.low, state.swerve.high)
    )
    assert f"a swerve makes {'–'.join(ends)} deg/g" in swerve_lean_words(state.swerve, gradient)
    assert swerve_lean_words(None, gradient) == ""


def test_one_input_changed_is_that_vehicle_with_its_own_dampers():
    """At its own value the vehicle's band; a bar changed as the state with that bar has it."""
    base = job(TOURING)
    bars = [one for one in effects.levers(base) if one.effect is Effect.BAR]
    (lever,) = (one for one in bars if one.where is Where.FRONT)
    curve = effects.curve(base, "touring", lever)
    now, last = curve.percents.index(0), len(curve.percents) - 1
    assert leaning.swerve(base, "touring", curve, at=now) == thrown(base)["touring"]
    front = replace(base.vehicle.front, bar_roll_stiffness=curve.values[last])
    stiffer = replace(base, vehicle=replace(base.vehicle, front=front))
    state = mass.named(base, "touring")
    there = settle(mass.model(stiffer, state), TURN)
    (found,) = swerves(base, [state], there[0], settled=there[1])
    assert leaning.swerve(base, "touring", curve, at=last) == found
    assert found.frequency > thrown(base)["touring"].frequency


def free(ratio: float, start: float, count: int) -> list[float]:
    """Swings from turning point to turning point of a free vibration held at `start`."""
    left = math.exp(-math.pi * ratio / math.sqrt(1.0 - ratio**2))
    turns = [start * (-left) ** n for n in range(count + 1)]
    return [abs(b - a) for a, b in itertools.pairwise(turns)]


@pytest.mark.parametrize("ratio", [0.1, 0.25, 0.45])
def test_a_bounce_test_gives_back_the_ratio_by_swings_and_by_a_log(ratio):
    runs = [free(ratio, 0.08, 3), free(ratio, 0.05, 2)]
    assert bounce(runs).damping_ratio.value == pytest.approx(ratio, rel=1e-9)
    time = np.arange(0.0, 8.0, 0.01)
    omega, since = 10.0, np.maximum(time - 2.0, 0.0)
    rate = np.exp(-ratio * omega * since) * np.sin(omega * math.sqrt(1.0 - ratio**2) * since)
    logged = swings(time, 0.2 * rate + 0.01)  # a gyro's zero is off
    assert bounce([logged]).damping_ratio.value == pytest.approx(ratio, rel=0.03)


def test_the_standard_error_is_the_scatter_of_misread_tapes():
    """2000 readings with 3 mm (90 %) of error each: mean and spread as the estimate says."""
    draw = np.random.default_rng(5)
    clean = np.array(free(0.25, 0.10, 3))
    told = bounce([clean]).damping_ratio
    read = clean + draw.normal(0.0, 0.003 / 1.645, (2000, 3))
    found = np.array([bounce([one]).damping_ratio.value for one in read])
    assert found.std() == pytest.approx(told.standard_error, rel=0.1)
    assert found.mean() == pytest.approx(0.25, abs=0.2 * told.standard_error)


@pytest.mark.parametrize("rate", [0.0, math.nan, 1.0])
def test_a_log_that_does_not_swing_is_told(rate):
    time = np.arange(0.0, 8.0, 0.01)
    with pytest.raises(ValueError, match=r"no two swings|hardly any roll"):
        swings(time, np.full_like(time, rate))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--run", "60 mm"], "no run has two swings"),
        (["--run", "60 mm", "80 mm"], "do not grow smaller"),
        (["--run", "60 mm", "59 mm", "58 mm"], "damping ratio of 0.005; a vehicle has 0.03 to 0.9"),
        (["--run", "60 mm", "3 kg"], '--run: found "3 kg"'),
        ([], "--run, --log: give the runs by one of them"),
        (["--run", "60 mm", "20 mm", "--reading-error", "9 m"], "--reading-error: found"),
        (["--log", "nowhere.csv"], "nowhere.csv: no such file"),
    ],
)
def test_wrong_readings_are_told(words, said, capsys):
    assert main(["weigh", "bounce", *words]) == 2
    assert said in capsys.readouterr().err
