"""The vehicle from behind: every length in the picture held against the figures it stands for."""

import functools
import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from rollsim import drawing, mass, roll
from rollsim.drawing import BarInPlace, Pose, RearAxle, RearView, rear_view
from rollsim.drawing.from_job import bar_in_place, body_pose, centre_of_gravity, rear_view_of
from rollsim.drawing.running_gear import SPRING, bar_points, spring_ends
from rollsim.scenario import load
from rollsim.vehicle import STANDARD_GRAVITY, Job, Suspension, VehicleClass
from tests.builders import SCENARIOS

PX = drawing.PIXELS_PER_METRE
LATERAL = tuple(0.1 * n * STANDARD_GRAVITY for n in range(8))
FINE = tuple(0.01 * n * STANDARD_GRAVITY for n in range(50, 100))
LOADS = (3e3, 8e3, 2e3, 6e3)
FLAT = RearAxle(Suspension.SOLID_AXLE, Pose(0.0), 1.5, 1.1, 0.37, 0.37)


def view(lean: float = 0.05, loads: tuple[float, ...] = LOADS, axle: RearAxle = FLAT) -> RearView:
    return RearView(
        title="x & <y>",
        bend="left",
        body=Pose(lean, 0.47),
        axle=axle,
        wheel_loads=loads,
        full_load=9e3,
        roof_height=1.75,
        cg=(0.02, 0.66),
        roll_centre=(0.0, 0.47),
        height_shown=1.8,
    )


@functools.cache
def solved(path: Path) -> tuple[Job, tuple[roll.StateResult, ...]]:
    job = load(path).job
    return job, roll.results(job, LATERAL)


def points(path: Path) -> Iterator[tuple[Job, mass.State, roll.StateResult, roll.CurvePoint]]:
    """Every point of every state, from 0 to 0.7 g."""
    job, found = solved(path)
    for state, result in zip(mass.states(job), found, strict=True):
        for point in result.curve:
            yield job, state, result, point


each_scenario = pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)


def drawn(element: str, picture: str) -> list[str]:
    """Path data or sizes of the elements of one class."""
    return re.findall(rf'class="{element}"[^>]* d="([^"]+)"', picture)


def test_leans_right_and_says_so_in_words():
    picture = rear_view(view(0.05))
    assert "rotate(2.865 170.0 -46.1)" in picture  # SVG turns clockwise: the top goes right
    assert 'role="img"' in picture
    assert "lean 2.86 degrees to the right" in picture
    assert "x &amp; &lt;y&gt;" in picture


@pytest.mark.parametrize(("lean", "side"), [(-0.01, "left"), (0.0, "right"), (0.01, "right")])
def test_names_the_side_of_the_lean(lean, side):
    assert f"{abs(lean) * 57.29578:.2f} degrees to the {side}" in rear_view(view(lean))


def test_a_pose_turns_the_top_right_and_the_right_side_down():
    pose = Pose(math.pi / 6.0, 0.5, right=0.1, rise=0.2)
    assert pose.at(0.0, 1.5) == pytest.approx((0.6, 0.7 + math.sqrt(0.75)))
    assert pose.at(1.0, 0.5) == pytest.approx((0.1 + math.sqrt(0.75), 0.2))


def test_the_body_is_moved_by_its_pose():
    picture = rear_view(replace(view(), body=Pose(0.0, 0.47, right=0.03, rise=0.05)))
    assert f"translate({0.03 * PX:.2f} {-0.05 * PX:.2f}) rotate(0.000" in picture


def test_the_ghost_stands_where_it_is_told_or_upright():
    assert 'class="ghost" transform="translate(0.00 0.00) rotate(0.000' in rear_view(view())
    ghost = Pose(0.1, 0.47, rise=-0.02)
    told = rear_view(replace(view(), ghost=ghost))
    assert f'class="ghost" transform="translate(0.00 {0.02 * PX:.2f}) rotate(5.730' in told


def test_a_squashed_tyre_is_as_far_flattened_as_it_is_deflected():
    squash = 0.04
    axle = replace(FLAT, free_radius=FLAT.wheel_centre_height + squash)
    assert axle.gap(-1) == pytest.approx(-squash)
    picture = rear_view(view(axle=axle))
    outline = drawn("tyre left", picture)[0]
    heights = [-float(y) / PX for y in re.findall(r"-?[\d.]+ (-?[\d.]+)", outline)]
    assert min(heights) == 0.0
    assert max(heights) == pytest.approx(2.0 * FLAT.wheel_centre_height + squash, abs=1e-4)
    assert "daylight" not in picture


