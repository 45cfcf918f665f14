"""A lean test in the file: the full model leans as the vehicle did in the bay."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.measured import Unknown, net_roll_stiffness
from rollsim.measured.calibrate import moved
from rollsim.roll.figures import TURN
from rollsim.tolerance import shifting
from rollsim.vehicle import STANDARD_GRAVITY, Load
from tests.bad_input import TEXT
from tests.bad_input_bay import (
    CG,
    LEAN_TEXT,
)
from tests.bay_input import PLAIN, measured, read, tolerance

G = STANDARD_GRAVITY

SWEEP = (
    (0.3, "right"),
    (0.6, "right"),
    (0.3, "left"),
    (-0.3, "left"),
    (-0.6, "left"),
    (-0.3, "right"),
)


def true_vehicle(unknown):
    vehicle = PLAIN.job.vehicle
    if unknown is Unknown.CG_HEIGHT:
        return replace(PLAIN.job, vehicle=replace(vehicle, cg_height=0.74))
    end = "front" if unknown is Unknown.FRONT_ROLL_STIFFNESS else "rear"
    axle = getattr(vehicle, end)
    axle = replace(axle, auxiliary_roll_stiffness=axle.auxiliary_roll_stiffness + 3000.0)
    return replace(PLAIN.job, vehicle=replace(vehicle, **{end: axle}))


READ_WELL = 'reading_error = "0.002 deg"\n'


def lean_text(job, unknown, *, scale=1.0, error="", arches=False):
    """Readings of the full model, 150 kg of people at 1600 mm moved out to 100 mm."""
    rows = []
    for offset, side in SWEEP:
        right = offset / 6.0
        people = Load("people", 150.0, 1.6, 1.0, left_of_centreline=-right)
        (state,) = (one for one in mass.states(job) if one.name == "as_weighed")
        _, point = settle(mass.model(job, replace(state, loads=(people,))), TURN)
        lean = scale * float(point.x[1, 0])
        shown = f'lean = "{lean!r} rad"'
        if arches:
            rise = 1.65 * math.sin(lean)
            shown = f'left_arch = "{0.8 + rise!r} m", right_arch = "0.8 m"'
        rows.append(
            f'{{ mass = "150 kg", right_of_centreline = "{right!r} m", {shown}, '
            f'last_moved = "{side}" }}'
        )
    distance = 'arch_distance = "1650 mm"\n' if arches else ""
    return (
        f'{TEXT}\n[lean_test]\nunknown = "{unknown.value}"\n{error}{distance}'
        'aboard = { mass = "150 kg", behind_front_axle = "1600 mm", height = "1 m" }\n'
        f"reading = [{', '.join(rows)}]\n"
    )


@pytest.mark.parametrize("arches", [False, True])
@pytest.mark.parametrize(
    "unknown", [Unknown.FRONT_ROLL_STIFFNESS, Unknown.REAR_ROLL_STIFFNESS, Unknown.CG_HEIGHT]
)
def test_lean_test_puts_the_unknown_right(unknown, arches):
    # The leans bend a little over ± 100 mm: 1 % of what was moved.
    true = true_vehicle(unknown)
    found = read(lean_text(true, unknown, arches=arches)).job.vehicle
    if unknown is Unknown.CG_HEIGHT:
        assert found.cg_height - 0.7 == pytest.approx(0.04, rel=0.01)
        return
    end = "front" if unknown is Unknown.FRONT_ROLL_STIFFNESS else "rear"
    stated = getattr(PLAIN.job.vehicle, end).auxiliary_roll_stiffness
    moved = getattr(found, end).auxiliary_roll_stiffness - stated
    assert moved == pytest.approx(3000.0, rel=0.01)


def test_calibrated_vehicle_leans_as_it_did_and_is_marked_measured():
    found = read(LEAN_TEXT)
    people = Load("people", 150.0, 1.6, 1.0)
    (state,) = (one for one in mass.states(found.job) if one.name == "as_weighed")
    predict = net_roll_stiffness(replace(state, loads=(people,)))
    net = math.radians(predict(found.job))
    notes = [note for note in found.notes if note.startswith("lean_test: ")]
    assert f"net roll stiffness {net:.4g} N·m/deg, 95 % interval" in notes[0]
    assert f"without the test gives {math.radians(predict(PLAIN.job)):.4g} N·m/deg" in notes[0]
    line = measured(found, "rear.auxiliary_roll_stiffness")
    rear = found.job.vehicle.rear.auxiliary_roll_stiffness
    assert line.startswith(f"rear.auxiliary_roll_stiffness = {math.radians(rear):.4g} N·m/deg ±")
    one = tolerance(found, "rear.auxiliary_roll_stiffness")
    assert one.value == rear
    assert 0.0 < one.tolerance < 0.2 * rear
    assert shifting([one])
    # What is moved in the test rides in no state.
    assert [state.loads for state in mass.states(found.job)] == [
        state.loads for state in mass.states(PLAIN.job)
    ]


def _net_per_move(job, unknown, step=50.0):
    """How much net roll stiffness moves with an unknown, people on board [-]."""
    stood = next(state for state in mass.states(job) if state.name == "as_weighed")
    people = Load("people", 150.0, 1.6, 1.0)
    net = net_roll_stiffness(replace(stood, loads=(*stood.loads, people)))
    return (net(moved(job, unknown, step)) - net(moved(job, unknown, -step))) / (2.0 * step)


def test_bands_of_both_ends_make_that_of_the_total():
    one_end = tolerance(read(LEAN_TEXT), "rear.auxiliary_roll_stiffness").tolerance
    both = read(LEAN_TEXT.replace('"rear roll', '"total roll'))
    ends = [tolerance(both, f"{end}.auxiliary_roll_stiffness") for end in ("front", "rear")]
    whole = sum(end.tolerance for end in ends)  # one unknown: both ends go together
    # One band of what was measured, over how much each unknown moves it: by differences on the full
    # model, the people on board.
    per_rear, per_total = (
        _net_per_move(read_job, unknown)
        for read_job, unknown in (
            (read(LEAN_TEXT).job, Unknown.REAR_ROLL_STIFFNESS),
            (both.job, Unknown.TOTAL_ROLL_STIFFNESS),
        )
    )
    assert whole == pytest.approx(one_end * per_rear / per_total, rel=1e-4)
    front = both.job.vehicle.front.auxiliary_roll_stiffness
    rear = both.job.vehicle.rear.auxiliary_roll_stiffness
    stated = PLAIN.job.vehicle.rear.auxiliary_roll_stiffness
    assert ends[0].tolerance / ends[1].tolerance == pytest.approx(front / (rear - stated), rel=1e-6)


def test_a_class_default_that_is_measured_is_no_longer_assumed():
    text = LEAN_TEXT.replace(CG, 'cg_height = "class default"')
    assert any(line.startswith("vehicle.cg_height = ") for line in read(text).assumed)
    found = read(text.replace('"rear roll stiffness"', '"CG height"'))
    assert not any(line.startswith("vehicle.cg_height = ") for line in found.assumed)
    assert "lean test" in measured(found, "vehicle.cg_height")
    assert tolerance(found, "vehicle.cg_height").value == found.job.vehicle.cg_height


def test_the_band_of_a_cg_height_by_lean_test_holds_the_other_inputs():
    # By hand: each other input a little off, the test put right again, the moves added up.
    text = lean_text(true_vehicle(Unknown.CG_HEIGHT), Unknown.CG_HEIGHT, error=READ_WELL)
    loose = text.replace('rate = "36 N/mm"', 'rate = "36 N/mm ± 1.8 N/mm"')
    assert loose != text
    more, less = (
        read(text.replace('rate = "36 N/mm"', f'rate = "{36.0 + off} N/mm"')).job.vehicle.cg_height
        for off in (0.9, -0.9)
    )
    alone = tolerance(read(text), "vehicle.cg_height").tolerance
    found = read(loose)
    by_hand = math.hypot(alone, more - less)
    assert tolerance(found, "vehicle.cg_height").tolerance == pytest.approx(by_hand, rel=0.02)
    assert more - less > alone


def test_a_cg_height_by_lean_test_that_does_not_fit_is_told():
    high = replace(PLAIN.job, vehicle=replace(PLAIN.job.vehicle, cg_height=0.85))
    text = lean_text(high, Unknown.CG_HEIGHT, error=READ_WELL)
    (told,) = (note for note in read(text).notes if "takes the place of" in note)
    assert "the 700 mm of the file" in told
    assert "further apart than their bands" in told


def test_tolerances_of_lean_test_readings_count():
    key = "rear.auxiliary_roll_stiffness"
    stated = lean_text(true_vehicle(Unknown.REAR_ROLL_STIFFNESS), Unknown.REAR_ROLL_STIFFNESS)
    wide, wider = (
        tolerance(
            read(re.sub(r'lean = "([^"]*)"', rf'lean = "\1 ± {band} deg"', stated)), key
        ).tolerance
        for band in (0.02, 0.04)
    )
    assert wider == pytest.approx(2.0 * wide)
    masses = re.sub(r'\{ mass = "150 kg"', '{ mass = "150 kg ± 15 kg"', stated)
    assert tolerance(read(masses), key).tolerance > 3.0 * tolerance(read(stated), key).tolerance


def test_tolerance_is_the_move_that_the_band_of_the_test_makes():
    # Leans divided by 1 + ε are those of a vehicle with 1 + ε times the net roll stiffness, and
    # ε is half the test's own 90 % band: reading error c/σ_x for 6 leans of two branches.
    unknown = Unknown.REAR_ROLL_STIFFNESS
    true = true_vehicle(unknown)
    error = 'reading_error = "0.02 deg"\n'
    found = read(lean_text(true, unknown, error=error))
    offsets = np.array([offset for offset, _ in SWEEP]) / 6.0
    moments = 150.0 * G * offsets
    rising = np.array([side == "right" for _, side in SWEEP])
    spread = sum(((moments[one] - moments[one].mean()) ** 2).sum() for one in (rising, ~rising))
    (note,) = (note for note in found.notes if note.startswith("lean_test: net"))
    net = math.degrees(float(note.split("stiffness ")[1].split()[0]))
    share = net * math.radians(0.02) / math.sqrt(spread)
    more, less = (
        read(lean_text(true, unknown, scale=1.0 / (1.0 + sign * share), error=error))
        for sign in (1.0, -1.0)
    )
    ends = (one.job.vehicle.rear.auxiliary_roll_stiffness for one in (more, less))
    by_hand = abs(np.subtract(*ends)) / 2.0
    found = tolerance(found, "rear.auxiliary_roll_stiffness").tolerance
    assert found == pytest.approx(by_hand, rel=0.01)
