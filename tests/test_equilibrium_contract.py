"""What must hold for every vehicle: the potential, balances, mirror, limits, batches.

Over every state of every scenario file.
"""

from dataclasses import replace

import numpy as np
import pytest

from rollsim.equilibrium import (
    Course,
    Field,
    concatenate,
    evaluate,
    half_track,
    lift_before_tipping,
    roll_pivot,
    settle,
    solve_arrow,
    solve_at_field,
    tip_over,
)
from rollsim.roll import follow, straight_ahead, thresholds, transfer_parts, turn_and_table
from tests.builders import ROOT, SCENARIOS, models

G = 9.80665
TURN, TABLE = Course(Field.TURN), Course(Field.TILT)
ACCELERATIONS = tuple(0.1 * n * G for n in range(8))

every_file = pytest.mark.parametrize("path", SCENARIOS, ids=lambda p: p.stem)


FRAME = np.degrees(1800.0)  # N·m/rad: a soft one


def twisting(model):
    """The same on a frame that twists, some of its loads behind the axle, and with a track bar."""
    bars = np.zeros((3, 2, model.size))
    bars[:, 1] = np.array([0.08, -1.1, 0.23])[:, None]
    model = replace(model, track_bar=bars)
    own = {"rear_moment": 25.0, "rear_offset": 3.0, "cab_share": 0.2}
    more = {name: np.full(model.size, value) for name, value in own.items()}
    return replace(model, frame_compliance=np.full(model.size, 1.0 / FRAME), **more)


def both_frames(path):
    """Every state of a file on a rigid frame, then on one that twists."""
    rigid = concatenate(models(path))
    return concatenate([rigid, twisting(rigid)])


def batch(path):
    return settle(both_frames(path), TURN)


def potential(m, q):
    """V of docs/method.md §1 for one vehicle, written a second time from the text."""
    phi, s, p, z = q[0] + np.array([0.0, q[7]]), q[1:3], q[3:5], q[5:7]
    c = lambda name: getattr(m, name)[..., 0]  # noqa: E731 - a shorthand for the one member
    share = np.array([1.0 - m.rear_share[0], m.rear_share[0]])
    height, ratio = c("roll_centre_height"), c("travel_ratio")
    pin = height + ratio * s
    above = (c("cg_height") - height) + (1.0 - ratio) * s
    rear = np.array([-1.0, 1.0])  # first moments that lean with the rear end instead
    mass = share * c("sprung_mass")
    z_cg = (mass * (z + pin * np.cos(p) + above * np.cos(phi))).sum()
    z_cg += (rear * c("rear_moment") * np.cos(phi)).sum()
    z_cg += ((mass * c("cg_left") + rear * c("rear_offset")) * np.sin(phi)).sum()
    total = G * z_cg
    total += (c("unsprung_mass") * G * (z + c("unsprung_cg_height") * np.cos(p))).sum()
    slope, bend, turn = c("track_bar")
    left = -slope * s - bend * s**2 / 2.0 + turn * (phi - p) ** 2 / 2.0
    total += G * (mass * left * np.sin(p)).sum()
    if c("frame_compliance"):
        total += 0.5 * q[7] ** 2 / c("frame_compliance")
    lift, theta = c("lift"), phi - p
    middle = lift + (s - lift) * (ratio + (1.0 - ratio) * np.cos(theta))
    for side in (1.0, -1.0):
        squeeze = lift - middle - side * c("spring_base") / 2.0 * np.sin(theta)
        total += (c("spring_load") * squeeze + c("spring_rate") * squeeze**2 / 2.0).sum()
        for start, step in zip(c("hinge_start"), c("hinge_step"), strict=True):
            beyond = np.maximum(squeeze - start, 0.0) ** 2 / 2.0
            total += (step * (beyond - np.maximum(-start, 0.0) * squeeze)).sum()
        for kind, sense in ((0, -1.0), (1, 1.0)):
            base, ratio_ = c("stop_base")[kind], c("stop_ratio")[kind]
            e = middle + side * base / 2.0 * np.sin(theta)
            past = np.maximum(sense * ratio_ * e - c("stop_gap")[kind], 0.0)
            total += (c("stop_rate")[kind] * past**2 / 2.0).sum()
        was, up = m.rest[..., 0]
        out = -((height + up) * (s - was) + ratio * (s**2 - was**2) / 2.0) * 2.0 / c("track")
        out += (1.0 - ratio) * c("track") / 4.0 * np.sin(theta) ** 2
        half = c("track") / 2.0 + c("independent") * out
        e = z + side * half * np.sin(p)
        free = c("tyre_load") / c("tyre_rate")
        total += (c("tyre_rate") * np.maximum(free - e, 0.0) ** 2 / 2.0).sum()
    return total + (c("roll_stiffness") * theta**2 / 2.0).sum()