def test_a_lifted_wheel_shows_its_gap_to_scale_and_no_arrow():
    axle = replace(FLAT, pose=Pose(0.05, rise=0.01))
    lifted = rear_view(view(loads=(3e3, 8e3, 0.0, 8e3), axle=axle))
    gap = 0.01 + 0.75 * math.sin(0.05)
    height = float(re.search(r'class="daylight".*?height="([\d.]+)"', lifted)[1])
    assert height == pytest.approx(gap * PX, abs=0.01)
    bottoms = [float(y) for y in re.findall(r"-?[\d.]+ (-?[\d.]+)", drawn("tyre left", lifted)[0])]
    assert max(bottoms) < 0.0
    assert lifted.count('class="load"') == 3 == rear_view(view()).count('class="load"') - 1
    assert ">lifted</text>" in lifted
    assert "rear left 0 N (off the ground)" in lifted


def test_arrows_are_as_long_as_the_loads():
    lengths = []
    for d in drawn("load", rear_view(view(loads=(3e3, 4.5e3, 6e3, 9e3)))):
        tip, foot = re.match(r"M[\d.]+ ([\d.]+)l.*?V([\d.]+)h", d).groups()
        lengths.append(float(foot) - float(tip))
    assert [n / max(lengths) for n in sorted(lengths)] == pytest.approx(
        [1 / 3, 1 / 2, 2 / 3, 1.0], abs=2e-3
    )


def test_a_load_beyond_the_longest_arrow_stays_in_the_picture():
    picture = rear_view(view(loads=(3e3, 8e3, 2e3, 60e3)))
    assert max(float(y) for y in re.findall(r"V([\d.]+)h-4V", picture)) < drawing.BELOW


@pytest.mark.parametrize("on_axle", [True, False])
def test_the_bar_keeps_its_lengths_and_twists_with_the_lean(on_axle):
    fitted = BarInPlace(on_axle, bush_spacing=0.8, link_spacing=1.0, link_length=0.18)
    axle = replace(FLAT, bar=fitted)
    left, *bends, right, left_link, right_link = bar_points(axle, Pose(0.05, 0.47))
    across = (bends[0][1] - bends[1][1]) / (bends[1][0] - bends[0][0])  # slope of its middle
    twist = (left[1] - right[1]) / (right[0] - left[0]) - across
    assert twist == pytest.approx(math.tan(0.05) if on_axle else -math.tan(0.05), abs=1e-4)
    assert math.dist(left, left_link) == pytest.approx(0.18)
    assert math.dist(right, right_link) == pytest.approx(0.18)
    assert right_link[0] - left_link[0] == pytest.approx(1.0, abs=2e-3)  # cos of the lean
    assert 'class="bar"' in rear_view(view(axle=axle))
    assert 'class="bar"' not in rear_view(view())


@pytest.mark.parametrize("kind", Suspension)
def test_beam_and_arms(kind):
    picture = rear_view(view(axle=replace(FLAT, suspension=kind)))
    assert ('class="beam"' in picture) is (kind is Suspension.SOLID_AXLE)
    assert ('class="arms"' in picture) is (kind is Suspension.INDEPENDENT)


def test_every_class_has_an_outline_of_its_own():
    shapes = {
        re.search(r'class="body".*?<path d="([^"]+)"', rear_view(replace(view(), vehicle_class=c)))[
            1
        ]
        for c in (None, *VehicleClass)
    }
    assert len(shapes) == 1 + len(VehicleClass)


@each_scenario
def test_tyres_are_squashed_by_load_over_rate(path):
    for job, state, _, point in points(path):
        axle = rear_view_of(job, state, point, title="", bend="left").axle
        tilt = (axle.free_radius - axle.wheel_centre_height) * (
            1.0 - math.cos(axle.pose.roll_angle)
        )  # the drawn tread tilts with the axle
        for side, load_ in zip((-1, 1), point.wheel_loads[2:], strict=True):
            squash = load_ / job.vehicle.rear.tyre.vertical_rate
            if squash > 0.0:
                assert -axle.gap(side) == pytest.approx(squash, abs=tilt + 1e-9)
            else:
                assert axle.gap(side) > -tilt - 1e-9


