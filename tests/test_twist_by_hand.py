"""A frame that twists, against closed forms: springs in series, and items one by one.

Other equations, no program: each end is one roll spring, and the frame a third between them.
"""

from dataclasses import replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import concatenate, settle, solve_at_field, tip_over
from rollsim.mass import FittedBar
from rollsim.roll import TURN, cab_roll, follow, results, straight_ahead, tray_roll
from rollsim.scenario import load
from rollsim.sizing.stiffness import closed_form, without_rear_bar
from rollsim.springs import LinearSpring
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


def test_the_cab_leans_with_its_share_of_the_twist():
    for share in (0.0, 0.2, 1.0):
        state = results(framed(1.2e5, share))[-1]
        point = state.curve[4]
        front = results(framed(1.2e5, 0.0))[-1].curve[4].roll_angle
        tray = point.tray_roll_angle
        assert point.roll_angle == pytest.approx(front + share * (tray - front), rel=1e-9)
        assert tray > front + np.radians(0.1)  # 250 kg behind the axle
        assert state.tray_secant_roll_gradient > results(framed(None))[-1].secant_roll_gradient


@pytest.mark.parametrize("stiffness", [1200.0, 4000.0])
def test_a_rear_bar_loses_some_of_its_effect_in_the_cab(stiffness):
    """At straight ahead, by the closed form of sizing and by the model with that bar on."""
    centred = replace(TOOLS, left_of_centreline=0.0)
    rigid, soft = (
        replace(framed(frame), loads=(centred,)) for frame in (None, np.degrees(stiffness))
    )
    gain = []
    for job in (rigid, soft):
        plain = without_rear_bar(job, mass.named(job, STATE))
        bars = mass.with_bar(plain, job, FittedBar(np.array([0.0, 30e3])))
        gradients = straight_ahead(*settle(bars, TURN)).roll_gradient
        assert np.degrees(closed_form(plain, gradients[1])) == pytest.approx(
            np.degrees(30e3), rel=1e-6
        )
        gain.append(gradients[0] - gradients[1])
    assert gain[1] < gain[0]


def lean_by_hand(bar: float, frame: float, share: float) -> float:
    """Lean of the cab per lateral acceleration of the demo crew-cab, unladen [rad/(m/s²)].

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
    moments = [*above, *(below + G * axle**2 / (2.0 * 80e3))]
    lean = np.linalg.solve(np.block([rows[:2], rows[2:]]), moments)
    return lean[0] + share * (lean[1] - lean[0])


@pytest.mark.parametrize(("share", "of_the_last"), [(0.0, (12, 21, 31)), (0.2, (7, 12, 18))])
def test_what_bars_lose_in_the_cab_of_the_demo(share, of_the_last):
    """A bar of 200, 400 and 627 N·m/deg loses 4 to 31 %, by a frame of 4000 to 1200 N·m/deg."""
    plain_job = load(ROOT / "scenarios" / "crew-cab-touring.toml").job
    bars = np.degrees([0.0, 200.0, 400.0, 627.0])

    def gains(frame):
        stiffness = None if frame is None else np.degrees(frame)
        own = {"frame_torsional_stiffness": stiffness, "cab_share_of_twist": share}
        job = replace(plain_job, vehicle=replace(plain_job.vehicle, **own))
        bare = without_rear_bar(job, mass.named(job, "unladen"))
        leans = straight_ahead(*settle(mass.with_bar(bare, job, FittedBar(bars)), TURN))
        by_hand = [lean_by_hand(bar, stiffness or 1e14, share) for bar in bars]
        assert leans.roll_gradient == pytest.approx(by_hand, rel=2e-3)
        return [x[0] - np.array(x[1:]) for x in (leans.roll_gradient, by_hand)]

    rigid, rigid_by_hand = gains(None)
    lost = []
    for frame in (4000.0, 2000.0, 1200.0):
        gain, gain_by_hand = gains(frame)
        lost.append(1.0 - gain / rigid)
        assert lost[-1] == pytest.approx(1.0 - gain_by_hand / rigid_by_hand, abs=2e-3)
    assert np.round(100.0 * np.array(lost)[:, -1]) == pytest.approx(of_the_last)  # as docs say
    assert (np.diff(lost, axis=0) > 0.0).all()  # a softer frame keeps more from the cab
    assert (np.diff(lost, axis=1) > 0.0).all()  # of a stiffer bar
