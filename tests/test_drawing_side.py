"""The picture from the side: to scale, figures of the spring check, no text over another."""

import math
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from rollsim.cli.spring_records import springs_record
from rollsim.drawing import side_view, side_view_of
from rollsim.drawing.side import SideView
from rollsim.drawing.side_bodies import Place, overhangs, side_outline, top_at
from rollsim.drawing.svg import WIDTH
from rollsim.drawing.travel import APART, HEIGHT, Travel, travel_gauge, travel_scale
from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem
from rollsim.scenario import load
from rollsim.spring_check import spring_checks
from rollsim.vehicle import VehicleClass

FILES = sorted((Path(__file__).resolve().parents[1] / "scenarios").glob("*.toml"))
SCENARIOS = {path.stem: load(path) for path in FILES}
CHECKS = {stem: spring_checks(scenario.job) for stem, scenario in SCENARIOS.items()}
EVERY = [(stem, check.name) for stem, checks in CHECKS.items() for check in checks]
TOURING, BEYOND = "crew-cab-touring", "beyond-a-bar"


def view_of(stem: str, state: str, units=METRIC) -> SideView:
    check = next(check for check in CHECKS[stem] if check.name == state)
    return side_view_of(SCENARIOS[stem].job, check, title=state, units=units)


def numbers(pattern: str, drawn: str) -> list[float]:
    return [float(found) for found in re.findall(pattern, drawn)]


def wheels(drawn: str) -> list[tuple[float, float, float]]:
    """Left and right end of each tyre's foot, and its radius."""
    found = re.findall(
        r'class="wheel"[^>]*d="M([\d.]+) 0A([\d.]+) [\d.]+ 0 1 1 ([\d.]+) 0Z"', drawn
    )
    return [(float(left), float(right), float(radius)) for left, radius, right in found]


def texts(drawn: str) -> list[tuple[float, float, float, str]]:
    """Left and right end, base line and words of every text."""
    pattern = (
        r'<text x="([-\d.]+)" y="([-\d.]+)" text-anchor="(\w+)" '
        r'style="fill:[^;]*;font-size:([\d.]+)px(;font-weight:600)?">([^<]*)<'
    )
    found = []
    for x, y, anchor, size, bold, words in re.findall(pattern, drawn):
        wide = float(size) * sum(map(em, words)) * (1.07 if bold else 1.0)
        left = float(x) - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        found.append((left, left + wide, float(y), words))
    return found


def em(letter: str) -> float:
    """About how wide a letter of a sans serif is, in parts of its size."""
    for width, letters in ((0.24, "ijl"), (0.29, "ft.,; /"), (0.35, "r-"), (0.84, "mw")):
        if letter in letters:
            return width
    return 0.70 if letter.isupper() else 0.56


@pytest.mark.parametrize(("stem", "state"), EVERY)
def test_the_words_of_every_state_are_the_figures_of_the_command(stem, state):
    record = springs_record(SCENARIOS[stem], CHECKS[stem])["states"][state]
    words = re.search(r'aria-label="([^"]*)"', side_view(view_of(stem, state)))[1]
    for axle in ("front", "rear"):
        said = next(part for part in words.split("; ") if f"{axle} axle" in part)
        figures = record[axle]
        assert f"{axle} axle {figures['axle_mass_kg']:.0f} kg" in said
        for key, name in (("bump", "bump stop"), ("rebound", "full droop")):
            left = figures[f"{key}_travel_left_mm"]
            assert (left is None) == (name not in said)
            if left is not None:
                assert f"{abs(left):.0f} mm {'to' if left >= 0 else 'into'} {name}" in said
        height = re.search(r"ride height ([+-]?\d+) mm", said)[1]
        assert float(height) == pytest.approx(figures["ride_height_change_mm"], abs=0.5)
        stage = {"none": "", "idle": "idle", "working": "at work", "fully in": "at work"}
        assert said.endswith(f"helper leaves {stage[figures['second_stage']]}") or (
            figures["second_stage"] == "none" and "helper" not in said
        )