def points(model, rng, spread=0.02):
    q = rng.normal(size=(8, model.size)) * spread
    q[5:7] *= 0.3
    q[7] = np.where(model.frame_compliance > 0.0, 0.5 * q[7], 0.0)
    return q


@every_file
def test_residual_is_the_slope_of_the_potential(path):
    rng = np.random.default_rng(1)
    for plain in (*models(path)[:2], twisting(models(path)[-1])):
        model = settle(plain, TURN)[0]
        q = points(model, rng)
        zero = np.zeros(1)
        residual = evaluate(model, q, zero + G, lateral=zero).residual[:, 0]
        for n in range(8 if model.constants.frame is not None else 7):
            step = np.zeros(8)
            step[n] = 1e-5
            slope = (potential(model, q[:, 0] + step) - potential(model, q[:, 0] - step)) / 2e-5
            # Central differences of a potential with kinked slopes: 1e-4 of the weight.
            assert residual[n] == pytest.approx(slope, abs=1e-4 * model.total_mass[0] * G)


@every_file
def test_jacobian_is_exact(path):
    rng = np.random.default_rng(2)
    model = batch(path)[0]
    q, lateral, normal = points(model, rng), np.full(model.size, 4.0), np.full(model.size, 9.0)
    balance = evaluate(model, q, normal, lateral=lateral)
    step = rng.normal(size=q.shape)
    step[7] *= model.frame_compliance > 0.0
    h = 1e-7
    ahead = evaluate(model, q + h * step, normal, lateral=lateral).residual
    behind = evaluate(model, q - h * step, normal, lateral=lateral).residual
    x = solve_arrow(balance, (ahead - behind) / (2.0 * h))
    assert x == pytest.approx(step, rel=1e-4, abs=1e-5)


@every_file
def test_vertical_loads_sum_to_the_weight(path):
    model, settled = batch(path)
    for solution in follow(model, settled, ACCELERATIONS):
        total = TURN.balance(model, solution.x).wheel_loads.sum(axis=(0, 1))
        ok = solution.converged
        assert total[ok] == pytest.approx((model.total_mass * G)[ok], rel=1e-9)
    assert settled.converged.all()


