"""Wheels and dampers on Springs and weights: the command's words, and from bay to scenario."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from rollsim.cli import main
from rollsim.drawing.corner import CornerPose, CornerView, corner_view
from rollsim.drawing.damper_reach import DamperRow, damper_rails
from rollsim.page import bay_lift
from rollsim.page.bay_roll_centre import WISHBONES
from rollsim.reader_units import METRIC
from rollsim.roll_centre import DoubleWishbone, Point
from rollsim.scenario import loads
from rollsim.scenario.editing import changed, value
from tests.springs_page import fill_in, page, said, si, table, text_of

ROOT = Path(__file__).resolve().parents[1]
LIFTED = "arrives-loaded-and-lifted"
SHORT = {"open_length": 520.0, "closed_length": 345.0, "length": 478.0, "mount_height": 420.0}
RACK = {
    **{"camber_left": -0.4, "camber_right": -0.2, "caster_left": 3.1, "camber_adjustment": 0.5},
    **{"lower_front": 300.0, "lower_rear": 307.0, "lower_apart": 330.0},
}
PACK = {
    **{"fixed_eye_height": 560.0, "shackle_eye_height": 545.0, "seat_height": 480.0},
    **{"fixed_eye_to_axle": 620.0, "axle_to_shackle_eye": 680.0, "shackle_length": 110.0},
    "shackle_angle": 21.5,
}
POINTS = (415.0, 582.0, 655.0, 566.0, 330.0, 304.0, 695.0, 262.0, 785.0)


def test_the_page_says_what_the_command_says_and_takes_a_damper_from_the_bay(capsys):
    path = ROOT / "scenarios" / f"{LIFTED}.toml"
    assert main(["springs", str(path), "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    told_apart = ("arm", "verdict", "caster_verdict", "toe_verdict", "sign")
    told_apart += ("agrees_with_spring_check",)
    for what in ("wheels", "dampers", "leaf_packs"):
        for end, states in record[what].items():
            nulls = {k for one in states.values() for k, v in one.items() if v is None}
            for key in nulls.difference(told_apart):
                why = f"{what}: {end}: {key} is null: "
                assert any(note.startswith(why) for note in record["notes"]), why
    curve = record["camber_curve"]["front"]["points"]
    heights = [one["ride_height_change_mm"] for one in curve]
    assert (heights[0], heights[-1]) == (-100.0, 45.0)  # its gaps, from stop to stop
    unladen = record["wheels"]["front"]["unladen"]
    there = np.interp(
        unladen["ride_height_change_mm"], heights, [one["camber_deg"] for one in curve]
    )
    mean = 0.5 * (unladen["camber_left_deg"] + unladen["camber_right_deg"])
    assert there == pytest.approx(mean, abs=0.01)
    app = page(LIFTED, part="Wheels")
    assert not app.exception
    stand = record["wheels"]["front"]["as_used"]
    told = said(app.warning)
    order = record["one_arm"]["front"]["text"]
    assert f"**{order}**" in told  # what to order first; why, in rows, beside the picture
    rows = said(app.markdown)
    assert f"as used: {stand['to_do']}." in rows
    assert all(f"- {name}: {why}" in rows for name, why in stand["rows"].items())
    assert stand["text"].startswith(stand["to_do"])
    assert stand["too_rough"]
    assert f"Rear dampers: {record['dampers']['rear']['as_used']['text']}." in told
    assert "licensed shop where codes ask" in told
    cells = table(app, "front wheels")["as used"]
    assert float(cells["camber, left wheel, deg"]) == pytest.approx(
        stand["camber_left_deg"], abs=0.05
    )
    to_half = round(2.0 * stand["arm_longer_right_mm"]) / 2.0
    assert float(cells["arm to order, right, longer by, mm"]) == to_half
    assert [m for m in app.markdown if 'aria-label="front wheel from behind' in m.value]
    fill_in(app, bay_lift.DAMPER, SHORT | {"base": 820.0})
    app.run()
    app.button(key="bay:put:damper").click().run()
    assert not app.exception
    assert value(text_of(app), "rear.damper.open_length") == "520 mm"
    assert "it opens 30 mm before full droop: 558 mm open at least is needed" in said(app.warning)


def test_a_rack_and_a_linkage_from_the_bay_are_keys_of_the_file():
    text = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text(encoding="utf-8")
    front = loads(text, "x.toml").job.vehicle.front
    rack = {"axle": "front", "read": "before the work", "adjusted_pivot": "no pivot"}
    by_rack = bay_lift.alignment_changes(si(bay_lift.ALIGNMENT, RACK), rack, METRIC, text=text)
    assert "front.alignment.caster" not in by_rack  # of one side alone
    assert not any("tie_rod" in key or "upper_axis" in key for key in by_rack)
    values = {one.key: size for one, size in zip(WISHBONES.readings, POINTS, strict=True)}
    by_tape = bay_lift.linkage_changes(WISHBONES, si(WISHBONES, values), "front", METRIC, text=text)
    ratio = {**SHORT, "motion_ratio": 0.6, "spring_height": 310.0}
    damper = bay_lift.damper_changes(si(bay_lift.DAMPER, ratio), "front", front, METRIC, text=text)
    new = loads(changed(text, {**by_rack, **by_tape, **damper}), "x.toml").job.vehicle.front
    assert [math.degrees(one) for one in new.alignment.reading.camber] == pytest.approx(
        [-0.4, -0.2]
    )
    assert new.alignment.corner.linkage.lower_joint == Point(0.695, 0.262)
    assert math.tan(new.alignment.corner.lower_slope) == pytest.approx(-7.0 / 330.0)
    assert new.damper.motion_ratio == 0.6
    assert damper["front.spring_height"] == "310 mm"
    text = changed(text, {**by_rack, **by_tape, **damper})
    again = {"camber_left": -0.3, "camber_right": -0.2, "wanted_toe": 0.1, "pivot_adjustment": 4.0}
    rack |= {"read": "after it", "adjusted_pivot": "lower"}
    after = bay_lift.alignment_changes(si(bay_lift.ALIGNMENT, again), rack, METRIC, text=text)
    done = loads(changed(text, after), "x.toml").job.vehicle.front.alignment
    assert [math.degrees(one) for one in done.after.camber] == pytest.approx([-0.3, -0.2])
    assert math.degrees(done.reading.camber[0]) == pytest.approx(-0.4)
    assert math.degrees(done.wanted_toe) == pytest.approx(0.1)
    assert (done.pivot_adjustment, done.camber_adjustment) == (0.004, None)
    told = {"axle": "rear", "shackle_end": "rear", "leaves_at_mid_length": "gaps"}
    text = changed(text, {"rear.spring_height": "90 mm"})  # the places say it in its stead
    leaf = bay_lift.leaf_changes(si(bay_lift.LEAVES, PACK), told, METRIC, text=text)
    rear = loads(changed(text, leaf), "x.toml").job.vehicle.rear
    assert math.degrees(rear.leaves.shackle_angle) == pytest.approx(21.5)
    assert rear.leaves.gaps
    flat = {**PACK, "shackle_angle": None, "hanger_height": 650.0, "axle_to_hanger": 646.0}
    taped = {key: one for key, one in flat.items() if one is not None}
    again = bay_lift.leaf_changes(
        si(bay_lift.LEAVES, taped), told, METRIC, text=changed(text, leaf)
    )
    rear = loads(changed(changed(text, leaf), again), "x.toml").job.vehicle.rear
    assert not rear.leaves.angle_is_measured
    assert bay_lift.unfit(bay_lift.LEAVES, front)
    assert bay_lift.unfit(bay_lift.ALIGNMENT, loads(text, "x.toml").job.vehicle.rear)


def test_pictures_hold_their_figures_and_what_is_too_much_is_hatched():
    ends = [Point(*end) for end in ((0.4, 0.5), (0.6, 0.5), (0.3, 0.3), (0.7, 0.25))]
    side = DoubleWishbone(*ends, 0.78)
    poses = [
        CornerPose(name, side, math.radians(x)) for name, x in (("unladen", -0.3), ("now", 1.2))
    ]
    drawn = corner_view(CornerView("front", *poses, radius=0.38))
    assert "front wheel from behind; unladen: camber -0.3°; now: camber +1.2°" in drawn
    assert drawn.count('class="wheel"') == 2
    fits = DamperRow("rear", "reaches", 0.35, 0.56, 0.389, 0.535, 0.465)
    short = DamperRow("rear", "does not reach", 0.40, 0.52, 0.389, 0.535, math.nan)
    assert 'class="over"' not in damper_rails([fits])
    assert damper_rails([short]).count('class="over"') == 2
    assert "now" not in damper_rails([short])
