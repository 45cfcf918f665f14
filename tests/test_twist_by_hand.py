"""A frame that twists, against closed forms: springs in series, and items one by one.

Other equations, no program: each end is one roll spring, and the frame a third between them.
"""

from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import concatenate, settle, solve_at_field, tip_over
from rollsim.mass import FittedBar
from rollsim.measured import net_roll_stiffness
from rollsim.roll import TURN, cab_roll, follow, results, straight_ahead, tray_roll
from rollsim.scenario import load
from rollsim.sizing.cab_loss import lost_in_cab, shares_lost
from rollsim.sizing.stiffness import closed_form
from rollsim.springs import LinearSpring
from rollsim.teaching.beyond import Beyond, missed
from rollsim.vehicle import Axle, Job, Load, Suspension, Tyre, Vehicle
from tests.builders import ROOT, rigid_vehicle

G = 9.80665
AXLE = Axle(
    Suspension.SOLID_AXLE, 1.55, 1.1, 150.0, 0.36, 0.4, 0.5, LinearSpring(40e3), Tyre(250e3, 80e3)
)
SOLID = Vehicle("invented", None, 3.0, 1000.0, 950.0, 0.72, 0.0, AXLE, AXLE, frame_height=0.55)
TOOLS = Load("tools", 250.0, 3.6, 1.1, 0.1)  # 0.6 m behind the rear axle, off centre
STATE = "as_used"


def framed(stiffness, share=0.0, **vehicle):
    own = {"frame_torsional_stiffness": stiffness, "cab_share_of_twist": share}
    return Job(replace(SOLID, **own, **vehicle), (TOOLS,))


def of_springs(frame: float, rear_moment: float = 0.0):
    """A vehicle of three roll springs: rigid tyres, no travel, all angles small."""
    plain = rigid_vehicle(
        sprung_mass=1500.0,
        cg_height=0.7,
        rear_share=0.45,
        unsprung_mass=(100.0, 150.0),
        unsprung_cg_height=(0.36, 0.36),
        track=(1.55, 1.55),
        roll_centre_height=(0.1, 0.4),
        roll_stiffness=(60e3, 25e3),
    )
    more = {"rear_moment": np.array([rear_moment]), "cab_share": np.array([0.3])}
    return settle(replace(plain, frame_compliance=np.array([1.0 / frame]), **more), TURN)


@pytest.mark.parametrize("frame", [2e4, 1.2e5, 1e9])
@pytest.mark.parametrize("rear_moment", [0.0, 60.0])
def test_two_ends_on_a_torsion_spring(frame, rear_moment):
    """(K_f + k − g M_f) φ_f − k φ_r = M_f a, and the same behind: a 2 × 2 solved by hand.

    M is the first moment about the roll centre, which also overturns: 1500 kg × share × arm.
    """
    model, settled = of_springs(frame, rear_moment)
    front = 1500.0 * 0.55 * (0.7 - 0.1) - rear_moment
    rear = 1500.0 * 0.45 * (0.7 - 0.4) + rear_moment
    own_front, own_rear = 60e3 - G * front, 25e3 - G * rear
    whole = own_front * own_rear + frame * (own_front + own_rear)
    lean_front = (front * (own_rear + frame) + rear * frame) / whole
    lean_rear = (rear * (own_front + frame) + front * frame) / whole
    start = settled.x.copy()
    start[0] = 1e-3
    found = solve_at_field(model, start, TURN).x
    assert found[1, 0] / 1e-3 == pytest.approx(lean_front, rel=1e-5)
    assert tray_roll(found)[0] / 1e-3 == pytest.approx(lean_rear, rel=1e-5)
    cab = 0.7 * lean_front + 0.3 * lean_rear
    assert straight_ahead(model, settled).roll_gradient[0] == pytest.approx(cab, rel=1e-5)


