"""Fifteen vehicles against a general multibody engine: same assumptions, independent mechanics.

`tests/reference/multibody.py` tells what the engine is told. It pitches, yaws and shifts sideways
in three dimensions, which the balance leaves out, and its arms and rods go round on circles, where
the balance stops at the second order: the two differ a little.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.roll import (
    TURN,
    cab_roll,
    cg_height,
    follow,
    straight_ahead,
    tray_roll,
    turn_and_table,
    turns,
)
from rollsim.roll_centre import PanhardRod, Point, roll_centre
from rollsim.vehicle import Axle, Job, Load, Suspension, TrackBar
from tests.builders import ROOT, job
from tests.reference.multibody import G, Multibody
from tests.reference.multibody_xml import Told

LITTLE = 1e-3 * G  # m/s²: before a spring of the demo vehicles comes to a kink
GIVE = 170e3  # N/m: of a tyre that is not said to give sideways
CAB = 0.2  # of a frame's twist
RAISED = TrackBar(0.50, 0.36, -0.48, 0.50)
TURNED = TrackBar(-0.46, 0.34, 0.50, 0.58)
LEVEL = TrackBar(0.52, 0.44, -0.50, 0.44)
STEEP = TrackBar(0.45, 0.32, -0.45, 0.58)
TOOLS = Load("tools", 150.0, 3.6, 1.1)  # half a metre behind the rear axle
TO_ONE_SIDE = replace(TOOLS, left_of_centreline=0.3)


@dataclass(frozen=True, slots=True)
class Made:
    """One vehicle: a scenario, loaded or not, and what is other on it. All are invented.

    `frame` in N·m/deg, a track bar in front makes that axle a solid one, `centres` are roll-centre
    height [m] and travel ratio in front and behind.
    """

    stem: str
    loaded: bool = True
    frame: float | None = None
    bars: tuple[TrackBar | None, TrackBar | None] = (None, None)
    centres: tuple[tuple[float, float], ...] = ()
    loads: tuple[Load, ...] = ()


VEHICLES = {
    "twisting frame and track bar": Made(
        "scenarios/arrives-loaded-and-lifted", frame=2000.0, bars=(None, RAISED)
    ),
    "twisting frame, load behind the axle": Made(
        "scenarios/balance-gate-binds", frame=3000.0, loads=(TOOLS,)
    ),
    "twisting frame, lifted": Made("scenarios/beyond-a-bar", frame=1500.0),
    "twisting frame, load to one side": Made(
        "scenarios/crew-cab-touring", frame=1200.0, loads=(TO_ONE_SIDE,)
    ),
    "van, load to one side": Made("scenarios/high-roof-van"),
    "independent, high roll centres": Made(
        "scenarios/independent-rear-with-bar", centres=((0.16, 1.3), (0.20, 0.9))
    ),
    "independent, one fast roll centre": Made(
        "scenarios/low-car", centres=((0.15, 1.8), (0.20, 0.8))
    ),
    "track bar": Made("scenarios/wagon-roof-load", bars=(None, TURNED)),
    "lifted on its stops": Made("tests/data/crew_cab"),
    "independent, load to one side": Made("tests/data/independent_rear"),
    "two solid axles on track bars": Made(
        "scenarios/beyond-a-bar", loaded=False, bars=(LEVEL, STEEP)
    ),
    "twisting frame and track bar, unladen": Made(
        "scenarios/crew-cab-touring", loaded=False, frame=1200.0, bars=(None, RAISED)
    ),
    "low car, unladen": Made("scenarios/low-car", loaded=False),
    "twisting frame, unladen": Made("tests/data/crew_cab", loaded=False, frame=4000.0),
    "independent, unladen": Made("tests/data/independent_rear", loaded=False),
}


def built(made: Made) -> tuple[Job, mass.State]:
    whole = job(ROOT / f"{made.stem}.toml")
    v = whole.vehicle
    ends = [_on_bar(axle, bar) for axle, bar in zip((v.front, v.rear), made.bars, strict=True)]
    if made.centres:
        ends = [
            replace(axle, roll_centre_height=height, roll_centre_travel_ratio=ratio)
            for axle, (height, ratio) in zip(ends, made.centres, strict=True)
        ]
    v = replace(v, front=ends[0], rear=ends[1], cab_share_of_twist=CAB)
    if made.frame is not None:
        v = replace(v, frame_torsional_stiffness=float(np.degrees(made.frame)), frame_height=0.5)
    whole = replace(whole, vehicle=v, loads=(*whole.loads, *made.loads))
    states = mass.states(whole)
    return whole, states[-1] if made.loaded else states[0]


def _on_bar(axle: Axle, bar: TrackBar | None) -> Axle:
    if bar is None:
        return axle
    at = Point(bar.axle_left, bar.axle_height), Point(bar.body_left, bar.body_height)
    found = roll_centre(PanhardRod(*at))
    if axle.suspension is Suspension.INDEPENDENT:
        axle = replace(axle, suspension=Suspension.SOLID_AXLE, spring_base=1.0)
    heights = {"roll_centre_height": found.height, "roll_centre_travel_ratio": found.travel_ratio}
    return replace(axle, track_bar=bar, **heights)


def told(made: Made) -> Told:
    """The vehicle as arrays, and each mass where it is."""
    whole, state = built(made)
    model, v = mass.model(whole, state), whole.vehicle
    rate = np.where(np.isfinite(model.tyre_lateral_rate), model.tyre_lateral_rate, GIVE)
    body = mass.sprung_mass(whole, state)
    items = [
        (load.mass, load.behind_front_axle, load.height, load.left_of_centreline)
        for load in state.loads
    ]
    bare = body.mass * np.array([1.0, body.behind_front_axle, body.height, body.left])
    bare -= sum(kg * np.array([1.0, *at]) for kg, *at in items)
    masses = np.array([(bare[0], *bare[1:] / bare[0]), *items])
    frame = v.frame_torsional_stiffness and (v.frame_torsional_stiffness, v.frame_height)
    bars = v.front.track_bar, v.rear.track_bar
    return Told(replace(model, tyre_lateral_rate=rate), masses, frame, bars)


def test_there_are_fifteen():
    assert len({(made.stem, made.loaded) for made in VEHICLES.values()}) == 15
    assert sum(made.frame is not None for made in VEHICLES.values()) >= 4
    assert sum(made.bars != (None, None) for made in VEHICLES.values()) >= 3


@dataclass(frozen=True, slots=True)
class Compared:
    """The balance and the engine: lean per g, tipping point, and how far apart the rest is.

    Of both turns where they differ. Lean is that of the cab and that of the tray.
    """

    gradients: tuple[float, float]  # rad/(m/s²), of the turn that is further off
    tipping: tuple[float, float]  # m/s², of the worse turn
    lean: float  # rad, at 0.3, 0.6 and 0.9 of the tipping point
    loads: float  # of a wheel, over the weight
    heights: float  # m, of the CG of the sprung mass and of the whole


def compared(made: Made) -> Compared:
    vehicle = told(made)
    model, settled = settle(vehicle.model, TURN)
    engine = Multibody(vehicle).at_rest().at_rest()
    tips = float(turn_and_table(model, settled)[0].tip_over[0])
    fields = tuple(share * tips for share in (0.0, 0.3, 0.6, 0.9))
    gradients, tipping, apart = [], [], []
    for (one, rest), turn in zip(turns(model, settled), (1.0, -1.0), strict=False):
        engine.turn = turn
        upright = point = engine.balance(0.0)
        lean = (engine.balance(LITTLE).lean(CAB) - upright.lean(CAB)) / LITTLE
        gradients.append((float(straight_ahead(one, rest).roll_gradient[0]), lean))
        for a, solved in zip(fields, follow(one, rest, fields), strict=True):
            point = engine.balance(a, point.freedoms)
            apart.append(_apart(one, solved.x, point))
        tipping.append(engine.tips_at(upright))
    # A track bar taken for its mirror image puts a wheel load wrong by 0.7 to 1.1 % of the weight.
    return Compared(
        max(gradients, key=lambda pair: abs(pair[0] / pair[1] - 1.0)),
        (tips, min(tipping)),
        *np.max(apart, axis=0),
    )


def _apart(model, x: np.ndarray, point) -> tuple[float, float, float]:
    """Lean of cab and tray, wheel loads over the weight, heights of the CG."""
    leans = (cab_roll(model, x)[0] - point.lean(CAB), tray_roll(x)[0] - point.lean(1.0))
    loads = TURN.balance(model, x).wheel_loads[..., 0] - point.wheel_loads
    heights = np.subtract([float(height[0]) for height in cg_height(model, x)], point.heights)
    weight = G * float(model.total_mass[0])
    return tuple(np.abs(part).max() for part in (leans, loads / weight, heights))


@pytest.mark.parametrize("name", VEHICLES)
def test_gradient_lean_wheel_loads_and_tipping(name):
    found = compared(VEHICLES[name])
    assert found.gradients[0] == pytest.approx(found.gradients[1], rel=0.005)
    assert found.tipping[0] == pytest.approx(found.tipping[1], rel=0.02)
    assert np.degrees(found.lean) < 0.1
    assert found.loads < 0.005
    assert found.heights < 0.001
