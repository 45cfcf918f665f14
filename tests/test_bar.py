"""Contract of the bar: scaling, limits, balance, stress, hanging, candidates."""

import math

import numpy as np
import pytest

from rollsim.bar import (
    BarShape,
    Installation,
    Mount,
    RearBar,
    Section,
    Steel,
    Stock,
    bar_mass,
    candidates,
    find_steel,
    half_length,
    link_angles,
    link_end_force_independent,
    link_end_force_solid_axle,
    link_end_rate,
    link_spacing,
    peak_equivalent_moment,
    roll_stiffness_independent,
    roll_stiffness_solid_axle,
    stations,
    straight_u,
    stress_along,
    unit_load_integrals,
    von_mises,
)

SPRING_STEEL = find_steel("51CrV4 spring temper")
SOLID = Section(0.022, None)
TUBE = Section(0.027, 0.004)
SPACING = 0.76
SHAPES = {
    "square": straight_u(centre_length=0.94, lever=0.26, splay=0.0),
    "splayed": straight_u(centre_length=0.94, lever=0.26, splay=0.25),
    "bent": straight_u(centre_length=0.94, lever=0.26, splay=0.25, bend_radius=0.06),
    "closing": straight_u(centre_length=0.94, lever=0.26, splay=-0.2),
    "three-dimensional": BarShape(
        0.25, ((0, 0, 0), (0, 0.2, 0), (0.03, 0.45, 0.05), (0.25, 0.5, -0.1)), 0.03
    ),
}


@pytest.fixture(params=SHAPES.values(), ids=SHAPES.keys())
def shape(request):
    return request.param


def rear_bar(**changes):
    fields = {
        "mount": Mount.AXLE,
        "installation_ratio": 0.7,
        "bush_spacing": SPACING,
        "shapes": (SHAPES["splayed"], SHAPES["bent"], SHAPES["three-dimensional"]),
        "bush_rate": 9e6,
        "link_rate": 12e6,
        "installation": Installation(arm_angle=0.1, link_inclination=0.2, lash=0.002),
        "stocks": (
            Stock(SPRING_STEEL, (SOLID, Section(0.025, None))),
            Stock(find_steel("E355+N tube"), (TUBE,)),
        ),
    }
    return RearBar(**(fields | changes))


# --- stiffness ---------------------------------------------------------------------------------


def test_rate_scales_with_fourth_powers_of_the_diameters(shape):
    sections = [SOLID, TUBE, Section(0.030, 0.0025)]
    inertia = [section.second_moment for section in sections]
    rates = link_end_rate(shape, SPACING, inertia, steel=SPRING_STEEL)
    powers = [s.outer_diameter**4 - s.inner_diameter**4 for s in sections]
    assert rates / rates[0] == pytest.approx(np.array(powers) / powers[0], rel=1e-12)


def test_rate_keeps_the_shape_of_its_sections(shape):
    inertia = np.full((2, 3), SOLID.second_moment)
    assert link_end_rate(shape, SPACING, inertia, steel=SPRING_STEEL).shape == (2, 3)


def test_stiff_bushes_and_links_approach_the_rigid_limit(shape):
    rigid = link_end_rate(shape, SPACING, SOLID.second_moment, steel=SPRING_STEEL)
    stiff = link_end_rate(
        shape, SPACING, SOLID.second_moment, steel=SPRING_STEEL, bush_rate=1e15, link_rate=1e15
    )
    assert stiff == pytest.approx(rigid, rel=1e-9)
    assert stiff < rigid


def test_bushes_and_links_act_in_series(shape):
    rigid = link_end_rate(shape, SPACING, SOLID.second_moment, steel=SPRING_STEEL)
    soft = link_end_rate(
        shape, SPACING, SOLID.second_moment, steel=SPRING_STEEL, bush_rate=3e6, link_rate=2e6
    )
    leverage = link_spacing(shape) / SPACING
    assert 1.0 / soft == pytest.approx(1.0 / rigid + leverage**2 / 3e6 + 1.0 / 2e6, rel=1e-12)


def test_a_bar_that_cannot_bend_or_twist_leaves_bushes_and_links(shape):
    rigid_bar = Steel("rigid", ((1.0, 1.0),), youngs_modulus=1e30, shear_modulus=1e30)
    rate = link_end_rate(
        shape, SPACING, SOLID.second_moment, steel=rigid_bar, bush_rate=3e6, link_rate=2e6
    )
    expected = 1.0 / ((link_spacing(shape) / SPACING) ** 2 / 3e6 + 1.0 / 2e6)
    assert rate == pytest.approx(expected, rel=1e-12)