def test_springs_in_series():
    """A couple at the rear end alone goes through the frame to a front that carries all.

    No weight above the roll centres: 1/K = 1/K_front + 1/k, as torsion springs in series.
    """
    level = {"sprung_mass": 1500.0, "cg_height": 0.4, "rear_share": 0.45}
    plain = rigid_vehicle(
        **level,
        unsprung_mass=(100.0, 150.0),
        unsprung_cg_height=(0.36, 0.36),
        track=(1.55, 1.55),
        roll_centre_height=(0.4, 0.4),
        roll_stiffness=(60e3, 0.0),
    )
    many = replace(plain, frame_compliance=np.array([1.0 / 9e4]), rear_offset=np.array([-50.0]))
    many = replace(many, cg_left=np.array([0.0]))
    # 50 kg·m more on the right behind, 50 kg·m more on the left in front: a pure twist.
    settled = settle(many, TURN)[1]
    front, twist = settled.x[1, 0], settled.x[8, 0]
    assert front == pytest.approx(0.0, abs=1e-6)
    assert twist == pytest.approx(50.0 * G / 9e4, rel=1e-4)


def test_a_stiff_frame_is_a_rigid_one():
    rigid = mass.model(framed(None), mass.named(framed(None), STATE))
    stiff = mass.model(framed(1e15, 0.2), mass.named(framed(1e15), STATE))
    model, settled = settle(concatenate([rigid, stiff]), TURN)
    fields = tuple(x * G for x in (0.1, 0.4, 0.6))
    for point in follow(model, settled, fields):
        lean = cab_roll(model, point.x)
        assert lean[1] == pytest.approx(lean[0], rel=1e-9)
        loads = TURN.balance(model, point.x).wheel_loads
        assert loads[..., 1] == pytest.approx(loads[..., 0], rel=1e-9)
    threshold = tip_over(model, settled, TURN).threshold
    assert threshold[1] == pytest.approx(threshold[0], rel=1e-8)


def test_each_item_by_its_place():
    """First moments at each end, item by item from the text of docs/method.md §4, in kg·m."""
    job = framed(1e5)
    state = mass.named(job, STATE)
    model = mass.model(job, state)
    bare = 1000.0 + 950.0 - 300.0
    height = (1950.0 * 0.72 - 300.0 * 0.36) / bare
    behind = (950.0 - 150.0) * 3.0 / bare / 3.0  # share of the body on the rear axle
    # Body: w = r; tools: w = 1.2 and r = 1, for no torsion acts behind the axle.
    rear = bare * behind * (height - 0.4) + 250.0 * (1.2 * (0.55 - 0.4) + 1.0 * (1.1 - 0.55))
    front = bare * (1.0 - behind) * (height - 0.4) + 250.0 * (-0.2 * (0.55 - 0.4))
    assert model.constants.above[:, 0] == pytest.approx([front, rear], rel=1e-9)
    assert model.constants.offset[:, 0] == pytest.approx([0.0, 250.0 * 0.1], abs=1e-9)


def test_a_bar_on_the_chassis_is_an_item_over_the_rear_axle():
    """Its 60 kg counted as any item's, beside tools that stand off centre."""
    job, centre = framed(1e5), AXLE.unsprung_cg_height
    weighs = Load("bar", 60.0, SOLID.wheelbase, centre)
    item = replace(job, loads=(*job.loads, weighs))
    as_item = mass.model(item, mass.named(item, STATE))
    as_bar = mass.model(job, mass.named(job, STATE), FittedBar(0.0, mass=60.0, on_axle=False))
    for name in ("above", "offset", "sprung"):
        one, other = (getattr(m.constants, name)[:, 0] for m in (as_bar, as_item))
        assert one == pytest.approx(other, rel=1e-9, abs=1e-9), name


def test_the_cab_leans_with_its_share_of_the_twist():
    (own, rigid) = (results(framed(frame), only=(STATE,))[0] for frame in (1.2e5, None))
    front = own.curve[4].roll_angle
    for share in (0.2, 1.0):
        (state,) = results(framed(1.2e5, share), only=(STATE,))
        point = state.curve[4]
        tray = point.tray_roll_angle
        assert point.roll_angle == pytest.approx(front + share * (tray - front), rel=1e-9)
        assert tray > front + np.radians(0.1)  # 250 kg behind the axle
        assert state.tray_secant_roll_gradient > rigid.secant_roll_gradient


@pytest.mark.parametrize("stiffness", [1200.0, 4000.0])
def test_a_bar_is_sized_by_the_lean_of_the_cab(stiffness):
    """At straight ahead, the closed form of sizing gives back the bar that is on."""
    centred = replace(TOOLS, left_of_centreline=0.0)
    job = replace(framed(np.degrees(stiffness)), loads=(centred,))
    bare, barred = (
        settle(mass.model(job, mass.named(job, STATE), FittedBar(k)), TURN) for k in (0.0, 30e3)
    )
    wanted = float(straight_ahead(*barred).roll_gradient[0])
    assert closed_form(*bare, wanted) == pytest.approx(30e3, rel=1e-6)


