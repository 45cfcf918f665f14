"""Roll centre and its travel against closed forms and against the path of the contact patch."""

import math
from dataclasses import replace

import pytest

from rollsim.roll_centre import (
    DoubleWishbone,
    LeafSprings,
    PanhardRod,
    Point,
    Strut,
    height_at,
    roll_centre,
    travel_ratio,
)
from rollsim.roll_centre.geometry import _raised

WISHBONE = DoubleWishbone(
    upper_pivot=Point(0.42, 0.52),
    upper_joint=Point(0.66, 0.54),
    lower_pivot=Point(0.33, 0.27),
    lower_joint=Point(0.70, 0.24),
    half_track=0.78,
)
STRUT = Strut(
    top=Point(0.56, 0.80),
    tube=Point(0.66, 0.35),
    lower_pivot=Point(0.34, 0.24),
    lower_joint=Point(0.70, 0.20),
    half_track=0.76,
)
LEAVES = LeafSprings(0.42, 0.48, 0.36, eye_to_axle=0.6, axle_to_eye=0.7)
ROD = PanhardRod(Point(0.55, 0.40), Point(-0.45, 0.46))
EVERY = [WISHBONE, STRUT, LEAVES, ROD]


def intersection(a, b, c, d):
    """Where the line a–b meets the line c–d, by solving for the parameter of the first."""
    ux, uz = b[0] - a[0], b[1] - a[1]
    vx, vz = d[0] - c[0], d[1] - c[1]
    t = ((c[0] - a[0]) * vz - (c[1] - a[1]) * vx) / (ux * vz - uz * vx)
    return a[0] + t * ux, a[1] + t * uz


def pair(point):
    return point.across, point.height


def from_instant_centre(centre, half_track):
    return centre[1] * half_track / (half_track - centre[0])


def test_wishbone_by_intersections():
    w = WISHBONE
    centre = intersection(
        pair(w.upper_pivot), pair(w.upper_joint), pair(w.lower_pivot), pair(w.lower_joint)
    )
    assert height_at(w) == pytest.approx(from_instant_centre(centre, w.half_track), rel=1e-12)


def test_strut_by_intersections():
    s = STRUT
    along = (s.top.across - s.tube.across, s.top.height - s.tube.height)
    square = (s.top.across - along[1], s.top.height + along[0])
    centre = intersection(pair(s.top), square, pair(s.lower_pivot), pair(s.lower_joint))
    assert height_at(s) == pytest.approx(from_instant_centre(centre, s.half_track), rel=1e-12)


def parallel(slope=-0.1, arm=0.35):
    """Equal, parallel arms that fall outward: the knuckle never tilts."""
    out = arm * math.cos(math.atan(slope))
    fall = arm * math.sin(math.atan(slope))
    return DoubleWishbone(
        upper_pivot=Point(0.35, 0.50),
        upper_joint=Point(0.35 + out, 0.50 + fall),
        lower_pivot=Point(0.35, 0.25),
        lower_joint=Point(0.35 + out, 0.25 + fall),
        half_track=0.78,
    )


def test_parallel_arms_need_no_instant_centre():
    assert height_at(parallel(-0.1)) == pytest.approx(0.1 * 0.78, rel=1e-12)
    assert height_at(parallel(0.0)) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("rise", [0.01, -0.01, 0.04])
def test_travel_of_parallel_arms_in_closed_form(rise):
    # The joint keeps its height, the pivot rises: the arm's fall grows by the rise.
    arm, start = 0.35, math.atan(-0.1)
    turned = math.asin(math.sin(start) - rise / arm)
    half_track = 0.78 + arm * (math.cos(turned) - math.cos(start))
    found = height_at(parallel(-0.1, arm), rise)
    assert found == pytest.approx(-math.tan(turned) * half_track, rel=1e-9)


@pytest.mark.parametrize("side", [WISHBONE, STRUT, parallel()])
@pytest.mark.parametrize("rise", [0.0, 0.02, -0.03])
def test_the_contact_patch_moves_square_to_the_line_to_its_instant_centre(side, rise):
    # Seen from the body the patch goes around the instant centre, so that height = half track ×
    # scrub per travel: a check that draws no line at all.
    step = 1e-5
    out, inward = (_raised(side, rise + d)[1].across for d in (step, -step))
    scrub = (out - inward) / (2.0 * step)
    half_track = _raised(side, rise)[1].across
    assert height_at(side, rise) == pytest.approx(-scrub * half_track, rel=1e-5, abs=1e-8)