def test_a_small_bend_radius_approaches_sharp_corners():
    sharp = unit_load_integrals(SHAPES["splayed"], SPACING)
    gaps = []
    for radius in (1e-3, 1e-4):
        shape = straight_u(centre_length=0.94, lever=0.26, splay=0.25, bend_radius=radius)
        gaps.append(np.abs(np.subtract(unit_load_integrals(shape, SPACING), sharp)).max())
    assert gaps[1] == pytest.approx(gaps[0] / 10.0, rel=0.02)


def test_bends_are_integrated_to_nine_digits():
    """Closed form of the bend of a square U: moments about its two ends in sine and cosine."""
    lever, radius, half = 0.26, 0.08, 0.47
    shape = straight_u(centre_length=2 * half, lever=lever, splay=0.0, bend_radius=radius)
    spacing = 2 * (half - radius)
    ratio = half / (half - radius)
    angle = (np.arange(200_000) + 0.5) * (math.pi / 2 / 200_000)
    back, out = radius * (1 - np.cos(angle)), half - radius + radius * np.sin(angle)
    across, along = half - out, lever - back
    torsion = along * np.cos(angle) - across * np.sin(angle)
    bending = along * np.sin(angle) + across * np.cos(angle)
    step = radius * math.pi / 2 / 200_000
    middle = half - radius
    bending_total = np.sum(bending**2) * step + (lever - radius) ** 3 / 3
    bending_total += (radius**2 * middle) / 3  # from F × radius at the bush to none in the middle
    torsion_total = np.sum(torsion**2) * step + lever**2 * middle
    assert ratio * middle == pytest.approx(half)
    assert unit_load_integrals(shape, spacing) == pytest.approx(
        (bending_total, torsion_total), rel=1e-9
    )


def test_splitting_a_straight_piece_changes_nothing():
    whole = SHAPES["splayed"]
    points = np.array(whole.half_centreline)
    split = [points[0], (points[0] + points[1]) / 2, points[1], (points[1] + points[2]) / 2]
    finer = BarShape(whole.lever, tuple(map(tuple, [*split, points[2]])))
    assert unit_load_integrals(finer, SPACING) == pytest.approx(
        unit_load_integrals(whole, SPACING), rel=1e-12
    )


def test_arm_angle_turns_the_shape_under_a_vertical_force(shape):
    angle = 0.3
    sine, cosine = math.sin(angle), math.cos(angle)
    turned = BarShape(
        shape.lever,
        tuple(
            (b * cosine - u * sine, o, b * sine + u * cosine) for b, o, u in shape.half_centreline
        ),
        shape.bend_radius,
    )
    assert unit_load_integrals(shape, SPACING, arm_angle=angle) == pytest.approx(
        unit_load_integrals(turned, SPACING), rel=1e-9
    )


def test_lever_is_its_projection_in_torsion_of_the_centre_section():
    along = stations(SHAPES["square"], SPACING, arm_angle=0.4)
    assert along.torsion[0] == pytest.approx(0.26 * math.cos(0.4), rel=1e-12)


def test_inclined_links_cost_cosine_squared(shape):
    upright = link_end_rate(
        shape, SPACING, SOLID.second_moment, steel=SPRING_STEEL, bush_rate=3e6, link_rate=2e6
    )
    inclined = link_end_rate(
        shape,
        SPACING,
        SOLID.second_moment,
        steel=SPRING_STEEL,
        bush_rate=3e6,
        link_rate=2e6,
        installation=Installation(link_inclination=-0.35),
    )
    assert inclined == pytest.approx(upright * math.cos(0.35) ** 2, rel=1e-12)


def test_forces_and_roll_stiffness_belong_together():
    rate, spacing, roll = 30e3, 1.05, 0.04
    moment = roll_stiffness_solid_axle(rate, spacing) * roll
    force = link_end_force_solid_axle(moment, spacing)
    assert force == pytest.approx(rate * spacing / 2 * roll)
    moment = roll_stiffness_independent(rate, installation_ratio=0.6, track=1.5) * roll
    force = link_end_force_independent(moment, installation_ratio=0.6, track=1.5)
    assert force == pytest.approx(rate * 0.6 * 1.5 / 2 * roll)


# --- moments and stress ------------------------------------------------------------------------


def test_zero_force_zero_stress(shape):
    assert not stress_along(shape, SPACING, SOLID, link_end_force=0.0).von_mises.any()


def test_stress_is_the_same_in_both_directions(shape):
    push = stress_along(shape, SPACING, TUBE, link_end_force=900.0)
    pull = stress_along(shape, SPACING, TUBE, link_end_force=-900.0)
    assert np.array_equal(push.von_mises, pull.von_mises)