def about_the_ground(model, solution):
    """Moments about the ground line over the weight: of the wheel loads, and what tips."""
    mass = model.sprung_mass * np.stack([1.0 - model.rear_share, model.rear_share])
    rear = np.array([-1.0, 1.0])[:, None]
    a, s, p, z = (solution.x[i] for i in (0, slice(2, 4), slice(4, 6), slice(6, 8)))
    phi = solution.x[1] + np.stack([np.zeros(model.size), solution.x[8]])
    loads = TURN.balance(model, solution.x).wheel_loads
    # Half the track of an independent axle goes with the linkage: docs/method.md §1.
    ratio, height, (was, risen) = model.travel_ratio, model.roll_centre_height, model.rest
    out = -((height + risen) * (s - was) + ratio * (s**2 - was**2) / 2.0) * 2.0 / model.track
    out += (1.0 - ratio) * model.track / 4.0 * np.sin(phi - p) ** 2
    half = model.track / 2.0 + model.independent * out
    resisting = ((loads[1] - loads[0]) * half * np.cos(p)).sum(axis=0)
    pin, above = height + ratio * s, (model.cg_height - height) + (1.0 - ratio) * s
    own = mass * above + rear * model.rear_moment
    y = mass * model.cg_left + rear * model.rear_offset
    slope, bend, turn = model.track_bar
    left = -slope * s - bend * s**2 / 2.0 + turn * (phi - p) ** 2 / 2.0
    up = mass * (z + pin * np.cos(p) + left * np.sin(p))
    up += own * np.cos(phi) + y * np.sin(phi)
    outward = mass * (pin * np.sin(p) - left * np.cos(p)) + own * np.sin(phi) - y * np.cos(phi)
    tipping = (a * up + G * outward).sum(axis=0)
    h_u, m_u = model.unsprung_cg_height, model.unsprung_mass
    tipping += (m_u * (a * (z + h_u * np.cos(p)) + G * h_u * np.sin(p))).sum(axis=0)
    on_axle = mass + m_u
    on_ground = np.maximum((loads > 0.0).sum(axis=0), 1)
    shift = on_axle * a / (model.tyre_lateral_rate * on_ground)
    tipping += (on_axle * G * shift).sum(axis=0)
    return resisting / (model.total_mass * G), tipping / (model.total_mass * G)


@every_file
def test_moment_balance_about_the_ground(path):
    model, settled = batch(path)
    for solution in follow(model, settled, ACCELERATIONS):
        ok = solution.converged
        resisting, tipping = about_the_ground(model, solution)
        assert resisting[ok] == pytest.approx(tipping[ok], abs=1e-8)


@every_file
def test_mirror(path):
    model, settled = batch(path)
    other, other_settled = settle(both_frames(path).mirrored(), TURN)
    start = settled.x.copy()
    start[0] = 0.3 * G
    left = solve_at_field(model, start, TURN)
    start = other_settled.x.copy()
    start[0] = -0.3 * G
    right = solve_at_field(other, start, TURN)
    sign = np.array([-1, -1, 1, 1, -1, -1, 1, 1, -1])[:, None]
    assert right.x == pytest.approx(sign * left.x, abs=1e-12)
    swapped = TURN.balance(other, right.x).wheel_loads[::-1]
    loads = TURN.balance(model, left.x).wheel_loads
    assert swapped == pytest.approx(loads, rel=1e-9, abs=1e-6)


@every_file
def test_zero_in_zero_out(path):
    model = replace(concatenate(models(path)), cg_left=np.zeros(len(models(path))))
    model, settled = settle(model, TURN)
    assert (settled.x[[0, 1, 4, 5]] == 0.0).all()
    assert transfer_parts(model, settled.x) == pytest.approx(0.0, abs=1e-9)


@every_file
def test_parts_of_load_transfer_add_up(path):
    model, settled = batch(path)
    for solution in follow(model, settled, ACCELERATIONS):
        ok = solution.converged
        loads = TURN.balance(model, solution.x).wheel_loads
        whole = 0.5 * (loads[1] - loads[0])
        parts = transfer_parts(model, solution.x).sum(axis=0)
        assert parts[:, ok] == pytest.approx(whole[:, ok], rel=1e-9, abs=1e-5)


