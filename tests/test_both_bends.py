"""Left and right bends that differ by a track bar, with no lean at rest: told on every surface."""

import functools
from dataclasses import replace

import pytest

from rollsim.page import answers, carried, handout
from rollsim.page.answers import Answer, Bend
from rollsim.reader_units import METRIC
from rollsim.roll import results
from rollsim.scenario import Scenario, loads
from rollsim.scenario.editing import changed
from rollsim.sheet import facts, words, work_out
from rollsim.sheet.pictures import bend_words
from rollsim.sheet.work import LEAN_AT
from tests.fit_page import FILES, TOURING
from tests.sheets import FEW

STATED = 'roll_centre_height = "430 mm ± 30 mm"\nroll_centre_travel_ratio = 0.5'
ROD = (
    'roll_centre = { panhard_rod = { axle_end = ["%d mm", "340 mm"], '
    'body_end = ["%d mm", "640 mm"] } }'
)
WAGON, USED, SHARP = "wagon-roof-load", "as_used", 5.0  # m/s²


@functools.cache
def on_a_rod(axle_end: int = 300) -> Scenario:
    """A rod that slopes steeply, its end on the axle so far left [mm], on a centred vehicle."""
    text = FILES[WAGON].read_text("utf-8")
    assert STATED in text
    return loads(text.replace(STATED, ROD % (axle_end, -axle_end)), "rod.toml")


def lean(scenario: Scenario, *, mirrored: bool, name: str = USED, at: float = SHARP) -> float:
    (state,) = results(scenario.job, (at,), only=(name,), mirrored=mirrored)
    return state.curve[0].roll_angle


@pytest.mark.parametrize("axle_end", [300, -300])
@pytest.mark.parametrize("empty", [False, True])
def test_carry_a_load_shows_the_bend_that_leans_it_more(axle_end, empty):
    """With nothing on it nothing settles either, and it stands upright to the last digit."""
    scenario = on_a_rod(axle_end)
    if empty:
        scenario = replace(scenario, job=replace(scenario.job, loads=()))
    both = [lean(scenario, mirrored=side) for side in (False, True)]
    assert abs(both[0] / both[1] - 1.0) > 0.005
    found = carried.carried(scenario, USED, SHARP)
    assert found.lean_now == pytest.approx(max(both), rel=1e-6)
    assert found.to_the_right is (both[1] > both[0])


def test_fit_a_bar_offers_both_bends():
    found = Answer(on_a_rod(), None, Bend.LEFT, answers.states(on_a_rod()))
    left, right = (lean(on_a_rod(), mirrored=side) for side in (False, True))
    harder = Bend.LEFT if left > right else Bend.RIGHT
    assert answers.harder_bend(found) is harder
    turned = Answer(on_a_rod(), None, Bend.RIGHT, answers.states(on_a_rod(), bend=Bend.RIGHT))
    assert answers.harder_bend(turned) is harder
    told = answers.bend_words(found)
    assert told.startswith("Left and right bends differ: it leans more in a")
    assert f" {harder.value} bend." in told


def test_the_sheet_takes_the_mean_of_both_bends_and_tells_both():
    scenario = on_a_rod()
    work = work_out(scenario, samples=FEW)
    both = [lean(scenario, mirrored=side, at=LEAN_AT) for side in (False, True)]
    loaded = next(one for one in work.leans if one.name == USED)
    at_rest = [
        results(scenario.job, (), only=(USED,), mirrored=side)[0].static_lean
        for side in (False, True)
    ]
    assert loaded.before.value == pytest.approx(0.5 * (sum(both) - sum(at_rest)), rel=1e-9)
    assert work.harder.before == max(both)
    rows = [line.name for line in facts.states(work, METRIC)]
    assert [row for row in rows if "bend" in row] == [
        "lean per g at 0.4 g in a left bend, deg/g",
        "lean per g at 0.4 g in a right bend, deg/g",
    ]
    told = f"Left and right bends differ: in a {work.harder.side} bend it leans"
    shown = words.degrees(max(both)) != words.degrees(loaded.before.value)
    assert (told in words.customer_line(work)) is shown
    assert "off centre" not in words.customer_line(work)
    assert bend_words(work) == ""


def test_carry_a_load_tells_cab_and_tray_apart():
    text = changed(
        FILES[TOURING].read_text("utf-8"),
        {"vehicle.frame_torsional_stiffness": "900 N*m/deg", "vehicle.cab_share_of_twist": 0.0},
    )
    scenario = loads(text, "twists.toml")
    found = carried.carried(scenario, "touring", SHARP)
    (state,) = results(scenario.job, (SHARP,), only=("touring",))
    (point,) = state.curve
    cab, tray = (carried.degrees(x) for x in (point.roll_angle, point.tray_roll_angle))
    assert carried.tray_words(found) == f"The frame twists: the cab leans {cab}, the tray {tray}."
    assert carried.tray_words(found) in handout.page(found, "a bend", METRIC, text=text)
    assert carried.tray_words(carried.carried(on_a_rod(), USED, SHARP)) == ""