def test_moments_balance_at_both_ends(shape):
    """No moment at the link; at the middle no moment about the line along the vehicle."""
    along = stations(shape, SPACING)
    assert math.hypot(along.bending[-1], along.torsion[-1]) == pytest.approx(0.0, abs=1e-12)
    assert along.bending[0] == pytest.approx(0.0, abs=1e-12)


def test_stations_run_from_the_middle_to_the_link_end(shape):
    along = stations(shape, SPACING)
    steps = np.diff(along.distance)
    chords = np.linalg.norm(np.diff(along.position, axis=0), axis=1)
    assert (steps >= 0.0).all()
    assert along.distance[-1] == pytest.approx(half_length(shape), rel=1e-12)
    assert (chords <= steps + 1e-12).all()
    assert chords == pytest.approx(steps, rel=1e-3, abs=1e-12)
    assert along.position[0] == pytest.approx(shape.half_centreline[0], abs=1e-12)
    assert along.position[-1] == pytest.approx(shape.half_centreline[-1], abs=1e-12)
    assert np.isclose(along.position[:, 1], SPACING / 2, atol=1e-12).sum() == 2


def test_straight_u_moments_at_the_bush_and_the_bend():
    shape = SHAPES["splayed"]
    along = stations(shape, SPACING)
    at_bush = np.isclose(along.position[:, 1], SPACING / 2)
    assert along.bending[at_bush] == pytest.approx((link_spacing(shape) - SPACING) / 2)
    assert along.torsion[at_bush] == pytest.approx(0.26)
    arm_root = np.flatnonzero(np.isclose(along.position[:, 1], 0.47))[-1]
    assert along.bending[arm_root] == pytest.approx(math.hypot(0.26, 0.26 * math.tan(0.25)))
    assert along.torsion[arm_root] == pytest.approx(0.0, abs=1e-12)


def test_peak_of_a_straight_u_is_at_the_bush_where_it_overhangs():
    shape, force = SHAPES["splayed"], 1500.0
    along = stress_along(shape, 0.70, TUBE, link_end_force=force)
    peak = along.von_mises.argmax()
    bending, torque = force * (link_spacing(shape) - 0.70) / 2, force * 0.26
    sigma = bending * TUBE.outer_diameter / 2 / TUBE.second_moment
    tau = torque * TUBE.outer_diameter / 2 / (2 * TUBE.second_moment)
    assert along.stations.position[peak, 1] == pytest.approx(0.35)
    assert along.bending[peak] == pytest.approx(sigma)
    assert along.torsion[peak] == pytest.approx(tau)
    assert along.von_mises[peak] == pytest.approx(math.sqrt(sigma**2 + 3 * tau**2))


def test_von_mises_of_bending_alone_and_torsion_alone():
    modulus = SOLID.second_moment / (SOLID.outer_diameter / 2)
    assert von_mises(100.0, 0.0, SOLID) == pytest.approx(100.0 / modulus)
    assert von_mises(0.0, -100.0, SOLID) == pytest.approx(math.sqrt(3) * 100.0 / (2 * modulus))


def test_an_inclined_link_loads_the_bar_more():
    args = (SHAPES["bent"], SPACING, SOLID)
    upright = stress_along(*args, link_end_force=1000.0)
    inclined = stress_along(
        *args, link_end_force=1000.0, installation=Installation(link_inclination=0.5)
    )
    assert inclined.von_mises == pytest.approx(upright.von_mises / math.cos(0.5))


def test_mass_of_a_straight_u():
    shape = SHAPES["square"]
    expected = 7850.0 * math.pi / 4 * 0.022**2 * (0.94 + 2 * 0.26)
    assert bar_mass(shape, SOLID, SPRING_STEEL) == pytest.approx(expected)


def test_a_bend_shortens_the_bar():
    radius, turn = 0.06, math.pi / 2 - 0.25
    saved = 2 * radius * math.tan(turn / 2) - radius * turn
    assert half_length(SHAPES["splayed"]) - half_length(SHAPES["bent"]) == pytest.approx(saved)


# --- links -------------------------------------------------------------------------------------


def test_link_angles_without_travel_are_those_at_ride_height():
    hung = Installation(arm_angle=0.2, link_inclination=-0.3, link_length=0.15)
    angles = link_angles(hung, 0.25, bump_travel=0.0, droop_travel=0.0)
    assert angles.arm_angle == pytest.approx((0.2, 0.2, 0.2))
    assert angles.link_inclination == pytest.approx((-0.3, -0.3, -0.3))
    assert not angles.over_centre