@pytest.mark.parametrize(("stem", "state"), EVERY)
def test_wheelbase_and_tyres_are_on_one_scale(stem, state):
    view = view_of(stem, state)
    drawn = side_view(view)
    (left, right, radius), (left2, right2, radius2) = wheels(drawn)
    scale = ((left2 + right2) - (left + right)) / 2.0 / view.wheelbase
    for axle, foot, found in (
        (view.front, right - left, radius),
        (view.rear, right2 - left2, radius2),
    ):
        assert found == pytest.approx(axle.free_radius * scale, abs=0.01)
        height = axle.wheel_centre + axle.rise
        assert foot / 2.0 == pytest.approx(
            scale * math.sqrt(axle.free_radius**2 - height**2), abs=0.05
        )


@pytest.mark.parametrize("state", ["touring", "work week"])
def test_the_body_stands_where_its_ride_heights_and_tyres_put_it(state):
    view = view_of(TOURING, state)
    drawn = side_view(view)
    slope, shift = re.search(r"matrix\(1 ([-\d.]+) 0 1 0 ([-\d.]+)\)", drawn).groups()
    (left, right, _), (left2, right2, _) = wheels(drawn)
    scale = ((left2 + right2) - (left + right)) / 2.0 / view.wheelbase
    for axle, x in ((view.front, (left + right) / 2.0), (view.rear, (left2 + right2) / 2.0)):
        risen = -(float(slope) * x + float(shift)) / scale
        assert risen == pytest.approx(axle.travel.now + axle.rise, abs=5e-5)


def test_a_tyre_gives_by_the_load_it_gained():
    scenario, view = SCENARIOS[TOURING], view_of(TOURING, "touring")
    gained = view.rear.mass - scenario.job.vehicle.rear_axle_mass
    by_hand = gained * 9.80665 / (2.0 * 250e3)  # two tyres of 250 N/mm
    assert view.rear.rise == pytest.approx(-by_hand, rel=1e-12)
    assert view.rear.rise < -0.002


def test_as_weighed_has_no_dashed_outline_and_a_changed_height_has_one():
    assert 'class="before"' not in side_view(view_of(TOURING, "as_weighed"))
    assert 'class="before"' in side_view(view_of(TOURING, "touring"))


def test_a_lift_moves_the_second_stage_and_leaves_the_stops():
    lifted, weighed = (view_of(TOURING, s).rear.travel for s in ("touring", "as_weighed"))
    assert weighed.second_stage == pytest.approx(-0.055)
    assert lifted.second_stage == pytest.approx(-0.055 + 0.040)
    assert (lifted.bump_stop, lifted.rebound_limit) == (weighed.bump_stop, weighed.rebound_limit)
    assert (weighed.bump_stop, weighed.rebound_limit) == (-0.080, 0.090)


def test_over_a_rating_is_said_and_drawn_and_only_then():
    over, suited = side_view(view_of(BEYOND, "as_used")), side_view(view_of(TOURING, "touring"))
    assert "1723 kg OVER" in over
    assert 'class="load over"' in over
    assert "OVER" not in suited
    assert 'class="load over"' not in suited
    tip, mark = (
        numbers(r'class="load over"[^>]*?V([\d.]+)h', over)[0],
        numbers(r'class="rating"[^>]*d="M[\d.]+ ([\d.]+)h', over)[1],
    )
    assert tip > mark  # the arrow reaches past its rating
    view = view_of(BEYOND, "as_used")
    assert (tip - 5.0) / (mark - 5.0) == pytest.approx(view.rear.mass / view.rear.rating, rel=0.01)


@pytest.mark.parametrize("units", [METRIC, READER_UNITS[UnitSystem.IMPERIAL]])
@pytest.mark.parametrize(("stem", "state"), EVERY)
def test_no_text_leaves_the_picture_or_stands_on_another(stem, state, units):
    drawn = side_view(view_of(stem, state, units))
    boxes = texts(drawn)
    assert len(boxes) >= 8
    for n, (left, right, y, words) in enumerate(boxes):
        assert left >= 0.0, words
        assert right <= WIDTH, words
        for other, end, level, second in boxes[:n]:
            assert abs(level - y) >= 11.0 or left >= end or other >= right, (words, second)