def test_a_rear_wheel_that_a_stiff_bar_lifts_hangs_clear_of_the_road():
    job = load(next(p for p in SCENARIOS if p.stem == "crew-cab-touring")).job
    stiff = mass.FittedBar(roll_stiffness=3e5)
    state, result = mass.states(job)[0], roll.results(job, FINE, stiff)[0]
    views = {
        point.lateral_acceleration: rear_view_of(job, state, point, title="", bend="left")
        for point in result.curve
        if point.wheel_loads[2] == 0.0
    }
    gaps = [shown.axle.gap(-1) for shown in views.values()]
    assert len(gaps) >= 2
    assert gaps == sorted(gaps)
    assert gaps[-1] > 0.01
    assert all("daylight" in rear_view(shown) for shown in views.values())


@each_scenario
def test_the_body_rises_at_the_wheels_as_the_arches_do(path):
    for job, state, _, point in points(path):
        for axle, own in enumerate((job.vehicle.front, job.vehicle.rear)):
            pose = body_pose(job, state, point, axle=axle)
            height = own.roll_centre_height
            for n, side in enumerate((-1, 1)):
                rise = pose.at(side * own.track / 2.0, height)[1] - height
                assert rise == pytest.approx(point.arch_rise[2 * axle + n], abs=1e-9)


@each_scenario
def test_cg_stands_where_the_moments_balance(path):
    job = load(path).job
    rigid = {
        name: replace(axle, tyre=replace(axle.tyre, lateral_rate=None))
        for name, axle in (("front", job.vehicle.front), ("rear", job.vehicle.rear))
    }  # with no give sideways the contact patches stay under the wheels
    job = replace(job, vehicle=replace(job.vehicle, **rigid))
    axles = (job.vehicle.front, job.vehicle.rear)
    for state, result in zip(mass.states(job), roll.results(job, LATERAL), strict=True):
        for point in result.curve:
            right, height = centre_of_gravity(job, state, point)
            couple = sum(
                (point.wheel_loads[2 * n + 1] - point.wheel_loads[2 * n])
                * (axle.track / 2.0 + point.wheels_out[n])
                * math.cos(point.axle_roll[n])
                for n, axle in enumerate(axles)
            )
            lever = couple / (result.total_mass * STANDARD_GRAVITY)
            found = right + height * point.lateral_acceleration / STANDARD_GRAVITY
            assert found == pytest.approx(lever, abs=1e-3)  # pitch moves the shares of the axles
            if point.lateral_acceleration == 0.0:
                assert height == pytest.approx(result.cg_height, abs=1e-6)


@each_scenario
def test_springs_follow_their_travel(path):
    for job, state, _, point in points(path):
        if job.vehicle.rear.suspension is not Suspension.SOLID_AXLE:
            continue
        shown = rear_view_of(job, state, point, title="", bend="left")
        for side, travel in zip((-1, 1), point.spring_travel[2:], strict=True):
            lower, upper = spring_ends(shown.axle, shown.body, side)
            length = math.hypot(upper[0] - lower[0], upper[1] - lower[1])  # it stands askew
            assert length == pytest.approx(SPRING + travel, abs=1e-3)


@each_scenario
def test_every_picture_is_whole(path):
    found = load(path)
    for job, state, _, point in points(path):
        bar = found.rear_bar and bar_in_place(found.rear_bar, 0)
        shown = rear_view_of(
            job, state, point, title=state.name, bend="left", bar=bar, force_unit="lbf"
        )
        picture = rear_view(shown)
        assert not re.search(r"[ (\"MLQ,-](nan|inf)\b", picture, re.IGNORECASE)
        ElementTree.fromstring(picture)
        assert picture.count("<text") == 8
        top = float(re.search(r'viewBox="0 (-?\d+)', picture)[1])
        assert -shown.roof_height * PX > top


def test_missing_words_stand_in_place_of_figures():
    picture = rear_view(replace(view(), missing="tipped <b>"))
    assert "tipped &lt;b&gt;" in picture
    assert "<text" not in picture
    assert f"opacity:{drawing.PALE}" in picture
    assert f"opacity:{drawing.PALE}" not in rear_view(view())


def test_colours_follow_the_theme():
    picture = rear_view(view(axle=replace(FLAT, bar=BarInPlace(True, 0.8, 1.0, 0.18))))
    for colour in re.findall(r"(?:fill|stroke):([^;\"]+)", picture):
        assert colour in ("none", "currentColor") or colour.startswith("light-dark(#"), colour
