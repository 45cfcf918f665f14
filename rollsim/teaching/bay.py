"""The lean test in the bay: a known mass at a known offset, and the lean that should follow."""

import math
from dataclasses import dataclass, replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.roll.figures import TURN, arch_rise, cab_roll
from rollsim.teaching.hand import find_state, numbers_in, solve
from rollsim.vehicle import STANDARD_GRAVITY, Job, Load

READING = math.radians(0.1)  # what a digital level can be off by, common practice
FAR = 0.10  # share from which measured and predicted lean are worth a search


@dataclass(frozen=True, slots=True)
class LeanTest:
    """A mass [kg] put on the body to one side, then to the other.

    `offset` is from the centreline, to either side, `height` above ground [m].
    """

    mass: float
    offset: float
    height: float
    behind_front_axle: float


@dataclass(frozen=True, slots=True)
class LeanPrediction:
    """What the full model expects of a lean test.

    Parameters
    ----------
    moment : float
        Weight times offset [N·m].
    at_rest : float
        Lean without the mass, to the right positive [rad].
    to_left, to_right : float
        Lean that the mass adds, towards its own side [rad]; NaN where the vehicle does not stand.
    arch_difference : float
        How much further apart the left and right rear wheel arch stand in height, mean of both
        sides [m].
    by_hand : float
        Moment over net roll stiffness [rad].
    wheel_lifts : bool
        With the mass on one of the sides a wheel leaves the ground.
    """

    moment: float
    at_rest: float
    to_left: float
    to_right: float
    arch_difference: float
    by_hand: float
    wheel_lifts: bool

    @property
    def lean(self) -> float:
        """Mean of both sides [rad]."""
        return 0.5 * (self.to_left + self.to_right)

    @property
    def roll_stiffness(self) -> float:
        """Net roll stiffness: moment over lean [N·m/rad]."""
        return self.moment / self.lean


@dataclass(frozen=True, slots=True)
class LeanResult:
    """A lean test as measured, beside the prediction.

    Parameters
    ----------
    lean : float
        Mean of both sides [rad].
    roll_stiffness : float
        Net, from the mean [N·m/rad].
    ratio : float
        Measured over predicted lean [-].
    one_sided : float
        Half of left − right [rad]: lean at rest that the level took with it, or friction.
    reading : float
        Share of the lean that a level's 0.1° makes [-].
    """

    lean: float
    roll_stiffness: float
    ratio: float
    one_sided: float
    reading: float


def predict(job: Job, name: str, test: LeanTest) -> LeanPrediction:
    """Lean that a mass off centre gives, from the full model.

    `name` is the state it stands in, as for `hand.find_state`. Friction, which holds a leaf pack
    short of it, is left out.

    Notes
    -----
    The settled states without the mass, with it on the left and with it on the right, in one
    batch. By hand: m g y / (K − W d), the mass counted in W and d as if it stood in the middle.
    """
    state = find_state(job, name)
    stands = [state, *(_loaded(state, test, side) for side in (1.0, -1.0))]
    model, settled = settle(mass.models([(job, s) for s in stands]), TURN)
    lean = np.where(settled.converged, cab_roll(model, settled.x), np.nan)
    apart = arch_rise(model, settled.x)[:, 1]
    heights = (apart[1] - apart[0])[1:] * (1.0, -1.0)
    moment = test.mass * STANDARD_GRAVITY * test.offset
    return LeanPrediction(
        moment=moment,
        at_rest=float(lean[0]),
        to_left=float(lean[0] - lean[1]),
        to_right=float(lean[2] - lean[0]),
        arch_difference=float(heights.mean()),
        by_hand=moment / solve(numbers_in(job, _loaded(state, test, 0.0))).net_stiffness,
        wheel_lifts=bool((TURN.balance(model, settled.x).wheel_loads <= 0.0).any()),
    )


def compare(prediction: LeanPrediction, left: float, right: float) -> LeanResult:
    """Hold the measured lean against the prediction.

    `left` and `right` are the measured change of lean towards the mass, on the left and on the
    right [rad]; their mean is free of the lean at rest. Raises ValueError if the vehicle did not
    lean towards the mass.
    """
    lean = 0.5 * (left + right)
    if not lean > 0.0:
        raise ValueError(
            f"measured lean: found {math.degrees(lean):.2f} deg as mean of both sides; give the "
            "change towards the mass as positive"
        )
    return LeanResult(
        lean=lean,
        roll_stiffness=prediction.moment / lean,
        ratio=lean / prediction.lean,
        one_sided=0.5 * (left - right),
        reading=READING / lean,
    )


def likely_causes(result: LeanResult) -> tuple[str, ...]:
    """What to look for where measured and predicted lean differ; empty where they agree."""
    if abs(result.ratio - 1.0) <= max(FAR, result.reading):
        return ()
    if result.ratio < 1.0:
        return (
            "Leaf packs and bushes stick: rock the vehicle, let it settle, read again.",
            "The springs or the bar are stiffer than typed, or helper leaves work already.",
            "The level was read before the mass stood still, or a wheel was against a chock.",
        )
    return (
        "Springs softer than typed, or the spring base is the track's by mistake.",
        "Low tyre pressure, or loose links and worn bushes of the bar.",
        "The CG stands higher than typed.",
    )


def _loaded(state: mass.State, test: LeanTest, side: float) -> mass.State:
    load = Load(
        "test mass",
        test.mass,
        test.behind_front_axle,
        height=test.height,
        left_of_centreline=side * test.offset,
    )
    return replace(state, loads=(*state.loads, load))