@pytest.mark.parametrize("frame", [4e4, 1.7e5])
def test_what_two_torsion_springs_in_series_keep_from_the_cab(frame):
    """A rear bar acts on the front through the frame; no program, three springs by hand.

    With the moment M g of the weight taken off each spring, the front leans (M_f + s M_r)/(K_f +
    s K_r), s = k/(k + K_r) what the frame k passes on, in series with the rear's own K_r.
    """
    bare, _ = of_springs(frame)
    stiffness = bare.roll_stiffness + np.array([[0.0], [30e3]])
    barred = replace(bare, roll_stiffness=stiffness)
    arms = 1500.0 * np.array([0.55 * (0.7 - 0.1), 0.45 * (0.7 - 0.4)])

    def cab(k: float, bar: float) -> float:
        front, rear = np.array([60e3, 25e3 + bar]) - G * arms
        passed = k / (k + rear)
        lean = (arms[0] + passed * arms[1]) / (front + passed * rear)
        return 0.7 * lean + 0.3 * (arms[1] + k * lean) / (rear + k)

    by_hand = 1.0 - np.subtract(*(cab(frame, bar) for bar in (0.0, 30e3))) / np.subtract(
        *(cab(1e12, bar) for bar in (0.0, 30e3))
    )
    assert shares_lost(bare, barred, at=None) == pytest.approx([by_hand], abs=2e-5)
    assert abs(by_hand) > 0.02


def test_no_share_is_told_where_there_is_none_to_tell():
    assert np.isnan(lost_in_cab(framed(None), STATE, FittedBar(30e3)))
    assert np.isnan(lost_in_cab(framed(1.2e5, 0.2), STATE, FittedBar(1.0)))  # as good as no bar
    tips = replace(framed(1.2e5, 0.2), loads=(replace(TOOLS, height=9.0, mass=900.0),))
    assert np.isnan(lost_in_cab(tips, STATE, FittedBar(30e3)))


def crew_cab_by_hand(bar: float, frame: float) -> tuple[np.ndarray, list[float]]:
    """The demo crew-cab, unladen: stiffnesses [N·m/rad], and moments per acceleration [kg·m].

    Four angles and nothing else: each end on its springs and bars, each axle on its tyres, which
    side force shifts, and the frame between the ends. Figures of the file, put in by hand.
    """
    axle, unsprung = np.array([1130.0, 860.0]), np.array([105.0, 190.0])
    heights, centres = np.array([0.370, 0.375]), np.array([0.085, 0.470])
    sprung = axle - unsprung
    body = (axle.sum() * 0.660 - unsprung @ heights) / sprung.sum()
    above, below = sprung * (body - centres), sprung * centres + unsprung * heights
    springs = np.array([0.5 * 38e3 * 1.56**2, 0.5 * 36e3 * 1.09**2 + np.degrees(60.0)])
    springs += [0.5 * 90e3 * (0.62 * 1.56) ** 2, bar]
    tyres = 0.5 * 250e3 * np.array([1.56, 1.55]) ** 2
    frame_pair = frame * np.array([[1.0, -1.0], [-1.0, 1.0]])
    rows = [np.diag(springs - G * above) + frame_pair, -np.diag(springs)]
    rows += [-np.diag(springs), np.diag(springs + tyres - G * below)]
    return np.block([rows[:2], rows[2:]]), [*above, *(below + G * axle**2 / (2.0 * 80e3))]


def lean_by_hand(bar: float, frame: float, share: float) -> float:
    """Its lean of the cab per lateral acceleration [rad/(m/s²)]."""
    lean = np.linalg.solve(*crew_cab_by_hand(bar, frame))
    return lean[0] + share * (lean[1] - lean[0])


def crew_cab(frame: float, share: float) -> Job:
    plain = load(ROOT / "scenarios" / "crew-cab-touring.toml").job
    own = {"frame_torsional_stiffness": frame, "cab_share_of_twist": share}
    return replace(plain, vehicle=replace(plain.vehicle, **own))