@every_file
def test_linear_limit_is_the_textbook_form(path):
    plain = concatenate(models(path))
    stiff = replace(
        plain,
        cg_left=np.zeros(plain.size),
        tyre_rate=np.full_like(plain.tyre_rate, 1e12),
        tyre_lateral_rate=np.full_like(plain.tyre_lateral_rate, np.inf),
        # No travel, but the same k b²/2.
        spring_rate=plain.spring_rate * 1e8,
        spring_base=plain.spring_base * 1e-4,
        hinge_step=plain.hinge_step * 0.0,
        stop_rate=plain.stop_rate * 0.0,
        lift=plain.lift * 0.0,
    )
    model, settled = settle(stiff, TURN)
    share = np.stack([1.0 - model.rear_share, model.rear_share])
    arm = model.cg_height - (share * model.roll_centre_height).sum(axis=0)
    stiffness = (plain.spring_rate * plain.spring_base**2 / 2.0 + plain.roll_stiffness).sum(axis=0)
    textbook = model.sprung_mass * arm / (stiffness - model.sprung_mass * G * arm)
    assert straight_ahead(model, settled).roll_gradient == pytest.approx(textbook, rel=1e-6)


@every_file
def test_batch_equals_singles(path):
    model, settled = batch(path)
    together = follow(model, settled, (0.4 * G,))[0].x
    many = both_frames(path)
    for n in range(many.size):
        one, rest = settle(many.take(np.array([n])), TURN)
        alone = follow(one, rest, (0.4 * G,))[0].x
        assert alone[:, 0] == pytest.approx(together[:, n], rel=1e-12, abs=1e-12)


def greatest_by_small_steps(model, settled, course, step):
    """Last parameters with a stable equilibrium on the way up, to a 25th of the step; all at once.

    No path following, no events: an answer found in another way.
    """
    x, last, steps = settled.x.copy(), np.zeros(model.size), np.full(model.size, step)
    while (steps > step / 50.0).any():
        start = x.copy()
        start[0] = last + steps
        new = solve_at_field(model, start, course)
        stable = roll_pivot(course.balance(model, new.x)) > 0.0
        jumped = np.abs(new.x[1:] - x[1:]).max(axis=0) > 0.02
        on = new.converged & stable & ~jumped & (steps > step / 50.0)
        x, last = np.where(on, new.x, x), np.where(on, last + steps, last)
        steps = np.where(on, steps, 0.5 * steps)
    return last


@pytest.mark.parametrize("course", [TURN, TABLE], ids=["turn", "table"])
def test_first_top_of_the_path_by_small_steps(course):
    step = 0.01 * (G if course is TURN else 1.0)
    every = concatenate([plain for path in SCENARIOS for plain in models(path)[::2]])
    model, settled = settle(every, course)
    found = tip_over(model, settled, course)
    reached = greatest_by_small_steps(model, settled, course, step)
    first_lift = np.nanmin(np.vstack([found.threshold, found.lift]), axis=0)
    # Up to the first wheel lift there is no jump; past it the path may go higher still.
    assert (reached <= found.threshold + 1e-9).all()
    assert (reached >= first_lift - step / 25.0).all()


@pytest.mark.parametrize("stiffness", [270, 285, 292, 299, 310])
def test_path_goes_on_where_body_roll_comes_back(stiffness):
    # On the table these bars make body roll fall again before a wheel lifts.
    plain = models(ROOT / "scenarios" / "low-car.toml")[0]
    bars = plain.roll_stiffness.copy()
    bars[0] = np.degrees(stiffness)
    model, settled = settle(replace(plain, roll_stiffness=bars), TABLE)
    found = tip_over(model, settled, TABLE)
    step = 0.004
    reached = greatest_by_small_steps(model, settled, TABLE, step)
    assert np.nanmin(found.lift) - step / 25.0 <= reached <= found.threshold[0] + 1e-9


@every_file
def test_tilt_table_is_the_same_code_with_other_fields(path):
    model, settled = batch(path)
    angle = 0.15
    start = settled.x.copy()
    start[0] = angle
    table = solve_at_field(model, start, TABLE)
    normal, lateral = np.full(model.size, G * np.cos(angle)), np.full(model.size, G * np.sin(angle))
    balance = evaluate(model, table.x[1:], normal, lateral=lateral)
    assert table.converged.all()
    assert np.abs(balance.residual).max() < 1e-9 * model.total_mass.max() * G
    total = balance.wheel_loads.sum(axis=(0, 1))
    assert total == pytest.approx(model.total_mass * G * np.cos(angle), rel=1e-9)