@pytest.mark.parametrize("side", [WISHBONE, STRUT])
def test_links_keep_their_length_when_moved(side):
    moved, contact = _raised(side, 0.03)
    assert contact.height == pytest.approx(0.0, abs=1e-11)

    def arm(s):
        return math.dist(pair(s.lower_pivot), pair(s.lower_joint))

    assert arm(moved) == pytest.approx(arm(side), rel=1e-12)
    assert moved.lower_pivot.height == pytest.approx(side.lower_pivot.height + 0.03)
    if isinstance(side, DoubleWishbone):
        uprights = [math.dist(pair(s.upper_joint), pair(s.lower_joint)) for s in (side, moved)]
        assert uprights[0] == pytest.approx(uprights[1], rel=1e-12)


@pytest.mark.parametrize(("side", "low", "high"), [(WISHBONE, 0.9, 1.4), (STRUT, 1.5, 3.0)])
def test_usual_ratios(side, low, high):
    # Double wishbones about 1, struts above: common practice.
    assert low < travel_ratio(side) < high


def test_panhard_rod_by_hand():
    # 0.40 + 0.06 × 0.55/1.00 at the centreline.
    assert height_at(ROD) == pytest.approx(0.433, rel=1e-12)


def test_level_rod_travels_by_its_share():
    # A level rod's length does not matter to first order: the body's end rises, the axle's stays.
    level = PanhardRod(Point(0.6, 0.4), Point(-0.4, 0.4))
    assert travel_ratio(level) == pytest.approx(0.6, abs=1e-3)
    base = math.sqrt(1.0 - 0.01**2)
    assert height_at(level, 0.01) == pytest.approx(0.4 + 0.6 * 0.01 / base, rel=1e-12)


def test_mirrored_rod_is_the_same():
    other = PanhardRod(Point(-0.55, 0.40), Point(0.45, 0.46))
    assert height_at(other, 0.03) == height_at(ROD, 0.03)


def test_leaf_springs_by_hand():
    # Eyes over the axle: 0.42 + 0.06 × 0.6/1.3; half way to it from the seat at 0.36.
    eyes = 0.42 + 0.06 * 0.6 / 1.3
    assert height_at(LEAVES) == pytest.approx(0.5 * (eyes + 0.36), rel=1e-12)
    assert travel_ratio(LEAVES) == pytest.approx(0.5, rel=1e-12)
    # Between a third and all of the way is claimed: a third of it to either side.
    assert roll_centre(LEAVES).claimed == pytest.approx(((eyes - 0.36) / 3.0, 1.0 / 3.0))
    assert roll_centre(LEAVES).height_tolerance > (eyes - 0.36) / 3.0
    assert roll_centre(ROD).claimed == (0.0, 0.0)


# Sensitivity


@pytest.mark.parametrize("linkage", EVERY, ids=lambda x: type(x).__name__)
def test_sensitivities_are_moved_readings(linkage):
    found = roll_centre(linkage)
    assert found.height == height_at(linkage)
    total = found.claimed[0] ** 2
    for each in found.sensitivities:
        name, _, inner = each.reading.partition(".")
        value = getattr(linkage, name)
        heights = []
        for error in (0.005, -0.005):
            if inner:
                part = replace(value, **{inner: getattr(value, inner) + error})
            else:
                part = value + error
            heights.append(height_at(replace(linkage, **{name: part})))
        assert each.height_change == pytest.approx(0.5 * (heights[0] - heights[1]), rel=1e-12)
        total += each.height_change**2
    assert found.height_tolerance == pytest.approx(math.sqrt(total), rel=1e-12)
    sizes = [abs(each.height_change) for each in found.sensitivities]
    assert sizes == sorted(sizes, reverse=True)


def test_a_wishbone_moves_45_mm_for_15_mm():
    worst = roll_centre(WISHBONE, reading_error=0.015).sensitivities[0]
    assert abs(worst.height_change) > 0.045
    assert any("45 mm" in note for note in roll_centre(WISHBONE).notes)


def test_a_rod_is_easy_to_measure():
    assert roll_centre(ROD).height_tolerance < 0.005 < 0.02 < roll_centre(WISHBONE).height_tolerance


@pytest.mark.parametrize(
    ("linkage", "told"),
    [
        (PanhardRod(Point(0.5, 0.4), Point(0.2, 0.4)), "opposite sides"),
        (LeafSprings(0.4, 0.4, 0.4, eye_to_axle=0.0, axle_to_eye=1.0), "between the eyes"),
    ],
)
def test_readings_that_are_no_such_linkage(linkage, told):
    with pytest.raises(ValueError, match=told):
        roll_centre(linkage)


@pytest.mark.parametrize("linkage", [WISHBONE, ROD])
def test_a_rise_beyond_reach(linkage):
    with pytest.raises(ValueError, match="does not reach so far"):
        height_at(linkage, 2.0)