@pytest.mark.parametrize("behind", [-0.3, 0.9, 2.9, 3.6])
def test_a_lean_test_depends_on_where_its_mass_stands(behind):
    """A couple on the ends by its place, ahead of an axle or behind it on that one alone."""
    frame, share = np.degrees(900.0), 0.2
    job, moved = crew_cab(frame, share), Load("people", 1e-6, behind, 0.8)
    predicted = net_roll_stiffness(mass.named(job, "unladen"), moved)(job)
    at_rear = min(max(behind / 3.085, 0.0), 1.0)
    matrix, _ = crew_cab_by_hand(0.0, frame)
    lean = np.linalg.solve(matrix, [1.0 - at_rear, at_rear, 0.0, 0.0])
    assert predicted == pytest.approx(1.0 / (lean[0] + share * (lean[1] - lean[0])), rel=2e-3)


def test_the_hand_formula_of_see_why_misses_the_twist_of_the_frame():
    frame, share = np.degrees(900.0), 0.0
    found = {one.effect: one.roll_gradient for one in missed(crew_cab(frame, share), "unladen")}
    by_hand = lean_by_hand(0.0, frame, share) - lean_by_hand(0.0, 1e14, share)
    assert found[Beyond.TWIST] == pytest.approx(by_hand, rel=0.02)
    rigid = replace(crew_cab(frame, share).vehicle, frame_torsional_stiffness=None)
    rest = missed(replace(crew_cab(frame, share), vehicle=rigid), "unladen")
    assert {one.effect: one.roll_gradient for one in rest} == pytest.approx(
        {effect: own for effect, own in found.items() if effect is not Beyond.TWIST}, rel=1e-6
    )


def test_cab_and_tray_are_told_of_both_bends():
    """A right bend is the left one of the vehicle turned round; here with 250 kg off centre."""
    left, right = (
        results(framed(1.2e5, 0.2), (), only=(STATE,), mirrored=side)[0] for side in (False, True)
    )
    assert right.tray_secant_roll_gradient == pytest.approx(left.right_tray_secant_roll_gradient)
    assert right.secant_roll_gradient == pytest.approx(left.right_secant_roll_gradient)
    assert left.tray_secant_roll_gradient != left.right_tray_secant_roll_gradient
    assert right.further_left == pytest.approx(-left.further_left, rel=1e-6)
    assert left.tray_static_lean < left.static_lean < 0.0  # the tools stand left, behind the axle


@pytest.mark.parametrize(
    ("share", "bar", "lost_of_it", "of_the_last"),
    [(0.0, 0, (9, 17, 26), (12, 21, 31)), (0.2, 1, (6, 11, 17), (7, 12, 18))],
)
def test_what_bars_lose_in_the_cab_of_the_demo(share, bar, lost_of_it, of_the_last):
    """A bar of 220, 500 and 627 N·m/deg loses 4 to 31 %, by a frame of 4000 to 1200 N·m/deg."""
    bars = np.degrees([0.0, 220.0, 500.0, 627.0])

    def leans_by_hand(frame):
        return np.array([lean_by_hand(each, frame, share) for each in bars])

    gain = np.subtract(*np.split(leans_by_hand(1e14), [1]))
    lost = []
    for frame in np.degrees([4000.0, 2000.0, 1200.0]):
        job = crew_cab(frame, share)
        bare = mass.model(job, mass.named(job, "unladen"))
        many = mass.with_bar(bare, job, FittedBar(bars))
        leans = straight_ahead(*settle(many, TURN)).roll_gradient
        by_hand = leans_by_hand(frame)
        assert leans == pytest.approx(by_hand, rel=2e-3)
        last = slice(1, None)
        found = shares_lost(many.take(np.zeros(3, dtype=int)), many.take(last), at=None)
        by_hand = 1.0 - np.subtract(*np.split(by_hand, [1])) / gain
        assert found == pytest.approx(by_hand, abs=2e-3)
        lost.append(found)
    assert np.round(100.0 * np.array(lost)[:, bar]) == pytest.approx(lost_of_it)
    assert np.round(100.0 * np.array(lost)[:, -1]) == pytest.approx(of_the_last)  # as docs say
    assert (np.diff(lost, axis=0) > 0.0).all()  # a softer frame keeps more from the cab
    assert (np.diff(lost, axis=1) > 0.0).all()  # of a stiffer bar
