"""How much nearer a load brings wheel lift or tipping: the worse of the two, and how sure it is."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from rollsim.page import bends, carried, handout, nearer
from rollsim.reader_units import METRIC
from rollsim.roll import results
from rollsim.scenario import Scenario, load
from rollsim.scenario.packing import packed
from rollsim.tolerance import Tolerance, tipping_samples
from rollsim.vehicle import STANDARD_GRAVITY

ROOT = Path(__file__).resolve().parents[1]
TIPS_SOONER = ROOT / "tests/cases/later-but-tips-sooner.toml"
FILES = [TIPS_SOONER, *sorted((ROOT / "scenarios").glob("*.toml"))]
AT = 0.3 * STANDARD_GRAVITY


def carried_in(path: Path, lateral: float = AT) -> carried.Carried:
    found = load(path)
    case = results(found.job, ())[-1].name
    return carried.carried(found, case, lateral)


def thresholds(path: Path) -> tuple[np.ndarray, np.ndarray]:
    """First lift and tipping point, unladen and in the last state [m/s²], by `results`."""
    found = results(load(path).job, ())
    ends = found[0], found[-1]
    tips = np.array([r.tip_over_threshold for r in ends])
    lifts = np.array([np.nanmin([r.inner_front_lift, r.inner_rear_lift, 99.0]) for r in ends])
    return np.minimum(lifts, tips), tips


def test_a_wheel_that_lifts_later_does_not_hide_that_it_tips_sooner():
    lifts, tips = thresholds(TIPS_SOONER)
    assert lifts[1] > lifts[0]
    # 1.01 and 0.97 with the CG height that the class had before its own vehicles were measured.
    assert [round(float(tip / STANDARD_GRAVITY), 2) for tip in tips] == [1.08, 1.04]
    said = nearer.words(carried_in(TIPS_SOONER)).replace("\u00a0", " ")
    assert "it tips over 4 % sooner than before" in said
    now, before = (round(100.0 * (1.0 - 0.3 * STANDARD_GRAVITY / tip)) for tip in tips[::-1])
    assert f"In this bend {now} % is left until then, {before} % before" in said
    assert "later" not in said


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_worse_of_the_two_is_told_and_which(path):
    lifts, tips = thresholds(path)
    worst = min(lifts[1] / lifts[0], tips[1] / tips[0])
    said = nearer.words(carried_in(path)).replace("\u00a0", " ")
    told = re.search(r"(it tips over|comes off the ground) (\d+) % (sooner|later)", said)
    apart = lifts[1] / lifts[0] - tips[1] / tips[0]
    if abs(apart) > 1e-6:
        assert told[1] == ("it tips over" if apart > 0.0 else "comes off the ground")
    assert int(told[2]) == pytest.approx(100.0 * abs(1.0 - worst), abs=0.51)
    assert told[3] == ("sooner" if worst <= 1.0 else "later")


def test_a_bend_in_which_a_wheel_is_off_is_told_with_either():
    lifts, _ = thresholds(TIPS_SOONER)
    said = nearer.words(carried_in(TIPS_SOONER, float(lifts[1]) * 1.0005))
    assert "In this bend a wheel is off the ground now, and with nothing on it too." in said


def only(path: Path, *tolerances: Tolerance) -> Scenario:
    return replace(load(path), tolerances=tolerances)


def test_the_band_of_one_input_lies_between_the_figures_at_its_ends():
    found = load(TIPS_SOONER)
    height = found.job.vehicle.cg_height
    half = 0.04 * height
    case = results(found.job, ())[-1].name
    one = only(TIPS_SOONER, Tolerance("vehicle.cg_height", height, half))
    spread = nearer.spread(one, case)
    ends = []
    for shift in (-half, half):
        vehicle = replace(found.job.vehicle, cg_height=height + shift)
        ends.append(results(replace(found.job, vehicle=vehicle), ())[-1].tip_over_threshold)
    low, high = sorted(ends)
    room = 0.1 * (high - low)  # 64 samples know the ends of a band to a tenth of it
    assert spread.tips.low == pytest.approx(low, abs=room)
    assert spread.tips.high == pytest.approx(high, abs=room)


def test_without_a_tolerance_there_is_no_band():
    found = load(TIPS_SOONER)
    case = results(found.job, ())[-1].name
    spread = nearer.spread(only(TIPS_SOONER), case)
    lifts, tips = thresholds(TIPS_SOONER)
    for band, value in ((spread.wheel, lifts[1]), (spread.tips, tips[1])):
        assert (band.low, band.high) == pytest.approx((value, value), rel=1e-9)
    assert spread.sooner.low == pytest.approx(1.0 - tips[1] / tips[0], rel=1e-9)


def test_samples_of_two_states_belong_together():
    found = load(TIPS_SOONER)
    names = [r.name for r in results(found.job, ())]
    apart = [tipping_samples(found.job, found.tolerances, (n,), count=16)[0] for n in names[::2]]
    both = tipping_samples(found.job, found.tolerances, names[::2], count=16)
    for one, other in zip(apart, both, strict=True):
        assert one.state == other.state
        assert one.tip_over == pytest.approx(other.tip_over, rel=1e-6)
        assert (other.first_lift <= other.tip_over * (1.0 + 1e-9)).all()


def test_few_samples_stand_for_many():
    """The ends that are told, in whole per cent, hold within a fifth of the band."""
    found = load(TIPS_SOONER)
    case = results(found.job, ())[-1].name
    few = nearer.spread(found, case)
    before, now = tipping_samples(found.job, found.tolerances, ("unladen", case), count=512)
    worse = 1.0 - np.minimum(now.first_lift / before.first_lift, now.tip_over / before.tip_over)
    low, high = np.quantile(worse, (0.05, 0.95))
    assert few.sooner.low == pytest.approx(low, abs=0.2 * (high - low))
    assert few.sooner.high == pytest.approx(high, abs=0.2 * (high - low))
    assert 0.0 < few.sooner.low < 0.03 < few.sooner.high


def opened(path: Path) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    app.query_params["scenario"] = packed(path.read_text(encoding="utf-8"))
    return app.switch_page("rollsim/page/carry.py").run()


def test_the_page_and_the_printout_tell_the_worse_and_its_band():
    app = opened(TIPS_SOONER)
    assert not app.exception
    head = app.info[0].value.replace("\\", "").replace("\u00a0", " ")
    assert "it tips over 4 % sooner" in head
    shown = "\n".join(m.value for m in app.markdown).replace("\\", "")
    c = carried_in(TIPS_SOONER, bends.lateral_acceleration(25.0, 35.0 / 3.6))  # the page's own
    words = nearer.spread_words(c, nearer.spread(c.scenario, c.case.name))
    assert words in shown
    assert re.search(r"is left in this bend until it tips over; the worse .* between \d", words)
    paper = handout.page(c, "a bend", METRIC, text="", spread=words)
    assert words in paper
    assert nearer.words(c) in paper


def test_a_measured_vehicle_has_no_band_of_what_is_assumed():
    app = opened(ROOT / "scenarios/crew-cab-touring.toml")
    assert not nearer.is_assumed(load(ROOT / "scenarios/crew-cab-touring.toml"))
    assert "With what is assumed here" not in "\n".join(m.value for m in app.markdown)