def test_wheels_at_rest_stand_at_their_track():
    """Loaded or lifted, as far apart as taped: they move across only from there."""
    plain = concatenate([m for path in SCENARIOS for m in models(path)])
    model, settled = settle(plain, TURN)
    upright = (plain.independent.any(axis=0)) & (plain.cg_left == 0.0) & settled.converged
    assert np.abs(settled.x[2:4, upright]).max() > 0.03  # m of travel at rest
    found = half_track(model, settled.x)[:, upright]
    assert found == pytest.approx(0.5 * plain.track[:, upright], abs=1e-12)


@pytest.mark.parametrize("seed", range(6))
def test_tipping_points_of_random_vehicles_are_equilibria(seed):
    # Invented: the demos with their numbers shaken, on road and table.
    rng = np.random.default_rng(seed)
    plain = concatenate([m for path in SCENARIOS for m in models(path)])
    shaken = replace(
        plain,
        cg_height=plain.cg_height * rng.uniform(0.8, 1.3, plain.size),
        roll_stiffness=plain.roll_stiffness * rng.uniform(0.0, 3.0, plain.roll_stiffness.shape),
        tyre_rate=plain.tyre_rate * rng.uniform(0.8, 1.3, plain.tyre_rate.shape),
    )
    for course in (TURN, TABLE):
        model, settled = settle(shaken, course)
        found = tip_over(model, settled, course)
        ok = settled.converged
        assert np.isfinite(found.threshold[ok]).all()
        weight = model.total_mass[ok] * G
        # An equilibrium on one of the legs: the tyres of axles yet to lift may pull.
        residuals = []
        for pulling in ((0.0, 0.0), (-np.inf, 0.0), (0.0, -np.inf), (-np.inf, -np.inf)):
            least = np.repeat(np.array(pulling)[:, None], model.size, axis=1)
            balance = course.balance(replace(model, least_tyre_force=least), found.point)
            residuals.append(np.abs(balance.residual).max(axis=0)[ok] / weight)
        assert np.min(residuals, axis=0).max() < 1e-8


@every_file
def test_turn_and_table_in_one_batch_are_each_alone(path):
    model, settled = batch(path)
    turn, table, tipping = turn_and_table(model, settled)
    assert tipping == pytest.approx(tip_over(model, settled, TURN).point, rel=1e-6, abs=1e-6)
    for both, course in ((turn, TURN), (table, TABLE)):
        alone = thresholds(model, settled, course)
        for name in ("tip_over", "inner_front_lift", "inner_rear_lift"):
            together = getattr(both, name)
            assert together == pytest.approx(getattr(alone, name), rel=1e-9, nan_ok=True), name


@pytest.mark.parametrize("axle", [0, 1], ids=["front", "rear"])
@every_file
def test_a_lift_solved_for_in_one_go_is_the_one_on_the_path(path, axle):
    plain = models(path)[-1]
    stiffness = np.geomspace(1e2, 3e5, 40)
    many = plain.take(np.zeros(stiffness.size, dtype=int))
    bars = many.roll_stiffness + np.stack([np.zeros_like(stiffness), stiffness])
    model, settled = settle(replace(many, roll_stiffness=bars), TURN)
    lift, resolved = lift_before_tipping(model, settled, TURN, axle=axle)
    path_found = tip_over(model, settled, TURN)
    assert resolved[settled.converged].all()
    # Where both wheels go at once at the tipping point, rounding decides which is said to lift.
    apart = ~np.isclose(path_found.threshold, path_found.lift[1 - axle], rtol=1e-2)
    apart |= ~np.isnan(path_found.lift[axle])
    assert lift[apart] == pytest.approx(path_found.lift[axle, apart], rel=1e-6, nan_ok=True)
    assert np.isfinite(lift[apart]).any() or np.isnan(path_found.lift[axle, apart]).all()
