"""Fifteen vehicles against a general multibody engine: same assumptions, independent mechanics.

`tests/reference/multibody.py` tells what the engine is told. It pitches, yaws and shifts sideways
in three dimensions, which the balance leaves out, so the two differ a little.
"""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.roll import TURN, cg_height, follow, straight_ahead, turn_and_table
from tests.builders import ROOT, job
from tests.reference.multibody import G, Multibody

LITTLE = 1e-3 * G  # m/s²: before a spring of the demo vehicles comes to a kink
VEHICLES = (  # invented: file, and whether it is loaded
    *((f"scenarios/{stem}", True) for stem in ("arrives-loaded-and-lifted", "balance-gate-binds")),
    *((f"scenarios/{stem}", True) for stem in ("beyond-a-bar", "crew-cab-touring")),
    *((f"scenarios/{stem}", True) for stem in ("high-roof-van", "independent-rear-with-bar")),
    *((f"scenarios/{stem}", True) for stem in ("low-car", "wagon-roof-load")),
    *((f"tests/data/{stem}", True) for stem in ("crew_cab", "independent_rear")),
    *((f"scenarios/{stem}", False) for stem in ("beyond-a-bar", "crew-cab-touring", "low-car")),
    *((f"tests/data/{stem}", False) for stem in ("crew_cab", "independent_rear")),
)


def reduced(stem: str, loaded: bool):
    """One vehicle as arrays; tyres that are not said to give sideways give a usual amount."""
    whole = job(ROOT / f"{stem}.toml")
    states = mass.states(whole)
    model = mass.model(whole, states[-1] if loaded else states[0])
    rate = np.where(np.isfinite(model.tyre_lateral_rate), model.tyre_lateral_rate, 170e3)
    # How side force acts through a linkage is left out here and there: planar_linkages.py has it.
    return replace(model, tyre_lateral_rate=rate, independent=np.zeros_like(model.independent))


def tipping(model) -> float:
    """The worse of left and right turn [m/s²]."""
    sides = [model, model.mirrored()] if model.cg_left[0] else [model]
    found = [Multibody(side) for side in sides]
    return min(one.tips_at(one.balance(0.0)) for one in found)


def test_there_are_fifteen():
    assert len(set(VEHICLES)) == 15


@dataclass(frozen=True, slots=True)
class Compared:
    """The balance and the engine: lean per g, tipping point, and how far apart the rest is."""

    gradients: tuple[float, float]  # rad/(m/s²)
    tipping: tuple[float, float]  # m/s²
    lean: float  # rad, at 0.3, 0.6 and 0.9 of the tipping point
    loads: float  # of a wheel, over the weight
    heights: float  # m, of the CG of the sprung mass and of the whole


def compared(stem: str, loaded: bool) -> Compared:
    model, settled = settle(reduced(stem, loaded), TURN)
    engine = Multibody(reduced(stem, loaded))
    rest = point = engine.balance(0.0)
    gradient = (engine.balance(LITTLE, rest.freedoms).roll - rest.roll) / LITTLE
    tips = float(turn_and_table(model, settled)[0].tip_over[0])
    fields = tuple(share * tips for share in (0.0, 0.3, 0.6, 0.9))
    leans, loads, heights = [], [], []
    for a, solved in zip(fields, follow(model, settled, fields), strict=True):
        point = engine.balance(a, point.freedoms)
        leans.append(abs(float(solved.x[1, 0]) - point.roll))
        apart = TURN.balance(model, solved.x).wheel_loads[..., 0] - point.wheel_loads
        ours = [float(height[0]) for height in cg_height(model, solved.x)]
        heights.append(np.abs(np.subtract(ours, point.heights)).max())
        loads.append(float(np.abs(apart).max()) / (G * float(model.total_mass[0])))
    return Compared(
        (float(straight_ahead(model, settled).roll_gradient[0]), gradient),
        (tips, tipping(reduced(stem, loaded))),
        max(leans),
        max(loads),
        max(heights),
    )


@pytest.mark.parametrize(("stem", "loaded"), VEHICLES)
def test_gradient_lean_wheel_loads_and_tipping(stem, loaded):
    found = compared(stem, loaded)
    assert found.gradients[0] == pytest.approx(found.gradients[1], rel=0.005)
    assert found.tipping[0] == pytest.approx(found.tipping[1], rel=0.02)
    assert np.degrees(found.lean) < 0.1
    assert found.loads < 0.005
    assert found.heights < 0.001


def test_a_frame_that_hardly_twists_is_a_rigid_one():
    """The engine's own hinge along the vehicle, for the frame that is to come."""
    model = reduced("scenarios/crew-cab-touring", True)
    rigid, stiff = Multibody(model), Multibody(model, twist=(1e9, 0.5))
    soft = Multibody(model, twist=(1.5e5, 0.5))
    at_rigid, at_stiff, at_soft = (one.balance(0.4 * G) for one in (rigid, stiff, soft))
    assert at_stiff.roll == pytest.approx(at_rigid.roll, rel=1e-4)
    assert at_stiff.wheel_loads == pytest.approx(at_rigid.wheel_loads, abs=1.0)
    # This rear is the softer end: it leans further than the front, which leans less than before.
    assert at_soft.roll < at_rigid.roll