def test_colours_follow_the_theme_and_no_element_has_an_id():
    drawn = side_view(view_of(TOURING, "touring"))
    assert "light-dark(" in drawn
    assert "currentColor" in drawn
    assert " id=" not in drawn


def gauge(travel: Travel) -> str:
    return travel_gauge(travel, 8.0, 200.0, scale=travel_scale([travel]), unit="mm")


def test_the_gauge_is_to_scale_and_as_high_as_told():
    travel = Travel(-0.030, -0.080, 0.090, 0.050, 0.120, -0.055)
    drawn, scale = gauge(travel), travel_scale([travel])
    assert scale == pytest.approx(HEIGHT / (0.080 + 0.090 + 2 * 0.02))
    stops = numbers(r'class="stop"[^>]*d="M[\d.]+ ([\d.]+)h', drawn)
    assert stops == pytest.approx([200.0 - 0.090 * scale, 200.0 + 0.080 * scale], abs=0.06)
    pointer = numbers(r'class="now"[^>]*d="M[\d.]+ ([\d.]+)h', drawn)[0]
    assert pointer + 1.6 == pytest.approx(200.0 + 0.030 * scale, abs=0.06)
    assert "helper leaves start" in drawn


@pytest.mark.parametrize(
    ("travel", "there", "missing"),
    [
        (Travel(0.0, math.nan, math.nan, math.nan, math.nan, math.nan), "now, as weighed", "stop"),
        (Travel(-0.09, -0.08, 0.09, -0.010, 0.180, math.nan), "10 mm into bump stop", "helper"),
        (Travel(0.095, -0.08, 0.09, 0.175, -0.005, -0.2), "5 mm into full droop", "helper"),
        (Travel(0.01, -0.08, math.nan, 0.09, math.nan, -0.01), "helper leaves start", "droop"),
    ],
)
def test_the_gauge_shows_what_is_given_and_nothing_else(travel, there, missing):
    drawn = gauge(travel)
    assert there in drawn
    assert missing not in drawn
    assert "nan" not in drawn


def test_labels_of_marks_that_meet_stand_apart():
    crowded = Travel(-0.058, -0.062, 0.075, 0.004, 0.133, -0.060)
    levels = sorted(y for _, _, y, _ in texts(gauge(crowded)))
    assert len(levels) == 5
    assert all(b - a >= APART - 0.2 for a, b in pairwise(levels))


@pytest.mark.parametrize("vehicle_class", [None, *VehicleClass])
def test_an_outline_reaches_from_overhang_to_overhang_and_to_the_roof(vehicle_class):
    place = Place(60.0, 3.0, 1.9, 60.0)
    points = re.findall(r"([-\d.]+) ([-\d.]+)", side_outline(vehicle_class, place))
    across, up = ([float(p[n]) for p in points] for n in (0, 1))
    before, behind = overhangs(vehicle_class)
    assert min(across) == pytest.approx(60.0 - before * 60.0, abs=2.0)
    assert max(across) == pytest.approx(60.0 + (3.0 + behind) * 60.0, abs=2.0)
    assert min(up) == pytest.approx(-1.9 * 60.0, abs=0.1)
    assert top_at(vehicle_class, place, 60.0 + 0.5 * 180.0) == pytest.approx(-1.9 * 60.0)
    assert top_at(vehicle_class, place, -500.0) == 0.0


def test_a_state_that_is_not_there_or_does_not_stand_is_refused():
    job, check = SCENARIOS[TOURING].job, CHECKS[TOURING][0]
    with pytest.raises(ValueError, match="allowed unladen, as_weighed, work week, touring"):
        side_view_of(job, replace(check, name="nothing"), title="x")
    fallen = replace(check, front=replace(check.front, verdict=None))
    with pytest.raises(ValueError, match="no settled position"):
        side_view_of(job, fallen, title="x")