def test_link_keeps_its_length_and_its_far_end_moves_straight():
    lever, length = 0.25, 0.15
    hung = Installation(arm_angle=0.1, link_inclination=0.1, link_length=length)
    angles = link_angles(hung, lever, bump_travel=0.07, droop_travel=0.06)
    far = [
        (
            lever * math.cos(arm) + length * math.sin(link),
            lever * math.sin(arm) + length * math.cos(link),
        )
        for arm, link in zip(angles.arm_angle, angles.link_inclination, strict=True)
    ]
    assert [back for back, _ in far] == pytest.approx([far[0][0]] * 3)
    assert [far[1][1] - far[0][1], far[2][1] - far[0][1]] == pytest.approx([-0.07, 0.06])
    assert not angles.over_centre


def test_over_centre_is_told_just_beyond_the_line_of_arm_and_link():
    lever, length = 0.25, 0.10
    hung = Installation(link_length=length)
    reach = math.sqrt((lever + length) ** 2 - lever**2) - length
    just_before = link_angles(hung, lever, bump_travel=0.0, droop_travel=reach - 1e-6)
    just_beyond = link_angles(hung, lever, bump_travel=0.0, droop_travel=reach + 1e-6)
    assert not just_before.over_centre
    assert just_beyond.over_centre
    assert math.isnan(just_beyond.arm_angle[2])


def test_over_centre_in_bump_where_the_link_folds_on_the_arm():
    """The far end passes closer to the bushes than |lever − length| and comes out again."""
    lever, length = 0.25, 0.10
    hung = Installation(arm_angle=0.5, link_inclination=-1.2, link_length=length)
    angles = link_angles(hung, lever, bump_travel=0.30, droop_travel=0.0)
    assert angles.over_centre
    assert math.isfinite(angles.arm_angle[1])


def test_without_a_link_length_only_ride_height_is_known():
    angles = link_angles(Installation(arm_angle=0.2), 0.25, bump_travel=0.1, droop_travel=0.1)
    assert angles.arm_angle[0] == 0.2
    assert all(map(math.isnan, angles.arm_angle[1:] + angles.link_inclination[1:]))
    assert not angles.over_centre


def test_arm_and_link_in_line_at_ride_height_is_over_centre():
    hung = Installation(arm_angle=math.radians(50), link_inclination=math.radians(45))
    assert link_angles(hung, 0.25, bump_travel=0.0, droop_travel=0.0).over_centre


# --- candidates --------------------------------------------------------------------------------


@pytest.mark.parametrize("independent", [False, True])
def test_a_batch_of_candidates_equals_single_bars(independent):
    bar = rear_bar()
    batch = candidates(bar, independent=independent, track=1.5)
    expected = [
        (stock, section, hole)
        for stock in range(2)
        for section in bar.stocks[stock].sections
        for hole in range(3)
    ]
    assert len(batch.section) == len(expected) == 9
    for n, (stock, section, hole) in enumerate(expected):
        shape, steel = bar.shapes[hole], bar.stocks[stock].steel
        assert (batch.stock[n], batch.section[n], batch.hole[n]) == (stock, section, hole)
        assert (batch.steel[n], batch.shape[n]) == (steel, shape)
        rate = link_end_rate(
            shape,
            bar.bush_spacing,
            section.second_moment,
            steel=steel,
            bush_rate=bar.bush_rate,
            link_rate=bar.link_rate,
            installation=bar.installation,
        )
        span = 0.7 * 1.5 if independent else link_spacing(shape)
        stress = stress_along(
            shape, bar.bush_spacing, section, link_end_force=1.0, installation=bar.installation
        ).von_mises.max()
        single = {
            "lever": shape.lever,
            "link_spacing": link_spacing(shape),
            "link_end_rate": rate,
            "roll_stiffness": rate * span**2 / 2,
            "mass": bar_mass(shape, section, steel),
            "stress_per_force": stress,
            "allowable_stress": steel.allowable_stress(section.outer_diameter),
            "lash_angle": (0.002 / 2) / (span / 2),
        }
        for name, value in single.items():
            assert getattr(batch, name)[n] == pytest.approx(value, rel=1e-12), name


def test_peak_stress_per_force_is_one_number_for_every_section(shape):
    arm_angle = 0.15
    hung = Installation(arm_angle=arm_angle)
    peak = peak_equivalent_moment(shape, SPACING, arm_angle=arm_angle)
    for section in (SOLID, TUBE):
        along = stress_along(shape, SPACING, section, link_end_force=1.0, installation=hung)
        expected = peak * section.outer_diameter / 2 / section.second_moment
        assert along.von_mises.max() == pytest.approx(expected, rel=1e-12)
