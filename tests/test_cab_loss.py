"""What a frame that twists keeps from the cab, and cab and tray told apart, on every surface."""

import functools
import json
import math
import re

import numpy as np
import pytest

from rollsim.cli import main
from rollsim.drawing import rear_view_of
from rollsim.mass import FittedBar, states
from rollsim.reader_units import METRIC
from rollsim.roll import results
from rollsim.scenario import loads
from rollsim.scenario.editing import changed
from rollsim.sheet import words as sheet_words
from rollsim.sheet import work_out
from rollsim.sizing.cab_loss import lost_in_cab
from rollsim.tell.of_cab_loss import cab_loss_words
from rollsim.tolerance import Band, ordered
from rollsim.tolerance.cab_loss import CabLoss, cab_loss
from tests.fit_page import FILES, TOURING, own, words

PLAIN = FILES[TOURING].read_text("utf-8")
TWISTS = changed(
    PLAIN,
    {
        "vehicle.frame_torsional_stiffness": "900 N*m/deg ± 100 N*m/deg",
        "vehicle.cab_share_of_twist": "0.2 ± 0.1",
    },
)
TOLD = re.compile(r"The frame twists: of what.*?counts that\.", re.DOTALL)


FEW = 8  # samples


@functools.cache
def worked():
    """Scenario, what its sheet is made of, and the bar that it orders."""
    read = loads(TWISTS, "twists.toml")
    work = work_out(read, samples=FEW)
    return read, work, ordered(work.bar, read.rear_bar)


def in_one_line(text: str) -> str:
    return " ".join(text.split())


def test_command_json_sheet_and_page_say_the_same(tmp_path, capsys):
    path = tmp_path / "twists.toml"
    path.write_text(TWISTS, encoding="utf-8")
    assert main(["size", str(path), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    read, work, bar = worked()
    share = record["choice"]["lost_in_cab_share"]
    assert share == pytest.approx(lost_in_cab(read.job, record["case"], bar.fitted), rel=1e-9)
    assert f" {100.0 * share:.0f} % is lost on the way to the cab" in record["lost_in_cab"]
    assert main(["size", str(path)]) == 0
    assert TOLD.findall(in_one_line(capsys.readouterr().out)) == [record["lost_in_cab"]]
    loss = cab_loss(read.job, read.tolerances, work.case, bar)
    banded = cab_loss_words(loss)
    low, high = (f"{100.0 * end:.0f} %" for end in (loss.within.low, loss.within.high))
    assert f" {100.0 * share:.0f} % ({low} to {high}) is lost" in banded
    few = cab_loss_words(cab_loss(read.job, read.tolerances, work.case, bar, count=FEW))
    assert [one for one in sheet_words.answer(work, METRIC) if TOLD.match(one)] == [few]
    app = own(TWISTS, wheels="true")
    assert not app.exception
    assert TOLD.findall(words(app)) == [banded]
    picture = next(m.value for m in app.markdown if "<svg" in m.value)
    (result,) = results(read.job, only=(work.case,))
    point = result.curve[4]
    cab, tray = (math.degrees(x) for x in (point.roll_angle, point.tray_roll_angle))
    assert f"lean: cab {cab:.2f}°, tray {tray:.2f}° to the right" in picture
    assert "the body is drawn at the cab's lean" in words(app)


def test_the_command_has_a_table_of_the_tray(tmp_path, capsys):
    path = tmp_path / "twists.toml"
    path.write_text(TWISTS, encoding="utf-8")
    assert main(["roll", str(path), "--at", "0.4"]) == 0
    text = capsys.readouterr().out
    for end, angle in (("cab", "roll_angle"), ("tray", "tray_roll_angle")):
        table = text.partition(f"Lean (roll angle) of the {end} in a left bend, deg")[2]
        row = next(line for line in table.splitlines() if line.startswith("at 0.4 g"))
        (loaded,) = results(worked()[0].job, only=("touring",))
        assert row.split()[-1] == f"{math.degrees(getattr(loaded.curve[4], angle)):.2f}"
    assert "lean at rest, tray" not in text  # both stand upright


def test_the_band_is_that_of_the_cabs_share():
    """With all else exact: 1 − (gain)/(gain on a rigid frame) is a straight line in the share."""
    read, _, bar = worked()
    known = [one for one in read.tolerances if one.key == "vehicle.cab_share_of_twist"]
    loss = cab_loss(read.job, known, "touring", bar, count=256)
    ends = [
        lost_in_cab(loads(changed(TWISTS, {key: value}), "x.toml").job, "touring", bar.fitted)
        for key, value in zip(["vehicle.cab_share_of_twist"] * 2, ("0.3", "0.1"), strict=True)
    ]
    assert [loss.within.low, loss.within.high] == pytest.approx(ends, abs=0.002)
    assert loss.share == pytest.approx(np.mean(ends), abs=1e-9)


def test_no_less_than_nothing_is_lost():
    told = cab_loss_words(CabLoss(-0.02, Band(-0.08, 0.04)))
    assert "nothing (nothing to 4 %) is lost" in told
    assert cab_loss_words(None) == ""


def test_springs_and_bar_stand_at_the_lean_of_the_tray():
    job = loads(TWISTS, "twists.toml").job
    stiff = FittedBar(4e4)
    (result,) = results(job, bar=stiff, only=("touring",))
    state = next(one for one in states(job) if one.name == "touring")
    point = result.curve[-1]
    view = rear_view_of(job, state, point, title="", bend="left")
    assert view.tray.roll_angle == point.tray_roll_angle != view.body.roll_angle
    arch = [point.arch_rise[n] for n in (2, 3)]
    half = 0.5 * job.vehicle.rear.track
    centre = job.vehicle.rear.roll_centre_height
    found = [view.tray.at(side * half, centre)[1] - centre for side in (-1.0, 1.0)]
    assert found == pytest.approx(arch, abs=1e-9)
